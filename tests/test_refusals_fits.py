"""Refused calls of fits, bending and tolerances, each with the rule it breaks and the value."""

from __future__ import annotations

import numpy as np
import pytest

from coursekit import (
    alignment,
    bending,
    butts,
    dropouts,
    fitting,
    pulls,
    runout,
    tacks,
    tolerances,
    uncertainty,
)
from coursekit.tubes import Butted, Round

X = np.arange(0.0, 601.0, 10.0)
X20 = X[:20]
TUBE = Butted(28.6, (0.9, 0.6, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))
TURNED = Butted(28.6, (0.9, 0.6, 0.9), (130.0, 40.0, 320.0, 40.0, 70.0))
ROUND = Round(28.6, 0.9)
STEEL = (517.0, 205_000.0)
LINE = alignment.line(X, X, X, noise=0.02)

REFUSED = [
    (
        lambda: fitting.linear([[1, 0], [1, 1]], [1.0, 2.0]),
        "The readings must outnumber the unknowns; got 2 for 2.",
    ),
    (
        lambda: fitting.linear([[1, 0]], [1.0], noise=0.1),
        "The readings must be at least as many as the unknowns; got 1 for 2.",
    ),
    (
        lambda: fitting.linear([[1, 5], [1, 5], [1, 5]], [1.0, 2.0, 4.0]),
        "The readings must fix every unknown; got places that do not tell them apart.",
    ),
    (
        lambda: fitting.linear([[1, 0], [1, 1], [1, 2]], [1.0, 2.0, 4.0], noise=0.0),
        "The noise must be greater than 0; got 0.",
    ),
    (
        lambda: fitting.linear([[1, 0], [1, 1], [1, 2]], [1.0, float("nan"), 4.0]),
        "The readings must be finite; got nan at place 2.",
    ),
    (
        lambda: fitting.nonlinear(lambda p: (p[0] * X, X[:, None]), [1.0, 2.0], [1.0]),
        "The model must predict every reading; got 61 for 2.",
    ),
    (
        lambda: fitting.nonlinear(lambda p: (p[0] * X, X[:, None]), X, ["one"]),
        "The start must be numbers; got ['one'].",
    ),
    (
        lambda: uncertainty.combined(0.3, -0.1),
        "The uncertainty must be 0 or more; got -0.1.",
    ),
    (
        lambda: uncertainty.share_below(1.0, 0.9),
        "The degrees of freedom must be 1 or more; got 0.9.",
    ),
    (
        lambda: uncertainty.coverage_factor(95),
        "The confidence must lie between 0.5 and 1; got 95.",
    ),
    (
        lambda: uncertainty.coverage_factor(0.5),
        "The confidence must lie between 0.5 and 1; got 0.5.",
    ),
    (
        lambda: uncertainty.coverage_factor(0.95, sides=3),
        "The sides must be 1 or 2; got 3.",
    ),
    (
        lambda: uncertainty.coverage_factor(0.95, 0.5),
        "The degrees of freedom must be 1 or more; got 0.5.",
    ),
    (
        lambda: butts.find(X20[:11], X20[:11]),
        "The trace must have at least 12 readings; got 11.",
    ),
    (
        lambda: butts.find(X20, X20[:19]),
        "The trace must have one reading for each position; got 19 readings at 20 positions.",
    ),
    (
        lambda: butts.find(np.ones(20), X20),
        "The positions must spread along the tube; got only 1 places.",
    ),
    (
        lambda: butts.find(X20, np.where(X20 < 100, np.nan, 0.9)),
        "The readings must be finite; got nan at place 1.",
    ),
    (
        lambda: butts.find(X20, 0.01 * (X20 - 95.0) ** 2),
        "The trace must be flat, taper, flat; got a scatter of 4.1 mm about that, 0.82 mm between neighbours.",
    ),
    (
        lambda: butts.find(X, np.interp(X, [70, 110, 430, 470], [0.5, 0.9, 0.9, 0.5])),
        "The trace must be flat, taper, flat; got a scatter of 0.14 mm about that, 0.011 mm between neighbours.",
    ),
    (
        lambda: butts.keep(-9.0),
        "The saddle depth must be 0 or more; got -9 mm.",
    ),
    (
        lambda: butts.keep(9.0, -1.0),
        "The heat margin must be 0 or more; got -1 mm.",
    ),
    (
        lambda: butts.plan(TUBE, 620.0, 60.0, 80.0),
        "The tube must be at least as long as the finished length; got 600 mm for 620 mm, 20 mm missing.",
    ),
    (
        lambda: butts.plan(TUBE, 0.0, 60.0, 80.0),
        "The finished length must be greater than 0; got 0 mm.",
    ),
    (
        lambda: butts.plan(TUBE, 580.0, 75.0, 80.0),
        "The butt at end a must reach past its joint; got 70 mm for 75 mm, 5 mm missing.",
    ),
    (
        lambda: butts.plan(TUBE, 580.0, 60.0, 140.0),
        "The butt at end b must reach past its joint; got 130 mm for 140 mm, 10 mm missing.",
    ),
    (
        lambda: butts.plan(TUBE, 580.0, -60.0, 80.0),
        "The need at end a must be 0 or more; got -60 mm.",
    ),
    (
        lambda: butts.plan(TUBE, 520.0, 60.0, 80.0),
        "The cuts must leave both butts long enough; got 80 mm to cut, 20 mm missing at end a.",
    ),
    (
        lambda: butts.plan(TURNED, 520.0, 80.0, 60.0),
        "The cuts must leave both butts long enough; got 80 mm to cut, 20 mm missing at end b.",
    ),
    (
        lambda: butts.plan(TUBE, 120.0, 60.0, 80.0),
        "The needs must fit in the finished length; got 60 mm and 80 mm in 120 mm.",
    ),
    (
        lambda: butts.plan(TUBE, 560.0, 60.0, 80.0, from_a=20.0),
        "The cut at end a must lie within its window; got 20 mm for 0 to 10 mm.",
    ),
    (
        lambda: butts.plan(TUBE, 560.0, 62.0, 95.0, from_a=4.0),
        "The cut at end a must lie within its window; got 4 mm for 5 to 8 mm.",
    ),
    (
        lambda: butts.plan(TUBE, np.array([590.0, 620.0]), 60.0, 80.0),
        "The tube must be at least as long as the finished length; got 600 mm for 620 mm, 20 mm missing.",
    ),
    (
        lambda: bending.yield_curvature(ROUND, 0.0, 205e3),
        "The yield stress must be greater than 0; got 0 MPa.",
    ),
    (
        lambda: bending.yield_curvature(ROUND, 517.0, -1.0),
        "The modulus must be greater than 0; got -1 MPa.",
    ),
    (
        lambda: bending.moment("bent", ROUND, *STEEL),
        "The curvature must be a finite number in 1/mm; got 'bent'.",
    ),
    (
        lambda: bending.set_curvature(float("inf"), ROUND, *STEEL),
        "The curvature must be a finite number in 1/mm; got inf.",
    ),
    (
        lambda: bending.curvature_for_set(0.0, ROUND, *STEEL),
        "The set curvature must not be 0; got 0 1/mm.",
    ),
    (
        lambda: pulls.cantilever(-1e-4, 400.0, ROUND, *STEEL),
        "The root curvature must be greater than 0; got -0.0001 1/mm.",
    ),
    (
        lambda: pulls.cantilever(1e-4, 0.0, ROUND, *STEEL),
        "The length must be greater than 0; got 0 mm.",
    ),
    (
        lambda: pulls.cantilever_for_set(5.0, 500.0, ROUND, *STEEL),
        "The set must stay below what a pull can leave before the clamp turns into a hinge; got 5 deg against 0.777 deg.",
    ),
    (
        lambda: pulls.cantilever_for_set(0.0, 500.0, ROUND, *STEEL),
        "The set must be greater than 0; got 0 deg.",
    ),
    (
        lambda: pulls.greatest_set_deg(-500.0, ROUND, *STEEL),
        "The length must be greater than 0; got -500 mm.",
    ),
    (
        lambda: alignment.line([0.0, 200.0], [50.5, 50.9], [49.5, 49.3]),
        "The readings must outnumber the unknowns; got 2 for 2.",
    ),
    (
        lambda: alignment.line([0.0, 200.0, 300.0], [50.5, 50.9, 51.0], [49.5, 49.3]),
        "The two faces must have one height for each position; got 3 and 2 heights at 3 positions.",
    ),
    (
        lambda: alignment.line([9.0, 9.0, 9.0], [50.5, 50.9, 51.0], [49.5, 49.3, 49.0]),
        "The readings must fix every unknown; got places that do not tell them apart.",
    ),
    (
        lambda: alignment.line(
            [0.0, 200.0, 300.0], [50.5, 50.9, 51.0], [49.5, 49.3, 49.0], noise=-0.1
        ),
        "The noise must be greater than 0; got -0.1 mm.",
    ),
    (
        lambda: alignment.line(["0", "1"], [50.5, 50.9], [49.5, 49.3]),
        "The position must be a finite number in mm; got ['0', '1'].",
    ),
    (
        lambda: alignment.over_length(90.0, 150.0),
        "The angle must lie between -90 and 90; got 90 deg.",
    ),
    (
        lambda: alignment.over_length(1.0, 0.0),
        "The length must be greater than 0; got 0 mm.",
    ),
    (
        lambda: alignment.twist_deg(LINE, 0.5),
        "The twist must be between two lines; got 0.5.",
    ),
    (
        lambda: alignment.decide(0.2, 0.0, 0.5),
        "The uncertainty must be greater than 0; got 0.",
    ),
    (
        lambda: alignment.decide(0.2, 0.1, 0.0),
        "The limit must be greater than 0; got 0.",
    ),
    (
        lambda: alignment.decide(0.2, 0.1, 0.5, confidence=95),
        "The confidence must lie between 0.5 and 1; got 95.",
    ),
    (
        lambda: alignment.decide(float("nan"), 0.1, 0.5),
        "The value must be finite; got nan.",
    ),
    (
        lambda: alignment.cold_set(0.0, ROUND, 400.0, *STEEL),
        "The error must not be 0; got 0 deg.",
    ),
    (
        lambda: alignment.cold_set(-3.0, ROUND, 400.0, *STEEL),
        "The set must stay below what a pull can leave before the clamp turns into a hinge; got 3 deg against 0.6216 deg.",
    ),
    (
        lambda: alignment.cold_set(0.3, ROUND, -400.0, *STEEL),
        "The length must be greater than 0; got -400 mm.",
    ),
    (
        lambda: alignment.cold_set(0.3, ROUND, 400.0, 517.0, 0.0),
        "The modulus must be greater than 0; got 0 MPa.",
    ),
    (
        lambda: alignment.stop_reason([], 0.1),
        "The errors must begin with the one before the first pull; got none.",
    ),
    (
        lambda: alignment.stop_reason([0.5], 0.0),
        "The limit must be greater than 0; got 0 deg.",
    ),
    (
        lambda: alignment.strain_limit(Round(28.6, 0.0)),
        "The wall must be greater than 0; got 0 mm.",
    ),
    (
        lambda: dropouts.centre(-65.0, 65.0),
        "The distance on the drive side must be greater than 0; got -65 mm.",
    ),
    (
        lambda: dropouts.centre(65.0, 0.0),
        "The distance on the other side must be greater than 0; got 0 mm.",
    ),
    (
        lambda: dropouts.centre(65.0, 65.0, -0.1),
        "The noise must be 0 or more; got -0.1 mm.",
    ),
    (
        lambda: dropouts.faces(3.0, -1.0, 3.0, 3.0, 50.0),
        "The gap at the bottom must be 0 or more; got -1 mm.",
    ),
    (
        lambda: dropouts.faces(3.0, 3.0, 3.0, 3.0, 0.0),
        "The cup diameter must be greater than 0; got 0 mm.",
    ),
    (
        lambda: dropouts.string_test(30.0, 29.0, 900.0, 400.0),
        "The seat tube must lie between the axle and the head tube; got 900 mm and 400 mm.",
    ),
    (
        lambda: dropouts.string_test(-30.0, 29.0, 400.0, 900.0),
        "The gap on the drive side must be 0 or more; got -30 mm.",
    ),
    (
        lambda: dropouts.string_gap(130.0, 28.6, 36.0, 400.0, 400.0),
        "The seat tube must lie between the axle and the head tube; got 400 mm and 400 mm.",
    ),
    (
        lambda: runout.bow([0, 120, 240], [0.3, 0.1, 0.2]),
        "The readings must outnumber the unknowns; got 3 for 3.",
    ),
    (
        lambda: runout.bow([0, 120, 240], [0.3, 0.1]),
        "The dial must give one reading for each angle; got 2 readings at 3 angles.",
    ),
    (
        lambda: runout.bow([0, 0, 0, 0, 0], [0.3, 0.1, 0.2, 0.2, 0.1]),
        "The readings must fix every unknown; got places that do not tell them apart.",
    ),
    (
        lambda: runout.bow([0, 90, 180, 270], [0.3, 0.1, 0.2, 0.2], harmonics=3),
        "The harmonics must be 1 or 2; got 3.",
    ),
    (
        lambda: runout.bow([0, 90, 180, 270], [0.3, 0.1, 0.2, 0.2], noise=0.0),
        "The noise must be greater than 0; got 0.",
    ),
    (
        lambda: tacks.pull([]),
        "The order must hold at least one tack; got none.",
    ),
    (
        lambda: tacks.pull([0, 180], hold=1.2),
        "The hold must lie between 0 and 1; got 1.2.",
    ),
    (
        lambda: tacks.pull([0, 180], hold=-0.1),
        "The hold must lie between 0 and 1; got -0.1.",
    ),
    (
        lambda: tacks.pull([0, 180], first=-1.0),
        "The first pull must be 0 or more; got -1.",
    ),
    (
        lambda: tacks.pull(["top", "side"]),
        "The angle must be a finite number in deg; got ['top', 'side'].",
    ),
    (
        lambda: tacks.best(range(0, 360, 36)),
        "The order must hold at most 9 tacks; got 10.",
    ),
    (
        lambda: tacks.best([0, 180], first=0.0),
        "The first pull must be greater than 0; got 0.",
    ),
    (
        lambda: tacks.best([0, 180], across=0.0),
        "The weight across must be greater than 0; got 0.",
    ),
    (
        lambda: tacks.tip_offset(0.1, 0.0),
        "The length must be greater than 0; got 0 mm.",
    ),
    (
        lambda: tacks.fit([]),
        "The records must hold one with two tacks or more; got none.",
    ),
    (
        lambda: tacks.fit([([0], (0.4, 0.0)), ([90], (0.0, 0.4))]),
        "The records must hold one with two tacks or more; got only single ones.",
    ),
    (
        lambda: tacks.fit([([0, 180], (0.2, 0.0))]),
        "The readings must outnumber the unknowns; got 2 for 2.",
    ),
    (
        lambda: tacks.fit([([0, 180], (0.2, 0.0, 0.0))]),
        "The tilt must be two numbers, in plane and across; got [0.2, 0.0, 0.0].",
    ),
    (
        lambda: tacks.fit([([0, 180], (0.0, 0.0)), ([90, 270], (0.0, 0.0))]),
        "The records must show a pull; got tilts that do not follow the tacks.",
    ),
    (  # none of the tacks can pull the way that was read
        lambda: tacks.fit(
            [([0, 0], (np.nan, 0.1)), ([0, 0, 0], (np.nan, 0.2)), ([0, 0], (np.nan, 0.1))]
        ),
        "The records must show a pull; got tilts that do not follow the tacks.",
    ),
    (
        lambda: tacks.fit([([0, 180], (-0.2, 0.0)), ([0, 90, 180], (-0.3, 0.0))]),
        "The records must show a pull; got tilts that do not follow the tacks.",
    ),
    (
        lambda: tolerances.length(0.2),
        "The size must lie between 0.5 and 4000; got 0.2 mm.",
    ),
    (
        lambda: tolerances.length(4001.0),
        "The size must lie between 0.5 and 4000; got 4001 mm.",
    ),
    (
        lambda: tolerances.length(68.0, "x"),
        "The grade must be one of f, m, c, v; got 'x'.",
    ),
    (
        lambda: tolerances.length(2.0, "v"),
        "The grade must cover the size; got 2 mm in grade v.",
    ),
    (
        lambda: tolerances.length(3000.0, "f"),
        "The grade must cover the size; got 3000 mm in grade f.",
    ),
]


@pytest.mark.parametrize(("call", "rule"), REFUSED)
def test_refused_with_its_rule_and_the_value(call, rule):
    with pytest.raises(ValueError) as caught:
        call()
    assert str(caught.value).startswith(f"{rule} ")  # a cure follows, in words that may change


def test_every_refusal_has_its_rule_and_what_came():
    for _, rule in REFUSED:
        assert " must " in rule and "; got " in rule and rule.endswith(".")
