"""Commands of the bench record, and of answers on paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from coursekit.commands.common import (
    class_option,
    class_to_write_option,
    console,
    echo,
    json_option,
    json_text,
    plain_errors,
    say,
    say_left,
    work_of,
)
from coursekit.commands.kinds import LESSON, lesson_argument, lesson_or_none_argument

_by_option = click.option("--by", default="", help="Who typed it, for rows that do not say.")
_out_option = click.option(
    "--out", type=click.Path(path_type=Path), help="File to write. [default: the screen]"
)
_file_argument = click.argument("file", type=click.Path(path_type=Path))
_lesson_option = click.option(
    "--lesson", default="", type=LESSON, help="Lesson of rows that name none."
)


@click.group("bench")
def bench_() -> None:
    """Take bench readings in, show them, and fit them over the class."""


def _exercises() -> Callable[[str], Any]:
    """Return a function from a lesson's name to the public half of its exercise."""
    from coursekit import project
    from coursekit.classroom.bank import exercises, lesson_names

    root = project.root()
    return lambda name: exercises.load(lesson_names.named(name, root), root)


def _opened(class_path: Path) -> Any:
    from coursekit.classroom.register import class_folder

    return class_folder.load(class_path)


@bench_.command("take-in")
@_file_argument
@class_to_write_option
@_lesson_option
@_by_option
@json_option
@plain_errors
def take_in(file: Path, class_path: Path, lesson: str, by: str, as_json: bool) -> None:
    """Record the readings in FILE, a CSV with the columns student, lesson, line, reading, value.

    Good rows are recorded. The others are named with their line, and the command ends with exit
    code 1. Mend them in the file and take it in again: rows that are known already add nothing.
    """
    from coursekit.classroom.bench.readings_file import READINGS_FILE

    taken = _taken(READINGS_FILE, file, class_path, lesson, by)
    _tell_taken(taken, "reading", as_json, [asdict(r) for r in taken.added])


def _taken(kind: Any, file: Path, class_path: Path, lesson: str, by: str) -> Any:
    from coursekit.classroom.bench import take_file

    return take_file.take_in(kind, _opened(class_path), file, _exercises(), lesson, by)


def _tell_taken(
    taken: Any,
    what: str,
    as_json: bool,
    added: Sequence[Mapping[str, Any]],
    handed_in: Mapping[str, Sequence[Mapping[str, str]]] | None = None,
) -> None:
    """Say what became of a file; end with exit code 1 if rows were refused."""
    if as_json:
        asked = [asdict(r) for r in taken.refused]
        out = {
            "added": list(added),
            "known": taken.known,
            "empty": taken.empty,
            "asked back": asked,
        }
        out |= {"handed in": handed_in} if handed_in is not None else {}
        echo(json_text(out))
    else:
        say(
            f"{_many(len(added), what)} recorded, {taken.known} known already, {taken.empty} not "
            f"filled in, {len(taken.refused)} asked back."
        )
    say_left(f"  {one}" for one in taken.refused)
    _tell_handed_in(handed_in or {}, as_json)
    if taken.refused:
        raise SystemExit(1)


def _many(count: int, what: str) -> str:
    return f"{count} {what}" + ("" if count == 1 else "s")


def _warn(folder: Any, slug: str | None = None) -> None:
    from coursekit.classroom.bench import bench_record

    say_left(bench_record.harm(folder, slug))


@bench_.command()
@lesson_argument
@class_option
@click.option(
    "--all", "every", is_flag=True, help="Show corrected readings too, not only the last."
)
@json_option
@plain_errors
def show(slug: str, class_path: Path, every: bool, as_json: bool) -> None:
    """Show what the class measured in LESSON."""
    from coursekit.classroom.bench import bench_record
    from coursekit.classroom.report import bench_table

    folder, exercise = _opened(class_path), _exercises()(slug)
    _warn(folder, slug)
    found = (
        bench_record.readings(folder, slug)
        if every
        else list(bench_record.latest(folder, slug).values())
    )
    if as_json:
        rows = {"exercise": slug, "readings": [asdict(r) for r in found]}
        echo(json_text(rows))
    else:
        console.print(bench_table.shown(folder, exercise, found, every))


@bench_.command()
@lesson_or_none_argument
@class_option
@_out_option
@plain_errors
def export(slug: str | None, class_path: Path, out: Path | None) -> None:
    """Write all readings ever recorded, of LESSON or of all, as CSV for a spreadsheet."""
    from coursekit.classroom.bench import bench_record, readings_file

    folder, find = _opened(class_path), _exercises()
    _warn(folder, slug)
    found = bench_record.readings(folder, slug)
    exercises = {s: find(s) for s in {r.slug for r in found}}
    _give(readings_file.export(folder, found, exercises), out)


@bench_.command()
@lesson_argument
@class_option
@_out_option
@plain_errors
def blank(slug: str, class_path: Path, out: Path | None) -> None:
    """Write a CSV for the class to fill in: one row for each reading of LESSON.

    A file that is filled in is never written over.
    """
    from coursekit.classroom.bench import readings_file

    text = readings_file.blank(_opened(class_path), _exercises()(slug))
    _give(text, out, readings_file.READINGS_FILE)


def _give(text: str, out: Path | None, blank: Any = None) -> None:
    """Print CSV, or write it with a mark for spreadsheets; a `blank` spares what is filled in."""
    from coursekit.classroom.bench import take_file
    from coursekit.classroom.register.class_folder import ClassError, write_text

    if out is None:
        echo(text, nl=False)
        return
    if blank:
        take_file.write_blank(blank, out, text)
    elif out.is_dir():
        raise ClassError(f"{out}: the file must have a name; got a folder. Name a file in it.")
    else:
        write_text(out, take_file.MARK + text)
    say(f"Written to {out}")


@bench_.command()
@lesson_argument
@class_option
@json_option
@plain_errors
def fits(slug: str, class_path: Path, as_json: bool) -> None:
    """Show what the class's readings in LESSON say when they are taken together.

    Every line shows its spread. Where tacks were measured, it fits the model of their pulls. Where
    a frame was read on both faces, it shows offset and angle, before and after.
    """
    from coursekit.classroom.bench import class_fits
    from coursekit.classroom.report import bench_table

    folder = _opened(class_path)
    _warn(folder, slug)
    found = class_fits.fits(folder, _exercises()(slug))
    say_left(found.left)
    if as_json:
        echo(json_text(found.as_json()))
    else:
        console.print(*bench_table.fitted(found), sep="\n\n")


@bench_.command()
@class_to_write_option
@click.option(
    "--phones", is_flag=True, help="Let phones in the same Wi-Fi in, each by a student's own code."
)
@click.option(
    "--address", default="", help="This computer's address in the Wi-Fi. [default: found out]"
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8765,
    show_default=True,
    help="Port to serve at; 0 takes a free one.",
)
@plain_errors
def form(class_path: Path, phones: bool, address: str, port: int) -> None:
    """Serve a form for typing in readings and answers, until Ctrl-C stops it.

    On this computer it shows everybody's sheets. With `--phones`, phones in the shop's Wi-Fi get in
    too. A student types the code from the top of their worksheet, and the phone then shows that
    student's lessons alone. `coursekit bench codes` shows the codes again.
    """
    from coursekit import project
    from coursekit.classroom.form import server
    from coursekit.classroom.form.form_state import Form
    from coursekit.classroom.form.gate import Gate
    from coursekit.classroom.register import phone_code

    folder, root = _opened(class_path), project.root()
    if address and not phones:
        raise click.UsageError("An address must go with --phones; got it alone. Add --phones.")
    if phones and not (address := address or server.wifi_address()):
        raise click.ClickException(
            "The form for phones must have an address in a network; this computer has none. Join "
            "the Wi-Fi, or name the address with --address."
        )
    gate = Gate(phone_code.codes(folder) if phones else {})
    served = Form(folder, root, gate, address if phones else "", port)
    server.run(served, _tell_open)
    say(f"Stopped. {_many(served.recorded, 'value')} recorded in {folder.path}.")


@bench_.command()
@class_option
@json_option
@plain_errors
def codes(class_path: Path, as_json: bool) -> None:
    """Show each student's own code, by which a phone comes in to the form.

    Whoever has a student's code can read and type for that student, so show them one by one.
    """
    from coursekit.classroom.register import phone_code

    folder = _opened(class_path)
    whose = {student: code for code, student in phone_code.codes(folder).items()}
    found = {student: phone_code.printed(code) for student, code in whose.items()}
    if as_json:
        echo(json_text(found))
        return
    for student in folder.students:
        name = "" if student.name == student.id else f" · {student.name}"
        say(f"{found[student.id]}  {student.id}{name}")


def _tell_open(served: Any) -> None:
    """Say where to find the form, and print a QR code for phones."""
    say(f"On this computer: http://127.0.0.1:{served.port}/")
    if served.address:
        import segno

        url = f"http://{served.address}:{served.port}/"
        say(f"On phones in the same Wi-Fi: {url}")
        segno.make_qr(url).terminal(compact=True)
        say("Each student types the code from the top of their worksheet.")
        say(
            "Whoever is in that Wi-Fi can read along. Use it only in one that you trust, and "
            "stop the form when the evening ends."
        )
    say("Stop it with Ctrl-C.")


@click.group("answers")
def answers_() -> None:
    """Take in answers on paper, so that they are marked like a notebook."""


_replace_option = click.option(
    "--replace",
    multiple=True,
    metavar="STUDENT",
    help="Let answers on paper replace the notebook that this student handed in; it is kept in "
    "taken-in/. May be given more than once.",
)


@answers_.command("take-in")
@_file_argument
@class_to_write_option
@_lesson_option
@_by_option
@_replace_option
@json_option
@plain_errors
def answers_take_in(
    file: Path, class_path: Path, lesson: str, by: str, replace: tuple[str, ...], as_json: bool
) -> None:
    """Record the answers in FILE, a CSV with the columns student, lesson, question, answer.

    Each student's answers are put into the exercise's notebook and handed in, ready for `mark`.
    Name a question by its number on the sheet or by its id. Rows that cannot be taken are named
    with their line, and the command ends with exit code 1.
    """
    from coursekit.classroom.paper.answers_file import ANSWERS_FILE

    taken = _taken(ANSWERS_FILE, file, class_path, lesson, by)
    done = {slug: _hand_in(class_path, slug, replace) for slug in taken.lessons}
    _tell_taken(taken, "answer", as_json, [asdict(r) for r in taken.added], done)


@answers_.command("hand-in")
@lesson_argument
@class_to_write_option
@_replace_option
@json_option
@plain_errors
def answers_hand_in(slug: str, class_path: Path, replace: tuple[str, ...], as_json: bool) -> None:
    """Hand in the answers on paper that are recorded for LESSON."""
    done = _hand_in(class_path, slug, replace)
    if as_json:
        echo(json_text({"exercise": slug, "students": done}))
    _tell_handed_in({slug: done}, as_json)


def _hand_in(class_path: Path, slug: str, replace: tuple[str, ...]) -> list[dict[str, str]]:
    from coursekit.classroom.paper import as_notebook
    from coursekit.classroom.register import names

    work = work_of(class_path, slug)
    replace = tuple(names.student(work.folder, one).id for one in replace)
    return [asdict(one) for one in as_notebook.hand_in(work, replace=replace)]


def _tell_handed_in(done: Mapping[str, Sequence[Mapping[str, str]]], as_json: bool) -> None:
    """Say what was handed in; end with exit code 1 if a student's notebook was in the way."""
    whys = [one["why"] for some in done.values() for one in some if one["why"]]
    for slug, some in done.items():
        count = sum(one["what"] == "handed in" for one in some)
        if not as_json:
            say(f"{slug}: {_many(count, 'notebook')} handed in from paper.")
    say_left(f"  {why}" for why in whys)
    if whys:
        raise SystemExit(1)


@answers_.command("blank")
@lesson_argument
@class_option
@_out_option
@plain_errors
def answers_blank(slug: str, class_path: Path, out: Path | None) -> None:
    """Write an empty CSV for typing in the class's answers to LESSON.

    A file that is filled in is never written over.
    """
    from coursekit.classroom.paper import answers_file

    text = answers_file.blank(_opened(class_path), _exercises()(slug))
    _give(text, out, answers_file.ANSWERS_FILE)


@answers_.command("show")
@lesson_argument
@class_option
@json_option
@plain_errors
def answers_show(slug: str, class_path: Path, as_json: bool) -> None:
    """Show the answers on paper that are recorded for LESSON."""
    from coursekit.classroom.paper import paper_answers
    from coursekit.classroom.report import bench_table

    folder, exercise = _opened(class_path), _exercises()(slug)
    say_left(paper_answers.harm(folder, slug))
    stands = paper_answers.latest(folder, slug)
    if as_json:
        rows = [asdict(one) for some in stands.values() for one in some.values()]
        shown = {"exercise": slug, "answers": rows}
        echo(json_text(shown))
    else:
        console.print(bench_table.answers(exercise, stands))
