"""What is sent to students: feedback and lessons, by mail, on a stick or on a web space."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.handout import site
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.report import reminders
from coursekit.classroom.report.overview import LessonState, overview
from coursekit.desk import words
from coursekit.desk.page import DeskPage

MAIL = "mail"  # the folder of drafts, unless another is named
_NAME = re.compile(r"[\w][\w .-]{0,79}")
_HOWS = {
    "mail": "Writing mail drafts",
    "mail-zip": "Writing mail drafts",
    "stick": "Packing a file for a stick",
    "site": "Laying out pages for a web space",
}


@dataclass(frozen=True)
class Choice:
    """A lesson whose feedback or material may be sent: for how many, and whether it is ticked."""

    slug: str
    title: str
    count: int
    ticked: bool


@dataclass(frozen=True)
class Facts:
    """What the page shows; `no_address` are the names of students without an e-mail address.

    `reminders` is the text to copy, "" if nobody is reminded, for the reason that `nobody` says.
    """

    feedback: tuple[Choice, ...]
    lessons: tuple[Choice, ...]
    students: tuple[tuple[str, str], ...]
    no_address: str
    reminders: str
    nobody: str


def facts(view: FormClass, what: str, lesson: str, now: datetime | None = None) -> Facts:
    """Return what the page shows; `what` of which `lesson` is ticked, else the latest of each."""
    seen, names = overview(view.folder, now), words.names(view.folder)
    marked = [one for one in seen.lessons if one.count("marked")]
    out = [one for one in seen.lessons if one.count("handed_out")]
    fresh = [one.slug for one in marked if _is_new(one)] or [one.slug for one in marked[-1:]]
    last = [one.slug for one in out[-1:]]
    if what in ("feedback", "lesson"):
        fresh, last = ([lesson], []) if what == "feedback" else ([], [lesson])

    def choices(some: list[LessonState], count: str, ticked: list[str]) -> tuple[Choice, ...]:
        return tuple(
            Choice(one.slug, words.title(view, one.slug), one.count(count), one.slug in ticked)
            for one in reversed(some)
        )

    owed = reminders.owed_in(seen, view.root)
    return Facts(
        choices(marked, "marked", fresh),
        choices(out, "handed_out", last),
        tuple(names.items()),
        words.listed([names[s.id] for s in view.folder.students if not s.mail]),
        reminders.messages(owed, names) if owed else "",
        _nobody(any(one.due for one in seen.lessons)),
    )


def _is_new(lesson: LessonState) -> bool:
    """Whether somebody's marks have no feedback page yet, or one that is older."""
    states = lesson.students.values()
    return any(state.marked and (state.feedback_old or not state.feedback) for state in states)


def _nobody(dated: bool) -> str:
    if dated:
        return "Nothing is overdue."
    return "No lesson has a day on which it is due, so nothing is overdue."


@dataclass(frozen=True)
class Sent:
    """What came of it: in words, a file to save, and whose link is whose."""

    said: tuple[str, ...]
    left: tuple[tuple[str, str], ...]
    file: str
    links: tuple[tuple[str, str], ...]


def sent_of(view: FormClass, result: Mapping[str, Any]) -> Sent:
    """Return what the page shows of a job that has ended, from what the job returned."""
    names = words.names(view.folder)

    def called(some: list[str]) -> str:
        return words.listed([names.get(id, id) for id in some])

    said, file, how = [], "", result["how"]
    if how == "mail":
        drafts = words.many(result["count"], "draft")
        said.append(f"{drafts} in {result['folder']}. Nothing was sent.")
        said.append("Open one with your mail program, look at it and send it.")
        if result["no_address"]:
            said.append(f"There is no e-mail address for {called(result['no_address'])}.")
        file = result["zip"]
    elif how == "stick":
        said.append(
            f"A file for a stick, with folders for {called(result['students']) or 'nobody'}."
        )
        file = result["file"]
    else:
        said.append(
            f"The pages are in {result['folder']}. Put all of it on the web space, and give each "
            "student the address of their own page and no other."
        )
        if result["removed"]:
            gone = words.many(len(result["removed"]), "file")
            said.append(f"{gone} that nobody needs any more: take them off the web space, too.")
        for one in result["foreign"]:
            said.append(f"{one} there is not ours, so it stays as it is.")
    return Sent(
        tuple(said),
        tuple((called(one["students"]), one["why"]) for one in result["left"]),
        f"/made/to-send/{file}?save" if file else "",
        tuple((names.get(id, id), link) for id, link in result.get("links", {}).items()),
    )


def mail_folder(folder: ClassFolder, typed: str) -> Path:
    """Return the folder for drafts: one in the class's own, by its name, or one by its whole path.

    Raises ClassError for anything else.
    """
    typed = typed.strip() or MAIL
    if _NAME.fullmatch(typed):
        return folder.path / "to-send" / typed
    return whole_path(typed)


def whole_path(typed: str) -> Path:
    """Return the folder that a whole path names; ClassError if it is none."""
    try:
        path = Path(typed.strip()).expanduser()
    except RuntimeError:  # no such user
        path = Path()
    if "\0" in typed or not path.is_absolute() or ".." in path.parts:
        raise ClassError(
            f"A folder must be named by its whole path, like {Path.home() / 'class-pages'}; got "
            f"'{typed.strip()[:80]}'."
        )
    return path


class Send(DeskPage):
    """The page from which feedback and lessons are sent."""

    def get(self) -> None:
        """Show what can be sent, and what came of the job that the address names."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page; `error` says why nothing was begun."""
        job = self.job()
        result = job.result if job and job.task == "send" else None
        typed = {} if self.request.method == "GET" else self.fields
        self.show(
            "send",
            facts=facts(self.desk.view, self.fields.get("what", ""), self.fields.get("lesson", "")),
            sent=sent_of(self.desk.view, result) if result else None,
            error=error,
            typed=typed,
            mail=MAIL,
            send_to=self.desk.folder.path / "to-send",
        )

    def post(self) -> None:
        """Order what was asked for, or say what can't be."""
        try:
            said = self._said()
        except ClassError as error:
            self.set_status(422)
            self.ask(str(error))
            return
        self.order("send", _HOWS[self.fields["how"]], "/send", said)

    def _said(self) -> dict[str, Any]:
        found, how = facts(self.desk.view, "", ""), self.fields.get("how", "")
        feedback = [one.slug for one in found.feedback if f"feedback.{one.slug}" in self.fields]
        lessons = [one.slug for one in found.lessons if f"lesson.{one.slug}" in self.fields]
        if how not in _HOWS:
            raise ClassError("Choose how it is to be sent.")
        if not feedback and not lessons:
            raise ClassError("Tick at least one thing to send.")
        target = ""
        if how == "mail":
            target = str(mail_folder(self.desk.folder, self.fields.get("folder", "")))
        elif how == "mail-zip":
            target = str(mail_folder(self.desk.folder, MAIL))
        elif how == "site":
            if feedback:
                raise ClassError(
                    "A web space takes lessons alone. Send the feedback by mail or on a stick."
                )
            path = whole_path(self.fields.get("site", ""))
            site.refuse(self.desk.folder, path)
            target = str(path)
        return {
            "feedback": feedback,
            "lessons": lessons,
            "students": [id for id, _ in found.students if f"student.{id}" in self.fields],
            "how": "mail" if how == "mail-zip" else how,
            "zip": how == "mail-zip",
            "target": target,
        }
