"""Every page that is printed is read: nothing outside the margins, overprinted, too small or empty."""

from __future__ import annotations

import io
import re
from functools import cache

import pikepdf
import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import answers, page, worksheet
from tests.conftest import ROOT
from tests.sheets import paper, reading

LESSONS = sorted(p.stem for p in (ROOT / "exercises").glob("*.md"))
LONG = "A name of sixty letters, as long as anybody’s may ever become"
SLOW = pytest.mark.slow


@cache
def lesson(slug: str) -> tuple[exercises.Exercise, keys.Key]:
    exercise = exercises.load(slug, ROOT)
    return exercise, keys.load(exercise, ROOT)


def copy(slug: str, student: str = "bench-01", name: str = LONG) -> worksheet.Copy:
    exercise, key = lesson(slug)
    numbers = own_numbers.draw(exercise, key, b"reading", student)
    return worksheets.copy(exercise, student, name, numbers, "", "7KQ2-MX4D")


@cache
def sheet(slug: str, size: page.Paper = "a4", large: bool = False) -> bytes:
    return worksheet.pdf(worksheets.body(lesson(slug)[0]), [copy(slug)], size, large)


def key_of(slug: str, count: int, worked_out: bool) -> bytes:
    exercise, key = lesson(slug)
    ids = ["i" * 60, *(f"bench-{i:02}" for i in range(1, count))]
    drawn = {id: own_numbers.draw(exercise, key, b"reading", id) for id in ids}
    people = [worksheets.Person(id, LONG, numbers) for id, numbers in drawn.items()]
    return worksheets.answer_key(exercise, key, people, worked_out=worked_out)


@pytest.mark.parametrize("slug", LESSONS)
@pytest.mark.parametrize("size", ["a4", pytest.param("us-letter", marks=SLOW)])
def test_a_worksheet_can_be_read(slug: str, size: page.Paper) -> None:
    assert list(reading.faults(sheet(slug, size))) == []


@pytest.mark.parametrize("slug", LESSONS)
def test_a_blank_sheet_can_be_read(slug: str) -> None:
    exercise, _ = lesson(slug)
    pdf = worksheet.pdf(worksheets.body(exercise), [worksheets.blank(exercise)])
    assert list(reading.faults(pdf)) == []


@pytest.mark.parametrize(
    "slug", [s if s == "miter-angles" else pytest.param(s, marks=SLOW) for s in LESSONS]
)
@pytest.mark.parametrize("size", ["a4", pytest.param("us-letter", marks=SLOW)])
def test_large_print_is_16_points_and_more(slug: str, size: page.Paper) -> None:
    """16 pt and up is called large print (from memory). Drawings and templates are true to size."""
    pdf = sheet(slug, size, True)
    own = copy(slug)
    pictures = [d.say for d in own.drawings] + [f"Wrap template: {s.say}" for s in own.strips]
    texts = [paper.text(on) for on in paper.pages(pdf)]
    drawn = {i for i, text in enumerate(texts, start=1) if any(say in text for say in pictures)}
    assert len(drawn) == len(pictures)
    found = [
        fault for fault in reading.faults(pdf, 16.0)
        if not ("smaller" in fault and int(re.findall(r"page (\d+)", fault)[0]) in drawn)
    ]  # fmt: skip
    assert found == []


@pytest.mark.parametrize("student", ["anne-marie-of-the-long-yard", "i" * 60])
def test_large_print_stays_large_however_long_a_code_is(student: str) -> None:
    """The code of a long id takes more lines, in the head and in the foot, and stays whole."""
    own = copy("tack-order", student)
    body = worksheets.body(lesson("tack-order")[0])
    pdf = worksheet.pdf(body, [own], "us-letter", large=True)
    assert list(reading.faults(pdf, 5.0)) == []
    for on in paper.pages(pdf):
        letters = [c for c in on.chars if "Mono" in c["fontname"]]
        assert reading.small(letters, 16.0) == ""
        assert str(own.code(body)) in "".join(paper.text(on).split())


@pytest.mark.parametrize(
    ("count", "worked_out"), [(12, False), (30, False), (2, True)], ids=["12", "30", "worked out"]
)
@pytest.mark.parametrize("slug", LESSONS)
def test_an_answer_key_can_be_read(slug: str, count: int, worked_out: bool) -> None:
    """The last page may hold little, because how much is left for it is chance."""
    pdf = key_of(slug, count, worked_out)
    assert [f for f in reading.faults(pdf) if "is used" not in f or "page 1:" in f] == []
    if not worked_out:
        assert page.sides(pdf) <= (2 if count == 30 else 1)


@pytest.mark.parametrize("length", [60, 200])
def test_a_long_key_overprints_nothing_however_long_its_words_are(length: int) -> None:
    word = "w" * length
    row = answers.Row(word, 1, word, word, word, (answers.Hint(word, f"{word} {word}"),))
    result = answers.Result(word, (word,), f"{word} `{word}` **{word}**")
    one = answers.KeyCopy(word, word + "x", ((word, 123456.789, word),), (result,) * 3)
    for worked_out in (False, True):
        pdf = answers.pdf(word, (row,) * 3, (one, one), word, worked_out=worked_out)
        wrong = [f for f in reading.faults(pdf) if "is used" not in f and "smaller" not in f]
        assert wrong == [], worked_out


@pytest.mark.parametrize("slug", LESSONS)
def test_a_worksheet_takes_few_sides(slug: str) -> None:
    assert page.sides(sheet(slug)) <= 4
    assert page.sides(sheet(slug, "us-letter")) <= 4


def test_the_course_takes_no_more_than_55_sides_a_student() -> None:
    assert sum(page.sides(sheet(slug)) for slug in LESSONS) <= 55


def stamped(pdf: bytes, words: bytes) -> bytes:
    """The PDF with words printed over its first page: a PDF's own text commands."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        first = opened.pages[0]
        font = pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1,
                                  BaseFont=pikepdf.Name.Helvetica)  # fmt: skip
        first.resources.Font[pikepdf.Name.Stamp] = font
        first.contents_add(opened.make_stream(b"q BT /Stamp " + words + b" ET Q"))
        kept = io.BytesIO()
        opened.save(kept)
    return kept.getvalue()


def flipped(pdf: bytes) -> bytes:
    """The PDF with nothing but its last page, emptied."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        del opened.pages[:-1]
        opened.pages[0].Contents = opened.make_stream(b"")
        kept = io.BytesIO()
        opened.save(kept)
    return kept.getvalue()


PLANTED = {
    "one on another": lambda pdf: stamped(pdf, over(pdf)),
    "outside the margins": lambda pdf: stamped(pdf, b"12 Tf 1 0 0 1 3 400 Tm (edge) Tj"),
    "smaller than 9 pt": lambda pdf: stamped(pdf, b"6 Tf 1 0 0 1 300 700 Tm (tiny) Tj"),
    "is used": flipped,
}


def over(pdf: bytes) -> bytes:
    """Words on the first words of a page, half a millimetre off."""
    on = paper.pages(pdf)[0]
    word = next(w for w in on.extract_words() if len(w["text"]) > 5)
    x, y = word["x0"] + 1.5, on.height - word["bottom"] + 1.5
    return f"12 Tf 1 0 0 1 {x} {y} Tm (overprint) Tj".encode()


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found(fault: str) -> None:
    pdf = PLANTED[fault](sheet("miter-angles"))
    assert any(fault in found for found in reading.faults(pdf))
