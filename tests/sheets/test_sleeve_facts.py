"""Numbers of a frame by their names: the sleeve and the post at the seat tube's top."""

from __future__ import annotations

import pytest

from coursekit.sheets import frame_facts
from tests.sheets import builds


def test_the_sleeve_and_the_post_are_those_of_the_file() -> None:
    known, file = frame_facts.facts(builds.example()), builds.tables()
    for table, names in {
        "sleeve": ("plug", "bore", "lap", "outside"),
        "post": ("diameter", "insertion"),
    }.items():
        for name in names:
            assert known[f"{table}.{name}"] == file[table][name], name
    gap = (file["sleeve"]["bore"] - file["sleeve"]["plug"]) / 2
    assert known["sleeve.gap"] == pytest.approx(gap, abs=1e-12)


def test_half_a_fit_is_given_to_a_thousandth() -> None:
    """A bore of 28.75 over 28.6 leaves 0.075 a side; rounded to hundredths the two would disagree."""
    assert frame_facts.given({"sleeve.gap": 0.07500000000000107}, "sleeve.gap") == 0.075
    assert frame_facts.given({"sleeve.bore": 28.75}, "sleeve.bore") == 28.75
