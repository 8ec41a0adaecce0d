"""Functions that the answers and slips in `shop-maths.md` call. Instructor only."""

import numpy as np

from coursekit import miters, readings, units
from coursekit.classroom.bank.keys import Key

key = Key("shop-maths")

INCH = units.INCH


# Which cases can be marked


@key.sound
def a_count_of_parts_that_rounds_up(n):
    """The fraction is well above a half and short of the next part, so it must be rounded up."""
    return 0.55 <= (n.found / INCH * 64) % 1 <= 0.92


@key.sound
def readings_that_scatter_as_an_indicator_does(n):
    """A spread that can be told from none, and from the play of a loose stand."""
    found = readings.mean_of(four(n))
    return 0.04 <= found.scatter <= 0.12 and abs(np.median(four(n)) - found.value) > 0.004


@key.sound
def one_error_is_clearly_the_largest(n):
    """One error is clearly the largest, so that there is one best thing to mend."""
    low, middle, high = sorted([right_miss(n), n.cut_error, n.fixture_error])
    return high - middle >= 0.3 and middle - low >= 0.1


def four(n):
    """The four readings, mm."""
    return [n.reading_1, n.reading_2, n.reading_3, n.reading_4]


def inches(n):
    """What the tape says in sixteenths of an inch, mm."""
    return units.mm(f"{n.sixteenths:g}/16 in")


def bwg(n):
    """Wall by Birmingham gauge, mm."""
    return units.mm(f"{n.gauge:g} BWG")


def swg(n):
    """Wall by the other family, Standard Wire Gauge, mm."""
    return units.mm(f"{n.gauge:g} SWG")


def right_miss(n):
    """What the protractor's error does at the far end, mm."""
    return float(miters.far_end(n.tube_length, n.protractor_error_deg))


def three(n, earlier):
    """The three errors at the far end, mm; the first is the student's own."""
    return [earlier["miss"], n.cut_error, n.fixture_error]


# What to do about it


def by_size(n):
    """The words of the choice, the smallest of the three errors first."""
    errors = {"protractor": right_miss(n), "cut": n.cut_error, "fixture": n.fixture_error}
    return sorted(errors, key=errors.get)
