"""Answers and slips of `tack-order`. Instructor only."""

from functools import lru_cache
from itertools import permutations
from math import atan2, degrees, hypot, tan

import numpy as np

from coursekit import fitting, tacks
from coursekit.classroom.bank.keys import Key

key = Key("tack-order")

FOUR = (0, 180, 90, 270)
CLOCK = (0, 90, 180, 270)
OTHERS = ((2.10, 0.86), (2.46, 0.90), (1.78, 0.74), (2.30, 0.84), (1.94, 0.70))


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


# One tack


@key.answer("toward")
def _(n):
    return "drive"


@key.slip("toward")
def pull_away(n):
    """You sent it away from the tack.

    A tack shrinks as it cools: think of a rope that gets shorter on that side.
    """
    return "non-drive"


@key.slip("toward")
def quarter_off(n):
    """Look at the ring again, from the far end: 0° is the front, and the angles run against the
    clock.
    """
    return "back"


# From millimetres to degrees


@key.answer("first-tilt")
def _(n):
    return degrees(atan2(n.after_one, n.tube_length))


@key.slip("first-tilt")
def millimetres_as_degrees(n):
    """You wrote the gauge's millimetres down as degrees.

    The same tilt shows more on a longer tube, so the length must come in.
    """
    return n.after_one


@key.slip("first-tilt")
def per_cent(n):
    """That is a slope in per cent, offset over length times 100. Degrees were asked."""
    return 100 * n.after_one / n.tube_length


@key.slip("first-tilt")
def upside_down(n):
    """You put the length over the offset. A tube that leans by almost 90° lies on the floor."""
    return degrees(atan2(n.tube_length, n.after_one))


# The hold


@key.answer("hold")
def _(n):
    return hold_of(n)


@key.slip("hold")
def left_over(n):
    """That is the share that was left over. Asked is the share that the second tack took back."""
    return n.after_two / n.after_one


@key.slip("hold")
def added(n):
    """You added the readings. The gauge came back: the second pull is the difference of the two."""
    return (n.after_one + n.after_two) / n.after_one


# Four pulls


@key.answer("pulls", after=("first-tilt", "hold"))
def _(n, earlier):
    return [earlier["first-tilt"] * earlier["hold"] ** k for k in range(4)]


@key.slip("pulls")
def equal_steps(n, earlier):
    """You took off the same amount each time.

    It is the same share each time, so the steps get smaller.
    """
    return [earlier["first-tilt"] * (1 - k * (1 - earlier["hold"])) for k in range(4)]


@key.slip("pulls")
def one_too_late(n, earlier):
    """Your list begins with the second tack.

    The first one finds nothing that holds: its power is 0.
    """
    return [earlier["first-tilt"] * earlier["hold"] ** (k + 1) for k in range(4)]


@key.slip("pulls")
def all_equal(n, earlier):
    """You counted all tacks equal. Each one finds the tube held by those before it."""
    return [earlier["first-tilt"]] * 4


# Round the clock


@key.answer("clock", after=("pulls",))
def _(n, earlier):
    first, second, third, fourth = earlier["pulls"]
    return [first - third, second - fourth]


@key.slip("clock")
def all_pull_away(n, earlier):
    """You let each tack push the tube away. It shrinks, and pulls toward itself."""
    first, second, third, fourth = earlier["pulls"]
    return [third - first, fourth - second]


@key.slip("clock")
def with_the_clock(n, earlier):
    """Your across has the wrong sign.

    Seen from the far end the angles run against the clock: 90° is the non-drive side, and that side
    is positive.
    """
    first, second, third, fourth = earlier["pulls"]
    return [first - third, fourth - second]


@key.slip("clock")
def no_sign(n, earlier):
    """You added the pulls of opposite tacks. They pull against each other."""
    first, second, third, fourth = earlier["pulls"]
    return [first + third, second + fourth]


@key.slip("clock")
def nothing_left(n):
    """You counted all tacks equal, and then nothing would be left. The later ones pull less."""
    return [0.0, 0.0]


# A better order


@key.answer("order-four")
def _(n):
    return labels(FOUR)


@key.score("order-four")
def _(n, order):
    return share_of(n, order)


@key.slip("order-four")
def round_the_clock(n):
    """You went round the clock. By the time the opposite tack comes, two others hold the tube."""
    return labels(CLOCK)


@key.slip("order-four")
def side_by_side(n):
    """Your first two tacks are neighbours and pull the same corner.

    Answer the first tack at once with the one across from it.
    """
    return labels((0, 270, 90, 180))


# What your order leaves


@key.answer("left", after=("first-tilt", "hold", "order-four"))
def _(n, earlier):
    return size(angles(earlier["order-four"]), earlier["first-tilt"], earlier["hold"])


@key.slip("left")
def added_as_numbers(n, earlier):
    """You added the pulls as plain numbers.

    They point different ways: add in plane and across apart, then Pythagoras.
    """
    return sum(earlier["first-tilt"] * earlier["hold"] ** k for k in range(4))


@key.slip("left")
def sides_added(n, earlier):
    """You added the part in plane and the part across.

    They stand square to each other: Pythagoras.
    """
    order = angles(earlier["order-four"])
    return float(np.abs(tilt(order, earlier["first-tilt"], earlier["hold"])).sum())


@key.slip("left")
def first_alone(n, earlier):
    """That is the first tack alone. The ones after it take a good part of it back."""
    return earlier["first-tilt"]


# At the far end


@key.answer("tip", after=("left",))
def _(n, earlier):
    return float(tacks.tip_offset(earlier["left"], n.tube_length))


@key.slip("tip")
def without_the_length(n, earlier):
    """The number of degrees is not yet a number of millimetres.

    A degree at the joint grows with the length of the tube.
    """
    return earlier["left"]


@key.slip("tip")
def degrees_as_radians(n, earlier):
    """You let the sine read degrees as radians.

    A tenth of a degree does not throw a tube this far.
    """
    return n.tube_length * tan(earlier["left"])


@key.slip("tip")
def one_in_a_hundred(n, earlier):
    """You took a degree for one in a hundred. It is more: one in 57.3."""
    return n.tube_length * earlier["left"] / 100


# Which pair first?


@key.answer("which-first")
def _(n):
    return "plane"


@key.slip("which-first")
def sides_first(n):
    """The first pair leaves the larger rest, and leaves it in its own direction.

    Which direction can the fixture take up?
    """
    return "sides"


@key.slip("which-first")
def no_difference(n):
    """The size is the same, the direction is not. Draw both arrows."""
    return "same"


# The hold of the whole class


def records(n):
    """First pulls and second pulls of the six benches."""
    pairs = (*OTHERS, (n.after_one, n.after_two))
    return [a for a, _ in pairs], [a - b for a, b in pairs]


def slope(across, up):
    """Slope of the best line through zero."""
    return float(fitting.linear(np.array(across)[:, None], up).values[0])


@key.answer("class-hold")
def _(n):
    return slope(*records(n))


@key.slip("class-hold")
def left_overs_fitted(n):
    """You fitted what the second tacks left over.

    Take each second reading off the first one: that is what the second tack pulled.
    """
    return 1 - slope(*records(n))


@key.slip("class-hold")
def turned_over(n):
    """You divided by the squares of the second pulls.

    Below the line stand the squares of the first ones.
    """
    first, second = records(n)
    return slope(second, first)


@key.slip("class-hold")
def without_dividing(n):
    """That is the sum of the products. Divide it by the sum of the squares of the first pulls."""
    first, second = records(n)
    return float(np.dot(first, second))


# Six tacks


@key.answer("order-six")
def _(n):
    return best_six(hold_of(n))


@key.score("order-six")
def _(n, order):
    return share_of(n, order)


@key.slip("order-six")
def six_round_the_clock(n):
    """You went round the clock, so the strong pulls all lie on one side.

    Answer the first tack at once from across.
    """
    return labels((0, 60, 120, 180, 240, 300))


@key.slip("order-six")
def pairs_side_by_side(n):
    """Opposite pairs, good.

    But each pair leaves a rest, and your three rests lie close together. Turn the next pair so that
    its rest points back.
    """
    return labels((0, 180, 60, 240, 120, 300))


# Practice cards


@key.answer("practice-tilt")
def _(n):
    return degrees(atan2(n.after_one, n.tube_length))


@key.slip("practice-tilt")
def one_hundredth_a_degree(n):
    """You took one in a hundred for a degree. A degree is one in 57.3."""
    return 100 * n.after_one / n.tube_length


@key.slip("practice-tilt")
def left_in_radians(n):
    """This is in radians. Multiply by 57.3 to get degrees."""
    return n.after_one / n.tube_length


@key.answer("practice-hold")
def _(n):
    return hold_of(n)


@key.slip("practice-hold")
def the_rest(n):
    """This is the share left over.

    The hold is what the second tack took back, divided by the first reading.
    """
    return n.after_two / n.after_one


@key.slip("practice-hold")
def sum_of_readings(n):
    """You added the readings. The gauge came back, so take their difference."""
    return (n.after_one + n.after_two) / n.after_one


@key.answer("practice-third")
def _(n):
    return n.after_one * hold_of(n) ** 2


@key.slip("practice-third")
def the_second(n):
    """This is the second pull. The third one is smaller by the same share again."""
    return n.after_one * hold_of(n)


@key.slip("practice-third")
def twice_off(n):
    """You took the same millimetres off twice.

    Take the same share twice: multiply by the hold twice.
    """
    return n.after_one * (1 - 2 * (1 - hold_of(n)))


@key.answer("practice-across")
def _(n):
    return float(tacks.pull(FOUR, n.after_one, hold_of(n))[1])


@key.slip("practice-across")
def third_alone(n):
    """This is the third pull alone. The fourth comes from across and takes a part back."""
    return n.after_one * hold_of(n) ** 2


@key.slip("practice-across")
def third_and_fourth_added(n):
    """You added the last two pulls.

    They stand across from each other and pull against each other.
    """
    return n.after_one * hold_of(n) ** 2 * (1 + hold_of(n))


@key.answer("practice-square")
def _(n):
    return size((0, 90), n.after_one, hold_of(n))


@key.slip("practice-square")
def as_numbers(n):
    """You added the two pulls as numbers. They stand square: Pythagoras."""
    return n.after_one * (1 + hold_of(n))


@key.slip("practice-square")
def both_full(n):
    """You gave both tacks the full pull. The second one finds the tube held by the first."""
    return hypot(n.after_one, n.after_one)


@key.answer("practice-place")
def _(n):
    return n.after_one * 200 / n.tube_length


@key.slip("practice-place")
def no_change(n):
    """A leaning tube is off by less the nearer you measure to the joint.

    Go in proportion to the length.
    """
    return n.after_one


@key.slip("practice-place")
def proportion_upside_down(n):
    """You turned the proportion over. Nearer to the joint the offset is smaller."""
    return n.after_one * n.tube_length / 200


@key.answer("practice-way")
def _(n):
    return "toward"


@key.slip("practice-way")
def pushed(n):
    """Hot steel pushes while it swells, but it swells soft.

    What stays is what happens as it cools and shrinks.
    """
    return "away"


@key.slip("practice-way")
def lengthwise(n):
    """It shrinks along the tube, yes, but on one side only.

    What does a rope on one side of a mast do?
    """
    return "along"
