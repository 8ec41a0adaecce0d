"""Whether newer work lies there than was marked, so that the marks are those of older work."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register.class_folder import RECORD, ClassFolder


def is_there(folder: ClassFolder, slug: str, student: str) -> bool:
    """Whether a student handed in other work after the marking of `slug`."""
    record = folder.autograded(student, slug) / RECORD
    notebook = folder.submitted(student, slug) / f"{slug}.ipynb"
    return record.is_file() and _is_newer(notebook, record) and _differs(folder, slug, student)


def _is_newer(notebook: Path, record: Path) -> bool:
    return notebook.is_file() and notebook.stat().st_mtime > record.stat().st_mtime


def _differs(folder: ClassFolder, slug: str, student: str) -> bool:
    """Whether the work differs from what was marked; a newer date may come from unpacking alone."""
    import nbformat

    from coursekit.classroom.bank.notebooks import put_back_in_order
    from coursekit.classroom.intake.submission import Submission

    try:
        text = (folder.release(slug) / f"{slug}.ipynb").read_text(encoding="utf-8")
        ran = (folder.autograded(student, slug) / f"{slug}.ipynb").read_text(encoding="utf-8")
        release, marked = (nbformat.reads(t, as_version=4) for t in (text, ran))
    except (OSError, ValueError):
        return True
    there = Submission.read(folder, student, slug).notebook or release
    return [c.source for c in put_back_in_order(release, there)[0].cells] != [
        c.source for c in marked.cells
    ]
