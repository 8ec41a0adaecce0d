"""Functions that the answers and slips in `heat-and-filler.md` call. Instructor only."""

from math import pi

from coursekit import brazing
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key
from coursekit.materials import STEEL_4130

key = Key("heat-and-filler")

ALLOWANCE = 1.25
PASTE = brazing.flux("FB3-A")
STEPS = ("clean", "flux", "tack", "heat", "feed", "cool", "soak")


@key.makes("line")
def _(n, chance):
    """A strip of paper along the corner of the student's own joint reads to a millimetre or two."""
    return [brazing.fillet(n.tube, n.shell, 90.0, n.leg).line + 4 * chance.random() - 2]


@key.sound
def a_range_that_is_one(n):
    """A filler's brazing range lies above its solidus."""
    return n.top_f - n.solidus_f >= 60


@key.sound
def margins_that_can_be_told_from_zero(n):
    """Neither margin is close to zero, and one is there, so that one answer alone is right."""
    below, above = right_margins(n)
    return min(abs(below), abs(above)) >= 8 and max(below, above) > 0


@key.sound
def the_shell_is_thicker_by_far(n):
    """The share then is not close to half."""
    return n.shell_wall >= 2.2 * n.tube_wall


def right_margins(n):
    """How far the paste reaches below the solidus and above the brazing range, K."""
    low, high = brazing.celsius(n.solidus_f), brazing.celsius(n.top_f)
    return low - PASTE.low, PASTE.high - high


def right_share(n):
    """Share of the heat that the shell needs."""
    return float(brazing.heat_share(n.shell_wall, n.tube_wall, STEEL_4130))


def rod_length(volume, n):
    """Length of rod that holds a volume, mm."""
    return volume / (pi / 4 * n.rod**2)


# One joint, in order


@key.score("order")
def pairs(n, order):
    """Give marks for each pair in the right order: none when all of them are reversed."""
    return orders.share_of_pairs(order, STEPS)
