"""A first look at submissions, before anything heavy is imported: which are new, what they import.

What is read here is kept for marking, so that nothing is read twice.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field

from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.running.warm_parent import LIBRARIES

MOST_KEPT = 300_000_000  # bytes of submissions in memory that wait to be run
# a notebook that needs the library has one of these in its text, however it imports it
_NAMES = {
    "matplotlib": (b"matplotlib", b"pylab", b"coursekit.figures", b"import figures"),
    "sympy": (b"sympy",),
}


@dataclass
class NewWork:
    """Submissions that wait to be run, as they were read, and the heavy libraries they name.

    A notebook can still import a library that is not among them, but that takes its own time.
    """

    slugs: set[str] = field(default_factory=set)
    libraries: frozenset[str] = frozenset()
    _waiting: dict[tuple[str, str], Submission] = field(default_factory=dict)
    _room: int = MOST_KEPT

    def keep(self, one: Submission) -> bool:
        """Let a submission wait; return False if there is no room, and it must be read again."""
        if one.size() > self._room:
            return False
        self._waiting[one.student, one.slug] = one
        self._room -= one.size()
        return True

    def take(self, folder: ClassFolder, student: str, slug: str) -> Submission:
        """Return the submission and stop keeping it; if none waits, read it from the disk.

        It is also read again if other work has been put in its place since.
        """
        one = self._waiting.pop((student, slug), None)
        if one:
            self._room += one.size()
            if one.lies_there_still():
                return one
        return Submission.read(folder, student, slug)


def new_work(folder: ClassFolder, slugs: Iterable[str]) -> NewWork:
    """Return what is new on the exercises `slugs`.

    If it is more than memory should hold, the rest is not read, and all libraries count as named.
    """
    found = NewWork()
    for slug in slugs:
        for student in folder.students:
            if not is_new(folder, student.id, slug):
                continue
            found.slugs.add(slug)
            if found.libraries == LIBRARIES:
                continue
            kept = False
            with one_piece(lambda why: None):  # marking will say what is wrong with it
                one = Submission.read(folder, student.id, slug)
                named = {lib for lib in LIBRARIES if any(n in one.data for n in _NAMES[lib])}
                found.libraries |= named
                kept = found.keep(one)
            if not kept:
                found.libraries = LIBRARIES
    return found


def is_new(folder: ClassFolder, student: str, slug: str) -> bool:
    """Whether a notebook looks as if it must be run: it is newer than the record of its marks."""
    notebook = folder.submitted(student, slug) / f"{slug}.ipynb"
    record = folder.autograded(student, slug) / RECORD
    with suppress(OSError):
        when = notebook.lstat().st_mtime
        return not record.is_file() or record.stat().st_mtime < when
    return False


def has_new(folder: ClassFolder, slug: str) -> bool:
    """Whether any notebook of an exercise looks as if it must be run."""
    return any(is_new(folder, student.id, slug) for student in folder.students)
