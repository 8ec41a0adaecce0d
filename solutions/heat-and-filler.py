"""Answers and slips of `heat-and-filler`. Instructor only."""

from math import pi

from coursekit import brazing
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key
from coursekit.materials import STEEL_4130

key = Key("heat-and-filler")

ALLOWANCE = 1.25
PASTE = brazing.flux("FB3-A")
STEPS = ("clean", "flux", "tack", "heat", "feed", "cool", "soak")


@key.sound
def a_range_that_is_one(n):
    """A filler's brazing range lies above its solidus."""
    return n.top_f - n.solidus_f >= 60


@key.sound
def margins_that_can_be_told_from_zero(n):
    """Neither margin is close to zero, and one is there, so that one answer alone is right."""
    below, above = margins(n)
    return min(abs(below), abs(above)) >= 8 and max(below, above) > 0


@key.sound
def the_shell_is_thicker_by_far(n):
    """The share then is not close to half."""
    return n.shell_wall >= 2.2 * n.tube_wall


def margins(n):
    """How far the paste reaches below the solidus and above the brazing range, K."""
    low, high = brazing.celsius(n.solidus_f), brazing.celsius(n.top_f)
    return low - PASTE.low, PASTE.high - high


def share(n):
    """Share of the heat that the shell needs."""
    return float(brazing.heat_share(n.shell_wall, n.tube_wall, STEEL_4130))


def rod_length(volume, n):
    """Length of rod that holds a volume, mm."""
    return volume / (pi / 4 * n.rod**2)


# What the packet says


@key.answer("packet")
def _(n):
    return float(brazing.celsius(n.packet_f))


@key.slip("packet")
def without_the_thirty_two(n):
    """You forgot that 0 °C is 32 °F. Take 32 off first."""
    return n.packet_f / 1.8


@key.slip("packet")
def thirty_two_last(n):
    """You divided first and took 32 off after. Fahrenheit degrees come off first."""
    return n.packet_f / 1.8 - 32


@key.slip("packet")
def multiplied(n):
    """You multiplied by 1.8. A degree Celsius is the larger one, so there must be fewer of them."""
    return (n.packet_f - 32) * 1.8


# Where the heat goes


@key.answer("share")
def _(n):
    return 100 * share(n)


@key.slip("share")
def share_of_the_tube(n):
    """That is the tube's share. The shell has more steel to warm, so it needs more."""
    return 100 * (1 - share(n))


@key.slip("share")
def even(n):
    """You gave both the same. Then the thin one is white hot before the thick one is red."""
    return 50.0


@key.slip("share")
def ratio_of_walls(n):
    """That is the ratio of the walls. A share is one wall over both walls together."""
    return 100 * n.tube_wall / n.shell_wall


# How long on which?


@key.answer("dwell", after=("share",))
def _(n, earlier):
    part = earlier["share"] / 100
    return part / (1 - part)


@key.slip("dwell")
def turned_over(n, earlier):
    """You turned it over: that is the tube's time for each second on the shell."""
    part = earlier["share"] / 100
    return (1 - part) / part


@key.slip("dwell")
def over_the_whole(n, earlier):
    """You divided one by the tube's share: that is the whole time for each second on the tube."""
    return 1 / (1 - earlier["share"] / 100)


# Across the fillet


@key.answer("bead")
def _(n):
    return float(brazing.bead_area(n.leg))


@key.slip("bead")
def triangle(n):
    """That is a flat bead, a triangle.

    The bead is hollow and holds less than half of the square.
    """
    return n.leg**2 / 2


@key.slip("bead")
def quarter_circle(n):
    """You worked out the empty part, the quarter circle itself; subtract it."""
    return pi / 4 * n.leg**2


@key.slip("bead")
def whole_square(n):
    """That is the whole square of the leg."""
    return float(n.leg**2)


# Round the joint


@key.answer("volume", after=("bead",))
def _(n, earlier):
    return earlier["bead"] * n.line


@key.slip("volume")
def half_way_round(n, earlier):
    """You went half way round. The fillet closes on itself."""
    return earlier["bead"] * n.line / 2


@key.slip("volume")
def leg_times_line(n, earlier):
    """You multiplied the length by the leg. That is an area; the volume takes the area across."""
    return n.leg * n.line


# What to lay out


@key.answer("rods", after=("volume",))
def _(n, earlier):
    return ALLOWANCE * rod_length(earlier["volume"], n)


@key.slip("rods", credit=0.5)
def no_allowance(n, earlier):
    """You laid out what the fillet holds and nothing for what goes astray."""
    return rod_length(earlier["volume"], n)


@key.slip("rods")
def diameter_as_radius(n, earlier):
    """You took the rod's diameter for its radius, so it came out four times too thick."""
    return ALLOWANCE * rod_length(earlier["volume"], n) / 4


@key.slip("rods")
def a_quarter_less(n, earlier):
    """You divided by 1.25. What goes astray has to be added."""
    return rod_length(earlier["volume"], n) / ALLOWANCE


# The rod without a label


@key.answer("margins")
def _(n):
    return margins(n)


@key.slip("margins")
def signs_turned(n):
    """Both signs are turned. Positive means that the flux reaches further than the filler needs."""
    below, above = margins(n)
    return -below, -above


@key.slip("margins")
def fahrenheit_against_celsius(n):
    """You compared degrees Fahrenheit with degrees Celsius."""
    return n.solidus_f - PASTE.low, PASTE.high - n.top_f


# Does the paste do?


@key.answer("covers")
def _(n):
    below, above = margins(n)
    return "bottom" if below < 0 else "top" if above < 0 else "both"


@key.slip("covers")
def not_looked_at_the_top(n):
    """Compare both ends: where the flux begins with the solidus, where it ends with the top of the
    range.
    """
    return "both" if min(margins(n)) < 0 else "top"


@key.slip("covers")
def the_wrong_end(n):
    """You looked at the other end.

    A low margin below 0 means that it starts late, a high one that it ends early.
    """
    below, _ = margins(n)
    return "top" if below < 0 else "bottom"


# One joint, in order


@key.answer("order")
def _(n):
    return STEPS


@key.score("order")
def pairs(n, order):
    """Give marks for each pair in the right order: none when all of them are reversed."""
    return orders.share_of_pairs(order, STEPS)


@key.slip("order")
def flux_after_heat(n):
    """Flux has to be there before the heat: it keeps the air away while the steel gets hot."""
    return (
        "clean",
        "tack",
        "heat",
        "flux",
        "feed",
        "cool",
        "soak",
    )


@key.slip("order")
def cleaned_last(n):
    """Nothing flows on scale, oil or paint. Cleaning comes first of all."""
    return (
        "flux",
        "tack",
        "heat",
        "feed",
        "cool",
        "soak",
        "clean",
    )


@key.slip("order")
def soaked_hot(n):
    """You put it into water before it had cooled. That is quenching: steam, and a crack."""
    return (
        "clean",
        "flux",
        "tack",
        "heat",
        "feed",
        "soak",
        "cool",
    )


# The flux turns black


@key.answer("black")
def _(n):
    return "stop"


@key.slip("black")
def more_filler(n):
    """Filler doesn't wet a surface that has lost its flux. It will lie on it like a drop on wax."""
    return "more"


@key.slip("black")
def more_heat(n):
    """It has had too much already. Used-up flux doesn't come back."""
    return "hotter"


# Practice cards


@key.answer("practice-packet")
def _(n):
    return float(brazing.celsius(n.packet_f))


@key.slip("practice-packet")
def practice_no_thirty_two(n):
    """32 off first."""
    return n.packet_f / 1.8


@key.slip("practice-packet")
def practice_multiplied(n):
    """Divide by 1.8."""
    return (n.packet_f - 32) * 1.8


@key.answer("practice-share")
def _(n):
    return 100 * share(n)


@key.slip("practice-share")
def practice_thin_share(n):
    """That is the thin part's share."""
    return 100 * (1 - share(n))


@key.slip("practice-share")
def practice_even(n):
    """Not half and half: the thick one has more to warm."""
    return 50.0


@key.answer("practice-dwell")
def _(n):
    return share(n) / (1 - share(n))


@key.slip("practice-dwell")
def practice_turned(n):
    """Turn it over."""
    return (1 - share(n)) / share(n)


@key.slip("practice-dwell")
def practice_whole(n):
    """One less: the time on the thin part doesn't count for the thick one."""
    return 1 / (1 - share(n))


@key.answer("practice-bead")
def _(n):
    return float(brazing.bead_area(n.leg))


@key.slip("practice-bead")
def practice_triangle(n):
    """The bead is hollow, less than a triangle."""
    return n.leg**2 / 2


@key.slip("practice-bead")
def practice_quarter(n):
    """Square less quarter circle, not the quarter circle."""
    return pi / 4 * n.leg**2


@key.answer("practice-volume")
def _(n):
    return float(brazing.bead_area(n.leg)) * n.line


@key.slip("practice-volume")
def practice_flat(n):
    """That is a flat bead all round."""
    return n.leg**2 / 2 * n.line


@key.slip("practice-volume")
def practice_leg(n):
    """Area across times length; the leg is no area."""
    return n.leg * n.line


@key.answer("practice-rod")
def _(n):
    return rod_length(float(brazing.bead_area(n.leg)) * n.line, n)


@key.slip("practice-rod")
def practice_thick_rod(n):
    """Radius and diameter of the rod have changed places."""
    return rod_length(float(brazing.bead_area(n.leg)) * n.line, n) / 4


@key.slip("practice-rod")
def practice_rod_flat(n):
    """The bead is hollow; you filled it to a triangle."""
    return rod_length(n.leg**2 / 2 * n.line, n)


@key.answer("practice-hot")
def _(n):
    return "thick"


@key.slip("practice-hot")
def practice_thin_first(n):
    """It is quick, and it is gone as quickly. Bring the thick one up first."""
    return "thin"


@key.slip("practice-hot")
def practice_corner(n):
    """The filler would melt in the flame and not on the steel."""
    return "joint"
