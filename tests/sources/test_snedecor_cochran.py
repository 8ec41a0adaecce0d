"""Components of variance, by a worked example in print.

G. W. Snedecor and W. G. Cochran, Statistical Methods, 6th ed., Iowa State University Press 1967,
chapter 10, "Model II: random effects": calcium in turnip leaves, four leaves with four determinations
each, per cent of dry weight. Data and results from memory; digits as remembered.
"""

from __future__ import annotations

import pytest

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bench.class_fits import spread

LEAVES = [
    (3.28, 3.09, 3.03, 3.03), (3.52, 3.48, 3.38, 3.38),
    (2.88, 2.80, 2.81, 2.76), (3.34, 3.38, 3.23, 3.26),
]  # fmt: skip
LINE = BenchLine("calcium", "calcium", "%", "balance", 0.01)


def test_calcium_in_turnip_leaves():
    found = spread(LINE, LEAVES)
    assert found.repeat**2 == pytest.approx(0.0066, abs=0.00005)  # mean square within leaves
    assert found.between**2 == pytest.approx(0.0724, abs=0.00005)  # component between leaves
    square = found.repeat**2 + 4 * found.between**2
    assert square == pytest.approx(0.2961, abs=0.00005)  # mean square between leaves
