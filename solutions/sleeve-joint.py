"""Functions that the answers and slips in `sleeve-joint.md` call. Instructor only."""

from math import pi

from coursekit import sleeves
from coursekit.classroom.bank.keys import Key

key = Key("sleeve-joint")

STEEL, STAINLESS = 14.6e-6, 18.6e-6  # per K up to 600 °C, as the question gives them
LAST = 0.1  # mm on the radius, the light cut
SLIDES, LOOSE = 0.05, 0.3  # mm on the diameter, as the question gives them
ORDER = ("tack 0°", "tack 120°", "tack 240°", "braze")


@key.sound
def a_sleeve_that_goes_over_its_tube(n):
    """It has a wall that differs from the tube's, and a gap that can be told from none."""
    turned = sleeve_wall(n, right_bore(n))
    return n.gap >= 0.04 and turned >= 0.4 and abs(turned - n.wall) >= 0.2


@key.sound
def a_bar_that_is_thick_enough(n):
    """More than one rough cut comes off, and their number does not depend on a rounding."""
    depth = (n.stock - n.outside) / 2 - LAST
    cuts = depth / n.cut
    return depth > n.cut and 0.06 < cuts % 1 < 0.94


@key.sound
def a_post_whose_fit_is_plain(n):
    """Its room in the tube is not near what still slides, nor near what is loose."""
    room = n.tube - 2 * n.wall - n.post
    return min(abs(room - SLIDES), abs(room - LOOSE)) > 0.02


def right_bore(n):
    """Inside diameter of the sleeve, mm."""
    return n.tube + 2 * n.gap


def sleeve_wall(n, bore):
    """Wall of the finished sleeve, mm."""
    return (n.outside - bore) / 2


def rod_length(volume, n):
    """Length of rod with half as much again, mm."""
    return sleeves.ALLOWANCE * volume / (pi / 4 * n.rod**2)


def hot_gap(n, bore, sleeve=STAINLESS, tube=STEEL):
    """Hot gap on each side of the tube, mm, also for a student's own bore that is too tight."""
    return (bore * (1 + sleeve * n.rise) - n.tube * (1 + tube * n.rise)) / 2


# Does the post go in?


def fit(n):
    """The word of the choice for the student's tube and post."""
    room = round(n.tube - 2 * n.wall - n.post, 6)
    return "ream" if room < SLIDES else "slides" if room <= LOOSE else "loose"


def other_fit(n):
    """The word on the other side of what still slides."""
    return "slides" if fit(n) == "ream" else "ream"


def far_fit(n):
    """The word that is left: in the sleeve's bore, a post that fits the tube is loose."""
    return "slides" if fit(n) == "loose" else "loose"


# How many cuts?


def right_passes(n):
    """The answer to `passes`."""
    return float(len(sleeves.passes(n.stock, n.outside, n.cut, LAST)))


# Hot, with a stainless sleeve


def right_stainless(n, earlier):
    """The answer to `stainless`."""
    bore = earlier["bore"]
    if bore == right_bore(n):
        return float(sleeves.gap(bore, n.tube, STAINLESS, STEEL, n.rise))
    return hot_gap(n, bore)


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
