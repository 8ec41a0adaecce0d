"""Which tests judge which module when its formulas are broken, and why some mutants may live."""

from __future__ import annotations

SHAPES = "test_refusals_shapes"
FITS = "test_refusals_fits test_fits_results"
FRAMES = "test_refusals_frame"

STATICS = (
    f"test_statics {FRAMES} test_statics_peers sources/test_calfem sources/test_logan "
    "sources/test_kassimali sources/test_gere_timoshenko | sources/test_timoshenko_ring"
)
FRAME = (
    f"test_frame {FRAMES} sources/test_meijaard sources/test_moore_measured sources/test_cfr_1512"
)
MITERS = (
    f"test_miters {SHAPES} sources/test_cylinder_developments sources/test_mathworld_steinmetz "
    "sources/test_sympy_saddle sources/test_manifold_mesh"
)
BENDING = (
    f"test_bending {FITS} sources/test_aisc_bending | test_alignment sources/test_scipy_integrate"
)
FIT = f"test_fitting {FITS} sources/test_jcgm_100 sources/test_nist_norris sources/test_nist_noint1 sources/test_numpy_fft"
BUTTS = f"test_butts {FITS} | sources/test_scipy_optimize test_butts_traces"
BRAZING = (
    f"test_brazing {SHAPES} sources/test_brazing_guidance sources/test_aws_a5_31_fluxes "
    "sources/test_machinerys_handbook_fillers"
)
TUBES = (
    f"test_tubes {SHAPES} sources/test_mott_pipes sources/test_tube_closed_forms sources/test_pipe_weights "
    "sources/test_aisc_pipes sources/test_ufc_pipe_piles sources/test_pilkey_slit_tube | test_sections sources/test_scipy_roots"
)
SECTIONS = "test_sections sources/test_ellipse_length"

TESTS = {
    "rules": f"{SHAPES} {FITS} {FRAMES}",
    "units": f"test_units {SHAPES} sources/test_inch_and_drill_sizes sources/test_wire_gauges",
    "materials": f"{SHAPES} sources/test_materials_4130 test_brazing",
    "sections": f"{SECTIONS} sources/test_scipy_rotation {SHAPES} | sources/test_sympy_geometry test_tubes test_miters",
    "tubes": TUBES,
    "_oval": f"{TUBES} {SECTIONS}",
    "_saddle": MITERS,
    "_cuts": MITERS,
    "miters": MITERS,
    "_fillets": BRAZING,
    "_fillers": BRAZING,
    "brazing": BRAZING,
    "ovals": f"test_ovals {SHAPES} sources/test_ellipse_length sources/test_timoshenko_ring",
    "sleeves": f"test_sleeves {SHAPES} sources/test_brazing_guidance sources/test_materials_4130",
    "tolerances": f"test_tolerances {FITS} sources/test_iso_2768",
    "_scalars": f"test_tacks {FITS} test_uncertainty",
    "fitting": f"{FIT} test_tacks test_butts",
    "uncertainty": f"test_uncertainty {FITS} sources/test_jcgm_100 sources/test_scipy_optimize",
    "runout": f"test_runout {FITS} sources/test_numpy_fft",
    "_annulus": f"{BENDING}",
    "bending": BENDING,
    "pulls": BENDING,
    "coldset": f"test_alignment {FITS} | sources/test_scipy_integrate",
    "alignment": f"test_alignment {FITS} sources/test_jcgm_100 sources/test_nist_norris sources/test_scipy_optimize",
    "dropouts": f"test_dropouts {FITS}",
    "tacks": f"test_tacks {FITS} sources/test_hibbeler_two_forces sources/test_scipy_optimize",
    "_trims": f"test_butts {FITS}",
    "_trace": BUTTS,
    "butts": BUTTS,
    "_frame_base": FRAME,
    "_frame_solve": FRAME,
    "_frame_place": FRAME,
    "_frame_tubes": f"{FRAME} test_skeleton",
    "frame": FRAME,
    "fixture": f"test_fixture {FRAMES}",
    "_statics_arrays": STATICS,
    "_statics_check": STATICS,
    "_statics_members": STATICS,
    "_statics_model": STATICS,
    "_statics_system": STATICS,
    "statics": STATICS,
    "skeleton": f"test_skeleton {FRAMES}",
}

# (module, text of the line, what was done) → why no test can see it; "" stands for any.
REASONS: dict[tuple[str, str, str], str] = {}


def tests_of(name: str) -> list[str]:
    """Test files for a module."""
    return [f"tests/{one}.py" for one in dict.fromkeys(TESTS[name].split())]


def reason(name: str, line: str, what: str) -> str:
    """Why a mutant of this line may live; nothing if no reason is known."""
    return REASONS.get((name, line, what)) or REASONS.get((name, line, ""), "")
