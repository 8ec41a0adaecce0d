"""Feedback pages, made by nbgrader from the marked notebooks."""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Callable
from pathlib import Path

from coursekit.classroom.classes import ClassError, ClassFolder, write_text
from coursekit.classroom.gradebook import gradebook
from coursekit.classroom.settings import RECORD, nbgrader_config

Progress = Callable[[str, str], None]
_STAMP = ".made"


def give_feedback(folder: ClassFolder, slug: str, progress: Progress | None = None) -> list[Path]:
    """Return the feedback page of every student whose work on `slug` is marked.

    A page is made again only where notebook, marks or comments have changed since.
    """
    pages = []
    for student in folder.students:
        if not (folder.autograded(student.id, slug) / RECORD).is_file():
            continue
        page = folder.feedback(student.id, slug) / f"{slug}.html"
        state = _state(folder, student.id, slug)
        stamp = folder.path / _STAMP / "feedback" / f"{slug}.{student.id}"
        fresh = page.is_file() and stamp.is_file() and stamp.read_text() == state
        if not fresh:
            _make(folder, slug, student.id, page)
            write_text(stamp, state)
        pages.append(page)
        if progress:
            progress(student.id, "unchanged" if fresh else "made")
    return pages


def _state(folder: ClassFolder, student: str, slug: str) -> str:
    """Return a digest of all that a feedback page shows."""
    digest = hashlib.sha256()
    digest.update((folder.autograded(student, slug) / f"{slug}.ipynb").read_bytes())
    with gradebook(folder) as book:
        submission = book.find_submission(slug, student)
        digest.update(json.dumps([n.to_dict() for n in submission.notebooks], default=str).encode())
        for notebook in submission.notebooks:
            digest.update(repr(notebook.late_submission_penalty).encode())
            for grade in sorted(notebook.grades, key=lambda g: str(g.name)):
                digest.update(repr((grade.name, grade.score)).encode())
            for comment in sorted(notebook.comments, key=lambda c: str(c.name)):
                digest.update(repr((comment.name, comment.comment)).encode())
    return digest.hexdigest()


def _make(folder: ClassFolder, slug: str, student: str, page: Path) -> None:
    from nbgrader.apps import NbGraderAPI

    api = NbGraderAPI(config=nbgrader_config(folder))
    api.log = logging.getLogger("coursekit.nbgrader")
    api.log.propagate = False
    api.log.handlers = [logging.NullHandler()]
    result = api.generate_feedback(slug, student, force=True)
    if not result["success"] or not page.is_file():
        detail = str(result.get("error") or "nothing").strip().splitlines()[-1]
        raise ClassError(
            f"{page}: nbgrader must make the feedback of {student}; it says: {detail}. Mark the work "
            "again, then ask for feedback again."
        )
