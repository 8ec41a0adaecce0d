"""Answers on paper: kept as written, marked as a notebook's would be, never in a student's way."""

from __future__ import annotations

import json
import shutil
import time
from datetime import UTC, datetime
from pathlib import Path

import nbformat
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.bench import bench_record, take_file
from coursekit.classroom.demo.invented_class import students
from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.intake import handwriting, kept_versions, take_in
from coursekit.classroom.marking import mark_class
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.paper import as_notebook, paper_answers
from coursekit.classroom.paper.answers_file import ANSWERS_FILE
from coursekit.classroom.register import lock_and_backup  # fmt: skip
from coursekit.classroom.register.class_folder import ClassError, load, open_class, write_text
from coursekit.classroom.running.plain_value import plain
from coursekit.classroom.students import rename
from coursekit.cli import main

from . import kinds, small
from .conftest import LIMITS

SLUGS = exercises.slugs(Path(__file__).resolve().parents[2])


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    path = tmp_path_factory.mktemp("paper")
    small.evening(path)
    return path


@pytest.fixture
def work(handed_out, tmp_path):
    """The small exercise, handed out to a class of five."""
    shutil.copytree(handed_out, tmp_path / "evening")
    note_course(load(tmp_path / "evening" / "class"), tmp_path / "evening" / "course")
    return small.opened(tmp_path / "evening")


def answer(work, student, question, text, **more):
    return paper_answers.checked(work.folder, work.exercise, student, question, text, **more)


def type_in(work, student, cells, **more):
    found = [answer(work, student, q, text, **more) for q, text in cells.items()]
    return paper_answers.record(work.folder, found)


def by_hand(question, value, sign):
    """A right value as a student writes it on the worksheet."""
    if isinstance(value, tuple):
        return "; ".join(by_hand(question, v, sign) for v in value)
    return value if isinstance(value, str) else f"{value:.4f}".replace(".", sign)


def run(question, text):
    """What an answer cell leaves in the student's variable, as the marker gets it."""
    space = {}
    exec(as_notebook.cell_text(question, text), space)
    return plain(space[question.variable])


@pytest.mark.parametrize("slug", SLUGS)
def test_right_answers_of_every_exercise_score_full_from_paper(root, tmp_path, slug):
    public = exercises.load(slug, root)
    private = keys.load(public, root)
    folder = open_class(tmp_path / "class", students(1))
    for i in range(8):
        numbers = own_numbers.draw(public, private, b"on paper", f"student-{i}")
        right = own_numbers.answers(public, private, numbers)
        values = {}
        for question in public.graded:
            if question.kind != "written":
                typed = by_hand(question, right[question.id], ",."[i % 2])
                one = paper_answers.checked(folder, public, "bench-01", question.id, typed)
                values[question.id] = run(question, one.answer)
        marks = mark(public, private, numbers, values)
        assert [m for m in marks if m.verdict not in ("right", "blank")] == []
        assert {m.question for m in marks if m.verdict == "blank"} <= {
            q.id for q in public.graded if q.kind == "written"
        }


def question(kind, **more):
    return exercises.Question("it", "It", "?", kind, 1.0, unit="mm", tolerance=0.1, **more)


NUMBERS = question("numbers", entries=("a", "b", "c"))
POINTS = question("points", entries=("near", "far"))
ORDER = question("order", entries=("0°", "90°", "180°"))
WORDS = question("order", entries=("head tube", "seat tube", "shell"))
CHOICE = question("choice", options={"front": "toward the front", "back": "toward the back"})
PARTED = [
    (NUMBERS, "1,5; 2; 3", ["1,5", "2", "3"]), (NUMBERS, "1.5, 2, 3", ["1.5", "2", "3"]),
    (NUMBERS, "1,5 2 -3", ["1,5", "2", "-3"]), (NUMBERS, "1; ; 3", ["1", "", "3"]),
    (NUMBERS, "1;2;3;;", ["1", "2", "3"]), (NUMBERS, "1\n2\n3", ["1", "2", "3"]),
    (NUMBERS, "12 mm", ["12 mm"]), (NUMBERS, "12 mm; 3 mm", ["12 mm", "3 mm"]),
    (NUMBERS, "", [""]), (POINTS, "(1; 2) (3; 4)", ["1", "2", "3", "4"]),
    (POINTS, "(1,5; 2), (3; 4)", ["1,5", "2", "3", "4"]), (POINTS, "1 2 3 4", ["1", "2", "3", "4"]),
    (POINTS, "[(1, 2), (3, 4)]", ["1", "2", "3", "4"]), (ORDER, "0 180 90", ["0", "180", "90"]),
    (ORDER, "0°, 180°, 90°", ["0°", "180°", "90°"]), (ORDER, "0; ; 90", ["0", "", "90"]),
    (WORDS, "shell; head tube; seat tube", ["shell", "head tube", "seat tube"]),
    (WORDS, "head tube", ["head tube"]), (CHOICE, "Front", ["front"]), (CHOICE, "2", ["back"]),
    (CHOICE, " toward  the back", ["back"]), (question("number"), "31,5 mm", ["31,5 mm"]),
]  # fmt: skip


@pytest.mark.parametrize(("asked", "text", "wanted"), PARTED)
def test_boxes_of_an_answer(asked, text, wanted):
    assert handwriting.entries(asked, text) == wanted


REFUSED = [
    (NUMBERS, "1; 2; 3; 4", "'It' must have at most 3 entries; got 4 in '1; 2; 3; 4'. Part them by semicolons."),
    (POINTS, "1 2 3 4 5", "'It' must have at most 4 entries; got 5"),
    (CHOICE, "side", "'It' must be answered by one of front, back, or its number on the sheet; got 'side'. Write - where no box or more than one is ticked."),
    (CHOICE, "3", "'It' must be answered by one of front, back"),
]  # fmt: skip


@pytest.mark.parametrize(("asked", "text", "message"), REFUSED)
def test_what_no_sheet_can_say(asked, text, message):
    with pytest.raises(ValueError) as told:
        handwriting.entries(asked, text)
    assert str(told.value).startswith(message)


@given(st.text(st.characters(codec="utf-8"), max_size=80))
def test_nothing_that_is_typed_is_ever_run(text):
    """Whatever stands on paper is a text in the student's notebook, nothing more."""
    asked = question("number")
    assert run(asked, text) == plain(text)
    try:
        listed = run(NUMBERS, text.replace(";", ",").replace("\n", " ").replace(", ", ","))
    except ValueError as refused:  # four numbers in a row are four entries
        assert "must have at most 3 entries" in str(refused)
        return
    assert {item["is"] for item in listed["value"]} <= {"text", "none"}


def test_a_questions_number_or_id_and_the_time_of_handing_in(work):
    assert answer(work, "bench-01", "2", "800").question == "double"
    assert answer(work, "bench-01", "double", "800").question == "double"
    for wrong, message in (
        (("bench-99", "1", "4"), "a student must be on the roster; got 'bench-99'"),
        (("bench-01", "5", "4"), "An answer must be to a question of small, by its number on the sheet or its id; got '5'. They are 1 to 4: area, double, shape, why."),
        (("bench-01", "0", "4"), "got '0'. They are 1 to 4"),
        (("bench-01", "why", "x" * 3001), "'why' must have an answer of at most 3000 signs; got 3001."),
    ):  # fmt: skip
        with pytest.raises(ValueError) as told:
            answer(work, *wrong)
        assert message in str(told.value)
    with pytest.raises(ValueError, match=r"handing in must be a day, .*; got 'on Tuesday'"):
        answer(work, "bench-01", "1", "4", handed_in="on Tuesday")


def test_every_earlier_answer_is_kept_and_one_can_be_taken_back(work):
    type_in(work, "bench-01", {"area": "100", "why": "Because\n- of it"})
    type_in(work, "bench-01", {"area": "121", "why": "Because\n- of it"})
    told = [(a.question, a.answer) for a in paper_answers.every(work.folder, "small")]
    assert told == [("area", "100"), ("why", "Because\n- of it"), ("area", "121")]
    stands = paper_answers.latest(work.folder, "small")
    assert {q: a.answer for q, a in stands["bench-01"].items()} == {
        "area": "121", "why": "Because\n- of it",
    }  # fmt: skip
    type_in(work, "bench-01", {"area": "-"})
    assert set(paper_answers.latest(work.folder, "small")["bench-01"]) == {"why"}
    assert paper_answers.erase(work.folder, "bench-01") == 4
    assert paper_answers.every(work.folder, "small") == []


def marks_of(work):
    return {
        s.id: [(m.question, m.marks, m.verdict, m.reason) for m in kept.marks]
        for s in work.folder.students
        if (kept := mark_class.recorded(work.folder, s.id, "small"))
    }


def test_paper_and_notebook_earn_the_same_in_the_same_gradebook(work):
    """Four students with a notebook each, marked; then the same answers of theirs from paper."""
    sides = {s.id: work.numbers(s.id)["side"] for s in work.folder.students}
    cells = {
        "bench-01": {"area": sides["bench-01"] ** 2, "double": 2 * sides["bench-01"] ** 2, "shape": "square"},
        "bench-02": {"area": 4 * sides["bench-02"], "double": 8 * sides["bench-02"], "shape": "round"},
        "bench-03": {"area": "x", "double": f"{2 * sides['bench-03'] ** 2} mm"},
        "bench-04": {},
    }  # fmt: skip
    for student, some in cells.items():
        code = {q: f"{q} = {v!r}" for q, v in some.items()}
        bare = {q: f"{q} = None" for q in ("area", "double", "shape")}
        small.hand_in(work, student, bare | code | {"why": f"Of {student}."})
    mark_class.mark_class(work, limits=LIMITS)
    notebooks, rows = marks_of(work), small.rows(work)
    for student, some in cells.items():
        text = {q: str(v).replace(".", ",") for q, v in some.items()}
        type_in(work, student, text | {"why": f"Of {student}."}, handed_in="2026-02-03 19:30")
    done = as_notebook.hand_in(work, replace=list(cells))
    assert [o.what for o in done] == ["handed in"] * 4
    told = {}
    mark_class.mark_class(work, limits=LIMITS, progress=told.__setitem__)
    assert set(told.values()) == {"marked"}
    assert marks_of(work) == notebooks
    assert small.rows(work) == rows
    assert [m[2] for m in notebooks["bench-02"]] == ["slip", "carried", "slip", "to-read"]


def test_the_notebook_says_that_it_came_from_paper_and_hides_nothing(work):
    type_in(work, "bench-01", {"area": "12,5 mm", "why": "Because."})
    as_notebook.hand_in(work)
    place = work.folder.submitted("bench-01", "small")
    book = nbformat.read(place / "small.ipynb", as_version=4)
    nbformat.validate(book)
    assert book.cells[0].source == as_notebook.NOTE
    assert book.metadata["coursekit"] == {"from": "answers on paper"}
    cells = {grade_id(c): c.source for c in book.cells}
    assert cells["area-answer"] == "# from the worksheet\narea = '12,5 mm'"
    assert cells["why"] == "Because."
    release = nbformat.read(work.folder.release("small") / "small.ipynb", as_version=4)
    same = {grade_id(c): c.source for c in release.cells} | {
        k: cells[k] for k in ("area-answer", "why")
    }
    assert cells == same | {None: as_notebook.NOTE}
    stamp = (place / "timestamp.txt").read_text()
    (first,) = {a.when for a in paper_answers.every(work.folder, "small")}
    assert stamp == f"{first[:10]} {first[11:19]} UTC\n"


def test_a_correction_is_handed_in_again_and_the_earlier_one_kept(work):
    type_in(work, "bench-01", {"area": "100"}, handed_in="2026-02-03 19:30")
    assert [o.what for o in as_notebook.hand_in(work)] == ["handed in"]
    place = work.folder.submitted("bench-01", "small")
    first = small.tree(place)
    assert first["timestamp.txt"] == b"2026-02-03 19:30:00 UTC\n"
    assert [o.what for o in as_notebook.hand_in(work)] == ["unchanged"]
    type_in(work, "bench-01", {"area": "121"})
    assert [o.what for o in as_notebook.hand_in(work)] == ["handed in"]
    assert small.tree(place)["timestamp.txt"] == first["timestamp.txt"], "a correction is not late"
    old, _ = kept_versions.versions(work.folder, "bench-01", "small")
    assert {n: small.tree(old)[n] for n in first} == first
    assert kept_versions.origin(old)["by"] == "typed in from the worksheet"
    assert as_notebook.hand_in(work, ["bench-02"]) == []


def test_a_students_own_notebook_is_not_replaced_unasked(work):
    place = small.hand_in(work, "bench-01")
    own = small.tree(place)
    type_in(work, "bench-01", {"area": "100"})
    (told,) = as_notebook.hand_in(work)
    assert (told.what, told.why) == (
        "refused",
        "bench-01: a notebook that a student handed in must not be replaced unasked; there is one for "
        "small. The answers on paper are recorded but not handed in. To let them count instead, run "
        "`coursekit answers hand-in small --replace bench-01`.",
    )
    assert small.tree(place) == own
    (told,) = as_notebook.hand_in(work, replace=["bench-01"])
    assert told.what == "handed in"
    old, _ = kept_versions.versions(work.folder, "bench-01", "small")
    assert {n: small.tree(old)[n] for n in own} == own
    text = (place / "small.ipynb").read_text()
    write_text(place / "small.ipynb", text.replace("100", "400"))
    type_in(work, "bench-01", {"area": "144"})
    assert [o.what for o in as_notebook.hand_in(work)] == ["refused"], "worked on since"


def test_an_old_notebook_taken_in_again_does_not_undo_paper_but_a_new_one_counts(work, tmp_path):
    place = small.hand_in(work, "bench-01", stamp="2026-03-01 19:30:00 UTC\n")
    mail = tmp_path / "bench-01-small.ipynb"
    mail.write_bytes((place / "small.ipynb").read_bytes())
    take_in.take_in(work.folder, [mail], student="bench-01")
    type_in(work, "bench-01", {"area": "100"}, handed_in="2026-02-03 19:30")
    as_notebook.hand_in(work, replace=["bench-01"])
    paper = small.tree(place)
    assert paper["timestamp.txt"] == b"2026-02-03 19:30:00 UTC\n"
    (told,) = take_in.take_in(work.folder, [mail], student="bench-01")
    assert told.what == "same"
    assert small.tree(place) == paper
    mail.write_bytes(mail.read_bytes().replace(b"area = ", b"area = 1 + "))
    time.sleep(1.1)
    (told,) = take_in.take_in(work.folder, [mail], student="bench-01")
    assert (told.what, (place / "small.ipynb").read_bytes()) == ("taken", mail.read_bytes())
    assert [o.what for o in as_notebook.hand_in(work)] == ["refused"]
    assert len(kept_versions.versions(work.folder, "bench-01", "small")) == 3


def test_paper_counts_though_the_clock_was_wrong_when_the_notebook_came(work, tmp_path):
    mail = tmp_path / "bench-01-small.ipynb"
    mail.write_bytes((small.hand_in(work, "bench-02") / "small.ipynb").read_bytes())
    later = datetime(2099, 1, 1, tzinfo=UTC)
    take_in.take_in(work.folder, [mail], student="bench-01", slug="small", came=later)
    type_in(work, "bench-01", {"area": "100,25"})
    assert [o.what for o in as_notebook.hand_in(work, replace=["bench-01"])] == ["handed in"]
    assert "100,25" in (work.folder.submitted("bench-01", "small") / "small.ipynb").read_text()


def test_a_changed_id_keeps_its_answers_and_readings(work):
    type_in(work, "bench-01", {"area": "100"})
    bench_record.record(
        work.folder, [bench_record.Reading("bench-01", "small", "gap", 1, 0.5, "mm")]
    )
    folder = rename.rename(work.folder, "bench-01", "ann")
    assert [a.student for a in paper_answers.every(folder, "small")] == ["ann"]
    assert [r.place for r in bench_record.readings(folder, "small", "ann")] == [("ann", "gap", 1)]
    late = paper_answers.checked(folder, work.exercise, "bench-01", "double", "200")
    assert late.student == "ann", "a sheet that was printed before"
    assert (bench_record.erase(folder, "ann"), paper_answers.erase(folder, "ann")) == (1, 1)
    assert bench_record.readings(folder) == []


def test_while_the_class_is_marked_nothing_is_handed_in_and_nothing_lost(work):
    type_in(work, "bench-01", {"area": "100"})
    with (
        lock_and_backup.only_writer(work.folder),
        pytest.raises(ClassError, match="one marking at a time"),
    ):
        as_notebook.hand_in(work)
    assert [o.what for o in as_notebook.hand_in(work)] == ["handed in"]


def call(*words):
    done = CliRunner().invoke(main, [str(w) for w in words])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.stdout, done.stderr


@pytest.fixture
def shop(work, tmp_path, monkeypatch):
    monkeypatch.setenv("COURSEKIT_ROOT", str(tmp_path / "evening" / "course"))
    monkeypatch.setenv("COURSEKIT_CLASS", str(work.folder.path))
    return work


def test_the_commands(shop, tmp_path):
    small.hand_in(shop, "bench-02")
    code, blank, _ = call("answers", "blank", "small")
    assert code == 0
    assert 'bench-05,Bench 5,small,shape,3. shape,"one of: round, square",,,' in blank
    assert len(blank.splitlines()) == 1 + 5 * 4
    (tmp_path / "a.csv").write_text(
        "student;lesson;question;answer\nbench-01;small;1;100,5\nbench-01;small;shape;1\n"
        "bench-02;small;1;100\nbench-03;small;9;100\nbench-03;small;1;\nbench-01;small;1;99\n"
    )
    code, said, asked = call("answers", "take-in", tmp_path / "a.csv", "--by", "Ann")
    assert code == 1
    assert said.splitlines() == [
        "3 answers recorded, 0 known already, 1 not filled in, 2 asked back.",
        "small: 1 notebook handed in from paper.",
    ]
    assert "line 5: An answer must be to a question of small" in asked
    assert (
        "line 7: An answer must stand in a file once; got '99' here and '100,5' in line 2." in asked
    )
    assert "bench-02: a notebook that a student handed in must not be replaced" in asked
    code, said, asked = call("answers", "hand-in", "small", "--replace", "bench-02")
    assert (code, said, asked) == (0, "small: 1 notebook handed in from paper.\n", "")
    code, said, _ = call("answers", "hand-in", "small", "--json")
    assert {s["student"]: s["what"] for s in json.loads(said)["students"]} == {
        "bench-01": "unchanged", "bench-02": "unchanged",
    }  # fmt: skip
    code, said, _ = call("answers", "show", "small", "--json")
    assert [(a["student"], a["question"], a["answer"], a["by"]) for a in json.loads(said)["answers"]] == [
        ("bench-01", "area", "100,5", "Ann"), ("bench-01", "shape", "round", "Ann"),
        ("bench-02", "area", "100", "Ann"),
    ]  # fmt: skip
    code, said, _ = call("answers", "show", "small")
    assert (code, "100,5" in said) == (0, True)
    code, _, asked = call("answers", "hand-in", "small", "--replace", "bench-99")
    assert (code, "a student must be on the roster; got 'bench-99'" in " ".join(asked.split())) == (
        1,
        True,
    )


def test_every_row_of_a_file_is_accounted_for(work, tmp_path):
    """Added, known, empty or asked back: a row that says again what another says is known."""
    rows = [
        "bench-01,small,1,100",
        "bench-01,small,area,100",
        "bench-01,small,2,",
        "bench-02,small,9,1",
    ]
    path = tmp_path / "a.csv"
    path.write_text("\n".join(["student,lesson,question,answer", *rows]))
    for added, known in ((1, 1), (0, 2)):
        taken = take_file.take_in(ANSWERS_FILE, work.folder, path, lambda slug: work.exercise)
        told = (len(taken.added), taken.known, taken.empty, len(taken.refused), taken.lessons)
        assert told == (added, known, 1, 1, ("small",))


def test_points_and_orders_from_paper(tmp_path):
    exercise = exercises.parse(kinds.PUBLIC, "kinds")
    folder = open_class(tmp_path / "class", students(1))

    def typed(id, text):
        one = paper_answers.checked(folder, exercise, "bench-01", id, text)
        return run(exercise.question(id), one.answer)

    assert typed("sequence", "0 180 90 270") == plain(["0", "180", "90", "270"])
    assert typed("corners", "(10,5; 2) (3; 4)") == plain(["10,5", "2", "3", "4"])
    assert typed("corners", "1; 2; ; ") == plain(["1", "2", None, None])


def test_a_lesson_that_was_never_typed_in_has_nothing(work):
    assert as_notebook.hand_in(work) == []
    assert paper_answers.slugs(work.folder) == []
    with pytest.raises(ClassError):
        paper_answers.record(
            work.folder, [paper_answers.PaperAnswer("bench-99", "small", "area", "1")]
        )
