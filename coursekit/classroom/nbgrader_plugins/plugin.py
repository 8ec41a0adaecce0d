"""The kit's runner and feedback pages as plug-ins of nbgrader's own commands.

A class folder's settings name them, so `nbgrader autograde`, `nbgrader generate_feedback` and
formgrader's buttons do in the class folder what `coursekit mark` and `coursekit feedback` do.
"""

from __future__ import annotations

import weakref
from pathlib import Path
from typing import Any

import nbformat
from nbconvert.exporters import Exporter, NotebookExporter
from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode
from traitlets import Bool, Float

from coursekit.classroom.bank.notebooks import put_back_in_order
from coursekit.classroom.gradebook import opener
from coursekit.classroom.gradebook.nbgrader_settings import course_root, late_rule
from coursekit.classroom.handout.assignments import Assignment, assignment
from coursekit.classroom.handout.release import Release
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.intake.submission import Submission, parsed
from coursekit.classroom.marking.mark_class import mark_one
from coursekit.classroom.marking.marked_work import MarkingSession, keep
from coursekit.classroom.register import class_exercise, class_folder, lock_and_backup
from coursekit.classroom.report import feedback
from coursekit.classroom.running import safe_notebook
from coursekit.classroom.running.runner import Limits, Warm

Resources = dict[str, Any]


class Reader(NotebookExporter):
    """Reads what was handed in; a file that is not a notebook becomes one without cells."""

    def from_filename(self, filename: str, resources: Any = None, **kw: Any) -> Any:
        """Return the notebook as text, and the resources, as nbconvert's own method does."""
        data = read_regular(Path(filename), LARGEST_NOTEBOOK)
        notebook = (parsed(data) if data else None) or nbformat.v4.new_notebook()
        return self.from_notebook_node(notebook, resources, **kw)  # type: ignore[no-untyped-call]


class _InClass(Preprocessor):
    """A preprocessor that knows of which class, exercise and student the notebook is."""

    enabled = Bool(True, help="Whether this step is taken.").tag(config=True)

    def preprocess(self, nb: NotebookNode, resources: Resources) -> tuple[NotebookNode, Resources]:
        """Return the notebook as this step leaves it."""
        about = resources["nbgrader"]
        folder = class_folder.load(_class_path(self))
        work = _opened(self.parent, folder, about["assignment"])
        return self.step(work, nb, about["student"]), resources

    def step(self, work: Assignment, notebook: NotebookNode, student: str) -> NotebookNode:
        """Return the notebook as this step leaves it."""
        raise NotImplementedError


def _class_path(part: Any) -> Path:
    """Return the class folder: the course directory of the nbgrader command that has `part`."""
    while part is not None:
        if getattr(part, "coursedir", None) is not None:
            return Path(part.coursedir.root)
        part = part.parent
    return Path.cwd()  # nbgrader works in the course's folder when it converts


_open: weakref.WeakKeyDictionary[Any, dict[str, Assignment]] = weakref.WeakKeyDictionary()
_warm: weakref.WeakKeyDictionary[Any, Warm] = weakref.WeakKeyDictionary()


def _opened(exporter: Any, folder: class_folder.ClassFolder, slug: str) -> Assignment:
    """Return the exercise in this class, opened once for each command."""
    opened = _open.setdefault(exporter, {})
    if slug not in opened:
        opened[slug] = assignment(folder, slug, course_root(folder))
    return opened[slug]


def _warm_for(exporter: Any, limits: Limits, isolate: bool) -> Warm:
    """Return the warm process of one command; it ends with the command."""
    if exporter not in _warm:
        _warm[exporter] = warm = Warm(limits, isolate=isolate)
        weakref.finalize(exporter, warm.close)
    return _warm[exporter]


class PutInOrder(_InClass):
    """Puts a student's copy back in order before it is run."""

    def step(self, work: Assignment, notebook: NotebookNode, student: str) -> NotebookNode:
        """Return the notebook with the release's own cells and the student's answers."""
        release = _release(work).notebook
        ordered = put_back_in_order(release, notebook)[0]
        # nbgrader writes this notebook to the disk before it runs, so it must be safe already
        safe_notebook.clean(ordered, safe_notebook.texts(release))
        return ordered


class RunAndMark(_InClass):
    """Runs and marks handed-in work as `coursekit mark` does, and keeps it the same way."""

    seconds = Float(10.0, help="Seconds that a cell may take.").tag(config=True)
    isolate = Bool(True, help="Whether students' code is caged; without, it has your rights.").tag(
        config=True
    )

    def step(self, work: Assignment, notebook: NotebookNode, student: str) -> NotebookNode:
        """Return the notebook as it ran, with each mark in its cell."""
        known = work.folder.student(student)
        limits = Limits(cell=self.seconds, notebook=6 * self.seconds)
        with lock_and_backup.only_writer(work.folder):
            lock_and_backup.backup(work.folder)
            with opener.gradebook(work.folder) as book:
                opener.enrol(book, [known])
                session = MarkingSession(work, book, _release(work), late_rule(work.folder))
                submission = Submission.read(work.folder, student, work.slug)
                warm = _warm_for(self.parent, limits, self.isolate)
                one, ran = mark_one(work, session.release.notebook, submission, warm)
                keep(session, submission, one, ran)
        return ran


def _release(work: Assignment) -> Release:
    """Return the release as it is on the disk; nbgrader has looked it up in its gradebook."""
    path = work.folder.release(work.slug) / f"{work.slug}.ipynb"
    return Release(path.read_text(encoding="utf-8"))


class Feedback(Exporter):
    """Makes this kit's feedback page of a marked notebook."""

    file_extension = ".html"

    def from_filename(self, filename: str, resources: Any = None, **kw: Any) -> Any:
        """Return the page, and the resources with what the page needs beside it."""
        about = resources["nbgrader"]
        folder = class_folder.load(_class_path(self))
        exercise = class_exercise.load(folder, about["assignment"], course_root(folder))
        page = feedback.page(folder, exercise, about["student"])
        resources["output_extension"] = self.file_extension
        if feedback.has_maths(page):
            resources["outputs"] = {feedback.MATHJAX: feedback.mathjax_source().read_bytes()}
        return page, resources
