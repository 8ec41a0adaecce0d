"""Marks several lessons of a class in one go, as the command and the desk do.

What runs notebooks is started once for all of them, and before this process imports what marking
needs, so that the two load side by side. Nothing is started where no notebook must be run.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coursekit.classroom.gradebook import read_only, reader
from coursekit.classroom.intake import first_look
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.running.warm_parent import NotIsolatedError, WarmParent

if TYPE_CHECKING:
    from coursekit.classroom.handout.assignments import Assignment

Tell = Callable[[str, str], None]
# called with a lesson and with who handed it in; within it, its marking tells who was marked how
Around = Callable[["Assignment", list[str]], AbstractContextManager[Tell]]


@dataclass(frozen=True)
class How:
    """How notebooks are run: for how many seconds a cell, by how many processes, and where.

    `scheduler` is the address of a Dask scheduler whose workers run them. Without `isolate` they
    run with the instructor's own rights.
    """

    seconds: float = 10.0
    workers: int | None = None
    scheduler: str | None = None
    isolate: bool = True


def mark_lessons(
    folder: ClassFolder, slugs: Iterable[str], root: Path, around: Around, how: How | None = None
) -> Iterator[tuple[Assignment, dict[str, str]]]:
    """Mark what was handed in for each lesson, and yield each with student → what was done.

    A lesson is yielded as soon as it is marked. Stopped at any moment, it goes on from there when
    it is called again, and ends the same.
    """
    how, slugs = how or How(), list(dict.fromkeys(slugs))
    new = first_look.new_work(folder, slugs)
    parent = WarmParent(new.libraries)
    if new.to_run and how.scheduler is None:
        with suppress(NotIsolatedError):  # what can't be run here is told with the marks
            parent.start()  # it does its imports while this process does the ones below
    from coursekit.classroom.handout.assignments import assignment
    from coursekit.classroom.marking import mark_class

    works = [assignment(folder, slug, root) for slug in slugs]
    with _place(how, parent) as place:
        if new.to_run:
            place.start()
        for work in works:
            done: dict[str, str] = {}
            with around(work, mark_class.who_handed_in(work)) as tell:

                def told(student: str, what: str, done: Any = done, tell: Tell = tell) -> None:
                    done[student] = what
                    tell(student, what)

                mark_class.mark_class(work, place=place, progress=told, new=new)
            yield work, done


def _place(how: How, parent: WarmParent) -> AbstractContextManager[Any]:
    """Return the place where notebooks run: a scheduler's workers, or else this machine."""
    from coursekit.classroom.running.limits import Limits
    from coursekit.classroom.running.places import Here

    limits = Limits(cell=how.seconds, notebook=6 * how.seconds)
    if how.scheduler is None:
        return Here(limits, how.workers, isolate=how.isolate, parent=parent)
    from coursekit.classroom.running.dask_cluster import DaskCluster

    return DaskCluster(how.scheduler, limits)


def answers_to_read(work: Assignment) -> int:
    """Return how many answers of a lesson wait for a person to read them."""
    with read_only.reading(work.folder) as book:
        held = reader.questions(book, work.slug)
    return sum(one.waits for answers in held.values() for one in answers.values())
