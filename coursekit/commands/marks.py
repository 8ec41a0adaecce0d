"""Commands that mark, and that show marks."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager, suppress
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
    work_of,
)


@click.command()
@click.argument("slugs", metavar="LESSON...", nargs=-1, required=True)
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
    from coursekit.classroom.intake import first_look
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.running.warm_parent import NotIsolatedError, WarmParent

    folder = class_folder.load(class_path)
    new = first_look.new_work(folder, slugs)
    parent = WarmParent(new.libraries)
    if new.to_run and scheduler is None:
        with suppress(NotIsolatedError):  # what can't be run here is told with the marks
            parent.start()  # it does its imports while this process does the ones below
    from coursekit.classroom.marking import mark_class
    from coursekit.classroom.running.limits import Limits

    works = [work_of(class_path, slug) for slug in slugs]
    told: list[dict[str, str]] = []
    limits = Limits(cell=seconds, notebook=6 * seconds)
    with _place(scheduler, limits, workers, no_sandbox, parent) as place:
        if new.to_run:
            place.start()
        for work in works:
            done: dict[str, str] = {}
            with bar_unless(
                quiet or as_json, "Marking", len(mark_class.who_handed_in(work))
            ) as step:

                def tell(student: str, what: str, done: Any = done, step: Any = step) -> None:
                    done[student] = what
                    step(f"{student} {what}")

                mark_class.mark_class(work, place=place, progress=tell, new=new)
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
    from coursekit.classroom.gradebook import reader
    from coursekit.classroom.gradebook.read_only import reading

    with reading(work.folder) as book:
        held = reader.questions(book, work.slug)
    count = sum(one.waits for answers in held.values() for one in answers.values())
    if count:
        some = "1 answer waits" if count == 1 else f"{count} answers wait"
        it = "it" if count == 1 else "them"
        say(f"{some} for you to read {it}: open formgrader (README, *If you are the instructor*).")


def _place(
    scheduler: str | None, limits: Any, workers: int | None, no_sandbox: bool, parent: Any
) -> AbstractContextManager[Any]:
    """Return the place where notebooks run: a scheduler's workers, or else this machine."""
    from coursekit.classroom.running.cage.layers import NO_SANDBOX
    from coursekit.classroom.running.places import Here

    if scheduler is None:
        if no_sandbox:
            click.secho(NO_SANDBOX, err=True, bold=True, fg="red")
        return Here(limits, workers, isolate=not no_sandbox, parent=parent)
    if no_sandbox:
        raise click.UsageError(
            "A scheduler's workers must cage what they run; got --no-sandbox with --scheduler. "
            "Leave one of the two out."
        )
    from coursekit.classroom.running.dask_cluster import DaskCluster

    return DaskCluster(scheduler, limits)


@click.command()
@click.argument("slug", metavar="LESSON")
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
@click.argument("slug", metavar="LESSON")
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
@click.argument("slug", metavar="LESSON")
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
    """Show how each question of LESSON did, and who needs help."""
    from coursekit.classroom.report import item_analysis, items_table

    found = item_analysis.analyse(work_of(class_path, slug), below / 100)
    say_left(found.left)
    if as_json:
        echo(json_text(found.as_json()))
    else:
        console.print(*items_table.shown(found), sep="\n\n")
