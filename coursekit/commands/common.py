"""What the commands share: the console, progress bars, options, and how mistakes are told."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
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

P = ParamSpec("P")
T = TypeVar("T")
Step = Callable[[str], None]

console = Console(highlight=False)


def plain_errors(command: Callable[P, T]) -> Callable[P, T]:
    """End a user's mistake with one message and exit code 1, without a traceback."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> T:
        try:
            return command(*args, **kwargs)
        except (ValueError, FileNotFoundError, RuntimeError) as error:
            if not _is_told(error):
                raise
            raise click.ClickException(str(error)) from error

    return run


def _is_told(error: Exception) -> bool:
    """Return whether the message is meant for the user; any other RuntimeError is our own bug."""
    from coursekit.book.build import BookError
    from coursekit.classroom.running.warm_parent import RunnerError

    return not isinstance(error, RuntimeError) or isinstance(error, BookError | RunnerError)


@contextmanager
def bar(say: str, total: int | None) -> Iterator[Step]:
    """Show a progress bar of `total` things; yield a function that counts one and names it."""
    with _shown(say, total, MofNCompleteColumn()) as (progress, task):

        def step(now: str) -> None:
            progress.update(task, advance=1, now=now)

        yield step
        done = progress.tasks[0].completed
        progress.update(task, now="", total=done, completed=done)


@contextmanager
def share_bar(say: str) -> Iterator[Callable[[str, float], None]]:
    """Show a progress bar of one long thing; yield a function of words and the share done."""
    with _shown(say, 1.0, TaskProgressColumn()) as (progress, task):

        def tell(now: str, share: float) -> None:
            progress.update(task, completed=share, now=now)

        yield tell


@contextmanager
def _shown(
    say: str, total: float | None, count: ProgressColumn
) -> Iterator[tuple[Progress, TaskID]]:
    columns = (
        TextColumn("{task.description:<24}"),
        BarColumn(bar_width=24),
        count,
        TimeElapsedColumn(),
        TimeRemainingColumn(),
        TextColumn("{task.fields[now]}"),
    )
    with Progress(*columns, console=console) as progress:
        yield progress, progress.add_task(say, total=total, now="")


class_option = click.option(
    "--class",
    "class_path",
    type=click.Path(path_type=Path),
    required=True,
    envvar="COURSEKIT_CLASS",
    show_envvar=True,
    help="The class folder.",
)


def paper_of(*papers: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return the option that takes one of these sizes of paper, a4 unless it is given."""
    kind = click.Choice(papers)
    return click.option(
        "--paper", type=kind, default="a4", show_default=True, help="Size of paper."
    )


paper_option = paper_of("a4", "us-letter")
quiet_option = click.option("--quiet", is_flag=True, help="Say nothing but mistakes.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")


def bar_unless(silent: bool, say: str, total: int) -> AbstractContextManager[Step]:
    """Return a progress bar, or, if `silent`, something that counts without a word."""
    return nullcontext(lambda now: None) if silent else bar(say, total)


def work_of(class_path: Path, slug: str) -> Any:
    """Return the exercise `slug` as work of the class in `class_path`."""
    from coursekit import project
    from coursekit.classroom.handout import assignments
    from coursekit.classroom.register import class_folder

    return assignments.assignment(class_folder.load(class_path), slug, project.root())
