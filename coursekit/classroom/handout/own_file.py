"""The one file that a student needs, alone: the answer page or, without one, the student's zip."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from pathlib import Path

from coursekit.classroom.handout import zips
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register import dates, mail_draft
from coursekit.classroom.register.class_folder import ClassError, Student
from coursekit.classroom.register.mail_draft import Draft

_TO_LESSON = re.compile(rb'<a href="read-the-lesson\.html(#[^"]*)?">(.*?)</a>', re.DOTALL)


def own_file(work: Assignment, student: str) -> Path:
    """Return a student's answer page, or the student's zip if there is no such page.

    Raises ClassError if neither was made.
    """
    page = work.folder.bundle(student, work.slug) / f"{work.slug}-{student}.html"
    found = page if page.is_file() else zips.zip_of(work, student)
    if not found.is_file():
        raise ClassError(
            f"{found}: what a student is sent must be made first; it is not there. Run "
            f"`coursekit hand-out {work.slug}`."
        )
    return found


def content(path: Path, lesson: str) -> bytes:
    """Return what is in a student's file, for a place where nothing of the zip lies beside it.

    An answer page's links to the lesson lead to the address `lesson`, or become plain words if
    it is "".
    """
    data = path.read_bytes()
    if path.suffix != ".html":
        return data
    to = escape(lesson).encode()

    def link(found: re.Match[bytes]) -> bytes:
        words = found[2]
        return b'<a href="%s%s">%s</a>' % (to, found[1] or b"", words) if to else words

    return _TO_LESSON.sub(link, data)


def drafts(work: Assignment) -> Iterator[Draft]:
    """Yield a mail to each student of the class, with the file that the student needs."""
    subject = f"{work.folder.title}: {work.exercise.title}"
    for student in work.folder.students:
        path = own_file(work, student.id)
        text = _text(work, student, path.suffix == ".html")
        yield Draft(student, subject, text, path.name, content(path, _in_book(work)))


def _in_book(work: Assignment) -> str:
    """Return where students read the lesson on the web, or "" if the class does not say."""
    return f"{work.folder.book.rstrip('/')}/{work.slug}.html" if work.folder.book else ""


_PAGE = """\
the attached page is your own copy of "{title}". Save it on your phone or computer and open it in a
browser; it needs no network and keeps what you type. When you are done, hand in what "Save to hand
in" gives you, or answer this mail with what "Copy to send" gives you.
"""
_ZIP = """\
the attached file is your own copy of "{title}". Unpack it and begin with {read_me} in it.
"""


def _text(work: Assignment, student: Student, is_page: bool) -> str:
    words = (_PAGE if is_page else _ZIP).format(title=work.exercise.title, read_me=zips.READ_ME)
    due = work.folder.due.get(work.slug)
    said = f"\nIt is due on {dates.shown(due)}.\n" if due else ""
    numbers = "\nThe numbers in it are yours alone, so please do not pass it on.\n"
    return f"{mail_draft.greeting(student)}\n\n{words}{said}{numbers}\n{work.folder.title}\n"
