"""The class set: leaves that come apart, the blank set for the wall, large print, singly."""

from __future__ import annotations

import io
import re
from functools import cache
from math import pi
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pytest
from numpy.testing import assert_allclose

from coursekit import miters
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import page, worksheet
from tests.conftest import ROOT
from tests.sheets import builds, paper

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
def made(slug: str, size: page.Paper = "a4", large: bool = False) -> bytes:
    exercise = exercises.load(slug, ROOT)
    copies = [worksheets.copy(exercise, s, n, numbers(slug)[s]) for s, n in STUDENTS]
    return worksheet.pdf(worksheets.body(exercise), copies, size, large)


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
    pages = paper.pages(made(slug, size, large))
    firsts = [i for i, on in enumerate(pages) if "WORKSHEET" in paper.text(on)]
    assert len(firsts) == len(STUDENTS)
    assert all(i % 2 == 0 for i in firsts)
    assert len(pages) % 2 == 0
    marks = bookmarks(made(slug, size, large))
    assert [m.split(" · ")[0] for m in marks] == [s for s, _ in STUDENTS]
    for number, on in enumerate(pages[: firsts[1]], start=1):
        assert f"page {number} of {firsts[1]}" in paper.text(on)


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
    assert len(paper.pages(blank(slug))) % 2 == 0


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.parametrize("size", SIZES)
def test_large_print_is_16_points_and_more(slug: str, size: page.Paper) -> None:
    """16 pt and up is called large print (from memory); captions in boxes stay at 14 or a bit less."""
    whole = paper.pages(made(slug, size, True))
    own = whole[: len(whole) // len(STUDENTS)]
    pages = [on for on in own if re.search(r"\d marks?\b", paper.text(on))]
    assert len(pages) >= 4
    sizes = [
        c["size"] for on in pages for c in on.chars
        if c["text"].isalpha() and "Libertinus" in c["fontname"]
    ]  # fmt: skip
    foot = 8 * worksheet.LARGE
    assert min(sizes) == pytest.approx(foot)
    text = [s for s in sizes if s > foot + 0.1]
    assert sum(s >= 16 for s in text) > 0.85 * len(text)


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


def test_nothing_stands_behind_a_template_in_large_print() -> None:
    pages = paper.pages(made("miter-angles", "a4", True))
    for i, on in enumerate(pages):
        if "Wrap template" not in paper.text(on):
            continue
        back, curve = pages[i + 1], paper.polyline(on, 361) / paper.MM
        things: list[Any] = [*back.chars, *back.lines, *back.curves, *back.rects]
        low, high = curve[:, 1].min() - 60, curve[:, 1].max() + 20
        assert [t for t in things if low < t["top"] < high and t.get("size", 9) > 8 and t["x0"] < 420
                and t["top"] > 110] == []  # fmt: skip


def test_singly_is_the_same_as_in_the_set(tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    key = keys.load(exercise, ROOT)
    files = worksheets.make(
        exercise, key, STUDENTS, numbers("tack-order"), tmp_path / "o", tmp_path / "k", large=True
    )
    names = [str(p.relative_to(tmp_path)) for p in files]
    assert names == [
        "o/tack-order/large/class.pdf", "o/tack-order/large/blank.pdf",
        *(f"o/tack-order/large/{s}.pdf" for s, _ in STUDENTS), "k/tack-order.pdf",
    ]  # fmt: skip
    together = [paper.text(p) for p in paper.pages(files[0].read_bytes())]
    apart = [paper.text(p) for f in files[2:5] for p in paper.pages(f.read_bytes())]
    assert together == apart


@pytest.mark.parametrize("id", ["blank", "BLANK", "class", "Class-2"])
def test_a_student_cannot_have_the_name_of_a_set(id: str, tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    with pytest.raises(ValueError, match="or is 'class', 'class-1' or 'blank'"):
        worksheets.make(
            exercise, keys.load(exercise, ROOT), [(id, id)], {}, tmp_path / "o", tmp_path / "k"
        )


def test_empty_roster_and_missing_number_are_told(tmp_path: Path) -> None:
    exercise = exercises.load("tack-order", ROOT)
    key = keys.load(exercise, ROOT)
    with pytest.raises(ValueError, match="A class set must have a student or more; got none"):
        worksheets.make(exercise, key, [], {}, tmp_path / "o", tmp_path / "k")
    with pytest.raises(exercises.AuthoringError, match="bench-09 has no "):
        worksheets.make(exercise, key, [("bench-09", "x")], {}, tmp_path / "o", tmp_path / "k")
    assert not list(tmp_path.rglob("*.pdf"))


def test_a_large_class_has_its_set_in_several_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    exercise = exercises.load("tack-order", ROOT)
    key = keys.load(exercise, ROOT)
    monkeypatch.setattr(worksheets, "IN_ONE", 2)
    out = tmp_path / "o"

    def names(students: list[tuple[str, str]]) -> list[str]:
        drawn = numbers("tack-order")
        files = worksheets.make(exercise, key, students, drawn, out, tmp_path / "k")
        assert sorted(p for p in files if p.is_relative_to(out)) == sorted(out.rglob("*.pdf"))
        return [p.stem for p in files if worksheets.is_class_set(p)]

    assert len(STUDENTS) == 3
    assert names(STUDENTS) == ["class-1", "class-2"]
    sets = [out / "tack-order" / f"class-{i}.pdf" for i in (1, 2)]
    together = [paper.text(p) for f in sets for p in paper.pages(f.read_bytes())]
    alone = [out / "tack-order" / f"{s}.pdf" for s, _ in STUDENTS]
    assert together == [paper.text(p) for f in alone for p in paper.pages(f.read_bytes())]
    alone[2].unlink()
    assert names(STUDENTS[:2]) == ["class"]  # and the two of the larger class are gone


def test_bytes_are_the_same_again() -> None:
    exercise = exercises.load("miter-angles", ROOT)
    copies = [worksheets.copy(exercise, s, n, numbers("miter-angles")[s]) for s, n in STUDENTS]
    again = worksheet.pdf(worksheets.body(exercise), copies, "a4", True)
    assert again == made("miter-angles", "a4", True)
