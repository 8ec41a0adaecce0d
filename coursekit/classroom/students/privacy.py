"""A student's own data: exported to one file, or erased from everything that a class keeps."""

from __future__ import annotations

import json
import os
import re
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, BinaryIO

from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.bench import bench_record
from coursekit.classroom.gradebook import opener, read_only, reader
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake.kept_versions import ORIGIN, origin
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.register import former_ids, lock_and_backup, names, paper_places, undo
from coursekit.classroom.register.class_folder import (
    ClassError,
    ClassFolder,
    Student,
    csv_text,
    load,
    write_draws,
    write_roster,
    write_text,
)
from coursekit.classroom.register.outside_names import shown
from coursekit.classroom.register.trees import TOO_DEEP, is_folder, walk
from coursekit.classroom.report import marks_data
from coursekit.classroom.report.safe_html import without_paths
from coursekit.classroom.students import rename

# folders of what is made for the whole class; it names everybody and can be made again
_OF_ALL = ("reports", paper_places.KEYS, paper_places.PILES)
_TELLS_PATHS = ("source", "reason", "hint", "repairs")
_SEARCHED = 30_000_000  # bytes of a file that are searched for traces

Tell = Callable[[str], object]


@dataclass(frozen=True)
class Erased:
    """What was removed of a student, in words, and which of the class's files still hold the id."""

    removed: tuple[str, ...]
    left: tuple[str, ...]


def export(
    folder: ClassFolder, student: str, root: Path, target: Path, tell: Tell = lambda why: None
) -> list[str]:
    """Write all that the class holds about a student into the zip `target`; return what is in it.

    It holds what was handed out and handed in, every version, marks with their reasons, feedback,
    bench readings and answers on paper, but nothing of other students and nothing of the class
    secret. `tell` is called for a folder that is too deep to be packed. Raises ClassError if the
    file exists already, or for an unknown student.
    """
    found = folder.student(student)
    if target.exists():
        raise ClassError(f"{target}: the export must be a new file; this is there. Name another.")
    target.parent.mkdir(parents=True, exist_ok=True)
    facts = {"id": student, "name": found.name, "class": folder.title}
    facts |= {"e-mail": found.mail} if found.mail else {}
    readings = [asdict(r) for r in bench_record.readings(folder, student=student)]
    answers = [
        asdict(a)
        for slug in paper_answers.slugs(folder)
        for a in paper_answers.every(folder, slug, student)
    ]
    texts = {
        "about.json": _json(facts),
        "marks.json": _json(_portable(list(_marks(folder, student, root)))),
        "bench.json": _json(_portable(readings)),
        "answers-on-paper.json": _json(_portable(answers)),
    }
    holds = []
    with _whole(target) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in texts.items():
            packed.writestr(name, text)
            holds.append(name)
        for name in former_ids.BY_STUDENT:
            if name == "autograded":
                continue  # the kit's own working copy; marks.json and the feedback hold the same
            base = folder.path / name / student
            for path in walk(base) if is_folder(base) else ():
                inner = f"{name}/{shown(path.relative_to(base).as_posix())}"
                if is_folder(path):
                    tell(f"{inner}: {TOO_DEEP}")
                elif path.name == ORIGIN and name == "taken-in":
                    packed.writestr(inner, _json(_portable(origin(path.parent))))
                    holds.append(inner)
                elif path.is_file() and not path.is_symlink():
                    packed.write(path, inner)
                    holds.append(inner)
        for path in paper_places.own_worksheets(folder, student):
            inner = path.parent.relative_to(folder.path / paper_places.WORKSHEETS).as_posix()
            holds.append(f"{paper_places.WORKSHEETS}/{inner.replace('/', '-')}.pdf")
            packed.write(path, holds[-1])
    return holds


@contextmanager
def _whole(target: Path) -> Iterator[BinaryIO]:
    """Yield a file that its owner alone can read; it gets its name once it is whole."""
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def _json(found: Any) -> str:
    return json.dumps(found, indent=1, ensure_ascii=False) + "\n"


def _portable(found: Any) -> Any:
    """Return `found` with the paths of this machine in it cut down to their last part."""
    if isinstance(found, list):
        return [_portable(one) for one in found]
    if not isinstance(found, dict):
        return found
    return {key: (_cut if key in _TELLS_PATHS else _portable)(one) for key, one in found.items()}


def _cut(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return [_cut(one) for one in value]
    return without_paths(value) if isinstance(value, str) else value


def _marks(folder: ClassFolder, student: str, root: Path) -> Iterator[dict[str, Any]]:
    for path in sorted((folder.path / "autograded" / student).glob("*")):
        try:
            work = assignments.assignment(folder, path.name, root)
        except AuthoringError:
            continue  # the course no longer has this exercise
        data = marks_data.marks_data(work)
        for row in data["students"]:
            if row["id"] == student:
                yield {"exercise": path.name, "out_of": data["out_of"], **row}


def erase(folder: ClassFolder, student: str) -> Erased:
    """Erase a student from all that the class keeps: gradebook, backups, work, record, roster.

    What was made for the whole class names the student too, so it is deleted as well: class sets,
    answer keys, reports, the stick. It can be made again. A student who is no longer on the roster
    but still has work here can be erased too. Raises ClassError if nothing is there under this id,
    or if the class is being marked.
    """
    on_roster = any(s.id == student for s in folder.students)
    with lock_and_backup.only_writer(folder):
        undo.forget(folder)  # nothing may bring the student back
        removed = _from_gradebook(folder, student)
        removed += _from_backups(folder, student)
        removed += rename.forget_files(folder, student)
        removed += _from_records(folder, student)
        if not removed and not on_roster:
            raise _nobody(folder, student)
        removed += _made_of_all(folder, student)
        removed += _from_lists(folder, student)
    return Erased(tuple(removed), tuple(traces(load(folder.path), student)))


def to_erase(folder: ClassFolder, text: str) -> Student:
    """Return the student whom `text` names, to be shown before anything is erased.

    A student who is no longer on the roster goes by the id. Raises ClassError if nothing is here
    under this id; nothing is changed.
    """
    if names.find(folder, text):
        return names.student(folder, text)
    if not _is_known(folder, text):
        raise _nobody(folder, text)
    return Student(text, text)


def _nobody(folder: ClassFolder, student: str) -> ClassError:
    return ClassError(
        f"{folder.path}: a student to erase must be here; got '{student}', of whom nothing is. "
        "Look at the spelling."
    )


def _is_known(folder: ClassFolder, student: str) -> bool:
    """Whether anything of a student is kept: files, rows of the gradebook or a backup, readings."""
    with read_only.reading(folder) as book:
        if reader.knows_student(book, student):
            return True
    if rename.files_of(folder, student) or bench_record.readings(folder, student=student):
        return True
    if any(paper_answers.every(folder, slug, student) for slug in paper_answers.slugs(folder)):
        return True
    for path in lock_and_backup.backups(folder):
        with read_only.in_file(folder, path) as book:
            if reader.knows_student(book, student):
                return True
    return False


def _from_gradebook(folder: ClassFolder, student: str) -> list[str]:
    with opener.gradebook(folder) as book:
        count = _remove_row(book, student)
    if count is None:
        return []
    if not folder.gradebook:
        _vacuum(folder.gradebook_file)
    return [f"gradebook: the student and {count} submission{'' if count == 1 else 's'}"]


def _remove_row(book: Any, student: str) -> int | None:
    """Remove a student from a gradebook; return how many submissions went, or None if unknown.

    It is done in one commit. nbgrader itself commits once for each submission, so if it is stopped
    it leaves some rows behind.
    """
    from nbgrader.api import Comment, Grade, SubmittedAssignment, SubmittedNotebook
    from nbgrader.api import Student as Row
    from sqlalchemy import delete, select

    if book.db.get(Row, student) is None:
        return None
    work = select(SubmittedAssignment.id).where(SubmittedAssignment.student_id == student)
    notebooks = select(SubmittedNotebook.id).where(SubmittedNotebook.assignment_id.in_(work))
    count = len(book.db.scalars(work).all())
    for table, rows in (
        (Grade, Grade.notebook_id.in_(notebooks)),
        (Comment, Comment.notebook_id.in_(notebooks)),
        (SubmittedNotebook, SubmittedNotebook.assignment_id.in_(work)),
        (SubmittedAssignment, SubmittedAssignment.student_id == student),
        (Row, Row.id == student),
    ):
        gone = delete(table).where(rows).execution_options(synchronize_session=False)
        book.db.execute(gone)
    book.db.commit()
    return count


def _vacuum(path: Path) -> None:
    """Rewrite a gradebook file, so that nothing of removed rows stays in its free pages."""
    import sqlite3

    with closing(sqlite3.connect(path)) as connection:
        connection.execute("VACUUM")


def _from_backups(folder: ClassFolder, student: str) -> list[str]:
    from nbgrader.api import Gradebook

    removed = []
    for path in lock_and_backup.backups(folder):
        with Gradebook(f"sqlite:///{path.resolve()}") as book:
            count = _remove_row(book, student)
        if count is not None:
            _vacuum(path)
            removed.append(f"backup {path.name}")
    return removed


def _from_records(folder: ClassFolder, student: str) -> list[str]:
    """Empty the student's lines of the bench record and of answers on paper."""
    removed = []
    if count := bench_record.erase(folder, student):
        removed.append(f"bench record: {count} readings")
    if count := paper_answers.erase(folder, student):
        removed.append(f"answers on paper: {count}")
    return removed


def _made_of_all(folder: ClassFolder, student: str) -> list[str]:
    """Remove what was made for the whole class and can be made again."""
    paths = [p for name in _OF_ALL for p in (folder.path / name).rglob("*") if p.is_file()]
    paths += filter(
        paper_places.is_class_set, (folder.path / paper_places.WORKSHEETS).rglob("*.pdf")
    )
    paths += (folder.path / "to-send").glob("*/*.stick.zip")
    paths += (folder.path / "release").glob(f"*/numbers/{student}.json")
    paths += folder.made.glob("*.known.json")
    removed = []
    for path in paths:
        path.unlink()
        removed.append(path.relative_to(folder.path).as_posix())
    return [name for name in removed if not name.startswith(".made/")]


def _from_lists(folder: ClassFolder, student: str) -> list[str]:
    """Take the student out of the roster and the lists of numbers and former ids."""
    removed = []
    draws = {place: name for place, name in folder.draws.items() if place[0] != student}
    if draws != dict(folder.draws):
        write_draws(folder.path, draws)
        removed.append("own-numbers.csv: what the numbers were drawn from")
    former = former_ids.former_ids(folder)
    kept = {old: now for old, now in former.items() if student not in (old, now)}
    if kept != former:
        rows = [("former", "now"), *sorted(kept.items())]
        write_text(folder.path / former_ids.FORMER_FILE, csv_text(rows))
        removed.append("former-ids.csv: earlier ids")
    students = [s for s in folder.students if s.id != student]
    if len(students) != len(folder.students):
        write_roster(folder.path / "roster.csv", students)
        removed.append("roster.csv: the line")
    return removed


def traces(folder: ClassFolder, student: str) -> list[str]:
    """Return the files of the class folder whose name or content still holds the id as a word."""
    word = re.compile(rb"(?<![\w.-])" + re.escape(student.encode()) + rb"(?![\w-])")
    found = []
    root = folder.path.resolve()
    for path in (p for p in walk(root) if p.is_file() and not p.is_symlink()):
        name = path.relative_to(root).as_posix()
        with path.open("rb") as file:
            if word.search(os.fsencode(name)) or word.search(file.read(_SEARCHED)):
                found.append(name)
    return found
