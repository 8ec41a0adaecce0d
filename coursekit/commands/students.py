"""Commands about one student: another id, other numbers, their data given out or erased."""

from __future__ import annotations

from pathlib import Path

import click

from coursekit.commands.common import (
    SOME_LEFT,
    ask,
    class_option,
    class_to_write_option,
    echo,
    json_option,
    json_text,
    plain_errors,
    say,
    say_left,
    work_of,
)
from coursekit.commands.kinds import lessons_argument


@click.group("student")
def student() -> None:
    """Change a student's id or numbers; export or erase them.

    STUDENT is an id or a whole name.
    """


@student.command("rename")
@click.argument("old")
@click.argument("new")
@class_to_write_option
@plain_errors
def student_rename(old: str, new: str, class_path: Path) -> None:
    """Give the student OLD the id NEW; work, marks and own numbers stay.

    Work that still carries the old id is taken in under the new one.
    """
    from coursekit.classroom.register import class_folder, names
    from coursekit.classroom.students import rename

    folder = class_folder.load(class_path)
    old = names.student(folder, old).id
    rename.rename(folder, old, new)
    say(f"{old} is now {new}. Hand out and print again, so that paper and files say so.")


@student.command("renumber")
@click.argument("id", metavar="STUDENT")
@lessons_argument
@click.option("--even-so", is_flag=True, help="Even where work on the old numbers is in.")
@class_to_write_option
@plain_errors
def student_renumber(id: str, slugs: tuple[str, ...], even_so: bool, class_path: Path) -> None:
    """Give STUDENT other own numbers in each LESSON, for another frame."""
    from coursekit.classroom.register import class_folder, names
    from coursekit.classroom.students import rename

    works = [work_of(class_path, slug) for slug in slugs]
    folder = class_folder.load(class_path)
    id = names.student(folder, id).id
    rename.renumber(folder, id, works, even_so=even_so)
    say(f"{id} has other numbers in {', '.join(slugs)}. Hand out and print again.")


@student.command("frame")
@click.argument("id", metavar="STUDENT")
@click.argument("file", type=click.Path(path_type=Path))
@class_to_write_option
@plain_errors
def student_frame(id: str, file: Path, class_path: Path) -> None:
    """Put the frame in FILE in the place of the one that was drawn for STUDENT.

    FILE is a frame file, as `coursekit sheets start` writes one. From then on notebook, worksheet,
    templates and cards are about this frame. What was handed out before keeps its numbers.
    """
    from coursekit import project
    from coursekit.classroom.register import class_folder, names
    from coursekit.classroom.students import own_frames

    folder = class_folder.load(class_path)
    for line in own_frames.put(folder, names.student(folder, id).id, file, project.root()):
        say(line)


@student.command("export")
@click.argument("id", metavar="STUDENT")
@click.argument("file", type=click.Path(path_type=Path))
@class_option
@json_option
@plain_errors
def student_export(id: str, file: Path, class_path: Path, as_json: bool) -> None:
    """Write all that the class holds about STUDENT into the zip FILE."""
    from coursekit import project
    from coursekit.classroom.register import class_folder, names
    from coursekit.classroom.students import privacy

    left: list[str] = []
    folder = class_folder.load(class_path)
    who = names.student(folder, id).id
    holds = privacy.export(folder, who, project.root(), file, left.append)
    say_left(f"LEFT: {why}" for why in left)
    if as_json:
        echo(json_text({"file": str(file), "holds": holds}))
    else:
        say(f"{len(holds)} files are in {file}.")
    if left:
        raise click.exceptions.Exit(SOME_LEFT)


@student.command("erase")
@click.argument("id", metavar="STUDENT")
@click.option("--yes", is_flag=True, help="Do not ask.")
@class_to_write_option
@json_option
@plain_errors
def student_erase(id: str, yes: bool, class_path: Path, as_json: bool) -> None:
    """Take STUDENT out of everything.

    It takes them out of the gradebook and its backups, the work, the bench record, the roster, and
    everything that was made of the whole class. Copies outside the class folder, such as packed
    classes and files that were sent, are yours to find.
    """
    from coursekit.classroom.register import class_folder
    from coursekit.classroom.students import privacy

    folder = class_folder.load(class_path)
    found = privacy.to_erase(folder, id)
    if not yes:
        called = found.id if found.name == found.id else f"{found.name} ({found.id})"
        ask(f"Erase {called} from {class_path} for good?")
    done = privacy.erase(folder, found.id)
    if as_json:
        told = {"removed": list(done.removed), "still_named_in": list(done.left)}
        echo(json_text(told))
        return
    say("Removed:", *(f"  {one}" for one in done.removed))
    if done.left:
        say("Still named in:", *(f"  {one}" for one in done.left))
