"""The Next lesson page: what comes next, this class's own tolerance and marks, and handing it out."""

from __future__ import annotations

import re
import shutil
import time
from datetime import UTC, datetime
from urllib.parse import urlencode
from zipfile import ZipFile

import pytest

from coursekit.classroom.demo import invented_class
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook import due
from coursekit.classroom.register.class_folder import load, open_class
from coursekit.desk import lesson_choice
from coursekit.desk.pages import next_lesson

from ..classroom import small
from .desk_client import PATIENCE, Window, serving_desk, ticket

STUDENTS = [f"bench-0{n}" for n in range(1, 7)]
HAND_OUT = {"lesson": "small", "do": "hand-out", "paper": "a4"}


@pytest.fixture
def opened(tmp_path):
    """A class of six and a course of two lessons, of which nothing is handed out."""
    root = small.write(tmp_path / "course")
    (root / "course" / "_toc.yml").write_text(
        "root: intro\nchapters: [{file: small}, {file: after}]\n"
    )
    (root / "exercises" / "after.md").write_text(
        small.PUBLIC.replace("title: Small", "title: After")
    )
    key = small.PRIVATE.replace('Key("small")', 'Key("after")')
    (root / "solutions" / "after.py").write_text(key)
    (root / "solutions" / "after.md").write_text(small.WORKED)
    folder = open_class(tmp_path / "class", invented_class.students(6))
    return FormClass(folder, root)


@pytest.fixture
def desk(opened):
    with serving_desk(opened.folder.path, opened.root) as desk:
        yield desk


def ordered(window, **said):
    """Return the page that shows what came of what the page was told to do."""
    asked = f"/next-lesson?{urlencode({'lesson': said['lesson']})}"
    status, headers, text = window.send(asked, "/next-lesson", **said)
    assert status == 303, text
    return window.wait(headers["Location"])


def made(folder):
    return small.tree(folder / "hand-out"), small.tree(folder / "to-send")


def test_the_plan_of_evenings_says_what_comes_next(root, tmp_path):
    order = lesson_choice.in_order(root)
    assert order[:3] == ("shop-maths", "frame-drawing", "tube-choice")
    assert len(order) == len(set(order)) == 16


def test_the_first_lesson_that_is_not_handed_out_is_suggested(opened):
    found = next_lesson.facts(opened, "")
    assert (found.slug, found.title, found.out) == ("small", "Small", False)
    assert found.choice == (("small", "Small", False), ("after", "After", False))
    with serving_desk(opened.folder.path, opened.root) as desk:
        text = ordered(Window(desk), **HAND_OUT)
    assert "Hand out Small again" in text
    assert next_lesson.facts(opened, "").slug == "after"
    assert next_lesson.facts(opened, "nothing").slug == "after"


def test_it_is_due_a_week_after_the_last_one(opened):
    assert next_lesson.facts(opened, "").date == ""
    last = datetime(2026, 11, 26, 19, 0).astimezone()
    view = FormClass(due.set_due(opened.folder, "small", last), opened.root)
    now = datetime(2026, 11, 20, tzinfo=UTC)
    found = next_lesson.facts(view, "after", now)
    assert (found.date, found.time) == ("2026-12-03", "19:00")
    found = next_lesson.facts(view, "after", datetime(2026, 12, 5, tzinfo=UTC))
    assert (found.date, found.time) == ("2026-12-10", "19:00")
    assert next_lesson.facts(view, "small", now).date == "2026-11-26"


def test_handing_out_makes_what_each_student_gets(desk, opened):
    window = Window(desk)
    text = ordered(window, **HAND_OUT, date="2099-12-03", time="19:00")
    assert "Made for all 6: a zip each" in text
    folder = load(opened.folder.path)
    assert folder.due["small"] == datetime(2099, 12, 3, 19, 0).astimezone()
    for student in STUDENTS:
        names = ZipFile(folder.path / "to-send" / "small" / f"small-{student}.zip").namelist()
        assert f"small/small-{student}.html" in names
    came = text[text.index('id="made"') : text.index("</section>", text.index('id="made"'))]
    assert re.findall(r'href="([^"]*)"', came) == [
        "/send?what=lesson&amp;lesson=small",
        "/print?lesson=small",
        "/made/to-send/small/small.stick.zip?save",
    ]
    status, headers, _ = window.get("/made/to-send/small/small.stick.zip?save")
    assert (status, headers["Content-Type"]) == (200, "application/zip")


def test_some_students_alone_get_it(desk, opened):
    text = ordered(Window(desk), **HAND_OUT, **{"student.bench-02": "on", "student.other": "on"})
    name = next(s.name for s in opened.folder.students if s.id == "bench-02")
    assert f"Made for {name}: a zip each" in text
    zips = [p.name for p in (opened.folder.path / "to-send" / "small").iterdir()]
    assert zips == ["small-bench-02.zip"]


def test_a_due_time_that_is_over_is_asked_about(desk, opened):
    window = Window(desk)
    said = HAND_OUT | {"date": "2020-01-02", "time": "19:00"}
    status, _, text = window.send("/next-lesson", "/next-lesson", **said)
    assert status == 422
    assert "The due time of Small must be yet to come; got" in text
    assert 'value="2020-01-02"' in text
    assert not desk.jobs.jobs
    ordered(window, **said, past="on")
    assert load(opened.folder.path).due["small"].year == 2020


@pytest.mark.parametrize("date", ["2026-13-01", "soon", "<b>"])
def test_what_is_no_day_is_refused(desk, date):
    status, _, text = Window(desk).send("/next-lesson", "/next-lesson", **HAND_OUT, date=date)
    assert status == 422
    assert "<b>" not in text
    assert not desk.jobs.jobs


def test_a_question_is_changed_for_this_class_alone(desk, opened):
    window = Window(desk)
    course = small.tree(opened.root)
    said = {"lesson": "small", "do": "change", "tolerance.area": "0,5", "marks.double": "4"}
    text = ordered(window, **said)
    assert "2 questions changed for this class." in text
    assert "Made for" not in text
    assert small.tree(opened.root) == course
    folder = load(opened.folder.path)
    assert folder.questions["small"]["area"].tolerance == "0.5"
    assert folder.questions["small"]["double"].marks == 4
    (area,) = [q for q in next_lesson.facts(desk.view, "small").questions if q.id == "area"]
    assert (area.tolerance, area.course) == ("0.5", "tolerance 1")
    assert not (opened.folder.path / "hand-out").exists()
    text = ordered(window, lesson="small", do="change", **{"course.area": "on"})
    assert "area" not in load(opened.folder.path).questions["small"]


def test_a_change_that_is_not_sound_is_refused_and_nothing_is_handed_out(desk, opened):
    text = ordered(Window(desk), **HAND_OUT, **{"tolerance.area": "300"})
    assert "The tolerance must" in text
    assert "So nothing was handed out." in text
    assert 'name="tolerance.area" value="300"' in text
    assert not load(opened.folder.path).questions
    assert not (opened.folder.path / "hand-out").exists()


def test_a_change_by_itself_that_is_refused_leaves_the_question_as_it_was(desk, opened):
    text = ordered(Window(desk), lesson="small", do="change", **{"tolerance.area": "300"})
    assert "It stays as it was." in text
    assert "handed out." not in text
    assert "See what came of it" not in text, "this is the page that says it"
    assert "See what came of it" in Window(desk).page("/mark")
    assert not load(opened.folder.path).questions


@pytest.mark.parametrize("said", [{}, {"marks.area": "many"}], ids=str)
def test_what_changes_nothing_or_is_no_number_is_refused(desk, said):
    status, _, text = Window(desk).send(
        "/next-lesson", "/next-lesson", lesson="small", do="change", **said
    )
    assert status == 422
    assert "Nothing was changed." in text or "must be a number; got many" in text
    assert not desk.jobs.jobs


def test_a_lesson_that_the_course_has_not_leads_back(desk):
    status, headers, _ = Window(desk).send("/next-lesson", "/next-lesson", lesson="../small")
    assert (status, headers["Location"]) == (303, "/next-lesson")


def test_it_warns_of_what_it_gives_away(root, tmp_path):
    view = FormClass(open_class(tmp_path / "class", invented_class.students(1)), root)
    given = next_lesson.facts(view, "miter-angles").given
    assert any("of Frame drawing asks for and which is not due yet" in one for one in given)


def test_stopped_in_the_middle_it_goes_on_and_ends_the_same(opened, tmp_path):
    shutil.copytree(tmp_path / "class", tmp_path / "other")
    with serving_desk(tmp_path / "other", opened.root) as desk:
        ordered(Window(desk), **HAND_OUT)
    goal = made(tmp_path / "other")
    with serving_desk(opened.folder.path, opened.root) as desk:
        window = Window(desk)
        _, headers, _ = window.send("/next-lesson", "/next-lesson", **HAND_OUT)
        job = desk.jobs.jobs[re.search(r"job=(.+)", headers["Location"])[1]]
        fields, late = ticket(window.page("/next-lesson")), time.monotonic() + PATIENCE
        while job.done < 7:  # all notebooks, and one of the zips
            assert job.state in ("waiting", "at work"), job
            assert time.monotonic() < late
            time.sleep(0.001)
        window.connection.close()  # it may have been idle for long
        window.post("/jobs/stop", fields | {"job": job.id})
        assert job.state == "stopped"
        ordered(window, **HAND_OUT)
    assert made(opened.folder.path) == goal
