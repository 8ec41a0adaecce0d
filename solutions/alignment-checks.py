"""Functions that the answers and slips in `alignment-checks.md` call. Instructor only."""

from functools import lru_cache
from math import atan, degrees, sqrt
from statistics import NormalDist

import numpy as np

from coursekit import alignment, bending, coldset, fitting
from coursekit.classroom.bank.keys import Key
from coursekit.tubes import Round

key = Key("alignment-checks")

PLACES = (100.0, 200.0, 300.0, 400.0)
APART = 100.0  # between the two places on the head tube
ONE = 0.04  # standard uncertainty of one reading
TWIST_ONE, TWIST_LIMIT = 0.024, 0.20
TUBE, YIELD, MODULUS = Round(28.6, 0.9), 517.0, 205_000.0


# Readings that belong together: a leaning tube, a gauge off its zero, a plate a little out of true


SEAT = [f"seat_{way}_{x:g}" for way in ("up", "down") for x in PLACES]
HEAD = [f"head_{way}_{end}" for way in ("up", "down") for end in ("low", "high")]


def jolt(chance):
    """Return one reading's error, mm: normal, cut off at three standard uncertainties."""
    return ONE * NormalDist().inv_cdf(0.00135 + 0.9973 * chance.random())


def between(chance, low, high, both_ways=True):
    """Return a number drawn evenly between `low` and `high`, of either sign."""
    size = low + (high - low) * chance.random()
    return -size if both_ways and chance.random() < 0.5 else size


def read(chance, tube, gauge):
    """Readings with the drive side up, then with it down, of true offsets over a gauge's errors."""
    up = [t + g + jolt(chance) for t, g in zip(tube, gauge, strict=True)]
    down = [g - t + jolt(chance) for t, g in zip(tube, gauge, strict=True)]
    return up + down


@key.makes(*SEAT, *HEAD)
def _(n, chance):
    zero, climb = between(chance, 0.44, 0.8), between(chance, 0.0, 0.0002)
    start, slope = between(chance, 0.12, 0.22), between(chance, 0.0022, 0.0028)
    twist = between(chance, *((0.07, 0.13), (0.175, 0.225), (0.27, 0.36))[int(3 * chance.random())])
    low, steep = between(chance, 0.2, 1.0), slope + twist / 57.3
    seat = read(chance, [start + slope * x for x in PLACES], [zero + climb * x for x in PLACES])
    return seat + read(chance, [low, low + steep * APART], [zero + climb * 400.0] * 2)


@key.sound
def the_head_tube_has_room_for_both_places(n):
    """Its two places lie 100 mm apart, so it is longer than that."""
    return n.head_tube > APART


@key.sound
def the_verdict_does_not_depend_on_a_rounding(n):
    """A twist at the very edge of the guard band would be decided by the third decimal."""
    twist = twist_of(n, right_line(n)[1])
    size, found = abs(twist), decision(twist)
    return abs(size - found.accept_to) > 0.007 and abs(size - found.reject_from) > 0.007


def readings(n, way):
    """Readings of the seat tube with the drive side "up" or "down"."""
    return [getattr(n, f"seat_{way}_{x:g}") for x in PLACES]


def half_differences(n):
    """Offsets of the seat tube at the four places."""
    return [
        (up - down) / 2 for up, down in zip(readings(n, "up"), readings(n, "down"), strict=True)
    ]


def line_through(heights):
    """Offset at the shell and lean over 100 mm of the best line through four heights."""
    return list(best_line(PLACES, tuple(heights)))


@lru_cache(maxsize=256)
def best_line(places, heights):
    """Offset at 0 and lean over 100 mm of the best line."""
    matrix = np.column_stack([np.ones(len(places)), places])
    start, slope = fitting.linear(matrix, heights).values
    return float(start), 100 * float(slope)


def right_line(n):
    """The student's line, all earlier answers right."""
    return line_through(half_differences(n))


# What the gauge adds


def half_sums(n):
    """What the gauge reads on the centre plane, at the four places."""
    return [
        (up + down) / 2 for up, down in zip(readings(n, "up"), readings(n, "down"), strict=True)
    ]


# The line


def forced_through_the_shell(n, earlier):
    """A slip at `line`."""
    products = sum(x * h for x, h in zip(PLACES, earlier["halves"], strict=True))
    return [0.0, 100 * products / sum(x * x for x in PLACES)]


# How well is that known?


def right_top_u(n):
    """The answer to `top-u`."""
    nothing = np.zeros(len(PLACES))
    line = alignment.line(np.array(PLACES), nothing, nothing, noise=ONE)
    return float(line.offset_uncertainty_at(n.to_top))


def reach(n):
    """How much the line's uncertainty has grown at the top, in those of one half difference."""
    return sqrt(1 / 4 + (n.to_top - 250) ** 2 / 50_000)


# Twist


def head_lean(n):
    """Return the head tube's offset at its upper place minus that at its lower place, mm."""
    return ((n.head_up_high - n.head_down_high) - (n.head_up_low - n.head_down_low)) / 2


def twist_of(n, lean):
    """Degrees by which the head tube leans more than a seat tube that leans by mm over 100 mm."""
    return degrees(atan(head_lean(n) / APART)) - degrees(atan(lean / 100))


# Decide


def decision(twist):
    """The verdict on a twist, with its guard band."""
    return alignment.decide(twist, TWIST_ONE, TWIST_LIMIT)


def as_if_it_were_exact(n, earlier):
    """A slip at `decide`."""
    bare = "within" if abs(earlier["twist"]) <= TWIST_LIMIT else "outside"
    other = {"within": "outside", "outside": "within"}
    right = decision(earlier["twist"]).verdict
    return bare if right == "undecided" else other[bare]


def band_in_the_wrong_place(n, earlier):
    """A slip at `decide`."""
    bare = "within" if abs(earlier["twist"]) <= TWIST_LIMIT else "outside"
    other = {"within": "outside", "outside": "within"}
    return other[bare] if decision(earlier["twist"]).verdict == "undecided" else "undecided"


# The pull


@lru_cache(maxsize=256)
def spring(lever):
    """Travel at the lever at which the tube begins to yield, mm."""
    return float(bending.yield_curvature(TUBE, YIELD, MODULUS)) * lever**2 / 3


@lru_cache
def pulls_made():
    """Set and pull as shares of the travel at first yield, for any lever."""
    lever = 400.0
    angles = np.geomspace(1e-4, 0.62, 800)
    travel = np.abs(coldset.cold_set(angles, TUBE, lever, YIELD, MODULUS).deflection)
    first = spring(lever)
    return np.tan(np.radians(angles)) * lever / first, travel / first


def pull_for(lean, lever):
    """Travel that takes out a lean of mm over 100 mm, with its sign; the nearest the model has."""
    sets, travels = pulls_made()
    share = abs(lean) * lever / 100 / spring(lever)
    return -float(np.sign(lean) * np.interp(share, sets, travels)) * spring(lever)


def moment_left_at_yield(n, earlier):
    """A slip at `pull`."""
    lean = earlier["line"][1]
    return -float(np.sign(lean)) * (abs(lean) * n.lever / 100 + spring(n.lever))


def radius_for_diameter(n, earlier):
    """A slip at `pull`."""
    lean = earlier["line"][1]
    size = abs(pull_for(lean, n.lever)) - abs(lean) * n.lever / 100
    return -float(np.sign(lean)) * (abs(lean) * n.lever / 100 + 2 * size)
