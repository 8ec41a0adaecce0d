"""Makes all that students get for a lesson, as the command and the desk do.

It stands in this room because the answer page is the last thing that is made before all of it is
packed. Stopped at any moment, it makes the same when it is called again.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.answer_page import pages as answer_pages
from coursekit.classroom.handout import assignments, nbgrader_exchange, zips
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.handout.zips import MadeZips
from coursekit.sheets import page

Step = Callable[[str], None]
# called with what is made and for how many; within it, each student is told when theirs is
Around = Callable[[str, int], AbstractContextManager[Step]]


@dataclass(frozen=True)
class HandedOut:
    """What was made of a lesson: zips, the book's pages in them, the place in the exchange."""

    work: Assignment
    zips: MadeZips
    pages: Path | None
    exchange: Path | None


def hand_out_lesson(
    work: Assignment,
    pages: Callable[[], Path | None],
    around: Around,
    *,
    paper: page.Paper = "a4",
    stick: bool = True,
    students: tuple[str, ...] = (),
) -> HandedOut:
    """Make what each student of the class gets for a lesson, or these `students` alone.

    `pages` gives the folder of the built book's pages, or None to leave them out; it is called when
    they are needed. The file for a stick holds the whole class, so it is made for the whole class
    alone.
    """
    some = assignments.for_students(work, students) if students else work
    count = len(some.folder.students)
    with around("Notebooks, own numbers", count) as step:
        assignments.hand_out(some, step)
    found = pages()
    answer_pages.make(some, lesson=found is not None)
    with around("Zip files", count) as step:
        made = zips.make(some, found, paper, stick and not students, step)
    exchange = nbgrader_exchange
    released = exchange.put_release(work) if exchange.is_there(work) else None
    return HandedOut(some, made, found, released)
