"""The item analysis as tables and sentences for the screen."""

from __future__ import annotations

from math import isnan

from rich.console import RenderableType
from rich.table import Table

from coursekit.classroom.report import item_statistics
from coursekit.classroom.report.item_analysis import Analysis, Item

WANTED = 0.8  # reliability that the last sentence aims at


def shown(found: Analysis) -> list[RenderableType]:
    """Return what the command shows: questions, how far the sum can be trusted, who needs help."""
    return [_questions(found), _trust(found), *_help(found)]


def _questions(found: Analysis) -> Table:
    table = Table(title=f"{found.title}: questions", title_justify="left")
    for name in (
        "question",
        "of",
        "marked",
        "difficulty\n(mean share)",
        "discrimination\n(with the rest)",
        "blank",
    ):
        first = name == "question"  # never cut short, because rows are found by it
        table.add_column(name, justify="left" if first else "right", no_wrap=first)
    table.add_column("commonest slips", overflow="fold")
    for item in found.items:
        slips = "\n".join(f"{s.students} × {s.name}" for s in item.slips)
        table.add_row(
            item.question,
            f"{item.out_of:g}",
            str(item.marked),
            "–" if isnan(item.difficulty) else f"{item.difficulty:.0%}",
            _rest(item),
            str(item.blank) if item.blank else "",
            slips,
        )
    return table


def _rest(item: Item) -> str:
    """Return the discrimination, with a ! for a question that goes against the rest."""
    if isnan(item.discrimination):
        return "–"
    warning = " !" if item.discrimination < 0 else ""
    return f"{item.discrimination:+.2f}{warning}"


def _trust(found: Analysis) -> str:
    """Return in words how far the sum of marks can be trusted."""
    lines = [f"Handed in: {found.handed_in}. Missing: {', '.join(found.missing) or 'nobody'}."]
    if found.waiting:
        lines.append(f"Waiting for you, and left out below: {', '.join(found.waiting)}.")
    alpha = found.alpha
    if isnan(alpha.value):
        lines.append(
            "How far the sum can be trusted cannot be said: that takes two students and two "
            "questions with different marks."
        )
        return "\n".join(lines)
    lines.append(
        f"Cronbach's alpha of the sum: {alpha.value:.2f} ({alpha.level:.0%} interval "
        f"{alpha.low:.2f} to {alpha.high:.2f})."
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


def _help(found: Analysis) -> list[RenderableType]:
    if not found.needs:
        return ["Nobody who handed in is below the line."] if found.handed_in else []
    table = Table(title="Who needs help before the next session", title_justify="left")
    table.add_column("student")
    table.add_column("share", justify="right")
    table.add_column("why", overflow="fold")
    for need in found.needs:
        table.add_row(need.student, f"{need.share:.0%}", need.words())
    return [table]
