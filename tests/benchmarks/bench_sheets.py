"""How fast a class set is made, beside pages of the same content drawn with matplotlib.

Pages per second are in `extra_info` of the saved figures (`--benchmark-json=…`).
"""

from __future__ import annotations

import io
import itertools
from pathlib import Path
from typing import Any

import pytest
from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from coursekit import miters
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import worksheet
from tests.sheets import paper

STUDENTS = 30
PAGES = 4  # of one student


@pytest.fixture(scope="module")
def halves(root: Path) -> tuple[exercises.Exercise, keys.Key]:
    exercise = exercises.load("miter-angles", root)
    return exercise, keys.load(exercise, root)


def class_set(halves: Any, students: int, secret: bytes) -> Any:
    """Return body and copies of a class; another secret gives numbers that no run has seen."""
    exercise, key = halves
    ids = [f"bench-{i:02}" for i in range(1, students + 1)]
    draw = own_numbers.draw
    return worksheets.body(exercise), [
        worksheets.copy(exercise, id, id, draw(exercise, key, secret, id)) for id in ids
    ]


@pytest.mark.benchmark(group="class set")
@pytest.mark.parametrize("students", [1, STUDENTS])
def test_class_set_with_typst(benchmark: Any, halves: Any, students: int) -> None:
    rounds = itertools.count()

    def unseen() -> Any:
        return class_set(halves, students, f"round {next(rounds)}".encode()), {}

    made = benchmark.pedantic(worksheet.pdf, setup=unseen, rounds=5)
    assert len(paper.pages(made)) == PAGES * students
    note(benchmark, PAGES * students)


@pytest.mark.benchmark(group="class set")
def test_peer_one_student_with_matplotlib(benchmark: Any, halves: Any) -> None:
    """The peer: the same four pages, their text, boxes and curve, without flow or bookmarks."""
    body, copies = class_set(halves, 1, b"peer")
    sheet = paper.pages(worksheet.pdf(body, copies[:1]))
    words = [[(w["x0"], w["top"], w["text"]) for w in on.extract_text_lines()] for on in sheet]
    boxes = [[(c["x0"], c["top"], c["width"], c["height"]) for c in on.curves] for on in sheet]
    made = benchmark(drawn, words, boxes, copies[0].strips[0])
    assert len(paper.pages(made)) == PAGES
    note(benchmark, PAGES)


def drawn(words: Any, boxes: Any, joint: Any) -> bytes:
    """Return the pages as matplotlib draws them, in points on A4."""
    file = io.BytesIO()
    with PdfPages(file) as pages:
        for number, (texts, frames) in enumerate(zip(words, boxes, strict=True)):
            figure = Figure(figsize=(210 / 25.4, 297 / 25.4))
            FigureCanvasPdf(figure)
            axes = figure.add_axes((0, 0, 1, 1))
            axes.set(xlim=(0, 595.276), ylim=(841.89, 0))
            axes.axis("off")
            for x, y, text in texts:
                axes.text(x, y, text.replace("$", r"\$"), fontsize=10)
            for x, y, width, height in frames:
                axes.add_patch(Rectangle((x, y), width, height, fill=False))
            if number == 2:
                axes.plot(*miters.saddle(joint.diameter, joint.into, joint.angle_deg))
            pages.savefig(figure)
    return file.getvalue()


def note(benchmark: Any, pages: int) -> None:
    """Put pages a second beside the benchmark's own figures."""
    benchmark.extra_info["pages_per_second"] = round(pages / benchmark.stats.stats.min, 1)
