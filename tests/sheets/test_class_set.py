"""The class set: leaves that come apart, the blank set for the wall, large print, singly."""

from __future__ import annotations

import io
import re
from functools import cache
from math import pi
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from numpy.testing import assert_allclose

from coursekit import miters
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import page, worksheet
from tests.conftest import ROOT
from tests.sheets import builds, paper, printed

SLUGS = ["frame-drawing", "miter-angles", "tack-order"]
LESSONS = sorted(p.stem for p in (ROOT / "exercises").glob("*.md"))
STUDENTS = [("bench-01", "bench-01"), ("bench-02", "Second Bench"), ("bench-03", "W" * 60)]
SIZES: tuple[page.Paper, ...] = ("a4", "us-letter")


@cache
def numbers(slug: str) -> dict[str, dict[str, float]]:
    exercise = exercises.load(slug, ROOT)
    key = keys.load(exercise, ROOT)
    return {s: own_numbers.draw(exercise, key, b"class-set", s) for s, _ in STUDENTS}


@cache
def made(slug: str, size: page.Paper = "a4", large: bool = False, two_sided: bool = False) -> bytes:
    exercise = exercises.load(slug, ROOT)
    copies = [worksheets.copy(exercise, s, n, numbers(slug)[s]) for s, n in STUDENTS]
    return worksheet.pdf(worksheets.body(exercise), copies, size, large, two_sided)


@cache
def blank(slug: str, size: page.Paper = "a4", large: bool = False) -> bytes:
    exercise = exercises.load(slug, ROOT)
    return worksheet.pdf(worksheets.body(exercise), [worksheets.blank(exercise)], size, large)


def bookmarks(pdf: bytes) -> list[str]:
    return [o[1] for o in pdfplumber.open(io.BytesIO(pdf)).doc.get_outlines() if o[0] == 1]


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("large", [False, True])
def test_each_student_starts_on_a_front_and_has_a_bookmark(
    slug: str, size: page.Paper, large: bool
) -> None:
    pages = paper.pages(made(slug, size, large, True))
    firsts = [i for i, on in enumerate(pages) if "WORKSHEET" in paper.text(on)]
    assert len(firsts) == len(STUDENTS)
    assert all(i % 2 == 0 for i in firsts)
    assert len(pages) % 2 == 0
    marks = bookmarks(made(slug, size, large, True))
    assert [m.split(" · ")[0] for m in marks] == [s for s, _ in STUDENTS]
    own = [on for on in pages[: firsts[1]] if on.chars]
    for number, on in enumerate(own, start=1):
        assert f"page {number} of {len(own)}" in paper.text(on)


@pytest.mark.parametrize("slug", LESSONS)
def test_blank_set_is_nobodys(slug: str) -> None:
    text = "\n".join(paper.text(on) for on in paper.pages(blank(slug)))
    exercise = exercises.load(slug, ROOT)
    for question in exercise.graded:
        assert "".join(question.title.split()) in "".join(text.split())
    for quantity in exercise.quantities:
        assert set(re.findall(r"\w+", quantity.say)) <= set(re.findall(r"\w+", text))
        assert "_" not in quantity.name or quantity.name not in text
    assert "nobody’s numbers" in text
    for student, _ in STUDENTS:
        assert student not in text
    assert f"/{slug}/" not in text  # no sheet's code …
    assert not any(on.images for on in paper.pages(blank(slug)))  # … as text or square
    exact = [
        f"{v:g} mm" for v in numbers(slug)["bench-01"].values() if v > 50 and v != round(v, -1)
    ]
    intro = exercise.intro + "".join(q.text for q in exercise.graded)
    assert [v for v in exact if v in text and v not in intro] == []


@pytest.mark.parametrize("slug", LESSONS)
@pytest.mark.parametrize("kind", ["usual", "large", "blank", "large blank"])
def test_ink_keeps_off_the_edge(slug: str, kind: str, tmp_path: Path) -> None:
    pdf = (
        blank(slug, "us-letter", "large" in kind)
        if "blank" in kind
        else made(slug, "us-letter", "large" in kind)
    )
    builds.assert_ink_keeps_off_the_edge(pdf, tmp_path, dpi=50)


def test_template_in_large_print_is_true_to_size() -> None:
    n = numbers("miter-angles")["bench-01"]
    on = next(
        p for p in paper.pages(made("miter-angles", "a4", True)) if "Wrap template" in paper.text(p)
    )
    curve = paper.polyline(on, 361)
    around, along = miters.saddle(n["tube_diameter"], n["head_diameter"], n["angle_deg"])
    along = np.append(np.roll(along[:-1], 180), along[180])  # from the underside, the acute line
    assert_allclose(curve[:, 0] - curve[0, 0], around, atol=0.01)
    assert_allclose(curve[0, 1] - curve[:, 1], along - along[0], atol=0.01)
    assert curve[-1, 0] - curve[0, 0] == pytest.approx(pi * n["tube_diameter"], abs=0.01)
    bars = [s for s in paper.segments(on) if abs(s.length - 100) < 0.01 and not s.dashed]
    assert len(bars) == 2


def test_on_two_sides_nothing_stands_behind_a_template() -> None:
    for large in (False, True):
        pages = paper.pages(made("miter-angles", "a4", large, True))
        cut_out = [i for i, on in enumerate(pages) if "Wrap template" in paper.text(on)]
        assert len(cut_out) == len(STUDENTS)
        for i in cut_out:
            assert i % 2 == 0
            back = pages[i + 1]
            assert not (back.chars or back.lines or back.curves or back.rects)


def test_singly_is_the_same_as_in_the_set(tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    key = keys.load(exercise, ROOT)
    done = printed.write(exercise, key, STUDENTS, numbers("tack-order"), tmp_path, large=True)
    home = "worksheets/tack-order/a4-large"
    assert [str(p.relative_to(tmp_path)) for p in (*done.sets, *done.files)] == [
        f"{home}/class.pdf", *(f"{home}/{s}.pdf" for s, _ in STUDENTS), f"{home}/blank.pdf",
        "answer-key/tack-order-a4.pdf",
    ]  # fmt: skip
    together = [paper.text(p) for p in paper.pages(done.sets[0].read_bytes())]
    apart = [paper.text(p) for f in done.files[:3] for p in paper.pages(f.read_bytes())]
    assert together == apart


@pytest.mark.parametrize("id", ["blank", "BLANK", "class", "Class-2"])
def test_a_student_cannot_have_the_name_of_a_set(id: str, tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    with pytest.raises(ValueError, match="or is 'class', 'class-1' or 'blank'"):
        printed.write(exercise, keys.load(exercise, ROOT), [(id, id)], {}, tmp_path)


def test_empty_roster_and_missing_number_are_told(tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    key = keys.load(exercise, ROOT)
    with pytest.raises(ValueError, match="A class set must have a student or more; got none"):
        printed.write(exercise, key, [], {}, tmp_path)
    with pytest.raises(exercises.AuthoringError, match="bench-09 has no "):
        printed.write(exercise, key, [("bench-09", "x")], {}, tmp_path)
    assert not list(tmp_path.rglob("*.pdf"))


def test_the_sets_of_a_class_that_was_printed_in_several_files_go(tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    home = tmp_path / "worksheets" / "tack-order" / "a4"
    home.mkdir(parents=True)
    for name in ("class-1", "class-2", "classy"):
        (home / f"{name}.pdf").write_bytes(b"%PDF")
    key = keys.load(exercise, ROOT)
    printed.write(exercise, key, STUDENTS, numbers("tack-order"), tmp_path, ["worksheets"])
    assert {p.stem for p in home.iterdir()} == {"class", "classy", *(s for s, _ in STUDENTS)}


def test_bytes_are_the_same_again() -> None:
    exercise = exercises.load("miter-angles", ROOT)
    copies = [worksheets.copy(exercise, s, n, numbers("miter-angles")[s]) for s, n in STUDENTS]
    page.forget()
    again = worksheet.pdf(worksheets.body(exercise), copies, "a4", True)
    assert again == made("miter-angles", "a4", True)
