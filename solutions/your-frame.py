"""Answers and slips of `your-frame`. Instructor only."""

from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, sqrt, tan

from coursekit import butts, closure, fixture, frame, miters
from coursekit.classroom.bank.keys import Key

key = Key("your-frame")

DRIVING = ("seat_angle_deg", "head_angle_deg", "chainstay", "bb_drop", "wheel_radius")
DRIVING += ("fork_length", "fork_offset", "lower_stack", "head_tube", "seat_tube", "front_centre")
LEGS = ("down", "head", "top", "seat")
TOP, DOWN, HEAD = 28.6, 31.8, 36.0  # mm, the example file's tubes
SEAT, SHELL, STAY = 28.6, 40.0, 22.2
BOUGHT, BUTT_A, BUTT_B = 640.0, 110.0, 130.0  # of the top tube
UPPER_WALL, LOWER_WALL, WIDTH = 0.6, 0.9, 68.0
MARGIN = 30.0
BACKS = 30.0, 35.0  # from the top tube's crossings to its marks, as the question says
BEFORE = (
    ("print the dossier", "saw and miter"),
    ("print the dossier", "set the fixture"),
    ("saw and miter", "tack"),
    ("set the fixture", "tack"),
    ("tack", "braze"),
    ("braze", "read the record"),
)


@lru_cache(maxsize=256)
def _model(*values):
    """The frame as drawn: fixture readings, legs of the walk, joints and cuts of the top tube."""
    own = frame.draw(**dict(zip(DRIVING, values, strict=True))).place(
        top_tube=frame.TopTube(TOP, 15.0, below_seat_top=30.0),
        down_tube=frame.DownTube(DOWN, 12.0),
        seat_tube=SEAT,
        head_tube=HEAD,
        shell=SHELL,
    )
    down, top = own.tubes.axes["down_tube"], own.tubes.axes["top_tube"]
    points = [(0.0, 0.0), down.end[:2], top.end[:2], top.start[:2], (0.0, 0.0)]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    legs = [(hypot(*s), degrees(atan2(s[1], s[0])) % 360) for s in steps]
    joints = [float(own.joints[f"top_tube-{n}"].angle_deg) for n in ("seat_tube", "head_tube")]
    return own, legs, joints, _top_cut(float(top.length), joints)


def _top_cut(length, joints):
    """What is sawn off the top tube, and where its marks lie from its end a as bought, mm."""
    ends = [miters.saddle(TOP, into, j)[1] for into, j in zip((SEAT, HEAD), joints, strict=True)]
    excess = BOUGHT - (length - ends[0].min() - ends[1].min())
    keep = [butts.keep(e.max() - e.min(), MARGIN) for e in ends]
    least, most = butts.window(excess, BUTT_A - keep[0], BUTT_B - keep[1])
    backs = [5.0 * -(-(float(e.max()) + 9.0) // 5) for e in ends]
    start = float(most - ends[0].min())  # where the crossing at the seat tube lies
    return {
        "least": float(least),
        "most": float(most),
        "off": (float(most), float(excess - most)),
        "backs": backs,
        "marks": (start + backs[0], start + length - backs[1]),
    }


def model(n):
    """What follows from the student's own drawing."""
    return _model(*(float(getattr(n, d)) for d in DRIVING))


@key.makes("rear_back", "head_ahead", "axle_along")
def _(n, chance):
    s = fixture.settings(model(n)[0])
    return s.rear_back, s.head_ahead, s.axle_along


@key.makes("seat_joint", "head_joint")
def _(n, chance):
    return model(n)[2]


@key.makes("mark_a", "mark_b", "off_seat", "off_head")
def _(n, chance):
    cut = model(n)[3]
    return (*cut["marks"], *cut["off"])


@key.makes(*(f"{leg}_{what}" for leg in LEGS for what in ("axis", "way")))
def _(n, chance):
    """Readings off the drawing, with scatter; one length is misread by a centimetre or two."""
    wrong = ("down", "top", "head", "seat", "top", "down")[int(6 * chance.random())]
    amount = (10.0, -10.0, 20.0, -20.0)[int(4 * chance.random())]
    made = []
    for leg, (length, way) in zip(LEGS, model(n)[1], strict=True):
        slip = amount if leg == wrong else 0.0
        made += [length + slip + chance.gauss(0, n.tape_u), way + chance.gauss(0, 0.7 * n.way_u)]
    return made


@key.sound
def the_example_tubes_do(n):
    """The top tube can be cut from its tube with full walls, and both tyres have room."""
    own, legs, _, cut = model(n)
    if (
        cut["most"] - cut["least"] < 3.0
        or not 35.0 <= legs[1][0] <= 95.0
        or cut["off"][1] < 2.0
        or tuple(cut["backs"]) != BACKS
    ):
        return False
    back, lean = own.points["rear_axle"], radians(n.seat_angle_deg)
    to_seat = -back[0] * sin(lean) - back[1] * cos(lean) - SEAT / 2
    slope = radians(legs[0][1])
    x, y = own.points["front_axle"]
    to_down = x * sin(slope) - y * cos(slope) - DOWN / 2
    return min(to_seat, to_down, n.fork_length - 15) - n.wheel_radius >= 5


@key.sound
def the_gap_points_at_one_leg(n):
    """The gap is larger than readings alone explain, and lies along one leg, not near another."""
    walk = walked(n)
    apart = sorted((off, kind) for kind, off in directions_off(n).items())
    return (
        walk.distance > 3 * spread(n)
        and apart[0][0] < 14
        and apart[1][0] > 28
        and min(abs(walk.misclosure)) > 0.8
    )


def axes(n):
    """Lengths of the four legs as read, mm."""
    return [getattr(n, f"{leg}_axis") for leg in LEGS]


def ways(n):
    """Their directions as read, degrees."""
    return [getattr(n, f"{leg}_way") for leg in LEGS]


def walked(n):
    """The walk as read off the drawing."""
    return closure.traverse(axes(n), ways(n))


def directions_off(n):
    """How far the gap's direction is off each kind of leg, degrees."""
    down, head, top, seat = map(float, walked(n).apart_deg)
    return {"down": down, "top": top, "upright": min(head, seat)}


def spread(n):
    """Standard uncertainty of the gap, mm."""
    return float(closure.allowance(axes(n), n.tape_u, n.way_u))


def right_runs(n):
    """How far forward each leg goes, mm."""
    return [float(a * cos(radians(w))) for a, w in zip(axes(n), ways(n), strict=True)]


def right_rises(n):
    """How far up each leg goes, mm."""
    return [float(a * sin(radians(w))) for a, w in zip(axes(n), ways(n), strict=True)]


# Wheelbase from the drawing


@key.answer("wheelbase-drawing")
def _(n):
    return float(model(n)[0].wheelbase)


@key.slip("wheelbase-drawing")
def straight_lengths(n):
    """You added chainstay and front centre as they slope. The wheelbase runs level."""
    return float(n.chainstay + n.front_centre)


@key.slip("wheelbase-drawing", credit=0.5)
def one_side_level(n):
    """You took the drop out of the chainstay alone. The front centre slopes too."""
    return sqrt(n.chainstay**2 - n.bb_drop**2) + n.front_centre


@key.slip("wheelbase-drawing")
def squares_added(n):
    """You added the squares. The straight length is the longest side of its triangle."""
    return hypot(n.chainstay, n.bb_drop) + hypot(n.front_centre, n.bb_drop)


# Wheelbase from the fixture


def from_fixture(n, along=-1.0, ahead=1.0):
    """Wheelbase by the fixture's readings, mm; `along` and `ahead` weigh arm and offset."""
    lean = radians(n.head_angle_deg)
    return (
        n.rear_back
        + n.head_ahead
        + along * n.axle_along * cos(lean)
        + ahead * n.fork_offset * sin(lean)
    )


@key.answer("wheelbase-fixture")
def _(n):
    return from_fixture(n)


@key.slip("wheelbase-fixture", credit=0.25)
def offset_forgotten(n):
    """You stopped at the foot on the head arm. The axle stands the fork's offset before the arm."""
    return from_fixture(n, ahead=0.0)


@key.slip("wheelbase-fixture", credit=0.5)
def offset_laid_level(n):
    """You laid the offset level. It is square to the arm, so only its sine share runs forward."""
    return from_fixture(n, ahead=1 / sin(radians(n.head_angle_deg)))


@key.slip("wheelbase-fixture", credit=0.5)
def arm_leans_forward(n):
    """You went forward up the arm. The arm leans back: what goes up goes back."""
    return from_fixture(n, along=1.0)


@key.slip("wheelbase-fixture", credit=0.25)
def foot_forgotten(n):
    """You left out the way up the arm. From the rail to the foot it leans back."""
    return from_fixture(n, along=0.0)


# What two ways can't see


@key.answer("unseen")
def _(n):
    return "file"


@key.slip("unseen")
def the_arm(n):
    """That changes one way and not the other, so the two would differ by it."""
    return "card"


@key.slip("unseen")
def the_foot(n):
    """That stands in one of the two sums alone, so they would differ."""
    return "foot"


# How far along goes each leg?


@key.answer("runs")
def _(n):
    return right_runs(n)


@key.slip("runs", credit=0.25)
def rises_for_runs(n):
    """Those are the rises. Forward is the cosine of a direction counted from forward."""
    return right_rises(n)


@key.slip("runs", credit=0.5)
def all_forward(n):
    """You left the signs out. The steering axis and the top tube bring you backward."""
    return [abs(r) for r in right_runs(n)]


@key.slip("runs")
def degrees_for_radians(n):
    """The program's cosine wants radians; you gave it degrees."""
    return [float(a * cos(w)) for a, w in zip(axes(n), ways(n), strict=True)]


# Where the walk ends


def total(n, earlier):
    """Sum of the runs as the student has them, and of the rises, mm."""
    return float(sum(earlier["runs"])), float(sum(right_rises(n)))


@key.answer("closing", after=("runs",))
def _(n, earlier):
    return total(n, earlier)


@key.slip("closing", credit=0.5)
def way_home(n, earlier):
    """That is the way from the end back to the start. The gap runs from the start to the end."""
    along, up = total(n, earlier)
    return -along, -up


@key.slip("closing", credit=0.25)
def all_upward(n, earlier):
    """You counted every leg as a rise. The seat tube brings you down, the top tube nearly level."""
    along, _ = total(n, earlier)
    return along, float(sum(abs(r) for r in right_rises(n)))


@key.slip("closing", credit=0.25)
def cosines_twice(n, earlier):
    """You added the runs for both. A rise is length times sine."""
    along, _ = total(n, earlier)
    return along, along


# The gap


@key.answer("gap", after=("closing",))
def _(n, earlier):
    return hypot(*earlier["closing"])


@key.slip("gap")
def added_up(n, earlier):
    """You added the two. They stand square to each other: it takes the right triangle."""
    return abs(earlier["closing"][0]) + abs(earlier["closing"][1])


@key.slip("gap", credit=0.5)
def root_forgotten(n, earlier):
    """You added the squares and stopped there. The root is still to be taken."""
    return earlier["closing"][0] ** 2 + earlier["closing"][1] ** 2


# What readings alone may do


@key.answer("allowance")
def _(n):
    return spread(n)


@key.slip("allowance")
def all_the_same_way(n):
    """You added them straight, as if all were off the same way.

    Independent readings add as squares.
    """
    return 4 * n.tape_u + sum(axes(n)) * radians(n.way_u)


@key.slip("allowance", credit=0.25)
def lengths_alone(n):
    """Those are the lengths alone.

    A direction that is off moves the far end of its leg sideways.
    """
    return 2 * n.tape_u


@key.slip("allowance", credit=0.25)
def directions_alone(n):
    """Those are the directions alone. The four lengths have an uncertainty of their own."""
    return float(closure.allowance(axes(n), 0.0, n.way_u))


@key.slip("allowance")
def angle_left_in_degrees(n):
    """You left the angle in degrees. A sideways move is length times angle in radians."""
    return sqrt(sum(n.tape_u**2 + (a * n.way_u) ** 2 for a in axes(n)))


# Which leg lies along the gap?


def by_fit(n):
    """Kinds of legs, the one along the gap first."""
    return sorted(directions_off(n), key=lambda kind: directions_off(n)[kind])


@key.answer("suspect")
def _(n):
    return by_fit(n)[0]


@key.slip("suspect")
def nearly_square(n):
    """That leg stands nearest to square to your gap. A wrong length opens a gap along itself."""
    return by_fit(n)[2]


@key.slip("suspect")
def second_best(n):
    """There is another leg whose direction fits better.

    A leg lies along the gap either way round.
    """
    return by_fit(n)[1]


# The top tube from the cut list


@key.answer("top-tube-axis")
def _(n):
    apart = float(n.mark_b - n.mark_a)
    return apart, apart + sum(BACKS)


@key.slip("top-tube-axis", credit=0.5)
def marks_taken_off(n):
    """The crossings lie beyond the marks, out of the tube: their distances are added."""
    apart = float(n.mark_b - n.mark_a)
    return apart, apart - sum(BACKS)


@key.slip("top-tube-axis", credit=0.5)
def one_end_alone(n):
    """You added one end's distance. There is a crossing at each end."""
    apart = float(n.mark_b - n.mark_a)
    return apart, apart + BACKS[0]


@key.slip("top-tube-axis", credit=0.5)
def marks_are_the_axis(n):
    """You took the marks for the crossings. They lie on the tube, short of both."""
    apart = float(n.mark_b - n.mark_a)
    return apart, apart


# The top tube's underside


def reach(into, angle_deg, side, tube=TOP):
    """From crossing to cut in the frame's plane, mm; side +1 is the acute corner, −1 the obtuse."""
    turn = radians(angle_deg)
    return into / 2 / sin(turn) + side * tube / 2 / tan(turn)


@key.answer("underside", after=("top-tube-axis",))
def _(n, earlier):
    return (
        earlier["top-tube-axis"][1] - reach(SEAT, n.seat_joint, 1) - reach(HEAD, n.head_joint, -1)
    )


@key.slip("underside")
def to_the_axes(n, earlier):
    """That is the length from axis to axis.

    The tube ends at the skin of the tubes that it meets.
    """
    return earlier["top-tube-axis"][1]


@key.slip("underside", credit=0.5)
def acute_twice(n, earlier):
    """You took the acute corner at both ends.

    Along the underside it is acute at the seat tube alone.
    """
    return earlier["top-tube-axis"][1] - reach(SEAT, n.seat_joint, 1) - reach(HEAD, n.head_joint, 1)


@key.slip("underside", credit=0.25)
def straight_off(n, earlier):
    """You took half of each tube off, as if it met them square.

    On a slant the cut reaches further.
    """
    return earlier["top-tube-axis"][1] - SEAT / 2 - HEAD / 2


@key.slip("underside", credit=0.25)
def whole_diameters(n, earlier):
    """You used diameters where the sum wants radii."""
    return (
        earlier["top-tube-axis"][1]
        - 2 * reach(SEAT, n.seat_joint, 1)
        - 2 * reach(HEAD, n.head_joint, -1)
    )


# What is sawn, what is left


@key.answer("trims")
def _(n):
    return float(BOUGHT - n.off_seat - n.off_head), BUTT_A - n.off_seat, BUTT_B - n.off_head


@key.slip("trims", credit=0.5)
def ends_swapped(n):
    """You took each cut off the other end's butt."""
    return float(BOUGHT - n.off_seat - n.off_head), BUTT_A - n.off_head, BUTT_B - n.off_seat


@key.slip("trims", credit=0.5)
def one_cut_alone(n):
    """The piece has lost both ends, not only the first."""
    return float(BOUGHT - n.off_seat), BUTT_A - n.off_seat, BUTT_B - n.off_head


@key.slip("trims", credit=0.25)
def what_came_off(n):
    """Those lie on the floor. What is left on the tube was asked."""
    return float(n.off_seat + n.off_head), float(n.off_seat), float(n.off_head)


# Three small rooms


def rooms(n):
    """Gap, opening and room beside a chainstay, mm."""
    bore, wide = TOP - 2 * UPPER_WALL, SEAT - 2 * LOWER_WALL
    return (bore - n.plug) / 2, float(wide - 2 * n.land), (WIDTH - n.stays_apart - STAY) / 2


@key.answer("rooms")
def _(n):
    return rooms(n)


@key.slip("rooms", credit=0.67)
def gap_of_both_sides(n):
    """Your gap is that of both sides together. A side has half of it."""
    gap, hole, room = rooms(n)
    return 2 * gap, hole, room


@key.slip("rooms", credit=0.67)
def land_counted_once(n):
    """You took the land off once. It stands on both sides of the opening."""
    gap, hole, room = rooms(n)
    return gap, hole + n.land, room


@key.slip("rooms", credit=0.67)
def both_faces(n):
    """Your room is that of both faces together. Each chainstay has half of it."""
    gap, hole, room = rooms(n)
    return gap, hole, 2 * room


@key.slip("rooms", credit=0.67)
def land_inside_the_outside(n):
    """You began at the tube's outside. The land lies inside its bore, two walls less."""
    gap, hole, room = rooms(n)
    return gap, hole + 2 * LOWER_WALL, room


# In what order?


@key.answer("evening")
def _(n):
    return (
        "print the dossier",
        "saw and miter",
        "set the fixture",
        "tack",
        "braze",
        "read the record",
    )


@key.score("evening")
def by_what_needs_what(n, order):
    """Full marks where each step comes after the steps it needs."""
    place = {step: i for i, step in enumerate(order)}
    broken = [(a, b) for a, b in BEFORE if place[a] > place[b]]
    if not broken:
        return 1.0, "Everything comes after what it needs; saw and fixture may change places."
    share = max(0.0, 1 - len(broken) / 3)
    return share, f"“{broken[0][0]}” has to come before “{broken[0][1]}”."


@key.slip("evening")
def tacked_freehand(n):
    """You tacked before the fixture was set.

    Then the tacks hold the frame where it happened to lie.
    """
    return (
        "print the dossier",
        "saw and miter",
        "tack",
        "set the fixture",
        "braze",
        "read the record",
    )


@key.slip("evening")
def sawn_first(n):
    """You sawed before there was a cut list."""
    return (
        "saw and miter",
        "print the dossier",
        "set the fixture",
        "tack",
        "braze",
        "read the record",
    )


# Practice cards


@key.answer("practice-wheelbase")
def _(n):
    return sqrt(n.chainstay**2 - n.bb_drop**2) + sqrt(n.front_centre**2 - n.bb_drop**2)


@key.slip("practice-wheelbase")
def practice_straight(n):
    """Both slope; take their level runs."""
    return float(n.chainstay + n.front_centre)


@key.slip("practice-wheelbase")
def practice_half(n):
    """Both of them, not only the rear."""
    return sqrt(n.chainstay**2 - n.bb_drop**2) + n.front_centre


@key.answer("practice-run")
def _(n):
    return n.down_axis * cos(radians(n.down_way))


@key.slip("practice-run")
def practice_sine(n):
    """That is how high it rises."""
    return n.down_axis * sin(radians(n.down_way))


@key.slip("practice-run")
def practice_radians(n):
    """Your calculator counts in radians. Set it to degrees."""
    return n.down_axis * cos(n.down_way)


@key.answer("practice-rise")
def _(n):
    return n.down_axis * sin(radians(n.down_way))


@key.slip("practice-rise")
def practice_cosine(n):
    """That is how far forward it goes."""
    return n.down_axis * cos(radians(n.down_way))


@key.slip("practice-rise")
def practice_tangent(n):
    """The tangent belongs to the run; the length is the longest side."""
    return n.down_axis * tan(radians(n.down_way))


@key.answer("practice-leg")
def _(n):
    return hypot(n.tape_u, n.down_axis * radians(n.way_u))


@key.slip("practice-leg")
def practice_sum(n):
    """As the right triangle, not as a sum."""
    return n.tape_u + n.down_axis * radians(n.way_u)


@key.slip("practice-leg")
def practice_sideways(n):
    """The length has its own uncertainty as well."""
    return n.down_axis * radians(n.way_u)


@key.answer("practice-marks")
def _(n):
    return float(n.mark_b - n.mark_a + 65)


@key.slip("practice-marks")
def practice_inward(n):
    """The crossings lie outside of the marks: add."""
    return float(n.mark_b - n.mark_a - 65)


@key.slip("practice-marks")
def practice_marks_alone(n):
    """That is from mark to mark."""
    return float(n.mark_b - n.mark_a)


@key.answer("practice-trims")
def _(n):
    return float(BOUGHT - n.off_seat - n.off_head)


@key.slip("practice-trims")
def practice_floor(n):
    """That lies on the floor."""
    return float(n.off_seat + n.off_head)


@key.slip("practice-trims")
def practice_one_cut(n):
    """Two cuts, two ends."""
    return float(BOUGHT - n.off_seat)


@key.answer("practice-sleeve")
def _(n):
    return (TOP - 2 * UPPER_WALL - n.plug) / 2


@key.slip("practice-sleeve")
def practice_both(n):
    """Half of it on each side."""
    return TOP - 2 * UPPER_WALL - n.plug


@key.slip("practice-sleeve")
def practice_one_wall(n):
    """A wall was forgotten: there is one on each side of the bore."""
    return (TOP - UPPER_WALL - n.plug) / 2


@key.answer("practice-version")
def _(n):
    return "all"


@key.slip("practice-version")
def practice_one_page(n):
    """You can't see which page is the old one, and one changed number moves many pages."""
    return "page"


@key.slip("practice-version")
def practice_nothing(n):
    """Something was changed between the two prints. Nobody knows what."""
    return "none"
