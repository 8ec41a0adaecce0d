"""Keeps a student's marked work: notebook, gradebook and, last, a record of what it was made from.

The record holds the plain values that the run brought back, so that a mended key marks them again
without running anything. It is written last: work without a record that fits is done again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit import __version__
from coursekit.classroom.bank.json_lines import indented
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.bank.notebooks import NUMBERS_FILE, file_text, grade_id
from coursekit.classroom.gradebook import marks_writer
from coursekit.classroom.gradebook.nbgrader_settings import LateRule
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.intake.submission import HandedIn
from coursekit.classroom.register.class_folder import RECORD, ClassFolder, write_bytes, write_text
from coursekit.classroom.running.plain_value import Plain


@dataclass(frozen=True)
class Marked:
    """One student's marked work: marks, what was put back in order, and what the run brought back.

    `fingerprint` stands for all that the run depends on; `values`, `stops` and `written` are what
    the marker marks: plain values, why cells stopped, which written questions were answered;
    `limits` are what the run was held to.
    """

    student: str
    slug: str
    marks: tuple[Mark, ...]
    repairs: tuple[str, ...]
    fingerprint: str
    values: Mapping[str, Plain] = field(default_factory=dict)
    stops: Mapping[str, str] = field(default_factory=dict)
    written: Mapping[str, bool] = field(default_factory=dict)
    limits: Mapping[str, Any] = field(default_factory=dict)

    @property
    def total(self) -> float:
        """Marks in all, of those that the machine gave."""
        return sum(m.marks for m in self.marks)


def fingerprint(work: Assignment, release: NotebookNode, handed: HandedIn) -> str:
    """Return a digest of all that a run depends on: the cells that run, numbers, notebook and other files.

    A question's text, the key, a tolerance or the time it came do not change what a run gives.
    """
    digest = hashlib.sha256()
    code = [(grade_id(c), c.source) for c in release.cells if c.cell_type == "code"]
    ids = [(q.id, q.kind) for q in work.exercise.graded]
    numbers = work.numbers_text(handed.student)
    for part in (__version__, repr(code), repr(ids), numbers, handed.trouble):
        digest.update(part.encode() + b"\0")
    digest.update(handed.data)
    _add_files(digest, handed)
    return digest.hexdigest()


def _add_files(digest: Any, handed: HandedIn) -> None:
    for name, data in sorted(handed.files().items()):
        digest.update(name.encode() + b"\0" + hashlib.sha256(data).digest())


@dataclass(frozen=True)
class Bookkeeping:
    """What marked work is kept with: the exercise, the open gradebook, the release, the late rule."""

    work: Assignment
    book: Any
    release_text: str
    rule: LateRule

    @cached_property
    def release(self) -> NotebookNode:
        """The release notebook."""
        notebook: NotebookNode = nbformat.reads(self.release_text, as_version=4)
        return notebook


def keep(desk: Bookkeeping, one: Marked, notebook: NotebookNode, *, again: bool = False) -> None:
    """Write notebook, files, gradebook and, last, the record that says that this work is done."""
    folder = desk.work.folder.autograded(one.student, one.slug)
    handed = HandedIn.of(desk.work.folder, one.student, one.slug)
    text = file_text(notebook)
    write_text(folder / f"{one.slug}.ipynb", text)
    write_text(folder / NUMBERS_FILE, desk.work.numbers_text(one.student))
    _keep_files(folder, one.slug, handed)
    marks_writer.write(
        desk.book, one.slug, one.student, one.marks, handed.when, desk.rule, again=again
    )
    record = asdict(one) | {"shown": shown(desk.release_text, handed), "notebook": _digest(text)}
    del record["student"], record["slug"]
    write_text(folder / RECORD, indented(record) + "\n")


def _keep_files(folder: Path, slug: str, handed: HandedIn) -> None:
    """Copy the other files that were handed in, and remove what is no longer among them."""
    wanted = handed.files()
    if handed.stamp:
        wanted["timestamp.txt"] = handed.stamp.encode()
    own = {f"{slug}.ipynb", NUMBERS_FILE, RECORD}
    for path in sorted(folder.rglob("*"), reverse=True):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink() or (path.is_file() and name not in own and name not in wanted):
            path.unlink()
        elif path.is_dir() and not any(w.startswith(f"{name}/") for w in wanted):
            path.rmdir()
    for name, data in wanted.items():
        write_bytes(folder / name, data)


def shown(release_text: str, handed: HandedIn) -> str:
    """Return a digest of all that marked work shows beside the run's own: text, time, files."""
    digest = hashlib.sha256(release_text.encode() + b"\0" + handed.stamp.encode())
    _add_files(digest, handed)
    return digest.hexdigest()


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def stands(desk: Bookkeeping, one: Marked, scores: Mapping[str, float | None]) -> bool:
    """Whether notebook, files, gradebook and record are what `keep` would make of `one`.

    `scores` are the machine's scores in the gradebook for this student.
    """
    handed = HandedIn.of(desk.work.folder, one.student, one.slug)
    record = _read(desk.work.folder.autograded(one.student, one.slug) / RECORD)
    return (
        record.get("shown") == shown(desk.release_text, handed)
        and ran_notebook(desk.work.folder, one.student, one.slug) is not None
        and scores == {m.question: marks_writer.auto_score(m) for m in one.marks}
    )


def recorded(folder: ClassFolder, student: str, slug: str) -> Marked | None:
    """Return what was recorded of a student's marked work, or None."""
    record = _read(folder.autograded(student, slug) / RECORD)
    try:
        return Marked(
            student,
            slug,
            tuple(Mark(**m) for m in record["marks"]),
            tuple(record["repairs"]),
            str(record["fingerprint"]),
            record["values"],
            record["stops"],
            record["written"],
            record["limits"],
        )
    except (KeyError, TypeError):
        return None


def _read(path: Path) -> dict[str, Any]:
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return record if isinstance(record, dict) else {}


def ran_notebook(folder: ClassFolder, student: str, slug: str) -> NotebookNode | None:
    """Return the notebook as it ran when it was marked last, or None where it is not there."""
    place = folder.autograded(student, slug)
    try:
        text = (place / f"{slug}.ipynb").read_text(encoding="utf-8")
        if _read(place / RECORD).get("notebook") != _digest(text):
            return None
        notebook: NotebookNode = nbformat.reads(text, as_version=4)
    except (OSError, ValueError):
        return None
    return notebook
