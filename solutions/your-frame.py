"""Functions that the answers and slips in `your-frame.md` call. Instructor only."""

from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin, sqrt, tan

from coursekit import closure, frame
from coursekit.classroom.bank.keys import Key

key = Key("your-frame")

DRIVING = ("seat_angle_deg", "head_angle_deg", "chainstay", "bb_drop", "wheel_radius")
DRIVING += ("fork_length", "fork_offset", "lower_stack", "head_tube", "seat_tube", "front_centre")
LEGS = ("down", "head", "top", "seat")
LAID = ("top_diameter", "top_below_head", "top_below_seat", "down_diameter", "bead_room")
LAID += ("seat_diameter", "head_diameter")
BEFORE = (
    ("print the dossier", "saw and miter"),
    ("print the dossier", "set the fixture"),
    ("saw and miter", "tack"),
    ("set the fixture", "tack"),
    ("tack", "braze"),
    ("braze", "read the record"),
)


@lru_cache(maxsize=256)
def _model(driving, laid):
    """The four legs of the walk as drawn, and the angles under the top tube, at seat and head."""
    top, below_head, below_seat, down, room, seat, head = laid
    own = frame.draw(**dict(zip(DRIVING, driving, strict=True))).place(
        top_tube=frame.TopTube(top, below_head, below_seat_top=below_seat),
        down_tube=frame.DownTube(down, room),
        seat_tube=seat,
        head_tube=head,
    )
    down, top = own.tubes.axes["down_tube"], own.tubes.axes["top_tube"]
    points = [(0.0, 0.0), down.end[:2], top.end[:2], top.start[:2], (0.0, 0.0)]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    legs = [(hypot(*s), degrees(atan2(s[1], s[0])) % 360) for s in steps]
    rises = legs[2][1] - 180  # how much the top tube climbs toward the front
    angles = dict(zip(DRIVING, driving, strict=True))
    return legs, (angles["seat_angle_deg"] + rises, 180 - angles["head_angle_deg"] - rises)


def model(n):
    """What follows from the student's own drawing."""
    return _model(*(tuple(float(getattr(n, d)) for d in names) for names in (DRIVING, LAID)))


@key.makes("seat_corner", "head_corner")
def _(n, chance):
    return model(n)[1]


@key.makes(*(f"{leg}_{what}" for leg in LEGS for what in ("axis", "way")))
def _(n, chance):
    """Readings off the drawing, with scatter; one length is misread by a centimetre or two."""
    wrong = ("down", "top", "head", "seat", "top", "down")[int(6 * chance.random())]
    amount = (10.0, -10.0, 20.0, -20.0)[int(4 * chance.random())]
    amount = abs(amount) if wrong == "head" else amount  # a short leg stays one
    made = []
    for leg, (length, way) in zip(LEGS, model(n)[0], strict=True):
        slip = amount if leg == wrong else 0.0
        made += [length + slip + chance.gauss(0, n.tape_u), way + chance.gauss(0, 0.7 * n.way_u)]
    return made


@key.sound
def both_wheelbases_are_one(n):
    """Drawing and fixture agree, as they do where both wheels are of one size."""
    return abs(wheelbase(n) - from_fixture(n)) < 0.35


@key.sound
def the_gap_points_at_one_leg(n):
    """The gap is larger than readings alone explain, and lies along one leg, not near another."""
    walk = walked(n)
    apart = sorted((off, kind) for kind, off in directions_off(n).items())
    return (
        walk.distance > 3 * spread(n)
        and apart[0][0] < 14
        and apart[1][0] > 24
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


# Two wheelbases


def wheelbase(n):
    """Wheelbase by the drawing, mm."""
    return sqrt(n.chainstay**2 - n.bb_drop**2) + sqrt(n.front_centre**2 - n.bb_drop**2)


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


def reach(n, into, corner_deg):
    """From crossing to cut along the side of the top tube that lies in this corner, mm."""
    turn = radians(corner_deg)
    return into / 2 / sin(turn) + n.top_diameter / 2 / tan(turn)


# Three small rooms


def three_rooms(n):
    """Gap, opening and room beside a chainstay, mm."""
    beside = (n.shell_width - n.stays_apart - n.stay_diameter) / 2
    return (n.sleeve_bore - n.plug) / 2, n.seat_bore - 2 * n.land, beside


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
