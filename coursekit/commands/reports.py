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


@click.command()
@click.argument("slugs", metavar="[LESSON]...", nargs=-1)
@class_to_write_option
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder of the report. [default: DIR/reports]"
)
@click.option("--without-names", is_flag=True, help="Call the students S1, S2 … in a secret order.")
@paper_option
@quiet_option
@json_option
@plain_errors
def report(
    slugs: tuple[str, ...],
    class_path: Path,
    out: Path | None,
    without_names: bool,
    paper: Any,
    quiet: bool,
    as_json: bool,
) -> None:
    """Report on the class, and what to talk over next time.

    It begins with what to talk over in the first ten minutes of the next session. Then come marks,
    questions, the commonest slips, the bench, and each student's progress. It makes a page, a PDF,
    and tables of marks, questions and bench as CSV for a spreadsheet. Without LESSON it covers
    everything that was handed out. With `--json` it prints the facts and writes nothing.
    """
    from coursekit import project
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import class_facts, class_report, report_data

    folder = class_folder.load(class_path)
    facts = class_facts.gather(folder, project.root(), slugs, names=not without_names)
    say_left(line for lesson in facts.lessons for line in lesson.left)
    if as_json:
        echo(report_data.as_json(facts))
        return
    target = out or class_path / "reports" / ("without-names" if without_names else "")
    for path in class_report.write(facts, target, paper, names=not without_names):
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
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import overview, reminders

    folder = class_folder.load(class_path)
    found = reminders.owed(folder, project.root(), all_open=all_open)
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
        names = {s.id: s.id if ids else shown(s.name) for s in folder.students}
        echo(reminders.messages(found, names))
    elif not all_open and not any(lesson.due for lesson in overview.overview(folder).lessons):
        say("No lesson has a due date. `coursekit class due` sets one.")
    else:
        say("Nobody owes anything." if all_open else "Nothing is overdue.")
