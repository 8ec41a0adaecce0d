"""Commands that report on a class and remind it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from coursekit.classroom.register.outside_names import shown
from coursekit.commands.common import (
    class_option,
    class_to_write_option,
    echo,
    json_option,
    json_text,
    paper_option,
    plain_errors,
    quiet_option,
    say,
    say_left,
)
from coursekit.commands.kinds import lessons_or_none_argument


@click.command()
@lessons_or_none_argument
@class_to_write_option
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder of the report. [default: DIR/reports]"
)
@click.option("--without-names", is_flag=True, help="Call the students S1, S2 … in a secret order.")
@click.option("--whole", is_flag=True, help="Make the whole report and its tables as well.")
@paper_option
@quiet_option
@json_option
@plain_errors
def report(
    slugs: tuple[str, ...],
    class_path: Path,
    out: Path | None,
    without_names: bool,
    whole: bool,
    paper: Any,
    quiet: bool,
    as_json: bool,
) -> None:
    """Make the page to read before the next session.

    One page says who owes what, what waits for you, what to talk over next time with a sketch from
    the lesson, who needs help and with what, and which readings at the bench to look at again. It
    is about the last two lessons, or about each LESSON that is named. With `--whole` there is also
    the whole report, of every lesson: marks, questions, all readings as measured minus expected,
    and all of it as CSV for a spreadsheet. With `--json` it prints the facts of both and writes
    nothing.
    """
    from coursekit import project
    from coursekit.book import sketches
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import (
        class_facts,
        class_page,
        class_report,
        report_data,
        whole_report,
    )

    folder, root, named = class_folder.load(class_path), project.root(), not without_names
    page = class_page.class_page(folder, root, slugs=slugs, names=named)
    left = page.left
    if whole or as_json:
        facts = class_facts.gather(folder, root, slugs, names=named)
        left += tuple(line for lesson in facts.lessons for line in lesson.left)
    say_left(dict.fromkeys(left))
    if as_json:
        echo(report_data.as_json(facts, page))
        return
    target = out or class_path / "reports" / ("without-names" if without_names else "")
    made = class_report.write(page, target, paper, named=named, draw=sketches.pen(root))
    if whole:
        made += whole_report.write(facts, target, paper, named=named)
    for path in made:
        if not quiet:
            say(str(path))


@click.command()
@class_option
@click.option("--all-open", is_flag=True, help="Name what is handed out and not yet due as well.")
@click.option("--ids", is_flag=True, help="Call the students by their ids.")
@json_option
@plain_errors
def remind(class_path: Path, all_open: bool, ids: bool, as_json: bool) -> None:
    """Say who owes what, as messages to paste. Nothing is sent."""
    from coursekit import project
    from coursekit.classroom.register import class_folder, names
    from coursekit.classroom.report import overview, reminders

    folder, root = class_folder.load(class_path), project.root()
    state = overview.overview(folder)
    found = reminders.owed_in(state, root, all_open=all_open)
    if not all_open and (left := reminders.without_date(state, root)):
        say_left([left])
    if as_json:
        told = {
            student: [
                {
                    "exercise": o.slug,
                    "title": o.title,
                    "due": overview.said(o.due),
                    "overdue": o.overdue,
                }
                for o in some
            ]
            for student, some in found.items()
        }
        echo(json_text(told))
    elif found:
        called = {s.id: s.id for s in folder.students} if ids else names.called(folder.students)
        echo(reminders.messages(found, {id: shown(name) for id, name in called.items()}))
    else:
        say(reminders.nothing_owed(state, all_open=all_open))
