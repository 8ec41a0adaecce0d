"""Answers and slips of `butt-finding`. Instructor only."""

from functools import lru_cache
from math import atan2, cos, degrees, hypot, radians, sin, sqrt
from statistics import NormalDist, fmean

import numpy as np

from coursekit import runout
from coursekit.classroom.bank.keys import Key

key = Key("butt-finding")

PLACES = tuple(range(10, 190, 10))
THICK, THIN = (10, 20, 30, 40), (150, 160, 170, 180)
MARKS = tuple(range(0, 360, 45))
ONE = 0.006  # mm, scatter of one reading that the maker adds
UNKNOWNS = 4  # two levels, two places


# Readings that belong together: one butted tube, its wall, its outside and its bow


def jolt(chance):
    """Return one reading's error, mm: normal, cut off at three standard deviations."""
    return ONE * NormalDist().inv_cdf(0.00135 + 0.9973 * chance.random())


def between(chance, low, high):
    """Return a number drawn evenly between `low` and `high`."""
    return low + (high - low) * chance.random()


def profile(places, stops, begins, butt, belly):
    """Wall of a tube at the places: flat, straight taper, flat."""
    return np.interp(places, [stops, begins], [butt, belly])


@key.makes(*(f"wall_{x}" for x in PLACES), "wall_far", "outside_end", "outside_middle")
def _(n, chance):
    butt, belly = ((0.8, 0.5), (0.9, 0.6), (0.8, 0.55))[int(3 * chance.random())]
    butt, belly = butt + between(chance, -0.02, 0.02), belly + between(chance, -0.02, 0.02)
    stops = between(chance, 50, 67)
    begins = stops + between(chance, 42, 57)
    walls = [w + jolt(chance) for w in profile(PLACES, stops, begins, butt, belly)]
    double, outside = chance.random() < 0.5, chance.random() < 0.5
    far = (butt if double else belly) + jolt(chance)
    middle = (28.6, 31.8)[int(2 * chance.random())] + between(chance, -0.05, 0.05)
    return [*walls, far, middle + 2 * (butt - belly) * outside + jolt(chance), middle]


@key.makes(*(f"dial_{a}" for a in MARKS))
def _(n, chance):
    zero, amount = between(chance, 0.8, 1.2), between(chance, 0.16, 0.42)
    oval = between(chance, 0.02, 0.05)
    high, wide = 90 * int(4 * chance.random()) + between(chance, 12, 78), between(chance, 0, 180)

    def reading(a):
        bow, ripple = amount * cos(radians(a - high)), oval * cos(2 * radians(a - wide))
        return zero + bow + ripple + jolt(chance)

    return [reading(a) for a in MARKS]


@key.sound
def a_high_spot_between_the_marks(n):
    """A high spot on a mark, or half way, would hide which angle a student took."""
    return min(high_of(right_parts(n)) % 45, 45 - high_of(right_parts(n)) % 45) > 4


@key.sound
def one_mark_reads_highest(n):
    """Only one mark has the highest reading, and it is one of the two beside the high spot."""
    readings = sorted(dial(n))
    far = abs(turned(highest_mark(n) - high_of(right_parts(n))))
    return readings[-1] - readings[-2] > 0.005 and 4 < far < 45


@key.sound
def two_flats_that_are_flat(n):
    """No reading taken for a flat lies on the taper."""
    stops, begins = fit(walls(n), *levels(n))
    return stops >= 45 and begins <= 146


def walls(n):
    """The trace, mm."""
    return tuple(getattr(n, f"wall_{x}") for x in PLACES)


def dial(n):
    """The dial's readings at the eight marks, mm."""
    return [getattr(n, f"dial_{a}") for a in MARKS]


def levels(n):
    """Mean wall of the butt and of the belly."""
    return tuple(fmean(getattr(n, f"wall_{x}") for x in places) for places in (THICK, THIN))


@lru_cache
def pairs():
    """Every pair of whole millimetres that the program of the exercise tries, and its shares."""
    tried = [(s, b) for s in range(40, 101) for b in range(s + 20, 151)]
    stops, begins = np.array(tried, dtype=float).T[:, :, None]
    return tried, np.clip((np.array(PLACES) - stops) / (begins - stops), 0, 1)


@lru_cache(maxsize=512)
def fit(trace, butt, belly):
    """The two places, mm, that leave the least sum of squares for levels that are given."""
    tried, share = pairs()
    left = np.square(np.array(trace) - (butt + share * (belly - butt))).sum(axis=1)
    return tuple(float(v) for v in tried[int(np.argmin(left))])


def squares(n, earlier):
    """Sum of the squares of the misses about a student's own lines."""
    (butt, belly), (stops, begins) = earlier["levels"], earlier["fitted"]
    width = (begins - stops) or 1e-9
    share = [min(max((x - stops) / width, 0.0), 1.0) for x in PLACES]
    pairs = zip(walls(n), share, strict=True)
    return sum((w - (butt + s * (belly - butt))) ** 2 for w, s in pairs)


# A dial on the outside


@key.answer("dial-outside")
def _(n):
    return "nothing"


@key.slip("dial-outside")
def as_a_wall_gauge(n):
    """That is what a wall gauge shows, with its ball inside.

    This dial knows only the outside, and the outside runs straight.
    """
    return "once"


@key.slip("dial-outside")
def as_outside_butts(n):
    """That would be a micrometer on a tube with its butts outside. These are inside."""
    return "twice"


# The two flats


@key.answer("levels")
def _(n):
    return levels(n)


@key.slip("levels", credit=0.5)
def flats_swapped(n):
    """You have the two the wrong way round: the butt is the thick one."""
    return levels(n)[::-1]


@key.slip("levels")
def halves_of_the_trace(n):
    """You took all readings, half of them for each. Those on the taper belong to neither flat."""
    return fmean(walls(n)[:9]), fmean(walls(n)[9:])


@key.slip("levels")
def sums_for_means(n):
    """You added four readings and did not divide."""
    return tuple(4 * v for v in levels(n))


# By eye


def right_fit(n):
    """The two places, everything before them right."""
    return fit(walls(n), *levels(n))


@key.answer("by-eye")
def _(n):
    return right_fit(n)


@key.slip("by-eye", credit=0.5)
def length_for_place(n):
    """The second number is the taper's length. Asked was where it ends, from end a."""
    stops, begins = right_fit(n)
    return stops, begins - stops


@key.slip("by-eye")
def end_of_the_taper_for_the_butt(n):
    """You let the butt go on to where the belly begins.

    On the slope the wall is thinner already.
    """
    return (right_fit(n)[1],) * 2


@key.slip("by-eye")
def middle_of_the_slope(n):
    """You took the middle of the slope for both. There are two bends, one at each end of it."""
    return (sum(right_fit(n)) / 2,) * 2


# By least squares


@key.answer("fitted", after=("levels",))
def _(n, earlier):
    return fit(walls(n), *earlier["levels"])


@key.slip("fitted", credit=0.5)
def fitted_length(n, earlier):
    """The second number is a length. The program holds places, both from end a."""
    stops, begins = fit(walls(n), *earlier["levels"])
    return stops, begins - stops


@lru_cache(maxsize=512)
def fit_without_squares(trace, butt, belly):
    """The two places with the smallest sum of misses, which without squares may be negative."""
    tried, share = pairs()
    left = (np.array(trace) - (butt + share * (belly - butt))).sum(axis=1)
    return tuple(float(v) for v in tried[int(np.argmin(left))])


@key.slip("fitted")
def bare_misses_added(n, earlier):
    """You added the misses without squaring them.

    Then one above the line pays for one below, and the lowest sum is the worst fit.
    """
    return fit_without_squares(walls(n), *earlier["levels"])


@key.slip("fitted")
def ends_turned_round(n, earlier):
    """You have the two places the wrong way round: the butt stops before the belly begins."""
    return fit(walls(n), *earlier["levels"])[::-1]


# What is left over


@key.answer("scatter", after=("levels", "fitted"))
def _(n, earlier):
    return sqrt(squares(n, earlier) / (len(PLACES) - UNKNOWNS))


@key.slip("scatter", credit=0.5)
def divided_by_all(n, earlier):
    """You divided by all eighteen readings. Four of them were spent on the four unknowns."""
    return sqrt(squares(n, earlier) / len(PLACES))


@key.slip("scatter")
def root_forgotten(n, earlier):
    """That is the mean square. Take the root, so that it is in millimetres."""
    return squares(n, earlier) / (len(PLACES) - UNKNOWNS)


@key.slip("scatter")
def root_of_the_whole_sum(n, earlier):
    """You took the root of the whole sum. Divide first: it is one reading that we ask about."""
    return sqrt(squares(n, earlier))


# A hundredth of wall


def run(earlier):
    """Length of taper for each mm of wall, with a student's own lines."""
    (butt, belly), (stops, begins) = earlier["levels"], earlier["fitted"]
    return (begins - stops) / ((butt - belly) or 1e-9)


@key.answer("steepness", after=("levels", "fitted"))
def _(n, earlier):
    return 0.01 * run(earlier)


@key.slip("steepness")
def upside_down(n, earlier):
    """You divided the wrong way round: the taper runs many millimetres for little wall."""
    return 0.01 / (run(earlier) or 1e-9)


@key.slip("steepness")
def whole_wall(n, earlier):
    """You divided by the whole wall of the butt.

    Along the taper it loses only the difference of the two.
    """
    (butt, _), (stops, begins) = earlier["levels"], earlier["fitted"]
    return 0.01 * (begins - stops) / (butt or 1e-9)


# What kind of tube?


@key.answer("what-tube")
def _(n):
    return kind(*halves(n))


def halves(n):
    """Whether end b has a butt, and whether the outside has a step."""
    butt, belly = levels(n)
    return n.wall_far > (butt + belly) / 2, n.outside_end - n.outside_middle > butt - belly


def kind(double, outside):
    """The option's name."""
    return f"{'double' if double else 'single'}-{'outside' if outside else 'inside'}"


@key.slip("what-tube")
def other_end_misread(n):
    """Look at end b again: compare its wall with your two flats.

    Which of them is it?
    """
    double, outside = halves(n)
    return kind(not double, outside)


@key.slip("what-tube")
def outside_misread(n):
    """Compare the two diameters.

    If the butt were outside, the end would be thicker by twice the difference of the walls; if
    inside, they would be alike.
    """
    double, outside = halves(n)
    return kind(double, not outside)


# The wave's two parts


def parts(n, share=4):
    """How far the middle stands out along the marks 0° and 90°, by the lesson's calculation."""
    waves = ([f(radians(a)) for a in MARKS] for f in (cos, sin))
    return tuple(sum(r * w for r, w in zip(dial(n), wave, strict=True)) / share for wave in waves)


def right_parts(n):
    """The same, by the kit's own fit."""
    found = runout.bow(MARKS, dial(n))
    way = radians(found.high_deg)
    return float(found.amount * cos(way)), float(found.amount * sin(way))


@key.answer("parts")
def _(n):
    return right_parts(n)


@key.slip("parts", credit=0.5)
def divided_by_eight(n):
    """You divided by eight, as for a mean.

    A wave's squares add up to four, half the number of marks.
    """
    return parts(n, share=8)


@key.slip("parts", credit=0.5)
def sines_for_cosines(n):
    """You have the two the wrong way round: along 0° the cosine counts, for at 0° it is 1."""
    return parts(n)[::-1]


@key.slip("parts")
def two_marks_alone(n):
    """You took the readings at 0° and 90° as they stand.

    The dial's own zero is in them, and the other marks are not.
    """
    return n.dial_0, n.dial_90


# How much bow?


@key.answer("bow", after=("parts",))
def _(n, earlier):
    return hypot(*earlier["parts"])


@key.slip("bow", credit=0.5)
def total_reading(n, earlier):
    """That is how far the dial swings in a turn.

    It goes up by the bow and down by the bow: halve it.
    """
    return 2 * hypot(*earlier["parts"])


@key.slip("bow")
def parts_added(n, earlier):
    """You added the two parts. They stand square to each other: square, add, take the root."""
    return sum(abs(p) for p in earlier["parts"])


# Where is the high spot?


def high_of(parts):
    """Angle of the outside of the bow, 0° to 360°."""
    return degrees(atan2(parts[1], parts[0])) % 360


def turned(angle):
    """The same direction between −180° and 180°."""
    return 180 - (180 - angle) % 360


def highest_mark(n):
    """The mark with the highest reading."""
    return float(MARKS[int(np.argmax(dial(n)))])


@key.answer("high-spot", after=("parts",))
def _(n, earlier):
    return high_of(earlier["parts"])


@key.slip("high-spot")
def half_a_turn_away(n, earlier):
    """That is the inside of the bow.

    A ratio of two parts does not know their signs: look in which quarter they lie.
    """
    return (high_of(earlier["parts"]) + 180) % 360


@key.slip("high-spot")
def nearest_mark(n, earlier):
    """You took the mark with the highest reading. The wave's crest lies between two marks."""
    return highest_mark(n)


@key.slip("high-spot", credit=0.3)
def from_90_degrees(n, earlier):
    """You counted from the mark 90°. The tangent is the part along 90° over the part along 0°."""
    return (90 - high_of(earlier["parts"])) % 360


@key.slip("high-spot", credit=0.3)
def with_the_clock(n, earlier):
    """You counted with the clock. The marks grow against it."""
    return (360 - high_of(earlier["parts"])) % 360


# Into the plane


@key.answer("turn", after=("high-spot",))
def _(n, earlier):
    return turned(180 - earlier["high-spot"])


@key.slip("turn", credit=0.5)
def turned_the_other_way(n, earlier):
    """Right amount, wrong way: turning against the clock carries the high spot to larger angles."""
    return -turned(180 - earlier["high-spot"])


@key.slip("turn", credit=0.5)
def to_the_top(n, earlier):
    """You turned it to the top. That is in the plane as well, but the underside was asked."""
    return turned(-earlier["high-spot"])


@key.slip("turn")
def out_of_the_plane(n, earlier):
    """You turned the high spot sideways.

    There the bow pulls the frame out of its plane, which is what we want to avoid.
    """
    return turned(90 - earlier["high-spot"])


# Practice cards


@key.answer("practice-flat")
def _(n):
    return (n.wall_10 + n.wall_20) / 2


@key.slip("practice-flat")
def practice_sum(n):
    """Two readings: halve their sum."""
    return n.wall_10 + n.wall_20


@key.slip("practice-flat")
def practice_half_difference(n):
    """That is half their difference. A level is their mean."""
    return abs(n.wall_10 - n.wall_20) / 2


def fall(n):
    """Wall lost over one mm of the cards' taper."""
    return (n.wall_70 - n.wall_90) / 20


@key.answer("practice-slope")
def _(n):
    return 100 * fall(n)


@key.slip("practice-slope")
def practice_as_read(n):
    """That is over 20 mm. Over a hundred it is five times as much."""
    return 20 * fall(n)


@key.slip("practice-slope")
def practice_one_millimetre(n):
    """That is for one millimetre of taper."""
    return fall(n)


@key.answer("practice-stops")
def _(n):
    return 70 - (n.wall_10 - n.wall_70) / fall(n)


@key.slip("practice-stops")
def practice_forward(n):
    """You went forward from 70 mm. The butt lies back, toward end a."""
    return 70 + (n.wall_10 - n.wall_70) / fall(n)


@key.slip("practice-stops")
def practice_from_the_second(n):
    """You began at 90 mm with the wall of 70 mm."""
    return 90 - (n.wall_10 - n.wall_70) / fall(n)


@key.answer("practice-begins")
def _(n):
    return 90 + (n.wall_90 - n.wall_180) / fall(n)


@key.slip("practice-begins")
def practice_back(n):
    """You went back from 90 mm. The belly lies further on."""
    return 90 - (n.wall_90 - n.wall_180) / fall(n)


@key.slip("practice-begins")
def practice_from_the_first(n):
    """You began at 70 mm with the wall of 90 mm."""
    return 70 + (n.wall_90 - n.wall_180) / fall(n)


def four(n):
    """Parts of the bow along 0° and 90° from four marks."""
    return (n.dial_0 - n.dial_180) / 2, (n.dial_90 - n.dial_270) / 2


@key.answer("practice-bow")
def _(n):
    return float(
        runout.bow((0, 90, 180, 270), (n.dial_0, n.dial_90, n.dial_180, n.dial_270)).amount
    )


@key.slip("practice-bow")
def practice_not_halved(n):
    """Each difference of two opposite marks holds its part twice."""
    return 2 * hypot(*four(n))


@key.slip("practice-bow")
def practice_added(n):
    """The two parts stand square to each other: root of the sum of squares."""
    return sum(abs(p) for p in four(n))


@key.answer("practice-high")
def _(n):
    return high_of(four(n))


@key.slip("practice-high")
def practice_other_side(n):
    """That is half a turn away, where the dial reads lowest."""
    return (high_of(four(n)) + 180) % 360


@key.slip("practice-high")
def practice_clockwise(n):
    """The marks are numbered against the clock."""
    return (360 - high_of(four(n))) % 360


@key.answer("practice-kind")
def _(n):
    return "inside"


@key.slip("practice-kind")
def practice_outside(n):
    """Then the micrometer would read 0.60 mm more near the ends."""
    return "outside"


@key.slip("practice-kind")
def practice_plain(n):
    """The outside is the same, the wall is not."""
    return "none"
