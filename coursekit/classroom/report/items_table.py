"""The item analysis as tables and sentences for the screen.

Questions go by their titles, students by their names and slips by what their hints say first. All
of it fits a screen of 80 columns.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import isnan

from rich import box
from rich.console import RenderableType
from rich.table import Table

from coursekit.classroom.report import item_statistics
from coursekit.classroom.report.item_analysis import Analysis, Item, SlipCount

WANTED = 0.8  # reliability that the last sentence aims at


def shown(found: Analysis, called: Mapping[str, str]) -> list[RenderableType]:
    """Return what the command shows: questions, slips, what the sum is worth, who needs help.

    `called` says what to call each student: id → name.
    """
    return [_questions(found), *_slips(found), _trust(found, called), *_help(found, called)]


def _table(title: str) -> Table:
    return Table(title=title, title_justify="left", box=box.SIMPLE_HEAD, padding=0, pad_edge=False)


def _questions(found: Analysis) -> Table:
    table = _table(f"{found.title}: questions")
    table.add_column("question", overflow="fold")
    for heading in (
        "marks",
        "papers\nmarked",
        "marks\nearned",
        "agrees with\nthe rest",
        "left\nblank",
    ):
        table.add_column(heading, justify="right", no_wrap=True)
    for item in found.items:
        table.add_row(
            item.title,
            f"{item.out_of:g}",
            str(item.marked),
            "–" if isnan(item.difficulty) else f"{item.difficulty:.0%}",
            _rest(item),
            str(item.blank) if item.blank else "",
        )
    return table


def _rest(item: Item) -> str:
    """Return the discrimination, with a ! for a question that goes against the rest."""
    if isnan(item.discrimination):
        return "–"
    warning = " !" if item.discrimination < 0 else ""
    return f"{item.discrimination:+.2f}{warning}"


def _slips(found: Analysis) -> list[RenderableType]:
    """Return the commonest slips of each question, or nothing if nobody made one."""
    table = _table("The commonest slips")
    table.add_column("question", overflow="fold", max_width=24)
    table.add_column("made\nby", justify="right", no_wrap=True)
    table.add_column("what it was", overflow="fold")
    for item in found.items:
        for place, slip in enumerate(item.slips):
            table.add_row("" if place else item.title, str(slip.students), _in_words(slip))
    return [table] if table.row_count else []


def _in_words(slip: SlipCount) -> str:
    """Return the first sentence of a slip's hint, or its name if it has no hint."""
    hint = " ".join(slip.hint.split())
    return re.split(r"(?<=[.!?]) ", hint, maxsplit=1)[0] or slip.name.replace("-", " ")


def _trust(found: Analysis, called: Mapping[str, str]) -> str:
    """Return in words how far the sum of marks can be trusted."""
    missing = ", ".join(called.get(id, id) for id in found.missing) or "nobody"
    lines = [f"Handed in: {found.handed_in}. Missing: {missing}."]
    if found.waiting:
        titles = ", ".join(f"“{found.titles[q]}”" for q in found.waiting)
        lines.append(f"Waiting for you, and left out below: {titles}.")
    alpha = found.alpha
    if isnan(alpha.value):
        lines.append(
            "How far the sum can be trusted cannot be said: that takes two students and two "
            "questions with different marks."
        )
        return "\n".join(lines)
    lines.append(
        f"How far the sum of marks can be trusted: {alpha.value:.2f} of 1 (Cronbach's alpha, "
        f"{alpha.level:.0%} interval {alpha.low:.2f} to {alpha.high:.2f})."
    )
    if 0 < alpha.value < WANTED:
        factor = item_statistics.factor_needed(alpha.value, WANTED)
        lines.append(f"For {WANTED} it would take about {factor:.1f} times as many such questions.")
    if any(item.discrimination < 0 for item in found.items):
        lines.append(
            "A question marked ! was done worse by those who did well elsewhere: look at its words "
            "and its key."
        )
    return "\n".join(lines)


def _help(found: Analysis, called: Mapping[str, str]) -> list[RenderableType]:
    if not found.needs:
        return ["Nobody who handed in is below the line."] if found.handed_in else []
    table = _table("Who needs help before the next session")
    table.add_column("student", overflow="fold", max_width=24)
    table.add_column("marks", justify="right", no_wrap=True)
    table.add_column("why", overflow="fold")
    for need in found.needs:
        table.add_row(
            called.get(need.student, need.student), f"{need.share:.0%}", need.words(found.titles)
        )
    return [table]
