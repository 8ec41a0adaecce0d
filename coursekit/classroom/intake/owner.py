"""Finds out whose work a notebook is, and on which exercise, from all the evidence there is.

The rule is the same for everybody:

1. The ids of its cells, which the kit gave it, tell which exercise it is; if they don't, its stamp
   does, and if that doesn't, its file name.
2. The stamp in its metadata tells whose it is, if this class made it. So does the student's id or
   whole name in its file name, or else in the nearest folder or archive that it lies in. If none of
   these says anything, the name in the numbers file beside it counts, or the name that saved
   answers give themselves. Anybody can edit these, so the command says so when they are the only
   evidence.
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
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import ClassFolder, Student
from coursekit.classroom.register.outside_names import shown

AS_YOU_SAY = "as you say"
BY_STAMP = "its stamp"
BY_NAME = "its file name"
BY_FOLDER = "its folder's name"
BY_NUMBERS = "the numbers file beside it alone, which anybody can edit"
BY_ITSELF = "the name written in it alone, which anybody can edit"
BY_MATES = "the work that it came with"
_WEAK = (BY_NUMBERS, BY_FOLDER, BY_NAME)  # the weakest first


def strength(by: str) -> int:
    """Return how strong the evidence `by` is; a stamp or the instructor's word is the strongest.

    >>> strength(BY_FOLDER) < strength(BY_NAME) < strength(BY_STAMP) == strength(AS_YOU_SAY)
    True
    """
    if by == BY_ITSELF:
        by = BY_NUMBERS
    return _WEAK.index(by) if by in _WEAK else len(_WEAK)


@dataclass(frozen=True)
class Owner:
    """Student and exercise of some work, and what told so; or `trouble`, why it is not taken.

    If it is not taken, `slug` is the exercise if that is known all the same, and `among` are the
    students between whom it cannot be told.
    """

    student: str = ""
    slug: str = ""
    by: str = ""
    trouble: str = ""
    among: tuple[str, ...] = ()


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

    def named_exercise(self, name: str) -> str:
        """Return the one exercise that the name of a file or folder names, or ""."""
        found = _named_exercises(self, name)
        return found[0] if len(found) == 1 else ""


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
    return _student(clues, stamp, slug, parts, (_by_numbers(clues, beside), BY_NUMBERS))


def find_text_owner(
    clues: OwnerClues, one: AnswerText, parts: Sequence[str], student: str = "", slug: str = ""
) -> Owner:
    """Return whose saved answers `one` is: by its stamp or a name, and last by what it says itself.

    The rest is as for a notebook.
    """
    stamp = _text_stamp(clues, one)
    if stamp and (trouble := _changed_by_hand(clues, one, stamp, student, slug)):
        return Owner(trouble=trouble)
    slug = slug or one.lesson
    if slug not in clues.cells:
        there = ", ".join(sorted(clues.cells)) or "none"
        return Owner(
            trouble=f"its lesson, '{shown(slug)[:80]}', is not handed out; the class has {there}"
        )
    if student:
        return Owner(student, slug, AS_YOU_SAY)
    return _student(clues, stamp, slug, parts, (clues.student(one.student), BY_ITSELF))


def _text_stamp(clues: OwnerClues, one: AnswerText) -> stamps.Stamp | None:
    """Return the stamp of saved answers, for whichever student and lesson this class made it."""
    ids = [one.student, *(s.id for s in clues.folder.students), *clues.former]
    lessons = [one.lesson, *(slug for slug in clues.cells if slug != one.lesson)]
    for student, lesson in product(dict.fromkeys(ids), lessons) if one.stamp else ():
        claim = {"student": student, "exercise": lesson, "check": one.stamp}
        found = stamps.read(clues.folder, {"metadata": {stamps.KEY: claim}})
        if found and found.ours:
            return found
    return None


def _changed_by_hand(
    clues: OwnerClues, one: AnswerText, stamp: stamps.Stamp, student: str, slug: str
) -> str:
    """Return in words that saved answers name another student or lesson than their stamp, or "".

    What the instructor says of the two, `student` and `slug`, is not asked again.
    """
    whose = clues.student(stamp.student) or stamp.student
    if not student and whose != (clues.student(one.student) or one.student):
        return (
            f"its stamp is {whose}'s, but the name in it is {shown(one.student)[:80]}; say whose "
            f"it is with --student {whose}"
        )
    if not slug and stamp.slug != one.lesson:
        return (
            f"its stamp is for {stamp.slug}, but the lesson in it is {shown(one.lesson)[:80]}; "
            f"say which it is with --exercise {stamp.slug}"
        )
    return ""


def find_keeper(
    clues: OwnerClues, parts: Sequence[str], mates: Collection[tuple[str, str]], slug: str = ""
) -> Owner:
    """Return with whom a photo or document is kept, and for which lesson, "" if none is named.

    Names of files and folders tell, and if there are none, the work that came in the same archive,
    message or folder: `mates` holds its students and lessons. If that is one student's, a name must
    not be another's.
    """
    claims: dict[str, str] = {}
    _hear_names(clues, parts, claims)
    beside = {student for student, _ in mates}
    if not claims or (len(beside) == 1 and not beside & set(claims)):
        claims |= dict.fromkeys(sorted(beside), BY_MATES)
    slugs = {lesson for student, lesson in mates if student in claims}
    slug = slug or next(filter(None, map(clues.named_exercise, reversed(parts))), "")
    if not slug and len(slugs) == 1:
        (slug,) = slugs
    owner = _claimed(claims, slug)
    return owner or Owner(
        slug=slug,
        trouble="whose it is cannot be told: no student's id or name in its own or its folders' "
        "names. Say so with --student",
    )


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
    longest = _named_exercises(clues, name)
    if len(longest) == 1:
        return longest[0], ""
    if not clues.cells:
        return "", "nothing has been handed out yet"
    told = (
        f"it could be {' or '.join(longest)}" if longest else "neither its cells nor its name say"
    )
    return "", f"which exercise it is cannot be told: {told}. Say so with --exercise"


def _named_exercises(clues: OwnerClues, name: str) -> list[str]:
    """Return the exercises that a name names; of two that contain one another, the longer."""
    text = _words(name)
    named = [slug for slug in clues.cells if _has(text, _words(slug))]
    return [s for s in named if not any(s != t and _has(_words(t), _words(s)) for t in named)]


def _student(
    clues: OwnerClues,
    stamp: stamps.Stamp | None,
    slug: str,
    parts: Sequence[str],
    last: tuple[str, str],
) -> Owner:
    """Return whose work it is; `last` is who counts if nothing else tells, and what says so."""
    claims: dict[str, str] = {}  # student → what says so
    if stamp and stamp.ours and (id := clues.student(stamp.student)):
        claims[id] = BY_STAMP
    elif stamp and stamp.ours:
        return Owner(trouble=f"its stamp is of {stamp.student}, who is not on the roster")
    _hear_names(clues, parts, claims)
    if not claims and last[0]:
        return Owner(last[0], slug, last[1])
    return _claimed(claims, slug) or Owner(
        slug=slug,
        trouble="whose it is cannot be told: no stamp of this class, and no student's id or "
        "name in its own or its folders' names. Say so with --student",
    )


def _claimed(claims: Mapping[str, str], slug: str) -> Owner | None:
    """Return whose it is by `claims`, student → what says so; None if there are none."""
    if len(claims) == 1:
        ((id, by),) = claims.items()
        return Owner(id, slug, by)
    if not claims:
        return None
    told = ", ".join(f"{by} says {id}" for id, by in claims.items())
    why = f"whose it is cannot be told: {told}. Say whose with --student"
    return Owner(slug=slug, trouble=why, among=tuple(claims))


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
        students = {s.id for s in full if _names(_words(s.name), text)}
    return sorted(students)


def _is_name(student: Student) -> bool:
    """Whether a name is enough to recognise a student: two words or more, not all initials."""
    words = _words(student.name)
    return len(words) >= 2 and any(len(w) > 2 or _is_ideographs(w) for w in words)


def _names(name: Sequence[str], text: Sequence[str]) -> bool:
    """Whether all words of a name stand in `text`; ideographs may stand there without a space."""
    whole = "".join(name)
    return set(name) <= set(text) or (_is_ideographs(whole) and any(whole in w for w in text))


def _is_ideographs(word: str) -> bool:
    """Whether a word is written in signs of which one or two make a name."""
    return all("\u2e80" <= sign <= "\u9fff" or "\uac00" <= sign <= "\ud7a3" for sign in word)


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
