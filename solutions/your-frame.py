"""Functions that the answers and slips in `your-frame.md` call. Instructor only."""

from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, tan

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


# Where the walk ends


def total(n, earlier):
    """Sum of the runs as the student has them, and of the rises, mm."""
    return float(sum(earlier["runs"])), float(sum(right_rises(n)))


# Which leg lies along the gap?


def by_fit(n):
    """Kinds of legs, the one along the gap first."""
    return sorted(directions_off(n), key=lambda kind: directions_off(n)[kind])


# The top tube's underside


def reach(into, angle_deg, side, tube=TOP):
    """From crossing to cut in the frame's plane, mm; side +1 is the acute corner, −1 the obtuse."""
    turn = radians(angle_deg)
    return into / 2 / sin(turn) + side * tube / 2 / tan(turn)


# Three small rooms


def three_rooms(n):
    """Gap, opening and room beside a chainstay, mm."""
    bore, wide = TOP - 2 * UPPER_WALL, SEAT - 2 * LOWER_WALL
    return (bore - n.plug) / 2, float(wide - 2 * n.land), (WIDTH - n.stays_apart - STAY) / 2


# In what order?


@key.score("evening")
def by_what_needs_what(n, order):
    """Full marks where each step comes after the steps it needs."""
    place = {step: i for i, step in enumerate(order)}
    broken = [(a, b) for a, b in BEFORE if place[a] > place[b]]
    if not broken:
        return 1.0, "Everything comes after what it needs; saw and fixture may change places."
    share = max(0.0, 1 - len(broken) / 3)
    return share, f"“{broken[0][0]}” has to come before “{broken[0][1]}”."
