"""Makes commands start faster: without costly imports, with less garbage collection, in one thread.

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

# With these jsonschema checks kinds of text that no notebook has, and it does without them if they
# are missing. For the first alone it builds a grammar, which takes longer than the rest of a start.
_NOT_NEEDED = ("rfc3987_syntax", "rfc3986_validator", "isoduration", "webcolors")


def imports() -> None:
    """Keep the costly imports out of this process, unless they have been made already."""
    for name in _NOT_NEEDED:
        sys.modules.setdefault(name, None)  # type: ignore[arg-type]
    _bare_nbgrader()


def collections() -> None:
    """Make this process collect garbage less often, because it ends before there is much."""
    gc.set_threshold(50_000, 20, 100)
    atexit.register(gc.freeze)  # a last collection would be wasted, because all memory goes anyway


def one_thread() -> None:
    """Make linear algebra use one thread, unless the user's own settings say otherwise.

    The kit's matrices are small, so threads would wait for each other longer than they calculate.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _bare_nbgrader() -> None:
    """Make nbgrader's modules importable without its extensions for Jupyter's server.

    Whatever part of nbgrader is wanted, its `__init__` first imports those extensions, and with
    them all of Jupyter's server. Only that server needs anything from `__init__` but the version.
    """
    spec = importlib.util.find_spec("nbgrader")
    if "nbgrader" in sys.modules or spec is None:
        return
    package = importlib.util.module_from_spec(spec)
    sys.modules["nbgrader"] = package
    package.__version__ = import_module("nbgrader._version").__version__  # type: ignore[attr-defined]
