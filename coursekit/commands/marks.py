"""Commands that mark, and that show marks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from coursekit.classroom.register.one_piece import LEFT, left_line
from coursekit.commands.common import (
    SOME_LEFT,
    bar_unless,
    class_option,
    class_to_write_option,
    console,
    echo,
    json_option,
    json_text,
    mail_facts,
    mail_lines,
    mail_option,
    plain_errors,
    quiet_option,
    say,
    say_left,
    say_old_feedback,
    work_of,
)
from coursekit.commands.kinds import PER_CENT, lesson_argument, lessons_argument


@click.command()
@lessons_argument
@class_to_write_option
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
    """Mark what was handed in for each LESSON, and run what holds code.

    Marking several at once is quicker than one after another, because what runs the notebooks is
    started only once.
    """
    from coursekit import project
    from coursekit.classroom.marking.mark_lessons import How, mark_lessons
    from coursekit.classroom.register import class_folder

    @contextmanager
    def shown(work: Any, students: list[str]) -> Iterator[Callable[[str, str], None]]:
        with bar_unless(quiet or as_json, "Marking", len(students)) as step:
            yield lambda student, what: step(f"{student} {what}")

    folder, how = class_folder.load(class_path), How(seconds, workers, scheduler, not no_sandbox)
    _say_how(how)
    works, told = [], []
    for work, done in mark_lessons(folder, slugs, project.root(), shown, how):
        works.append(work)
        told.append(done)
        if not quiet and not as_json:
            _show_marks(work)
            _say_what_waits(work)
        _say_left(work.slug, done)
    if as_json:
        _print_marks(works, told)
    _end_if_left(*told)


def _say_left(slug: str, done: dict[str, str]) -> None:
    """Say whose work failed and why, with a line for each."""
    say_left(
        left_line(student, slug, what.removeprefix(LEFT))
        for student, what in done.items()
        if what.startswith(LEFT)
    )


def _end_if_left(*told: dict[str, str]) -> None:
    if any(what.startswith(LEFT) for done in told for what in done.values()):
        raise click.exceptions.Exit(SOME_LEFT)


def _show_marks(work: Any) -> None:
    from coursekit.classroom.report.marks_table import marks_table

    console.print(marks_table(work))


def _say_what_waits(work: Any) -> None:
    """Say how many answers a person must read, and where that is done, if there are some."""
    from coursekit.classroom.marking.mark_lessons import answers_to_read

    count = answers_to_read(work)
    if count:
        some = "1 answer waits" if count == 1 else f"{count} answers wait"
        it = "it" if count == 1 else "them"
        say(f"{some} for you to read {it}: `coursekit read {work.slug}`, or open formgrader.")


def _say_how(how: Any) -> None:
    """Warn of running without a cage, and refuse it on a scheduler's workers."""
    if how.isolate:
        return
    if how.scheduler is not None:
        raise click.UsageError(
            "A scheduler's workers must cage what they run; got --no-sandbox with --scheduler. "
            "Leave one of the two out."
        )
    from coursekit.classroom.running.cage.layers import NO_SANDBOX

    click.secho(NO_SANDBOX, err=True, bold=True, fg="red")


@click.command()
@lesson_argument
@class_to_write_option
@mail_option
@quiet_option
@json_option
@plain_errors
def feedback(slug: str, class_path: Path, mail: Path | None, quiet: bool, as_json: bool) -> None:
    """Make each student's feedback page on LESSON."""
    from coursekit.classroom.register import class_folder, mail_draft
    from coursekit.classroom.report import feedback as pages
    from coursekit.classroom.report import feedback_mail

    folder = class_folder.load(class_path)
    done: dict[str, str] = {}
    count = len(pages.marked_students(folder, slug))
    with bar_unless(quiet or as_json or not count, "Feedback", count) as step:

        def tell(student: str, what: str) -> None:
            done[student] = what
            step(f"{student} {what}")

        made = pages.give_feedback(folder, slug, tell)
    drafts = feedback_mail.drafts(folder, slug) if mail else ()
    written = mail_draft.write(drafts, mail, f"{slug}-feedback") if mail else None
    if as_json:
        there = [s for s, what in done.items() if not what.startswith(LEFT)]
        pages_of = dict(zip(there, map(str, made), strict=True))
        rows = [{"id": s, "page": pages_of.get(s), "what": what} for s, what in done.items()]
        shown = {"exercise": slug, "pages": rows}
        echo(json_text(shown | ({"mail": mail_facts(written)} if written else {})))
    elif not quiet:
        pages_made = f"{len(made)} page{'' if len(made) == 1 else 's'}"
        nothing = f"Nothing of {slug} is marked yet. Mark it first: `coursekit mark {slug}`."
        say(f"{pages_made} in {class_path / 'feedback'}" if count else nothing)
        say(*(mail_lines(written, mail) if mail else ()))
    _say_left(slug, done)
    _end_if_left(done)


@click.command()
@lesson_argument
@class_option
@quiet_option
@json_option
@plain_errors
def marks(slug: str, class_path: Path, quiet: bool, as_json: bool) -> None:
    """Show what each student got for LESSON."""
    work = work_of(class_path, slug)
    if as_json:
        _print_marks([work], [{}])
    elif not quiet:
        _show_marks(work)
        say_old_feedback(work)


def _print_marks(works: Sequence[Any], told: Sequence[dict[str, str]]) -> None:
    """Print marks as JSON, as a list if there are several exercises.

    `told` holds, for each exercise, student → what was done.
    """
    from coursekit.classroom.report.marks_data import marks_data

    found = []
    for work, done in zip(works, told, strict=True):
        data = marks_data(work)
        for row in data["students"]:
            if row["id"] in done:
                row["what"] = done[row["id"]]
        found.append(data)
    shown = found[0] if len(found) == 1 else found
    echo(json_text(shown))


@click.command()
@lesson_argument
@class_option
@click.option(
    "--below",
    type=PER_CENT,
    default=50.0,
    show_default=True,
    help="Name students with less than this share of the marks, in per cent.",
)
@click.option("--json", "as_json", is_flag=True, help="Write JSON for another program.")
@plain_errors
def items(slug: str, class_path: Path, below: float, as_json: bool) -> None:
    """Show how each question of LESSON did, and who needs help."""
    from coursekit.classroom.register import names
    from coursekit.classroom.report import item_analysis, items_table

    work = work_of(class_path, slug)
    found = item_analysis.analyse(work, below / 100)
    say_left(found.left)
    if as_json:
        echo(json_text(found.as_json()))
    else:
        called = names.called(work.folder.students)
        console.print(*items_table.shown(found, called), sep="\n\n")
