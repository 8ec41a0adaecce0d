"""The desk's jobs, each a module with one function, which the worker calls by the module's name.

    def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts

`said` is what the page asked for, `tell(words, done, of)` says how far it is, and what comes back
is plain JSON for the page that shows what came of it. A job calls functions that can be killed at
any moment, and does nothing else.
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
    if re.fullmatch(r"[a-z_]+", name):
        try:
            return import_module(f"{__name__}.{name}").run  # type: ignore[no-any-return]
        except ModuleNotFoundError as error:
            if error.name != f"{__name__}.{name}":
                raise
    raise ValueError(f"A job must be one of the desk's; got '{name[:40]}'.")
