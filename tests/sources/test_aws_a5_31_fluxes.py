"""Flux classes and the ranges they work in.

Source: AWS A5.31 (= ASME SFA-5.31), class names read; temperatures of Table 1 from memory:
FB3-A 1050-1600 °F, FB3-C 1050-1700 °F, FB3-D and FB3-K 1400-2200 °F (565-870, 565-925, 760-1205 °C).
Confirm against the standard before they are quoted.
"""

import pytest

from coursekit import brazing


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("FB3-A", 1050, 1600), ("FB3-C", 1050, 1700), ("FB3-D", 1400, 2200), ("FB3-K", 1400, 2200)],
)
def test_range(name, low, high):
    flux = brazing.flux(name)
    assert flux.low == pytest.approx(brazing.celsius(low), abs=2.5)
    assert flux.high == pytest.approx(brazing.celsius(high), abs=2.5)


@pytest.mark.parametrize(
    ("filler", "flux", "covers"),
    [("BAg-5", "FB3-A", True), ("BAg-7", "FB3-A", True), ("BAg-24", "FB3-C", True),
     ("RBCuZn-A", "FB3-A", False), ("RBCuZn-C", "FB3-C", False), ("RBCuZn-C", "FB3-D", True),
     ("RBCuZn-D", "FB3-D", True), ("RBCuZn-D", "FB3-K", True), ("BAg-7", "FB3-D", False),
     ("BCu-1", "FB3-D", True), ("BCu-1", "FB3-C", False)],
)  # fmt: skip
def test_match(filler, flux, covers):
    assert brazing.match(filler, flux).covers is covers


def test_margins():
    """BAg-7 melts from 618 °C and works to 760 °C; FB3-A works from 565 to 870 °C."""
    found = brazing.match(brazing.filler("BAg-7"), brazing.flux("FB3-A"))
    assert found.below == pytest.approx(618 - 565, abs=0.51)
    assert found.above == pytest.approx(870 - 760, abs=0.51)
