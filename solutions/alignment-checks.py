"""Answers and slips of `alignment-checks`. Instructor only."""

from functools import lru_cache
from math import atan, degrees, sqrt
from statistics import NormalDist, fmean

import numpy as np

from coursekit import alignment, bending, coldset, dropouts, fitting
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


# Turned over


@key.answer("turned-over")
def _(n):
    return "gauge"


@key.slip("turned-over")
def one_face_believed(n):
    """You believed the first reading.

    A tube that is off to the drive side goes below the zero once the frame is turned.
    """
    return "tube"


@key.slip("turned-over")
def shared_out(n):
    """You shared the reading out.

    Take half the difference for the tube: what is the difference of two equal readings?
    """
    return "half"


# Where the seat tube is


@key.answer("halves")
def _(n):
    return half_differences(n)


@key.slip("halves", credit=0.3)
def full_difference(n):
    """You took the whole difference.

    Turning over moves the tube from one side of the zero to the other, twice its offset: halve it.
    """
    return [2 * h for h in half_differences(n)]


@key.slip("halves", credit=0.3)
def up_from_down(n):
    """Your signs are turned.

    Positive is the drive side, so begin with the reading that has it up.
    """
    return [-h for h in half_differences(n)]


@key.slip("halves")
def one_side_trusted(n):
    """You handed in the readings with the drive side up.

    They hold the gauge's own error too; the other face takes it out.
    """
    return readings(n, "up")


@key.slip("halves")
def sums_for_differences(n):
    """You halved the sums.

    That is what stays the same when the frame is turned: the gauge, not the tube.
    """
    return half_sums(n)


# What the gauge adds


def half_sums(n):
    """What the gauge reads on the centre plane, at the four places."""
    return [
        (up + down) / 2 for up, down in zip(readings(n, "up"), readings(n, "down"), strict=True)
    ]


@key.answer("gauge")
def _(n):
    return fmean(half_sums(n))


@key.slip("gauge", credit=0.3)
def whole_sum(n):
    """You took the whole sum. Both readings hold the gauge's error once: halve it."""
    return 2 * fmean(half_sums(n))


@key.slip("gauge")
def tube_for_gauge(n):
    """This is the mean of your tube's offsets.

    What both faces have in common is found with the sum.
    """
    return fmean(half_differences(n))


@key.slip("gauge")
def upper_face_alone(n):
    """You averaged one face. The tube's own lean is still in it."""
    return fmean(readings(n, "up"))


# The line


@key.answer("line", after=("halves",))
def _(n, earlier):
    return line_through(earlier["halves"])


@key.slip("line")
def mean_for_a_line(n, earlier):
    """A mean says that the tube lies beside the plane and does not lean. Let the line slope."""
    return [fmean(earlier["halves"]), 0.0]


@key.slip("line", credit=0.5)
def start_in_the_middle(n, earlier):
    """You left the line's start in the middle of the readings.

    Go back to the shell: take off the lean over the 250 mm between.
    """
    return [fmean(earlier["halves"]), line_through(earlier["halves"])[1]]


@key.slip("line", credit=0.5)
def for_each_millimetre(n, earlier):
    """Your lean is for one millimetre of tube. Asked was the change over a hundred."""
    start, lean = line_through(earlier["halves"])
    return [start, lean / 100]


@key.slip("line")
def forced_through_the_shell(n, earlier):
    """You made the line start at zero.

    The tube may sit beside the middle of its shell; let the readings say.
    """
    products = sum(x * h for x, h in zip(PLACES, earlier["halves"], strict=True))
    return [0.0, 100 * products / sum(x * x for x in PLACES)]


# At the top


@key.answer("top", after=("line",))
def _(n, earlier):
    start, lean = earlier["line"]
    return start + lean * n.to_top / 100


@key.slip("top")
def last_reading_kept(n, earlier):
    """You stayed at the last place read, 400 mm. The tube goes on, and so does its lean."""
    start, lean = earlier["line"]
    return start + lean * 4


@key.slip("top", credit=0.3)
def without_the_start(n, earlier):
    """You took the lean alone. Add where the line starts at the shell."""
    return earlier["line"][1] * n.to_top / 100


@key.slip("top")
def from_one_face(n, earlier):
    """This line was laid through one face's readings. It carries the gauge's error with it."""
    start, lean = line_through(readings(n, "up"))
    return start + lean * n.to_top / 100


# How well is that known?


@key.answer("top-u")
def _(n):
    nothing = np.zeros(len(PLACES))
    line = alignment.line(np.array(PLACES), nothing, nothing, noise=ONE)
    return float(line.offset_uncertainty_at(n.to_top))


def reach(n):
    """How much the line's uncertainty has grown at the top, in those of one half difference."""
    return sqrt(1 / 4 + (n.to_top - 250) ** 2 / 50_000)


@key.slip("top-u", credit=0.5)
def one_reading_for_a_half_difference(n):
    """You started from one reading.

    A half difference of two readings is better known, by the root of two.
    """
    return ONE * reach(n)


@key.slip("top-u")
def as_in_the_middle(n):
    """This is what the line knows in the middle of the readings.

    Toward the end of the tube it knows less.
    """
    return ONE / sqrt(2) / 2


@key.slip("top-u")
def one_place_alone(n):
    """This is one half difference.

    The line rests on four of them, and the top lies outside of them.
    """
    return ONE / sqrt(2)


# Twist


def head_lean(n):
    """Return the head tube's offset at its upper place minus that at its lower place, mm."""
    return ((n.head_up_high - n.head_down_high) - (n.head_up_low - n.head_down_low)) / 2


def twist_of(n, lean):
    """Degrees by which the head tube leans more than a seat tube that leans by mm over 100 mm."""
    return degrees(atan(head_lean(n) / APART)) - degrees(atan(lean / 100))


@key.answer("twist", after=("line",))
def _(n, earlier):
    return twist_of(n, earlier["line"][1])


@key.slip("twist")
def head_tube_alone(n, earlier):
    """This is the head tube against the plate.

    Take the seat tube's own lean off it: twist is between the two.
    """
    return degrees(atan(head_lean(n) / APART))


@key.slip("twist")
def millimetres_for_degrees(n, earlier):
    """These are millimetres over 100 mm. Degrees were asked: times 0.573."""
    return head_lean(n) - earlier["line"][1]


@key.slip("twist", credit=0.3)
def leans_added(n, earlier):
    """You added the two leans.

    If both lean the same way by the same amount nothing is twisted: take the difference.
    """
    return degrees(atan(head_lean(n) / APART)) + degrees(atan(earlier["line"][1] / 100))


@key.slip("twist", credit=0.3)
def head_not_halved(n, earlier):
    """You took whole differences of up and down for the head tube.

    Halve them, as on the seat tube.
    """
    return degrees(atan(2 * head_lean(n) / APART)) - degrees(atan(earlier["line"][1] / 100))


# Decide


def decision(twist):
    """The verdict on a twist, with its guard band."""
    return alignment.decide(twist, TWIST_ONE, TWIST_LIMIT)


@key.answer("decide", after=("twist",))
def _(n, earlier):
    return decision(earlier["twist"]).verdict


@key.slip("decide")
def as_if_it_were_exact(n, earlier):
    """Lay your twist, without its sign, beside three marks: limit less guard band, limit, limit
    plus guard band. Only what is below the first is within, only what is above the last is outside.
    """
    bare = "within" if abs(earlier["twist"]) <= TWIST_LIMIT else "outside"
    other = {"within": "outside", "outside": "within"}
    right = decision(earlier["twist"]).verdict
    return bare if right == "undecided" else other[bare]


@key.slip("decide")
def band_in_the_wrong_place(n, earlier):
    """Work the guard band out again: 1.645 times 0.024°, on either side of the limit.

    Does your twist fall between the two edges or not?
    """
    bare = "within" if abs(earlier["twist"]) <= TWIST_LIMIT else "outside"
    other = {"within": "outside", "outside": "within"}
    return other[bare] if decision(earlier["twist"]).verdict == "undecided" else "undecided"


# String


@key.answer("string")
def _(n):
    found = dropouts.string_test(n.gap_drive, n.gap_other, n.to_seat, n.to_head)
    return float(found.off_centre)


@key.slip("string", credit=0.3)
def gaps_as_at_the_dropouts(n):
    """You halved the difference as if the gaps were at the dropouts.

    At the seat tube the string shows only a part of it.
    """
    return (n.gap_drive - n.gap_other) / 2


@key.slip("string")
def whole_difference_of_gaps(n):
    """You handed in the difference of the gaps.

    One gap grows while the other shrinks, and the seat tube sees only a share.
    """
    return n.gap_drive - n.gap_other


@key.slip("string", credit=0.3)
def share_from_the_wrong_end(n):
    """You took the share from the wrong end.

    At the head tube the string shows nothing of the offset, at the dropouts all of it: the share is
    one less to_seat over to_head.
    """
    return (n.gap_drive - n.gap_other) / 2 * n.to_head / n.to_seat


@key.slip("string", credit=0.3)
def toward_the_smaller_gap(n):
    """The size is right. The dropouts lie toward the side where the string stands farther off."""
    return -float(dropouts.string_test(n.gap_drive, n.gap_other, n.to_seat, n.to_head).off_centre)


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


@key.answer("pull", after=("line",))
def _(n, earlier):
    return pull_for(earlier["line"][1], n.lever)


@key.slip("pull")
def springback_forgotten(n, earlier):
    """You pulled it straight and let go.

    All of that springs back: the tube must first go past its yield, and what it gives back comes on
    top.
    """
    return -earlier["line"][1] * n.lever / 100


@key.slip("pull", credit=0.3)
def pulled_further_off(n, earlier):
    """You pulled it the way it leans already.

    Pull against the lean: the travel has the other sign.
    """
    return -pull_for(earlier["line"][1], n.lever)


@key.slip("pull", credit=0.5)
def moment_left_at_yield(n, earlier):
    """You gave back only the travel at first yield.

    To leave a set the moment must rise above that; the table says how much.
    """
    lean = earlier["line"][1]
    return -float(np.sign(lean)) * (abs(lean) * n.lever / 100 + spring(n.lever))


@key.slip("pull", credit=0.3)
def radius_for_diameter(n, earlier):
    """Your springback is about double.

    In the travel at first yield stands the diameter, not the radius.
    """
    lean = earlier["line"][1]
    size = abs(pull_for(lean, n.lever)) - abs(lean) * n.lever / 100
    return -float(np.sign(lean)) * (abs(lean) * n.lever / 100 + 2 * size)


# Who may pull again?


@key.answer("stop")
def _(n):
    return "ash"


@key.slip("stop")
def a_line_in_the_fillet(n):
    """A hair line is a crack until somebody has proved that it isn't. No number outweighs it."""
    return "birch"


@key.slip("stop")
def back_and_forth(n):
    """It went past straight. Bending back and forth works the steel in one place; ask first."""
    return "cherry"


@key.slip("stop")
def a_fourth_pull(n):
    """Three pulls, and it still isn't there: something else moves.

    Find out what before a fourth.
    """
    return "elm"


# Practice cards


@key.answer("practice-half")
def _(n):
    return (n.seat_up_400 - n.seat_down_400) / 2


@key.slip("practice-half")
def whole(n):
    """That is the whole difference. Turning the frame over moves the tube by twice its offset."""
    return n.seat_up_400 - n.seat_down_400


@key.slip("practice-half")
def turned_sign(n):
    """Right size, wrong side. Positive is the drive side: begin with the reading that has it up."""
    return (n.seat_down_400 - n.seat_up_400) / 2


@key.slip("practice-half")
def first_face_only(n):
    """That is one face. Gauge and plate are still in it."""
    return n.seat_up_400


@key.answer("practice-zero")
def _(n):
    return (n.seat_up_400 + n.seat_down_400) / 2


@key.slip("practice-zero")
def sum_not_halved(n):
    """That is the sum. Each reading holds the gauge's error once, so halve it."""
    return n.seat_up_400 + n.seat_down_400


@key.slip("practice-zero")
def the_tube(n):
    """That is the tube's offset. The gauge is what stays the same when the frame is turned."""
    return (n.seat_up_400 - n.seat_down_400) / 2


@key.answer("practice-lean")
def _(n):
    return degrees(atan(head_lean(n) / APART))


@key.slip("practice-lean")
def left_in_millimetres(n):
    """That is in mm over 100 mm. Multiply by 0.573 for degrees."""
    return head_lean(n)


@key.slip("practice-lean")
def differences_whole(n):
    """You didn't halve the differences of the two faces."""
    return degrees(atan(2 * head_lean(n) / APART))


@key.answer("practice-string")
def _(n):
    found = dropouts.string_test(n.gap_drive, n.gap_other, n.to_seat, n.to_head)
    return float(found.off_centre)


@key.slip("practice-string")
def no_share(n):
    """Half the difference is what the seat tube sees.

    The dropouts are off by more: divide by the share.
    """
    return (n.gap_drive - n.gap_other) / 2


@key.slip("practice-string")
def not_halved(n):
    """You divided the whole difference by the share. Halve it first."""
    return 2 * float(
        dropouts.string_test(n.gap_drive, n.gap_other, n.to_seat, n.to_head).off_centre
    )


@key.slip("practice-string")
def share_turned_over(n):
    """The share is 1 less the shorter way over the longer one.

    You took the shorter over the longer.
    """
    return (n.gap_drive - n.gap_other) / 2 * n.to_head / n.to_seat


@key.answer("practice-spring")
def _(n):
    return spring(n.lever)


@key.slip("practice-spring")
def with_the_radius(n):
    """You divided by the radius. The diameter stands below the line."""
    return 2 * spring(n.lever)


@key.slip("practice-spring")
def three_forgotten(n):
    """The 3 below the line is missing: the bend is sharpest at the clamp and fades to nothing at
    the lever.
    """
    return 3 * spring(n.lever)


@key.answer("practice-pull")
def _(n):
    return 1.2 + 1.28 * spring(n.lever)


@key.slip("practice-pull")
def all_springs_back(n):
    """After that pull everything springs back. Add what the tube gives back."""
    return 1.2


@key.slip("practice-pull")
def set_not_added(n):
    """That is the springback alone. The tube must also travel the 1.2 mm that are to stay."""
    return 1.28 * spring(n.lever)


@key.slip("practice-pull")
def ratio_left_out(n):
    """You used the travel at first yield.

    While it is pulled the moment is 1.28 times as large, and so is the springback.
    """
    return 1.2 + spring(n.lever)


@key.answer("practice-zone")
def _(n):
    return "half"


@key.slip("practice-zone")
def zone_for_a_side(n):
    """A zone is given by its whole width. It lies half to one side and half to the other."""
    return "whole"


@key.slip("practice-zone")
def zone_doubled(n):
    """You doubled it. The zone has room for both sides already."""
    return "double"
