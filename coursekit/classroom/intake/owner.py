"""Finds out whose work a notebook is, and on which exercise, from all the evidence there is.

The rule is the same for everybody:

1. The ids of its cells, which the kit gave it, tell which exercise it is; if they don't, its stamp
   does, and if that doesn't, its file name.
2. The stamp in its metadata tells whose it is, if this class made it. So does the student's id or
   whole name in its file name, or else in the nearest folder or archive that it lies in. If none of
   these says anything, the name in the numbers file beside it counts. Anybody can edit that file,
   so the command says so when it is the only evidence.
3. If two of these disagree, nothing is taken, and both are named; the instructor then says whose it
   is with --student. Numbers inside a notebook never tell whose it is. It is always marked by the
   numbers drawn for the student for whom it is taken in. A folder that names several students, such
   as one for half a class, agrees with each of them.
4. Work with weaker evidence never replaces work with stronger evidence. A stamp or the instructor's
   word is the strongest; then come the file name, the folder's name, and the numbers file.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import ClassFolder, Student

AS_YOU_SAY = "as you say"
BY_STAMP = "its stamp"
BY_NAME = "its file name"
BY_FOLDER = "its folder's name"
BY_NUMBERS = "the numbers file beside it alone, which anybody can edit"
_WEAK = (BY_NUMBERS, BY_FOLDER, BY_NAME)  # the weakest first


def strength(by: str) -> int:
    """Return how strong the evidence `by` is; a stamp or the instructor's word is the strongest.

    >>> strength(BY_FOLDER) < strength(BY_NAME) < strength(BY_STAMP) == strength(AS_YOU_SAY)
    True
    """
    return _WEAK.index(by) if by in _WEAK else len(_WEAK)


@dataclass(frozen=True)
class Owner:
    """Student and exercise of a notebook, and what told so; or `trouble`, why it is not taken."""

    student: str = ""
    slug: str = ""
    by: str = ""
    trouble: str = ""


@dataclass(frozen=True)
class OwnerClues:
    """What a class recognises work by: the cells of each exercise, its students, former ids."""

    folder: ClassFolder
    cells: Mapping[str, frozenset[str]]  # slug → ids of the release's cells
    former: Mapping[str, str]  # former id → id

    def student(self, id: str) -> str:
        """Return the id under which a student is on the roster now, or ""."""
        if any(s.id == id for s in self.folder.students):
            return id
        now = self.former.get(id, "")
        return now if any(s.id == now for s in self.folder.students) else ""


def find_owner(
    clues: OwnerClues,
    notebook: Any,
    parts: Sequence[str],
    beside: bytes | None,
    student: str = "",
    slug: str = "",
) -> Owner:
    """Return whose work `notebook` is; `parts` are its folders and name, `beside` its numbers file.

    `student` and `slug` are what the instructor says, and they overrule everything else.
    """
    stamp = stamps.read(clues.folder, notebook)
    slug, trouble = (slug, "") if slug else _exercise(clues, notebook, stamp, parts[-1])
    if trouble:
        return Owner(trouble=trouble)
    if student:
        return Owner(student, slug, AS_YOU_SAY)
    return _student(clues, stamp, slug, parts, beside)


def _exercise(
    clues: OwnerClues, notebook: Any, stamp: stamps.Stamp | None, name: str
) -> tuple[str, str]:
    """Return the exercise and "", or "" and why it cannot be told."""
    cells = notebook.get("cells", ()) if isinstance(notebook, dict) else ()
    ids = {id for cell in cells if (id := grade_id(cell))}
    shares = {slug: len(ids & own) / len(own) for slug, own in clues.cells.items() if own}
    best = sorted(
        (slug for slug, share in shares.items() if share >= 0.5), key=lambda s: -shares[s]
    )
    if best and (len(best) == 1 or shares[best[0]] > shares[best[1]]):
        return best[0], ""
    if stamp and stamp.ours and stamp.slug in clues.cells:
        return stamp.slug, ""
    text = _words(name)
    named = [slug for slug in clues.cells if _has(text, _words(slug))]
    longest = [s for s in named if not any(s != t and _has(_words(t), _words(s)) for t in named)]
    if len(longest) == 1:
        return longest[0], ""
    if not clues.cells:
        return "", "nothing has been handed out yet"
    told = (
        f"it could be {' or '.join(longest)}" if longest else "neither its cells nor its name say"
    )
    return "", f"which exercise it is cannot be told: {told}. Say so with --exercise"


def _student(
    clues: OwnerClues,
    stamp: stamps.Stamp | None,
    slug: str,
    parts: Sequence[str],
    beside: bytes | None,
) -> Owner:
    claims: dict[str, str] = {}  # student → what says so
    if stamp and stamp.ours and (id := clues.student(stamp.student)):
        claims[id] = BY_STAMP
    elif stamp and stamp.ours:
        return Owner(trouble=f"its stamp is of {stamp.student}, who is not on the roster")
    _hear_names(clues, parts, claims)
    if not claims and (id := _by_numbers(clues, beside)):
        return Owner(id, slug, BY_NUMBERS)
    if len(claims) == 1:
        ((id, by),) = claims.items()
        return Owner(id, slug, by)
    if not claims:
        return Owner(
            trouble="whose it is cannot be told: no stamp of this class, and no student's id or "
            "name in its own or its folders' names. Say so with --student"
        )
    told = ", ".join(f"{by} says {id}" for id, by in claims.items())
    return Owner(trouble=f"whose it is cannot be told: {told}. Say whose with --student")


def _hear_names(clues: OwnerClues, parts: Sequence[str], claims: dict[str, str]) -> None:
    """Add to `claims` whom the file's name names, then its folders and archives, nearest first.

    A folder that names several students agrees with each of them.
    """
    for id in _named(clues, parts[-1]):
        claims.setdefault(id, BY_NAME)
    for folder in reversed(parts[:-1]):
        found = _named(clues, folder)
        if not set(found) & set(claims):
            claims.update(dict.fromkeys(found, BY_FOLDER))


def _named(clues: OwnerClues, name: str) -> list[str]:
    """Return the students whose id or whole name stands in the name of a file or folder.

    If one id contains another (bench-1, bench-1-b), the longest counts.
    """
    text = _words(name)
    ids = {s.id: s.id for s in clues.folder.students}
    ids = {**{f: clues.student(f) for f in clues.former if clues.student(f)}, **ids}
    found = [id for id in ids if _has(text, _words(id))]
    found = [a for a in found if not any(a != b and _has(_words(b), _words(a)) for b in found)]
    students = {ids[id] for id in found}
    if not students:
        full = [s for s in clues.folder.students if _is_name(s)]
        students = {s.id for s in full if set(_words(s.name)) <= set(text)}
    return sorted(students)


def _is_name(student: Student) -> bool:
    """Whether a name is enough to recognise a student: two words or more, not all initials."""
    words = _words(student.name)
    return len(words) >= 2 and any(len(w) > 2 for w in words)


def _by_numbers(clues: OwnerClues, beside: bytes | None) -> str:
    try:
        found = json.loads(beside or b"")
        return clues.student(str(found["student"]))
    except (ValueError, KeyError, TypeError, RecursionError):
        return ""


def _words(text: str) -> tuple[str, ...]:
    """Return the words of a name, without capitals, accents, leading zeros and "(2)" of a copy.

    >>> _words("Bench-03 Miter angles (2).ipynb")
    ('bench', '3', 'miter', 'angles')
    """
    text = re.sub(r"(\.(ipynb|zip|txt|json))+$", "", text.strip(), flags=re.IGNORECASE)
    text = re.sub(r"\(\d+\)\s*$", "", text)  # browsers add it to the second download of a name
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    found = re.findall(r"[^\W\d_]+|\d+", plain)
    return tuple(word.lstrip("0") or "0" if word.isdigit() else word for word in found)


def _has(text: Sequence[str], words: Sequence[str]) -> bool:
    """Whether `words` stand in `text` one after another."""
    if not words:
        return False
    return any(tuple(text[i : i + len(words)]) == tuple(words) for i in range(len(text)))
