"""The `coursekit` command: thin over the package, with progress and plain errors."""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable, Iterator, Sequence
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
    """Let a mistake of the user's end in one message and exit code 1, without a traceback."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> T:
        from coursekit.book.build import BookError
        from coursekit.classroom.runner import RunnerError

        try:
            return command(*args, **kwargs)
        except (ValueError, FileNotFoundError, BookError, RunnerError) as error:
            raise click.ClickException(str(error)) from error

    return run


@contextmanager
def bar(say: str, total: int | None) -> Iterator[Step]:
    """Show a progress bar of `total` things; the step it yields takes one thing done, in words."""
    with _shown(say, total, MofNCompleteColumn()) as (progress, task):

        def step(now: str) -> None:
            progress.update(task, advance=1, now=now)

        yield step
        done = progress.tasks[0].completed
        progress.update(task, now="", total=done, completed=done)


@contextmanager
def share_bar(say: str) -> Iterator[Callable[[str, float], None]]:
    """Show a progress bar of one long thing; what it yields takes words and the share done."""
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


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="coursekit")
def main() -> None:
    """Teach and learn to build steel bicycle frames by brazing.

    Run it in the course's folder, the one with course/ and exercises/.
    """
    # jsonschema would build a grammar for international addresses, which takes longer than all else at
    # start and which no notebook needs; it does without where the package is not there
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]


class_option = click.option(
    "--class",
    "class_path",
    type=click.Path(path_type=Path),
    required=True,
    envvar="COURSEKIT_CLASS",
    show_envvar=True,
    help="The class folder.",
)
paper_option = click.option(
    "--paper",
    type=click.Choice(["a4", "us-letter"]),
    default="a4",
    show_default=True,
    help="Size of paper.",
)


quiet_option = click.option("--quiet", is_flag=True, help="Say nothing but mistakes.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")


def _bar_unless(silent: bool, say: str, total: int) -> AbstractContextManager[Step]:
    """Return a progress bar, or what takes the same steps without a word."""
    return nullcontext(lambda now: None) if silent else bar(say, total)


def _work(class_path: Path, slug: str) -> Any:
    from coursekit import project
    from coursekit.classroom import classes, handout

    return handout.assignment(classes.load(class_path), slug, project.root())


@main.command()
@plain_errors
def demo() -> None:
    """Run the whole way once on an invented class of twelve, from book to marked gradebook.

    Everything goes to build/. Run it twice and it ends the same; stop it and it goes on.
    """
    from coursekit import project
    from coursekit.book import build
    from coursekit.classroom import show

    def build_book(root: Path) -> Path:
        with share_bar("Building the book") as tell:
            return build.build(root, None, tell)

    show.demo(project.root(), console, bar, build_book)


@main.command()
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder of the book. [default: build/book]"
)
@plain_errors
def book(out: Path | None) -> None:
    """Build the book's pages, for reading without a network."""
    from coursekit import project
    from coursekit.book import build

    with share_bar("Building the book") as tell:
        index = build.build(project.root(), out, tell)
    console.print(f"Open {index}", soft_wrap=True)


@main.group("class")
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


@main.command("hand-out")
@click.argument("slug")
@class_option
@plain_errors
def hand_out(slug: str, class_path: Path) -> None:
    """Make each student's notebook of the exercise SLUG, with own numbers."""
    from coursekit.classroom import handout

    work = _work(class_path, slug)
    with bar("Handing out", len(work.folder.students)) as step:
        handout.hand_out(work, step)
    console.print(f"The notebooks are in {class_path / 'hand-out'}", soft_wrap=True)


@main.command()
@click.argument("slug")
@class_option
@paper_option
@plain_errors
def worksheets(slug: str, class_path: Path, paper: str) -> None:
    """Print the worksheets of the exercise SLUG, and the answer key beside them."""
    from coursekit.classroom import show

    with bar("Worksheets", None) as step:
        sheets, key = show.worksheets(_work(class_path, slug), paper, step)
    console.print(f"Class set: {sheets}\nAnswer key (instructor only): {key}", soft_wrap=True)


@main.command()
@click.argument("slugs", metavar="SLUG...", nargs=-1, required=True)
@class_option
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 3600),
    default=10.0,
    show_default=True,
    help="Time a cell may take.",
)
@click.option(
    "--workers", type=click.IntRange(1, 64), help="Notebooks run at once. [default: one a core]"
)
@click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="Run the notebooks on the workers of the Dask scheduler at ADDRESS. Marking stays here.",
)
@click.option(
    "--no-sandbox",
    is_flag=True,
    help="Run notebooks with your own rights. Only where you have read them all.",
)
@quiet_option
@json_option
@plain_errors
def mark(
    slugs: tuple[str, ...],
    class_path: Path,
    seconds: float,
    workers: int | None,
    scheduler: str | None,
    no_sandbox: bool,
    quiet: bool,
    as_json: bool,
) -> None:
    """Run and mark what the class has handed in for the exercises SLUG, one or more.

    Several at once are quicker than one after another: what runs notebooks is started once.
    """
    from coursekit.classroom import marking, show
    from coursekit.classroom.runner import Limits

    works = [_work(class_path, slug) for slug in slugs]
    told: list[dict[str, str]] = []
    limits = Limits(cell=seconds, notebook=6 * seconds)
    with _place(scheduler, limits, workers, no_sandbox) as place:
        if any(marking.has_new(work) for work in works):
            place.start()
        for work in works:
            done: dict[str, str] = {}
            with _bar_unless(quiet or as_json, "Marking", len(marking.handed_in(work))) as step:

                def tell(student: str, what: str, done: Any = done, step: Any = step) -> None:
                    done[student] = what
                    step(f"{student} {what}")

                marking.mark_class(work, place=place, progress=tell)
            told.append(done)
            if not quiet and not as_json:
                console.print(show.marks_table(work))
    if as_json:
        _print_marks(works, told)


def _place(
    scheduler: str | None, limits: Any, workers: int | None, no_sandbox: bool
) -> AbstractContextManager[Any]:
    """Return the place where notebooks run: a scheduler's workers, else this machine."""
    from coursekit.classroom.cage.layers import NO_SANDBOX
    from coursekit.classroom.running import Here

    if scheduler is None:
        if no_sandbox:
            click.secho(NO_SANDBOX, err=True, bold=True, fg="red")
        return Here(limits, workers, isolate=not no_sandbox)
    if no_sandbox:
        raise click.UsageError(
            "A scheduler's workers must cage what they run; got --no-sandbox with --scheduler. "
            "Leave one of the two out."
        )
    from coursekit.classroom.scale import Cluster

    return Cluster(scheduler, limits)


@main.command()
@click.argument("slug")
@class_option
@quiet_option
@json_option
@plain_errors
def feedback(slug: str, class_path: Path, quiet: bool, as_json: bool) -> None:
    """Make each student's feedback page on the exercise SLUG."""
    from coursekit.classroom import classes
    from coursekit.classroom import feedback as pages

    folder = classes.load(class_path)
    done: dict[str, str] = {}
    count = len(pages.marked_students(folder, slug))
    with _bar_unless(quiet or as_json, "Feedback", count) as step:

        def tell(student: str, what: str) -> None:
            done[student] = what
            step(f"{student} {what}")

        made = pages.give_feedback(folder, slug, tell)
    if as_json:
        rows = [{"id": s, "page": str(p), "what": done[s]} for s, p in zip(done, made, strict=True)]
        click.echo(json.dumps({"exercise": slug, "pages": rows}, indent=1, ensure_ascii=False))
    elif not quiet:
        console.print(f"{len(made)} pages in {class_path / 'feedback'}", soft_wrap=True)


@main.command()
@click.argument("slug")
@class_option
@quiet_option
@json_option
@plain_errors
def marks(slug: str, class_path: Path, quiet: bool, as_json: bool) -> None:
    """Show what each student got for the exercise SLUG."""
    from coursekit.classroom import show

    work = _work(class_path, slug)
    if as_json:
        _print_marks([work], [{}])
    elif not quiet:
        console.print(show.marks_table(work))


def _print_marks(works: Sequence[Any], told: Sequence[dict[str, str]]) -> None:
    """Print marks as JSON, of several exercises as a list; `told` says what was done, by student."""
    from coursekit.classroom.report_data import marks_data

    found = []
    for work, done in zip(works, told, strict=True):
        data = marks_data(work)
        for row in data["students"]:
            if row["id"] in done:
                row["what"] = done[row["id"]]
        found.append(data)
    shown = found[0] if len(found) == 1 else found
    click.echo(json.dumps(shown, indent=1, ensure_ascii=False))


@main.command()
@click.argument("slug")
@class_option
@click.option(
    "--below",
    type=click.FloatRange(0, 100),
    default=50.0,
    show_default=True,
    help="Name students with less than this share of the marks, in per cent.",
)
@click.option("--json", "as_json", is_flag=True, help="Write JSON for another program.")
@plain_errors
def items(slug: str, class_path: Path, below: float, as_json: bool) -> None:
    """Show what the marks say about each question of the exercise SLUG, and who needs help."""
    import json

    from coursekit.classroom import analysis, items_table

    found = analysis.analyse(_work(class_path, slug), below / 100)
    if as_json:
        click.echo(json.dumps(found.as_json(), indent=1, ensure_ascii=False))
    else:
        console.print(*items_table.shown(found), sep="\n\n")


@main.command()
def cage() -> None:
    """Say what this machine has to keep students' code caged while notebooks are run."""
    from coursekit.classroom.cage.layers import layers, refusal

    found = layers()
    click.echo("\n".join(found.lines()))
    if not found.isolated:
        raise click.ClickException(refusal(found))


if __name__ == "__main__":
    main()
