"""Print: what to print is chosen, its sheets are counted, and then it is made as one pile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coursekit.classroom.bank.exercises import slugs
from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.report import overview
from coursekit.desk import lesson_choice, words
from coursekit.desk.page import DeskPage

# what can be printed: its name for the printing, and what the page calls it
OF_LESSONS = (
    ("worksheets", "Worksheets, each student’s own"),
    ("blank", "A blank set for the wall"),
    ("key", "Answer key, the class at a glance"),
    ("worked-key", "Answer key with worked solutions"),
)
OF_FRAMES = (
    ("dossier", "Dossier, everything about a student’s frame"),
    ("templates", "Wrap templates"),
    ("cut-list", "Cut list"),
    ("fixture", "Fixture card"),
    ("tacks", "Tack card"),
    ("alignment", "Alignment record"),
)
PAPERS = (("a4", "A4"), ("us-letter", "Letter"))


@dataclass(frozen=True)
class Chosen:
    """What is chosen on the page; no students means the whole class."""

    kinds: tuple[str, ...] = ("worksheets",)
    lessons: tuple[str, ...] = ()
    students: tuple[str, ...] = ()
    paper: str = "a4"
    two_sided: bool = False
    large: bool = False

    @property
    def missing(self) -> str:
        """What is still to be chosen, in words, or ""."""
        if not self.kinds:
            return "Choose what to print: nothing is ticked."
        if not self.lessons and {k for k, _ in OF_LESSONS} & set(self.kinds):
            return (
                "Choose a lesson or more: worksheets and keys are of a lesson, and none is ticked."
            )
        return ""

    def said(self, write: bool) -> dict[str, Any]:
        """Return it for the job that counts or, with `write`, makes the pile."""
        return {
            "kinds": list(self.kinds),
            "lessons": list(self.lessons),
            "students": list(self.students),
            "paper": self.paper,
            "two_sided": self.two_sided,
            "large": self.large,
            "write": write,
        }


def chosen(view: FormClass, ticked: Mapping[str, list[str]]) -> Chosen:
    """Return what a form's ticks and choices say, without what is not there to be chosen."""

    def known(name: str, all_of: Sequence[str]) -> tuple[str, ...]:
        some = ticked.get(name, [])
        return tuple(one for one in all_of if one in some)

    papers = known("paper", [paper for paper, _ in PAPERS])
    return Chosen(
        known("kind", [kind for kind, _ in OF_LESSONS + OF_FRAMES]),
        known("lesson", slugs(view.root)),
        known("student", [s.id for s in view.folder.students]),
        papers[0] if papers else "a4",
        "two-sided" in ticked.get("sides", []),
        "large" in ticked.get("large", []),
    )


def at_first(view: FormClass) -> Chosen:
    """Return what is ticked when the page is opened: worksheets of the last lesson handed out."""
    in_use = overview.in_use(view.folder)
    return Chosen(lessons=tuple(in_use[-1:]))


class Print(DeskPage):
    """The page on which paper is chosen, counted and made."""

    def get(self) -> None:
        """Show the page, and what came of counting or making if a job is named."""
        job = self.job()
        self.ask(_of_job(job.said) if job else at_first(self.desk.view), "")

    def ask(self, some: Chosen, error: str) -> None:
        """Show the page with these choices; `error` says what is still to be chosen."""
        view = self.desk.view
        job = self.job()
        self.show(
            "print",
            chosen=some,
            error=error,
            of_lessons=OF_LESSONS,
            of_frames=OF_FRAMES,
            papers=PAPERS,
            lessons=lesson_choice.groups(view),
            students=list(words.names(view.folder).items()),
            job=job,
            done=job.result if job and job.state == "done" else None,
        )

    def post(self) -> None:
        """Count what was chosen, or make it."""
        ticked = {name: self.get_arguments(name) for name in ("kind", "lesson", "student")}
        ticked |= {name: self.get_arguments(name) for name in ("paper", "sides", "large")}
        some = chosen(self.desk.view, ticked)
        if some.missing:
            self.set_status(422)
            self.ask(some, some.missing)
            return
        make = self.fields.get("do") == "make"
        say = "Making the pile to print" if make else "Counting the sheets"
        self.order("paper", say, "/print", some.said(make))


def _of_job(said: Mapping[str, Any]) -> Chosen:
    return Chosen(
        tuple(said["kinds"]),
        tuple(said["lessons"]),
        tuple(said["students"]),
        said["paper"],
        said["two_sided"],
        said["large"],
    )
