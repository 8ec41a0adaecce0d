"""Changes in a roster, in all that a class keeps: new students, new ids, other numbers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from coursekit.classroom.gradebook import opener
from coursekit.classroom.handout import assignments
from coursekit.classroom.register import lock_and_backup, trees, undo
from coursekit.classroom.register.class_folder import (
    ClassError,
    ClassFolder,
    Student,
    csv_text,
    load,
    open_class,
    see_to_secret,
    write_draws,
    write_roster,
    write_text,
)
from coursekit.classroom.register.former_ids import BY_STUDENT, FORMER_FILE, former_ids
from coursekit.classroom.register.paper_places import own_worksheets
from coursekit.classroom.register.roster import read

OTHERS = 50  # draws that are tried for numbers that a student has not had


def open_with(
    path: Path, students: Iterable[Student], title: str = "", *, mails: bool = False
) -> tuple[ClassFolder, list[str]]:
    """Open the class with this roster; return it, and the ids that are no longer on the roster.

    A roster without any e-mail address leaves those that are known, unless `mails` says that it
    speaks of them.

    Raises ClassError for an id that another student had before, because work and readings under it
    are that student's.
    """
    students = tuple(students)
    there = (path / "class.toml").is_file()
    if there:
        see_to_secret(path)
    before = load(path).students if there else ()
    if there and (back := [s.id for s in students if s.id in former_ids(load(path))]):
        now = former_ids(load(path))[back[0]]
        raise ClassError(
            f"{path}: an id must not be one that another student had before; got '{back[0]}', who "
            f"is '{now}' today. Write that in the roster, or give the newcomer another id."
        )
    if not mails and not any(s.mail for s in students):
        known = {s.id: s.mail for s in before}
        students = tuple(replace(s, mail=known.get(s.id, "")) for s in students)
    folder = open_class(path, students, title)
    ids = {s.id for s in folder.students}
    return folder, [s.id for s in before if s.id not in ids]


def rename(folder: ClassFolder, old: str, new: str) -> ClassFolder:
    """Give the student `old` the id `new`; work, marks and numbers stay. Return the changed class.

    If it is cut off half-way, the same call finishes it. Raises ClassError if `old` is not there,
    or if `new` is in use, was another student's or cannot be an id.
    """
    student = folder.student(old)
    _refuse_id(folder, old, new)
    with lock_and_backup.only_writer(folder):
        undo.forget(folder)  # states under the old id fit nothing that is made from now on
        lock_and_backup.backup(folder)
        draws = {(new if s == old else s, slug): name for (s, slug), name in folder.draws.items()}
        draws.setdefault((new, ""), old)
        write_draws(folder.path, draws)
        former = {f: new if now == old else now for f, now in former_ids(folder).items()}
        former = {f: now for f, now in {**former, old: new}.items() if f != new}
        rows = [("former", "now"), *sorted(former.items())]
        write_text(folder.path / FORMER_FILE, csv_text(rows))
        with opener.gradebook(folder) as book:
            _rename_row(book, old, new, student.name)
        for place, target in _places(folder, old, new):
            place.replace(target)
        name = new if student.name == old else student.name
        students = [Student(new, name, s.mail) if s.id == old else s for s in folder.students]
        write_roster(folder.path / "roster.csv", students)
    return load(folder.path)


def _refuse_id(folder: ClassFolder, old: str, id: str) -> None:
    """Refuse an id that a roster would refuse, that another student had, or that is in use here."""
    if former_ids(folder).get(id, old) != old:
        raise ClassError(
            f"A new id must be free; got '{id}', which '{former_ids(folder)[id]}' had before. "
            "Choose another."
        )
    trial = folder.made / "trial.csv"
    write_roster(trial, [*folder.students, Student(id, id)])
    try:
        read(trial, fresh=True)
    except ClassError as error:
        raise ClassError(
            f"A new id must be free and fit for a file name; got '{id}'. "
            f"{str(error).split(': ', 1)[-1]}"
        ) from None
    finally:
        trial.unlink()
    begun = former_ids(folder).get(old) == id  # this renaming was begun before and cut off
    if not begun and (there := [p for p, _ in _places(folder, id, id)]):
        raise ClassError(
            f"A new id must be free; got '{id}', of which {there[0]} is left from before. Choose "
            "another, or erase that one first."
        )


def _places(folder: ClassFolder, old: str, new: str) -> list[tuple[Path, Path]]:
    """Return what lies in the class folder under the id `old`, and its place under `new`."""
    pairs = [(folder.path / name / old, folder.path / name / new) for name in BY_STUDENT]
    pairs += [(p, p.with_name(f"{new}.pdf")) for p in own_worksheets(folder, old)]
    for path in sorted((folder.path / "to-send").glob("*/*.zip")):
        if path.stem == f"{path.parent.name}-{old}":
            pairs.append((path, path.with_name(f"{path.parent.name}-{new}.zip")))
    return [(a, b) for a, b in pairs if a.exists()]


def _rename_row(book: Any, old: str, new: str, name: str) -> None:
    """Give the gradebook's student another id: add a new row, move the work, delete the old row."""
    from nbgrader.api import Student as Row
    from nbgrader.api import SubmittedAssignment
    from sqlalchemy import update

    row = book.db.get(Row, old)
    if row is None:
        return
    kept = {c: getattr(row, c) for c in ("last_name", "email", "lms_user_id")}
    first = new if row.first_name == old else row.first_name
    book.db.add(Row(id=new, first_name=first, **kept))
    book.db.flush()
    book.db.execute(
        update(SubmittedAssignment)
        .where(SubmittedAssignment.student_id == old)
        .values(student_id=new)
        .execution_options(synchronize_session=False)
    )
    book.db.expire_all()
    book.db.delete(book.db.get(Row, old))
    book.db.commit()


def renumber(
    folder: ClassFolder,
    student: str,
    works: Iterable[assignments.Assignment],
    *,
    even_so: bool = False,
) -> ClassFolder:
    """Give `student` numbers in `works` that they have not had before; return the changed class.

    It is for a student who builds another frame from now on. Raises ClassError, and changes
    nothing, if work on the old numbers has been handed in (unless `even_so`), or if an exercise has
    no other numbers.
    """
    folder.student(student)
    others = {}
    with lock_and_backup.only_writer(folder):
        for work in works:
            if not even_so and folder.submitted(student, work.slug).is_dir():
                raise ClassError(
                    f"{student} must not have handed in {work.slug} when its numbers change, for "
                    "that work would be marked by the new ones; it is in. Leave that exercise out, "
                    "or add --even-so."
                )
            others[student, work.slug] = _never_drawn(work, student)
        write_draws(folder.path, {**load(folder.path).draws, **others})
    return load(folder.path)


def _never_drawn(work: assignments.Assignment, student: str) -> str:
    """Return the next name, like `id~2`, whose numbers `student` has not had in this exercise."""
    stem, _, turn = work.folder.drawn_as(student, work.slug).partition("~")
    had = int(turn or 1)
    turns = (stem, *(f"{stem}~{t}" for t in range(2, had + 1)))
    before = [work.drawn(student, name).numbers for name in turns]
    for t in range(had + 1, had + 1 + OTHERS):
        if work.drawn(student, f"{stem}~{t}").numbers not in before:
            return f"{stem}~{t}"
    raise ClassError(
        f"{work.slug} must have numbers that {student} has not had; {OTHERS} draws gave none. "
        "Leave that exercise out, or widen its ranges."
    )


def files_of(folder: ClassFolder, student: str) -> list[Path]:
    """Return what lies in the class folder under a student's id."""
    return [path for path, _ in _places(folder, student, student)]


def forget_files(folder: ClassFolder, student: str) -> list[str]:
    """Remove what lies in the class folder under a student's id; return what it was."""
    removed = []
    for path in files_of(folder, student):
        trees.remove(path)
        removed.append(path.relative_to(folder.path).as_posix())
    return removed
