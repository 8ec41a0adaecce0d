"""What to talk over when the class meets next: the slips that most students made of late.

They come from the lessons that were marked last, at most one for each question. Where too few share
a slip, a question that few got right stands in its place. The minutes are divided among them by how
many students each one cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bank.lesson_figures import Figure, figure_for
from coursekit.classroom.bank.lesson_headings import heading
from coursekit.classroom.report.item_analysis import Analysis, Item

FIRST_MINUTES = 10  # of the next session, in which they are to be talked over
MOST = 3
HARD_BELOW = 0.5  # mean share of the marks; common practice in item analysis, no source


@dataclass(frozen=True)
class Talk:
    """Something to talk over, made by `students` of `of`.

    `slip` names a usual slip and `hint` is what its author says of it; both are "" for a question
    that `students` got less than half of, without a slip that they share. `read` is the heading of
    the lesson that explains it, and `figure` what to draw on the board: the figure under that
    heading or, where `beside` is true, the nearest one on the page.
    """

    lesson: str
    question: str
    slip: str
    students: int
    of: int
    hint: str
    minutes: float
    read: str = ""
    figure: Figure | None = None
    beside: bool = False

    @property
    def count(self) -> str:
        """How many students it was, like "3 of 12"."""
        return f"{self.students} of {self.of}"


@dataclass(frozen=True)
class Marked:
    """A lesson that was marked, with its analysis and how many students' work it is about."""

    exercise: Exercise
    analysis: Analysis

    @property
    def count(self) -> int:
        """Of how many students the work is marked."""
        return max((item.marked for item in self.analysis.items), default=0)


@dataclass(frozen=True)
class _Trouble:
    """A candidate: the item, how many it cost, and the slip if they share one."""

    marked: Marked
    item: Item
    students: int
    slip: str = ""
    hint: str = ""


def talk_over(marked: Sequence[Marked], root: Path | None) -> tuple[Talk, ...]:
    """Return what to talk over of these lessons, what most students did first."""
    found = [one for lesson in marked for one in _troubles(lesson)]
    shared = [one for one in found if one.slip and one.students >= 2]
    shared.sort(key=lambda one: (-one.students, one.item.difficulty))
    hard = [
        one
        for one in found
        if not one.slip and one.students >= 2 and one.item.difficulty < HARD_BELOW
        if 2 * one.item.marked > one.marked.count  # else it waits to be read, but for the blanks
    ]
    hard.sort(key=lambda one: one.item.difficulty)
    single = [one for one in found if one.slip and one.students == 1]
    single.sort(key=lambda one: one.item.difficulty)
    chosen: list[_Trouble] = []
    for one in (*shared, *hard, *single):
        if all(one.item is not other.item for other in chosen):
            chosen.append(one)
    chosen = chosen[:MOST]
    total = sum(one.students for one in chosen)
    return tuple(_talk(one, total, root) for one in chosen)


def _troubles(lesson: Marked) -> list[_Trouble]:
    found = []
    for item in lesson.analysis.items:
        if item.slips:
            first = item.slips[0]
            found.append(_Trouble(lesson, item, first.students, first.name, first.hint))
        if item.poor:
            found.append(_Trouble(lesson, item, item.poor))
    return found


def _talk(one: _Trouble, total: int, root: Path | None) -> Talk:
    exercise = one.marked.exercise
    address = exercise.question(one.item.question).read
    figure = figure_for(root, exercise.slug, address) if root and address else None
    return Talk(
        lesson=exercise.title,
        question=one.item.title,
        slip=one.slip,
        students=one.students,
        of=one.marked.count if one.slip else one.item.marked,
        hint=one.hint,
        minutes=max(1.0, round(2 * FIRST_MINUTES * one.students / total) / 2),
        read=heading(root, exercise.slug, address) if address else "",
        figure=figure,
        beside=figure is not None and figure.heading != address,
    )
