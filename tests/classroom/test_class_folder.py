"""A class folder at a glance, its due times, late work, packing and a change of ids."""

from __future__ import annotations

import json
import os
import shutil
import stat
import zipfile
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from rich.console import Console

from coursekit.classroom.bank import notebooks
from coursekit.classroom.bank.own_numbers import Drawn
from coursekit.classroom.gradebook import due
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import late_penalties, scores
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register import class_folder, class_toml, former_ids, packing
from coursekit.classroom.register.class_folder import ClassError, load
from coursekit.classroom.register.class_toml import Late, put, when
from coursekit.classroom.report import overview, overview_table
from coursekit.classroom.students import rename

from . import small
from .conftest import LIMITS
from .test_cli import call

NOON = datetime(2026, 2, 4, 12)


def places(work, now=NOON):
    (lesson,) = overview.overview(work.folder, now).lessons
    return lesson


def test_the_class_at_a_glance(evening):
    lesson = places(evening)
    assert (lesson.slug, lesson.out_of, lesson.due) == ("small", 8, None)
    assert {s: p.word for s, p in lesson.students.items()} == {
        "bench-01": "to read", "bench-02": "to read", "bench-03": "to read",
        "bench-04": "marked", "bench-05": "handed out",
    }  # fmt: skip
    assert lesson.students["bench-01"].came == datetime(2026, 2, 3, 19, 30)
    assert [lesson.count(c) for c in ("handed_out", "taken_in", "marked", "printed", "overdue")] == [
        5, 4, 4, 0, 0,
    ]  # fmt: skip


def test_overdue_late_and_newer_work_show(evening):
    folder = due.set_due(evening.folder, "small", when("2026-02-03T18:00:00+00:00"))
    work = small.opened(evening.folder.path.parent)
    assert work.folder == folder
    small.hand_in(work, "bench-02")
    (folder.submitted("bench-01", "small") / "small.ipynb").touch()  # as unpacking does
    record = folder.autograded("bench-02", "small") / "marks.json"
    notebook = folder.submitted("bench-02", "small") / "small.ipynb"
    os.utime(notebook, (record.stat().st_mtime + 5,) * 2)
    lesson = places(work)
    assert lesson.students["bench-05"].overdue
    assert lesson.students["bench-05"].word == "overdue"
    assert lesson.students["bench-01"].late
    assert lesson.students["bench-01"].word == "to read"
    assert lesson.students["bench-02"].word == "to mark again"
    assert not places(work, datetime(2026, 2, 3, 17)).students["bench-05"].overdue


def test_a_due_time_set_by_hand_in_the_gradebook_counts_until_the_class_has_one(evening):
    with gradebook(evening.folder) as book:
        book.update_or_create_assignment("small", duedate="2026-02-03 18:00:00 UTC")
    assert places(evening).due == datetime(2026, 2, 3, 18)
    mark_class.mark_class(evening, limits=LIMITS)
    assert places(evening).due == datetime(2026, 2, 3, 18)
    due.set_due(evening.folder, "small", when("2026-02-09T18:00:00+00:00"))
    with gradebook(evening.folder) as book:
        assert book.find_assignment("small").duedate == datetime(2026, 2, 9, 18)
    work = small.opened(evening.folder.path.parent)
    due.set_due(work.folder, "small", None)
    assert places(small.opened(evening.folder.path.parent)).due is None


def test_late_work_loses_what_the_class_says(evening):
    due.set_due(evening.folder, "small", when("2026-02-02T18:00:00+00:00"))
    file = evening.folder.path / "class.toml"
    for name, value in (("per_day", "10"), ("grace_hours", "2")):
        class_folder.write_text(file, put(file, "late", name, value))
    work = small.opened(evening.folder.path.parent)
    mark_class.mark_class(work, limits=LIMITS)
    with gradebook(work.folder) as book:
        lost = late_penalties(book, "small")
        whole = {s: sum(m.values()) for s, m in scores(book, "small").items()}
    # 25.5 hours after: two days begun, a fifth of the marks
    assert lost == pytest.approx({s: m / 5 for s, m in whole.items() if m})
    assert lost


@pytest.mark.parametrize(
    ("seconds", "lost"), [(0, None), (3600, None), (7200, None), (7201, 2), (86401, 4), (1e9, 10)]
)
def test_what_late_work_loses(seconds, lost):
    assert Late(10, most=50, grace_hours=2).penalty(20, seconds) == lost


def test_a_day_alone_means_its_end_and_a_zone_is_kept():
    assert when("2026-02-10").replace(tzinfo=None) == datetime(2026, 2, 10, 23, 59, 59)
    assert when("2026-02-10 19:00+01:00").astimezone(UTC) == datetime(2026, 2, 10, 18, tzinfo=UTC)
    assert when("2026-02-10T19:00Z") == datetime(2026, 2, 10, 19, tzinfo=UTC)


def test_settings_change_a_line_and_leave_the_rest(tmp_path):
    file = tmp_path / "class.toml"
    file.write_text(
        '# mine\ntitle = "x"  # so called\n\n[due]\na = "2026-01-01"\n\n[late]\nper_day = 5\n'
    )
    file.write_text(put(file, "due", "b-c", '"2026-02-01"'))
    file.write_text(put(file, "due", "a", None))
    file.write_text(put(file, "", "book", '"book"'))
    file.write_text(put(file, "late", "most", "50"))
    assert file.read_text() == (
        '# mine\ntitle = "x"  # so called\nbook = "book"\n\n[due]\nb-c = "2026-02-01"\n\n'
        "[late]\nper_day = 5\nmost = 50\n"
    )
    assert put(file, "other", "a", None) == file.read_text()


BAD_SETTINGS = {
    'title = "x': "the file must be TOML",
    "due = 3": "`due` must be a part of its own, [due]",
    '[due]\nsmall = "soon"': "due of small must be a day",
    "[due]\nsmall = 3": "due of small must be a day",
    '[due]\nsmall = "2026-02-30"': "due of small must be a day",
    "late = 5": "[late] must have per_day",
    "[late]\nmost = 5": "[late] must have per_day",
    "[late]\nper_day = 101": "[late] must have per_day",
    "[late]\nper_day = true": "[late] must have per_day",
    "[late]\nper_day = 5\nper_week = 1": "[late] must have per_day",
}


@pytest.mark.parametrize("text", BAD_SETTINGS)
def test_settings_that_cannot_be_used_are_refused(tmp_path, text):
    (tmp_path / "class.toml").write_text(text)
    (tmp_path / "roster.csv").write_text("id,name\na,b\n")
    with pytest.raises(ClassError) as caught:
        load(tmp_path)
    assert BAD_SETTINGS[text] in str(caught.value)


def test_packed_unpacked_elsewhere_and_gone_on_with(evening, tmp_path):
    before = small.rows(evening)
    packed = tmp_path / "away" / "class.zip"
    packing.pack(evening.folder, packed)
    assert stat.S_IMODE(packed.stat().st_mode) == 0o600
    with zipfile.ZipFile(packed) as archive:
        assert archive.testzip() is None
        archive.extractall(tmp_path / "elsewhere")
    shutil.rmtree(evening.folder.path)
    place = tmp_path / "elsewhere" / "class"
    assert stat.S_IMODE((place / "secret").stat().st_mode) & 0o077  # a zip loses rights
    folder = load(place)
    assert stat.S_IMODE((place / "secret").stat().st_mode) == 0o600
    from coursekit.classroom.handout.assignments import Assignment

    work = Assignment(folder, evening.exercise, evening.key, evening.root)
    told = {}
    mark_class.mark_class(work, limits=LIMITS, progress=lambda s, what: told.update({s: what}))
    assert set(told.values()) == {"unchanged"}
    assert small.rows(work) == before


def test_packing_never_writes_over_or_inside(evening, tmp_path):
    (tmp_path / "there.zip").write_text("mine")
    with pytest.raises(ClassError, match="must be a new file"):
        packing.pack(evening.folder, tmp_path / "there.zip")
    with pytest.raises(ClassError, match="must lie outside the class folder"):
        packing.pack(evening.folder, evening.folder.path / "in.zip")


def test_a_changed_id_keeps_work_marks_and_numbers(evening):
    numbers = evening.numbers("bench-02")
    before = {r for r in small.rows(evening) if r[0] == "bench-02"}
    rename.rename(evening.folder, "bench-02", "bench-22")
    work = small.opened(evening.folder.path.parent)
    assert [s.id for s in work.folder.students][1] == "bench-22"
    assert work.numbers("bench-22") == numbers
    mark_class.mark_class(work, limits=LIMITS)
    after = small.rows(work)
    assert {("bench-02", *r[1:]) for r in after if r[0] == "bench-22"} == before
    assert not [r for r in after if r[0] == "bench-02"]
    assert not list(work.folder.path.glob("*/bench-02"))
    # nobody else may take the old id: work, readings and stamps under it are bench-22's
    folder = work.folder
    with pytest.raises(ClassError, match="got 'bench-02', who is 'bench-22' today"):
        rename.open_with(folder.path, [*folder.students, class_folder.Student("bench-02", "New")])
    with pytest.raises(ClassError, match="got 'bench-02', which 'bench-22' had before"):
        rename.rename(folder, "bench-03", "bench-02")
    # but its owner may have it back
    rename.rename(folder, "bench-22", "bench-02")
    work = small.opened(evening.folder.path.parent)
    assert former_ids.former_ids(work.folder) == {"bench-22": "bench-02"}
    assert work.numbers("bench-02") == numbers
    assert {r for r in small.rows(work) if r[0] == "bench-02"} == before


def test_a_change_of_id_that_was_cut_off_is_finished_by_the_same_again(evening, monkeypatch):
    before = {r for r in small.rows(evening) if r[0] == "bench-02"}
    place = evening.folder.path.parent
    moved, whole = [], Path.replace

    def cut_off(old, new):
        if old.is_dir() and moved:
            raise KeyboardInterrupt
        moved.extend([old] if old.is_dir() else [])
        return whole(old, new)

    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr(Path, "replace", cut_off)
        rename.rename(evening.folder, "bench-02", "bench-22")
    assert moved
    rename.rename(small.opened(place).folder, "bench-02", "bench-22")
    work = small.opened(place)
    assert {("bench-02", *r[1:]) for r in small.rows(work) if r[0] == "bench-22"} == before
    assert not list(work.folder.path.glob("*/bench-02"))
    assert [s.id for s in work.folder.students][1] == "bench-22"


@pytest.mark.parametrize("new", ["bench-03", "BENCH-03", "con", "a b", "../x", ""])
def test_an_id_that_cannot_be_is_refused(evening, new):
    before = small.tree(evening.folder.path)
    with pytest.raises(ClassError, match="A new id must be free"):
        rename.rename(evening.folder, "bench-02", new)
    assert small.tree(evening.folder.path) == before


def test_another_frame_means_other_numbers_from_then_on(evening):
    def now():
        return small.opened(evening.folder.path.parent)

    with pytest.raises(ClassError, match="must not have handed in small"):
        rename.renumber(evening.folder, "bench-01", [evening])
    with pytest.raises(ClassError, match="must be on the roster; got 'bench-99'"):
        rename.renumber(evening.folder, "bench-99", [evening])
    assert now().folder.draws == {}
    had = [evening.numbers("bench-05")]
    for _ in range(25):  # of 41 cases, so that some draws have come up before
        work = now()
        rename.renumber(work.folder, "bench-05", [work])
        assert now().numbers("bench-05") not in had
        had.append(now().numbers("bench-05"))
    work = now()
    assert work.folder.drawn_as("bench-05", "small").startswith("bench-05~")
    assert work.folder.drawn_as("bench-05", "other") == "bench-05"
    assert work.numbers("bench-04") == evening.numbers("bench-04")


def test_an_exercise_without_other_numbers_is_said(evening):
    one = replace(evening.exercise.quantities[0], values=(20.0,))
    work = replace(
        evening,
        exercise=replace(evening.exercise, quantities=(one,)),
        in_course=None,
        _drawn={},
        _texts={},
    )
    with pytest.raises(
        ClassError, match="small must have numbers that bench-05 has not had; 50 draws gave none"
    ):
        rename.renumber(evening.folder, "bench-05", [evening, work])
    assert load(evening.folder.path).draws == {}


def test_lost_lines_of_the_numbers_file_are_told(evening):
    (evening.folder.path / "own-numbers.csv").write_text("student,exercise\nbench-05,small\n")
    with pytest.raises(ClassError, match="each line must hold student,exercise,drawn_as"):
        load(evening.folder.path)


def test_the_commands_of_a_class(evening, monkeypatch):
    monkeypatch.chdir(evening.root)
    (evening.root / "exercises").mkdir(exist_ok=True)
    place = ["--class", evening.folder.path]
    code, said = call("class", "show", *place)
    assert code == 0
    assert "bench-05" in said
    found = json.loads(call("class", "show", *place, "--json")[1])
    assert found["lessons"][0]["students"]["bench-01"]["state"] == "to read"
    when = datetime(2026, 2, 10, 18, 0, tzinfo=UTC).astimezone()
    assert call("class", "due", "small", "2026-02-10T19:00+01:00", "--past", *place) == (
        0, f"Small is due on Tue 10 Feb 2026, {when:%H:%M}.\n",
    )  # fmt: skip
    assert json.loads(call("class", "due", "--json", *place)[1]) == {
        "small": "2026-02-10T19:00:00+01:00"
    }
    assert call("class", "late", "10", "--most", "50", *place)[0] == 0
    assert load(evening.folder.path).late == Late(10, 50, 0)
    assert call("class", "due", "small", "never", *place) == (0, "Small has no due time.\n")
    code, said = call("class", "due", "small", "next week", *place)
    assert (code, "got 'next week'" in said) == (1, True)
    code, said = call("class", "due", "unknown", "2026-02-10", *place)
    assert (code, "exercises/unknown.md" in said) == (1, True)
    assert class_toml.read(evening.folder.path / "class.toml")["title"] == "Evening"


def test_numbers_known_from_before_give_the_same_file_as_numbers_drawn_now(evening):
    """A file with another order of the same numbers would be run again for nothing."""
    drawn = evening.numbers_text("bench-01")
    number = evening.exercise.quantities[0]
    more = replace(evening.exercise, quantities=(number, replace(number, name="aside")))
    one = notebooks.numbers_sheet(more, "bench-01", Drawn({"side": 1.0, "aside": 2.0}))
    assert one == notebooks.numbers_sheet(more, "bench-01", Drawn({"aside": 2.0, "side": 1.0}))
    evening.remember()
    assert small.opened(evening.folder.path.parent).numbers_text("bench-01") == drawn


def test_sixteen_lessons_fit_eighty_columns(capsys):
    place = overview.StudentState(True, True, None, True, False, 12.5, True, True, False, True)
    students = {f"bench-{i:02d}": place for i in range(1, 13)}
    students["bench-12"] = overview.StudentState(handed_out=True, overdue=True)
    lessons = tuple(
        overview.LessonState(slug, 25.0, datetime(2026, 2, 3, 19), students)
        for slug in ["bottom-bracket-shell", *(f"lesson-{i}" for i in range(2, 17))]
    )
    found = overview.Overview("Evening", {id: id for id in students}, lessons)
    Console(width=80).print(*overview_table.shown(found), sep="\n\n")
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    text = "\n".join(lines)
    assert "…" not in text
    assert len([line for line in lines if line.split() and line.split()[0] == "bench-12"]) == 2
    assert text.count(" 50?'") == 11 * 16
    assert "bottom-bracket-shell" in text
