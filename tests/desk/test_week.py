"""The week of a class of nine in a real browser, and the same week by commands.

A class is opened, a lesson handed out, twelve messy files come in, they are marked, nine sentences
are read, the next evening is printed and sent, the report is looked at. Every click and keystroke
beside typed text is counted. What the commands make of the same class and files is the same
gradebook.
"""

from __future__ import annotations

import email.message
import io
import json
import os
import shutil
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import nbformat
import pytest
from click.testing import CliRunner

from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.register import class_folder
from coursekit.cli import main

from ..classroom.test_same_every_way import right, saved, sheet, slipped, with_comma, with_point
from ..tools import need
from .desk_client import serving_desk
from .looks import finds_nothing, opened

pytestmark = pytest.mark.slow

LESSON, TITLE = "shop-maths", "Shop maths"
STUDENTS = [f"bench-{k:02d}" for k in range(1, 10)]
ROSTER = "id;name;e-mail\n" + "".join(
    f"bench-{k:02d};Bench {k};bench-{k:02d}@example.org\n" for k in range(1, 10)
)
MOST = 40  # clicks and keystrokes of the instructor's week
SCORES = ("1", "2", "0", "1", "2", "2", ".", "1", "2")  # of the nine sentences, in their order


class Hands:
    """The instructor's hands on a page: they count what they press, but not what they type."""

    def __init__(self, page, shots):
        self.page, self.shots, self.count, self.told, self.last = page, shots, 0, [], ""

    def _one(self, what):
        self.count += 1
        self.told.append(what)

    def click(self, text, role="button", exact=False):
        self._one(f"click {text}")
        self.page.get_by_role(role, name=text, exact=exact).first.click()

    def go(self, name):
        """Choose a page in the list of the week."""
        self._one(f"go to {name}")
        self.page.locator("#week").get_by_role("link", name=name, exact=True).click()

    def type(self, label, text):
        """Go into a box, which counts, and type."""
        self._one(f"type into {label}")
        self.page.get_by_label(label).first.fill(text)

    def choose(self, label, option):
        self._one(f"choose {option}")
        self.page.get_by_label(label).first.select_option(label=option)

    def drop(self, selector, *files):
        """Drop files, which is one move of the hand."""
        self._one(f"drop {len(files)} files")
        self.page.locator(selector).set_input_files([str(f) for f in files])

    def press(self, key):
        self._one(f"press {key}")
        self.page.keyboard.press(key)

    def wait_done(self):
        """Wait until the page that says what came of the job is served, after the job has ended."""
        self.page.wait_for_url(lambda url: "job=" in url and url != self.last)
        self.last = self.page.url
        self.page.wait_for_function(
            "document.querySelector('#jobs[data-open=\"0\"] .job') && document.readyState == 'complete'"
        )
        assert self.page.locator("#jobs .job.done").count(), self.page.locator("#jobs").inner_text()

    def look(self, name):
        """See that axe finds nothing and nothing hangs over, and keep a picture if one is wanted."""
        finds_nothing(self.page)
        if self.shots:
            width = self.page.viewport_size["width"]
            self.page.screenshot(path=self.shots / f"week-{name}-{width}.png", full_page=True)


@pytest.fixture
def shots():
    """The folder for pictures to look at, if the environment names one."""
    place = os.environ.get("COURSEKIT_PICTURES")
    return Path(place) if place else None


def notebook_of(folder, work, student, values):
    """Return the bytes of the student's notebook with right or slipped answers typed in."""
    path = folder.bundle(student, work.slug) / f"{work.slug}.ipynb"
    notebook = nbformat.read(path, as_version=4)
    cells = invented_class._cells(work, values)
    return nbformat.writes(invented_class.filled(notebook, cells)).encode()


def unsigned(data):
    """Return a notebook from which nobody can tell whose it is."""
    notebook = nbformat.reads(data.decode(), as_version=4)
    notebook.metadata = {"kernelspec": notebook.metadata.get("kernelspec", {})}
    return nbformat.writes(notebook).encode()


def messy(folder, place):
    """Write what came in after the evening, twelve files, and return them and a message to paste."""
    root = assignments.course_root(folder) if hasattr(assignments, "course_root") else None
    work = assignments.assignment(folder, LESSON, root or Path(__file__).parents[2])
    boxes = {
        s: sheet(
            work,
            right(work, s) if k % 2 else slipped(work, s, 0),
            with_comma if k % 3 else with_point,
        )
        for k, s in enumerate(STUDENTS, 1)
    }
    books = {s: notebook_of(folder, work, s, right(work, s)) for s in STUDENTS}
    place.mkdir()
    files = {
        "answers.txt": saved(work, "bench-01", boxes["bench-01"]).encode(),
        "homework final (2).ipynb": books["bench-02"],
        "Bench 3.zip": _zipped(
            {"inner.zip": _zipped({"x/my work.ipynb": books["bench-03"]}), "__MACOSX/._x": b"1"}
        ),
        "Re shop maths.eml": _mail("bench-04", saved(work, "bench-04", boxes["bench-04"])),
        "bench-06 notebook.ipynb": books["bench-06"],
        "IMG_2041 bench-06.jpg": b"\xff\xd8\xff\xe0" + bytes(200),
        "old.ipynb": notebook_of(folder, work, "bench-07", slipped(work, "bench-07", 0)),
        "new.ipynb": notebook_of(folder, work, "bench-07", right(work, "bench-07")),
        "half of it.zip": _zipped({"a.ipynb": books["bench-05"]})[:300],
        "nobody.ipynb": unsigned(books["bench-08"]),
        "also nobody.ipynb": unsigned(books["bench-09"]),
        "desktop.ini": b"[x]",
    }
    for name, data in files.items():
        (place / name).write_bytes(data)
    os.utime(place / "old.ipynb", (1_700_000_000, 1_700_000_000))
    return [place / name for name in files], saved(work, "bench-05", boxes["bench-05"])


def _zipped(files):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, data in files.items():
            packed.writestr(name, data)
    return out.getvalue()


def _mail(student, text):
    mail = email.message.EmailMessage()
    mail["From"], mail["To"], mail["Subject"] = (
        f"{student}@example.org",
        "me@example.org",
        "answers",
    )
    mail.set_content("Hello,\n\n" + text)
    return bytes(mail)


def rows(folder):
    """Return what the gradebook holds of marks, without times and the database's own numbers."""
    with closing(sqlite3.connect(folder / "gradebook.db")) as book:
        return book.execute(
            """
            SELECT submitted_assignment.student_id, assignment.name, base_cell.name,
                   grade.auto_score, grade.manual_score, grade.extra_credit, grade.needs_manual_grade,
                   grade_cells.max_score, submitted_notebook.late_submission_penalty
            FROM grade
            JOIN grade_cells ON grade_cells.id = grade.cell_id
            JOIN base_cell ON base_cell.id = grade.cell_id
            JOIN submitted_notebook ON submitted_notebook.id = grade.notebook_id
            JOIN submitted_assignment ON submitted_assignment.id = submitted_notebook.assignment_id
            JOIN assignment ON assignment.id = submitted_assignment.assignment_id
            ORDER BY 1, 2, 3
            """
        ).fetchall()


@pytest.mark.parametrize("width", [1280, 390])
def test_a_week_on_the_desk_takes_forty_moves_and_is_the_week_of_the_commands(
    tmp_path, root, shots, width
):
    need("chromium")
    from playwright.sync_api import sync_playwright

    roster = tmp_path / "students.csv"
    roster.write_text(ROSTER)
    with serving_desk(None, root) as desk, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=need("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        with opened(browser, desk, width, accept_downloads=True) as page:
            hands = Hands(page, shots)
            a_class_is_opened(hands, roster, tmp_path)
            folder = class_folder.load(desk.folder.path)
            a_lesson_is_handed_out(hands)
            shutil.copytree(folder.path, tmp_path / "by commands")
            files, message = messy(folder, tmp_path / "came in")
            what_came_in_is_dropped(hands, files, message)
            all_is_marked(hands)
            nine_sentences_are_read(hands)
            it_is_printed_sent_and_reported(hands)
        browser.close()
    assert hands.count <= MOST, hands.told
    the_same_by_commands(tmp_path / "by commands", files, message)
    assert rows(tmp_path / "by commands") == rows(folder.path)
    assert len(rows(folder.path)) > 9 * 10


def a_class_is_opened(hands, roster, tmp_path):
    hands.click("Begin a new class", role="link")
    hands.drop("#file", roster)
    hands.page.get_by_label("What you call it").wait_for()
    hands.look("new-class")
    hands.page.get_by_label("Where its folder is made").fill(str(tmp_path / "classes"))
    hands.type("What you call it", "Thursday evenings")
    hands.click("Yes, open the class")
    hands.page.get_by_role("heading", name="Now", exact=True).wait_for()
    hands.look("now-empty")


def a_lesson_is_handed_out(hands):
    hands.go("Next lesson")
    hands.choose("Lesson", TITLE)
    hands.page.get_by_role("button", name=f"Hand out {TITLE}").wait_for()
    hands.type("Day", "2999-01-07")
    if hands.page.locator("#pages").count():
        hands.page.locator("#pages").uncheck()  # the book's own tests build it
    hands.look("next-lesson")
    hands.click(f"Hand out {TITLE}")
    hands.wait_done()
    hands.look("handed-out")


def what_came_in_is_dropped(hands, files, message):
    hands.go("Drop")
    hands.drop("#files", *files)
    hands.wait_done()
    hands.look("dropped")
    for student in ("Bench 8", "Bench 9"):
        hands.click(f"This is {student}’s {TITLE}")
        hands.wait_done()
    hands.look("settled")
    hands.type("Or paste a message", message)
    hands.click("Take it in", exact=True)
    hands.wait_done()


def all_is_marked(hands):
    hands.go("Mark")
    hands.look("mark")
    hands.click("Mark", exact=True)
    hands.wait_done()
    hands.look("marked")


def nine_sentences_are_read(hands):
    hands.click("to read", role="link")
    hands.page.locator("#answers .answer").first.wait_for()
    hands.page.wait_for_load_state()
    hands.look("read")
    for score in SCORES:
        hands.press(score)
    hands.page.get_by_text("All of them are read.").wait_for()
    hands.look("all-read")


def it_is_printed_sent_and_reported(hands):
    hands.click("Send the feedback", role="link")
    hands.look("send")
    hands.click("Write drafts, to save as one file")
    hands.wait_done()
    with hands.page.expect_download() as saved_file:
        hands.click("Save it", role="link")
    with zipfile.ZipFile(saved_file.value.path()) as drafts:
        assert len([n for n in drafts.namelist() if n.endswith(".eml")]) == 9
    hands.go("Print")
    hands.click("Count the sheets")
    hands.wait_done()
    hands.click("ready to print")
    hands.wait_done()
    hands.look("print")
    hands.go("Report")
    hands.look("report")
    hands.go("Now")
    hands.look("now")


def the_same_by_commands(folder, files, message):
    def did(*words, **more):
        result = CliRunner().invoke(main, [str(w) for w in words], **more)
        assert result.exit_code in (0, 1), result.output
        return result.output

    on = ("--class", folder)
    did("take-in", *files, *on)
    for student, name in (("bench-08", "nobody.ipynb"), ("bench-09", "also nobody.ipynb")):
        file = next(f for f in files if f.name == name)
        did("take-in", file, "--student", student, *on)
    did("take-in", "--paste", *on, input=message)
    did("mark", LESSON, *on)
    (question,) = json.loads(did("read", LESSON, "--json", "--all", *on))["questions"]
    for answer, score in zip(question["answers"], SCORES, strict=True):
        given = "0.5" if score == "." else score
        did("read", LESSON, "--give", answer["student"], question["id"], given, *on)
