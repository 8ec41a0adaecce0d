"""Leaves out costly imports that other packages make and that this kit has no use for.

For commands alone, before they import anything else: a library must not change what others import.
"""

from __future__ import annotations

import importlib.util
import sys
from importlib import import_module


def imports() -> None:
    """Leave the costly imports out of this process, as far as they are not made yet."""
    # jsonschema would build a grammar for international addresses, which takes longer than all else at
    # start and which no notebook needs; it does without where the package is not there
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
    _bare_nbgrader()


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
