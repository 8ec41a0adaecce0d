"""Answers and slips of `oval-tubes`. Instructor only."""

from functools import lru_cache
from math import pi, sqrt

from coursekit import miters, ovals, tubes
from coursekit.classroom.bank.keys import Key

key = Key("oval-tubes")

MODULUS = 205_000.0  # MPa, as the questions give it
HAND = 1.8  # the lesson's hand formula, 12·(π/4 − 2/π) = 1.785 in full


@key.sound
def a_squeeze_worth_making(n):
    """A press can squeeze it so far, and far enough to tell the rule of thumb from the truth."""
    return 3.5 <= n.diameter - width(n) <= 7.0


def width(n):
    """Outside width that leaves the shoulder, mm."""
    return n.into - 2 * n.shoulder


def radius(n):
    """Radius of the middle of the wall, mm."""
    return (n.diameter - n.wall) / 2


# Why at all?


@key.answer("why")
def _(n):
    return "ledge"


@key.slip("why")
def weaker_round(n):
    """Round or oval, the metal is the same.

    What is missing is a place at the side of the joint: look at it end on.
    """
    return "weak"


@key.slip("why")
def a_saw_exists(n):
    """A saw of the other tube's size cuts it, round or oval.

    Look at what is left beside the cut tube.
    """
    return "saw"


# How narrow?


@key.answer("width")
def _(n):
    return float(width(n))


@key.slip("width")
def one_shoulder(n):
    """You took off one shoulder. There is one on each side."""
    return float(n.into - n.shoulder)


@key.slip("width")
def shoulders_added(n):
    """You added the shoulders. The cut tube is the narrower one."""
    return float(n.into + 2 * n.shoulder)


# What keeps its length


@key.answer("middle")
def _(n):
    return pi * (n.diameter - n.wall)


@key.slip("middle", credit=0.5)
def the_outside(n):
    """That is the outside, once round. The middle of the wall lies half a wall further in."""
    return pi * n.diameter


@key.slip("middle", credit=0.5)
def the_bore(n):
    """That is the bore, once round. You went in by a whole wall; half of one is enough."""
    return pi * (n.diameter - 2 * n.wall)


@key.slip("middle")
def radius_for_diameter(n):
    """Half of it: once round is π times the diameter, not the radius."""
    return pi * radius(n)


# How deep does it get?


@lru_cache(maxsize=512)
def deep(diameter, wall, wide):
    """Outside depth, mm; for a width that no squeezing gives, the rule of thumb."""
    if not wall < wide < wall + (diameter - wall) * pi / 2:
        return 2 * diameter - wide
    return float(ovals.depth_for(diameter, wall, wide))


@key.answer("oval", after=("width",))
def _(n, earlier):
    found = deep(n.diameter, n.wall, earlier["width"])
    return found, 2 * n.diameter - earlier["width"] - found


@key.slip("oval")
def rule_of_thumb(n, earlier):
    """That is the rule of thumb.

    An oval of the same length round is less deep than that; let the program find it.
    """
    return 2 * n.diameter - earlier["width"], 0.0


@key.slip("oval", credit=0.5)
def wall_left_out(n, earlier):
    """That is the depth of the middle line. The outside is one wall more."""
    found = deep(n.diameter, n.wall, earlier["width"])
    return found - n.wall, 2 * n.diameter - earlier["width"] - found + n.wall


@key.slip("oval")
def same_area(n, earlier):
    """You kept the area inside. Squeezing keeps the length of the wall; the area gets less."""
    found = n.diameter**2 / (earlier["width"] or 1e-9)
    return found, 2 * n.diameter - earlier["width"] - found


# What springs back


def spring(n, size):
    """Springback by the hand formula for a radius of `size`, mm."""
    return HAND * n.yield_stress * size**2 / (MODULUS * n.wall)


@key.answer("spring")
def _(n):
    return spring(n, radius(n))


@key.slip("spring", credit=0.3)
def diameter_for_radius(n):
    """You put the diameter where the radius belongs: four times too much."""
    return spring(n, 2 * radius(n))


@key.slip("spring", credit=0.5)
def outside_radius(n):
    """You took the outside radius. The ring bends about the middle of its wall."""
    return spring(n, n.diameter / 2)


@key.slip("spring")
def without_the_factor(n):
    """You left out the 1.8 that belongs to a ring pressed on a diameter."""
    return spring(n, radius(n)) / HAND


# How far to press


@key.answer("press", after=("width", "spring"))
def _(n, earlier):
    return earlier["width"] - earlier["spring"]


@key.slip("press")
def stopped_at_the_width(n, earlier):
    """You stopped at the width that you want. It will be wider once you let go."""
    return earlier["width"]


@key.slip("press")
def spring_added(n, earlier):
    """You stopped too early: what springs back must be pressed further, not less far."""
    return earlier["width"] + earlier["spring"]


@key.slip("press")
def from_the_round_tube(n, earlier):
    """You took the springback off the round tube. That squeeze leaves nothing behind."""
    return n.diameter - earlier["spring"]


# How hard?


@key.answer("force")
def _(n):
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress)) * n.pad


@key.slip("force", credit=0.3)
def for_one_millimetre(n):
    """That is for each millimetre of tube. The pads are longer than that."""
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress))


@key.slip("force")
def wall_not_squared(n):
    """You took the wall once. A wall twice as thick bends four times as hard: square it."""
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress)) * n.pad / n.wall


@key.slip("force", credit=0.3)
def force_over_the_diameter(n):
    """You divided by the diameter. The radius of the middle of the wall belongs there."""
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress)) * n.pad / 2


# Stiffer and softer


def hand(wide, tall, wall):
    """Second moment of area by the hand formula, an ellipse less an ellipse."""
    return pi / 64 * (wide * tall**3 - (wide - 2 * wall) * (tall - 2 * wall) ** 3)


@lru_cache(maxsize=512)
def shares(diameter, wall, wide, tall):
    """Stiffness in the plane and across, per cent of the round tube's."""
    try:
        oval = tubes.Oval(wide, tall, wall)
        found = float(oval.inertia_width), float(oval.inertia_depth)
    except ValueError:  # a student's own sizes that make no tube
        found = hand(wide, tall, wall), hand(tall, wide, wall)
    whole = float(tubes.Round(diameter, wall).inertia)
    return tuple(100 * v / whole for v in found)


@key.answer("stiffness", after=("width", "oval"))
def _(n, earlier):
    return shares(n.diameter, n.wall, earlier["width"], earlier["oval"][0])


@key.slip("stiffness", credit=0.3)
def planes_swapped(n, earlier):
    """The two are the wrong way round: a tube is stiff the way it is deep."""
    return shares(n.diameter, n.wall, earlier["width"], earlier["oval"][0])[::-1]


@key.slip("stiffness")
def axes_for_stiffness(n, earlier):
    """You compared the sizes. Stiffness goes with the third power of the one and with the other."""
    return 100 * earlier["oval"][0] / n.diameter, 100 * earlier["width"] / n.diameter


@key.slip("stiffness")
def cubes_alone(n, earlier):
    """You took the third power of one axis and forgot the other: a deep oval has less metal far
    out, because it is narrow.
    """
    sizes = earlier["oval"][0], earlier["width"]
    return tuple(100 * (v / n.diameter) ** 3 for v in sizes)


# The end, cut square


def saddle_depth(into, wide):
    """Depth of the saddle of an end `wide` mm wide, cut square; at most that of an equal tube."""
    if 0 < wide <= into:
        along = miters.saddle(wide, into, 90.0)[1]
        return float(along.max() - along.min())
    return into / 2


@key.answer("ear", after=("width",))
def _(n, earlier):
    return saddle_depth(n.into, earlier["width"])


@key.slip("ear")
def the_shoulder_again(n, earlier):
    """That is radius less half the width, the shoulder.

    Going round the other tube follows a circle: root of a difference of squares.
    """
    return n.into / 2 - earlier["width"] / 2


@key.slip("ear")
def what_is_left(n, earlier):
    """That is how far the flank still is from the other tube's axis. Take it off the radius."""
    return n.into / 2 - saddle_depth(n.into, earlier["width"])


# What comes first?


@key.answer("first")
def _(n):
    return "squeeze"


@key.slip("first")
def cut_first(n):
    """A saddle that was cut round no longer fits once the tube is narrower, and a thin edge folds
    in the press.
    """
    return "cut"


@key.slip("first")
def no_odds(n):
    """It does: the saddle hangs on the width, and the width changes in the press."""
    return "either"


# Practice cards


@key.answer("practice-width")
def _(n):
    return float(width(n))


@key.slip("practice-width")
def practice_one(n):
    """One on each side: twice."""
    return float(n.into - n.shoulder)


@key.slip("practice-width")
def practice_added(n):
    """Narrower, not wider."""
    return float(n.into + 2 * n.shoulder)


@key.answer("practice-middle")
def _(n):
    return pi * (n.diameter - n.wall)


@key.slip("practice-middle")
def practice_outside(n):
    """Half a wall further in, on both sides: one wall off the diameter."""
    return pi * n.diameter


@key.slip("practice-middle")
def practice_bore(n):
    """That is the inside."""
    return pi * (n.diameter - 2 * n.wall)


@key.answer("practice-spring")
def _(n):
    return spring(n, radius(n))


@key.slip("practice-spring")
def practice_diameter(n):
    """The radius, not the diameter."""
    return spring(n, 2 * radius(n))


@key.slip("practice-spring")
def practice_no_factor(n):
    """Times 1.8."""
    return spring(n, radius(n)) / HAND


@key.answer("practice-press")
def _(n):
    return width(n) - spring(n, radius(n))


@key.slip("practice-press")
def practice_too_early(n):
    """Further, not less far: it comes back."""
    return width(n) + spring(n, radius(n))


@key.slip("practice-press")
def practice_no_spring(n):
    """That is what you want to have. Press further."""
    return float(width(n))


@key.answer("practice-force")
def _(n):
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress)) * n.pad


@key.slip("practice-force")
def practice_millimetre(n):
    """Times the length of the pads."""
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress))


@key.slip("practice-force")
def practice_over_diameter(n):
    """Over the radius, not the diameter."""
    return float(ovals.hinge_load(n.diameter, n.wall, n.yield_stress)) * n.pad / 2


@key.answer("practice-ear")
def _(n):
    return n.into / 2 - sqrt((n.into / 2) ** 2 - (width(n) / 2) ** 2)


@key.slip("practice-ear")
def practice_flank(n):
    """Take that off the radius."""
    return sqrt((n.into / 2) ** 2 - (width(n) / 2) ** 2)


@key.slip("practice-ear")
def practice_shoulder(n):
    """That is the shoulder."""
    return float(n.shoulder)


@key.answer("practice-length")
def _(n):
    return "less"


@key.slip("practice-length")
def practice_same(n):
    """Nearly.

    But of two shapes with the same sum of axes the oval is the longer one round, so it stops a
    little earlier.
    """
    return "same"


@key.slip("practice-length")
def practice_more(n):
    """More would be the case if the area stayed. The length stays."""
    return "more"
