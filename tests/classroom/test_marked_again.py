"""Work that has been marked is marked again without being run, and only what changed is written."""

from __future__ import annotations

import json
import shutil

import nbformat
import pytest

from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import RECORD, write_text
from coursekit.classroom.running import places

from . import small
from .conftest import LIMITS


def refuse_to_run(place, task):
    raise AssertionError("nothing may be run here")


@pytest.fixture
def never_runs(monkeypatch):
    monkeypatch.setattr(places.Here, "_run", refuse_to_run)


def mark(work):
    told = {}
    mark_class.mark_class(work, limits=LIMITS, progress=lambda s, what: told.update({s: what}))
    return told


def mended(work, old, new, name="solutions/small.py"):
    path = work.root / name
    text = path.read_text()
    assert text.count(old) == 1
    path.write_text(text.replace(old, new))
    return assignments.assignment(work.folder, "small", work.root)


def test_the_class_as_it_was_marked(evening):
    with gradebook(evening.folder) as book:
        got = scores(book, "small")
    assert got == {
        "bench-01": {"area": 2, "double": 3, "shape": 1, "why": 0},
        "bench-02": {"area": 0.5, "double": 2, "shape": 1, "why": 0},
        "bench-03": {"area": 0, "double": 3, "shape": 1, "why": 0},
        "bench-04": {"area": 0, "double": 3, "shape": 1, "why": 0},
    }


def test_nothing_changed_nothing_is_written(evening, never_runs):
    before = {p: p.stat().st_mtime_ns for p in (evening.folder.path / "autograded").rglob("*")}
    assert mark(evening) == dict.fromkeys(
        ("bench-01", "bench-02", "bench-03", "bench-04"), "unchanged"
    )
    assert before == {
        p: p.stat().st_mtime_ns for p in (evening.folder.path / "autograded").rglob("*")
    }


def test_a_mended_credit_is_marked_again_without_running(evening, never_runs):
    with gradebook(evening.folder) as book:
        for question in ("area", "double"):
            grade = book.find_grade(question, "small", "small", "bench-02")
            grade.manual_score, grade.needs_manual_grade = 1.0, False
        book.db.commit()
    told = mark(mended(evening, "credit=0.25", "credit=0.75"))
    assert told == {
        "bench-01": "unchanged", "bench-02": "marked again",
        "bench-03": "unchanged", "bench-04": "unchanged",
    }  # fmt: skip
    with gradebook(evening.folder) as book:
        area = book.find_grade("area", "small", "small", "bench-02")
        double = book.find_grade("double", "small", "small", "bench-02")
        assert (area.auto_score, area.manual_score, area.needs_manual_grade) == (1.5, 1.0, True)
        # the other question's mark is what it was: the person's look at it stands
        assert (double.auto_score, double.needs_manual_grade) == (2.0, False)
    notebook = nbformat.read(
        evening.folder.autograded("bench-02", "small") / "small.ipynb", as_version=4
    )
    (shown,) = (c.outputs[0] for c in notebook.cells if c.id == "area")
    assert shown["data"]["text/plain"] == "1.5"


def test_a_mended_answer_gives_what_a_first_marking_would(evening, monkeypatch):
    work = mended(evening, "return n.side**2", "return n.side**2 + 10")
    with monkeypatch.context() as patched:
        patched.setattr(places.Here, "_run", refuse_to_run)
        assert mark(work)["bench-01"] == "marked again"
    again, files = small.rows(work), small.tree(work.folder.path / "autograded")
    shutil.rmtree(work.folder.path / "autograded")
    assert mark(work)["bench-01"] == "marked"
    assert small.rows(work) == again
    assert small.tree(work.folder.path / "autograded") == files


def test_a_mended_text_shows_in_the_marked_notebook_without_running(evening, never_runs):
    work = mended(evening, "What is its area?", "What is the area of it?", "exercises/small.md")
    assignments.hand_out(work)
    assert set(mark(work).values()) == {"marked again"}
    path = work.folder.autograded("bench-03", "small") / "small.ipynb"
    cells = {c.id: c for c in nbformat.read(path, as_version=4).cells}
    assert "What is the area of it?" in cells["area-text"].source
    assert cells["area-answer"].outputs[0]["ename"] == "NameError"  # the run's own output is kept


def test_work_handed_in_again_alone_is_run(evening):
    with gradebook(evening.folder) as book:
        grade = book.find_grade("double", "small", "small", "bench-02")
        grade.manual_score, grade.extra_credit, grade.needs_manual_grade = 2.5, 0.5, False
        book.find_comment(
            "area-answer", "small", "small", "bench-02"
        ).manual_comment = "Look again."
        book.db.commit()
    small.hand_in(evening, "bench-02", stamp="2026-02-04 08:00:00 UTC\n")
    told = mark(evening)
    assert {s for s, what in told.items() if what == "marked"} == {"bench-02"}
    with gradebook(evening.folder) as book:
        grade = book.find_grade("double", "small", "small", "bench-02")
        assert (grade.auto_score, grade.manual_score, grade.extra_credit) == (3.0, 2.5, 0.5)
        assert grade.needs_manual_grade
        assert grade.score == 3.0
        comment = book.find_comment("area-answer", "small", "small", "bench-02")
        assert comment.comment == "Look again."
        assert str(book.find_submission("small", "bench-02").timestamp) == "2026-02-04 08:00:00"


def test_longer_limits_run_stopped_work_again(evening):
    longer = mark_class.Limits(cell=3.0, notebook=60.0)
    told = {}
    mark_class.mark_class(evening, limits=longer, progress=lambda s, what: told.update({s: what}))
    assert told == {
        "bench-01": "unchanged", "bench-02": "unchanged",
        "bench-03": "marked", "bench-04": "unchanged",
    }  # fmt: skip


@pytest.mark.parametrize("harm", ["notebook", "record", "gradebook", "no gradebook"])
def test_what_was_harmed_is_made_again(evening, harm):
    before, files = small.rows(evening), small.tree(evening.folder.path / "autograded")
    place = evening.folder.autograded("bench-01", "small")
    if harm == "notebook":
        (place / "small.ipynb").write_text("{}")
    elif harm == "record":
        (place / RECORD).write_text('{"marks": [')
    elif harm == "gradebook":
        with gradebook(evening.folder) as book:
            book.find_grade("area", "small", "small", "bench-01").auto_score = 0.0
            book.db.commit()
    else:
        evening.folder.gradebook_file.unlink()
    mark(evening)
    assert small.rows(evening) == before
    assert small.tree(evening.folder.path / "autograded") == files


def test_the_record_holds_plain_values_only(evening):
    path = evening.folder.autograded("bench-02", "small") / RECORD
    values = json.loads(path.read_text())["values"]
    side = evening.numbers("bench-02")["side"]
    assert values["area"] == {"is": "float", "value": repr(4 * side)}
    assert values["shape"] == {"is": "text", "value": "square"}


# what is handed in


def test_a_folder_without_the_notebook_gets_zeros_and_a_reason(evening):
    place = evening.folder.submitted("bench-05", "small")
    write_text(place / "small (1).ipynb", "{}")
    mark(evening)
    one = mark_class.recorded(evening.folder, "bench-05", "small")
    assert one.repairs == (
        "There is no small.ipynb in what you handed in. Found: small (1).ipynb. Hand it in under that name.",
    )
    with gradebook(evening.folder) as book:
        assert set(scores(book, "small")["bench-05"].values()) == {0.0}
        grades = book.find_submission("small", "bench-05").notebooks[0].grades
        assert {(g.auto_score, g.needs_manual_grade) for g in grades} == {(0.0, False)}


def test_other_files_are_copied_as_stock_does_and_links_are_not(evening, tmp_path):
    place = evening.folder.submitted("bench-01", "small")
    write_text(place / "trace.csv", "1,2\n")
    write_text(place / "photos" / "cut.txt", "a cut")
    write_text(place / "second.ipynb", "{}")
    write_text(place / "__pycache__" / "x.pyc", "x")
    (place / "secret.txt").symlink_to(evening.folder.path / "secret")
    (place / "folder").symlink_to(evening.folder.path / "source")
    mark(evening)
    to = evening.folder.autograded("bench-01", "small")
    names = {p.relative_to(to).as_posix() for p in to.rglob("*") if not p.is_dir()}
    assert names == {
        "small.ipynb", "numbers.json", "timestamp.txt", "marks.json", "trace.csv", "photos/cut.txt",
    }  # fmt: skip
    one = mark_class.recorded(evening.folder, "bench-01", "small")
    assert one.repairs == ("not taken, being links or too many or too large: 'secret.txt'",)
    (place / "trace.csv").unlink()
    (place / "photos" / "cut.txt").unlink()
    told = mark(evening)
    assert told["bench-01"] == "marked"  # a run may read it
    assert not (to / "trace.csv").exists()
    assert not (to / "photos").exists()


def test_too_many_files_are_bounded(evening, monkeypatch):
    from coursekit.classroom.intake import submission

    monkeypatch.setattr(submission, "MOST_FILES", 3)
    monkeypatch.setattr(submission, "LARGEST_FILES", 25)
    place = evening.folder.submitted("bench-01", "small")
    for i in range(5):
        (place / f"{i}.txt").write_bytes(b"x" * 10)
    files = Submission.read(evening.folder, "bench-01", "small")
    assert sorted(files.files()) == ["0.txt", "1.txt"]
    assert files.left_out() == (
        "not taken, being links or too many or too large: '2.txt', '3.txt', '4.txt'",
    )


@pytest.mark.parametrize("kind", ["link", "folder", "pipe"])
def test_a_notebook_that_is_no_file_is_not_opened(evening, kind):
    import os

    path = evening.folder.submitted("bench-01", "small") / "small.ipynb"
    path.rename(evening.folder.path / "away.ipynb")
    if kind == "link":
        path.symlink_to(evening.folder.path / "away.ipynb")
    elif kind == "folder":
        path.mkdir()
    else:
        os.mkfifo(path)
    mark(evening)
    one = mark_class.recorded(evening.folder, "bench-01", "small")
    assert one.repairs[0] == "The file is not a notebook that can be read. Hand it in again."
    assert one.total == 0


def test_half_characters_do_not_stop_the_class(evening):
    """JSON can name half of a surrogate pair, which no file can hold."""
    place = small.hand_in(
        evening, "bench-01", {"area": "area = 'HIGH'\nprint('LOW')", "why": "Because HALF."}
    )
    text = (place / "small.ipynb").read_text()
    for word, escape in {"HIGH": "\\\\ud800", "LOW": "\\\\udfff", "HALF": "\\ud800"}.items():
        text = text.replace(word, escape)
    (place / "small.ipynb").write_text(text)
    told = mark(evening)
    assert told["bench-01"] == "marked"
    assert mark(evening)["bench-01"] == "unchanged"


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("2026-02-03 19:30:00 UTC\n", "2026-02-03 19:30:00"),
        ("2026-02-03 19:30:00.5 UTC", "2026-02-03 19:30:00.500000"),
        ("2026-02-03 19:30:00 +0200", "2026-02-03 17:30:00"),
        ("2026-02-03 19:30:00 America/New_York", "2026-02-04 00:30:00"),
        ("2026-02-03T19:30:00+01:00", "2026-02-03 18:30:00"),
        ("2026-02-03 19:30", "2026-02-03 19:30:00"),
        ("", "None"),
        ("\n", "None"),
        ("yesterday", "None"),
        ("9999999999999999 99 99", "None"),
    ],
)
def test_times_as_nbgrader_writes_them(evening, text, when):
    place = evening.folder.submitted("bench-01", "small")
    (place / "timestamp.txt").write_text(text)
    handed = Submission.read(evening.folder, "bench-01", "small")
    assert str(handed.when) == when
    told = bool(text.strip()) and when == "None"
    assert bool(handed.left_out()) == told


def test_the_guard_against_running_would_see_a_run(evening, never_runs):
    small.hand_in(evening, "bench-02", {"area": "area = side**2"})
    with pytest.raises(AssertionError, match="nothing may be run here"):
        mark(evening)
