"""A sheet can be printed, read and written on: margins, boxes, text, square code, odd names."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import zxingcpp

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.handout import worksheets
from coursekit.sheets import page, worksheet
from coursekit.sheets.code import SheetCode, read_code
from coursekit.sheets.strip import StripJoint
from tests.sheets import paper
from tests.sheets.conftest import STUDENTS, Made

PAPERS = ("a4", "us-letter")
INK_FREE = 6.0  # mm; common office printers leave 3 to 5 mm bare, common practice, no source
NAMES = [
    "学生一号",
    "طالب رقم واحد",
    "विद्यार्थी एक",
    "תלמיד אחד",
    "Μαθητής Ένα",
    "Ученик Первый",
    "Øyvør Ĳßẞ ñçğő",
    "🔧 🚲",
    "e\u0301\u0323\u0300 zero\u200djoin",
]
MARKUP = '#let x = 1 "q" \\ $y$ *b* _i_ `c` <t> @r // [z]'


@pytest.mark.parametrize("size", PAPERS)
def test_ink_keeps_off_the_edge(made: Made, size: str) -> None:
    dpi = 60
    rim = round(INK_FREE / 25.4 * dpi)
    for number in range(1, 4):
        sheet = paper.ink(made.pdf(size, "bench-02"), number, dpi)
        assert (sheet < 250).sum() > 500
        inner = sheet[rim:-rim, rim:-rim]
        assert (sheet == 255).sum() - (inner == 255).sum() == sheet.size - inner.size


@pytest.mark.parametrize("size", PAPERS)
def test_text_stays_between_the_margins(made: Made, size: str) -> None:
    for on in paper.pages(made.pdf(size).read_bytes()):
        assert_between_margins(on, size)


def assert_between_margins(on: Any, size: str) -> None:
    width, height = page.size(size)
    edges = page.MARGIN - 0.6, width - page.MARGIN + 0.6
    for c in on.chars:
        if c["text"].isspace():
            continue  # a blank at the end of a line prints nothing
        assert edges[0] < c["x0"] * paper.MM, (c["text"], c["x0"] * paper.MM)
        assert c["x1"] * paper.MM < edges[1], (c["text"], c["x1"] * paper.MM)
        assert INK_FREE < c["top"] * paper.MM < c["bottom"] * paper.MM < height - INK_FREE


@pytest.mark.parametrize("size", PAPERS)
def test_boxes_are_large_enough_to_write_in(made: Made, size: str) -> None:
    sheet = paper.pages(made.pdf(size, "bench-01").read_bytes())
    large = [b for on in sheet for b in paper.boxes(on) if b[0] > 6]
    values = [b for b in large if b[2] > 0.35]  # the heavy frames
    numbers = [q for q in made.exercise.graded if q.kind == "number"]
    entries = [e for q in made.exercise.graded for e in q.entries]
    assert len(values) == len(numbers) + len(entries)
    assert min(w for w, _, _ in values) >= 30
    assert min(h for _, h, _ in large) >= 9
    sums = [b for on in sheet[:2] for b in paper.boxes(on) if b[0] > 6 and b[2] < 0.35]
    lists = [q for q in made.exercise.graded if q.kind in ("numbers", "points")]
    assert len(sums) == len(numbers) + len(lists)
    assert min(w for w, _, _ in sums) >= 40
    assert min(h for _, h, _ in sums) >= 20
    readings = sum(b.readings for b in made.exercise.bench)
    assert len([b for b in paper.boxes(sheet[2]) if b[0] > 6]) == readings


def test_choices_have_a_box_each(made: Made) -> None:
    sheet = paper.pages(made.pdf("a4", "bench-01").read_bytes())
    ticks = [b for on in sheet for b in paper.boxes(on) if 5 < b[0] < 6 and 5 < b[1] < 6]
    assert len(ticks) == sum(len(q.options or {}) for q in made.exercise.graded) == 3


def test_every_question_is_there_with_its_marks(made: Made) -> None:
    text = " ".join(paper.text(on) for on in paper.pages(made.pdf("a4", "bench-01").read_bytes()))
    for question in made.exercise.graded:
        assert question.title in text
    assert text.count(" marks") + text.count(" mark\n") >= len(made.exercise.graded)
    for question in made.exercise.practice:
        assert question.title not in text
    for caution in made.exercise.cautions:
        assert text.count(caution) == 3  # in the foot of every page


def test_own_numbers_stand_in_words_with_units(made: Made) -> None:
    on = paper.pages(made.pdf("a4", "bench-03").read_bytes())[0]
    text = on.extract_text()
    n = made.numbers["bench-03"]
    assert f"{n['tube_diameter']:g} mm" in text
    assert f"{n['angle_deg']:g}°" in text
    words = on.extract_words()
    heading = next(w for w in words if w["text"] == "Your")
    value = next(
        w for w in words if w["text"] == f"{n['angle_deg']:g}°" and w["top"] > heading["top"]
    )
    says = (heading["x0"] - 1, heading["bottom"], value["x0"] - 1, on.height)
    column = on.within_bbox(says).extract_text()
    assert "outside diameter of your head tube" in " ".join(column.split())


def test_title_language_and_bookmarks(made: Made) -> None:
    pdf = paper.pages(made.pdf("a4", "bench-02").read_bytes())[0].pdf
    assert pdf.metadata["Title"] == "Miter angles · worksheet"
    assert "CreationDate" not in pdf.metadata
    assert pdf.doc.catalog["Lang"] in (b"en", "en")
    assert pdf.doc.catalog["MarkInfo"]["Marked"]
    whole = paper.pages(made.pdf("a4").read_bytes())[0].pdf
    assert whole.metadata["Title"] == "Miter angles · worksheets"
    assert whole.doc.catalog["Lang"] in (b"en", "en")
    names = [title for level, title, *_ in whole.doc.get_outlines() if level == 1]
    assert len(names) == 3
    assert all(id in name for (id, _), name in zip(STUDENTS, names, strict=True))


def test_every_student_has_pages_of_their_own(made: Made) -> None:
    for size in PAPERS:
        sheet = paper.pages(made.pdf(size).read_bytes())
        assert len(sheet) == 3 * len(STUDENTS)
        for i, on in enumerate(sheet):
            student, text = STUDENTS[i // 3][0], paper.text(on)
            assert f"page {i % 3 + 1} of 3" in text
            assert f"{student}/miter-angles/" in text
            assert text.startswith("WORKSHEET" if i % 3 == 0 else "Miter angles ")


@pytest.mark.parametrize("size", PAPERS)
def test_no_choice_of_numbers_spills_onto_further_pages(made: Made, size: page.Paper) -> None:
    cases = [
        own_numbers.draw(made.exercise, made.key, b"pages", f"bench-{i:02d}") for i in range(20)
    ]
    wide = {name: max((c[name] for c in cases), key=lambda v: len(f"{v:g}")) for name in cases[0]}
    copies = [
        worksheets.copy(made.exercise, f"bench-{i:02d}", "A Student", numbers)
        for i, numbers in enumerate([*cases, wide])
    ]
    sheet = paper.pages(worksheet.pdf(worksheets.body(made.exercise), copies, size))
    assert len(sheet) == 3 * len(copies)


@pytest.mark.parametrize("size", PAPERS)
@pytest.mark.parametrize("student", ["bench-01", "bench-03"])
def test_square_code_says_what_the_line_says(made: Made, size: str, student: str) -> None:
    pdf = made.pdf(size, student)
    (found,) = zxingcpp.read_barcodes(np.ascontiguousarray(paper.ink(pdf, 1, 150)))
    assert found.text in paper.pages(pdf.read_bytes())[0].extract_text()
    code = read_code(found.text)
    assert (code.student, code.slug) == (student, "miter-angles")


def test_code_changes_with_the_numbers_and_not_with_the_name(made: Made) -> None:
    body = worksheets.body(made.exercise)
    n = made.numbers["bench-01"]
    one = worksheets.copy(made.exercise, "bench-01", "One", n).code(body)
    renamed = worksheets.copy(made.exercise, "bench-01", "Other", n).code(body)
    other = worksheets.copy(made.exercise, "bench-01", "One", n | {"angle_deg": 11.0}).code(body)
    assert one == renamed
    assert one.version != other.version


@pytest.mark.parametrize("student", ["bench-01", "a", "Ærø_2.b", "学生-7"])
def test_code_is_read_back(student: str) -> None:
    code = SheetCode(student, "miter-angles", "09af3c")
    assert read_code(f"  {code}\n") == code


def test_every_slip_of_one_letter_in_a_code_is_refused() -> None:
    text = str(SheetCode("bench-01", "miter-angles", "09af3c"))
    for i, right in enumerate(text):
        for wrong in "0aZ7/-":
            if wrong != right:
                with pytest.raises(ValueError, match="A sheet's code must"):
                    read_code(text[:i] + wrong + text[i + 1 :])


@pytest.mark.parametrize("text", ["", "bench-01", "a/b/c/d", "a b/c/000000/0000", "/x/000000/0000"])
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="must be student/lesson/version/checksum; got"):
        read_code(text)


def sheet_for(made: Made, name: str, size: page.Paper = "a4") -> list[Any]:
    numbers = made.numbers["bench-01"]
    copy = worksheets.copy(made.exercise, "bench-01", name, numbers)
    return paper.pages(worksheet.pdf(worksheets.body(made.exercise), [copy], size))


@pytest.mark.parametrize("name", NAMES)
def test_names_in_any_script_make_a_sheet(made: Made, name: str) -> None:
    sheet = sheet_for(made, name)
    assert len(sheet) == 3
    assert "bench-01" in sheet[0].extract_text()


@pytest.mark.parametrize("name", ["W" * 60, "a very long name " * 3 + "indeed so", "i" * 300])
@pytest.mark.parametrize("size", PAPERS)
def test_long_names_stay_on_the_page(made: Made, name: str, size: page.Paper) -> None:
    sheet = sheet_for(made, name, size)
    assert len(sheet) == 3
    for on in sheet:
        assert_between_margins(on, size)


@pytest.mark.parametrize("name", ["Μαθητής Ένα", "Ученик Первый", "Second Bench"])
def test_names_in_the_built_in_letters_can_be_searched(made: Made, name: str) -> None:
    assert name in sheet_for(made, name)[0].extract_text()


def test_markup_in_a_name_is_printed_as_it_stands(made: Made) -> None:
    text = sheet_for(made, MARKUP)[0].extract_text(x_tolerance=1.5)
    assert MARKUP.replace(" ", "") in text.replace(" ", "")


def test_markup_in_every_other_text_is_printed_as_it_stands() -> None:
    task = worksheet.SheetQuestion(
        f"T {MARKUP}", "Text #panic() $x$ @ref <b>", "choice", 1, options=(MARKUP, "#f()")
    )
    bench = worksheet.BenchLine(MARKUP, "#mm", MARKUP, 0.5)
    body = worksheet.Body("x", MARKUP, "Intro #1 \\alpha $", (task,), (bench,), (MARKUP,))
    numbers = (worksheet.OwnNumber("n_1", MARKUP, 1.5, "#u"),)
    strips = (StripJoint(MARKUP, 28.6, 36.0, 60.0),)
    sheet = paper.pages(worksheet.pdf(body, [worksheet.Copy("s", "s", numbers, strips)]))
    text = "".join(paper.text(on) for on in sheet)
    for said in ("#panic()", "#1", "#f()", "1.5 #u", "#mm"):
        assert said in text
    assert "@ref <b>" in text


def test_control_characters_do_no_harm(made: Made) -> None:
    text = sheet_for(made, "a\x00b\x07\u202ec\nd\ud800")[0].extract_text()
    assert "abc d" in text


def test_made_again_the_bytes_are_the_same(made: Made, root: Path) -> None:
    script = (
        "import sys, pathlib\n"
        "from coursekit.classroom.bank import exercises, keys, own_numbers\n"
        "from tests.sheets import printed\n"
        "root, out = map(pathlib.Path, sys.argv[1:])\n"
        "exercise = exercises.load('miter-angles', root)\n"
        "key = keys.load(exercise, root)\n"
        f"students = {STUDENTS!r}\n"
        "numbers = {s: own_numbers.draw(exercise, key, b'sheets', s) for s, _ in students}\n"
        "printed.write(exercise, key, students, numbers, out)\n"
    )
    out = made.folder / "again"
    environment = os.environ | {"PYTHONHASHSEED": "7", "SOURCE_DATE_EPOCH": "1700000000"}
    subprocess.run([sys.executable, "-c", script, root, out], check=True, env=environment)
    for name in ("class", *(id for id, _ in STUDENTS)):
        again = out / "worksheets" / "miter-angles" / "a4" / f"{name}.pdf"
        assert again.read_bytes() == made.pdf("a4", name).read_bytes()
    key = (out / "answer-key" / "miter-angles-a4.pdf").read_bytes()
    assert key == (made.folder / "answer-key" / "miter-angles-a4.pdf").read_bytes()
