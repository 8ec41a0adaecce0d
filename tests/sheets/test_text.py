"""Markdown of the exercise bank as plain pieces, and values as they are printed."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.sheets.text import clean, number, pieces, quantity


def test_emphasis_and_code_are_runs_of_their_paragraph() -> None:
    (par,) = pieces("At your `angle_deg`, on the **obtuse**\nside, *along* it.")
    assert par["kind"] == "par"
    assert par["runs"] == [
        ("plain", "At your "),
        ("code", "angle_deg"),
        ("plain", ", on the "),
        ("strong", "obtuse"),
        ("plain", " "),
        ("plain", "side, "),
        ("emph", "along"),
        ("plain", " it."),
    ]


def test_lists_and_fences_keep_their_order() -> None:
    made = pieces("First.\n\n- one\n- two **2**\n\n1. a\n\n```python\nx = 1\n```\n\nLast.")
    assert [p["kind"] for p in made] == ["par", "list", "list", "code", "par"]
    assert made[1]["items"] == [[("plain", "one")], [("plain", "two "), ("strong", "2")]]
    assert [p["ordered"] for p in made[1:3]] == [False, True]
    assert made[3]["text"] == "x = 1"


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=60))
def test_no_text_makes_pieces_that_a_page_does_not_know(text: str) -> None:
    for piece in pieces(text):
        assert piece["kind"] in ("par", "list", "code")
        for run in piece.get("runs", []):
            assert run[0] in ("plain", "strong", "emph", "code")


@given(st.text(max_size=120))
def test_a_clean_line_is_one_line_without_control_characters(text: str) -> None:
    line = clean(text)
    assert len(line) <= 80
    assert line == clean(line)
    assert all(unicodedata.category(c)[0] != "C" or c in "\u200c\u200d" for c in line)


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [(61.5, "deg", "61.5°"), (0.05, "mm", "0.05 mm"), (-3.0, "mm", "−3 mm"), (600, "", "600")],
)
def test_quantities_carry_their_sign(value: float, unit: str, said: str) -> None:
    assert quantity(value, unit) == said


def test_numbers_keep_all_their_digits() -> None:
    assert number(31.799999) == "31.799999"
    assert number(1234567.0) == "1234567"
