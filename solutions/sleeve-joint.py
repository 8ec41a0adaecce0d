"""Functions that the answers and slips in `sleeve-joint.md` call. Instructor only."""

from math import ceil, pi

from coursekit import sleeves
from coursekit.classroom.bank.keys import Key

key = Key("sleeve-joint")

TUBE, STAINLESS = 12.2e-6, 17.2e-6  # per K, 20 to 100 °C, as the question gives them
LAST = 0.1  # mm on the radius, the light cut
ORDER = ("tack 0°", "tack 120°", "tack 240°", "braze")


@key.makes("drill")
def _(n, chance):
    """A drilled hole from which two to six rough cuts lead to the bore."""
    return [right_bore(n) - 2 * (LAST + n.cut * (1.2 + 4 * chance.random()))]


@key.sound
def a_hole_that_is_well_below_the_bore(n):
    """Two rough cuts or more are needed, and their number does not depend on a rounding."""
    depth = (right_bore(n) - n.drill) / 2 - LAST
    return depth > n.cut and 0.06 < depth / n.cut % 1 < 0.94


@key.sound
def a_sleeve_with_a_wall_around_a_tube(n):
    """It goes over the tube, with a gap that draws, and is thicker than the tube."""
    return 0 < n.gap < 0.2 and sleeve_wall(n) >= n.wall + 0.2 and n.stock > n.outside


@key.sound
def a_post_that_goes_in(n):
    """The tube has a wall left once its bore is reamed."""
    return (n.seat_outside - for_post(n)) / 2 >= 0.3


def right_bore(n):
    """Bore of the sleeve, mm."""
    return n.seat_outside + 2 * n.gap


def sleeve_wall(n):
    """Wall of the sleeve, mm."""
    return (n.outside - right_bore(n)) / 2


def for_post(n):
    """What the post slides in, mm: reamed, or as it is where that is wider."""
    return max(n.post + n.play, n.seat_outside - 2 * n.wall)


def rod_length(volume, n):
    """Length of rod with half as much again, mm."""
    return sleeves.ALLOWANCE * volume / (pi / 4 * n.rod**2)


def cuts(n, size):
    """Rough cuts from the drilled hole to `LAST` below the size, and the last one."""
    return float(ceil(((size - n.drill) / 2 - LAST) / n.cut - 1e-9)) + 1


def hot_gap(n, bore, outer=STAINLESS, inner=TUBE):
    """Hot gap a side, mm, by what bore and tube grow; also for a student's own narrow bore."""
    return (bore * (1 + outer * n.rise) - n.seat_outside * (1 + inner * n.rise)) / 2


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
