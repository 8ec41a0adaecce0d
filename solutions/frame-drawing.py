"""Functions that the answers and slips in `frame-drawing.md` call. Instructor only."""

from functools import lru_cache
from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

from coursekit import frame
from coursekit.classroom.bank.keys import Key

key = Key("frame-drawing")
DRIVING = ("seat_angle_deg", "head_angle_deg", "chainstay", "bb_drop", "wheel_radius")
DRIVING += ("fork_length", "fork_offset", "lower_stack", "head_tube", "seat_tube", "front_centre")


def drawn(n):
    """The student's frame."""
    return _drawn(*(getattr(n, name) for name in DRIVING))[0]


@lru_cache(maxsize=64)
def _drawn(*values):
    one = frame.draw(**dict(zip(DRIVING, values, strict=True)))
    return one, {name: (float(x), float(y)) for name, (x, y) in one.points.items()}


def point(n, name):
    """A point of the student's frame as two plain numbers."""
    return _drawn(*(getattr(n, d) for d in DRIVING))[1][name]


def moved(n, names, own, base):
    """Points by name, shifted by what the student's own point lies off the point `base`."""
    x, y = point(n, base)
    return [(point(n, p)[0] + own[0] - x, point(n, p)[1] + own[1] - y) for p in names]


def s(n):
    """Sine of the head angle."""
    return sin(radians(n.head_angle_deg))


def c(n):
    """Cosine of the head angle."""
    return cos(radians(n.head_angle_deg))


# The fork


def rise(n):
    """Up the axis from its foot to the crown race seat."""
    return sqrt(n.fork_length**2 - n.fork_offset**2)


def fork_from(n, foot, up):
    """The foot and the point `up` along the axis from it."""
    return [foot, (foot[0] - up * c(n), foot[1] + up * s(n))]


def head_angle_from_the_vertical(n, earlier):
    """A slip at `fork`."""
    x, y = earlier["front-axle"]
    foot = (x - n.fork_offset * c(n), y - n.fork_offset * s(n))
    return [foot, (foot[0] - rise(n) * s(n), foot[1] + rise(n) * c(n))]


def axis_ahead_of_the_axle(n, earlier):
    """A slip at `fork`."""
    x, y = earlier["front-axle"]
    return fork_from(n, (x + n.fork_offset * s(n), y + n.fork_offset * c(n)), rise(n))


# The head tube


def up_from_crown(n, earlier, first, second, run, height):
    """Two points `first` and `second` mm up from the crown; a mm runs `run` and rises `height`."""
    x, y = earlier["fork"][2:]
    return [(x + d * run, y + d * height) for d in (first, second)]


# The level top tube


def right_top_tube_level(n, earlier):
    """The answer to `top-tube-level`."""
    x, y = earlier["head-tube-ends"][2:]
    right = point(n, "head_high")
    shift = x - right[0] + (y - right[1]) / tan(radians(n.seat_angle_deg))
    return float(drawn(n).top_tube_level) + shift


def stack_from_the_ground(n, earlier):
    """A slip at `top-tube-level`."""
    x, y = earlier["head-tube-ends"][2:]
    return x + (y + n.wheel_radius - n.bb_drop) / tan(radians(n.seat_angle_deg))


# Room for the bead


def down_tube_slope(n, low, thickness=None):
    """Slope of the axis, degrees: its edge, `thickness` / 2 below, leaves the bead's room."""
    x = low[0] - n.bead_room * c(n) - n.head_diameter / 2 * s(n)
    y = low[1] + n.bead_room * s(n) - n.head_diameter / 2 * c(n)
    half = (n.down_tube_diameter if thickness is None else thickness) / 2
    return degrees(atan2(y, x) + asin(half / hypot(x, y)))


def included(n, earlier, thickness=None):
    """Angle between the axes of down tube and head tube."""
    return 180 - n.head_angle_deg - down_tube_slope(n, earlier["head-tube-ends"][:2], thickness)


# The rider comes back


def rebuilt(n, earlier, along, forward):
    """Head tube longer by `along`, front axle forward by `forward`."""
    x, y = earlier["front-axle"]
    return [n.head_tube + along, hypot(x + forward, y)]


# Trail for three head angles


def table(n, trail):
    """What `trail(sine, cosine)` gives for one degree less, the angle itself, one degree more."""
    turned = [radians(n.head_angle_deg + d) for d in (-1, 0, 1)]
    return [trail(sin(eta), cos(eta)) for eta in turned]


def right_trail_table(n):
    """The answer to `trail-table`."""
    values = {name: getattr(n, name) for name in DRIVING}
    turned = [n.head_angle_deg + d for d in (-1, 0, 1)]
    return [float(t) for t in frame.draw(**{**values, "head_angle_deg": turned}).trail]


def sine_missing(n):
    """A slip at `trail-table`."""
    return table(n, lambda s, c: n.wheel_radius * c - n.fork_offset)


def offset_not_divided(n):
    """A slip at `trail-table`."""
    return table(n, lambda s, c: n.wheel_radius * c / s - n.fork_offset)


def sine_and_cosine_swapped(n):
    """A slip at `trail-table`."""
    return table(n, lambda s, c: (n.wheel_radius * s - n.fork_offset) / c)
