"""Functions that the answers and slips in `tack-order.md` call. Instructor only."""

from functools import lru_cache
from itertools import permutations

import numpy as np

from coursekit import fitting, tacks
from coursekit.classroom.bank.keys import Key

key = Key("tack-order")

FOUR = (0, 180, 90, 270)
CLOCK = (0, 90, 180, 270)
OTHERS = ((2.10, 0.86), (2.46, 0.90), (1.78, 0.74), (2.30, 0.84), (1.94, 0.70))


@key.makes("tube_length")
def _(n, chance):
    """A gauge 95 to 150 mm below the top; at 573 mm degrees would look like centimetres."""
    return [min(max(n.seat_tube - 95 - 55 * chance.random(), 200), 500)]


@key.sound
def the_second_tack_pulls_back_part_of_the_first(n):
    """A hold near one half hides a mixed-up share, one near 1 or 0 leaves nothing to order."""
    return 0.52 <= hold_of(n) <= 0.72


def hold_of(n):
    """Share of the first pull that the second tack still had."""
    return (n.after_one - n.after_two) / n.after_one


def angles(order):
    """Labels of an order as numbers."""
    return [float(label.rstrip("°")) for label in order]


def labels(order):
    """Angles as labels of an order."""
    return tuple(f"{a:g}°" for a in order)


def tilt(order, first, hold):
    """Tilt that an order of angles leaves, also for a student's own hold above 1."""
    if 0 <= hold <= 1 and first >= 0:
        return tacks.pull(order, first, hold)
    return sum(first * hold**k * tacks.pull([a], 1.0) for k, a in enumerate(order))


def size(order, first, hold):
    """Length of the tilt that an order of angles leaves."""
    return float(np.hypot(*tilt(order, first, hold)))


@lru_cache(maxsize=4096)
def best_and_worst(places, hold):
    """The least and the greatest tilt of all orders of `places`, as shares of the first pull."""
    orders = np.array(list(permutations(places[1:])))  # turning all tacks changes no size
    orders = np.insert(orders, 0, places[0], axis=1)
    sizes = np.linalg.norm(tacks.pull(orders, 1.0, hold), axis=-1)
    return float(sizes.min()), float(sizes.max())


@lru_cache(maxsize=65536)
def share_left(order, hold):
    """Tilt that an order of angles leaves, as a share of the first pull."""
    return size(order, 1.0, hold)


@lru_cache(maxsize=4096)
def best_six(hold):
    """The order of six tacks with the least tilt, as labels."""
    return labels(tacks.best([0, 60, 120, 180, 240, 300], 1.0, hold).angles_deg)


def share_of(n, order):
    """Full marks for the least tilt, none for the greatest, in a straight line between."""
    hold = hold_of(n)
    least, most = best_and_worst(tuple(sorted(angles(order))), hold)
    mine = share_left(tuple(angles(order)), hold)
    share = 1.0 if mine <= least * (1 + 1e-9) else (most - mine) / (most - least)
    said = f"It leaves {mine:.2f} of the first tack's pull; the best order leaves {least:.2f}."
    return max(share, 0.0), said


# A better order


@key.score("order-four")
def _(n, order):
    return share_of(n, order)


# What your order leaves


def sides_added(n, earlier):
    """A slip at `left`."""
    order = angles(earlier["order-four"])
    return float(np.abs(tilt(order, earlier["first-tilt"], earlier["hold"])).sum())


# The hold of the whole class


def records(n):
    """First pulls and second pulls of the six benches."""
    pairs = (*OTHERS, (n.after_one, n.after_two))
    return [a for a, _ in pairs], [a - b for a, b in pairs]


def slope(across, up):
    """Slope of the best line through zero."""
    return float(fitting.linear(np.array(across)[:, None], up).values[0])


def right_class_hold(n):
    """The answer to `class-hold`."""
    return slope(*records(n))


def left_overs_fitted(n):
    """A slip at `class-hold`."""
    return 1 - slope(*records(n))


def without_dividing(n):
    """A slip at `class-hold`."""
    first, second = records(n)
    return float(np.dot(first, second))


# Six tacks


@key.score("order-six")
def _(n, order):
    return share_of(n, order)
