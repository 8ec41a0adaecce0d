"""Undo, check, packing, copies of the gradebook, and one student's data."""

from __future__ import annotations

import os
import stat
import zipfile

import pytest

from coursekit.classroom.gradebook import read_only
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register import class_folder, lock_and_backup, undo
from coursekit.classroom.register.class_folder import ClassError
from coursekit.desk.pages import put_away
from coursekit.desk.tasks import task

from ..classroom import small
from ..classroom.conftest import LIMITS
from ..classroom.form_client import words
from .desk_client import Window, serving_desk


@pytest.fixture
def work(tmp_path):
    """A class of three; the first two handed in and were marked."""
    work = small.evening(tmp_path, 3)
    for student in ("bench-01", "bench-02"):
        small.hand_in(work, student)
    mark_class.mark_class(work, limits=LIMITS)
    return work


@pytest.fixture
def desk(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def order(one, page, **said):
    """Order a job by a form of `page`, wait for it, and return the page's words."""
    where = said.pop("where", page)
    status, headers, text = one.send(where, page, **said)
    assert status == 303, words(text)
    return words(one.wait(headers["Location"]))


def roster(work):
    return [s.id for s in class_folder.load(work.folder.path).students]


def test_the_class_is_packed_where_it_was_said_and_saved_by_the_browser(desk, work, tmp_path):
    one = Window(desk)
    page = order(one, "/put-away", deed="pack", place=str(tmp_path / "away"))
    assert "The class is packed" in page
    (file,) = (tmp_path / "away").iterdir()
    assert str(file) in page
    if os.name == "posix":
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert "class/class.toml" in zipfile.ZipFile(file).namelist()
    (job,) = desk.jobs.jobs
    status, headers, _ = one.get(f"/put-away/file?job={job}")
    assert (status, headers["Content-Length"]) == (200, str(file.stat().st_size))
    assert "attachment" in headers["Content-Disposition"]
    file.unlink()
    assert one.get(f"/put-away/file?job={job}")[0] == 404


@pytest.mark.parametrize(
    ("place", "why"),
    [("away", "must be a whole path"), ("{class}/reports", "must lie outside its folder"),
     ("{class}/../class/x", "must lie outside its folder"), ("/etc/passwd/x", "is a file")],
)  # fmt: skip
def test_a_place_where_nothing_can_be_written_is_refused_in_words(desk, work, place, why):
    one = Window(desk)
    place = place.format(**{"class": work.folder.path})
    for page, said in (("/put-away", {"deed": "pack"}),
                       ("/put-away/student", {"deed": "export", "student": "bench-01"})):  # fmt: skip
        where = page if page == "/put-away" else f"{page}?student=bench-01"
        status, _, text = one.send(where, page, place=place, **said)
        assert status == 422
        assert why in words(text)
    assert not desk.jobs.jobs


def test_no_address_sends_a_file_that_no_job_wrote(desk, work):
    one = Window(desk)
    order(one, "/put-away", deed="check")
    (job,) = desk.jobs.jobs
    for asked in (job, "", "x", "../secret", str(work.folder.path / "secret")):
        assert one.ask("GET", f"/put-away/file?job={asked}")[0] == 404


def test_what_a_check_finds_is_said_with_the_page_that_mends_it(desk, work):
    small.hand_in(work, "bench-03")
    page = Window(desk)
    text = order(page, "/put-away", deed="check")
    assert "1 thing to look at" in text
    assert "What is out of date" in text
    assert "Small: bench-03 is not marked yet. Mark it" in text
    (job,) = desk.jobs.jobs
    assert 'href="/mark?lesson=small"' in page.page(f"/put-away?job={job}")


def test_a_whole_class_is_said_to_be_whole(tmp_path):
    work = small.evening(tmp_path, 2)
    assert task("check_class")(work.folder, work.root, {}, None) == {"findings": []}


def test_a_copy_of_the_gradebook_is_put_back_and_what_was_there_is_kept(work):
    folder = work.folder
    first = lock_and_backup.backup(folder)
    with read_only.reading(folder) as book:
        before = scores(book, "small")
    small.hand_in(work, "bench-03")
    mark_class.mark_class(work, limits=LIMITS)
    with read_only.reading(folder) as book:
        after = scores(book, "small")
    assert before != after
    task("put_back")(folder, work.root, {"copy": first.name}, None)
    with read_only.reading(folder) as book:
        assert scores(book, "small") == before
    task("put_back")(folder, work.root, {"copy": lock_and_backup.backups(folder)[-1].name}, None)
    with read_only.reading(folder) as book:
        assert scores(book, "small") == after


def test_the_oldest_copy_is_put_back_though_the_next_copy_pushes_it_out(work):
    import sqlite3

    folder = work.folder
    for n in range(lock_and_backup.BACKUPS_KEPT):
        with sqlite3.connect(folder.gradebook_file) as book:
            book.execute("UPDATE student SET last_name = ?", (f"at {n}",))
        book.close()
        lock_and_backup.backup(folder)
    with sqlite3.connect(folder.gradebook_file) as book:
        book.execute("UPDATE student SET last_name = 'now'")
    book.close()
    oldest = lock_and_backup.backups(folder)[0]
    lock_and_backup.put_back(folder, oldest.name)
    assert not oldest.exists()
    with read_only.reading(folder) as book:
        assert {name for (name,) in book.rows("SELECT last_name FROM student")} == {"at 0"}


def test_a_gradebook_that_is_damaged_is_put_back_too(work):
    folder = work.folder
    copy = lock_and_backup.backup(folder)
    with read_only.reading(folder) as book:
        before = scores(book, "small")
    folder.gradebook_file.write_bytes(folder.gradebook_file.read_bytes()[:5000])
    lock_and_backup.put_back(folder, copy.name)
    with read_only.reading(folder) as book:
        assert scores(book, "small") == before


@pytest.mark.parametrize("name", ["", "../../secret", "gradebook.db", "gradebook-x.db"])
def test_only_a_copy_that_is_kept_is_put_back(work, name):
    with pytest.raises(ClassError, match="only from a copy that is kept here"):
        lock_and_backup.put_back(work.folder, name)


def test_a_job_is_undone_and_done_again(desk, work):
    one = Window(desk)
    numbers = {"where": "/put-away/student?student=bench-03", "student": "bench-03"}
    order(one, "/put-away/student", deed="renumber", lesson="small", **numbers)
    assert class_folder.load(work.folder.path).draws
    page = words(one.page("/put-away"))
    assert "The last step: Giving Bench 3 other numbers" in page
    text = order(one, "/put-away", deed="undo")
    assert "Undone: Giving Bench 3 other numbers" in text
    assert not class_folder.load(work.folder.path).draws
    order(one, "/put-away", deed="redo")
    assert class_folder.load(work.folder.path).draws


def test_a_student_gets_another_id_and_a_bad_one_is_refused_in_words(desk, work):
    one = Window(desk)
    where = {"where": "/put-away/student?student=bench-02", "student": "bench-02"}
    text = order(one, "/put-away/student", deed="rename", id="../b", **where)
    assert "fit for a file name" in text
    text = order(one, "/put-away/student", deed="rename", id="b-2", **where)
    assert "bench-02 is now b-2." in text
    assert roster(work) == ["bench-01", "b-2", "bench-03"]
    assert one.get("/put-away/student?student=bench-02")[0] == 404


def test_other_numbers_where_work_is_in_only_if_it_is_said(desk, work):
    one = Window(desk)
    where = {"where": "/put-away/student?student=bench-01", "student": "bench-01"}
    text = order(one, "/put-away/student", deed="renumber", lesson="small", **where)
    assert "must not have handed in small" in text
    said = {"deed": "renumber", "lesson": "small", "even-so": "1"}
    text = order(one, "/put-away/student", **said, **where)
    assert "Bench 1 has other numbers in Small." in text
    status, _, text = one.send(
        where["where"], "/put-away/student", student="bench-01", deed="renumber"
    )
    assert (status, "Tick one or more" in text) == (422, True)


def test_a_frame_that_cannot_be_read_is_refused_by_the_name_of_its_file(desk, work):
    one = Window(desk)
    where = {"where": "/put-away/student?student=bench-01", "student": "bench-01"}
    text = order(one, "/put-away/student", deed="frame", text="name = ", file="mine.toml", **where)
    assert "mine.toml" in text
    assert "frame.toml" not in text


def test_all_that_is_kept_of_a_student_is_written_to_a_file(desk, work, tmp_path):
    one = Window(desk)
    where = {"where": "/put-away/student?student=bench-01", "student": "bench-01"}
    order(one, "/put-away/student", deed="export", place=str(tmp_path / "out"), **where)
    (file,) = (tmp_path / "out").iterdir()
    assert file.name.startswith("all of bench-01 ")
    assert "about.json" in zipfile.ZipFile(file).namelist()


def test_a_student_is_erased_once_the_name_is_typed_and_not_before(desk, work):
    one = Window(desk)
    asked = "/put-away/erase?student=bench-02"
    assert "This can’t be undone." in words(one.page(asked))
    for typed in ("", "yes", "Bench 1", "Bench"):
        status, _, text = one.send(asked, "/put-away/erase", student="bench-02", typed=typed)
        assert status == 422
        assert "the name must be typed" in words(text)
    assert roster(work) == ["bench-01", "bench-02", "bench-03"]
    text = order(one, "/put-away/erase", where=asked, student="bench-02", typed=" bench 2 ")
    assert "bench-02 is erased" in text
    assert "roster.csv: the line" in text
    assert roster(work) == ["bench-01", "bench-03"]
    assert undo.last(work.folder) is None
    assert one.get(asked)[0] == 404


def test_work_of_one_who_left_the_roster_is_named_and_can_be_erased(desk, work):
    file = work.folder.path / "roster.csv"
    file.write_text(
        "".join(line for line in file.read_text().splitlines(True) if "bench-02" not in line)
    )
    one = Window(desk)
    assert "erase bench-02" in words(one.page("/put-away"))
    asked = "/put-away/erase?student=bench-02"
    order(one, "/put-away/erase", where=asked, student="bench-02", typed="bench-02")
    assert not (work.folder.path / "submitted" / "bench-02").exists()
    assert put_away.gone(class_folder.load(work.folder.path)) == []


@pytest.mark.parametrize("page", ["/put-away/student", "/put-away/erase"])
@pytest.mark.parametrize("student", ["", "bench-99", "..", "../bench-01", "<b>"])
def test_nobody_else_has_a_page(desk, page, student):
    one = Window(desk)
    assert (
        one.send("/put-away", page, student=student, deed="rename", id="x", typed=student)[0] == 404
    )


def test_get_changes_nothing(desk, work):
    before = small.tree(work.folder.path)
    one = Window(desk)
    for page in ("/", "/classes", "/classes/new", "/put-away", "/put-away/student?student=bench-01",
                 "/put-away/erase?student=bench-01&typed=Bench+1", "/put-away?deed=undo"):  # fmt: skip
        one.page(page)
    assert small.tree(work.folder.path) == before


def test_quick_changes_in_a_row_are_one_step(desk, work):
    """They are undone together, and what another says, or a job in between, begins a new step."""
    import asyncio

    class Page(put_away.PutAway):
        desk = property(lambda self: self.application)

        def __init__(self, desk):
            self.application = desk

    page = Page(desk)
    for say in ("Reading Small", "Reading Small", "Dates", "Reading Small"):
        asyncio.run(page.keep_before(say))
    folder = work.folder
    assert [undo._read(folder, n)["words"] for n in undo._names(folder)] == [
        "Reading Small", "Dates", "Reading Small",
    ]  # fmt: skip
