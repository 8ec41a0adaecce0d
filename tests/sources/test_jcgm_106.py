"""JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in conformity
assessment, 7.4, example of the breakdown voltage of a Zener diode: at most -5.40 V allowed,
measured -5.47 V with a standard uncertainty of 0.05 V, conformance probability 0.92 (from memory).
"""

from __future__ import annotations

import pytest

from coursekit import alignment, uncertainty


def test_conformance_probability_of_the_diode():
    below = uncertainty.share_below((-5.40 - -5.47) / 0.05)
    assert below == pytest.approx(0.92, abs=0.005)


def test_a_decision_tells_the_same_probability():
    # the limit taken as the size 5.40 that must be passed, so the other way round
    found = alignment.decide(-5.47, 0.05, 5.40)
    assert 1 - found.probability == pytest.approx(0.92, abs=0.005)
    assert found.verdict == "undecided"  # 0.92 is less than 0.95
