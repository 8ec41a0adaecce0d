"""Inch sizes, drills and unit factors.

Sources: international yard and pound agreement (1959), 1 in = 25.4 mm; ANSI B94.11M drills as
public hole tables print them (#50, #60, #80 from memory); NIST SP 811 for ksi, lbf and lb/in³
(from memory).
"""

import pytest

from coursekit import units


@pytest.mark.parametrize(
    ("text", "mm"),
    [("5/8 in", 15.875), ("3/4 in", 19.050), ("7/8 in", 22.225), ("1 in", 25.400),
     ("1-1/8 in", 28.575), ("1-1/4 in", 31.750), ("1-3/8 in", 34.925), ("1-1/2 in", 38.100),
     ("2.5 in", 63.5), ("1.370 in", 34.798)],
)  # fmt: skip
def test_inches(text, mm):
    assert units.mm(text) == mm


@pytest.mark.parametrize(
    ("trade", "text"),
    [
        (28.6, "1 1/8 in"),
        (31.8, "1 1/4 in"),
        (34.9, "1 3/8 in"),
        (38.1, "1 1/2 in"),
        (22.2, "7/8 in"),
    ],
)
def test_trade_names(trade, text):
    assert units.fraction(trade) == text


@pytest.mark.parametrize(
    ("name", "inches"),
    [("#1", .2280), ("#2", .2210), ("#7", .2010), ("#8", .1990), ("#9", .1960), ("#13", .1850),
     ("#17", .1730), ("#18", .1695), ("#20", .1610), ("#21", .1590), ("#25", .1495), ("#27", .1440),
     ("#29", .1360), ("#30", .1285), ("#32", .1160), ("#35", .1100), ("#36", .1065),
     ("#37", .1040), ("#43", .0890), ("#50", .0700), ("#53", .0595), ("#55", .0520),
     ("#60", .0400), ("#80", .0135), ("A", .234), ("F", .2570), ("G", .2610), ("H", .2660),
     ("I", .2720), ("P", .3230), ("Q", .3320), ("U", .3680), ("W", .3860), ("X", .3970),
     ("Z", .413)],
)  # fmt: skip
def test_drill(name, inches):
    assert units.drill(name) == pytest.approx(25.4 * inches, abs=1e-12)


@pytest.mark.parametrize(
    ("factor", "printed", "half_digit"),
    [("KSI", 6.894757, 5e-7), ("POUND_FORCE", 4.448222, 5e-7),
     ("POUND_PER_CUBIC_INCH", 27.67990, 5e-6)],
)  # fmt: skip
def test_factor(factor, printed, half_digit):
    assert getattr(units, factor) == pytest.approx(printed, abs=half_digit)


def test_inch_pound():
    newton_metres = units.POUND_FORCE * units.INCH / 1000
    assert newton_metres == pytest.approx(0.1129848, abs=5e-8)
