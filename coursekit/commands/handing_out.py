"""Commands that hand work out to a class."""

from __future__ import annotations

from pathlib import Path

import click

from coursekit.commands.common import bar, class_option, console, plain_errors, work_of


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
