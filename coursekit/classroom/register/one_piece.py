"""A failure stays with one piece: every step that goes over a class's work goes over it in here.

Whatever goes wrong with one notebook, archive or student becomes a sentence about that one, and
the rest of the class goes on. What concerns the whole class, such as the lock, the secret or a
machine that can't run anything, is done outside of it and ends the step.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from coursekit.classroom.register.outside_names import shown

LEFT = "left: "  # how a step's word about a student begins whose work could not be done


@contextmanager
def one_piece(tell: Callable[[str], object]) -> Iterator[None]:
    """Turn any failure about one piece of work into a sentence that `tell` is told."""
    try:
        yield
    except Exception as error:  # whatever one piece brings, the class goes on
        logging.getLogger("coursekit.one_piece").debug("One piece failed", exc_info=True)
        tell(sentence(error))


def left_line(whose: str, slug: str, why: str) -> str:
    """Return the line that says whose work was left out of a step, on which exercise, and why."""
    return f"LEFT: {whose} {slug}. {why}"


def sentence(error: Exception) -> str:
    """Return what went wrong as a sentence."""
    if type(error).__module__.startswith("coursekit."):  # a message that is written to be read
        return shown(str(error))
    words = shown(str(error))[:200]
    return f"It could not be handled ({type(error).__name__}{': ' if words else ''}{words})."
