"""The command that takes in what students hand in."""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from coursekit.classroom.register.outside_names import shown
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
from coursekit.commands.kinds import LESSON


@click.command("take-in")
@click.argument("paths", metavar="PATH...", nargs=-1, type=click.Path(path_type=Path))
@class_to_write_option
@click.option("--paste", is_flag=True, help="Take in a text that you paste, or pipe in.")
@click.option(
    "--student", default="", help="Whose work it is, by id or name, where the files don't say."
)
@click.option(
    "--exercise",
    "slug",
    default="",
    type=LESSON,
    help="Which exercise it is, where the files don't say.",
)
@click.option("--came", metavar="TIME", help="When it came: 10.2.2026 19:00. [default: now]")
@click.option("--file-time", is_flag=True, help="Let each file's own time count as when it came.")
@click.option(
    "--use",
    is_flag=True,
    help="Show the versions of STUDENT's LESSON, or let number VERSION of them count.",
)
@quiet_option
@json_option
@plain_errors
def take_in(
    paths: tuple[Path, ...],
    class_path: Path,
    paste: bool,
    student: str,
    slug: str,
    came: str | None,
    file_time: bool,
    use: bool,
    quiet: bool,
    as_json: bool,
) -> None:
    """Take in handed-in work from PATH.

    A path is a notebook, saved answers, a mail, a zip file, or a folder of these, however they are
    named; "-" or `--paste` reads a message that you paste. A notebook's cells say which exercise it
    is. The stamp that hand-out put into it says whose it is, or else the id or name in its file
    name or its folder's. If two of these disagree, nothing is taken and both are named; say whose
    it is with `--student`. Photos, scans and documents are kept with the student for you to look
    at. Nothing is ever overwritten: every version stays in taken-in, and the newest that can be
    read is marked. An unsafe zip is refused altogether. The list names every file.

    `take-in --use STUDENT LESSON` shows the versions that are kept; with a number it lets that one
    count. To undo that, choose again. Newer work that is handed in later counts again.

    Ends with exit code 1 if anything was left.
    """
    if use:
        _choose([str(path) for path in paths], class_path, quiet, as_json)
        return
    from coursekit.classroom.intake import take_in as intake
    from coursekit.classroom.register import class_folder, dates, names

    if came and file_time:
        raise click.UsageError(
            "A time must come from one place; got --came and --file-time. Leave one."
        )
    paste = paste or Path("-") in paths
    paths = tuple(path for path in paths if path != Path("-"))
    if not paths and not paste:
        raise click.UsageError("Work must come from a PATH or from --paste; got neither. Name one.")
    moment = dates.read(came, "The time it came") if came else None
    folder = class_folder.load(class_path)
    if moment and not (quiet or as_json):
        say(f"It counts as come on {dates.shown(moment)}.")
    told = intake.take_in(
        folder,
        paths,
        pasted=_pasted() if paste else None,
        student=names.student(folder, student).id if student else "",
        slug=slug,
        came=moment,
        by_file_time=file_time,
    )
    fits = _proposals(folder, told) if any(t.given is not None for t in told) else {}
    if as_json:
        echo(json_text([t.as_json() | _fitting(fits.get(i)) for i, t in enumerate(told)]))
    else:
        _say(told, fits, quiet)
    if any(t.what == "left" for t in told):
        raise click.exceptions.Exit(SOME_LEFT)


def _proposals(folder: Any, told: Sequence[Any]) -> dict[int, Any]:
    from coursekit.classroom.marking.whose import proposals  # imported here because it is heavy

    return proposals(folder, told)


def _fitting(fit: Any) -> dict[str, str | int]:
    return {"fits": fit.student} if fit else {}


def _pasted() -> bytes:
    if sys.stdin.isatty():
        end = "Ctrl-Z and Enter" if sys.platform == "win32" else "Ctrl-D"
        echo(f"Paste the message here, then press {end} on a line of its own.", err=True)
    return sys.stdin.buffer.read()


def _choose(words: Sequence[str], class_path: Path, quiet: bool, as_json: bool) -> None:
    """Show the versions of a student's work, or let one of them count."""
    from coursekit.classroom.intake import choosing
    from coursekit.classroom.register import class_folder, dates, names

    if len(words) not in (2, 3) or not (len(words) == 2 or words[2].isdecimal()):
        raise click.UsageError(
            f"--use must be followed by STUDENT LESSON and maybe a number; got "
            f"'{' '.join(words)[:80]}'. Name them."
        )
    folder = class_folder.load(class_path)
    student, slug = names.student(folder, words[0]).id, LESSON.convert(words[1], None, None)
    if len(words) == 3:
        choosing.use(folder, student, slug, int(words[2]))
    listed = choosing.versions(folder, student, slug)
    if as_json:
        echo(json_text([one.as_json() for one in listed]))
    elif not quiet:
        for one in listed:
            sign = "*" if one.counts else " "
            some = f"{one.answers} answer{'' if one.answers == 1 else 's'}"
            copy = f"copy {one.copy}, saved {one.saved}, " if one.copy else ""
            _wrapped(
                f"{sign} {one.number}  {dates.shown(one.came)}, {copy}{some}, from "
                f"{one.source}, {one.by}{f'; {one.why}' if one.why else ''}"
            )
        echo("The one with * counts.")


_WORDS = {
    "taken": "taken in",
    "older": "kept, not newest",
    "same": "there already",
    "kept": "to look at",
    "with": "came with it",
    "passed": "passed over",
    "left": "LEFT",
}
_ORDER = tuple(_WORDS)  # in which they are printed; what is left stands last
_EACH = ("taken", "older", "same")  # what gets a line each; of the rest alike ones share one
_NAMED = 3  # of those that share a line


def _say(told: Sequence[Any], fits: Mapping[int, Any], quiet: bool) -> None:
    for line in _lines(told, fits, quiet):
        _wrapped(line)
    if not quiet:
        counts = [(sum(t.count for t in told if t.what == w), words) for w, words in _WORDS.items()]
        console.print(", ".join(f"{n} {words}" for n, words in counts if n) or "Nothing was there.")


def _lines(told: Sequence[Any], fits: Mapping[int, Any], quiet: bool) -> Iterator[str]:
    """Yield what is printed: a line for each piece of work, and for others that are alike."""
    groups: dict[Any, list[Any]] = {}
    for place, one in enumerate(told):
        if quiet and one.what != "left":
            continue
        apart = one.what in _EACH or place in fits
        alike = place if apart else (one.what, one.student, one.slug, one.why)
        groups.setdefault(alike, []).append(one)
    for alike, some in sorted(groups.items(), key=lambda group: _ORDER.index(group[1][0].what)):
        one = some[0]
        names = ", ".join(map(_name, some[:_NAMED]))
        if more := sum(t.count for t in some[_NAMED:]):
            names += f" and {more} more of these"
        whose = f"{one.student} {one.slug}".rstrip() + f", from {names}" if one.student else names
        between = ". " if one.what in ("passed", "left") else ", "
        proposal = f" {fits[alike]}." if alike in fits else ""
        yield f"{_WORDS[one.what]}: {whose}{between}{one.why}{proposal}"


def _name(one: Any) -> str:
    return f"{one.source} ({one.count} files)" if one.count > 1 else str(one.source)


def _wrapped(line: str) -> None:
    """Print a line in 80 columns; its further lines are indented, so that no name begins one."""
    whole = re.sub(r"(--[a-z-]+) (?=\S)", "\\1\0", shown(line))
    for part in textwrap.wrap(
        whole, 80, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False
    ):
        say(part.replace("\0", " "))
