"""The desk's jobs, each a module with one function, which the worker calls by the module's name.

    def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts

`said` is what the page asked for, `tell(words, done, of)` says how far it is, and what comes back
is plain JSON for the page that shows what came of it. A job calls functions that can be killed at
any moment, and does nothing else.

Before a job the class is kept as it is, so that the job can be undone. A module whose job changes
nothing, or what must not come back, says `KEEP_BEFORE = False`; one that takes in readings or
answers on paper says `RECORDS = True`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol

from coursekit.classroom.register.class_folder import ClassFolder

Said = Mapping[str, Any]
Facts = dict[str, Any]
Tell = Callable[[str, int, int], None]


class Task(Protocol):
    """A job's function."""

    def __call__(self, folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
        """Do the work, and return what came of it."""
        raise NotImplementedError


def task(name: str) -> Task:
    """Return the job's function; ValueError if there is no such job."""
    run: Task = _module(name).run
    return run


def keep_before(name: str, folder: ClassFolder, say: str) -> None:
    """Keep the class as it is before the job of this name, if it can be undone."""
    from coursekit.classroom.register import undo

    module = _module(name)
    if getattr(module, "KEEP_BEFORE", True):
        undo.keep_before(folder, say, records=getattr(module, "RECORDS", False))


def _module(name: str) -> Any:
    if re.fullmatch(r"[a-z_]+", name):
        try:
            return import_module(f"{__name__}.{name}")
        except ModuleNotFoundError as error:
            if error.name != f"{__name__}.{name}":
                raise
    raise ValueError(f"A job must be one of the desk's; got '{name[:40]}'.")
