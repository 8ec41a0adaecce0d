"""Commands that open a class and hand work out to it."""

from __future__ import annotations

from pathlib import Path

import click

from coursekit.commands.common import bar, class_option, console, plain_errors, work_of


@click.group("class")
def class_() -> None:
    """Open a class and look at it."""


@class_.command("open")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--roster",
    type=click.Path(path_type=Path),
    required=True,
    help="CSV file with the columns id and name.",
)
@click.option("--title", default="", help="What the class is called.")
@plain_errors
def class_open(folder: Path, roster: Path, title: str) -> None:
    """Make FOLDER a class folder, or bring the roster of one up to date."""
    from coursekit.classroom import classes

    opened = classes.open_class(folder, classes.read_roster(roster), title)
    console.print(f"{opened.title}: {len(opened.students)} students, in {folder}", soft_wrap=True)


@click.command("hand-out")
@click.argument("slug")
@class_option
@plain_errors
def hand_out(slug: str, class_path: Path) -> None:
    """Make each student's notebook of the exercise SLUG, with own numbers."""
    from coursekit.classroom import handout

    work = work_of(class_path, slug)
    with bar("Handing out", len(work.folder.students)) as step:
        handout.hand_out(work, step)
    console.print(f"The notebooks are in {class_path / 'hand-out'}", soft_wrap=True)
