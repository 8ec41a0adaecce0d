"""The lesson that comes next: when it is due, how this class is marked, and handing it out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from coursekit.classroom.bank import lesson_names
from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.question_text import as_written
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook import due
from coursekit.classroom.handout import given_away
from coursekit.classroom.register import class_exercise, dates
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.register.typed import PAPERS
from coursekit.desk import lesson_choice, words
from coursekit.desk.page import DeskPage
from coursekit.sheets.text import unit_sign

_WITH_TOLERANCE = ("number", "numbers", "points")
_WEEK = timedelta(days=7)


@dataclass(frozen=True)
class Asked:
    """A question as this class asks it; `course` says how the course does, "" if that is the same.

    `tolerance` is as a file has it, "" for a question that has none.
    """

    id: str
    title: str
    unit: str
    tolerance: str
    marks: str
    course: str


@dataclass(frozen=True)
class Facts:
    """What the page shows of the lesson that was chosen.

    `choice` are the lessons of the course: (slug, title, whether it is handed out). `date` and
    `time` are as a form has them.
    """

    slug: str
    title: str
    choice: tuple[tuple[str, str, bool], ...]
    out: bool
    date: str
    time: str
    questions: tuple[Asked, ...]
    given: tuple[str, ...]
    students: tuple[tuple[str, str], ...]
    book: bool


def facts(view: FormClass, lesson: str, now: datetime | None = None) -> Facts | None:
    """Return what the page shows; None if the course has no lesson that can be read."""
    order = lesson_choice.in_order(view.root)
    out = {slug for slug in order if (view.folder.path / "release" / slug).is_dir()}
    slug = lesson if lesson in order else next((s for s in order if s not in out), "")
    slug = slug or next(iter(order), "")
    if not slug:
        return None
    course = view.exercise(slug)
    here = class_exercise.as_asked(view.folder, course)
    date, time = _due(view, slug, now or datetime.now(UTC))
    return Facts(
        slug,
        course.title,
        tuple((one, lesson_names.title(one, view.root), one in out) for one in order),
        slug in out,
        date,
        time,
        tuple(_asked(a, b) for a, b in zip(course.graded, here.graded, strict=True)),
        tuple(_given_away(view, slug)),
        tuple(words.names(view.folder).items()),
        (view.root / "course" / "_config.yml").is_file(),
    )


def _due(view: FormClass, slug: str, now: datetime) -> tuple[str, str]:
    """Return the day and time that the lesson is due, or a week after the last one is."""
    moment = view.folder.due.get(slug)
    if moment is None:
        moment = max(view.folder.due.values(), default=None)
        while moment and moment <= now:
            moment += _WEEK
        if moment and moment in view.folder.due.values():
            moment += _WEEK
    if moment is None:
        return "", ""
    local = moment.astimezone()
    return f"{local:%Y-%m-%d}", f"{local:%H:%M}"


def _asked(course: Question, here: Question) -> Asked:
    other = []
    if course.marks != here.marks:
        other.append(f"{course.marks:g} {'mark' if course.marks == 1 else 'marks'}")
    if (course.tolerance, course.relative) != (here.tolerance, here.relative):
        other.append(f"tolerance {_tolerance(course)}")
    return Asked(
        here.id, here.title, _unit(here), _tolerance(here), f"{here.marks:g}", words.listed(other)
    )


def _unit(question: Question) -> str:
    """Return the unit that a tolerance has; a share of the answer has none."""
    return "" if question.relative or question.unit == "1" else unit_sign(question.unit)


def _tolerance(question: Question) -> str:
    if question.kind not in _WITH_TOLERANCE:
        return ""
    return as_written(question.tolerance, question.relative, question.digit)


def _given_away(view: FormClass, slug: str) -> Iterable[str]:
    found = given_away.found(view.folder, view.exercise(slug), view.lessons())
    return [one.sentence(words.title(view, one.slug)) for one in found]


@dataclass(frozen=True)
class Made:
    """What came of handing out, in words, and the file for a stick, "" for none."""

    slug: str
    title: str
    said: tuple[str, ...]
    refused: tuple[tuple[str, str], ...]
    stick: str
    done: bool
    asked: bool


def made_of(view: FormClass, result: Mapping[str, Any], *, asked: bool = True) -> Made:
    """Return what the page shows of a job that has ended, from what the job returned.

    `asked` says whether the lesson was to be handed out, and not only changed.
    """
    slug = result["lesson"]
    names = words.names(view.folder)
    said = []
    if result["changed"]:
        said.append(f"{words.many(result['changed'], 'question')} changed for this class.")
    if who := result.get("students"):
        whole = len(who) == len(names)
        whom = f"all {len(who)}" if whole else words.listed([names.get(id, id) for id in who])
        inside = ["the answer page", "the notebook", "the worksheet"]
        inside += ["the lesson's pages"] * result["pages"]
        size = f"{result['largest'] / 1e6:.1f} MB"
        said.append(f"Made for {whom}: a zip each, {size} at most, with {words.listed(inside)}.")
    if result.get("exchange"):
        said.append("It is in the exchange, too.")
    return Made(
        slug,
        words.title(view, slug),
        tuple(said),
        tuple((one["title"], one["why"]) for one in result["refused"]),
        f"/made/to-send/{slug}/{result['stick']}?save" if result.get("stick") else "",
        bool(who),
        asked,
    )


class NextLesson(DeskPage):
    """The page on which a lesson is prepared and handed out."""

    def get(self) -> None:
        """Show the lesson that the address names, or the next of the plan."""
        self.ask(())

    def ask(self, errors: tuple[str, ...]) -> None:
        """Show the page; `errors` say why nothing was begun."""
        job = self.job()
        result = job.result if job and job.task == "next_lesson" else None
        typed: Mapping[str, str] = self.fields
        if job and result and result["refused"]:
            typed = job.said["typed"]
        mine = job is not None and job.task == "next_lesson"
        lesson = job.said["lesson"] if job and mine else self.fields.get("lesson", "")
        self.show(
            "next-lesson",
            facts=facts(self.desk.view, lesson),
            made=(
                made_of(self.desk.view, result, asked=job.said["hand_out"])
                if job and result
                else None
            ),
            errors=errors,
            typed=typed,
            papers=PAPERS,
        )

    def post(self) -> None:
        """Order what was asked for, or say what can't be."""
        found = facts(self.desk.view, self.fields.get("lesson", ""))
        errors: list[str] = []
        if found is None or found.slug != self.fields.get("lesson", ""):
            self.redirect("/next-lesson", status=303)
            return
        said: dict[str, Any] = {
            "lesson": found.slug,
            "changes": list(self._changes(found, errors)),
            "hand_out": self.fields.get("do") != "change",
            "students": [id for id, _ in found.students if f"student.{id}" in self.fields],
            "paper": self.fields.get("paper", "") if self.fields.get("paper") in PAPERS else "a4",
            "pages": "pages" in self.fields,
            "typed": {k: v for k, v in self.fields.items() if k not in ("post", "_xsrf")},
        }
        if said["hand_out"]:
            said["due"] = self._moment(found, errors)
        elif not said["changes"]:
            errors.append("Nothing was changed.")
        if errors:
            self.set_status(422)
            self.ask(tuple(errors))
            return
        verb = "Handing out" if said["hand_out"] else "Changing"
        self.order("next_lesson", f"{verb} {found.title}", "/next-lesson", said)

    def _changes(self, found: Facts, errors: list[str]) -> Iterable[dict[str, Any]]:
        """Yield each question that was changed on the page."""
        for one in found.questions:
            tolerance = self.fields.get(f"tolerance.{one.id}", one.tolerance).strip()
            marks = self.fields.get(f"marks.{one.id}", one.marks).strip().replace(",", ".")
            course = f"course.{one.id}" in self.fields
            if not course and (tolerance or one.tolerance, marks or one.marks) == (
                one.tolerance,
                one.marks,
            ):
                continue
            try:
                score = float(marks) if marks and marks != one.marks else None
            except ValueError:
                errors.append(f"The marks of '{one.title}' must be a number; got {marks[:20]}.")
                continue
            changed = tolerance.replace(",", ".") if tolerance != one.tolerance else ""
            yield {
                **{"question": one.id, "title": one.title, "as_in_course": course},
                **{"tolerance": changed, "marks": score},
            }

    def _moment(self, found: Facts, errors: list[str]) -> str:
        """Return when the lesson is due, in the form that a computer reads, "" for never."""
        date, time = self.fields.get("date", "").strip(), self.fields.get("time", "").strip()
        if not date:
            return ""
        try:
            moment = dates.read(f"{date} {time}".strip(), f"The due time of {found.title}")
        except ClassError as error:
            errors.append(str(error))
            return ""
        was = self.desk.folder.due.get(found.slug)
        if was and (date, time) == (found.date, found.time):
            return was.isoformat()
        if (
            moment != was
            and "past" not in self.fields
            and (odd := due.is_over(found.title, moment))
        ):
            errors.append(odd)
        return moment.isoformat()


def address(lesson: str) -> str:
    """Return the address of the page for one lesson."""
    return "/next-lesson?" + urlencode({"lesson": lesson})
