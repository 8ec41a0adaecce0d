"""Functions that the answers and slips in `braze-ons.md` call. Instructor only."""

from math import atan, cos, radians, sin

from coursekit import braze_ons
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key

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


@key.makes("st_boss")
def _(n, chance):
    """As high as the trade has it, with both bosses clear of the top tube."""
    highest = min(300.0, n.room - 105.0)
    lowest = min(255.0, highest)
    return (lowest + (highest - lowest) * chance.random(),)


@key.sound
def the_section_touches(n):
    """Its legs are longer than the tube is thick, halved."""
    return n.leg > n.down_tube / 2 + 0.5


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


# Two marks of an angle section


def one_mark(n):
    """From the crown to one edge mark, round the tube."""
    return float(braze_ons.edge_marks(n.down_tube, n.leg))


def past(n):
    """From the place that touches to the edge mark, round the tube."""
    radius = n.down_tube / 2
    return radius * atan((n.leg - radius) / radius)


# Hollowed for another tube


def depth(n):
    """How deep the ready-made hollow is over the width of the base."""
    return float(braze_ons.hollow_depth(n.hollow, n.base))


# Bottle to bottle


def sine_and_cosine_swapped(n, earlier):
    """A slip at `bottle-room`."""
    high, turn = bottles(n)[1], radians(n.between_deg)
    return high.start * cos(turn) - high.far_side * sin(turn) - earlier["far-side"]


# Five steps, one boss


@key.score("sequence")
def by_pairs(n, order):
    """Full marks for the order of the lesson, less for each pair that is the other way round."""
    return orders.share_in_line(order, ORDER)
