"""Every public function of the domain has a judge from outside: a published value, a handbook, a general
library or an independent derivation. The tables say which test holds the function against it.

The check reads the source of the test that is named, with the helpers it calls; it cannot say
whether the judge is a good one.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from functools import cache
from pathlib import Path

import pytest

import coursekit

HERE = Path(__file__).resolve().parent

JUDGES = {
    "buildable.pedal_to_tyre": "test_cfr_1512::test_level_distance_in_the_frames_plane",
    "alignment.decide": "test_scipy_optimize::test_probability_of_keeping_a_limit",
    "alignment.line": "test_nist_norris::test_a_tube_read_from_both_faces_gives_the_certified_line",
    "alignment.over_length": "test_scipy_rotation::test_far_end_of_a_tube_that_swings",
    "alignment.twist_deg": "test_scipy_rotation::test_twist_of_head_tube_against_seat_tube",
    "beams.bending_at": "test_calfem_pushed_frame::test_bending_between_the_joints",
    "beams.edge_stress": "test_scipy_beams::test_stress_adds_up_to_push_and_bending",
    "beams.fall": "test_cfr_1512_14::test_work_of_a_pound_that_falls",
    "beams.sag": "test_scipy_beams::test_sag_by_integration",
    "bending.curvature_for_set": "test_scipy_roots::test_set_of_a_bent_tube",
    "bending.moment": "test_scipy_integrate::test_moment_is_the_sum_over_the_fibres",
    "bending.set_curvature": "test_scipy_roots::test_set_of_a_bent_tube",
    "bending.yield_curvature": "test_aisc_bending::test_moment_far_past_yield_is_z_over_s",
    "braze_ons.bottle_gap": "test_scipy_optimize::test_bottles_are_parted_by_the_widest_strip",
    "braze_ons.edge_marks": "test_sympy_geometry::test_edges_of_an_angle_section_on_a_tube",
    "braze_ons.foot_gap": "test_sympy_geometry::test_gap_under_a_hollowed_foot",
    "braze_ons.hollow_depth": "test_machinerys_handbook_segments::test_height_of_a_segment",
    "braze_ons.touch": "test_sympy_geometry::test_a_tilted_edge_touches_where_the_tangent_does",
    "brazing.bead_area": "test_brazing_guidance::test_quarter_circle_fillet",
    "brazing.celsius": "test_aws_a5_31_fluxes::test_range",
    "brazing.filler": "test_aws_a5_31_fluxes::test_margins",
    "brazing.fillet": "test_brazing_guidance::test_tube_square_on_a_plate",
    "brazing.flux": "test_aws_a5_31_fluxes::test_range",
    "brazing.heat_share": "test_sympy_geometry::test_shares_of_heat_are_shares_of_mass",
    "brazing.match": "test_aws_a5_31_fluxes::test_match",
    "butts.find": "test_scipy_optimize::test_butts_stand_where_least_squares_puts_them",
    "butts.reserved": "test_scipy_optimize::test_reserve_is_two_linear_programmes",
    "butts.plan": "test_scipy_optimize::test_cutting_window_is_the_linear_programme",
    "butts.window": "test_scipy_optimize::test_the_window_and_what_is_missing_are_linear_programmes",
    "closure.allowance": "test_jcgm_100::test_h_1_3_2_three_parts_of_a_difference",
    "closure.traverse": "test_traverse_sheet::test_misclosure",
    "coldset.cold_set": "test_scipy_integrate::test_cold_set_leaves_the_member_straight",
    "coldset.strain_limit": "test_sympy_geometry::test_wrinkle_limit_by_the_curve_of_the_belly",
    "dropouts.centre": "test_sympy_geometry::test_centre_of_the_dropouts",
    "dropouts.faces": "test_sympy_geometry::test_angle_between_the_faces",
    "dropouts.string_gap": "test_sympy_geometry::test_string_from_dropout_to_head_tube",
    "dropouts.string_test": "test_sympy_geometry::test_string_from_dropout_to_head_tube",
    "fitting.linear": "test_jcgm_100::test_h3_line_by_the_fit",
    "fitting.nonlinear": "test_nist_norris::test_damped_steps_from_afar_reach_the_certified_line",
    "fixture.built": "test_scipy_roots::test_budget_of_the_fixture",
    "fixture.error_budget": "test_scipy_roots::test_budget_of_the_fixture",
    "fixture.settings": "test_sympy_geometry::test_scales_of_the_fixture",
    "fork.axle_bending": "test_pynite_fork::test_bending_at_the_crown_race_seat",
    "fork.bend_to": "test_scipy_fork::test_bend_to_a_place_by_search",
    "fork.beside": "test_manifold_fork::test_gap_beside_the_tyre",
    "fork.blade_stress": "test_scipy_fork::test_stress_of_an_oval_blade",
    "fork.blade_stay": "test_manifold_fork::test_blade_as_a_body_beside_its_wheel",
    "fork.boss_place": "test_scipy_fork::test_boss_by_search_along_the_blade",
    "fork.brake_reach": "test_pynite_fork::test_reach_of_a_caliper_and_room_by_points",
    "fork.braking_bending": "test_pynite_fork::test_bending_while_braking",
    "fork.built": "test_scipy_fork::test_axle_of_a_built_fork",
    "fork.crown_tube_joint": "test_manifold_fork::test_blade_cut_to_a_crown_tube",
    "fork.former_radius": "test_scipy_fork::test_former_for_a_radius_by_search",
    "fork.heights": "test_scipy_fork::test_upper_side_of_a_raked_blade",
    "fork.in_frame": "test_moore_measured::test_a_fork_for_a_measured_bicycle_gives_its_trail",
    "fork.knee": "test_manifold_fork::test_knee_of_a_segmented_fork",
    "fork.lean": "test_scipy_fork::test_axle_that_is_not_square_to_the_steerer",
    "fork.levers": "test_pynite_fork::test_levers_of_the_axle",
    "fork.pad_drag": "test_pynite_fork::test_drag_of_the_pads",
    "fork.pair": "test_scipy_fork::test_line_through_the_difference_of_two_blades",
    "fork.rake": "test_scipy_fork::test_axle_read_with_the_rake_up_and_down",
    "fork.raked": "test_scipy_fork::test_a_raked_fork_has_its_axle_where_the_drawing_wants_it",
    "fork.rolling_radius": "test_moore_measured::test_rolling_radii",
    "fork.shoulder": "test_manifold_fork::test_unicrown_blade_meets_its_straight_part",
    "fork.sideways": "test_scipy_fork::test_dropouts_read_on_either_side",
    "fork.straight": "test_scipy_fork::test_a_straight_fork_has_its_axle_where_the_drawing_wants_it",
    "fork.tapered": "test_scipy_fork::test_upper_side_of_a_tapered_blade",
    "fork.tyre_size": "test_iso_5775::test_the_articles_example_and_sizes",
    "fork.under_crown": "test_manifold_fork::test_gap_under_the_crown",
    "fork.uneven": "test_scipy_fork::test_wheel_between_blades_that_differ",
    "fork.wheel_radius": "test_iso_5775::test_size_by_bead_seat_and_width",
    "fork.wrap_for": "test_scipy_fork::test_where_to_stop_on_the_former_by_search",
    "fork.wrapped": "test_scipy_fork::test_what_a_former_leaves_in_a_tapered_blade",
    "frame.draw": "test_moore_measured::test_trail_of_measured_bicycles",
    "miters.cluster": "test_manifold_mesh::test_cluster_of_shell_and_seat_tube",
    "miters.cut": "test_cylinder_developments::test_ordinates_of_a_cut_end",
    "miters.far_end": "test_scipy_rotation::test_far_end_of_a_tube_that_swings",
    "miters.gaps": "test_scipy_roots::test_light_that_a_wrong_saw_leaves",
    "miters.joint_line": "test_mathworld_steinmetz::test_joint_line_of_equal_cylinders_is_two_half_ellipses",
    "miters.long_point": "test_scipy_optimize::test_long_point_is_where_two_cylinders_come_nearest",
    "miters.mill_setting_deg": "test_sympy_geometry::test_swing_of_the_mill",
    "miters.saddle": "test_cylinder_developments::test_ordinates",
    "miters.two_ended": "test_manifold_mesh::test_both_ends_of_one_tube",
    "ovals.depth_for": "test_ovals::test_depth_by_scipy",
    "ovals.hinge_load": "test_timoshenko_ring::test_hinge_load_from_the_ring_in_bending",
    "ovals.ramanujan": "test_ellipse_length::test_two_to_one",
    "ovals.ring": "test_timoshenko_ring::test_printed_coefficients",
    "ovals.round_springback": "test_timoshenko_ring::test_hand_formula",
    "ovals.springback": "test_timoshenko_ring::test_springback_of_an_oval_ring_of_beam_elements",
    "ovals.squeeze_to": "test_scipy_roots::test_width_to_press_to",
    "pieces.cut_out": "test_pieces::test_trimmed_tube_ends_where_the_piece_does",
    "pieces.of_frame": "test_pieces::test_every_edge_lies_on_its_own_tube_and_on_the_tube_it_meets",
    "pulls.cantilever": "test_scipy_integrate::test_slope_and_deflection_of_a_cantilever",
    "pulls.cantilever_for_set": "test_scipy_roots::test_pull_for_a_set",
    "pulls.greatest_set_deg": "test_scipy_roots::test_greatest_set_of_a_pull",
    "readings.division_uncertainty": "test_jcgm_100::test_f_2_2_1_resolution_of_an_indication",
    "readings.mean_of": "test_jcgm_100::test_4_4_3_mean_of_twenty_readings",
    "rear.against_each_other": "test_manifold_stays::test_seatstays_mitered_against_each_other",
    "rear.apart": "test_manifold_stays::test_room_between_two_stays",
    "rear.bolt_from_axle": "test_scipy_stays::test_brake_bolt",
    "rear.bridge": "test_manifold_stays::test_bridge_mitered_at_both_ends",
    "rear.chainstay": "test_scipy_stays::test_chainstay_starts_square_to_its_way_past_the_shell",
    "rear.for_room": "test_scipy_stays::test_bend_for_a_wanted_room",
    "rear.into_mono_tube": "test_manifold_stays::test_seatstays_into_a_mono_tube",
    "rear.into_seat_tube": "test_manifold_stays::test_seatstay_into_the_seat_tube_from_behind",
    "rear.outline": "test_manifold_plan::test_chainstay",
    "rear.pitch_diameter": "test_iso_606::test_pitch_diameter",
    "rear.place_from_axle": "test_scipy_stays::test_bridge_length_angle_and_place",
    "rear.plan_view": "test_manifold_plan::test_tyre_chainring_crank_axle_and_chainline",
    "rear.room": "test_manifold_stays::test_room_beside_a_chainstay",
    "rear.rooms": "test_scipy_stays::test_every_room_at_once",
    "rear.shell_land": "test_scipy_stays::test_chainstay_starts_square_to_its_way_past_the_shell",
    "rear.slot_lines_deg": "test_scipy_stays::test_slot_lines_lie_in_the_plate",
    "rear.slot_width": "test_scipy_stays::test_slot_for_a_plate_at_an_angle",
    "rear.tacked": "test_manifold_stays::test_cap_on_a_tapered_seatstay",
    "rear.tip_diameter": "test_iso_606::test_usual_tip_lies_between_the_limits_for_bicycles",
    "rear.tip_limits": "test_iso_606::test_outside_diameters_lie_between_the_limits",
    "rear.toe_in_deg": "test_scipy_stays::test_slot_lines_lie_in_the_plate",
    "rear.zero_of": "test_scipy_stays::test_bend_for_a_wanted_room",
    "runout.bow": "test_numpy_fft::test_even_marks_give_the_first_fourier_term",
    "sections.ellipse_perimeter": "test_ellipse_length::test_abramowitz_stegun_17_1",
    "skeleton.front_hit": "test_sympy_geometry::test_hit_and_skeleton_stand_in_balance",
    "skeleton.pedal": "test_sympy_geometry::test_force_on_the_pedal_and_the_chain_that_holds_it",
    "skeleton.seat_load": "test_sympy_geometry::test_weight_behind_the_seat_tube",
    "skeleton.skeleton": "test_sympy_geometry::test_hit_and_skeleton_stand_in_balance",
    "shells.engaged": "test_asme_b1_13m::test_thread_left_by_a_tap_drill",
    "shells.minor": "test_asme_b1_13m::test_minor_diameter",
    "shells.pitch": "test_iso_6696::test_pitch_and_size",
    "sleeves.filler": "test_brazing_guidance::test_sleeve_28_6_by_25_with_a_tenth",
    "sleeves.gap": "test_materials_4130::test_stainless_socket_on_a_steel_tube",
    "sleeves.lap": "test_brazing_guidance::test_lap_is_three_times_the_thinner_member",
    "statics.solve": "test_calfem::test_exs_beam1",
    "stays.between": "test_scipy_stays::test_developed_length_is_the_length_of_the_curve",
    "stays.cap_size": "test_sympy_caps::test_the_ellipse_of_a_cap",
    "stays.capped": "test_manifold_stays::test_cap_on_a_tapered_seatstay",
    "stays.cut_end": "test_manifold_stays::test_chainstay_on_the_shell",
    "stays.rod": "test_manifold_stays::test_chainstay_on_the_shell",
    "stays.s_bend": "test_scipy_stays::test_s_bend_moves_a_tube_aside",
    "stays.s_bend_angle_deg": "test_scipy_stays::test_s_bend_moves_a_tube_aside",
    "stays.s_bend_offset": "test_scipy_stays::test_s_bend_moves_a_tube_aside",
    "stays.template": "test_scipy_stays::test_cone_unrolls_to_a_sector",
    "tacks.after_each": "test_scipy_roots::test_best_order_by_complex_numbers",
    "tacks.best": "test_scipy_roots::test_best_order_by_complex_numbers",
    "tacks.fit": "test_scipy_optimize::test_tack_model_fit",
    "tacks.pull": "test_hibbeler_two_forces::test_6_and_2_kilonewton_105_degrees_in_the_triangle",
    "tacks.tip_offset": "test_scipy_rotation::test_far_end_of_a_tube_that_swings",
    "tolerances.length": "test_iso_2768::test_table_1_every_cell",
    "uncertainty.combined": "test_jcgm_100::test_h_1_3_2_three_parts_of_a_difference",
    "uncertainty.coverage_factor": "test_jcgm_100::test_h1_expanded_uncertainty",
    "uncertainty.share_below": "test_scipy_optimize::test_students_distribution",
    "units.fraction": "test_inch_sizes::test_trade_names",
    "units.mm": "test_inch_sizes::test_inches",
    "units.rise": "test_scipy_rotation::test_far_end_of_a_tube_that_swings",
    "vents.air_pressure": "test_smith_van_ness::test_gas_constant_over_the_mass_of_water",
    "vents.footprint": "test_scipy_footprint::test_footprint_lies_on_both_cylinders",
    "vents.land": "test_scipy_footprint::test_least_land",
    "vents.round_shell": "test_scipy_footprint::test_round_the_shell_is_the_length_of_an_arc",
    "vents.steam_pressure": "test_smith_van_ness::test_superheated_steam",
}
OF_CLASSES = {
    "alignment.Line.offset_at": "test_scipy_roots::test_height_of_a_fitted_line_beyond_its_readings",
    "alignment.Line.offset_uncertainty_at": "test_scipy_roots::test_height_of_a_fitted_line_beyond_its_readings",
    "braze_ons.Bottle.far_side": "test_scipy_optimize::test_bottles_are_parted_by_the_widest_strip",
    "brazing.Fillet.rod_length": "test_brazing_guidance::test_tube_square_on_a_plate",
    "brazing.Match.covers": "test_aws_a5_31_fluxes::test_match",
    "fitting.Fitted.correlation": "test_jcgm_100::test_h3_line_by_the_fit",
    "fitting.Fitted.uncertainty": "test_nist_norris::test_linear_gives_the_certified_line",
    "fixture.Budget.total": "test_scipy_roots::test_budget_of_the_fixture",
    "fixture.Budget.worst": "test_scipy_roots::test_budget_of_the_fixture",
    "fixture.Settings.cone_tips": "test_sympy_geometry::test_cones_stop_where_they_are_as_wide_as_the_bore",
    "fork.Blade.width_at": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.Blade.cut": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.Blade.depth_at": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.Blade.length": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.Blade.section_at": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.Blade.taper": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.Blade.wall_at": "test_scipy_fork::test_sizes_along_a_blade",
    "fork.BladeLine.arc": "test_scipy_fork::test_axis_of_a_bent_blade",
    "fork.BladeLine.at": "test_scipy_fork::test_axis_of_a_bent_blade",
    "fork.BladeLine.drop": "test_scipy_fork::test_axis_of_a_bent_blade",
    "fork.BladeLine.length": "test_scipy_fork::test_axis_of_a_bent_blade",
    "fork.BladeLine.marked": "test_scipy_fork::test_axis_of_a_bent_blade",
    "fork.BladeLine.offset": "test_scipy_fork::test_axis_of_a_bent_blade",
    "fork.Dropout.apart": "test_fork::test_a_dropout_worked_by_hand",
    "fork.Dropout.plate": "test_fork::test_a_dropout_worked_by_hand",
    "fork.Fork.axle_drop": "test_scipy_fork::test_wheel_between_blades_that_differ",
    "fork.Fork.blade_length": "test_scipy_fork::test_boss_by_search_along_the_blade",
    "fork.Fork.fork_length": "test_scipy_fork::test_axle_of_a_built_fork",
    "fork.Fork.fork_offset": "test_scipy_fork::test_axle_of_a_built_fork",
    "fork.Fork.place": "test_scipy_fork::test_boss_by_search_along_the_blade",
    "fork.Fork.points": "test_scipy_fork::test_axle_of_a_built_fork",
    "fork.Fork.tip_deg": "test_scipy_fork::test_lean_of_the_tip",
    "fork.Shoulder.joint": "test_manifold_fork::test_shoulder_cut_to_the_steerer",
    "fork.Shoulder.length": "test_manifold_fork::test_unicrown_blade_meets_its_straight_part",
    "fork.Shoulder.span": "test_manifold_fork::test_shoulder_cut_to_the_steerer",
    "frame.Frame.bb_height": "test_sympy_geometry::test_dimensions_read_off_the_drawing",
    "frame.Frame.joints": "test_sympy_geometry::test_angles_and_offsets_of_placed_tubes",
    "frame.Frame.mechanical_trail": "test_meijaard::test_benchmark_bicycle",
    "frame.Frame.place": "test_sympy_geometry::test_angles_and_offsets_of_placed_tubes",
    "frame.Frame.points": "test_meijaard::test_benchmark_bicycle",
    "frame.Frame.reach": "test_sympy_geometry::test_dimensions_read_off_the_drawing",
    "frame.Frame.sensitivity": "test_scipy_roots::test_slope_of_a_dimension",
    "frame.Frame.stack": "test_sympy_geometry::test_dimensions_read_off_the_drawing",
    "frame.Frame.toe_clearance": "test_cfr_1512::test_frame_on_the_limit",
    "frame.Frame.top_tube_level": "test_sympy_geometry::test_dimensions_read_off_the_drawing",
    "frame.Frame.trail": "test_moore_measured::test_trail_of_measured_bicycles",
    "frame.Frame.wheel_flop": "test_meijaard::test_benchmark_bicycle",
    "frame.Frame.wheelbase": "test_meijaard::test_benchmark_bicycle",
    "rear.Bridge.length": "test_scipy_stays::test_bridge_length_angle_and_place",
    "rear.Bridge.stays_deg": "test_scipy_stays::test_bridge_length_angle_and_place",
    "rear.Dropout.between_deg": "test_scipy_stays::test_where_a_stay_ends",
    "rear.Dropout.hanger_deg": "test_scipy_stays::test_where_a_stay_ends",
    "rear.Dropout.hanger_length": "test_scipy_stays::test_where_a_stay_ends",
    "rear.RearEnd.stay_end": "test_scipy_stays::test_where_a_stay_ends",
    "rear.Turned.outside": "test_scipy_stays::test_wall_of_a_disc_by_the_distance_to_a_segment",
    "rear.Turned.radius": "test_rear::test_the_order_of_a_profile_does_not_matter",
    "rear.Tyre.core": "test_manifold_stays::test_room_beside_a_chainstay",
    "rear.Tyre.half": "test_manifold_stays::test_room_beside_a_chainstay",
    "rear.Tyre.outside": "test_rear::test_bodies_are_the_same_on_both_sides",
    "sections.Ellipse.arc": "test_scipy_rotation::test_arc_and_normal_of_an_ellipse",
    "sections.Ellipse.height": "test_scipy_rotation::test_arc_and_normal_of_an_ellipse",
    "sections.Ellipse.normal": "test_scipy_rotation::test_arc_and_normal_of_an_ellipse",
    "sections.Ellipse.point": "test_scipy_rotation::test_arc_and_normal_of_an_ellipse",
    "statics.Solution.section_forces": "test_calfem::test_exs_beam1",
    "statics.Solution.stress": "test_gere_timoshenko::test_twisted_tube",
    "statics.Solution.worst": "test_gere_timoshenko::test_cantilever_with_a_load_at_its_tip",
    "statics.Stress.von_mises": "test_gere_timoshenko::test_twisted_tube",
    "stays.Bend.end": "test_scipy_stays::test_bend_turns_about_its_own_axis",
    "stays.Bend.length": "test_scipy_stays::test_bend_turns_about_its_own_axis",
    "stays.CentreLine.at": "test_scipy_stays::test_centre_line_by_integration",
    "stays.CentreLine.nearest": "test_stays::test_nearest_place_is_the_foot_of_the_square",
    "stays.CentreLine.straight_at": "test_stays::test_straight_pieces_are_found",
    "stays.CutStay.finished": "test_manifold_stays::test_bridge_mitered_at_both_ends",
    "stays.CutStay.mirrored": "test_stays::test_the_other_side_is_cut_as_a_mirror_image",
    "stays.CutStay.lengths": "test_stays::test_both_ends_and_their_words",
    "stays.Dimple.pressed": "test_stays::test_dimple_has_a_straight_floor_of_its_depth",
    "stays.EndCut.depth": "test_stays::test_both_ends_and_their_words",
    "stays.EndCut.long_point": "test_manifold_stays::test_cap_on_a_tapered_seatstay",
    "stays.EndCut.short_point": "test_stays::test_both_ends_and_their_words",
    "stays.Stay.bend_ratios": "test_stays::test_bend_over_size",
    "stays.Stay.bore": "test_stays::test_bore_edge_is_the_bore_of_a_round_tube",
    "stays.Stay.length": "test_scipy_stays::test_developed_length_is_the_length_of_the_curve",
    "stays.Stay.lines": "test_stays::test_lines_have_their_names",
    "stays.Stay.mirrored": "test_manifold_stays::test_room_beside_crank_and_heel",
    "stays.Stay.outside": "test_scipy_stays::test_distance_from_a_cone",
    "stays.Stay.surface": "test_scipy_stays::test_surface_turns_with_the_bend",
    "stays.Taper.cut": "test_stays::test_taper_between_places_and_flat_beyond",
    "stays.Taper.half_toward": "test_scipy_stays::test_how_far_a_section_reaches",
    "stays.Taper.mirrored": "test_stays::test_left_is_the_mirror_image_of_right_and_names_keep_their_sides",
    "stays.Taper.outline": "test_scipy_stays::test_how_far_a_section_reaches",
    "stays.Taper.sizes": "test_scipy_stays::test_how_far_a_section_reaches",
    "stays.Taper.slopes": "test_stays::test_taper_between_places_and_flat_beyond",
    "stays.Template.line": "test_stays::test_a_template_knows_its_lines",
    "tubes.Butted.cut": "test_scipy_roots::test_tube_along_its_length",
    "tubes.Butted.length": "test_scipy_roots::test_tube_along_its_length",
    "tubes.Butted.marks": "test_scipy_roots::test_tube_along_its_length",
    "tubes.Butted.mass": "test_scipy_roots::test_tube_along_its_length",
    "tubes.Butted.section_at": "test_scipy_roots::test_tube_along_its_length",
    "tubes.Butted.wall_at": "test_scipy_roots::test_tube_along_its_length",
    "tubes.Oval.area": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Oval.grams_per_metre": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Oval.inertia_depth": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Oval.inertia_width": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Oval.perimeter": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Oval.torsion": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Round.area": "test_mott_pipes::test_row",
    "tubes.Round.bore": "test_tube_closed_forms::test_bore",
    "tubes.Round.grams_per_metre": "test_pipe_weights::test_schedule_40",
    "tubes.Round.inertia": "test_mott_pipes::test_row",
    "tubes.Round.mid_radius": "test_tube_closed_forms::test_torsion",
    "tubes.Round.modulus": "test_aisc_pipes::test_pipe",
    "tubes.Round.perimeter": "test_scipy_roots::test_wall_of_an_oval",
    "tubes.Round.plastic_modulus": "test_aisc_pipes::test_pipe",
    "tubes.Round.slit_torsion": "test_pilkey_slit_tube::test_slit",
    "tubes.Round.torsion": "test_aisc_pipes::test_pipe",
}

# what no outside source can judge
WITHOUT = {
    "rules.require": "refuses, and has no value: tests/test_refusals_*.py hold every message",
    "rules.number": "the same",
    "rules.positive": "the same",
    "rules.not_negative": "the same",
    "scalars.bare": "has no value of its own: tests/test_scalars.py",
    "scalars.finite": "the same",
    "scalars.above_zero": "the same",
    "sections.section_of": "hands on what it is given",
    "buildable.without_stays": "leaves out; tests/test_buildable_ends.py",
    "buildable.check": "collects what its rules find; tests/test_buildable.py judges each of them",
    "closure.of_frame": "lays two ways of the kit side by side; each of them is judged by itself",
    "fork.steerer_length": "a sum of lengths, common practice, no source",
    "butts.keep": "a sum of two lengths; the margin is common practice, no source",
    "shells.facing": "a sum of lengths, common practice, no source",
    "sleeves.passes": "a plan of cuts, common practice, no source",
    "coldset.stop_reason": "rules of the bench, common practice, no source",
}
CLASSES = ("Line Bottle Fillet Match Ends Fitted Budget Settings Frame Ellipse Solution Stress Butted Oval "
           "Round Fork Blade Shoulder Bridge Dropout RearEnd Turned Tyre Bend BladeLine CentreLine CutStay Dimple EndCut Stay "
           "Taper Template")  # fmt: skip
NO_SUMS = {
    "Frame.basic",
    "Butted.section",
    "Oval.section",
    "Round.section",
}

NOT_DOMAIN = (
    "cli",
    "light_start",
    "project",
    "book",
    "desk",
    "classroom",
    "commands",
    "figures",
    "sheets",
)


def domain():
    """The domain's public modules."""
    for one in pkgutil.iter_modules(coursekit.__path__):
        if one.name not in NOT_DOMAIN:
            yield one.name, importlib.import_module(f"coursekit.{one.name}")


def public_functions():
    for name, module in domain():
        known = getattr(module, "__all__", None)
        for own, thing in vars(module).items():
            public = own in known if known is not None else not own.startswith("_")
            if public and inspect.isfunction(thing) and _at_home(thing, module):
                yield f"{name}.{own}"


def _at_home(thing, module):
    """Whether a function is to be looked for here: made here, or inside this package."""
    return thing.__module__ == module.__name__ or thing.__module__.startswith(f"{module.__name__}.")


def public_members():
    for name, module in domain():
        for own, thing in vars(module).items():
            if own in CLASSES.split() and _at_home(thing, module):
                for member, value in vars(thing).items():
                    sums = inspect.isfunction(value) or isinstance(value, property)
                    if sums and not member.startswith("_") and f"{own}.{member}" not in NO_SUMS:
                        yield f"{name}.{own}.{member}"


@cache
def source(judge):
    """Text of a test and of the helpers of its file that it names."""
    file, test = judge.split("::")
    folder = "tests.sources" if (HERE / "sources" / f"{file}.py").exists() else "tests"
    module = importlib.import_module(f"{folder}.{file}")
    helpers = {
        n: f for n, f in vars(module).items() if inspect.isfunction(f) and not n.startswith("test")
    }
    text = inspect.getsource(getattr(module, test))
    return text + "".join(
        inspect.getsource(f) for n, f in helpers.items()
        if f.__module__ == module.__name__ and re.search(rf"\b{n}\(", text)
    )  # fmt: skip


def test_every_function_is_in_the_table():
    assert set(public_functions()) == JUDGES.keys() | WITHOUT.keys()


def test_every_value_of_the_results_is_in_the_table():
    assert set(public_members()) == OF_CLASSES.keys()


@pytest.mark.parametrize("function", JUDGES)
def test_its_judge_calls_it(function):
    module, name = function.split(".")
    assert re.search(rf"\b{module}\.{name}\(|(?<![\w.]){name}\(", source(JUDGES[function]))


@pytest.mark.parametrize("member", OF_CLASSES)
def test_its_judge_asks_for_it(member):
    assert re.search(
        rf"\.{member.split('.')[-1]}\b|\"{member.split('.')[-1]}\"", source(OF_CLASSES[member])
    )
