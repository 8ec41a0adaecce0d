"""An order on the worksheet: a numbered box a place, and a ring where the labels are angles."""

from __future__ import annotations

import pytest

from coursekit.sheets import worksheet
from tests.sheets import paper

FOUR, SIX = ("0°", "90°", "180°", "270°"), ("0°", "60°", "120°", "180°", "240°", "300°")
JOINTS = ("shell", "head tube", "seat tube")


def page_of(labels, size="a4"):
    task = worksheet.SheetQuestion(
        "A better order", "Put them in order.", "order", 3, entries=labels
    )
    body = worksheet.Body("small", "Small", "One order.", (task,))
    return paper.pages(worksheet.pdf(body, [worksheet.Copy("bench-01", "bench-01", ())], size))[0]


@pytest.mark.parametrize("size", ["a4", "us-letter"])
@pytest.mark.parametrize("labels", [FOUR, SIX])
def test_a_ring_has_a_spot_at_each_angle_against_the_clock(labels, size):
    words = {w["text"]: w for w in page_of(labels, size).extract_words()}
    assert set(labels) <= set(words)
    middle = {label: ((w["x0"] + w["x1"]) / 2, (w["top"] + w["bottom"]) / 2) for label, w in words.items()}  # fmt: skip
    assert middle["0°"][0] > middle["180°"][0] + 60  # points: 0° to the right
    assert middle["0°"][1] == pytest.approx(middle["180°"][1], abs=1)
    above, below = ("90°", "270°") if labels == FOUR else ("60°", "300°")
    assert middle[above][1] < middle["0°"][1] < middle[below][1]  # the page's y runs down


@pytest.mark.parametrize("labels", [FOUR, SIX, JOINTS])
def test_there_is_a_numbered_box_a_place(labels):
    words = [w["text"] for w in page_of(labels).extract_words()]
    assert [f"{i + 1}." for i in range(len(labels))] == [w for w in words if w[0].isdigit() and w.endswith(".")]  # fmt: skip


def test_labels_that_are_no_angles_have_no_ring():
    assert worksheet.ring(JOINTS) == []
    assert len(page_of(JOINTS).curves) < len(page_of(FOUR).curves)
