"""Numbers as people write them, read in the unit that was asked."""

from __future__ import annotations

import math

import pytest

from coursekit.classroom.bank.written_number import UnreadError, read

# an inch is 25.4 mm exactly (international yard and pound agreement, 1959); a degree has 60 minutes
# of 60 seconds, and pi radians are 180 degrees (SI brochure, 9th edition, table 8)
READ = [
    ("1012.5", "mm", 1012.5), ("1012,5", "mm", 1012.5), ("1 012.5", "mm", 1012.5), ("1\u202f012,5 mm", "mm", 1012.5),
    ("  1012.5   mm ", "mm", 1012.5), ("12.", "mm", 12.0), (".5", "mm", 0.5), ("+3", "mm", 3.0), ("-3", "mm", -3.0),
    ("−3", "mm", -3.0), ("– 3", "mm", -3.0), ("1.2e3", "mm", 1200.0), ("0e300", "mm", 0.0), ("1,234", "mm", 1.234),
    ("39 7/8 in", "mm", 1012.825), ('39-7/8"', "mm", 1012.825), ("39–7/8 in.", "mm", 1012.825), ("39 ⅞ inches", "mm", 1012.825),
    ("39⅞”", "mm", 1012.825), ("39 7 / 8''", "mm", 1012.825), ("7/8″", "mm", 22.225), ("7⁄8 in", "mm", 22.225),
    ("-1 1/8 in", "mm", -28.575), ("0.05 in", "mm", 1.27), ("1 000 1/2 in", "mm", 25412.7), ("12 cm", "mm", 120.0),
    ("12 1/2 mm", "mm", 12.5), ("1.0125 metres", "mm", 1012.5), ("25.4 mm", "in", 1.0), ("1 in", "cm", 2.54),
    ("72.5°", "deg", 72.5), ("72,5 Degrees", "deg", 72.5), ("72° 30'", "deg", 72.5), ("72º30’", "deg", 72.5),
    ("72 deg 30 min", "deg", 72.5), ("-72° 30′", "deg", -72.5), ("72° 30.5'", "deg", 72 + 30.5 / 60),
    ("72° 30' 36\"", "deg", 72.51), ("72°30′36″", "deg", 72.51), ("72° 30' 36''", "deg", 72.51), ("72½°", "deg", 72.5),
    ("1.25 rad", "deg", 1.25 * 180 / math.pi), ("180 deg", "rad", math.pi), ("3 Nm", "N·m", 3.0), ("3 N·m", "N·m", 3.0),
    ("40 mm^2", "mm²", 40.0), ("210 N/mm²", "MPa", 210.0), ("21", "64ths", 21.0), ("78 64ths", "64ths", 78.0), ("78,5 64THS.", "64ths", 78.5), ("7/8 64ths", "64ths", 0.875),
    ("-1 1/2 64ths", "64ths", -1.5), ("1 012 64ths", "64ths", 1012.0), ("3.5", "", 3.5), ("4 times", "times", 4.0),
]  # fmt: skip
UNREAD = [
    ("", "mm", "no number"), ("-", "mm", "no number"), ("abc", "mm", "no number"), ("about 12", "mm", "no number"),
    ("12 +", "mm", "no number"), ("1 44", "mm", "no number"), ("0 144", "mm", "no number"), ("1/0 in", "mm", "no number"),
    ("39 - 7/8 in", "mm", "no number"), ("=1+1", "mm", "no number"), ("72° 60'", "deg", "no number"),
    ("72° 30' 60\"", "deg", "no number"), ("nan", "mm", "no number"), ("1_0", "mm", "no number"),
    ("72° 30", "deg", "other unit"), ("72° 30\"", "deg", "other unit"), ("12 g", "mm", "other unit"), ("12°", "mm", "other unit"),
    ("1 rad", "mm", "other unit"), ("12 mm", "deg", "other unit"), ("12 mm", "mm²", "other unit"), ("12 mm", "", "other unit"),
    ("7/8", "mm", "no unit"), ("39 7/8", "mm", "no unit"), ("1/2", "times", "no unit"), ("1/2", "64ths", "no unit"), ("64ths", "64ths", "other unit"),
    ("78 64ths", "mm", "no number"), ("78 64ths 64ths", "64ths", "no number"), ("7864ths", "64ths", "other unit"), ("7/8 g", "mm", "other unit"),
    ("1.234,5", "mm", "two ways"), ("1,234,567", "mm", "two ways"), ("1'234", "mm", "two ways"), ("1’234.5 mm", "mm", "two ways"),
    ("1e999", "mm", "not finite"), ("1e308 m", "mm", "not finite"), ("1e-99999999999999999999", "mm", "not finite"),
    ("1" * 41, "mm", "too long"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "asked", "value"), READ)
def test_read(text, asked, value):
    assert read(text, asked).value == pytest.approx(value, rel=1e-15, abs=0)


@pytest.mark.parametrize(("text", "asked", "trouble"), UNREAD)
def test_unread(text, asked, trouble):
    with pytest.raises(UnreadError) as told:
        read(text, asked)
    assert told.value.trouble == trouble


@pytest.mark.parametrize(
    ("text", "step", "unit"),
    [
        ("0.35", 0.01, "mm"),
        ("12 cm", 10, "cm"),
        ("1.2e3", 100, "mm"),
        ("1 1/16 in", 25.4 / 16, "in"),
        ("72° 30'", 1 / 60, "deg"),
        ("72° 30.5'", 1 / 600, "deg"),
        ("72° 30' 15\"", 1 / 3600, "deg"),
    ],
)
def test_the_worth_of_the_last_digit(text, step, unit):
    made = read(text, "deg" if "°" in text else "mm")
    assert (made.step, made.unit) == (pytest.approx(step, rel=1e-15), unit)


def test_exponents_can_be_left_out():
    with pytest.raises(UnreadError):
        read("1e2", "mm", exponents=False)
