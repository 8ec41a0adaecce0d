"""Numbers of a frame by their names: where tubes lie, are marked and get thin; what a student reads."""

from __future__ import annotations

from typing import Any

import pytest

from coursekit.sheets import frame_facts, frame_file
from tests.sheets import builds

TUBES = ("top_tube", "down_tube")


@pytest.fixture(scope="module")
def known() -> frame_facts.Facts:
    return frame_facts.facts(builds.example())


def test_tubes_lie_as_the_file_says(known: frame_facts.Facts) -> None:
    """Edges and distances come back from the placed axes as the file gave them."""
    tubes = builds.tables()["tubes"]
    for tube, names in {
        "top_tube": ("below_head_top", "below_seat_top"),
        "down_tube": ("above_head_bottom",),
        "chainstay": ("apart_at_shell", "apart_at_axle"),
        "seatstay": ("apart_at_seat_tube", "apart_at_axle"),
        "shell": ("faced",),
    }.items():
        for name in names:
            assert known[f"{tube}.{name}"] == pytest.approx(tubes[tube][name], abs=1e-9), name


def test_a_shell_that_is_not_faced_is_as_wide_as_bought() -> None:
    data: dict[str, Any] = builds.tables()
    del data["tubes"]["shell"]["faced"]
    assert frame_facts.facts(frame_file.build(data))["shell.faced"] == 69


@pytest.mark.parametrize("tube", TUBES)
def test_marks_and_full_walls_add_up(known: frame_facts.Facts, tube: str) -> None:
    """Along the tube, from crossing to crossing; and from the saw cuts, which meet the metal."""

    def of(name: str) -> float:
        return known[f"{tube}.{name}"]

    axis = of("mark_from_a") + of("mark_b") - of("mark_a") + of("mark_from_b")
    assert axis == pytest.approx(of("axis"), abs=1e-9)
    thin = of("taper_a") + of("belly") + of("taper_b")
    assert of("thick_a") + thin + of("thick_b") == pytest.approx(of("axis"), abs=1e-9)
    head = of("head_tube.long_point")
    assert of("thick_b") - head == pytest.approx(of("butt_b") - of("off_b"), abs=1e-9)


def test_the_fixture_reads_over_its_rail() -> None:
    """A rail 100 mm lower: the arm crosses it 100 / tan(head angle) farther ahead."""
    data = builds.tables()
    data["bench"]["rail"] += 100
    lower, known = frame_facts.facts(frame_file.build(data)), frame_facts.facts(builds.example())
    ahead = lower["fixture.head_ahead"] - known["fixture.head_ahead"]
    assert ahead == pytest.approx(100 / 3.17159, abs=1e-3)  # tan 72.5°, from a table
    assert lower["fixture.rear_back"] == known["fixture.rear_back"]


def test_a_fit_is_given_to_a_hundredth() -> None:
    assert frame_facts.given({"sleeve.bore": 28.75}, "sleeve.bore") == 28.75
    assert frame_facts.given({"sleeve.lap": 20.04}, "sleeve.lap") == 20.0
