"""From exercise bank to worksheets and answer key: what goes where, and what is refused."""

from __future__ import annotations

import dataclasses
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.handout import worksheets, zips
from coursekit.classroom.register import phone_code
from tests.sheets import paper, printed

from . import small

STUDENTS = [("bench-01", "First Bench"), ("bench-02", "Second Bench")]


@pytest.fixture(scope="module")
def exercise(root: Path) -> exercises.Exercise:
    return exercises.load("miter-angles", root)


@pytest.fixture(scope="module")
def key(exercise: exercises.Exercise, root: Path) -> keys.Key:
    return keys.load(exercise, root)


@pytest.fixture(scope="module")
def numbers(exercise: exercises.Exercise, key: keys.Key) -> dict[str, dict[str, float]]:
    return {s: own_numbers.draw(exercise, key, b"worksheets", s) for s, _ in STUDENTS}


@pytest.fixture(scope="module")
def made(
    exercise: exercises.Exercise,
    key: keys.Key,
    numbers: dict[str, dict[str, float]],
    tmp_path_factory: pytest.TempPathFactory,
) -> list[Path]:
    base = tmp_path_factory.mktemp("made")
    done = printed.write(exercise, key, STUDENTS, numbers, base)
    return [*done.sets, *done.files]


def text_of(pdf: Path) -> str:
    return "\n".join(paper.text(on) for on in paper.pages(pdf.read_bytes()))


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_files_lie_where_they_belong(made: list[Path]) -> None:
    base = made[0].parents[3]
    assert [str(p.relative_to(base)) for p in made] == [
        "worksheets/miter-angles/a4/class.pdf",
        "worksheets/miter-angles/a4/bench-01.pdf",
        "worksheets/miter-angles/a4/bench-02.pdf",
        "worksheets/miter-angles/a4/blank.pdf",
        "answer-key/miter-angles-a4.pdf",
    ]
    assert all(p.read_bytes().startswith(b"%PDF") for p in made)


def test_unchanged_files_are_not_written_again(
    exercise: exercises.Exercise,
    key: keys.Key,
    numbers: dict[str, dict[str, float]],
    made: list[Path],
) -> None:
    before = [p.stat().st_mtime_ns for p in made]
    printed.write(exercise, key, STUDENTS, numbers, made[0].parents[3])
    assert [p.stat().st_mtime_ns for p in made] == before


def test_worksheets_tell_nothing_of_the_private_half(
    exercise: exercises.Exercise,
    key: keys.Key,
    numbers: dict[str, dict[str, float]],
    made: list[Path],
) -> None:
    for path in made[:-1]:
        text = text_of(path)
        flat = squeezed(text)
        for question in exercise.graded:
            for slip in key.slips.get(question.id, ()):
                assert slip.name not in text
                assert squeezed(slip.hint)[:40] not in flat
            assert squeezed(key.worked[question.id])[:30] not in flat
        shown = set(re.findall(r"\d+\.\d+", text))
        assert shown <= public_decimals(exercise, numbers)


def public_decimals(exercise: exercises.Exercise, numbers: dict[str, dict[str, float]]) -> set[str]:
    """All decimal fractions that may stand on a worksheet: own numbers and the bench's divisions."""
    given = {f"{v:g}" for n in numbers.values() for v in n.values()}
    return given | {f"{b.resolution:g}" for b in exercise.bench} | {"0.3"}  # 0.3: gap at the seam


def test_key_holds_every_answer_slip_and_worked_solution(
    exercise: exercises.Exercise,
    key: keys.Key,
    numbers: dict[str, dict[str, float]],
    made: list[Path],
) -> None:
    people = [worksheets.Person(s, name, numbers[s]) for s, name in STUDENTS]
    pdf = paper.pages(worksheets.answer_key(exercise, key, people, worked_out=True))
    text = "\n".join(paper.text(on) for on in pdf)
    words = set(re.split(r"[\s,;]+", text.replace("°", "")))
    for student, n in numbers.items():
        right = own_numbers.answers(exercise, key, n)
        for question in exercise.graded:
            if question.kind == "number":
                assert worksheets.shown(question, right[question.id]) in words, student
                for slip in key.slips[question.id]:
                    value = key.slip_value(slip, question, n, right)
                    assert worksheets.shown(question, value) in words, (student, slip.name)
    for slips in (key.slips[q.id] for q in exercise.graded if q.kind != "written"):
        for slip in slips:
            assert slip.name in text
    assert all("INSTRUCTOR ONLY" in paper.text(on) for on in pdf)
    assert "Half of a class sets the included angle" in text  # the notes
    for place in ("{answer}", "{angle_deg}", "{centre_length}"):
        assert place not in text


def test_shown_is_one_digit_finer_than_the_tolerance(exercise: exercises.Exercise) -> None:
    side = exercise.question("obtuse-side")  # 0.2 mm
    assert worksheets.shown(side, 12.3456) == "12.35"
    assert worksheets.shown(exercise.question("cutter"), 38.1) == "38.1"
    assert worksheets.shown(side, -1.5) == "−1.5"
    assert worksheets.shown(exercise.question("phase"), "quarter") == "by 90°, a quarter turn"
    assert worksheets.shown(exercise.question("ordinates"), (1.0, 2.345)) == "1, 2.35"


def test_worked_solution_is_filled_with_own_numbers(
    exercise: exercises.Exercise, key: keys.Key, numbers: dict[str, dict[str, float]]
) -> None:
    n = numbers["bench-01"]
    question = exercise.question("mill-setting")
    said = worksheets.worked(key, question, n, "28.5")
    assert f"90° − {n['angle_deg']:g}° = **28.5°**" in said


def test_unknown_place_in_a_worked_solution_names_file_and_question(
    exercise: exercises.Exercise, key: keys.Key, numbers: dict[str, dict[str, float]]
) -> None:
    broken = dataclasses.replace(key, worked={"flank": "Take {tube_diametre}."})
    with pytest.raises(
        exercises.AuthoringError,
        match=r"solutions/miter-angles.md, question 'flank': .* got \{tube_diametre\}",
    ):
        worksheets.worked(broken, exercise.question("flank"), numbers["bench-01"], "1")


def test_empty_roster_is_refused(
    exercise: exercises.Exercise, key: keys.Key, tmp_path: Path
) -> None:
    with pytest.raises(ValueError, match="A class set must have a student or more; got none"):
        printed.write(exercise, key, [], {}, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_missing_number_names_student_and_quantity(
    exercise: exercises.Exercise,
    key: keys.Key,
    numbers: dict[str, dict[str, float]],
    tmp_path: Path,
) -> None:
    short = {s: dict(n) for s, n in numbers.items()}
    del short["bench-02"]["shell_diameter"]
    with pytest.raises(exercises.AuthoringError, match="bench-02 has no shell_diameter"):
        printed.write(exercise, key, STUDENTS, short, tmp_path)
    with pytest.raises(exercises.AuthoringError, match="bench-02 has no tube_diameter, tube_wall"):
        printed.write(exercise, key, STUDENTS, {"bench-01": numbers["bench-01"]}, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "students",
    [
        [("class", "x")],
        [("CLASS", "x")],
        [("", "x")],
        [("../a", "x")],
        [("a", "x"), ("A", "y")],
        [("a\n", "x")],
    ],
)
def test_ids_that_are_no_file_names_are_refused(
    exercise: exercises.Exercise, key: keys.Key, tmp_path: Path, students: list[tuple[str, str]]
) -> None:
    with pytest.raises(ValueError, match="A student's id must be fit for a file of its own; got"):
        printed.write(exercise, key, students, {}, tmp_path)


def test_paper_must_be_known(
    exercise: exercises.Exercise, key: keys.Key, numbers: dict[str, Any], tmp_path: Path
) -> None:
    with pytest.raises(ValueError, match="A paper must be a4 or us-letter; got 'legal'"):
        printed.write(exercise, key, STUDENTS, numbers, tmp_path, paper="legal")


def test_template_says_which_joint_it_is_of(
    exercise: exercises.Exercise, numbers: dict[str, dict[str, float]]
) -> None:
    """Without the key it is the down tube's at the head tube; an unknown joint is refused."""

    def strip_of(joint: str | None) -> Any:
        (template,) = exercise.templates
        other = dataclasses.replace(
            exercise, templates=(dataclasses.replace(template, joint=joint),)
        )
        return worksheets.copy(other, "bench-01", "bench-01", numbers["bench-01"]).strips[0]

    assert strip_of(None).joint == "down tube to head tube"
    assert [line.deg for line in strip_of(None).lines] == [0, 90, 180, 270, 360]
    assert [line.deg for line in strip_of("down tube to shell").lines] == [360, 270, 180, 90, 0]
    with pytest.raises(exercises.AuthoringError, match="must be one of down tube to head tube, "):
        strip_of("stem to bar")


def test_each_sheet_has_its_student_s_phone_code_and_no_other(tmp_path: Path) -> None:
    """In the class set, alone, in large print and in the zip; the copy for the wall has none."""
    work = small.evening(tmp_path, 2)
    codes = {s: phone_code.printed(c) for c, s in phone_code.codes(work.folder).items()}
    small.print_paper(work)
    small.print_paper(work, "us-letter", large=True)
    zips.make(work, None)
    made = work.folder.path / "worksheets" / "small"
    for student, code in codes.items():
        other = codes["bench-02" if student == "bench-01" else "bench-01"]
        with zipfile.ZipFile(zips.zip_of(work, student)) as packed:
            (tmp_path / "zip.pdf").write_bytes(packed.read("small/worksheet.pdf"))
        for path in (
            made / "a4" / f"{student}.pdf",
            made / "us-letter-large" / f"{student}.pdf",
            tmp_path / "zip.pdf",
        ):
            text = text_of(path)
            assert (text.count(code), text.count(other)) == (1, 0), path
    assert all(code in text_of(made / "a4" / "class.pdf") for code in codes.values())
    for path in (made / "a4" / "blank.pdf", work.folder.path / "answer-key" / "small-a4.pdf"):
        assert not any(code in text_of(path) for code in codes.values())


def test_the_phone_code_leaves_the_sheet_s_code_as_it_is(
    exercise: exercises.Exercise, numbers: dict[str, dict[str, float]]
) -> None:
    """Sheets that were printed before there were such codes still open in the form."""
    one, other = (
        worksheets.copy(exercise, "bench-01", "First", numbers["bench-01"], "", code)
        for code in ("", "7KQ2-MX4D")
    )
    body = worksheets.body(exercise)
    assert str(one.code(body)) == str(other.code(body))
