"""Answers and slips of `shop-maths`. Instructor only."""

from math import atan, degrees, floor, radians, sin, sqrt, tan

import numpy as np

from coursekit import miters, readings, uncertainty, units
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
    low, middle, high = sorted([miss(n), n.cut_error, n.fixture_error])
    return high - middle >= 0.3 and middle - low >= 0.1


def four(n):
    """The four readings, mm."""
    return [n.reading_1, n.reading_2, n.reading_3, n.reading_4]


def bwg(n):
    """Wall by Birmingham gauge, mm."""
    return units.mm(f"{n.gauge:g} BWG")


def miss(n):
    """What the protractor's error does at the far end, mm."""
    return float(miters.far_end(n.tube_length, n.protractor_error_deg))


def three(n, earlier):
    """The three errors at the far end, mm; the first is the student's own."""
    return [earlier["miss"], n.cut_error, n.fixture_error]


# Inches into millimetres


@key.answer("tape")
def _(n):
    return units.mm(f"{n.sixteenths:g}/16 in")


@key.slip("tape")
def divided(n):
    """You divided by 25.4.

    A millimetre is the smaller thing, so there must be more of them than of inches.
    """
    return n.sixteenths / 16 / INCH


@key.slip("tape")
def sixteenths_as_tenths(n):
    """You read the sixteenths behind the inch as tenths: 1 2/16 is 1.125, not 1.2."""
    return (1 + (n.sixteenths - 16) / 10) * INCH


@key.slip("tape")
def eighths(n):
    """You counted eighths.

    The small strokes of your tape are sixteenths, so everything came out twice as large.
    """
    return n.sixteenths / 8 * INCH


# The nearest sixty-fourth


@key.answer("parts")
def _(n):
    return float(round(n.found / INCH * 64))


@key.slip("parts")
def cut_off(n):
    """You cut the rest off. The nearest part was asked, and yours is more than half a part away."""
    return float(floor(n.found / INCH * 64))


@key.slip("parts")
def thirty_seconds(n):
    """You counted thirty-seconds of an inch; there are twice as many sixty-fourths."""
    return float(round(n.found / INCH * 32))


@key.slip("parts")
def per_millimetre(n):
    """You multiplied by 64 without turning the millimetres into inches before."""
    return float(round(n.found * 64))


# The wall


@key.answer("wall")
def _(n):
    return bwg(n)


@key.slip("wall", credit=0.25)
def the_other_family(n):
    """You took the British standard series.

    Your tube is marked BWG; the numbers look alike and the walls differ.
    """
    return units.mm(f"{n.gauge:g} SWG")


@key.slip("wall")
def thousandths_as_hundredths(n):
    """You read thousandths of an inch as hundredths of a millimetre.

    A thousandth of an inch is 0.0254 mm.
    """
    return 10 * bwg(n) / INCH


# The bore


@key.answer("bore", after=("tape", "wall"))
def _(n, earlier):
    return earlier["tape"] - 2 * earlier["wall"]


@key.slip("bore")
def one_wall(n, earlier):
    """You took one wall off. Straight across, the tube has two."""
    return earlier["tape"] - earlier["wall"]


@key.slip("bore")
def radius_of_the_bore(n, earlier):
    """That is half of the bore, its radius."""
    return earlier["tape"] / 2 - earlier["wall"]


# An angle as a length


@key.answer("rise")
def _(n):
    return float(units.rise(n.seat_angle_deg))


@key.slip("rise")
def degrees_as_radians(n):
    """Your calculator took the degrees for radians.

    A test that never fails: the tangent of 45 must be 1.
    """
    return 300 * tan(n.seat_angle_deg)


@key.slip("rise")
def sine(n):
    """You used the sine. It goes with the long side; the 300 mm here are the base."""
    return 300 * sin(radians(n.seat_angle_deg))


@key.slip("rise")
def base_and_rise_swapped(n):
    """You divided by the tangent.

    A steep line rises much more than 300 mm over a base of 300 mm.
    """
    return 300 / tan(radians(n.seat_angle_deg))


# The level leg


@key.answer("run")
def _(n):
    return sqrt(n.chainstay**2 - n.bb_drop**2)


@key.slip("run")
def added_squares(n):
    """You added the squares.

    The chainstay is the long side already; the level leg must be shorter than it.
    """
    return sqrt(n.chainstay**2 + n.bb_drop**2)


@key.slip("run")
def plain_difference(n):
    """You took the drop off the chainstay as it is.

    Sides of a right triangle go by their squares.
    """
    return float(n.chainstay - n.bb_drop)


# A small angle, far away


@key.answer("miss")
def _(n):
    return miss(n)


@key.slip("miss")
def not_turned_into_radians(n):
    """You multiplied degrees by millimetres.

    Divide by 57.3 first: a degree is that small a part of the length.
    """
    return n.protractor_error_deg * n.tube_length


@key.slip("miss")
def over_the_base(n):
    """You worked it out for the 300 mm of the drawing. The tube is longer, and so is the miss."""
    return 300 * tan(radians(n.protractor_error_deg))


# How good a protractor?


@key.answer("allowed")
def _(n):
    return degrees(atan(1 / n.tube_length))


@key.slip("allowed")
def upside_down(n):
    """You divided the length by 57.3. That is what one whole degree does, in millimetres."""
    return n.tube_length / degrees(1)


@key.slip("allowed")
def over_the_drawing_base(n):
    """You took a millimetre on the 300 mm of the drawing. The tube is longer: it forgives less."""
    return degrees(atan(1 / 300))


# Three errors at once


@key.answer("together", after=("miss",))
def _(n, earlier):
    return uncertainty.combined(*three(n, earlier))


@key.slip("together", credit=0.25)
def plain_sum(n, earlier):
    """You added them as they are.

    All three would have to be at their worst, and to the same side, on the same day.
    """
    return float(sum(three(n, earlier)))


@key.slip("together")
def squares_without_root(n, earlier):
    """You forgot the root at the end: yours is in square millimetres."""
    return float(sum(e**2 for e in three(n, earlier)))


@key.slip("together")
def their_mean(n, earlier):
    """That is their mean. Three errors together can't be less than the largest of them."""
    return float(np.mean(three(n, earlier)))


# What to do about it


def sizes(n):
    """The three errors by the word of the choice."""
    return {"protractor": miss(n), "cut": n.cut_error, "fixture": n.fixture_error}


@key.answer("improve")
def _(n):
    return max(sizes(n), key=sizes(n).get)


@key.slip("improve")
def the_smallest(n):
    """You chose the smallest.

    Squares make the large one count most: halving a small one changes next to nothing.
    """
    return min(sizes(n), key=sizes(n).get)


@key.slip("improve")
def the_second(n):
    """The one you chose helps a little.

    Look for the largest; its square weighs more than the other two.
    """
    return sorted(sizes(n), key=sizes(n).get)[1]


# Four readings of one thing


@key.answer("readings")
def _(n):
    found = readings.mean_of(four(n))
    return found.value, found.uncertainty


@key.slip("readings", credit=0.5)
def scatter_of_one(n):
    """Your second number is the scatter of a single reading.

    The mean of four is known twice as well.
    """
    found = readings.mean_of(four(n))
    return found.value, found.scatter


@key.slip("readings", credit=0.5)
def divided_by_the_number(n):
    """You divided the scatter by 4, the number of readings.

    It goes by the root of the number, which is 2.
    """
    found = readings.mean_of(four(n))
    return found.value, found.scatter / 4


@key.slip("readings", credit=0.5)
def one_division_only(n):
    """Your second number comes from the division of the dial.

    The readings differ by more than that, so they tell you more.
    """
    return readings.mean_of(four(n)).value, readings.division_uncertainty(0.02)


# Practice cards


@key.answer("practice-tape")
def _(n):
    return units.mm(f"{n.sixteenths:g}/16 in")


@key.slip("practice-tape")
def practice_divided(n):
    """You divided by 25.4; multiply. An inch holds 25.4 of them."""
    return n.sixteenths / 16 / INCH


@key.slip("practice-tape")
def practice_tenths(n):
    """You took the sixteenths for tenths of an inch."""
    return n.sixteenths / 10 * INCH


@key.answer("practice-parts")
def _(n):
    return float(round(n.found / INCH * 64))


@key.slip("practice-parts")
def practice_thirty_seconds(n):
    """Those are thirty-seconds. Take twice as many."""
    return float(round(n.found / INCH * 32))


@key.slip("practice-parts")
def practice_whole_inches_left_out(n):
    """You left the whole inches out: each is 64 parts."""
    return float(round(n.found / INCH * 64) % 64)


@key.answer("practice-bore")
def _(n):
    return units.mm(f"{n.sixteenths:g}/16 in") - 2 * bwg(n)


@key.slip("practice-bore")
def practice_one_wall(n):
    """Two walls lie between outside and bore."""
    return units.mm(f"{n.sixteenths:g}/16 in") - bwg(n)


@key.slip("practice-bore")
def practice_other_family(n):
    """That is the bore by SWG. Look at the letters behind the number."""
    return units.mm(f"{n.sixteenths:g}/16 in") - 2 * units.mm(f"{n.gauge:g} SWG")


@key.answer("practice-rise")
def _(n):
    return float(units.rise(n.seat_angle_deg))


@key.slip("practice-rise")
def practice_radians(n):
    """Set the calculator to degrees: tan 45 must be 1."""
    return 300 * tan(n.seat_angle_deg)


@key.slip("practice-rise")
def practice_sine(n):
    """That was the sine. Rise over base is the tangent."""
    return 300 * sin(radians(n.seat_angle_deg))


@key.answer("practice-run")
def _(n):
    return sqrt(n.chainstay**2 - n.bb_drop**2)


@key.slip("practice-run")
def practice_added(n):
    """Take the square away: the stay is the long side."""
    return sqrt(n.chainstay**2 + n.bb_drop**2)


@key.slip("practice-run")
def practice_difference(n):
    """Squares first, then the difference, then the root."""
    return float(n.chainstay - n.bb_drop)


@key.answer("practice-miss")
def _(n):
    return miss(n)


@key.slip("practice-miss")
def practice_degrees(n):
    """Divide by 57.3: the angle is in degrees."""
    return n.protractor_error_deg * n.tube_length


@key.slip("practice-miss")
def practice_half(n):
    """The whole length counts, from the joint to the far end."""
    return n.tube_length / 2 * tan(radians(n.protractor_error_deg))


@key.answer("practice-together")
def _(n):
    return uncertainty.combined(n.cut_error, n.fixture_error)


@key.slip("practice-together")
def practice_sum(n):
    """You added them. Squares, sum, root."""
    return float(n.cut_error + n.fixture_error)


@key.slip("practice-together")
def practice_no_root(n):
    """The root is missing."""
    return float(n.cut_error**2 + n.fixture_error**2)


@key.answer("practice-division")
def _(n):
    return "third"


@key.slip("practice-division")
def practice_half_division(n):
    """Half a division is the most it can be off. Mostly it is less: that over the root of 3."""
    return "half"


@key.slip("practice-division")
def practice_whole_division(n):
    """A reading to the nearest division is never a whole one off."""
    return "whole"
