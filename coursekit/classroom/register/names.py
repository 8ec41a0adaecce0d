"""Students as people speak of them: from a name to the student, and from the student to a name."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from difflib import get_close_matches

from coursekit.classroom.bank.lesson_names import plain
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, Student

_DIGITS = re.compile(r"\d+")
_ALIKE = 0.6  # share of letters from which on a word counts as a misspelt name


def student(folder: ClassFolder, text: str) -> Student:
    """Return the student whom `text` names, by the id or by the whole name.

    An id goes first. A name may be written in capitals or small letters, without its accents, and
    with the last name first.

    Raises
    ------
    ClassError
        If nobody on the roster is called so, with the one whose name is near; or if two are called
        so, with their ids.
    """
    found = find(folder, text)
    if len(found) == 1:
        return found[0]
    if found:
        ids = ", ".join(s.id for s in found)
        raise ClassError(
            f"A name must be one student's alone; got '{text}', which {len(found)} are called: "
            f"{ids}. Name one by the id."
        )
    meant = _near(folder, plain(text))
    cure = f" Did you mean {_both(meant)}?" if meant else ""
    raise ClassError(
        f"{folder.path / 'roster.csv'}: a student must be on the roster; got '{text}'.{cure}"
    )


def find(folder: ClassFolder, text: str) -> list[Student]:
    """Return the student with this id or, if there is none, whoever is called so."""
    for one in folder.students:
        if one.id == text:
            return [one]
    wanted = _words(text)
    return [s for s in folder.students if wanted and wanted in (_words(s.id), _words(s.name))]


def _words(text: str) -> list[str]:
    return sorted(plain(text).split())


def _near(folder: ClassFolder, wanted: str) -> Student | None:
    """Return the student whose name or id is nearly `wanted`; other digits are another's."""
    whose = {plain(part): s for s in folder.students for part in (s.name, s.id)}
    alike = [part for part in whose if _DIGITS.findall(part) == _DIGITS.findall(wanted)]
    found = get_close_matches(wanted, alike, 1, cutoff=_ALIKE)
    return whose[found[0]] if found else None


def _both(student: Student) -> str:
    return student.id if student.name == student.id else f"{student.id} ({student.name})"


def called(students: Iterable[Student]) -> dict[str, str]:
    """Return student id → what to call them: the name, with the id where two share the name.

    >>> called([Student("a-1", "Ann Lee"), Student("a-2", "Ann Lee"), Student("a-3", "Bo Ek")])
    {'a-1': 'Ann Lee (a-1)', 'a-2': 'Ann Lee (a-2)', 'a-3': 'Bo Ek'}
    """
    students = tuple(students)
    shared = Counter(plain(s.name) for s in students)
    return {
        s.id: s.name if s.name == s.id or shared[plain(s.name)] == 1 else f"{s.name} ({s.id})"
        for s in students
    }
