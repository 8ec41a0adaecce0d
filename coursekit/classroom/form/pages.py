"""The pages of the bench form: the class and the sheet that they show, and their HTML."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from coursekit.classroom.bank import notebooks
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, slugs
from coursekit.classroom.bank.exercises import load as load_exercise
from coursekit.classroom.handout import assignments, worksheets
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import ClassFolder, Student
from coursekit.classroom.register.former_ids import ids_today
from coursekit.classroom.report import safe_html
from coursekit.sheets.code import read_code
from coursekit.sheets.text import quantity

HERE = Path(__file__).parent
_LONGEST_FIELD = 3000
Fields = Mapping[str, str]


@dataclass(frozen=True)
class Sheet:
    """The worksheet that a page belongs to; `notice` says if it was printed in another version."""

    student: Student
    exercise: Exercise
    notice: str = ""


@dataclass(frozen=True)
class Asked:
    """A question's text as HTML, and the student's numbers that it is about: words and value."""

    text: Markup
    given: tuple[tuple[str, str], ...]


class NotYoursError(Exception):
    """A phone asked for what is another student's, or not handed out; it is not said which."""


@dataclass
class FormClass:
    """The class and its course, as the form sees them."""

    folder: ClassFolder
    root: Path

    def __post_init__(self) -> None:
        self.exercise = cache(lambda slug: load_exercise(slug, self.root))
        self.work = cache(lambda slug: assignments.assignment(self.folder, slug, self.root))
        self.shown = cache(lambda slug: assignments.to_show(self.folder, slug, self.root))

    def lessons(self) -> list[Exercise]:
        """Return the lessons that have worksheets, without those whose exercise has a mistake."""
        return self._sound(slugs(self.root))

    def sound(self, slug: str) -> Exercise | None:
        """Return a lesson's exercise, or None if it has a mistake or is not there."""
        with suppress(AuthoringError):
            return self.exercise(slug)
        return None

    def _sound(self, some: Iterable[str]) -> list[Exercise]:
        return [exercise for slug in some if (exercise := self.sound(slug))]

    def lessons_of(self, student: str) -> list[Exercise]:
        """Return the lessons that this student has got, as a notebook or on paper."""
        return self._sound([s for s in slugs(self.root) if self._handed_out(student, s)])

    def _handed_out(self, student: str, slug: str) -> bool:
        notebook = self.folder.bundle(student, slug) / f"{slug}.ipynb"
        if slug not in slugs(self.root):
            return False
        return notebook.is_file() or student in paper_places.printed(self.folder, slug)

    def sheet_of(self, student: str, fields: Fields) -> Sheet:
        """Return the sheet that was asked for on this student's phone.

        Whether it was printed in an older version is not looked at, because a phone must not set
        this computer to drawing numbers. Raises NotYoursError for any other sheet, there or not,
        and ValueError as `sheet` does.
        """
        asked, slug = fields.get("student", ""), fields.get("lesson", "")
        if typed := fields.get("code", "").strip():
            code = read_code(_as_printed(typed))
            asked, slug = code.student, code.slug
        now = ids_today(self.folder).get(asked, asked)
        if now != student or not self._handed_out(student, slug):
            raise NotYoursError
        return Sheet(self._student(student), self.exercise(slug))

    def sheet(self, fields: Fields) -> Sheet:
        """Return the sheet that a typed code names, or a student and a lesson that were chosen.

        Raises ValueError, in words for whoever typed it.
        """
        if typed := fields.get("code", "").strip():
            return self._by_code(typed)
        student, slug = fields.get("student", ""), fields.get("lesson", "")
        if not (student and slug):
            raise ValueError(
                "A sheet must be named by the code in its foot, or by student and lesson; got "
                "neither. Type the code, or choose both."
            )
        if slug not in slugs(self.root):
            raise ValueError(f"A sheet must be of a lesson of the course; got '{slug[:40]}'.")
        return Sheet(self._student(student), self.exercise(slug))

    def _student(self, id: str) -> Student:
        now = ids_today(self.folder).get(id, id)
        for student in self.folder.students:
            if student.id == now:
                return student
        raise ValueError(f"A sheet must be of a student on the roster; got '{id[:40]}'.")

    def asked(self, sheet: Sheet) -> list[Asked]:
        """Return each question of a sheet in the words that stand on paper, with what is given.

        The numbers are those that were handed out. To draw them again may take a minute, for which
        nobody would be served, so they are left out where they are on paper alone.
        """
        bundle = self.folder.bundle(sheet.student.id, sheet.exercise.slug)
        numbers: dict[str, float] = {}
        with suppress(OSError, ValueError, KeyError):
            text = (bundle / notebooks.NUMBERS_FILE).read_text(encoding="utf-8")
            numbers = json.loads(text)["numbers"]
        known = [q for q in sheet.exercise.quantities if q.name in numbers]
        said = {q.name: (q.say, quantity(numbers[q.name], q.unit)) for q in known}
        tasks = worksheets.body(sheet.exercise).tasks
        return [
            Asked(
                safe_html.markdown(task.text),
                tuple(said[name] for name in task.given if name in said),
            )
            for task in tasks
        ]

    def _by_code(self, typed: str) -> Sheet:
        code = read_code(_as_printed(typed))
        if code.slug not in slugs(self.root):
            raise ValueError(f"A sheet must be of a lesson of the course; got '{code.slug[:40]}'.")
        sheet = Sheet(self._student(code.student), self.exercise(code.slug))
        work = self.shown(code.slug)
        now = worksheets.copy(
            work.exercise, sheet.student.id, sheet.student.name, work.numbers(sheet.student.id)
        ).code(worksheets.body(work.exercise))
        if now.version == code.version:
            return sheet
        notice = (
            f"This sheet was printed as version {code.version}; it would now be {now.version}. "
            "Numbers or words of the exercise have changed since. Compare the numbers on it before "
            "you type."
        )
        return replace(sheet, notice=notice)


def _as_printed(typed: str) -> str:
    """Return a sheet's code as it is printed, whatever a phone's keyboard did to its letters."""
    parts = [part.strip() for part in typed.strip().split("/")]
    if len(parts) != 4:
        return typed
    student, slug, version, check = parts
    check = check.upper().translate(str.maketrans("OIL", "011"))
    return f"{student}/{slug.lower()}/{version.lower()}/{check}"


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def render(name: str, **facts: object) -> str:
    """Return the page `name` as HTML; `facts` are shown as text, never read as markup."""
    return _environment().get_template(f"{name}.html.j2").render(**facts)


@cache
def style() -> str:
    """Return the style sheet of all pages."""
    return (HERE / "form.css").read_text(encoding="utf-8")


def flat(arguments: Mapping[str, list[bytes]]) -> dict[str, str]:
    """Return the fields of a request: name → the last value, as text of limited length."""
    found = {}
    for name, values in list(arguments.items())[:400]:
        text = values[-1].decode("utf-8", "replace") if values else ""
        found[re.sub(r"[^\w.\-]", "", name)[:120]] = text[:_LONGEST_FIELD]
    return found
