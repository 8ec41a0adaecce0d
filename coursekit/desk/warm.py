"""Loads what further pages and a score need, in the background, once the first page is answered.

nbgrader's gradebook and the converter of Markdown take most of a second to import, and the first
lesson that is read has all facts of a frame worked out. A page that needs one before it is there
waits for it, and gets it then.
"""

from __future__ import annotations

import threading
from contextlib import suppress

from coursekit.classroom.bank import exercises
from coursekit.classroom.form.pages import FormClass

_begun: list[threading.Thread] = []


def begin(view: FormClass) -> None:
    """Begin with the lessons of this class's course, if it has not begun yet."""
    if not _begun:
        _begun.append(threading.Thread(target=_load, args=(view,), daemon=True))
        _begun[0].start()


def _load(view: FormClass) -> None:
    for slug in exercises.slugs(view.root):
        with suppress(OSError):
            view.sound(slug)
    from coursekit.classroom.report import safe_html

    safe_html.markdown("*warm*")
    import nbgrader.api  # noqa: F401
