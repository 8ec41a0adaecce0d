"""Functions that the answers and slips in `butt-finding.md` call. Instructor only."""

from functools import lru_cache
from math import atan2, cos, degrees, radians, sin
from statistics import NormalDist, fmean

import numpy as np

from coursekit import runout
from coursekit.classroom.bank.keys import Key

key = Key("butt-finding")

PLACES = tuple(range(60, 240, 10))
THICK, THIN = (60, 70, 80, 90), (200, 210, 220, 230)
MARKS = tuple(range(0, 360, 45))
LABEL = ("diameter", "wall_a", "wall_belly", "butt_a", "taper_a")
ONE = 0.006  # mm, scatter of one reading that the maker adds
UNKNOWNS = 4  # two levels, two places


# Readings that belong together: one butted tube, its wall, its outside and its bow


def jolt(chance):
    """Return one reading's error, mm: normal, cut off at three standard deviations."""
    return ONE * NormalDist().inv_cdf(0.00135 + 0.9973 * chance.random())


def between(chance, low, high):
    """Return a number drawn evenly between `low` and `high`."""
    return low + (high - low) * chance.random()


def held(value, low, high):
    """Return the value, or the nearer of two ends where it lies beyond them."""
    return min(max(value, low), high)


def profile(places, stops, begins, butt, belly):
    """Wall of a tube at the places: flat, straight taper, flat."""
    return np.interp(places, [stops, begins], [butt, belly])


@key.makes(*(f"wall_{x}" for x in PLACES), "wall_far", "outside_end", "outside_middle")
def _(n, chance):
    """The down tube's shell end, a few millimetres off its label, and another tube of its size."""
    label = {part: n.frame[f"down_tube.{part}"] for part in LABEL}
    butt = held(label["wall_a"] + between(chance, -0.02, 0.02), 0.75, 0.94)
    belly = held(label["wall_belly"] + between(chance, -0.02, 0.02), 0.47, butt - 0.2)
    stops = label["butt_a"] + between(chance, -4, 4)
    begins = stops + max(label["taper_a"] + between(chance, -4, 4), 1)
    walls = [w + jolt(chance) for w in profile(PLACES, stops, begins, butt, belly)]
    double, outside = chance.random() < 0.5, chance.random() < 0.5
    far = (butt if double else belly) + jolt(chance)
    middle = held(label["diameter"], 28.0, 38.3) + between(chance, -0.05, 0.05)
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
    stops, begins = fit(walls(n), *right_levels(n))
    return stops >= 95 and begins <= 196


def walls(n):
    """The trace, mm."""
    return tuple(getattr(n, f"wall_{x}") for x in PLACES)


def dial(n):
    """The dial's readings at the eight marks, mm."""
    return [getattr(n, f"dial_{a}") for a in MARKS]


def right_levels(n):
    """Mean wall of the butt and of the belly."""
    return tuple(fmean(getattr(n, f"wall_{x}") for x in places) for places in (THICK, THIN))


@lru_cache
def pairs():
    """Every pair of whole millimetres that the program of the exercise tries, and its shares."""
    tried = [(s, b) for s in range(90, 151) for b in range(s + 20, 201)]
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


# By eye


def right_fit(n):
    """The two places, everything before them right."""
    return fit(walls(n), *right_levels(n))


# By least squares


def fitted_length(n, earlier):
    """A slip at `fitted`."""
    stops, begins = fit(walls(n), *earlier["levels"])
    return stops, begins - stops


@lru_cache(maxsize=512)
def fit_without_squares(trace, butt, belly):
    """The two places with the smallest sum of misses, which without squares may be negative."""
    tried, share = pairs()
    left = (np.array(trace) - (butt + share * (belly - butt))).sum(axis=1)
    return tuple(float(v) for v in tried[int(np.argmin(left))])


# A hundredth of wall


def run(earlier):
    """Length of taper for each mm of wall, with a student's own lines."""
    (butt, belly), (stops, begins) = earlier["levels"], earlier["fitted"]
    return (begins - stops) / ((butt - belly) or 1e-9)


# What kind of tube?


def halves(n):
    """Whether end b has a butt, and whether the outside has a step."""
    butt, belly = right_levels(n)
    return n.wall_far > (butt + belly) / 2, n.outside_end - n.outside_middle > butt - belly


def kind(double, outside):
    """The option's name."""
    return f"{'double' if double else 'single'}-{'outside' if outside else 'inside'}"


# The wave's two parts


def wave_parts(n, share=4):
    """How far the middle stands out along the marks 0° and 90°, by the lesson's calculation."""
    waves = ([f(radians(a)) for a in MARKS] for f in (cos, sin))
    return tuple(sum(r * w for r, w in zip(dial(n), wave, strict=True)) / share for wave in waves)


def right_parts(n):
    """The same, by the kit's own fit."""
    found = runout.bow(MARKS, dial(n))
    way = radians(found.high_deg)
    return float(found.amount * cos(way)), float(found.amount * sin(way))


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


# Practice cards


def fall(n):
    """Wall lost over one mm of the cards' taper."""
    return (n.wall_120 - n.wall_140) / 20


def four(n):
    """Parts of the bow along 0° and 90° from four marks."""
    return (n.dial_0 - n.dial_180) / 2, (n.dial_90 - n.dial_270) / 2
