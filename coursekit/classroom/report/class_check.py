"""The full check of a class folder: what is wrong in it, what is out of date, and what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.bench import bench_record
from coursekit.classroom.gradebook import read_only
from coursekit.classroom.gradebook.nbgrader_settings import late_rule
from coursekit.classroom.handout import release
from coursekit.classroom.marking.marked_work import recorded
from coursekit.classroom.register import class_exercise, roster
from coursekit.classroom.register.class_folder import RECORD, ClassError, ClassFolder
from coursekit.classroom.register.lock_and_backup import backups, half_written
from coursekit.classroom.register.outside_names import key, shown
from coursekit.classroom.register.quick_check import Finding, quick_check
from coursekit.classroom.report.overview import listed, old_feedback, overview

_QUICK = ("secret", "rights", "room", "clock")
LOOKED_AT = (*_QUICK, "settings", "capitals", "gradebook", "records", "stale", "left over")


@dataclass(frozen=True)
class ClassCheck:
    """What was found in a class; `is_well` is true if nothing was."""

    findings: tuple[Finding, ...]

    @property
    def is_well(self) -> bool:
        """Whether nothing is wrong or stale."""
        return not self.findings

    def lines(self) -> list[str]:
        """Return a line for each thing that was looked at, followed by the findings about it."""
        lines = []
        for about in LOOKED_AT:
            found = [f.said for f in self.findings if f.about == about]
            lines.append(f"{about}: {'look' if found else 'good'}")
            lines += [f"  {said}" for said in found]
        return lines


def check(folder: ClassFolder, root: Path) -> ClassCheck:
    """Return everything that is wrong or out of date in a class.

    It changes nothing, except that it closes the class folder to everybody but its owner.
    """
    harmed = list(_gradebook(folder))
    found = [*quick_check(folder.path), *_settings(folder), *_capitals(folder)]
    found += [*harmed, *_records(folder)]
    if not harmed:  # with a damaged gradebook nobody can say what is marked
        found += _stale(folder, root)
    return ClassCheck((*found, *_left_over(folder)))


def _settings(folder: ClassFolder) -> Iterator[Finding]:
    try:
        late_rule(folder)  # which runs nbgrader_config.py
    except ClassError as error:
        yield Finding("settings", str(error))
    for told in roster.read(folder.path / "roster.csv").told:
        yield Finding("settings", told)


def ignores_capitals(path: Path) -> bool:
    """Whether the disk of a class takes `CLASS.TOML` for `class.toml`."""
    return (path / "CLASS.TOML").exists()


def _capitals(folder: ClassFolder) -> Iterator[Finding]:
    """Yield ids that one disk tells apart and another does not."""
    spelt: dict[str, list[str]] = {}
    for student in folder.students:
        spelt.setdefault(key(student.id), []).append(student.id)
    mixed = [" and ".join(ids) for ids in spelt.values() if len(ids) > 1]
    if mixed:
        where = (
            "this disk does" if ignores_capitals(folder.path) else "a Mac, Windows or a stick does"
        )
        yield Finding(
            "capitals",
            f"{folder.path / 'roster.csv'}: ids must differ in more than their capitals; got "
            f"{', '.join(mixed)}, and {where} not tell them apart. `coursekit student rename` one.",
        )


def _gradebook(folder: ClassFolder) -> Iterator[Finding]:
    if folder.gradebook:
        try:
            with read_only.reading(folder) as book:
                book.rows("SELECT 1")
        except ClassError as error:
            yield Finding("gradebook", str(error))
        return
    file = folder.gradebook_file
    if file.is_file() and (why := harm(file)):
        whole = next((p for p in reversed(backups(folder)) if not harm(p)), None)
        cure = f"Put {whole} in its place" if whole else "Take it away"
        yield Finding(
            "gradebook",
            f"{file}: the gradebook must be whole; got {why}. {cure} and mark again: marks come "
            "back from the records beside the marked notebooks.",
        )
    elif not file.is_file() and any((folder.path / "autograded").glob(f"*/*/{RECORD}")):
        yield Finding(
            "gradebook",
            f"{file}: a class with marked work must have its gradebook; it is not there. Mark "
            "again, and it is made anew from the records beside the marked notebooks.",
        )


def harm(file: Path) -> str:
    """Return what SQLite finds wrong with a database file, or "" if it is whole."""
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=rw", uri=True)) as book:
            book.execute("PRAGMA query_only = ON")
            (said,) = book.execute("PRAGMA integrity_check(1)").fetchone()
            tables = book.execute("SELECT name FROM sqlite_master WHERE name = 'grade'").fetchall()
            broken = book.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.Error as error:
        return shown(str(error))
    if said != "ok":
        return shown(str(said).splitlines()[-1])
    if not tables:
        return "a file without a gradebook in it"
    return "rows that belong to no other" if broken else ""


def _records(folder: ClassFolder) -> Iterator[Finding]:
    for path in sorted((folder.path / "autograded").glob(f"*/*/{RECORD}")):
        student, slug = path.parts[-3:-1]
        if recorded(folder, student, slug) is None:
            yield Finding(
                "records",
                f"{path}: the record of marked work must be whole; it is not. "
                f"`coursekit mark {shown(slug)}` runs this notebook again.",
            )
    for said in bench_record.harm(folder):
        yield Finding("records", said)


def _stale(folder: ClassFolder, root: Path) -> Iterator[Finding]:
    for lesson in overview(folder).lessons:
        slug = lesson.slug
        to_mark = [s for s, place in lesson.students.items() if place.word.startswith("to mark")]
        if to_mark:
            verb = "is" if len(to_mark) == 1 else "are"
            yield Finding(
                "stale",
                f"{slug}: {listed(to_mark)} {verb} not marked yet. `coursekit mark {slug}`.",
            )
        for said in old_feedback([lesson]):
            yield Finding("stale", said)
        if not folder.release(slug).is_dir():
            continue
        try:
            exercise = class_exercise.load(folder, slug, root)
            release.that_fits(folder, exercise)
        except (ClassError, AuthoringError) as error:
            yield Finding("stale", str(error))
            continue


def _left_over(folder: ClassFolder) -> Iterable[Finding]:
    if found := half_written(folder):
        names = ", ".join(shown(p.relative_to(folder.path).as_posix()) for p in found[:3])
        yield Finding(
            "left over",
            f"{folder.path}: nothing half-written should lie about; got {len(found)}, like "
            f"{names}. The next marking sweeps it away.",
        )
