"""Settings that make a class folder an nbgrader course: plug-ins, late penalties, its course.

A class folder's `nbgrader_config.py` calls `configure`. That is why nbgrader's own commands and
formgrader run handed-in work with this kit's runner and make this kit's feedback pages.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from coursekit import project
from coursekit.classroom.bank.notebooks import NUMBERS_FILE, TEXT_STUB
from coursekit.classroom.register.class_folder import (
    RECORD,
    ClassError,
    ClassFolder,
    load,
    write_text,
)

NOT_COPIED = (
    ".ipynb_checkpoints",
    "*.pyc",
    "__pycache__",
    "feedback",
    NUMBERS_FILE,
    RECORD,
    ".*.part",
)
FORMGRADER_PAGE = Path(__file__).with_name("formgrader_page.html.j2")


def configure(config: Any, file: str | Path | None = None) -> Any:
    """Return `config`, an nbgrader configuration, with the settings that a class folder needs.

    `file` is the `nbgrader_config.py` that calls this; the folder it lies in is the course.
    """
    config.CourseDirectory.ignore = list(NOT_COPIED)
    config.ClearSolutions.code_stub = {"python": ""}
    config.ClearSolutions.text_stub = TEXT_STUB
    config.OverwriteCells.add_missing_cells = True
    config.Autograde.exporter_class = "coursekit.classroom.nbgrader_plugins.plugin.Reader"
    config.Autograde.sanitize_preprocessors = [
        "coursekit.classroom.nbgrader_plugins.plugin.PutInOrder"
    ]
    config.Autograde.autograde_preprocessors = [
        "coursekit.classroom.nbgrader_plugins.plugin.RunAndMark"
    ]
    config.GenerateFeedback.exporter_class = "coursekit.classroom.nbgrader_plugins.plugin.Feedback"
    config.GenerateFeedback.preprocessors = []
    # the page on which formgrader shows a student's work
    config.HTMLExporter.template_file = str(FORMGRADER_PAGE)
    config.HTMLExporter.filters = {"page_policy": "coursekit.classroom.running.page_policy.policy"}
    if file is not None:
        folder = load(Path(file).resolve().parent)
        config.CourseDirectory.root = str(folder.path)
        config.CourseDirectory.db_url = folder.db_url
        if folder.late:
            config.AssignLatePenalties.plugin_class = (
                "coursekit.classroom.nbgrader_plugins.late.PerDay"
            )
            config.PerDay.per_day = folder.late.per_day
            config.PerDay.most = folder.late.most
            config.PerDay.grace_hours = folder.late.grace_hours
    return config


def nbgrader_config(folder: ClassFolder) -> Any:
    """Return the configuration that nbgrader finds in `folder`, with the instructor's own lines.

    Raises ClassError if `nbgrader_config.py` does not run.
    """
    from traitlets.config import Config
    from traitlets.config.loader import PyFileConfigLoader

    config = Config()
    file = folder.path.resolve() / "nbgrader_config.py"
    if file.is_file():
        try:
            with _importable(folder.path):
                config = PyFileConfigLoader(file.name, path=str(file.parent)).load_config()
        except Exception as error:
            raise ClassError(
                f"{file}: the settings must run; got {type(error).__name__}: {error}. Mend that "
                "line."
            ) from error
    config.CourseDirectory.root = str(folder.path.resolve())
    config.CourseDirectory.db_url = folder.db_url
    return config


@contextmanager
def _importable(folder: Path) -> Iterator[None]:
    """Let modules beside `nbgrader_config.py` be imported, as nbgrader does."""
    place = str(folder.resolve())
    sys.path.insert(0, place)
    try:
        yield
    finally:
        sys.path.remove(place)


LateRule = Callable[[], Any]


def late_rule(folder: ClassFolder) -> LateRule:
    """Return a function that gives nbgrader's preprocessor for late penalties, set for this class.

    The preprocessor is made at the first call, because most markings have no late work. If the
    class has a plug-in or a setting of its own it is made at once, so that ClassError is raised
    here if the plug-in can't be found.
    """
    config = nbgrader_config(folder)
    rule = cache(lambda: _made(folder, config))
    if {"AssignLatePenalties", "LateSubmissionPlugin"} & set(config):
        rule()
    return rule


def _made(folder: ClassFolder, config: Any) -> Any:
    from nbgrader.preprocessors import AssignLatePenalties

    try:
        with _importable(folder.path):
            rule = AssignLatePenalties(config=config)
            rule.init_plugin()
    except Exception as error:
        raise ClassError(
            f"{folder.path / 'nbgrader_config.py'}: AssignLatePenalties.plugin_class must name a "
            f"class that nbgrader can load; got {error}. Mend the name, or put its file beside the "
            "settings."
        ) from error
    return rule


def course_root(folder: ClassFolder) -> Path:
    """Return the course that this class is taught from: the folder with course/ and exercises/.

    The environment variable COURSEKIT_ROOT goes first, then the folders above the class folder,
    then the course from which the class was last handed something out. Raises ClassError if none of
    these leads to a course.
    """
    tries = [os.environ.get("COURSEKIT_ROOT"), folder.path]
    note = _note(folder)
    if note.is_file():
        tries.append(note.read_text(encoding="utf-8").strip())
    for start in tries:
        if start:
            try:
                return project.root(start)
            except FileNotFoundError:
                continue
    raise ClassError(
        f"{folder.path}: the class must know the course it is taught from; none lies above it, and "
        "none is noted in it. Name the course's folder in COURSEKIT_ROOT, or run `coursekit "
        "hand-out` once from there."
    )


def note_course(folder: ClassFolder, root: Path) -> None:
    """Note in the class folder which course it is taught from, for nbgrader's own commands."""
    write_text(_note(folder), f"{root.resolve()}\n")


def _note(folder: ClassFolder) -> Path:
    return folder.made / "course"
