"""Commands that open a class, show it, say when its work is due, and pack it away."""

from __future__ import annotations

import os
from dataclasses import asdict
from datetime import UTC
from pathlib import Path
from typing import Any

import click

from coursekit.commands.common import (
    SOME_LEFT,
    class_option,
    class_to_write_option,
    console,
    echo,
    json_option,
    json_text,
    keep_before,
    plain_errors,
    say,
    say_left,
    see_to_class,
    work_of,
)
from coursekit.commands.kinds import ANY_LESSON, PER_CENT


@click.group("class")
def class_() -> None:
    """Open a class, look at it, set due times, pack it away."""


@class_.command("open")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--roster",
    type=click.Path(path_type=Path),
    required=True,
    help=(
        "CSV or TSV file from a spreadsheet; its first line names the columns, id and name among "
        "them."
    ),
)
@click.option("--title", default="", help="What the class is called.")
@json_option
@plain_errors
def class_open(folder: Path, roster: Path, title: str, as_json: bool) -> None:
    """Make FOLDER a class folder, or bring the roster of one up to date.

    An id may be a pseudonym. It names the student's files for good. An e-mail address is kept, so
    that `hand-out` and `feedback` can write mail drafts. Other columns are left out. The work of
    students who are no longer on the roster stays; `coursekit student erase` removes it.
    """
    from coursekit.classroom.register.roster import read
    from coursekit.classroom.register.secret import SECRET_FILE
    from coursekit.classroom.students import rename

    if os.path.lexists(folder / SECRET_FILE):  # without one it may be a new class
        see_to_class(folder)
        keep_before(folder, "class open")
    found = read(roster, fresh=True)
    opened, gone = rename.open_with(folder, found.students, title)
    if as_json:
        told = {"class": opened.title, "students": len(opened.students), "folder": str(folder)}
        told |= {"left_out": list(found.left_out), "no_longer_there": gone}
        echo(json_text(told | ({"told": list(found.told)} if found.told else {})))
        return
    count = len(opened.students)
    say(f"{opened.title}: {count} student{'' if count == 1 else 's'}, in {folder}")
    say_left(found.told)
    if found.left_out:
        say(f"Columns left out: {', '.join(found.left_out)}")
    if gone:
        say(
            f"No longer on the roster: {', '.join(gone)}. Their work stays; `coursekit student "
            "erase` removes it, `coursekit student rename` gives it to a new id."
        )


@class_.command("show")
@class_option
@json_option
@plain_errors
def class_show(class_path: Path, as_json: bool) -> None:
    """Show what is handed out, printed, taken in, marked and overdue."""
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import overview, overview_table

    found = overview.overview(class_folder.load(class_path))
    if as_json:
        echo(json_text(found.as_json()))
    else:
        console.print(*overview_table.shown(found), sep="\n\n")
        say(*overview.old_feedback(found.lessons))
        say_left(overview.troubles(found.lessons))


@class_.command("check")
@class_option
@json_option
@plain_errors
def class_check(class_path: Path, as_json: bool) -> None:
    """Look whether the class folder is whole, what is stale, and say what to do.

    It looks at the secret, at who may open the folder, the room on the disk and the clock, which
    every command that writes does too. Then it looks at nbgrader's settings, ids that some disks
    can't tell apart, the gradebook, the records of marks and readings, work that is not marked,
    feedback older than its marks, and files that were left half-written. It changes nothing. Ends
    with exit code 1 if there is something to do.
    """
    from coursekit import project
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.report import class_check as whole

    found = whole.check(class_folder.load(class_path), project.root())
    if as_json:
        echo(json_text({"well": found.is_well, "findings": [asdict(f) for f in found.findings]}))
    else:
        say(*found.lines())
    if not found.is_well:
        raise click.exceptions.Exit(SOME_LEFT)


@class_.command("due")
@click.argument("name", metavar="[LESSON]", required=False, type=ANY_LESSON)
@click.argument("words", metavar="[WHEN]", nargs=-1)
@click.option("--past", is_flag=True, help="Even if that time is over.")
@class_option
@json_option
@plain_errors
def class_due(
    name: str | None, words: tuple[str, ...], past: bool, class_path: Path, as_json: bool
) -> None:
    """Say when LESSON is due.

    WHEN is a day, a day and an hour, or `never`. Without WHEN it shows the due times. A day is
    written 3.12.2026, 3 Dec 2026, 2026-12-03 or as your system writes it, and means the end of that
    day; 3.12.2026 18:00 means that minute, by this computer's clock. It then says which time it
    took that for. 2026-12-03T18:00+01:00 names another zone. nbgrader's due date follows.
    """
    from coursekit import project
    from coursekit.classroom.bank import exercises, lesson_names
    from coursekit.classroom.gradebook import due
    from coursekit.classroom.register import class_folder, dates

    folder, root = class_folder.load(class_path), project.root()
    # a time that was set may be taken back even where the course no longer has the lesson
    slug = lesson_names.named(name, root, also=folder.due) if name else None
    if slug and words:
        see_to_class(class_path)
        if slug not in folder.due:
            exercises.load(slug, root)
        title = lesson_names.title(slug, root)
        moment = None
        if words != ("never",):
            moment = dates.read(" ".join(words), f"The due time of {title}")
            if not past and (odd := due.is_over(title, moment)):
                raise ValueError(f"{odd} Add --past if it is meant.")
        keep_before(class_path, f"class due {slug}")
        folder = due.set_due(folder, slug, moment)
    dues = {s: t for s, t in folder.due.items() if slug in (None, s)}
    if as_json:
        echo(json_text({s: t.isoformat() for s, t in dues.items()}))
    elif not dues:
        said = f"{lesson_names.title(slug, root)} has no" if slug else "No lesson has a"
        say(f"{said} due time.")
    for one, moment in () if as_json else dues.items():
        say(f"{lesson_names.title(one, root)} is due on {dates.shown(moment)}.")


@class_.command("late")
@click.argument("words", metavar="PER_DAY", nargs=-1, required=True)
@click.option("--most", type=PER_CENT, default=100.0, help="Per cent at most.")
@click.option(
    "--grace-hours", type=click.FloatRange(0, 8760), default=0.0, help="Hours that do not count."
)
@class_to_write_option
@plain_errors
def class_late(words: tuple[str, ...], most: float, grace_hours: float, class_path: Path) -> None:
    """Say what late work loses: PER_DAY per cent for each day begun, 10 or 10%.

    With 0 it loses nothing. Marks that have been given change at once. A plug-in of your own, named
    in nbgrader_config.py, takes precedence.
    """
    from coursekit.classroom.gradebook import late_work
    from coursekit.classroom.register import class_folder, class_toml, typed

    # a % that stands alone belongs to the number before it, be that of an option
    said = " ".join(word for word in words if word != "%")
    rule = class_toml.Late(typed.per_cent(said, "What late work loses a day"), most, grace_hours)
    renewed = late_work.set_rule(class_folder.load(class_path), rule)
    say(f"Late work loses {rule.per_day:g} % a day, {most:g} % at most, after {grace_hours:g} h.")
    for slug, students in renewed.items():
        say(f"{slug}: what late work lost has changed for {', '.join(students)}.")


@class_.command("question")
@click.argument("slug", metavar="LESSON")
@click.argument("question", metavar="[QUESTION]", required=False)
@click.option(
    "--tolerance", default="", help="As in the course's files: 0.3, '2 %' or 'last digit 0.1'."
)
@click.option("--marks", type=float, help="Marks of the question.")
@click.option("--as-in-course", is_flag=True, help="Ask it as the course does again.")
@class_option
@json_option
@plain_errors
def class_question(
    slug: str,
    question: str | None,
    tolerance: str,
    marks: float | None,
    as_in_course: bool,
    class_path: Path,
    as_json: bool,
) -> None:
    """Change QUESTION's tolerance or marks for this class alone.

    The course's own files stay as they are. A change is taken only if it is sound: no wrong answer
    may pass, and no right one be lost. Without options it shows the questions of LESSON.
    """
    from coursekit import project
    from coursekit.classroom.marking import class_question as here
    from coursekit.classroom.register import class_folder

    to_change = bool(tolerance) or marks is not None or as_in_course
    if to_change and (not question or (as_in_course and (tolerance or marks is not None))):
        raise click.UsageError(
            "A change must name one QUESTION, and either a tolerance or marks, or --as-in-course."
        )
    folder, root = class_folder.load(class_path), project.root()
    if to_change and question:
        see_to_class(class_path)
        keep_before(class_path, f"class question {slug} {question}")
        found = (
            [here.as_in_course(folder, slug, question, root)]
            if as_in_course
            else [here.change(folder, slug, question, root, tolerance, marks)]
        )
    else:
        found = [q for q in here.asked(work_of(class_path, slug)) if question in (None, q.here.id)]
    if as_json:
        echo(json_text({"exercise": slug, "questions": [_asked_as_json(one) for one in found]}))
        return
    say(*map(_asked, found))
    say(*(found[0].to_do if found else ()))


def _asked(one: Any) -> str:
    """Return how a question is asked in this class and, if that differs, in the course."""
    return f"{one.here.id}: {_terms(one.here)}" + (
        f" (in the course: {_terms(one.course)})" if one.changed else ""
    )


def _terms(question: Any) -> str:
    marks = f"{question.marks:g} mark{'' if question.marks == 1 else 's'}"
    if not question.tolerance:
        return marks
    if question.relative:
        return f"{marks}, tolerance {100 * question.tolerance:g} %"
    return f"{marks}, tolerance {question.tolerance:g} {question.unit}"


def _asked_as_json(one: Any) -> dict[str, Any]:
    places = {"here": one.here, "in_course": one.course}
    terms = {
        name: {"marks": q.marks, "tolerance": q.tolerance, "relative": q.relative}
        for name, q in places.items()
    }
    return {"id": one.here.id, "changed": one.changed, **terms, "to_do": list(one.to_do)}


@class_.command("undo")
@click.option("--redo", is_flag=True, help="Take the last undo back.")
@click.option("--show", is_flag=True, help="Say what would be undone, and change nothing.")
@class_option
@json_option
@plain_errors
def class_undo(redo: bool, show: bool, class_path: Path, as_json: bool) -> None:
    """Put the class back as it was before the last command that changed it.

    The last three commands can be undone, one after the other, and each undo can be taken back with
    --redo until something else is done. What has left the class folder, like a mail or a page on a
    web space, is not undone. Readings and answers on paper go only if the command took them in.
    """
    from coursekit.classroom.register import class_folder, undo

    folder = class_folder.load(class_path)
    if show:
        step = undo.last(folder, redo=redo)
        why = undo.why_not(folder)
        if as_json:
            echo(json_text({"last": undo.facts(step), "why_not": why}))
        else:
            say(f"It would undo: {_done(step)}." if step else why or "There is nothing to undo.")
        return
    done = undo.undo(folder, redo=redo)
    if as_json:
        echo(json_text({"undone": undo.facts(done.step), "left": list(done.left)}))
        return
    say(f"{'Done again' if redo else 'Undone'}: {_done(done.step)}.")
    for path in done.left:
        say(f"{path}: another program has written into it, so it stays as it is.")


def _done(step: Any) -> str:
    """Return a step's words and the time by this computer's clock."""
    return f"`{step.words}` of {step.when.replace(tzinfo=UTC).astimezone():%d %b %H:%M}"


@class_.command("pack")
@click.argument("file", type=click.Path(path_type=Path))
@class_to_write_option
@plain_errors
def class_pack(file: Path, class_path: Path) -> None:
    """Pack the whole class folder into the zip FILE.

    Put it away, or carry it to another machine and unpack it there to go on. It holds the class's
    secret and everybody's work, so keep it where nobody else can read it.
    """
    from coursekit.classroom.register import class_folder, packing

    left: list[str] = []
    count = packing.pack(class_folder.load(class_path), file, left.append)
    say_left(f"LEFT: {why}" for why in left)
    say(f"{count} files are in {file}. Keep it to yourself.")
    if left:
        raise click.exceptions.Exit(SOME_LEFT)
