"""Answers and slips of `tube-choice`. Instructor only."""

from math import pi

from coursekit import tubes
from coursekit.classroom.bank.keys import Key

key = Key("tube-choice")

DENSITY = tubes.STEEL_DENSITY / 1000  # g/mm³


@key.sound
def a_tube_that_can_be_bought(n):
    """The belly has some length and is thinner than the ends by a tenth of a millimetre or more."""
    return n.end_wall - n.belly_wall >= 0.2 and belly_length(n) >= 150


@key.sound
def sizes_that_differ(n):
    """The larger tube is a clear step larger."""
    return n.bigger - n.diameter >= 3


def belly_length(n):
    """Length between the tapers, mm."""
    return n.length - n.butt_a - n.butt_b - 2 * n.taper


def plain(n):
    """The plain tube on offer."""
    return tubes.Round(n.diameter, n.wall)


def larger(n):
    """The larger tube with the same wall."""
    return tubes.Round(n.bigger, n.wall)


def butted(n):
    """The butted tube on offer, end a at the shell."""
    walls = (n.end_wall, n.belly_wall, n.end_wall)
    return tubes.Butted(n.diameter, walls, (n.butt_a, n.taper, belly_length(n), n.taper, n.butt_b))


def area(n, wall):
    """Area at a wall, mm²."""
    return tubes.Round(n.diameter, wall).area


# Metal across the tube


@key.answer("area")
def _(n):
    return plain(n).area


@key.slip("area", credit=0.5)
def outside_times_wall(n):
    """You multiplied the outside circumference by the wall.

    The metal's own middle lies half a wall further in.
    """
    return pi * n.diameter * n.wall


@key.slip("area")
def solid_bar(n):
    """That is a solid bar. Take the empty middle away."""
    return pi * n.diameter**2 / 4


@key.slip("area")
def radius_in_the_round(n):
    """You used a radius where π wants a diameter: half of the metal is missing."""
    return plain(n).area / 2


# What the plain tube weighs


@key.answer("mass", after=("area",))
def _(n, earlier):
    return earlier["area"] * n.length * DENSITY


@key.slip("mass")
def of_a_metre(n, earlier):
    """That is the mass of a whole metre."""
    return earlier["area"] * 1000 * DENSITY


@key.slip("mass")
def without_the_density(n, earlier):
    """You divided the volume by a thousand and stopped: cubic centimetres.

    Each of them has 7.85 g.
    """
    return earlier["area"] * n.length / 1000


# What resists bending


@key.answer("inertia")
def _(n):
    return plain(n).inertia


@key.slip("inertia")
def polar(n):
    """That is the polar second moment, for torsion; about a diameter it is half of it."""
    return 2 * plain(n).inertia


@key.slip("inertia")
def diameter_for_radius(n):
    """You put the diameter where the radius belongs, three times over: eight times too much."""
    return pi * (n.diameter - n.wall) ** 3 * n.wall


@key.slip("inertia")
def of_a_bar(n):
    """That is a solid bar of this diameter.

    The hole has to be taken off, fourth power from fourth power.
    """
    return pi * n.diameter**4 / 64


# A larger tube, the same wall


@key.answer("stiffer")
def _(n):
    return larger(n).inertia / plain(n).inertia


@key.slip("stiffer")
def by_diameters(n):
    """You compared the diameters. Stiffness grows with their third power."""
    return n.bigger / n.diameter


@key.slip("stiffer")
def by_squares(n):
    """You squared the ratio.

    Of a thin tube the third power counts: twice for the distance, once for the metal.
    """
    return (n.bigger / n.diameter) ** 2


@key.slip("stiffer")
def by_fourth_powers(n):
    """You took fourth powers, as for a solid bar.

    With the wall kept as it is, the third power counts.
    """
    return (n.bigger / n.diameter) ** 4


# And what it costs


@key.answer("heavier")
def _(n):
    return larger(n).area / plain(n).area


@key.slip("heavier")
def heavier_by_squares(n):
    """You squared the ratio, as if the bore stayed.

    With the same wall the mass goes with the circumference.
    """
    return (n.bigger / n.diameter) ** 2


@key.slip("heavier")
def upside_down(n):
    """You divided the small one by the large one: a larger tube with the same wall can't be
    lighter.
    """
    return plain(n).area / larger(n).area


# Stiffness for each gram


@key.answer("per-gram", after=("stiffer", "heavier"))
def _(n, earlier):
    return earlier["stiffer"] / earlier["heavier"]


@key.slip("per-gram")
def multiplied(n, earlier):
    """You multiplied. For each gram means divided by grams."""
    return earlier["stiffer"] * earlier["heavier"]


@key.slip("per-gram")
def grams_per_stiffness(n, earlier):
    """You turned it over: that is grams for each stiffness."""
    return earlier["heavier"] / earlier["stiffer"]


# The butted tube


def by_pieces(n, taper_wall):
    """Masses of the butts, of the tapers with this wall, of the belly, and of all, g."""
    parts = (
        DENSITY * area(n, n.end_wall) * (n.butt_a + n.butt_b),
        DENSITY * area(n, taper_wall) * 2 * n.taper,
        DENSITY * area(n, n.belly_wall) * belly_length(n),
    )
    return (*parts, sum(parts))


@key.answer("butted")
def _(n):
    butts, _, belly, _ = by_pieces(n, n.end_wall)
    whole = float(butted(n).mass())
    return butts, whole - butts - belly, belly, whole


@key.slip("butted", credit=0.5)
def tapers_as_butts(n):
    """You counted the tapers as if they had the end wall all along."""
    return by_pieces(n, n.end_wall)


@key.slip("butted", credit=0.5)
def tapers_as_belly(n):
    """You counted the tapers as if they were as thin as the belly."""
    return by_pieces(n, n.belly_wall)


@key.slip("butted", credit=0.5)
def one_taper(n):
    """One taper is missing: there is one at either end."""
    butts, tapers, belly, whole = by_pieces(n, (n.end_wall + n.belly_wall) / 2)
    return butts, tapers / 2, belly, whole - tapers / 2


# What butting saves


@key.answer("saved", after=("butted",))
def _(n, earlier):
    return area(n, n.end_wall) * n.length * DENSITY - earlier["butted"][3]


@key.slip("saved")
def against_the_belly(n, earlier):
    """You compared it with a tube that is as thin as the belly all along.

    That tube would be the lighter one.
    """
    return earlier["butted"][3] - area(n, n.belly_wall) * n.length * DENSITY


@key.slip("saved")
def wrong_way_round(n, earlier):
    """A saving counts positive: the heavier one less the lighter one."""
    return earlier["butted"][3] - area(n, n.end_wall) * n.length * DENSITY


# How hard the metal works


@key.answer("stress")
def _(n):
    return 1000 * n.moment / plain(n).modulus


@key.slip("stress")
def newton_metres_kept(n):
    """You left the moment in N·m.

    The tube is in millimetres, so the moment must be in N·mm: a thousand times more.
    """
    return n.moment / plain(n).modulus


@key.slip("stress")
def second_moment_for_modulus(n):
    """You divided by the second moment of area.

    The section modulus is that over half the diameter.
    """
    return 1000 * n.moment / plain(n).inertia


@key.slip("stress")
def whole_diameter(n):
    """You took the whole diameter as the distance to the outside; from the middle it is half."""
    return 2000 * n.moment / plain(n).modulus


# A tube with a slit


@key.answer("slit")
def _(n):
    return plain(n).torsion / plain(n).slit_torsion


@key.slip("slit")
def three_left_out(n):
    """The 3 is missing: three times the square of middle radius over wall."""
    return plain(n).torsion / plain(n).slit_torsion / 3


@key.slip("slit")
def slit_by_diameter(n):
    """You put the diameter where the middle radius belongs: four times too much."""
    return 3 * ((n.diameter - n.wall) / n.wall) ** 2


# What speaks against it?


@key.answer("against")
def _(n):
    return "dents"


@key.slip("against")
def loses_stiffness(n):
    """With the same mass a wider tube only gains bending stiffness, as long as it stays round."""
    return "stiffness"


@key.slip("against")
def gains_weight(n):
    """The mass was kept the same."""
    return "weight"


# Practice cards


@key.answer("practice-area")
def _(n):
    return plain(n).area


@key.slip("practice-area")
def practice_outside(n):
    """The middle of the wall goes round, not the outside: diameter less one wall."""
    return pi * n.diameter * n.wall


@key.slip("practice-area")
def practice_bar(n):
    """A tube is hollow."""
    return pi * n.diameter**2 / 4


@key.answer("practice-mass")
def _(n):
    return plain(n).area * n.length * DENSITY


@key.slip("practice-mass")
def practice_metre(n):
    """That is one metre of it."""
    return plain(n).area * 1000 * DENSITY


@key.slip("practice-mass")
def practice_no_density(n):
    """Times 7.85: steel is heavier than water."""
    return plain(n).area * n.length / 1000


@key.answer("practice-inertia")
def _(n):
    return plain(n).inertia


@key.slip("practice-inertia")
def practice_polar(n):
    """Half of that: you have the one for torsion."""
    return 2 * plain(n).inertia


@key.slip("practice-inertia")
def practice_diameter(n):
    """The radius goes in, not the diameter."""
    return pi * (n.diameter - n.wall) ** 3 * n.wall


@key.answer("practice-stiffer")
def _(n):
    return larger(n).inertia / plain(n).inertia


@key.slip("practice-stiffer")
def practice_square(n):
    """Third power, not second."""
    return (n.bigger / n.diameter) ** 2


@key.slip("practice-stiffer")
def practice_plain_ratio(n):
    """That is the ratio of the diameters; now the third power of it."""
    return n.bigger / n.diameter


@key.answer("practice-heavier")
def _(n):
    return larger(n).area / plain(n).area


@key.slip("practice-heavier")
def practice_heavier_square(n):
    """The wall is the same, so the mass goes with the diameter itself."""
    return (n.bigger / n.diameter) ** 2


@key.slip("practice-heavier")
def practice_heavier_cube(n):
    """The third power is for the stiffness."""
    return (n.bigger / n.diameter) ** 3


@key.answer("practice-stress")
def _(n):
    return 1000 * n.moment / plain(n).modulus


@key.slip("practice-stress")
def practice_newton_metres(n):
    """Turn N·m into N·mm first."""
    return n.moment / plain(n).modulus


@key.slip("practice-stress")
def practice_inertia_for_modulus(n):
    """Divide by I over half the diameter, not by I."""
    return 1000 * n.moment / plain(n).inertia


@key.answer("practice-slit")
def _(n):
    return plain(n).torsion / plain(n).slit_torsion


@key.slip("practice-slit")
def practice_three(n):
    """Three times as much."""
    return plain(n).torsion / plain(n).slit_torsion / 3


@key.slip("practice-slit")
def practice_slit_diameter(n):
    """The middle radius, not the diameter."""
    return 3 * ((n.diameter - n.wall) / n.wall) ** 2


@key.answer("practice-double")
def _(n):
    return "diameter"


@key.slip("practice-double")
def practice_thick(n):
    """A thicker wall adds metal near the middle, where it works little."""
    return "wall"


@key.slip("practice-double")
def practice_no_difference(n):
    """The metal is the same; its distance from the middle isn't."""
    return "same"
