"""Imports what a score needs, in the background, once the first page has been answered.

nbgrader's gradebook and the converter of Markdown take most of a second to import. A page that
needs one before it is there waits for it, and gets it then.
"""

from __future__ import annotations

import threading
from functools import cache


@cache
def begin() -> None:
    """Begin, if it has not begun yet."""
    threading.Thread(target=_load, daemon=True).start()


def _load() -> None:
    from coursekit.classroom.report import safe_html

    safe_html.markdown("*warm*")
    import nbgrader.api  # noqa: F401
