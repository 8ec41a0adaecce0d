"""The term, step by step: each step is one of the instructor's, and the next builds on it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import zipfile

import pytest

from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.register import class_folder

from .scenario import (
    ABSENT,
    BROKEN,
    LATE_ALL,
    LATE_IN_GRACE,
    LATE_TWO_DAYS,
    NEW_ID,
    ON_PAPER,
    OTHER_FRAME,
    OTHER_ID,
    STUDENTS,
    TWICE,
    ZIPPED,
    Term,
    call,
    did,
)

pytestmark = pytest.mark.slow


def test_a_whole_term(root, tmp_path, monkeypatch):
    monkeypatch.setenv("COURSEKIT_ROOT", "")  # put back at the end
    term = Term.begun(tmp_path, root)
    for step in STEPS:
        step(term)


def the_class_is_opened_from_a_spreadsheet_s_roster(term):
    assert len(term.slugs) >= 3
    term.open()
    folder = class_folder.load(term.folder)
    assert [s.id for s in folder.students] == STUDENTS
    assert folder.students[2].name == "Builder 3"
    assert (folder.late.per_day, folder.late.most, folder.late.grace_hours) == (10, 50, 2)


def the_first_lesson_is_handed_out_with_a_mistake_in_its_key(term):
    first = term.slugs[0]
    term.right_key = term.spoil(first)
    term.hand_out(first)
    shown = json.loads(did("class", "show", *term.on, "--json"))
    (lesson,) = shown["lessons"]
    assert {p["state"] for p in lesson["students"].values()} == {
        "overdue"
    }  # the term lies in the past
    assert all(p["handed_out"] for p in lesson["students"].values())
    # no two students have the same numbers in everything
    assert len({str(term.numbers[s, first]) for s in STUDENTS}) == len(STUDENTS)


def the_first_lesson_comes_in_and_nobody_s_is_mistaken(term):
    first = term.slugs[0]
    # what the class worked out is right; the instructor's key is not
    wrong = (term.root / "solutions" / f"{first}.md").read_bytes()
    (term.root / "solutions" / f"{first}.md").write_bytes(term.right_key)
    outcome = term.take_in(first)
    (term.root / "solutions" / f"{first}.md").write_bytes(wrong)
    assert outcome == {s: "taken" for s in STUDENTS if s not in (ABSENT, ON_PAPER)}
    kept = sorted((term.folder / "taken-in" / TWICE / first).iterdir())
    assert len(kept) == 2


def it_is_marked_with_the_mistake(term):
    first = term.slugs[0]
    rows = term.mark(first)[first]
    want = term.expected(first, spoilt=True)
    assert {s: r["marks"] for s, r in rows.items() if r["handed_in"]} == pytest.approx(want)
    assert rows[ABSENT] == {"id": ABSENT, "name": "Builder 12", "handed_in": False}
    assert rows[BROKEN]["repairs"]
    assert rows[LATE_IN_GRACE]["late_penalty"] == 0
    assert rows[LATE_TWO_DAYS]["late_penalty"] == pytest.approx(0.2 * want[ZIPPED])
    assert rows[LATE_ALL]["late_penalty"] == pytest.approx(0.5 * want[ZIPPED])


def the_second_lesson_in_its_week(term):
    second = term.slugs[1]
    term.hand_out(second)
    term.take_in(second)
    rows = term.mark(second)[second]
    assert {s: r["marks"] for s, r in rows.items() if r["handed_in"]} == pytest.approx(
        term.expected(second)
    )


def one_student_changes_frame(term):
    first, later = term.slugs[0], term.slugs[2:]
    code, said = call("student", "renumber", OTHER_FRAME, first, *term.on)
    assert (code, "must not have handed in" in said) == (1, True)
    did("student", "renumber", OTHER_FRAME, *later, *term.on)
    folder = class_folder.load(term.folder)
    assert folder.drawn_as(OTHER_FRAME, first) == OTHER_FRAME
    for slug in later:
        work = term.work(slug)
        assert work.numbers(OTHER_FRAME) != work.drawn(OTHER_FRAME, OTHER_FRAME).numbers


def one_student_s_id_changes_and_everything_stays_theirs(term):
    before = {slug: term.marks(slug) for slug in term.slugs[:2]}
    did("student", "rename", OTHER_ID, NEW_ID, *term.on)
    for slug, marks in before.items():
        assert term.work(slug).numbers(NEW_ID) == term.numbers[OTHER_ID, slug]
        assert term.mark(slug)[slug][NEW_ID]["marks"] == marks[OTHER_ID]
        assert term.marks(slug) == {NEW_ID if s == OTHER_ID else s: m for s, m in marks.items()}


def the_other_lessons_in_their_weeks(term):
    for slug in term.slugs[2:]:
        term.hand_out(slug)
        outcome = term.take_in(slug)
        assert set(outcome) == {term.id(s) for s in STUDENTS} - {ABSENT, ON_PAPER}
    rows = term.mark(*term.slugs[2:])
    for slug in term.slugs[2:]:
        got = {s: r["marks"] for s, r in rows[slug].items() if r["handed_in"]}
        assert got == pytest.approx(term.expected(slug)), slug
        assert term.numbers[OTHER_FRAME, slug] == term.work(slug).numbers(OTHER_FRAME)


def work_on_the_old_id_is_taken_in_for_the_new_one(term):
    """A notebook that was handed out under the former id comes in late, again."""
    first = term.slugs[0]
    sent = next((term.folder / "taken-in" / NEW_ID / first).iterdir()) / f"{first}.ipynb"
    assert OTHER_ID in sent.read_text()
    path = term.place / "again.ipynb"
    path.write_bytes(sent.read_bytes())
    (told,) = json.loads(did("take-in", path, *term.on, "--json"))
    assert (told["student"], told["what"]) == (NEW_ID, "same")


def the_key_is_mended_and_nothing_is_run_again(term):
    first = term.slugs[0]
    (term.root / "solutions" / f"{first}.md").write_bytes(term.right_key)
    rows = term.mark(first)[first]
    want = term.expected(first)
    assert {s: r["marks"] for s, r in rows.items() if r["handed_in"]} == pytest.approx(want)
    whats = {s: r["what"] for s, r in rows.items() if r["handed_in"]}
    assert "marked" not in whats.values()
    assert whats[ZIPPED] == "marked again"
    # what the mistake did not touch is left alone
    assert whats[BROKEN] == "unchanged"


def the_instructor_reads_and_marks_by_hand(term):
    first = term.slugs[0]
    written = next(q for q in term.work(first).exercise.graded if q.kind == "written")
    before = term.marks(first)[ZIPPED]
    with gradebook(class_folder.load(term.folder)) as book:
        grade = book.find_grade(written.id, first, first, ZIPPED)
        grade.manual_score, grade.needs_manual_grade = written.marks, False
        book.db.commit()
    assert term.marks(first)[ZIPPED] == before + written.marks
    state = json.loads(did("class", "show", *term.on, "--json"))["lessons"][0]["students"]
    assert (state[ZIPPED]["state"], state[TWICE]["state"]) == ("marked", "to read")


def feedback_reminders_and_the_report(term):
    for slug in term.slugs:
        did("feedback", slug, *term.on, "--quiet")
    owed = json.loads(did("remind", *term.on, "--json"))
    assert set(owed) == {ABSENT}
    assert [o["exercise"] for o in owed[ABSENT]] == list(term.slugs)
    assert did("remind", *term.on).startswith("Builder 12,\nthese are still missing from you:\n")
    found = json.loads(did("report", *term.on, "--json"))
    shares = {s["id"]: s["share"] for s in found["students"]}
    assert shares["bench-12"] is None
    assert max(s for s in shares.values() if s is not None) < 1  # written questions wait
    did("report", *term.on, "--quiet")
    did("report", *term.on, "--without-names", "--quiet")
    assert len(list((term.folder / "reports").rglob("*.pdf"))) == 2


def the_laptop_is_lost_and_the_packed_folder_goes_on_elsewhere(term):
    packed = term.place / "safe" / "evening.zip"
    did("class", "pack", packed, *term.on)
    shown = did("class", "show", *term.on, "--json")
    shutil.rmtree(term.folder)
    with zipfile.ZipFile(packed) as archive:
        archive.extractall(term.place / "new laptop")
    term.folder = term.place / "new laptop" / "evening"
    assert did("class", "show", *term.on, "--json") == shown
    rows = term.mark(*term.slugs)
    whats = {r["what"] for of in rows.values() for r in of.values() if r["handed_in"]}
    assert whats == {"unchanged"}


def a_backup_of_the_gradebook_is_as_good(term):
    marks = {slug: term.marks(slug) for slug in term.slugs}
    (term.folder / "gradebook.db").unlink()
    term.mark(*term.slugs)
    first = term.slugs[0]
    written = next(q for q in term.work(first).exercise.graded if q.kind == "written")
    # only what a person gave is lost with the file; the records give back all else
    marks[first][ZIPPED] -= written.marks
    assert {slug: term.marks(slug) for slug in term.slugs} == {
        slug: pytest.approx(of) for slug, of in marks.items()
    }


def the_final_marks_are_what_the_term_was_worth(term):
    for slug in term.slugs:
        assert term.marks(slug) == pytest.approx(term.expected(slug))


def nbgrader_s_own_commands_read_the_class(term):
    around = {k: v for k, v in os.environ.items() if k != "COURSEKIT_ROOT"}

    def stock(*words):
        done = subprocess.run(
            [sys.executable, "-W", "ignore", "-m", "nbgrader", *words],
            cwd=term.folder, capture_output=True, text=True, timeout=300, env=around,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return done.stdout + done.stderr

    listed = stock("db", "student", "list")
    for student in STUDENTS:
        assert term.id(student) in listed
    assert OTHER_ID not in listed
    assert all(slug in stock("db", "assignment", "list") for slug in term.slugs[:1])
    stock("export", "--to", "grades.csv")
    import csv

    with (term.folder / "grades.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(STUDENTS) * len(term.slugs)
    got = {r["student_id"]: float(r["score"]) for r in rows if r["assignment"] == term.slugs[0]}
    assert got == pytest.approx({**term.expected(term.slugs[0]), ABSENT: 0.0})
    assert rows[0]["duedate"].startswith("2026-")


def a_student_leaves_and_is_erased_and_the_rest_stays(term):
    marks = {slug: term.marks(slug) for slug in term.slugs}
    (
        term.folder / "grades.csv"
    ).unlink()  # the stock export is the instructor's own to keep or remove
    did("student", "export", NEW_ID, term.place / "hulda.zip", *term.on)
    told = json.loads(did("student", "erase", NEW_ID, "--yes", *term.on, "--json"))
    assert told["still_named_in"] == []
    assert {slug: term.marks(slug) for slug in term.slugs} == {
        slug: {s: m for s, m in of.items() if s != NEW_ID} for slug, of in marks.items()
    }


STEPS = (
    the_class_is_opened_from_a_spreadsheet_s_roster,
    the_first_lesson_is_handed_out_with_a_mistake_in_its_key,
    the_first_lesson_comes_in_and_nobody_s_is_mistaken,
    it_is_marked_with_the_mistake,
    the_second_lesson_in_its_week,
    one_student_changes_frame,
    one_student_s_id_changes_and_everything_stays_theirs,
    the_other_lessons_in_their_weeks,
    work_on_the_old_id_is_taken_in_for_the_new_one,
    the_key_is_mended_and_nothing_is_run_again,
    the_instructor_reads_and_marks_by_hand,
    feedback_reminders_and_the_report,
    the_laptop_is_lost_and_the_packed_folder_goes_on_elsewhere,
    a_backup_of_the_gradebook_is_as_good,
    the_final_marks_are_what_the_term_was_worth,
    nbgrader_s_own_commands_read_the_class,
    a_student_leaves_and_is_erased_and_the_rest_stays,
)
