"""The one file that a student needs, alone: the answer page or, without one, the student's zip."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from coursekit.classroom.handout import zips
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register import mail_draft
from coursekit.classroom.register.class_folder import ClassError, Student
from coursekit.classroom.register.mail_draft import Draft


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


def drafts(work: Assignment) -> Iterator[Draft]:
    """Yield a mail to each student of the class, with the file that the student needs."""
    subject = f"{work.folder.title}: {work.exercise.title}"
    for student in work.folder.students:
        path = own_file(work, student.id)
        text = _text(work, student, path.suffix == ".html")
        yield Draft(student, subject, text, path.name, path.read_bytes())


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
    said = f"\nIt is due on {due:%Y-%m-%d} at {due:%H:%M}.\n" if due else ""
    numbers = "\nThe numbers in it are yours alone, so please do not pass it on.\n"
    return f"{mail_draft.greeting(student)}\n\n{words}{said}{numbers}\n{work.folder.title}\n"
