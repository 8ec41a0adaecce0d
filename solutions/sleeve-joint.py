"""Answers and slips of `sleeve-joint`. Instructor only."""

from math import ceil, pi

from coursekit import sleeves
from coursekit.classroom.bank.keys import Key

key = Key("sleeve-joint")

TUBE, STAINLESS = 14.6e-6, 17.2e-6  # per K, as the question gives them
LAST = 0.1  # mm on the radius, the light cut
ORDER = ("tack 0°", "tack 120°", "tack 240°", "braze")


@key.sound
def a_bar_that_is_thick_enough(n):
    """Two rough cuts or more come off, and their number does not depend on a rounding."""
    depth = (n.stock - plug(n)) / 2 - LAST
    cuts = depth / n.cut
    return depth > n.cut and 0.06 < cuts % 1 < 0.94


@key.sound
def a_tube_around_the_plug(n):
    """The thinner of the two walls is the tube's or the sleeve's, and they differ."""
    return abs(n.wall - n.sleeve_wall) >= 0.2


def plug(n):
    """Outside diameter of the sleeve, mm."""
    return n.bore - 2 * n.gap


def rod_length(volume, n):
    """Length of rod with half as much again, mm."""
    return sleeves.ALLOWANCE * volume / (pi / 4 * n.rod**2)


def cuts(n, size, last=LAST):
    """Rough cuts down to `last` above the size, and the last one."""
    return float(ceil(((n.stock - size) / 2 - last) / n.cut - 1e-9)) + 1


def hot_gap(n, size, tube=TUBE, sleeve=STAINLESS):
    """Hot gap on each side of the sleeve, mm, also for a student's own plug that is too thick."""
    return (n.bore * (1 + tube * n.rise) - size * (1 + sleeve * n.rise)) / 2


# How thick is the plug?


@key.answer("plug")
def _(n):
    return float(plug(n))


@key.slip("plug")
def one_side(n):
    """You took the gap off once. A gap a side is there twice, left and right."""
    return float(n.bore - n.gap)


@key.slip("plug")
def larger_than_the_bore(n):
    """You added the gap. A plug that is thicker than its bore goes in nowhere."""
    return float(n.bore + 2 * n.gap)


# How many cuts?


@key.answer("passes", after=("plug",))
def _(n, earlier):
    if earlier["plug"] == plug(n):
        return float(len(sleeves.passes(n.stock, plug(n), n.cut, LAST)))
    return cuts(n, earlier["plug"])


@key.slip("passes")
def depth_off_the_diameter(n, earlier):
    """You took the cut off the diameter.

    The tool takes it off the radius: the bar gets thinner by twice as much.
    """
    return float(ceil((n.stock - earlier["plug"] - 2 * LAST) / n.cut - 1e-9)) + 1


@key.slip("passes")
def without_the_last(n, earlier):
    """You forgot the last, light cut."""
    return cuts(n, earlier["plug"]) - 1


# What the dial must move


@key.answer("dial", after=("plug",))
def _(n, earlier):
    return (n.stock - earlier["plug"]) / 2


@key.slip("dial")
def on_the_diameter(n, earlier):
    """That is what the diameter loses. The slide moves half of it."""
    return n.stock - earlier["plug"]


@key.slip("dial")
def rough_part_alone(n, earlier):
    """You stopped before the last cut: 0.1 mm is still to come off."""
    return (n.stock - earlier["plug"]) / 2 - LAST


# The least lap


@key.answer("least-lap")
def _(n):
    return float(sleeves.lap(n.wall, n.sleeve_wall))


@key.slip("least-lap")
def the_thicker_wall(n):
    """You took the thicker wall. The thinner one gives way first, so it sets the measure."""
    return 3 * max(n.wall, n.sleeve_wall)


@key.slip("least-lap")
def both_walls(n):
    """You added both walls. The thinner one alone counts."""
    return 3 * (n.wall + n.sleeve_wall)


@key.slip("least-lap")
def one_wall(n):
    """Three times was asked."""
    return float(min(n.wall, n.sleeve_wall))


# Hot, with the same steel


@key.answer("same-steel")
def _(n):
    return "same"


@key.slip("same-steel")
def plug_grows(n):
    """The plug grows, and the bore grows with its tube: a hole gets larger as if it were filled."""
    return "closes"


@key.slip("same-steel")
def bore_grows_alone(n):
    """The bore grows, and the plug grows as much. Only their difference would count."""
    return "opens"


# Hot, with a stainless plug


@key.answer("stainless", after=("plug",))
def _(n, earlier):
    size = earlier["plug"]
    if size == plug(n):
        return float(sleeves.gap(n.bore, size, TUBE, STAINLESS, n.rise))
    return hot_gap(n, size)


@key.slip("stainless")
def on_both_sides(n, earlier):
    """That is the play on the diameter. A side has half of it."""
    return 2 * hot_gap(n, earlier["plug"])


@key.slip("stainless")
def metals_swapped(n, earlier):
    """Tube and plug have changed places: stainless grows more, and it is inside."""
    return hot_gap(n, earlier["plug"], STAINLESS, TUBE)


@key.slip("stainless")
def only_the_plug(n, earlier):
    """You let the plug grow and left the tube as it was. The bore grows too."""
    return hot_gap(n, earlier["plug"], 0.0)


# What is in the gap


@key.answer("volume", after=("plug",))
def _(n, earlier):
    return float(pi * (n.bore**2 - earlier["plug"] ** 2) / 4 * n.lap)


@key.slip("volume")
def gap_taken_twice(n, earlier):
    """You took the gap on both sides for the thickness of the ring.

    Once round, it is one gap thick.
    """
    return float(pi * (n.bore**2 - earlier["plug"] ** 2) / 2 * n.lap)


@key.slip("volume")
def a_flat_strip(n, earlier):
    """You left π out: the strip is once round long, not once across."""
    return float((n.bore**2 - earlier["plug"] ** 2) / 4 * n.lap)


# What to lay out


@key.answer("rods", after=("volume",))
def _(n, earlier):
    return rod_length(earlier["volume"], n)


@key.slip("rods", credit=0.5)
def nothing_over(n, earlier):
    """You laid out the bare gap. Half as much again was asked."""
    return rod_length(earlier["volume"], n) / sleeves.ALLOWANCE


@key.slip("rods")
def thick_rod(n, earlier):
    """You took the rod's diameter for its radius."""
    return rod_length(earlier["volume"], n) / 4


# One gap, three places


@key.answer("share")
def _(n):
    return 0.0, float(n.gap), float(2 * n.gap)


@key.slip("share", credit=0.25)
def even_all_the_way(n):
    """That is a plug that stands straight. This one leans, so its gap is wedge-shaped."""
    return n.gap, n.gap, n.gap


@key.slip("share", credit=0.5)
def other_side(n):
    """That is the right side. On the left it touches at the bottom."""
    return 2 * n.gap, n.gap, 0.0


@key.slip("share", credit=0.5)
def never_beyond_the_gap(n):
    """You let the gap end at its mean. What is missing on one side is there twice on the other."""
    return 0.0, n.gap / 2, n.gap


# Three small tacks


def brazed_last(order):
    """Three tacks of equal pull and place: their order among themselves makes no difference."""
    return order.index("braze") == 3


@key.answer("tacks")
def _(n):
    return ORDER


@key.score("tacks")
def by_where_brazing_comes(n, order):
    """Full marks where brazing comes last, less for each tack that comes after it."""
    late = 3 - order.index("braze")
    if brazed_last(order):
        return 1.0, "All three tacks come before brazing; in which order makes no odds with three."
    return max(0.0, 0.5 - 0.25 * (late - 1)), f"{late} of the tacks come after brazing round."


@key.slip("tacks")
def brazed_first(n):
    """You brazed before the tube was held. It leans while the first side flows."""
    return ("braze", "tack 0°", "tack 120°", "tack 240°")


@key.slip("tacks")
def brazed_after_one(n):
    """After one tack the tube leans toward it, and brazing makes that stay."""
    return ("tack 0°", "braze", "tack 120°", "tack 240°")


@key.slip("tacks")
def brazed_after_two(n):
    """Two tacks leave the pull of the third one unanswered. Set it before you braze."""
    return ("tack 0°", "tack 120°", "braze", "tack 240°")


# Practice cards


@key.answer("practice-plug")
def _(n):
    return float(plug(n))


@key.slip("practice-plug")
def practice_one_side(n):
    """The gap is there on both sides."""
    return float(n.bore - n.gap)


@key.slip("practice-plug")
def practice_too_thick(n):
    """Take it off; don't add it."""
    return float(n.bore + 2 * n.gap)


@key.answer("practice-lap")
def _(n):
    return float(sleeves.lap(n.wall, n.sleeve_wall))


@key.slip("practice-lap")
def practice_thick_wall(n):
    """The thinner of the two."""
    return 3 * max(n.wall, n.sleeve_wall)


@key.slip("practice-lap")
def practice_sum(n):
    """Not both together: the thinner."""
    return 3 * (n.wall + n.sleeve_wall)


@key.answer("practice-volume")
def _(n):
    return float(sleeves.filler(plug(n), n.gap, n.lap, 1.0))


@key.slip("practice-volume")
def practice_twice(n):
    """The ring is one gap thick, all round."""
    return 2 * float(sleeves.filler(plug(n), n.gap, n.lap, 1.0))


@key.slip("practice-volume")
def practice_no_pi(n):
    """Once round is π times the diameter."""
    return float(sleeves.filler(plug(n), n.gap, n.lap, 1.0)) / pi


@key.answer("practice-rod")
def _(n):
    return rod_length(float(sleeves.filler(plug(n), n.gap, n.lap, 1.0)), n)


@key.slip("practice-rod")
def practice_bare(n):
    """Half as much again."""
    return rod_length(float(sleeves.filler(plug(n), n.gap, n.lap, 1.0)), n) / 1.5


@key.slip("practice-rod")
def practice_thick_rod(n):
    """The rod's area takes its radius, half the diameter."""
    return rod_length(float(sleeves.filler(plug(n), n.gap, n.lap, 1.0)), n) / 4


@key.answer("practice-dial")
def _(n):
    return (n.stock - n.bore) / 2


@key.slip("practice-dial")
def practice_diameter(n):
    """Half of that: the slide works on the radius."""
    return float(n.stock - n.bore)


@key.slip("practice-dial")
def practice_quarter(n):
    """Only once by two."""
    return (n.stock - n.bore) / 4


@key.answer("practice-hot")
def _(n):
    return hot_gap(n, plug(n))


@key.slip("practice-hot")
def practice_swapped(n):
    """The plug is the stainless one."""
    return hot_gap(n, plug(n), STAINLESS, TUBE)


@key.slip("practice-hot")
def practice_plug_alone(n):
    """The tube gets hot too, and its bore grows."""
    return hot_gap(n, plug(n), 0.0)


@key.answer("practice-wide")
def _(n):
    return "not"


@key.slip("practice-wide")
def practice_strong(n):
    """A thick layer of silver is as weak as silver.

    A thin one is held by the steel on both sides.
    """
    return "stronger"


@key.slip("practice-wide")
def practice_enough(n):
    """However much you feed, nothing holds it in there."""
    return "same"
