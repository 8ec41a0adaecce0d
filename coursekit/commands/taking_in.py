"""The command that takes in what students hand in."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from coursekit.commands.common import (
    SOME_LEFT,
    class_to_write_option,
    console,
    echo,
    json_option,
    json_text,
    plain_errors,
    quiet_option,
    say,
)


@click.command("take-in")
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@class_to_write_option
@click.option("--student", default="", help="Whose work it is, where the files don't say.")
@click.option(
    "--exercise", "slug", default="", help="Which exercise it is, where the files don't say."
)
@click.option("--came", metavar="TIME", help="When it came: 2026-02-10T19:00. [default: now]")
@click.option("--file-time", is_flag=True, help="Let each file's own time count as when it came.")
@quiet_option
@json_option
@plain_errors
def take_in(
    paths: tuple[Path, ...],
    class_path: Path,
    student: str,
    slug: str,
    came: str | None,
    file_time: bool,
    quiet: bool,
    as_json: bool,
) -> None:
    """Take in handed-in work from PATH.

    A path is a notebook, a zip file, or a folder of them, however they are named. A notebook's
    cells say which exercise it is. The stamp that hand-out put into it says whose it is, or else
    the id or name in its file name or its folder's. If two of these disagree, nothing is taken and
    both are named; say whose it is with `--student`. Nothing is ever overwritten: every version
    stays in taken-in, and the newest is marked. An unsafe zip is refused altogether.

    Ends with exit code 1 if anything was left.
    """
    from coursekit.classroom.intake import take_in as intake
    from coursekit.classroom.register import class_folder, class_toml

    if came and file_time:
        raise click.UsageError(
            "A time must come from one place; got --came and --file-time. Leave one."
        )
    moment = class_toml.when(came, "The time it came") if came else None
    told = intake.take_in(
        class_folder.load(class_path),
        paths,
        student=student,
        slug=slug,
        came=moment,
        by_file_time=file_time,
    )
    if as_json:
        echo(json_text([asdict(t) for t in told]))
    else:
        _say(told, quiet)
    if any(t.what == "left" for t in told):
        raise click.exceptions.Exit(SOME_LEFT)


_WORDS = {"taken": "taken in", "older": "kept, not newest", "same": "there already", "left": "LEFT"}


def _say(told: list[Any], quiet: bool) -> None:
    for one in told:
        whose = f"{one.student} {one.slug}, from {one.source}" if one.student else one.source
        if one.what == "left":
            say(f"LEFT: {whose}. {one.why}")
        elif not quiet:
            line = f"{_WORDS[one.what]}: {whose}, {one.why}"
            say(line)
    if not quiet:
        counts = [(sum(t.what == w for t in told), words) for w, words in _WORDS.items()]
        console.print(", ".join(f"{n} {words}" for n, words in counts if n) or "Nothing was there.")
