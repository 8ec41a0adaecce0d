"""Inch sizes. Source: international yard and pound agreement (1959), 1 in = 25.4 mm."""

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
