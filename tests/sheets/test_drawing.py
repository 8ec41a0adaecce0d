"""A drawing of the student's own case comes out at its size."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import drawing, worksheet
from coursekit.sheets.drawing import Drawing


def square(numbers):
    side = numbers["tube_diameter"]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">'
        f'<path d="M1 1H{side - 1}V{side - 1}" fill="none" stroke="#000" stroke-width="0.2"/></svg>'
    )
    return Drawing("Your tube's end", "1 : 1", side, side, svg)


@pytest.fixture
def drawn(root, monkeypatch):
    monkeypatch.setattr(drawing, "of_lesson", lambda slug, numbers: (square(numbers),))
    exercise = exercises.load("miter-angles", root)
    private = keys.load(exercise, root)
    numbers = own_numbers.draw(exercise, private, b"s", "bench-01")
    copy = worksheets.copy(exercise, "bench-01", "Bench 1", numbers)
    return numbers, worksheet.pdf(worksheets.body(exercise), [copy])


def test_drawing_is_true_to_size_and_says_its_scale(drawn):
    numbers, made = drawn
    with pdfplumber.open(io.BytesIO(made)) as document:
        pages = [p for p in document.pages if "Scale 1 : 1" in (p.extract_text() or "")]
        assert len(pages) == 1
        assert "Your tube’s end" in pages[0].extract_text().replace("'", "’")
        lengths = [
            max(x for x, _ in c["pts"]) - min(x for x, _ in c["pts"])
            for c in pages[0].curves + pages[0].lines
        ]
        wanted = (numbers["tube_diameter"] - 2) / 25.4 * 72
        assert min(abs(v - wanted) for v in lengths) < 0.01 / 25.4 * 72
