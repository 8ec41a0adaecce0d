"""Commands that open a class, show it, say when its work is due, and pack it away."""

from __future__ import annotations

import os
from dataclasses import asdict
from pathlib import Path

import click

from coursekit.commands.common import (
    SOME_LEFT,
    class_option,
    class_to_write_option,
    console,
    echo,
    json_option,
    json_text,
    plain_errors,
    say,
    say_left,
    see_to_class,
)


@click.group("class")
def class_() -> None:
    """Open a class, look at it, set due times, pack it away."""


@class_.command("open")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--roster",
    type=click.Path(path_type=Path),
    required=True,
    help=(
        "CSV or TSV file from a spreadsheet; its first line names the columns, id and name among "
        "them."
    ),
)
@click.option("--title", default="", help="What the class is called.")
@json_option
@plain_errors
def class_open(folder: Path, roster: Path, title: str, as_json: bool) -> None:
    """Make FOLDER a class folder, or bring the roster of one up to date.

    An id may be a pseudonym. It names the student's files for good. An e-mail address is kept, so
    that `hand-out` and `feedback` can write mail drafts. Other columns are left out. The work of
    students who are no longer on the roster stays; `coursekit student erase` removes it.
    """
    from coursekit.classroom.register.roster import read
    from coursekit.classroom.register.secret import SECRET_FILE
    from coursekit.classroom.students import rename

    if os.path.lexists(folder / SECRET_FILE):  # without one it may be a new class
        see_to_class(folder)
    found = read(roster, fresh=True)
    opened, gone = rename.open_with(folder, found.students, title)
    if as_json:
        told = {"class": opened.title, "students": len(opened.students), "folder": str(folder)}
        told |= {"left_out": list(found.left_out), "no_longer_there": gone}
        echo(json_text(told | ({"told": list(found.told)} if found.told else {})))
        return
    count = len(opened.students)
    say(f"{opened.title}: {count} student{'' if count == 1 else 's'}, in {folder}")
    say_left(found.told)
    if found.left_out:
        say(f"Columns left out: {', '.join(found.left_out)}")
    if gone:
        say(
            f"No longer on the roster: {', '.join(gone)}. Their work stays; `coursekit student "
            "erase` removes it, `coursekit student rename` gives it to a new id."
        )


@class_.command("show")
@class_option
@json_option
@plain_errors
def class_show(class_path: Path, as_json: bool) -> None:
    """Show what is handed out, printed, taken in, marked and overdue."""
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import overview, overview_table

    found = overview.overview(class_folder.load(class_path))
    if as_json:
        echo(json_text(found.as_json()))
    else:
        console.print(*overview_table.shown(found), sep="\n\n")
        say_left(overview.troubles(found.lessons))


@class_.command("check")
@class_option
@json_option
@plain_errors
def class_check(class_path: Path, as_json: bool) -> None:
    """Look whether the class folder is whole, what is stale, and say what to do.

    It looks at the secret, at who may open the folder, the room on the disk and the clock, which
    every command that writes does too. Then it looks at nbgrader's settings, ids that some disks
    can't tell apart, the gradebook, the records of marks and readings, work that is not marked,
    feedback older than its marks, and files that were left half-written. It changes nothing. Ends
    with exit code 1 if there is something to do.
    """
    from coursekit import project
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import class_check as whole

    found = whole.check(class_folder.load(class_path), project.root())
    if as_json:
        echo(json_text({"well": found.is_well, "findings": [asdict(f) for f in found.findings]}))
    else:
        say(*found.lines())
    if not found.is_well:
        raise click.exceptions.Exit(SOME_LEFT)


@class_.command("due")
@click.argument("slug", metavar="[LESSON]", required=False)
@click.argument("when", required=False)
@class_option
@json_option
@plain_errors
def class_due(slug: str | None, when: str | None, class_path: Path, as_json: bool) -> None:
    """Say when LESSON is due.

    WHEN is a day, a day and an hour, or `never`. Without WHEN it shows the due times. 2026-02-10
    means the end of that day and 2026-02-10T19:00 that minute, by this computer's clock; +01:00 at
    the end names another zone. nbgrader's due date follows.
    """
    from coursekit import project
    from coursekit.classroom.bank import exercises
    from coursekit.classroom.gradebook import due
    from coursekit.classroom.register import class_folder, class_toml

    folder = class_folder.load(class_path)
    if slug and when:
        see_to_class(class_path)
        if slug not in folder.due:  # a time that was set may be taken back in any case
            exercises.load(slug, project.root())
        moment = None if when == "never" else class_toml.when(when, f"The due time of {slug}")
        folder = due.set_due(folder, slug, moment)
    dues = {s: t for s, t in folder.due.items() if slug in (None, s)}
    if as_json:
        echo(json_text({s: t.isoformat() for s, t in dues.items()}))
    elif not dues:
        say(f"{slug or 'Nothing'} is due at no time.")
    for name, moment in () if as_json else dues.items():
        say(f"{name}: {moment:%Y-%m-%d %H:%M} UTC{moment:%z}")


@class_.command("late")
@click.argument("per_day", type=click.FloatRange(0, 100))
@click.option("--most", type=click.FloatRange(0, 100), default=100.0, help="Per cent at most.")
@click.option(
    "--grace-hours", type=click.FloatRange(0, 8760), default=0.0, help="Hours that do not count."
)
@class_to_write_option
@plain_errors
def class_late(per_day: float, most: float, grace_hours: float, class_path: Path) -> None:
    """Say what late work loses: PER_DAY per cent for each day begun.

    With 0 it loses nothing. Marks that have been given change when the exercise is marked again. A
    plug-in of your own, named in nbgrader_config.py, takes precedence.
    """
    from coursekit.classroom.register import class_folder, class_toml

    file = class_folder.load(class_path).path / "class.toml"
    for name, value in (("per_day", per_day), ("most", most), ("grace_hours", grace_hours)):
        class_folder.write_text(file, class_toml.put(file, "late", name, f"{value:g}"))
    say(f"Late work loses {per_day:g} % a day, {most:g} % at most, after {grace_hours:g} h.")


@class_.command("pack")
@click.argument("file", type=click.Path(path_type=Path))
@class_to_write_option
@plain_errors
def class_pack(file: Path, class_path: Path) -> None:
    """Pack the whole class folder into the zip FILE.

    Put it away, or carry it to another machine and unpack it there to go on. It holds the class's
    secret and everybody's work, so keep it where nobody else can read it.
    """
    from coursekit.classroom.register import class_folder, packing

    left: list[str] = []
    count = packing.pack(class_folder.load(class_path), file, left.append)
    say_left(f"LEFT: {why}" for why in left)
    say(f"{count} files are in {file}. Keep it to yourself.")
    if left:
        raise click.exceptions.Exit(SOME_LEFT)
