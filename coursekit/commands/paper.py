"""Commands that print."""

from __future__ import annotations

from pathlib import Path

import click

from coursekit.commands.common import (
    bar,
    class_option,
    console,
    paper_option,
    plain_errors,
    work_of,
)


@click.command()
@click.argument("slug")
@class_option
@paper_option
@plain_errors
def worksheets(slug: str, class_path: Path, paper: str) -> None:
    """Print the worksheets of the exercise SLUG, and the answer key beside them."""
    from coursekit.classroom import show

    with bar("Worksheets", None) as step:
        sheets, key = show.worksheets(work_of(class_path, slug), paper, step)
    console.print(f"Class set: {sheets}\nAnswer key (instructor only): {key}", soft_wrap=True)
