"""A first look at submissions, before anything heavy is imported: which are new, what they need.

A notebook of plain answers needs nothing but reading; another must be run, with the libraries that
it imports. What is read here is kept for marking, so that nothing is read twice.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.register.class_folder import RECORD, ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.running import cell_text
from coursekit.classroom.running.warm_parent import LIBRARIES

MOST_KEPT = 300_000_000  # bytes of submissions in memory that wait to be run
# a notebook that needs the library has one of these in its text, however it imports it
_NAMES = {
    "matplotlib": (b"matplotlib", b"pylab", b"coursekit.figures", b"import figures"),
    "sympy": (b"sympy",),
}


@dataclass
class NewWork:
    """Submissions that wait to be marked, as they were read, and what it takes to run them.

    `to_run` are the students' submissions, (student, slug), that look as if they must be run, and
    `libraries` the heavy ones that these name. A notebook can still import a library that is not
    among them, but that takes its own time.
    """

    slugs: set[str] = field(default_factory=set)
    to_run: set[tuple[str, str]] = field(default_factory=set)
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

    What is more than memory should hold is read again later.
    """
    found = NewWork()
    for slug in slugs:
        release = _released(folder, slug)
        for student in folder.students:
            if not is_new(folder, student.id, slug):
                continue
            found.slugs.add(slug)
            with one_piece(lambda why: None):  # marking will say what is wrong with it
                one = Submission.read(folder, student.id, slug)
                if not looks_plain(one.data, release):
                    found.to_run.add((student.id, slug))
                    found.libraries |= {
                        lib for lib in LIBRARIES if any(n in one.data for n in _NAMES[lib])
                    }
                found.keep(one)
    return found


def looks_plain(data: bytes, release: Mapping[str, str | None]) -> bool:
    """Whether no cell in a notebook's file looks as if it needs running.

    `release` maps the ids of the release's cells to the text of an answer cell that holds code, and
    the others to None. True may turn out to be wrong; but what `plain_cells.run_of` can read always
    looks plain.
    """
    cells = _cells(data)
    return not isinstance(cells, list) or all(_cell_looks_plain(cell, release) for cell in cells)


def _cell_looks_plain(cell: object, release: Mapping[str, str | None]) -> bool:
    if not isinstance(cell, dict) or cell.get("cell_type") != "code":
        return True
    source, meta = cell.get("source"), cell.get("metadata")
    text = "".join(map(str, source)) if isinstance(source, list) else str(source)
    about = meta.get("nbgrader") if isinstance(meta, dict) else None
    id = about.get("grade_id") if isinstance(about, dict) else None
    if not (isinstance(id, str) and id in release):
        return cell_text.says_nothing(text)
    released = release[id]
    return (
        released is None
        or text.strip() == released.strip()
        or cell_text.says_nothing(text)
        or cell_text.literal(text) is not None
        or bool(cell_text.with_comma(text))
    )


def _released(folder: ClassFolder, slug: str) -> dict[str, str | None]:
    """Return the release's cells as `looks_plain` wants them; none if there is no sound release."""
    data = read_regular(folder.release(slug) / f"{slug}.ipynb", LARGEST_NOTEBOOK) or b""
    found: dict[str, str | None] = {}
    with suppress(KeyError, TypeError):
        for cell in _cells(data) or ():
            about = cell["metadata"]["nbgrader"]
            is_answer = cell["cell_type"] == "code" and not about["locked"]
            found[about["grade_id"]] = "".join(cell["source"]) if is_answer else None
    return found


def _cells(data: bytes) -> Any:
    """Return the cells in a notebook's file, or None if it is not one that can be read."""
    try:
        return json.loads(data.decode("utf-8-sig"))["cells"]
    except (ValueError, TypeError, KeyError, RecursionError):
        return None


def is_new(folder: ClassFolder, student: str, slug: str) -> bool:
    """Whether a notebook looks as if it must be marked: it is newer than its marks' record."""
    notebook = folder.submitted(student, slug) / f"{slug}.ipynb"
    record = folder.autograded(student, slug) / RECORD
    with suppress(OSError):
        when = notebook.lstat().st_mtime
        return not record.is_file() or record.stat().st_mtime < when
    return False
