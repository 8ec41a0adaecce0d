"""The Send page: mail drafts, a file for a stick, a folder for a web space, and reminders."""

from __future__ import annotations

import os
import re
import shutil
import time
from contextlib import nullcontext
from datetime import datetime
from email import message_from_bytes
from zipfile import ZipFile

import pytest

from coursekit.classroom.answer_page.handing_out import hand_out_lesson
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook import due
from coursekit.classroom.marking import by_hand, mark_class
from coursekit.classroom.register.class_folder import load
from coursekit.desk.pages import send
from coursekit.desk.tasks import send as send_task

from ..classroom import small
from .desk_client import Window, serving_desk

COUNT = 3


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A class of three that got the small lesson; the first two are marked, the third has no mail."""
    work = small.evening(tmp_path_factory.mktemp("send"), COUNT)
    roster = work.folder.path / "roster.csv"
    rows = "".join(f"bench-0{n},Ann Nr {n},ann{n}@shop.example\n" for n in (1, 2))
    roster.write_text(f"id,name,email\n{rows}bench-03,<b>Cem</b>,\n")
    work = small.opened(work.folder.path.parent)
    hand_out_lesson(work, lambda: None, lambda what, count: nullcontext(lambda student: None))
    for student in ("bench-01", "bench-02"):
        small.hand_in(work, student, {"why": f"Because of {student}."})
    mark_class.mark_class(work)
    return work


@pytest.fixture
def work(made, tmp_path):
    shutil.copytree(made.folder.path.parent, tmp_path / "evening")
    return small.opened(tmp_path / "evening")


@pytest.fixture
def desk(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def ordered(window, **said):
    status, headers, text = window.send("/send", "/send", **said)
    assert status == 303, text
    return window.wait(headers["Location"])


FEEDBACK, LESSON = {"feedback.small": "on"}, {"lesson.small": "on"}


def attached(eml):
    (part,) = [p for p in message_from_bytes(eml).walk() if p.get_filename()]
    return part.get_payload(decode=True).decode()


def test_what_is_new_is_ticked_and_who_has_no_address_is_named(work):
    found = send.facts(FormClass(work.folder, work.root), "", "")
    assert [(c.slug, c.count, c.ticked) for c in (*found.feedback, *found.lessons)] == [
        ("small", 2, True), ("small", 3, True),
    ]  # fmt: skip
    assert found.no_address == "<b>Cem</b>"
    one = send.facts(FormClass(work.folder, work.root), "feedback", "small")
    assert [c.ticked for c in (*one.feedback, *one.lessons)] == [True, False]


def test_drafts_are_written_and_saved_as_one_file(desk, work):
    window = Window(desk)
    text = ordered(window, **FEEDBACK, **LESSON, how="mail-zip")
    assert "4 drafts in " in text
    assert "There is no e-mail address for &lt;b&gt;Cem&lt;/b&gt;." in text
    (link,) = re.findall(r'href="(/made/[^"]*)"', text)
    saved = work.folder.path / link.removeprefix("/made/").partition("?")[0]
    assert window.get(link)[0] == 200
    with ZipFile(saved) as packed:
        assert sorted(packed.namelist()) == [
            "small-bench-01.eml", "small-bench-02.eml",
            "small-feedback-bench-01.eml", "small-feedback-bench-02.eml",
        ]  # fmt: skip
        mail = packed.read("small-feedback-bench-01.eml")
    assert message_from_bytes(mail)["To"].endswith("<ann1@shop.example>")
    assert "Because of bench-01." in attached(mail)


def test_feedback_that_is_sent_has_the_marks_of_now(desk, work):
    """A sentence that was read after the pages were made stands in them."""
    window = Window(desk)
    ordered(window, **FEEDBACK, how="mail")
    by_hand.give(work, "bench-01", "why", 1.5, "Well seen.")
    ordered(window, **FEEDBACK, how="mail")
    mail = (work.folder.path / "to-send" / "mail" / "small-feedback-bench-01.eml").read_bytes()
    assert "Well seen." in attached(mail)


def test_some_students_alone_are_sent_to_a_folder_of_another_name(desk, work, tmp_path):
    window = Window(desk)
    some = {"student.bench-02": "on", "how": "mail"}
    ordered(window, **FEEDBACK, **some, folder="week 3")
    names = [p.name for p in (work.folder.path / "to-send" / "week 3").iterdir()]
    assert names == ["small-feedback-bench-02.eml"]
    ordered(window, **LESSON, **some, folder=str(tmp_path / "drafts"))
    assert [p.name for p in (tmp_path / "drafts").iterdir()] == ["small-bench-02.eml"]


@pytest.mark.parametrize(
    "typed", ["../out", "a/b", ".hidden", "~nobody-here/x", "/a/../../etc", "x" * 99, "\\x", "C:x"]
)
def test_a_folder_is_a_name_or_a_whole_path_and_nothing_else(desk, work, typed):
    before = small.tree(work.folder.path)
    for said in ({"how": "mail", "folder": typed}, {"how": "site", "site": typed}):
        status, _, text = Window(desk).send("/send", "/send", **LESSON, **said)
        assert status == 422, typed
        assert "A folder must be named by its whole path" in text
    assert small.tree(work.folder.path) == before
    assert not desk.jobs.jobs


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (LESSON, "Choose how"), (LESSON | {"how": "pigeon"}, "Choose how"),
        ({"how": "stick"}, "Tick at least one thing"),
        ({"how": "stick", "lesson.other": "on"}, "Tick at least one thing"),
        (FEEDBACK | {"how": "site", "site": "/srv/pages"}, "A web space takes lessons alone."),
    ],
    ids=str,
)  # fmt: skip
def test_what_can_t_be_sent_is_said(desk, said, why):
    status, _, text = Window(desk).send("/send", "/send", **said)
    assert (status, why in text) == (422, True)
    assert not desk.jobs.jobs


def test_a_stick_has_a_folder_for_each_student(desk, work):
    window = Window(desk)
    text = ordered(window, **FEEDBACK, **LESSON, how="stick")
    assert "Ann Nr 1, Ann Nr 2 and &lt;b&gt;Cem&lt;/b&gt;." in text
    file = work.folder.path / "to-send" / "stick.zip"
    assert window.get("/made/to-send/stick.zip?save")[0] == 200
    with ZipFile(file) as packed:
        names = set(packed.namelist())
        assert {f"small/bench-0{n}/small-bench-0{n}.html" for n in (1, 2, 3)} <= names
        assert "small/READ-ME-FIRST.txt" in names
        page = packed.read("small/bench-02/feedback.html").decode()
    assert "Because of bench-02." in page
    assert "small/bench-03/feedback.html" not in names
    ordered(window, **FEEDBACK, **LESSON, **{"student.bench-02": "on"}, how="stick")
    with ZipFile(file) as packed:
        assert {n.split("/")[1] for n in packed.namelist()} == {"READ-ME-FIRST.txt", "bench-02"}


def test_a_web_space_says_whose_link_is_whose(desk, work, tmp_path):
    window = Window(desk)
    text = ordered(window, **LESSON, how="site", site=str(tmp_path / "pages"))
    rows = dict(re.findall(r'<th scope="row">([^<]*)</th><td><code>([^<]*)</code>', text))
    assert list(rows) == ["Ann Nr 1", "Ann Nr 2", "&lt;b&gt;Cem&lt;/b&gt;"]
    for link in rows.values():
        assert (tmp_path / "pages" / link).is_file()
    status, _, text = window.send(
        "/send", "/send", **LESSON, how="site", site=str(work.folder.path)
    )
    assert status == 422
    assert "a site must lie apart from the class folder" in text


def test_who_owes_something_is_reminded_and_nobody_is_without_a_due_time(work):
    view = FormClass(work.folder, work.root)
    found = send.facts(view, "", "")
    assert (found.reminders, found.nobody) == (
        "",
        "No lesson has a day on which it is due, so nothing is overdue.",
    )
    over = datetime(2026, 2, 1, 19, 0).astimezone()
    late = FormClass(due.set_due(work.folder, "small", over), work.root)
    found = send.facts(late, "", "")
    assert found.reminders.startswith(
        "<b>Cem</b>,\nthis is still missing from you:\n- Small, was due"
    )
    with serving_desk(work.folder.path, work.root) as desk:
        text = Window(desk).page("/send")
    assert "&lt;b&gt;Cem&lt;/b&gt;,\nthis is still missing" in text
    assert "<b>Cem" not in text


def test_newer_work_is_not_sent_old_feedback(desk, work):
    small.hand_in(work, "bench-01", {"why": "Another."}, "2026-02-04 10:00:00 UTC\n")
    later = time.time() + 5
    os.utime(work.folder.submitted("bench-01", "small") / "small.ipynb", (later, later))
    text = ordered(Window(desk), **FEEDBACK, how="mail")
    assert "Nothing for Ann Nr 1." in text
    names = [p.name for p in (work.folder.path / "to-send" / "mail").iterdir()]
    assert names == ["small-feedback-bench-02.eml"]


class Killed(BaseException):
    """Stands for the end of the process at a moment between two steps."""


@pytest.mark.parametrize("how", ["mail", "stick", "site"])
def test_broken_off_at_any_step_it_ends_the_same(work, tmp_path, how):
    other = tmp_path / "other"
    shutil.copytree(work.folder.path.parent, other)
    said = {
        **{"feedback": [] if how == "site" else ["small"], "lessons": ["small"], "students": []},
        **{"how": how, "zip": how == "mail"},
    }

    def run(path, steps):
        told = iter(range(steps))

        def tell(what, done, of):
            if next(told, None) is None:
                raise Killed

        place = path / ("pages" if how == "site" else "class/to-send/mail")
        send_task.run(load(path / "class"), path / "course", said | {"target": str(place)}, tell)

    def left_behind(path):
        pages = small.tree(path / "pages")
        return (
            small.tree(path / "class" / "to-send"),
            small.tree(path / "class" / "feedback"),
            pages,
        )

    run(other, 1000)
    here, killed = work.folder.path.parent, 0
    for steps in range(100):
        try:
            run(here, steps)
            break
        except Killed:
            killed += 1
    assert killed
    assert left_behind(here) == left_behind(other)
