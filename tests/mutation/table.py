"""Which tests judge which module when its formulas are broken, and why some mutants may live."""

from __future__ import annotations

import re

SHAPES = "test_refusals_shapes"
FITS = "test_refusals_fits test_fits_results"
FRAMES = "test_refusals_frame"

STATICS = (
    f"test_statics {FRAMES} test_statics_peers sources/test_calfem sources/test_logan "
    "sources/test_kassimali sources/test_gere_timoshenko | sources/test_timoshenko_ring"
)
FRAME = f"test_frame {FRAMES} sources/test_meijaard sources/test_moore_measured sources/test_cfr_1512 | sources/test_sympy_geometry sources/test_scipy_roots"
MITERS = (
    f"test_miters {SHAPES} sources/test_cylinder_developments sources/test_mathworld_steinmetz "
    "| sources/test_sympy_saddle sources/test_manifold_mesh"
)
BENDING = (
    f"test_bending {FITS} sources/test_aisc_bending | test_alignment sources/test_scipy_integrate"
)
FIT = f"test_fitting {FITS} sources/test_jcgm_100 sources/test_nist_norris sources/test_nist_noint1 sources/test_numpy_fft"
BUTTS = f"test_butts test_trace {FITS} | sources/test_scipy_optimize test_butts_traces"
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
    "units": f"test_units {SHAPES} sources/test_inch_sizes sources/test_wire_gauges",
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
    "shells": f"test_shells {SHAPES} sources/test_iso_6696 sources/test_asme_b1_13m",
    "vents": f"test_vents {SHAPES} sources/test_smith_van_ness sources/test_scipy_footprint",
    "beams": f"test_beams {FITS} sources/test_scipy_beams sources/test_cfr_1512_14 | sources/test_calfem_harbour",
    "tolerances": f"test_tolerances {FITS} sources/test_iso_2768",
    "_scalars": f"test_scalars test_tacks {FITS} test_uncertainty",
    "fitting": f"{FIT} test_tacks test_butts",
    "uncertainty": f"test_uncertainty {FITS} sources/test_jcgm_100 sources/test_scipy_optimize",
    "runout": f"test_runout {FITS} sources/test_numpy_fft",
    "_annulus": f"{BENDING}",
    "bending": f"sources/test_scipy_roots {BENDING}",
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
    "braze_ons": "test_braze_ons sources/test_sympy_geometry sources/test_machinerys_handbook_segments sources/test_scipy_optimize",
    "closure": "test_closure sources/test_traverse_sheet | sources/test_jcgm_100",
    "_statics_arrays": STATICS,
    "_statics_check": STATICS,
    "_statics_members": STATICS,
    "_statics_model": STATICS,
    "_statics_system": STATICS,
    "statics": STATICS,
    "skeleton": f"test_skeleton {FRAMES}",
}

# Why a mutant may live: (module, part of its line, start of what was done, or "" for all of it) → reason.
TOLERANCE = "both sides are equal only where rounding or a stated tolerance decides"
STEERS = "steers or starts a search; where it ends is fixed by the equations"
MORE = "more points, steps or trials of the same sum or search"
SPARE = "takes the place of a number that is not used there"
LAST_AXIS = "axis 1 is the last axis here"
LIMIT = "a limit of judgement, moved by a hundredth of itself"
TIES = {"Gt to GtE", "GtE to Gt", "Lt to LtE", "LtE to Lt"}  # all that a tolerance can excuse
SHAPE = "nought, there for its shape"
REASONS: dict[tuple[str, str, str], str] = {
    ("tubes", "(1 + 1e-12)", ""): TOLERANCE,
    (
        "tubes",
        "gone_a, gone_b =",
        "",
    ): "there the wall is the belly's own, whichever way it is found",
    ("tubes", "np.where(length > STEP", "1.0"): SPARE,
    ("tubes", "length > STEP", "Gt"): TOLERANCE,
    ("sections", "gauss(24)", ""): MORE,
    ("sections", "range(10)", ""): MORE,
    ("sections", "axis=-1", "drop"): LAST_AXIS,
    ("sections", "beside = np.abs(y)", ""): TOLERANCE,
    ("_saddle", "SLACK", "LtE"): TOLERANCE,
    ("_saddle", "CHUNK", ""): "how many rows are worked on at a time",
    ("_saddle", "rows = max", ""): "how many rows are worked on at a time",
    ("_saddle", "scratch = np.empty", ""): "how many rows are worked on at a time",
    ("_saddle", "gauss(96)", ""): MORE,
    ("_saddle", "clear < 1e-14", ""): TOLERANCE,
    ("_cuts", "self.bore > self.along", "Gt"): TOLERANCE,
    ("_cuts", "made.lengths[shortest] > 0", "Gt"): TOLERANCE,
    ("miters", "reshape(-1, 1)", ""): "the shape is the same",
    ("fitting", "_TRIALS", ""): MORE,
    ("fitting", "range(200)", ""): MORE,
    ("fitting", "damping", ""): STEERS,
    (
        "fitting",
        "left @ left <= residuals",
        "LtE",
    ): "a step that changes nothing ends the search either way",
    ("fitting", "_RANK", ""): TOLERANCE,
    ("_trims", "EXACT", ""): TOLERANCE,
    ("ovals", "width) < wall + middle", "Lt"): TOLERANCE,
    ("ovals", "other = 2.0 * round_axis", ""): STEERS,
    ("ovals", "range(60)", ""): MORE,
    ("ovals", "h = 1e-4", ""): STEERS,
    ("ovals", "slope = (ramanujan", ""): STEERS,
    ("ovals", "other / 8", ""): STEERS,
    ("ovals", "np.abs(step) <", ""): STEERS,
    ("ovals", "_POINTS = 64", ""): MORE,
    ("ovals", "low = wall", ""): "stands for a tube pressed all but flat",
    ("ovals", "require(left < width", "Lt"): TOLERANCE,
    ("ovals", "range(100)", ""): MORE,
    ("ovals", "np.abs(pressed - before)", ""): STEERS,
    ("_oval", "_ROUND =", ""): MORE,
    ("runout", "amount > 0, amount, 1.0", ""): SPARE,
    ("runout", "amount > 0", "Gt"): SPARE,
    ("runout", "360.0 - high < 1e-9", ""): TOLERANCE,
    ("alignment", "most - guard", "LtE"): TOLERANCE,
    ("alignment", "most + guard", "GtE"): TOLERANCE,
    ("frame", "zero = np.zeros_like(rear[0])", "0"): SHAPE,
    ("tacks", "reshape(-1", ""): "numpy takes any negative number for the open side",
    ("_statics_system", "CHUNK = 32", ""): "how many frames are worked on at a time",
    ("_statics_system", "SUSPECT", ""): TOLERANCE,
    ("_statics_system", "prepend=-1", ""): "no target is negative",
    (
        "_statics_system",
        "reshape(len(blocks), -1)",
        "",
    ): "numpy takes any negative number for the open side",
    ("_statics_system", "copy=False", ""): "whether a copy is made",
    (
        "_statics_system",
        "load: Array = 2 + np.sin",
        "",
    ): "any load without a pattern finds every mechanism",
    ("_statics_system", "writeable", ""): "guards what is kept; nobody writes to it",
    ("_statics_system", "np.where(diagonal > 0", ""): SPARE,
    ("_statics_system", "~(far < SUSPECT)", "Lt"): TOLERANCE,
    (
        "_statics_system",
        "np.isfinite(moved).all()",
        "",
    ): "after a singular matrix all movements are infinite",
    ("_statics_system", "if frames == 1 else 1", ""): "a column that is not read",
    ("_statics_system", "values < FREE", "Lt"): TOLERANCE,
    ("_statics_system", "np.sign(part", "Mult"): "to multiply or to divide by a sign is the same",
    ("_statics_system", "1 - 1e-6", "Gt"): TOLERANCE,
    ("_frame_solve", '": (', ""): STEERS,  # the rows of STARTS
    ("_frame_solve", "MOST_STARTS", ""): MORE,
    ("_frame_solve", "axis=-1", "drop"): LAST_AXIS,
    (
        "_frame_solve",
        "- {found} <= base.keys()",
        "",
    ): "what the closed forms leave, the search finds",
    ("_frame_solve", "again = True", ""): "what the closed forms leave, the search finds",
    ("_frame_solve", "AGREE / 100", ""): TOLERANCE,
    ("_frame_solve", "best = min(ended", ""): "which of the frames that miss is told of",
    ("_frame_solve", "shape = usual", ""): "where the slopes are taken that show what is free",
    (
        "_frame_solve",
        "refuse_unbuildable, hits[0]",
        "",
    ): "which of the frames that cannot be built is told of",
    ("_frame_solve", "range(60)", ""): MORE,
    ("_frame_solve", "range(30)", ""): MORE,
    ("_frame_solve", "max() < 1e-11", ""): STEERS,
    ("_frame_solve", "0.5**halving", ""): STEERS,
    ("_frame_solve", "new @ new < miss @ miss", "Lt"): STEERS,
    ("_frame_solve", "NEGLIGIBLE", ""): TOLERANCE,
    ("_frame_solve", "[:4]", ""): MORE,
    ("_frame_solve", "e[1] < AGREE", ""): TOLERANCE,
    ("_frame_solve", "> 1e-4", "Gt"): TOLERANCE,
    ("_frame_solve", "> 1e-4", "0.0001"): LIMIT,
    ("_frame_solve", "value(fits[0][0], name)", "0"): "any of those that fit",
    ("_frame_solve", "np.all(off < AGREE)", ""): "a second proof; the search refuses before it",
    ("statics", "+ np.zeros_like(run)", ""): "nought, there for its shape",
    ("statics", "+ 0 * round_it", ""): "nought, there for its shape",
    ("statics", "np.arange(PER_TAPER + 1)", "1 to 2"): "the end of a part looked at twice",
    ("statics", "(x < -1e-9)", ""): TOLERANCE,
    ("statics", "if model.frames > 1", ""): "two ways to the same sums",
    ("statics", "m.forced + np.zeros", ""): "nought, there for its shape",
    ("statics", "values.ndim == -axis", ""): "two ways to the same array",
    ("statics", "axis1", ""): LAST_AXIS,
    ("statics", "inner.reshape", ""): "the shape is the same",
    ("statics", "np.diff(bends)", ""): "the shape is the same",
    ("statics", "np.swapaxes(bend, -1, -2)", ""): "the shape is the same",
    ("statics", "plan is None or len(blocks)", ""): "two ways to the same sums",
    ("_statics_members", "leggauss(8)", ""): MORE,
    ("_statics_members", "_SIDE =", ""): "only its direction square to an upright member counts",
    ("_statics_members", "half = np.diff", "drop"): LAST_AXIS,
    ("_statics_members", "place = (at", "Add"): "the points of Gauss lie evenly about the middle",
    ("_statics_members", "inside = np.clip", ""): "inside a butt of one wall",
    ("_statics_members", "*lean, *lean], axis=-1)", ""): LAST_AXIS,
    ("_statics_members", "np.zeros(4)", ""): "nought, there for its shape",
    ("_statics_members", "[..., 2:9]", ""): "a column that is not read",
    ("_statics_members", "[..., 11:14:2]", ""): "a slice that ends at the same number",
    ("_statics_members", "k[..., 7:15:7]", ""): "a slice that ends at the same number",
    (
        "_statics_members",
        "k[..., 11:17:5]",
        "",
    ): "a slice that ends at the same number; by ±1 to multiply is to divide",
    ("_statics_members", "-_HAND[:, None]", "Mult"): "by ±1 to multiply is to divide",
    ("_statics_members", "level < 1e-5", ""): TOLERANCE,
    ("_statics_members", "np.where(upright, 1.0", ""): SPARE,
    ("_statics_members", "side - 0 * x", ""): "nought, there for its shape",
    ("_statics_members", "keepdims=True) * x", ""): LAST_AXIS,
    ("_statics_members", "size > 1e-9", ""): TOLERANCE,
    ("_statics_members", "(*axis.shape[:-2], 6, 12)", ""): "the shape is the same",
    ("_statics_model", "start == 0 and stop", ""): "a part that is the whole, made anew",
    ("_statics_model", "0 * length", ""): "nought, there for its shape",
    ("_statics_model", "+ 0.0 * length", ""): "nought, there for its shape",
    ("_statics_model", "np.clip(along - ahead, 0.0", "0.0"): "inside a butt of one wall",
    ("_statics_model", "wall), 0.0)", ""): "Poisson's ratio is not read where shear is left out",
    ("_statics_model", "own.tube, 0.0)", ""): "Poisson's ratio is not read where shear is left out",
    ("_statics_model", "if m.shear else 0", ""): "not read where shear is left out",
    ("_statics_model", "(1.0,) * 6", ""): SPARE,
    ("_statics_model", "numbers[..., :6]", ""): "a column that is not read",
    (
        "_statics_model",
        "free.cumsum() - 1, -1)",
        "1",
    ): "any negative number says that there is no equation",
    (
        "_statics_model",
        "reshape(len(load), -1)",
        "",
    ): "numpy takes any negative number for the open side",
    ("_statics_arrays", "if not self.batch or", ""): "two ways to the same array",
    ("_statics_arrays", "-1)", "1 to 2"): "numpy takes any negative number for the open side",
    ("_statics_arrays", "every = np.empty(0)", ""): "an array that is not read",
    ("_statics_arrays", "every.shape ==", "3"): "the slower way to the same positions",
    ("_statics_check", "if (length > 0).all()", ""): "the quick way past the loop below",
    ("_statics_check", "over > 1e-6", ""): TOLERANCE,
    ("_frame_base", "top > 0,", "Gt"): TOLERANCE,
    ("_frame_base", "+ 1.0}", ""): "a front centre long enough, whatever it is",
    ("_frame_base", "<= b.keys()", ""): "the dimensions are never these alone",
    ("_annulus", "_NODES, _WEIGHTS", ""): MORE,
    ("_annulus", "leggauss(48)", ""): MORE,
    (
        "_annulus",
        "annulus(outside + 0 * depth)",
        "",
    ): "nought, there for its shape; at a ratio of 1 both are nought",
    ("_annulus", "safe = np.where", ""): SPARE,
    ("_annulus", "np.clip(v / safe", ""): "the share lies within 0 and 1 but for rounding",
    (
        "_annulus",
        "middle[..., None] + half",
        "Add",
    ): "the points of Gauss lie evenly about the middle",
    ("_annulus", "c = np.where(a > 0", ""): SPARE,
    ("pulls", "stays = np.where(kappa > first", "Gt"): TOLERANCE,
    ("pulls", "cantilever(1e6 * first", ""): "a clamp bent so far is a hinge",
    ("pulls", "require(wanted < most", "Lt"): TOLERANCE,
    ("pulls", "low, high = np.full", ""): STEERS,
    ("pulls", "range(80)", ""): MORE,
    ("pulls", "far = angle - back", "Gt to GtE"): STEERS,
    (
        "coldset",
        "first * last < 0",
        "",
    ): "a lean of nought is within every limit; a sign is the same by * and /",
    ("tacks", "sizes.min() + _SAME", "LtE"): TOLERANCE,
    ("tacks", "grid", ""): STEERS,
    ("tacks", "long = np.linalg.norm", ""): STEERS,
    ("tacks", "long = np.where(long > 0", ""): STEERS,
    ("tacks", "first = shadow[top]", ""): STEERS,
    ("tacks", "shadow = columns", ""): STEERS,
    ("tacks", "sizes = np.linalg.norm(pull", "1.0"): "every order's size alike",
    ("tacks", "_LEAST_PULL * np.abs(tilts).max", ""): TOLERANCE,
    ("tacks", "if u_start > 0 else 0.0", ""): "only where no reading scatters at all",
    ("butts", "_MISFIT = 2.0", ""): LIMIT,
    ("butts", "_WAVY = 0.01", ""): LIMIT,
    ("butts", "for end in (0, -1)]", ""): "any number but 0 stands for end b",
    (
        "butts",
        "share = np.where(x[2:] > x[:-2]",
        "",
    ): "of three readings at one place, for the noise alone",
    ("butts", "trace.scatter <= max", "LtE"): TOLERANCE,
    ("butts", "np.zeros(covariance.shape[0])", ""): "the matrix is square",
    ("butts", "_trims.EXACT", "Gt"): TOLERANCE,
    ("butts", "_trims.EXACT", "LtE"): TOLERANCE,
    ("uncertainty", "_MANY", ""): "there both ways to the share agree",
    ("uncertainty", "isinf(freedom) or", ""): "there both ways to the share agree",
    ("uncertainty", "np.clip(0.5 + 0.5", "1.0"): "the share is below 1 but for rounding",
    ("uncertainty", "low, high =", ""): STEERS,
    ("uncertainty", "while share_below", "Lt"): STEERS,
    ("uncertainty", "range(60)", ""): MORE,
    ("uncertainty", "else np.zeros(1)", "1 to 2"): "noughts, however many",
    ("_frame_place", "np.abs(passing) < far", "Lt"): TOLERANCE,
    ("_frame_place", "np.abs(own.above_shell) < far", "Lt"): TOLERANCE,
    (
        "_frame_place",
        "return _dot(at - head.start, up)",
        "",
    ): "only the difference of two of these is read",
    ("_frame_place", "v * np.array([1.0, 1.0, -1.0])", "Mult"): "by ±1 to multiply is to divide",
    ("_frame_place", "away = _scaled(np.where(cos < -1e-12, 1.0, -1.0)", "Lt"): TOLERANCE,
    (
        "_frame_place",
        "away = _scaled(np.where(cos < -1e-12, 1.0, -1.0)",
        "1.0",
    ): "made a unit vector afterwards",
    (
        "_frame_place",
        "away = _scaled(np.where(cos < -1e-12, 1.0, -1.0)",
        "drop USub",
    ): "a tolerance for the square corner",
    ("_frame_place", "require(above < 0", "Lt"): TOLERANCE,
    ("_frame_place", "require(room > 0", "Gt"): TOLERANCE,
    ("_frame_place", "require(_dot(way, way) > 1e-6", "Gt"): TOLERANCE,
    (
        "_frame_place",
        "way = _point(points, high)",
        "",
    ): "a head tube of nought is refused when the frame is drawn; of the seat tube's ends one is the origin",
    ("_frame_place", '+ 0 * _point(points, "bb")', "Add"): SHAPE,
    ("_frame_place", '+ 0 * _point(points, "bb")', "0 to 1"): SHAPE,
    ("_frame_place", '+ 0 * _point(points, "bb")', "1.0"): "a line that stands for a direction",
    ("_trace", "_COARSE = 36", ""): MORE,
    ("_trace", "_BINS = 72", ""): MORE,
    ("_trace", "_FINE = 33", ""): MORE,
    ("_trace", "_BUTT_COST = 8.0", ""): LIMIT,
    ("_trace", "cost = 1 + self.tilt", "1 to 2"): "adds the same to every case that is weighed",
    ("_trace", "cost = 1 + self.tilt", "Add"): "adds the same to every case that is weighed",
    ("_trace", "np.log(max(self.misfit / n", "Div"): "adds the same to every case that is weighed",
    ("_trace", 'knots = {"b": (float(x.mean())', ""): STEERS,
    ("_trace", "for _ in range(3 if len(sides)", ""): STEERS,
    ("_trace", "np.triu_indices(_COARSE", ""): STEERS,
    ("_trace", "safe = np.where(length > 1e-9", ""): TOLERANCE,
    ("_trace", "step = np.maximum(own @ rest", "0.0"): "a step too slight for any dial",
    ("_trace", "if (steps > 0).all()", "Gt to GtE"): TOLERANCE,
    ("_trace", "reshape(-1, 2)", "1 to 2"): "numpy takes any negative number for the open side",
    ("_trace", "least = 1e-3", ""): "a least taper, far below the step between readings",
    (
        "_trace",
        "gaps = np.diff(flat)[::2]",
        "",
    ): "a least taper, far below the step between readings",
    (
        "_trace",
        "inside = flat.size == 0",
        "to Or",
    ): "the places are held to the trace again when they are summed",
    ("_trace", "return bool(inside and", "Gt to GtE"): TOLERANCE,
    ("_trace", "return bool(inside and", "GtE to Gt"): "a tube without a belly between its tapers",
    (
        "_trace",
        "return bool(inside and",
        "0 to 1",
    ): "a taper in the wrong order is refused as too short, too",
    (
        "_trace",
        "return bool(inside and",
        "all to any",
    ): "what one bound lets through the others stop",
    ("_trace", "inside = (x > start) & (x < stop)", "Gt to GtE"): "a reading just at a knot",
    ("_trace", "inside = (x > start) & (x < stop)", "Lt to LtE"): "a reading just at a knot",
    ("_trace", "* sign / (stop - start)", "Mult"): "by ±1 to multiply is to divide",
    ("_trace", "reach = np.where(one > 0", ""): STEERS,
    ("_trace", "for _ in range(8)", ""): MORE,
    ("_trace", "wide = np.array", ""): STEERS,
    ("_trace", "coarse = sd <", ""): STEERS,
    ("_trace", "if not (wide | coarse).any()", ""): STEERS,
    ("_trace", "wide, 1.7 * reach", ""): STEERS,
    ("_trace", "good = (start >= low)", ""): "a single place on the edge of many",
    ("_trace", "np.where(good, stop, start + 1.0)", ""): SPARE,
    (
        "_trace",
        "weight = np.exp(log - log.max())",
        "",
    ): "the weights are scaled to a sum of 1 afterwards",
    (
        "_annulus",
        "np.where(depth < radius, within, beyond)",
        "Lt to LtE",
    ): "there both are the same",
    ("vents", "STATIONS = 3600", ""): MORE,
    ("vents", "step = 2 * np.pi / STATIONS", ""): STEERS,
    ("vents", "at = np.arange(STATIONS) * step", ""): STEERS,
    ("vents", "for _ in range(3)", ""): MORE,
    ("vents", "at, step = best +", ""): STEERS,
    ("vents", "inside = abs(off[1]) < r", "Lt to LtE"): TOLERANCE,
    ("vents", "inside = abs(off[1]) < r", "LtE to Lt"): TOLERANCE,
    ("vents", "(1 if inside else -1)", "Mult"): "by ±1 to multiply is to divide",
    ("vents", "np.clip(r * np.cos(at) / big", "1.0"): "within ±1 but for rounding",
    ("_fillets", "STEPS = 4320", ""): MORE,
    ("_fillets", "wide = x > 1e-2", ""): "there the series and the closed form agree",
    ("_fillets", "safe = np.where(wide", ""): SPARE,
    (
        "_fillets",
        "flat = x / 3 - 4 * x**3 / 45",
        "45",
    ): "the last term of the series, below rounding where it is used",
    ("_fillets", "1e-18 * R * R", "Mult"): "a floor far below any height",
    ("_fillets", "between = np.clip", "1.0"): "within ±1 but for rounding",
    ("closure", "ways = [_way(down)", "Add"): "a whole turn more or less",
    ("closure", "np.minimum(across, 1.0)", "1.0"): "a sine is at most 1 but for rounding",
    ("closure", "long=np.shape(long)", ""): "for the message; lists are in one row there",
    ("closure", "np.linalg.norm(beside, axis=-1)", "drop"): LAST_AXIS,
    ("braze_ons", "past >= -1e-12 * reach", ""): TOLERANCE,
    ("braze_ons", "0.0 * angle", ""): SHAPE,
    ("braze_ons", "long = np.linalg.norm(ways", "drop"): LAST_AXIS,
    ("braze_ons", "where=long > 0", ""): "two corners in one place give no way to look along",
    (
        "braze_ons",
        "long[..., 0] > 0",
        "Gt to GtE",
    ): "two corners in one place give no way to look along",
    ("braze_ons", "long[..., 0] > 0", "drop"): LAST_AXIS,
    (
        "braze_ons",
        "square = np.stack",
        "drop USub",
    ): "both ways are taken of each, and a bottle is a rectangle",
    (
        "braze_ons",
        "return np.concatenate([square, -square]",
        "drop",
    ): "a rectangle's edges come in pairs",
    (
        "vents",
        "apart = np.hypot(along - off",
        "Sub",
    ): "the edge is the same on both sides of the middle",
    (
        "vents",
        "return float(np.min(apart))",
        "min to max",
    ): "the last places lie within a millionth of each other",
    (
        "braze_ons",
        "edge = np.roll(corners, -1",
        "drop",
    ): "each edge from its other end; both ways are taken",
    ("_saddle", "slope = (climb + back", "Add"): "both signs of it are summed",
    ("skeleton", "if frame.tubes is None or not {", "LtE"): "a placed frame has other tubes, too",
    ("skeleton", "0.0 * np.asarray(xy[0])", "0 to 1"): SHAPE,
    ("skeleton", "np.abs(line.start) > 1e-9", "Gt to GtE"): TOLERANCE,
    ("_trace", "first = 1 + trace.tilt", ""): STEERS,
    ("_trace", "grid = centre[:, None] + reach", "Add"): "the grid lies evenly about the middle",
}


def tests_of(name: str, again: bool = False) -> list[str]:
    """Test files for a module; those after | take long and judge only what lived, `again`."""
    lists = TESTS[name].split("|")[: 2 if again else 1]
    return [f"tests/{one}.py" for one in dict.fromkeys(" ".join([*lists, "test_defaults"]).split())]


def reason(name: str, line: str, what: str) -> str:
    """Why a mutant of this line may live; nothing if no reason is known."""
    if re.match(r"[\d.]+e-\d+ to", what):
        return "a tolerance or a start, moved by a hundredth of itself"
    turned = re.match(r"([GL]tE? to [GL]tE?|drop Not|to (And|Or))$", what) and what not in TIES
    known = (
        r
        for (n, part, did), r in REASONS.items()
        if n == name and part in line and what.startswith(did) and not (turned and r is TOLERANCE)
    )
    return next(known, "")
