"""What the fits, the bending sums and the plans hand back cannot be changed by accident."""

from __future__ import annotations

from dataclasses import is_dataclass

import pytest

from coursekit import alignment, butts, coldset, dropouts, fitting, pulls, runout, tacks

RESULTS = [
    alignment.Decision, alignment.Line, butts.Ends, butts.Plan, coldset.ColdSet, dropouts.Centre,
    dropouts.Faces, dropouts.String, fitting.Fitted, pulls.Pulled, runout.Bow, tacks.Model,
    tacks.Order,
]  # fmt: skip


@pytest.mark.parametrize("result", RESULTS)
def test_results_are_frozen(result):
    assert is_dataclass(result) and result.__dataclass_params__.frozen
