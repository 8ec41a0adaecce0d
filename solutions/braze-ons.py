"""Answers and slips of `braze-ons`. Instructor only."""

from math import atan, cos, pi, radians, sin, sqrt

from coursekit import braze_ons, brazing
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key
from coursekit.materials import STEEL_4130

key = Key("braze-ons")

ORDER = ("crown line", "mark places", "drill", "dry fit", "braze")
LONG = 200.0  # mm, a bottle; no answer depends on it
PITCH = braze_ons.BOSS_PITCH


def bottles(n):
    """The two bottles: down tube's and seat tube's."""
    return tuple(
        braze_ons.Bottle(tube, n.stand, n.bottle, LONG, boss - n.below)
        for tube, boss in ((n.down_tube, n.dt_boss), (n.seat_tube, n.st_boss))
    )


@key.sound
def the_corner_meets_the_far_side(n):
    """The bottles come nearest where the question says: corner of one, far side of the other."""
    low, high = bottles(n)
    taught = corner_height(n) - low.far_side
    return abs(braze_ons.bottle_gap(n.between_deg, low, high) - taught) < 1e-6


def corner_height(n, start=None, out=None):
    """From the down tube's axis to the lower inner corner of the seat tube's bottle."""
    high = bottles(n)[1]
    start, out = high.start if start is None else start, high.far_side if out is None else out
    return start * sin(radians(n.between_deg)) - out * cos(radians(n.between_deg))


# The same bubble on both sides


@key.answer("turned")
def _(n):
    return "right"


@key.slip("turned")
def not_turned(n):
    """So it would be, had the rule been carried over as it was.

    Turned end for end, its error changes sides.
    """
    return "beside"


@key.slip("turned")
def added_up(n):
    """The two errors don't add in the middle: one is to the left, the other to the right."""
    return "twice"


# Where the rule touches


@key.answer("touch")
def _(n):
    return float(braze_ons.touch(n.down_tube, 45))


@key.slip("touch")
def touch_with_diameter(n):
    """You took the diameter. The arc belongs to the radius."""
    return n.down_tube * pi / 4


@key.slip("touch")
def straight_across(n):
    """That is how far it is level from the middle. Round the tube is longer."""
    return n.down_tube / 2 * sin(pi / 4)


@key.slip("touch")
def degrees_as_they_are(n):
    """You multiplied by the degrees. Over 57.3 first: a radius times an angle needs radians."""
    return n.down_tube / 2 * 45


# Two marks of an angle section


def one_mark(n):
    """From the crown to one edge mark, round the tube."""
    return float(braze_ons.edge_marks(n.down_tube, n.leg))


@key.answer("edges", after=("touch",))
def _(n, earlier):
    return 2 * (earlier["touch"] + past(n))


def past(n):
    """From the place that touches to the edge mark, round the tube."""
    radius = n.down_tube / 2
    return radius * atan((n.leg - radius) / radius)


@key.slip("edges", credit=0.5)
def one_side_only(n, earlier):
    """That is from the crown to one mark. There are two."""
    return earlier["touch"] + past(n)


@key.slip("edges", credit=0.25)
def where_it_touches(n, earlier):
    """You stopped where the legs touch. They go on past that, and the marks are at their edges."""
    return 2 * earlier["touch"]


@key.slip("edges")
def edge_to_edge(n, earlier):
    """That is straight from edge to edge of the section, through the air."""
    return n.leg * sqrt(2)


# A frame that leans


@key.answer("leaning")
def _(n):
    return float(braze_ons.touch(n.down_tube, n.lean_deg))


@key.slip("leaning")
def lean_with_diameter(n):
    """You took the diameter. The angle turns about the axis, a radius away."""
    return n.down_tube * radians(n.lean_deg)


@key.slip("leaning")
def lean_in_degrees(n):
    """You forgot the 57.3: a radius times an angle needs radians."""
    return n.down_tube / 2 * n.lean_deg


# Where the rule must say it


@key.answer("places")
def _(n):
    low = n.dt_boss - n.shell / 2
    return low, low + PITCH


@key.slip("places", credit=0.5)
def from_the_axis(n):
    """Those count from the shell's axis. The rule begins at its outside, half a shell later."""
    return float(n.dt_boss), n.dt_boss + PITCH


@key.slip("places", credit=0.5)
def whole_shell(n):
    """You took the whole shell off. From its axis to its outside it is half."""
    return float(n.dt_boss - n.shell), n.dt_boss - n.shell + PITCH


@key.slip("places", credit=0.5)
def boss_as_the_middle(n):
    """You laid half the pitch to either side.

    The drawing gives the lower boss, not the middle of the two.
    """
    low = n.dt_boss - n.shell / 2
    return low - PITCH / 2, low + PITCH / 2


# A flat base


@key.answer("flat-base")
def _(n):
    return float(braze_ons.foot_gap(n.down_tube, n.base))


@key.slip("flat-base")
def tube_as_radius(n):
    """You took the tube's diameter for its radius."""
    return n.down_tube - sqrt(n.down_tube**2 - (n.base / 2) ** 2)


@key.slip("flat-base")
def whole_base(n):
    """You took the whole width of the base. From its middle to its edge it is half."""
    return n.down_tube / 2 - sqrt((n.down_tube / 2) ** 2 - n.base**2)


# Hollowed for another tube


def depth(n):
    """How deep the ready-made hollow is over the width of the base."""
    return float(braze_ons.hollow_depth(n.hollow, n.base))


@key.answer("hollowed", after=("flat-base",))
def _(n, earlier):
    return depth(n) - earlier["flat-base"]


@key.slip("hollowed")
def depths_added(n, earlier):
    """You added both. The tube rises into the hollow, so what it fills comes off."""
    return depth(n) + earlier["flat-base"]


@key.slip("hollowed", credit=0.25)
def hollow_alone(n, earlier):
    """That is the depth of the hollow. The tube fills a part of it."""
    return depth(n)


@key.slip("hollowed")
def radii_apart(n, earlier):
    """You took the difference of the radii. Over the width of a base it comes to far less."""
    return (n.down_tube - n.hollow) / 2


# Where the heat goes


@key.answer("share")
def _(n):
    return 100 * float(brazing.heat_share(n.flange, n.belly_wall, STEEL_4130))


@key.slip("share")
def belly_for_boss(n):
    """That is the belly's share."""
    return 100 * n.belly_wall / (n.flange + n.belly_wall)


@key.slip("share", credit=0.25)
def over_each_other(n):
    """You set the thin one over the thick one. A share is the part over the whole of both."""
    return 100 * n.belly_wall / n.flange


@key.slip("share", credit=0.25)
def difference_over_thick(n):
    """You took the difference over the flange. A share is the part over the whole of both."""
    return 100 * (n.flange - n.belly_wall) / n.flange


# The far side of a bottle


@key.answer("far-side")
def _(n):
    return float(bottles(n)[0].far_side)


@key.slip("far-side")
def from_the_surface(n):
    """That is from the tube's surface. Half a tube more, and you are at its axis."""
    return float(n.stand + n.bottle)


@key.slip("far-side")
def whole_tube(n):
    """You took the whole tube. From its axis to its surface it is half."""
    return n.down_tube + n.stand + n.bottle


@key.slip("far-side")
def bottle_axis(n):
    """That is the bottle's own middle line. Its far side is half a bottle further out."""
    return n.down_tube / 2 + n.stand + n.bottle / 2


# Bottle to bottle


@key.answer("bottle-room", after=("far-side",))
def _(n, earlier):
    return corner_height(n) - earlier["far-side"]


@key.slip("bottle-room", credit=0.25)
def from_the_boss(n, earlier):
    """You began at the boss. The bottle reaches further down than its boss."""
    return corner_height(n, start=n.st_boss) - earlier["far-side"]


@key.slip("bottle-room", credit=0.25)
def outward_added(n, earlier):
    """You added the second part.

    Outward from the seat tube is toward the down tube, so it comes off.
    """
    return corner_height(n, out=-bottles(n)[1].far_side) - earlier["far-side"]


@key.slip("bottle-room")
def sine_and_cosine_swapped(n, earlier):
    """Sine and cosine have changed places.

    At 90° the way along the seat tube would count in full: that is the sine.
    """
    high, turn = bottles(n)[1], radians(n.between_deg)
    return high.start * cos(turn) - high.far_side * sin(turn) - earlier["far-side"]


@key.slip("bottle-room", credit=0.25)
def other_bottle_forgotten(n, earlier):
    """That is how far the corner is from the down tube's axis.

    The other bottle stands in between.
    """
    return corner_height(n)


# Four guides


@key.answer("guides")
def _(n):
    step = (n.guide_last - n.guide_first) / 3
    return tuple(float(n.guide_first + i * step) for i in range(4))


@key.slip("guides", credit=0.25)
def four_spaces(n):
    """You divided by four. Four guides have three spaces between them."""
    step = (n.guide_last - n.guide_first) / 4
    return tuple(float(n.guide_first + i * step) for i in range(4))


@key.slip("guides", credit=0.25)
def from_the_first_guide(n):
    """You counted from the first guide. All were asked from the head tube."""
    step = (n.guide_last - n.guide_first) / 3
    return tuple(float(i * step) for i in range(4))


@key.slip("guides")
def last_as_the_span(n):
    """You divided the last place itself. What lies before the first guide has no guides in it."""
    return tuple(float(n.guide_first + i * n.guide_last / 3) for i in range(4))


# Five steps, one boss


@key.answer("sequence")
def _(n):
    return ORDER


@key.score("sequence")
def by_pairs(n, order):
    """Full marks for the order of the lesson, less for each pair that is the other way round."""
    return orders.share_in_line(order, ORDER)


@key.slip("sequence")
def fitted_too_late(n):
    """You fitted after brazing. What doesn't sit dry can't be mended any more."""
    return ("crown line", "mark places", "drill", "braze", "dry fit")


@key.slip("sequence")
def drilled_by_eye(n):
    """You drilled before the places were marked. A hole in a belly can't be moved."""
    return ("crown line", "drill", "mark places", "dry fit", "braze")


# Practice cards


@key.answer("practice-lean")
def _(n):
    return float(braze_ons.touch(n.down_tube, n.lean_deg))


@key.slip("practice-lean")
def practice_diameter(n):
    """The radius, not the diameter."""
    return n.down_tube * radians(n.lean_deg)


@key.slip("practice-lean")
def practice_degrees(n):
    """Degrees over 57.3 first."""
    return n.down_tube / 2 * n.lean_deg


@key.answer("practice-edges")
def _(n):
    return one_mark(n)


@key.slip("practice-edges")
def practice_touching(n):
    """There it touches. The edge is further on."""
    return n.down_tube / 2 * pi / 4


@key.slip("practice-edges")
def practice_both(n):
    """One mark was asked, not from one to the other."""
    return 2 * one_mark(n)


@key.answer("practice-base")
def _(n):
    return float(braze_ons.foot_gap(n.down_tube, n.base))


@key.slip("practice-base")
def practice_tube_as_radius(n):
    """Half the tube is its radius."""
    return n.down_tube - sqrt(n.down_tube**2 - (n.base / 2) ** 2)


@key.slip("practice-base")
def practice_whole_base(n):
    """Half the base, from the middle to the edge."""
    return n.down_tube / 2 - sqrt((n.down_tube / 2) ** 2 - n.base**2)


@key.answer("practice-place")
def _(n):
    return n.dt_boss - n.shell / 2 + PITCH


@key.slip("practice-place")
def practice_from_the_axis(n):
    """The rule begins half a shell from the axis."""
    return float(n.dt_boss + PITCH)


@key.slip("practice-place")
def practice_lower_one(n):
    """That is the lower one. The upper is 64 mm on."""
    return float(n.dt_boss - n.shell / 2)


@key.answer("practice-share")
def _(n):
    return 100 * n.flange / (n.flange + n.belly_wall)


@key.slip("practice-share")
def practice_belly(n):
    """That is the other one's share."""
    return 100 * n.belly_wall / (n.flange + n.belly_wall)


@key.slip("practice-share")
def practice_ratio(n):
    """Over the whole of both, not over each other."""
    return 100 * n.belly_wall / n.flange


@key.answer("practice-far")
def _(n):
    return n.down_tube / 2 + n.stand + n.bottle


@key.slip("practice-far")
def practice_surface(n):
    """From the axis: half a tube more."""
    return float(n.stand + n.bottle)


@key.slip("practice-far")
def practice_whole_tube(n):
    """Half a tube, not a whole one."""
    return n.down_tube + n.stand + n.bottle


@key.answer("practice-third")
def _(n):
    return (n.guide_first + n.guide_last) / 2


@key.slip("practice-third")
def practice_half_the_span(n):
    """That counts from the first guide. Add where that one is."""
    return (n.guide_last - n.guide_first) / 2


@key.slip("practice-third")
def practice_third_of_it(n):
    """Three guides, but two spaces."""
    return n.guide_first + (n.guide_last - n.guide_first) / 3


@key.answer("practice-gap")
def _(n):
    return "not"


@key.slip("practice-gap")
def practice_fed(n):
    """A gap that wide doesn't draw, however much you feed."""
    return "full"


@key.slip("practice-gap")
def practice_lifted(n):
    """It wets what it touches. It lifts nothing."""
    return "lifts"
