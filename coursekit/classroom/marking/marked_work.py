"""Keeps a student's marked work: notebook, gradebook and, last, a record of what it was made from.

The record holds the plain values that the run brought back, so that they can be marked again with a
mended key without running anything. It is written last, so work without a record that fits is done
again.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit import __version__
from coursekit.classroom.bank.json_lines import indented
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.bank.notebooks import NUMBERS_FILE, file_text, grade_id, put_back_in_order
from coursekit.classroom.gradebook import marks_writer
from coursekit.classroom.gradebook.nbgrader_settings import LateRule
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.handout.release import Release
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.register import class_questions
from coursekit.classroom.register.class_folder import RECORD, ClassFolder, write_bytes, write_text
from coursekit.classroom.running import safe_notebook
from coursekit.classroom.running.plain_value import Plain


@dataclass(frozen=True)
class Marked:
    """One student's marked work: marks, what was put back in order, and what the run brought back.

    `fingerprint` is a digest of everything that the run depends on. `values`, `stops` and `written`
    are what the marker marks: plain values, why cells stopped, and which written questions were
    answered. `limits` are those that the run was held to.
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


def fingerprint(work: Assignment, release: NotebookNode, submission: Submission) -> str:
    """Return a digest of all that a run depends on: cells that run, numbers, notebook, other files.

    A question's text, the key, a tolerance or the time at which work came are not part of it,
    because they do not change what a run gives.
    """
    digest = hashlib.sha256()
    code = [(grade_id(c), c.source) for c in release.cells if c.cell_type == "code"]
    ids = [(q.id, q.kind) for q in work.exercise.graded]
    numbers = work.numbers_text(submission.student)
    for part in (__version__, repr(code), repr(ids), numbers, submission.missing):
        digest.update(part.encode() + b"\0")
    digest.update(submission.data)
    _add_files(digest, submission)
    return digest.hexdigest()


def _add_files(digest: Any, submission: Submission) -> None:
    for name, data in sorted(submission.files().items()):
        digest.update(name.encode() + b"\0" + hashlib.sha256(data).digest())


@dataclass(frozen=True)
class MarkingSession:
    """What one marking of an exercise needs: the release, the open gradebook and the late rule."""

    work: Assignment
    book: Any
    release: Release
    rule: LateRule


def keep(
    session: MarkingSession,
    submission: Submission,
    one: Marked,
    notebook: NotebookNode,
    *,
    again: bool = False,
) -> None:
    """Write notebook, files, gradebook and, last, the record that says that this work is done.

    Before that the notebook is made safe to look at, in place.
    """
    folder = session.work.folder.autograded(one.student, one.slug)
    safe_notebook.clean(notebook, safe_notebook.texts(session.release.notebook))
    text = file_text(notebook)
    write_text(folder / f"{one.slug}.ipynb", text)
    write_text(folder / NUMBERS_FILE, session.work.numbers_text(one.student))
    _keep_files(folder, submission)
    marks_writer.write(
        session.book, one.slug, one.student, one.marks, submission.when, session.rule, again=again
    )
    record = asdict(one) | {
        "shown": shown_digest(session.release.text, submission),
        "notebook": _digest(text),
    }
    del record["student"], record["slug"]
    if changes := _changes(session.work.folder, one.slug):
        record["questions"] = changes
    write_text(folder / RECORD, indented(record) + "\n")


def _keep_files(folder: Path, submission: Submission) -> None:
    """Copy the other files that were handed in, and remove what is no longer among them."""
    wanted = {safe_notebook.file_name(n): data for n, data in submission.files().items()}
    if submission.stamp:
        wanted[STAMP_FILE] = submission.stamp.encode()
    own = {f"{submission.slug}.ipynb", NUMBERS_FILE, RECORD}
    for path in sorted(folder.rglob("*"), reverse=True):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink() or (path.is_file() and name not in own and name not in wanted):
            path.unlink()
        elif path.is_dir() and not any(w.startswith(f"{name}/") for w in wanted):
            path.rmdir()
    for name, data in wanted.items():
        write_bytes(folder / name, data)


def shown_digest(release_text: str, submission: Submission) -> str:
    """Return a digest of what marked work shows apart from the run: text, time of coming, files."""
    words = (release_text, submission.stamp, str(safe_notebook.RULES))
    digest = hashlib.sha256("\0".join(words).encode())
    _add_files(digest, submission)
    return digest.hexdigest()


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def is_up_to_date(
    session: MarkingSession,
    submission: Submission,
    one: Marked,
    scores: Mapping[str, float | None],
) -> bool:
    """Whether notebook, files, gradebook and record are what `keep` would make of `one`.

    `scores` are the machine's scores in the gradebook for this student.
    """
    folder = session.work.folder
    record = _read(folder.autograded(one.student, one.slug) / RECORD)
    return (
        record.get("shown") == shown_digest(session.release.text, submission)
        and record.get("questions", "") == _changes(folder, one.slug)
        and ran_notebook(folder, one.student, one.slug) is not None
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
    """Return the notebook as it was kept when it was last marked, or None if that has changed."""
    place = folder.autograded(student, slug)
    try:
        text = (place / f"{slug}.ipynb").read_text(encoding="utf-8")
        if _read(place / RECORD).get("notebook") != _digest(text):
            return None
        notebook: NotebookNode = nbformat.reads(text, as_version=4)
    except (OSError, ValueError):
        return None
    return notebook


def _changes(folder: ClassFolder, slug: str) -> str:
    return class_questions.digest(folder.questions.get(slug, {}))


def is_by_other_rules(folder: ClassFolder, student: str, slug: str) -> bool:
    """Whether the work was marked before the class changed a question, or changed it back."""
    if not (folder.path / class_questions.FILE).is_file():
        return False
    record = (folder.autograded(student, slug) / RECORD).read_bytes()
    found = _QUESTIONS.search(record)
    return (found[1].decode() if found else "") != _changes(folder, slug)


_QUESTIONS = re.compile(rb'^ "questions": "(\w+)"', re.MULTILINE)  # in the record's own first level


def has_newer_work(folder: ClassFolder, student: str, slug: str) -> bool:
    """Whether work lies there that is newer than what was marked, and differs from it.

    A newer date alone proves nothing, because unpacking a folder gives one too.
    """
    handed_in = folder.submitted(student, slug) / f"{slug}.ipynb"
    record = folder.autograded(student, slug) / RECORD
    if not handed_in.is_file() or handed_in.stat().st_mtime <= record.stat().st_mtime:
        return False
    try:
        text = (folder.release(slug) / f"{slug}.ipynb").read_text(encoding="utf-8")
        ran = record.with_name(handed_in.name).read_text(encoding="utf-8")
        release, marked = (nbformat.reads(t, as_version=4) for t in (text, ran))
    except (OSError, ValueError):
        return True
    there = Submission.read(folder, student, slug).notebook or release
    return [c.source for c in put_back_in_order(release, there)[0].cells] != [
        c.source for c in marked.cells
    ]
