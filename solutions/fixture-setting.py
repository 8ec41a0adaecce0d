"""Functions that the answers and slips in `fixture-setting.md` call. Instructor only."""

from math import cos, degrees, radians, sin, sqrt, tan

from coursekit import fixture, frame
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key
from coursekit.uncertainty import combined

key = Key("fixture-setting")

ORDER = ("set scales", "square check", "dry fit", "feel gaps", "tack")
OWN = "head_angle_deg chainstay bb_drop front_centre fork_length fork_offset lower_stack head_tube"
REST = {"seat_angle_deg": 73.0, "wheel_radius": 340.0, "seat_tube": 560.0}  # no answer needs them
FOOT_X, FOOT_Y = 540.0, 40.0  # as practice-rail gives it


def drawn(n):
    """The student's frame."""
    return frame.draw(**REST, **{name: getattr(n, name) for name in OWN.split()})


def settings(n):
    """Readings of the student's fixture."""
    return fixture.settings(drawn(n), n.rail)


def s(n):
    """Sine of the head angle."""
    return sin(radians(n.head_angle_deg))


def c(n):
    """Cosine of the head angle."""
    return cos(radians(n.head_angle_deg))


def axle(n):
    """The front axle."""
    return sqrt(n.front_centre**2 - n.bb_drop**2), float(n.bb_drop)


def right_foot(n):
    """The foot of the front axle, as the drawing has it."""
    x, y = drawn(n).points["steer_foot"]
    return float(x), float(y)


def own_foot(earlier):
    """The student's own foot, or the right one."""
    x, y = earlier["foot"]
    return x, y


# Where the head arm stands


def right_ahead(n, earlier):
    """The answer to `ahead`."""
    x, y = own_foot(earlier)
    if (x, y) == right_foot(n):
        return float(settings(n).head_ahead)
    return x + (y + n.rail) * c(n) / s(n)


# The lower face


def rise(n):
    """From the foot up the axis to the crown race seat."""
    return sqrt(n.fork_length**2 - n.fork_offset**2)


def right_low_face(n, earlier):
    """The answer to `low-face`."""
    x, y = own_foot(earlier)
    if (x, y) == right_foot(n):
        return float(settings(n).low_face)
    return (y + n.rail) / s(n) + rise(n) + n.lower_stack


# Two cones


def inside(n):
    """How far a cone's tip stands inside the face."""
    return n.bore / (2 * tan(radians(n.cone_deg) / 2))


def right_tips(n, earlier):
    """The answer to `tips`."""
    if earlier["low-face"] == float(settings(n).low_face):
        low, high = settings(n).cone_tips(n.bore, n.cone_deg)
        return float(low), float(high)
    return earlier["low-face"] + inside(n), earlier["low-face"] + n.head_tube - inside(n)


def whole_angle(n, earlier):
    """A slip at `tips`."""
    deep = n.bore / (2 * tan(radians(n.cone_deg)))
    return earlier["low-face"] + deep, earlier["low-face"] + n.head_tube - deep


# A check without the rail


def right_square_check(n, earlier):
    """The answer to `square-check`."""
    x, y = own_foot(earlier)
    if (x, y) == right_foot(n):
        return float(settings(n).square)
    return x * s(n) + y * c(n)


# On its wheels


def tipped(n, up, base):
    """Degrees that the bicycle tips when its front axle is `up` too high."""
    return degrees(up / base)


def base(n, earlier):
    """Wheelbase with the student's own rear axle."""
    return earlier["rear-back"] + axle(n)[0]


# What to expect of the wheelbase


def parts(n):
    """What each setting brings to the wheelbase."""
    return n.u_scale, n.u_scale, (n.bb_drop + n.rail) * n.u_lean / 57.3


def right_likely(n):
    """The answer to `likely`."""
    return float(combined(*parts(n))), float(sum(parts(n)))


# Five steps of an evening


@key.score("sequence")
def by_pairs(n, order):
    """Full marks for the order of the lesson, less for each pair that is the other way round."""
    return orders.share_in_line(order, ORDER)
