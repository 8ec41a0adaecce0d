"""nbgrader's exchange: a folder on a shared machine where students fetch work and submit it.

A class uses one if its `class.toml` says so:

    [exchange]
    root = "/srv/nbgrader/exchange"
    course = "evening"

Everyone who can log in there reads the same release, so it holds each student's numbers by id.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coursekit.classroom.gradebook.nbgrader_settings import nbgrader_config
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassError, write_text

_READ_ME = """\
Copy numbers/<your user name>.json to numbers.json beside the notebook, then open the notebook.
"""


def is_there(work: Assignment) -> bool:
    """Whether the class's settings name an exchange whose folder is on this machine."""
    named = work.folder.exchange
    return named is not None and Path(named[0]).is_dir()


def put_release(work: Assignment) -> Path:
    """Put the release, with every student's numbers, into the exchange; return where.

    Raises ClassError with nbgrader's own words if nbgrader does not accept it.
    """
    assert work.folder.exchange
    root, course = work.folder.exchange
    folder = work.folder.release(work.slug)
    write_text(folder / "READ-ME-FIRST.txt", _READ_ME)
    for student in work.folder.students:
        write_text(folder / "numbers" / f"{student.id}.json", work.numbers_text(student.id))
    if sys.platform == "win32":
        raise ClassError(
            "nbgrader's exchange must be on Linux or macOS; this is Windows. Use the zips."
        )
    from nbgrader.apps import NbGraderAPI

    config = nbgrader_config(work.folder)
    config.Exchange.root = root
    config.CourseDirectory.course_id = course
    config.ExchangeReleaseAssignment.force = True  # an earlier release may be replaced
    with _silent("traitlets"):  # nbgrader would print what it also returns
        result = NbGraderAPI(config=config).release_assignment(work.slug)
    target = Path(root) / course / "outbound" / work.slug
    if not result["success"]:
        said = str(result.get("log") or result.get("error") or "nothing").strip().splitlines()[-1]
        raise ClassError(
            f"{root}: the exchange must take the release; nbgrader says: {said} Look at its "
            "rights, or take the part [exchange] out of class.toml."
        )
    return target


@contextmanager
def _silent(name: str) -> Iterator[None]:
    """Keep a logger off the screen."""
    logger = logging.getLogger(name)
    before, logger.propagate = logger.propagate, False
    handler = logging.NullHandler()
    logger.addHandler(handler)
    try:
        yield
    finally:
        logger.removeHandler(handler)
        logger.propagate = before
