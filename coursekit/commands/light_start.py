"""Spares a command what costs time and is of no use to it: imports, garbage collection, threads.

Only the commands do this, before they import anything else, because a library must not change what
others import.
"""

from __future__ import annotations

import atexit
import gc
import importlib.util
import os
import sys
from importlib import import_module

# jsonschema checks kinds of text with these that no notebook has, and does without if they are not
# there. For the first alone it builds a grammar, which takes longer than the rest of the start.
_NOT_NEEDED = ("rfc3987_syntax", "rfc3986_validator", "isoduration", "webcolors")


def imports() -> None:
    """Keep the costly imports out of this process, unless they have been made already."""
    for name in _NOT_NEEDED:
        sys.modules.setdefault(name, None)  # type: ignore[arg-type]
    _bare_nbgrader()


def collections() -> None:
    """Let this process collect garbage less often, because it ends before there is much."""
    gc.set_threshold(50_000, 20, 100)
    atexit.register(gc.freeze)  # at the end all memory goes back at once


def one_thread() -> None:
    """Let linear algebra work in one thread, unless the user's own settings say otherwise.

    The kit's matrices are small, and threads that wait for each other take longer than the sums.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _bare_nbgrader() -> None:
    """Let nbgrader's modules be imported without its extensions of a web server.

    Whatever part of it is wanted, the package first imports those, and all of Jupyter's server with
    them. Only that server ever asks the package for anything but its version.
    """
    spec = importlib.util.find_spec("nbgrader")
    if "nbgrader" in sys.modules or spec is None:
        return
    package = importlib.util.module_from_spec(spec)
    sys.modules["nbgrader"] = package
    package.__version__ = import_module("nbgrader._version").__version__  # type: ignore[attr-defined]
