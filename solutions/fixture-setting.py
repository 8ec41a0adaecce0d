"""Answers and slips of `fixture-setting`. Instructor only."""

from math import cos, degrees, hypot, pi, radians, sin, sqrt, tan

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


# Another rail


@key.answer("rail-lower")
def _(n):
    return "head"


@key.slip("rail-lower")
def rear_moves(n):
    """The rear axle is measured from the post itself. The post hasn't moved."""
    return "rear"


@key.slip("rail-lower")
def all_move(n):
    """Not all: what is measured from the post alone, and every angle, stays as it is."""
    return "all"


@key.slip("rail-lower")
def none_moves(n):
    """The axis leans. Lower down it crosses the rail in another place, further ahead."""
    return "none"


# The rear axle


@key.answer("rear-back")
def _(n):
    return float(settings(n).rear_back)


@key.slip("rear-back")
def chainstay_laid_level(n):
    """You set the chainstay's own length. It rises by the drop, so its level run is shorter."""
    return float(n.chainstay)


@key.slip("rear-back")
def squares_added(n):
    """You added the squares.

    The chainstay is the longest side, so one square comes off the other.
    """
    return hypot(n.chainstay, n.bb_drop)


@key.slip("rear-back")
def drop_taken_off(n):
    """You took the drop off as it is. Lengths square to each other go by their squares."""
    return float(n.chainstay - n.bb_drop)


# The foot of the front axle


@key.answer("foot")
def _(n):
    return [right_foot(n)]


@key.slip("foot", credit=0.5)
def offset_laid_level(n):
    """You went level back by the offset.

    It is measured square to the axis, so the way slopes down a little.
    """
    x, y = axle(n)
    return [(x - n.fork_offset, y)]


@key.slip("foot", credit=0.5)
def sine_for_cosine(n):
    """Sine and cosine have changed places.

    The offset is nearly level: its larger part is the one along x.
    """
    x, y = axle(n)
    return [(x - n.fork_offset * c(n), y - n.fork_offset * s(n))]


@key.slip("foot", credit=0.5)
def forward_of_the_axle(n):
    """You went forward. The axle stands ahead of the axis, so the foot is behind it and below."""
    x, y = axle(n)
    return [(x + n.fork_offset * s(n), y + n.fork_offset * c(n))]


# Where the head arm stands


@key.answer("ahead", after=("foot",))
def _(n, earlier):
    x, y = own_foot(earlier)
    if (x, y) == right_foot(n):
        return float(settings(n).head_ahead)
    return x + (y + n.rail) * c(n) / s(n)


@key.slip("ahead", credit=0.25)
def went_back(n, earlier):
    """Down the axis is forward: it leans back toward its top. Add what the way down runs ahead."""
    x, y = own_foot(earlier)
    return x - (y + n.rail) * c(n) / s(n)


@key.slip("ahead", credit=0.25)
def only_to_the_post(n, earlier):
    """You stopped level with the post's centre. The rail lies below it."""
    x, y = own_foot(earlier)
    return x + y * c(n) / s(n)


@key.slip("ahead", credit=0.25)
def height_subtracted(n, earlier):
    """You took the foot's height off the rail's depth.

    The foot is above the post, the rail below: they add.
    """
    x, y = own_foot(earlier)
    return x + (n.rail - y) * c(n) / s(n)


@key.slip("ahead")
def tangent_upside_down(n, earlier):
    """You multiplied by the tangent.

    The axis is steep: its level run is its height over the tangent.
    """
    x, y = own_foot(earlier)
    return x + (y + n.rail) * s(n) / c(n)


# The lower face


def rise(n):
    """From the foot up the axis to the crown race seat."""
    return sqrt(n.fork_length**2 - n.fork_offset**2)


@key.answer("low-face", after=("foot",))
def _(n, earlier):
    x, y = own_foot(earlier)
    if (x, y) == right_foot(n):
        return float(settings(n).low_face)
    return (y + n.rail) / s(n) + rise(n) + n.lower_stack


@key.slip("low-face", credit=0.5)
def fork_along_the_axis(n, earlier):
    """You laid the whole fork along the axis.

    It stands slanting to it; along the axis it is a little shorter.
    """
    _, y = own_foot(earlier)
    return (y + n.rail) / s(n) + n.fork_length + n.lower_stack


@key.slip("low-face", credit=0.5)
def without_the_bearing(n, earlier):
    """You stopped at the crown race seat.

    The lower bearing still stands between it and the head tube.
    """
    _, y = own_foot(earlier)
    return (y + n.rail) / s(n) + rise(n)


@key.slip("low-face", credit=0.25)
def upright_for_slanting(n, earlier):
    """You took the upright height to the foot.

    The arm's scale lies along the slant, which is longer.
    """
    _, y = own_foot(earlier)
    return y + n.rail + rise(n) + n.lower_stack


@key.slip("low-face", credit=0.25)
def from_the_foot(n, earlier):
    """You began at the foot. The arm's scale begins where the axis crosses the rail."""
    return rise(n) + n.lower_stack


# Two cones


def inside(n):
    """How far a cone's tip stands inside the face."""
    return n.bore / (2 * tan(radians(n.cone_deg) / 2))


@key.answer("tips", after=("low-face",))
def _(n, earlier):
    if earlier["low-face"] == float(settings(n).low_face):
        low, high = settings(n).cone_tips(n.bore, n.cone_deg)
        return float(low), float(high)
    return earlier["low-face"] + inside(n), earlier["low-face"] + n.head_tube - inside(n)


@key.slip("tips", credit=0.25)
def whole_angle(n, earlier):
    """You took the tangent of the whole cone angle. One side of the cone leans by half of it."""
    deep = n.bore / (2 * tan(radians(n.cone_deg)))
    return earlier["low-face"] + deep, earlier["low-face"] + n.head_tube - deep


@key.slip("tips", credit=0.5)
def tips_outside(n, earlier):
    """You put the tips outside the head tube. They point into it, toward each other."""
    return earlier["low-face"] - inside(n), earlier["low-face"] + n.head_tube + inside(n)


@key.slip("tips", credit=0.25)
def bore_for_its_half(n, earlier):
    """You took the whole bore. From the middle to the wall it is half."""
    return earlier["low-face"] + 2 * inside(n), earlier["low-face"] + n.head_tube - 2 * inside(n)


# A check without the rail


@key.answer("square-check", after=("foot",))
def _(n, earlier):
    x, y = own_foot(earlier)
    if (x, y) == right_foot(n):
        return float(settings(n).square)
    return x * s(n) + y * c(n)


@key.slip("square-check")
def straight_to_the_foot(n, earlier):
    """That is the way to the foot. Square to the axis is shorter: it meets it at another point."""
    return hypot(*own_foot(earlier))


@key.slip("square-check")
def second_part_taken_off(n, earlier):
    """You took the second part off.

    Both the foot's run ahead and its height carry the axis away from the post.
    """
    x, y = own_foot(earlier)
    return x * s(n) - y * c(n)


@key.slip("square-check")
def run_alone(n, earlier):
    """You left out the foot's height. It has its share, by the cosine."""
    return own_foot(earlier)[0] * s(n)


# A head arm too flat


@key.answer("swung")
def _(n):
    return (n.bb_drop + n.rail) * radians(n.lean_deg)


@key.slip("swung")
def about_the_post(n):
    """You let the arm swing about the level of the post. It swings on the rail."""
    return n.bb_drop * radians(n.lean_deg)


@key.slip("swung")
def degrees_taken_as_they_are(n):
    """You forgot the 57.3: a length times an angle needs radians."""
    return float((n.bb_drop + n.rail) * n.lean_deg)


@key.slip("swung")
def below_the_post_alone(n):
    """You took the rail's depth alone. The axle stands above the post, by the drop."""
    return n.rail * radians(n.lean_deg)


# On its wheels


def tipped(n, up, base):
    """Degrees that the bicycle tips when its front axle is `up` too high."""
    return degrees(up / base)


def base(n, earlier):
    """Wheelbase with the student's own rear axle."""
    return earlier["rear-back"] + axle(n)[0]


@key.answer("stood", after=("rear-back",))
def _(n, earlier):
    return tipped(n, n.slid * s(n), base(n, earlier))


@key.slip("stood", credit=0.5)
def along_for_up(n, earlier):
    """You lifted the axle by the whole way along the arm.

    The arm slants: upright it is a little less.
    """
    return tipped(n, n.slid, base(n, earlier))


@key.slip("stood", credit=0.25)
def about_the_bracket(n, earlier):
    """You tipped it about the bottom bracket.

    It stands on both wheels: the base is the wheelbase.
    """
    return tipped(n, n.slid * s(n), n.front_centre)


@key.slip("stood", credit=0.25)
def cosine_for_sine(n, earlier):
    """You took the level part of the way along the arm.

    The axle's height counts: that is the sine.
    """
    return tipped(n, n.slid * c(n), base(n, earlier))


# What to expect of the wheelbase


def parts(n):
    """What each setting brings to the wheelbase."""
    return n.u_scale, n.u_scale, (n.bb_drop + n.rail) * n.u_lean / 57.3


@key.answer("likely")
def _(n):
    return float(combined(*parts(n))), float(sum(parts(n)))


@key.slip("likely", credit=0.5)
def plain_sum(n):
    """You added the parts as they are.

    That is the worst case, which you have in the other place already.
    """
    return sum(parts(n)), sum(parts(n))


@key.slip("likely", credit=0.5)
def root_forgotten(n):
    """You forgot the root: a sum of squares is no length yet."""
    return sum(p * p for p in parts(n)), sum(parts(n))


@key.slip("likely", credit=0.5)
def largest_alone(n):
    """You kept the largest part alone. The others add to it, if less than in full."""
    return max(parts(n)), sum(parts(n))


# A gap on one side


@key.answer("wedge")
def _(n):
    return degrees(n.feeler / n.tube)


@key.slip("wedge", credit=0.5)
def over_the_radius(n):
    """You took the tube's radius.

    The joint touches on one side and is open on the other, a whole diameter away.
    """
    return degrees(2 * n.feeler / n.tube)


@key.slip("wedge")
def over_the_circumference(n):
    """You took the way round the tube.

    From the side that touches to the open one it is straight across.
    """
    return degrees(n.feeler / (pi * n.tube))


# Five steps of an evening


@key.answer("sequence")
def _(n):
    return ORDER


@key.score("sequence")
def by_pairs(n, order):
    """Full marks for the order of the lesson, less for each pair that is the other way round."""
    return orders.share_in_line(order, ORDER)


@key.slip("sequence")
def checked_too_late(n):
    """The square check came when the tubes were in.

    Then they hide the axis, and you set everything twice.
    """
    return ("set scales", "dry fit", "square check", "feel gaps", "tack")


@key.slip("sequence")
def tacked_before_feeling(n):
    """You tacked before you went round with the feeler. A gap found afterwards costs the tack."""
    return ("set scales", "square check", "dry fit", "tack", "feel gaps")


# Practice cards


@key.answer("practice-back")
def _(n):
    return sqrt(n.chainstay**2 - n.bb_drop**2)


@key.slip("practice-back")
def practice_level(n):
    """The chainstay rises. Its level run is shorter than its length."""
    return float(n.chainstay)


@key.slip("practice-back")
def practice_squares_added(n):
    """Take the drop's square off; don't add it."""
    return hypot(n.chainstay, n.bb_drop)


@key.answer("practice-foot")
def _(n):
    return axle(n)[0] - n.fork_offset * s(n)


@key.slip("practice-foot")
def practice_level_offset(n):
    """Square to the axis, not level: its level part goes by the sine."""
    return axle(n)[0] - n.fork_offset


@key.slip("practice-foot")
def practice_forward(n):
    """The foot lies behind the axle, not ahead."""
    return axle(n)[0] + n.fork_offset * s(n)


@key.slip("practice-foot")
def practice_front_centre_level(n):
    """That is a front centre that lies level. It rises by the drop, as the chainstay does."""
    return n.front_centre - n.fork_offset * s(n)


@key.answer("practice-rail")
def _(n):
    return FOOT_X + (FOOT_Y + n.rail) * c(n) / s(n)


@key.slip("practice-rail")
def practice_back(n):
    """The axis runs forward on its way down."""
    return FOOT_X - (FOOT_Y + n.rail) * c(n) / s(n)


@key.slip("practice-rail")
def practice_post(n):
    """The rail lies below the post: both heights count."""
    return FOOT_X + FOOT_Y * c(n) / s(n)


@key.answer("practice-tip")
def _(n):
    return inside(n)


@key.slip("practice-tip")
def practice_whole_angle(n):
    """Half the cone's angle, on each side of its middle."""
    return n.bore / (2 * tan(radians(n.cone_deg)))


@key.slip("practice-tip")
def practice_whole_bore(n):
    """Half the bore, from the middle to the wall."""
    return 2 * inside(n)


@key.answer("practice-swing")
def _(n):
    return (50 + n.rail) * radians(n.lean_deg)


@key.slip("practice-swing")
def practice_about_the_post(n):
    """The arm swings on the rail, so the height counts from there."""
    return 50 * radians(n.lean_deg)


@key.slip("practice-swing")
def practice_degrees(n):
    """Divide the degrees by 57.3 first."""
    return float((50 + n.rail) * n.lean_deg)


@key.answer("practice-sum")
def _(n):
    return float(combined(n.u_scale, n.u_scale, (60 + n.rail) * n.u_lean / 57.3))


@key.slip("practice-sum")
def practice_plain_sum(n):
    """That is the worst case. Square each, add, take the root."""
    return 2 * n.u_scale + (60 + n.rail) * n.u_lean / 57.3


@key.slip("practice-sum")
def practice_one_scale(n):
    """There are two scales: the rear axle's and the arm's."""
    return hypot(n.u_scale, (60 + n.rail) * n.u_lean / 57.3)


@key.answer("practice-wedge")
def _(n):
    return degrees(n.feeler / n.tube)


@key.slip("practice-wedge")
def practice_radius(n):
    """Over the whole diameter: open here, shut on the far side."""
    return degrees(2 * n.feeler / n.tube)


@key.slip("practice-wedge")
def practice_radians(n):
    """Times 57.3."""
    return n.feeler / n.tube


@key.answer("practice-burr")
def _(n):
    return "inward"


@key.slip("practice-burr")
def practice_finds_the_middle(n):
    """It finds the middle, more or less; but it stops where it touches, and it touches the burr."""
    return "nothing"


@key.slip("practice-burr")
def practice_angle(n):
    """The arm holds the angle. What moves is the place along it."""
    return "angle"
