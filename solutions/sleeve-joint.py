"""Functions that the answers and slips in `sleeve-joint.md` call. Instructor only."""

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
    depth = (n.stock - right_plug(n)) / 2 - LAST
    cuts = depth / n.cut
    return depth > n.cut and 0.06 < cuts % 1 < 0.94


@key.sound
def a_tube_around_the_plug(n):
    """The thinner of the two walls is the tube's or the sleeve's, and they differ."""
    return abs(n.wall - n.sleeve_wall) >= 0.2


def right_plug(n):
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


# How many cuts?


def right_passes(n, earlier):
    """The answer to `passes`."""
    if earlier["plug"] == right_plug(n):
        return float(len(sleeves.passes(n.stock, right_plug(n), n.cut, LAST)))
    return cuts(n, earlier["plug"])


# Hot, with a stainless plug


def right_stainless(n, earlier):
    """The answer to `stainless`."""
    size = earlier["plug"]
    if size == right_plug(n):
        return float(sleeves.gap(n.bore, size, TUBE, STAINLESS, n.rise))
    return hot_gap(n, size)


# Three small tacks


def brazed_last(order):
    """Three tacks of equal pull and place: their order among themselves makes no difference."""
    return order.index("braze") == 3


@key.score("tacks")
def by_where_brazing_comes(n, order):
    """Full marks where brazing comes last, less for each tack that comes after it."""
    late = 3 - order.index("braze")
    if brazed_last(order):
        return 1.0, "All three tacks come before brazing; in which order makes no odds with three."
    return max(0.0, 0.5 - 0.25 * (late - 1)), f"{late} of the tacks come after brazing round."
