"""What the commands share: the console, progress bars, options, and how errors are printed.

Whatever is printed goes through `echo`, `say` or the console here, which put a ? for each control
character. A name in a class can then do nothing to the terminal.
"""

from __future__ import annotations

import errno
import functools
import json
import logging
import re
import sys
import traceback
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import click
from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    ProgressColumn,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)
from rich.segment import Segment
from rich.text import Text

from coursekit.classroom.register import typed
from coursekit.classroom.register.outside_names import shown, shown_lines
from coursekit.commands.kinds import Paper

SOME_LEFT = 1  # exit code if some student's work, or part of it, was left out

P = ParamSpec("P")
T = TypeVar("T")
Step = Callable[[str], None]


class _PlainConsole(Console):
    """A console without markup, which prints no control character that a text may hold."""

    def render_str(self, text: str, **how: Any) -> Text:
        """Return a text or a table's cell ready to be printed, with a ? for control characters."""
        return super().render_str(shown_lines(text), **how | {"markup": False, "emoji": False})

    def render(self, *what: Any, **how: Any) -> Iterator[Segment]:
        """Yield what is printed, treated in the same way if it did not come as a string."""
        for one in super().render(*what, **how):
            yield one if one.control else one._replace(text=shown_lines(one.text))


console = _PlainConsole(highlight=False)


def echo(text: str = "", *, err: bool = False, nl: bool = True) -> None:
    """Print a text of several lines, with a ? for each control character in it."""
    click.echo(shown_lines(text), err=err, nl=nl)


def json_text(found: object) -> str:
    """Return `found` as JSON in which control characters are escaped."""
    text = json.dumps(found, indent=1, ensure_ascii=False)
    return re.sub(r"[^ -~\n]", lambda m: m[0] if shown(m[0]) == m[0] else _escaped(m[0]), text)


def _escaped(sign: str) -> str:
    return json.dumps(sign)[1:-1]


def say(*lines: str, err: bool = False) -> None:
    """Print each text as one line, so that no name in it can begin a line of its own."""
    for line in lines:
        click.echo(shown(line), err=err)


def say_left(lines: Iterable[str]) -> None:
    """Say on stderr what was left out and why, with a line for each."""
    say(*lines, err=True)


def ask(question: str) -> None:
    """Ask whether to go on; a no ends the command."""
    click.confirm(shown(question), abort=True, err=True)


def print_safely() -> None:
    """Keep control characters out of log lines and tracebacks too, which no command prints."""
    if logging.lastResort:
        logging.lastResort.setFormatter(_PlainFormatter())
    sys.excepthook = _told_crash


class _PlainFormatter(logging.Formatter):
    """Formats a log line and the traceback below it, with a ? for each control character."""

    def format(self, record: logging.LogRecord) -> str:
        return shown_lines(super().format(record))


def _told_crash(kind: type[BaseException], error: BaseException, where: Any) -> None:
    echo("".join(traceback.format_exception(kind, error, where)), err=True, nl=False)


class PlainGroup(click.Group):
    """The top group of commands; it keeps control characters out of click's own messages too."""

    def make_context(self, *what: Any, **more: Any) -> click.Context:
        """Read the words of the command line up to the name of the command."""
        with _printable_complaints():
            return super().make_context(*what, **more)

    def invoke(self, ctx: click.Context) -> Any:
        """Read the rest of the words, and run the command."""
        with _printable_complaints():
            return super().invoke(ctx)


# these errors have several lines and repeat nothing that was typed; older click lacks the second
_WITH_LINES = (
    click.MissingParameter,
    getattr(click.exceptions, "NoArgsIsHelpError", click.MissingParameter),
)


@contextmanager
def _printable_complaints() -> Iterator[None]:
    try:
        yield
    except _WITH_LINES:
        raise
    except click.UsageError as error:
        said = error.format_message()
        if shown(said) == said:
            raise
        raise click.UsageError(shown(said), error.ctx) from error


def plain_errors(command: Callable[P, T]) -> Callable[P, T]:
    """Make a user's mistake end the command with one message and exit code 1, not a traceback."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> T:
        try:
            _keep_before_command()
            return command(*args, **kwargs)
        except (ValueError, FileNotFoundError, RuntimeError) as error:
            if not _is_told(error):
                raise
            raise click.ClickException(_set_in(error)) from error
        except Exception as error:
            if not (said := _disk_trouble(error)):
                raise
            raise click.ClickException(shown_lines(said)) from error

    return run


def _set_in(error: Exception) -> str:
    """Return an error's words with all lines but the first indented, so that no name begins one."""
    said = shown_lines(str(error))
    return said if isinstance(error, RuntimeError) else said.replace("\n", "\n  ")


def _is_told(error: Exception) -> bool:
    """Return whether the message is meant for the user; other RuntimeErrors are bugs of the kit."""
    from coursekit.book.build import BookError
    from coursekit.classroom.running.warm_parent import RunnerError

    return not isinstance(error, RuntimeError) or isinstance(error, BookError | RunnerError)


_NO_DISK = {
    errno.ENOSPC: "it is full. Make room",
    errno.EDQUOT: "your share of it is used up. Make room",
    errno.EFBIG: "it takes no file so large. Make room, or use another disk",
    errno.EROFS: "it can only be read. Copy the class to a disk of your own",
    errno.EACCES: "you may not. Use a place that is yours",
    errno.EPERM: "you may not. Use a place that is yours",
    errno.EIO: "it fails. Copy what you can to another disk",
    errno.ENOTDIR: "a file lies where a folder must be. Move it away",
    errno.EISDIR: "a folder lies where a file must be. Move it away",
    errno.EEXIST: "something lies in the way. Move it away",
    errno.EMFILE: "too many files are open. Close other programs",
    errno.ENFILE: "too many files are open. Close other programs",
}
# what SQLite says → the number that Python would give for it
_NO_GRADEBOOK = {
    "disk is full": errno.ENOSPC,
    "disk I/O error": errno.EIO,
    "readonly database": errno.EROFS,
    "unable to open database file": errno.EACCES,
}


def _disk_trouble(error: Exception) -> str:
    """Return in a sentence what is wrong with the disk, or "" if the disk is not to blame."""
    place = "The disk"
    number = 0
    if isinstance(error, OSError):
        number = error.errno or 0
        if isinstance(error.filename, str):
            place = error.filename
    elif type(error).__name__ in ("OperationalError", "DatabaseError"):
        said = str(getattr(error, "orig", None) or error).splitlines()[0]
        place = "The gradebook"
        number = next((n for words, n in _NO_GRADEBOOK.items() if words in said), 0)
        if not number:
            return (
                f"The gradebook must answer; its database says: {said}. `coursekit class check` "
                "says what to do."
            )
    if number not in _NO_DISK:
        return ""
    why = _NO_DISK[number]
    return f"{place}: the disk must take what is read and written; {why}, then run this again."


@contextmanager
def bar(say: str, total: int | None) -> Iterator[Step]:
    """Show a progress bar for `total` things; yield a function that counts one and names it."""
    with _shown(say, total, MofNCompleteColumn()) as (progress, task):

        def step(now: str) -> None:
            progress.update(task, advance=1, now=shown(now))

        yield step
        done = progress.tasks[0].completed
        progress.update(task, now="", total=done, completed=done)


@contextmanager
def share_bar(say: str) -> Iterator[Callable[[str, float], None]]:
    """Show a progress bar for one long task; yield a function that takes words and share done."""
    with _shown(say, 1.0, TaskProgressColumn()) as (progress, task):

        def tell(now: str, share: float) -> None:
            progress.update(task, completed=share, now=shown(now))

        yield tell


@contextmanager
def _shown(
    say: str, total: float | None, count: ProgressColumn
) -> Iterator[tuple[Progress, TaskID]]:
    columns = (
        TextColumn("{task.description:<24}", markup=False),
        BarColumn(bar_width=24),
        count,
        TimeElapsedColumn(),
        TimeRemainingColumn(),
        TextColumn("{task.fields[now]}", markup=False),
    )
    with Progress(*columns, console=console) as progress:
        yield progress, progress.add_task(shown(say), total=total, now="")


def _class_option(**more: Any) -> Callable[[Any], Any]:
    return click.option(
        "--class",
        "class_path",
        type=click.Path(path_type=Path),
        required=True,
        envvar="COURSEKIT_CLASS",
        show_envvar=True,
        help="The class folder.",
        **more,
    )


def see_to_class(path: Path) -> None:
    """Check a class before the command writes to it, and end the command if it must not.

    A finding that is no reason to stop is printed, and the command goes on.
    """
    from coursekit.classroom.register.quick_check import quick_check

    if not (path / "class.toml").is_file():
        return  # the command itself says that this is not a class
    for found in quick_check(path):
        if found.stops:
            raise click.ClickException(shown_lines(found.said))
        echo(f"LOOK: {found.said}", err=True)


def _seen_to(context: click.Context, parameter: click.Parameter, path: Path) -> Path:
    see_to_class(path)
    context.meta[_TO_KEEP] = path
    return path


_TO_KEEP = "coursekit.to_keep"  # the class that the command is about to change
# commands that change nothing in the class, or what must not come back
_NOT_UNDONE = ("class pack", "student erase", "student rename", "student export")
_TAKE_RECORDS = ("bench take-in", "answers take-in")


def keep_before(path: Path, words: str) -> None:
    """Keep the class as it is before a command, so that `coursekit class undo` can undo it."""
    from coursekit.classroom.register import class_folder, undo

    with suppress(ValueError):  # a class that can't be read is the command's to tell
        undo.keep_before(class_folder.load(path), words, records=words.startswith(_TAKE_RECORDS))


def _keep_before_command() -> None:
    context = click.get_current_context(silent=True)
    path = context.meta.pop(_TO_KEEP, None) if context else None
    if context is None or path is None or not (path / "class.toml").is_file():
        return
    command = context.command_path.partition(" ")[2]
    about = context.params.get("slugs") or [context.params.get("slug") or context.params.get("id")]
    if command not in _NOT_UNDONE:
        keep_before(path, " ".join([command, *filter(None, about)]))


class_option = _class_option()  # for commands that only read
class_to_write_option = _class_option(callback=_seen_to)


def paper_of(*papers: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return the option that takes one of these sizes of paper, by default a4."""
    return click.option(
        "--paper", type=Paper(papers), default="a4", show_default=True, help="Size of paper."
    )


paper_option = paper_of(*typed.PAPERS)
two_sided_option = click.option(
    "--two-sided",
    is_flag=True,
    help="For printing on both sides: what is cut out gets an empty back.",
)
quiet_option = click.option("--quiet", is_flag=True, help="Say nothing but mistakes.")
mail_option = click.option(
    "--mail",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder to write a mail draft (.eml) into for each student with an e-mail address. "
    "Nothing is sent.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")


def mail_lines(written: Any, target: Path) -> list[str]:
    """Return what to say of the mail drafts that were written into `target`."""
    count = len(written.drafts)
    lines = [f"{count} mail draft{'' if count == 1 else 's'} in {target}; nothing was sent."]
    if written.no_address:
        lines.append(f"No e-mail address on the roster: {', '.join(written.no_address)}.")
    return lines


def mail_facts(written: Any) -> dict[str, list[str]]:
    """Return the same for JSON."""
    return {
        "drafts": [str(p) for p in written.drafts],
        "no_address": list(written.no_address),
    }


def bar_unless(silent: bool, say: str, total: int) -> AbstractContextManager[Step]:
    """Return a progress bar or, if `silent`, a stand-in that shows nothing."""
    return nullcontext(lambda now: None) if silent else bar(say, total)


def say_old_feedback(work: Any) -> None:
    """Say whose feedback on an exercise is older than the marks, and what to do."""
    from coursekit.classroom.report import overview

    lessons = overview.overview(work.folder, only=[work.slug]).lessons
    say(*overview.old_feedback(lessons))


def work_of(class_path: Path, slug: str) -> Any:
    """Return the exercise `slug` as work of the class in `class_path`."""
    from coursekit import project
    from coursekit.classroom.handout import assignments
    from coursekit.classroom.register import class_folder

    return assignments.assignment(class_folder.load(class_path), slug, project.root())
