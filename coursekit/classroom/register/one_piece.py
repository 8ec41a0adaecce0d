"""Keeps a failure to one piece of work: whoever goes through a class's work wraps each piece in it.

Whatever goes wrong with one notebook, archive or student becomes a sentence about that one, and
the work goes on with the rest of the class. What concerns the whole class, such as the lock, the
secret or a machine that can't run anything, is done outside `one_piece`, so a failure there ends
the command.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from coursekit.classroom.register.outside_names import shown

LEFT = "left: "  # begins what is said of a student whose work was left out


@contextmanager
def one_piece(tell: Callable[[str], object]) -> Iterator[None]:
    """Turn any failure with one piece of work into a sentence, and call `tell` with it."""
    try:
        yield
    except Exception as error:  # whatever goes wrong, the rest of the class goes on
        logging.getLogger("coursekit.one_piece").debug("One piece failed", exc_info=True)
        tell(sentence(error))


def left_line(whose: str, slug: str, why: str) -> str:
    """Return the line that says whose work was left out of a step, on which exercise, and why."""
    return f"LEFT: {whose} {slug}. {why}"


def sentence(error: Exception) -> str:
    """Return what went wrong as a sentence."""
    if type(error).__module__.startswith("coursekit."):  # our own messages are whole sentences
        return shown(str(error))
    words = shown(str(error))[:200]
    return f"It could not be handled ({type(error).__name__}{': ' if words else ''}{words})."
