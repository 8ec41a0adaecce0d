"""Leaves out costly imports that other packages make and that this kit has no use for.

For commands alone, before they import anything else: a library must not change what others import.
"""

from __future__ import annotations

import atexit
import gc
import importlib.util
import sys
from importlib import import_module

# What jsonschema checks kinds of text with that no notebook has; it does without where one is not there.
# For the first alone it builds a grammar, which takes longer than all else at start.
_NOT_NEEDED = ("rfc3987_syntax", "rfc3986_validator", "isoduration", "webcolors")


def imports() -> None:
    """Leave the costly imports out of this process, as far as they are not made yet."""
    for name in _NOT_NEEDED:
        sys.modules.setdefault(name, None)  # type: ignore[arg-type]
    _bare_nbgrader()


def collections() -> None:
    """Let this process look for unused cycles of objects less often: it ends before there are many."""
    gc.set_threshold(50_000, 20, 100)
    atexit.register(gc.freeze)  # at the end all memory goes back at once


def _bare_nbgrader() -> None:
    """Let nbgrader's modules be imported without the extensions of a web server.

    The package itself imports those first, and with them all of Jupyter's server, whatever part of it
    is asked for. Only that server asks the package for anything but its version.
    """
    spec = importlib.util.find_spec("nbgrader")
    if "nbgrader" in sys.modules or spec is None:
        return
    package = importlib.util.module_from_spec(spec)
    sys.modules["nbgrader"] = package
    package.__version__ = import_module("nbgrader._version").__version__  # type: ignore[attr-defined]
