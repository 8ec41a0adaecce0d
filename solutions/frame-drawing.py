"""Answers and slips of `frame-drawing`. Instructor only."""

from functools import lru_cache
from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt, tan

from coursekit import frame
from coursekit.classroom.bank.keys import Key

key = Key("frame-drawing")
DRIVING = ("seat_angle_deg", "head_angle_deg", "chainstay", "bb_drop", "wheel_radius")
DRIVING += ("fork_length", "fork_offset", "lower_stack", "head_tube", "seat_tube", "front_centre")

SEAT_TUBE_DIAMETER = 28.6


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


@key.sound
def tyres_clear(n):
    """Both tyres clear crown, down tube and seat tube by 5 mm or more."""
    xr, yr = -sqrt(n.chainstay**2 - n.bb_drop**2), n.bb_drop
    seat = radians(n.seat_angle_deg)
    to_seat_tube = -xr * sin(seat) - yr * cos(seat) - SEAT_TUBE_DIAMETER / 2
    x, y = sqrt(n.front_centre**2 - n.bb_drop**2), n.bb_drop
    slope = radians(down_tube_slope(n, moved(n, ("head_low",), (x, y), "front_axle")[0]))
    to_down_tube = x * sin(slope) - y * cos(slope) - n.down_tube_diameter / 2
    return min(to_seat_tube, to_down_tube, n.fork_length - 15) - n.wheel_radius >= 5


# The rear axle and the seat tube


@key.answer("rear")
def _(n):
    return [point(n, "rear_axle"), point(n, "seat_top")]


@key.slip("rear", credit=0.5)
def chainstay_laid_level(n):
    """You laid the chainstay level.

    It slopes, so its level run is a side of a right triangle, not the longest side.
    """
    return [(-n.chainstay, n.bb_drop), point(n, "seat_top")]


@key.slip("rear", credit=0.5)
def drop_downward(n):
    """You put the axle below the bottom bracket.

    Which of the two hangs lower? Look at the side view.
    """
    x, y = point(n, "rear_axle")
    return [(x, -y), point(n, "seat_top")]


@key.slip("rear")
def facing_left(n):
    """Your frame faces the other way.

    Seen from the drive side x counts forward; the rear lies behind.
    """
    return [(-x, y) for x, y in (point(n, "rear_axle"), point(n, "seat_top"))]


@key.slip("rear", credit=0.5)
def seat_angle_from_the_vertical(n):
    """You took the seat angle from the vertical.

    It counts from the level: a steep tube rises more than it runs.
    """
    x, y = point(n, "seat_top")
    return [point(n, "rear_axle"), (-y, -x)]


# The front axle


@key.answer("front-axle")
def _(n):
    return [point(n, "front_axle")]


@key.slip("front-axle")
def front_drop_downward(n):
    """You put the axle below the bottom bracket.

    Both axles are at one height, and the bottom bracket hangs below it.
    """
    x, y = point(n, "front_axle")
    return [(x, -y)]


@key.slip("front-axle")
def front_centre_laid_level(n):
    """You laid the front centre level.

    It is measured straight from point to point, and one point is higher.
    """
    return [(n.front_centre, n.bb_drop)]


@key.slip("front-axle")
def squares_added(n):
    """You added the squares.

    The front centre is the longest side of the triangle; a shorter side is wanted.
    """
    return [(hypot(n.front_centre, n.bb_drop), n.bb_drop)]


# Wheelbase


@key.answer("wheelbase", after=("rear", "front-axle"))
def _(n, earlier):
    return earlier["front-axle"][0] - earlier["rear"][0]


@key.slip("wheelbase")
def straight_lengths_added(n):
    """You added chainstay and front centre. Both slope; the wheelbase runs level."""
    return float(n.chainstay + n.front_centre)


@key.slip("wheelbase")
def front_alone(n, earlier):
    """That is the run to the front axle alone. The wheelbase begins at the rear axle."""
    return earlier["front-axle"][0]


@key.slip("wheelbase")
def minus_lost(n, earlier):
    """You took the rear part off.

    From a point behind to a point ahead the two runs add up: mind the minus of a minus.
    """
    return earlier["front-axle"][0] + earlier["rear"][0]


# The fork


@key.answer("fork", after=("front-axle",))
def _(n, earlier):
    return moved(n, ("steer_foot", "crown"), earlier["front-axle"], "front_axle")


def rise(n):
    """Up the axis from its foot to the crown race seat."""
    return sqrt(n.fork_length**2 - n.fork_offset**2)


def fork_from(n, foot, up):
    """The foot and the point `up` along the axis from it."""
    return [foot, (foot[0] - up * c(n), foot[1] + up * s(n))]


@key.slip("fork")
def offset_along_the_level(n, earlier):
    """You laid the offset level. It stands square to the steering axis, and the axis leans."""
    x, y = earlier["front-axle"]
    return fork_from(n, (x - n.fork_offset, y), rise(n))


@key.slip("fork", credit=0.5)
def length_along_the_axis(n):
    """You laid the fork's length along the axis.

    It is measured straight from the axle, which stands beside the axis.
    """
    return fork_from(n, point(n, "steer_foot"), n.fork_length)


@key.slip("fork")
def head_angle_from_the_vertical(n, earlier):
    """You took the head angle from the vertical.

    It counts from the level: sine and cosine change places.
    """
    x, y = earlier["front-axle"]
    foot = (x - n.fork_offset * c(n), y - n.fork_offset * s(n))
    return [foot, (foot[0] - rise(n) * s(n), foot[1] + rise(n) * c(n))]


@key.slip("fork")
def axis_ahead_of_the_axle(n, earlier):
    """You put the steering axis ahead of the axle.

    The offset carries the axle forward, so the axis passes behind it.
    """
    x, y = earlier["front-axle"]
    return fork_from(n, (x + n.fork_offset * s(n), y + n.fork_offset * c(n)), rise(n))


# The head tube


@key.answer("head-tube-ends", after=("fork",))
def _(n, earlier):
    return moved(n, ("head_low", "head_high"), earlier["fork"][2:], "crown")


def up_from_crown(n, earlier, first, second, run, height):
    """Two points `first` and `second` mm up from the crown; a mm runs `run` and rises `height`."""
    x, y = earlier["fork"][2:]
    return [(x + d * run, y + d * height) for d in (first, second)]


@key.slip("head-tube-ends")
def lower_stack_forgotten(n, earlier):
    """You set the head tube right on the crown race seat. Something lies between the two."""
    return up_from_crown(n, earlier, 0, n.head_tube, -c(n), s(n))


@key.slip("head-tube-ends")
def leaning_forward(n, earlier):
    """Your axis leans forward. Going up the steering axis you come nearer to the rider."""
    total = n.lower_stack + n.head_tube
    return up_from_crown(n, earlier, n.lower_stack, total, c(n), s(n))


@key.slip("head-tube-ends")
def upright(n, earlier):
    """You went straight up. The axis leans, so each step along it has a level part as well."""
    return up_from_crown(n, earlier, n.lower_stack, n.lower_stack + n.head_tube, 0, 1)


@key.slip("head-tube-ends")
def angle_from_the_vertical(n, earlier):
    """You took the head angle from the vertical.

    It counts from the level: sine and cosine change places.
    """
    total = n.lower_stack + n.head_tube
    return up_from_crown(n, earlier, n.lower_stack, total, -s(n), c(n))


# The level top tube


@key.answer("top-tube-level", after=("head-tube-ends",))
def _(n, earlier):
    x, y = earlier["head-tube-ends"][2:]
    right = point(n, "head_high")
    shift = x - right[0] + (y - right[1]) / tan(radians(n.seat_angle_deg))
    return float(drawn(n).top_tube_level) + shift


@key.slip("top-tube-level")
def reach_alone(n, earlier):
    """That is the reach: you stopped above the bottom bracket.

    At that height the seat tube's axis is further back.
    """
    return earlier["head-tube-ends"][2]


@key.slip("top-tube-level")
def stack_from_the_ground(n, earlier):
    """You counted the height from the ground.

    The seat tube's axis begins at the bottom bracket, so heights count from there.
    """
    x, y = earlier["head-tube-ends"][2:]
    return x + (y + n.wheel_radius - n.bb_drop) / tan(radians(n.seat_angle_deg))


@key.slip("top-tube-level")
def tangent_upside_down(n, earlier):
    """You multiplied by the tangent. A steep tube runs back far less than it rises."""
    x, y = earlier["head-tube-ends"][2:]
    return x + y * tan(radians(n.seat_angle_deg))


@key.slip("top-tube-level")
def seat_tube_forward(n, earlier):
    """You took the seat tube's lean off.

    It leans away from the head tube, so the distance grows.
    """
    x, y = earlier["head-tube-ends"][2:]
    return x - y / tan(radians(n.seat_angle_deg))


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


@key.answer("down-tube", after=("head-tube-ends",))
def _(n, earlier):
    return included(n, earlier)


@key.slip("down-tube")
def axis_through_the_edge(n, earlier):
    """You let the axis run through the point on the edge.

    The axis lies half a tube above its lower edge.
    """
    return included(n, earlier, 0)


@key.slip("down-tube")
def whole_tube_above_the_edge(n, earlier):
    """You set the axis a whole tube above the edge. From edge to axis it is half of that."""
    return included(n, earlier, 2 * n.down_tube_diameter)


@key.slip("down-tube")
def axis_below_the_edge(n, earlier):
    """You set the axis below the edge.

    It is the lower edge that was given, so the axis is above it: the slope grows.
    """
    return included(n, earlier, -n.down_tube_diameter)


@key.slip("down-tube")
def slope_itself(n, earlier):
    """That is the down tube's slope to the level.

    The angle between its axis and the head tube's was asked.
    """
    return down_tube_slope(n, earlier["head-tube-ends"][:2])


# Trail


@key.answer("trail")
def _(n):
    return float(drawn(n).trail)


@key.slip("trail")
def level_offset(n):
    """You laid the fork offset level.

    It stands square to the steering axis; measured level it covers more.
    """
    return n.wheel_radius / tan(radians(n.head_angle_deg)) - n.fork_offset


@key.slip("trail")
def square_to_the_axis(n):
    """That is the distance square to the steering axis.

    Along the ground it is more: the last division is missing.
    """
    return n.wheel_radius * c(n) - n.fork_offset


@key.slip("trail")
def trail_by_the_vertical(n):
    """You took the head angle from the vertical: sine and cosine have changed places."""
    return (n.wheel_radius * s(n) - n.fork_offset) / c(n)


@key.slip("trail")
def wheel_diameter(n):
    """You put the wheel's diameter where its radius belongs.

    From the ground up to the axle it is half a wheel.
    """
    return (2 * n.wheel_radius * c(n) - n.fork_offset) / s(n)


# Pedal and tyre


@key.answer("pedal-gap")
def _(n):
    return float(drawn(n).toe_clearance(crank=n.crank, foot=0))


@key.slip("pedal-gap")
def level_run(n):
    """You started from the level run of the front axle.

    The crank points at the axle along the slope.
    """
    return point(n, "front_axle")[0] - n.crank - n.wheel_radius


@key.slip("pedal-gap")
def crank_forgotten(n):
    """The crank is missing. The pedal comes forward by its whole length."""
    return float(n.front_centre - n.wheel_radius)


@key.slip("pedal-gap")
def diameter_of_the_wheel(n):
    """You took the wheel's diameter. From the axle to the tyre it is the radius."""
    return float(n.front_centre - n.crank - 2 * n.wheel_radius)


# One degree steeper


@key.answer("steeper")
def _(n):
    return "less-same"


@key.slip("steeper")
def trail_grows(n):
    """Think of an upright axis with an axle ahead of it: it meets the ground ahead of the wheel,
    or behind?
    """
    return "more-same"


@key.slip("steeper")
def wheelbase_follows(n):
    """Which dimensions place the front axle? Look whether the head angle is among those
    you kept.
    """
    return "less-shorter"


@key.slip("steeper")
def both_grow(n):
    """Neither of the two.

    Which dimensions place the front axle, and where does a steeper axis meet the ground?
    """
    return "more-longer"


# The rider comes back


def rebuilt(n, earlier, along, forward):
    """Head tube longer by `along`, front axle forward by `forward`."""
    x, y = earlier["front-axle"]
    return [n.head_tube + along, hypot(x + forward, y)]


@key.answer("other-givens", after=("front-axle",))
def _(n, earlier):
    return rebuilt(n, earlier, n.more_stack / s(n), n.more_reach + n.more_stack * c(n) / s(n))


@key.slip("other-givens")
def as_if_upright(n, earlier):
    """You treated the head tube as upright.

    It leans: a longer one also comes back, and it must be longer than the height it gains.
    """
    return rebuilt(n, earlier, n.more_stack, n.more_reach)


@key.slip("other-givens", credit=0.5)
def lean_forgotten(n, earlier):
    """The head tube is right.

    But a longer head tube brings its top back as well; the front axle has to make up for that.
    """
    return rebuilt(n, earlier, n.more_stack / s(n), n.more_reach)


@key.slip("other-givens", credit=0.5)
def lean_taken_off(n, earlier):
    """The head tube is right.

    Its top comes back toward the rider, so the front axle has to go further forward, not less.
    """
    return rebuilt(n, earlier, n.more_stack / s(n), n.more_reach - n.more_stack * c(n) / s(n))


@key.slip("other-givens")
def vertical_angle(n, earlier):
    """You took the head angle from the vertical: sine and cosine have changed places."""
    return rebuilt(n, earlier, n.more_stack / c(n), n.more_reach + n.more_stack * s(n) / c(n))


# Trail for three head angles


def table(n, trail):
    """What `trail(sine, cosine)` gives for one degree less, the angle itself, one degree more."""
    turned = [radians(n.head_angle_deg + d) for d in (-1, 0, 1)]
    return [trail(sin(eta), cos(eta)) for eta in turned]


@key.answer("trail-table")
def _(n):
    values = {name: getattr(n, name) for name in DRIVING}
    turned = [n.head_angle_deg + d for d in (-1, 0, 1)]
    return [float(t) for t in frame.draw(**{**values, "head_angle_deg": turned}).trail]


@key.slip("trail-table")
def sine_missing(n):
    """The last step is missing: divide the whole line by sin(eta)."""
    return table(n, lambda s, c: n.wheel_radius * c - n.fork_offset)


@key.slip("trail-table")
def offset_not_divided(n):
    """Only the first part is divided by sin(eta). Put the difference in brackets."""
    return table(n, lambda s, c: n.wheel_radius * c / s - n.fork_offset)


@key.slip("trail-table")
def degrees_in_sin(n):
    """You gave degrees to sin and cos. They want radians; eta has them."""
    turned = [n.head_angle_deg + d for d in (-1, 0, 1)]
    return [(n.wheel_radius * cos(a) - n.fork_offset) / sin(a) for a in turned]


@key.slip("trail-table")
def sine_and_cosine_swapped(n):
    """Sine and cosine have changed places. The head angle counts from the level."""
    return table(n, lambda s, c: (n.wheel_radius * s - n.fork_offset) / c)


# Practice cards


@key.answer("practice-run")
def _(n):
    return sqrt(n.chainstay**2 - n.bb_drop**2)


@key.slip("practice-run")
def laid_level(n):
    """This is the chainstay itself.

    It slopes: the level run is √(chainstay² − drop²), a little less.
    """
    return float(n.chainstay)


@key.slip("practice-run")
def plus_for_minus(n):
    """You added the squares. The chainstay is the longest side, so take the drop's square off."""
    return hypot(n.chainstay, n.bb_drop)


@key.answer("practice-height")
def _(n):
    return float(n.wheel_radius - n.bb_drop)


@key.slip("practice-height")
def drop_upward(n):
    """You added the drop. The bottom bracket hangs below the axles, so it is radius less drop."""
    return float(n.wheel_radius + n.bb_drop)


@key.slip("practice-height")
def from_the_diameter(n):
    """You began with the wheel's diameter.

    Only its half, the radius, lies between axle and ground.
    """
    return float(2 * n.wheel_radius - n.bb_drop)


@key.answer("practice-seat")
def _(n):
    return n.seat_tube * cos(radians(n.seat_angle_deg))


@key.slip("practice-seat")
def height_for_run(n):
    """This is how high the top is. The level run goes with the cosine."""
    return n.seat_tube * sin(radians(n.seat_angle_deg))


@key.slip("practice-seat")
def tangent_for_cosine(n):
    """You divided by the tangent, as if the tube's length were its height.

    The tube is the longest side: cosine.
    """
    return n.seat_tube / tan(radians(n.seat_angle_deg))


@key.answer("practice-foot")
def _(n):
    return n.fork_offset * s(n)


@key.slip("practice-foot")
def offset_itself(n):
    """This is the offset itself.

    It stands square to a leaning axis, so its level part is offset · sin η.
    """
    return float(n.fork_offset)


@key.slip("practice-foot")
def height_of_the_foot(n):
    """This is how far below the axle the foot is.

    The level part goes with the sine of the head angle.
    """
    return n.fork_offset * c(n)


@key.answer("practice-rise")
def _(n):
    return sqrt(n.fork_length**2 - n.fork_offset**2)


@key.slip("practice-rise")
def straight_from_the_axle(n):
    """This is the fork's straight length.

    The axle stands beside the axis: take the offset's square off under the root.
    """
    return float(n.fork_length)


@key.slip("practice-rise")
def offset_subtracted(n):
    """You took the offset off the length.

    In a right triangle the squares are subtracted, then the root is taken.
    """
    return float(n.fork_length - n.fork_offset)


@key.answer("practice-head")
def _(n):
    return n.head_tube * s(n)


@key.slip("practice-head")
def full_length(n):
    """This is the tube's length. It leans, so it gains less height: length · sin η."""
    return float(n.head_tube)


@key.slip("practice-head")
def run_for_height(n):
    """This is how far it leans back. The height goes with the sine."""
    return n.head_tube * c(n)


@key.answer("practice-trail")
def _(n):
    return (n.wheel_radius * c(n) - n.fork_offset) / s(n)


@key.slip("practice-trail")
def offset_along_the_ground(n):
    """You took the offset as if it lay along the ground. Divide the whole difference by sin η."""
    return n.wheel_radius * c(n) / s(n) - n.fork_offset


@key.slip("practice-trail")
def mechanical(n):
    """This is the distance square to the steering axis.

    Divide by sin η to have it along the ground.
    """
    return n.wheel_radius * c(n) - n.fork_offset


@key.answer("practice-gap")
def _(n):
    return float(n.front_centre - n.crank - n.wheel_radius)


@key.slip("practice-gap")
def no_crank(n):
    """The crank is missing: the pedal comes forward by its length."""
    return float(n.front_centre - n.wheel_radius)


@key.slip("practice-gap")
def whole_wheel(n):
    """You took the whole wheel. From axle to tyre it is the radius."""
    return float(n.front_centre - n.crank - 2 * n.wheel_radius)
