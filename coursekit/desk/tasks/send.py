"""Makes what is sent: mail drafts, a file for a stick, a folder for a web space.

Feedback pages are made before they are sent, so that none is older than the marks. Nothing leaves
this computer.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.mail_draft import Draft
from coursekit.classroom.register.one_piece import LEFT
from coursekit.desk import words
from coursekit.desk.tasks import Facts, Said, Tell

_BOOK = 10  # how much of the job the book counts for, in students


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Make what the page asked for; return what came of it."""
    sending = _Sending(folder, root, said, tell)
    sending.make_feedback()
    made = {"mail": sending.mail, "stick": sending.stick, "site": sending.site}[said["how"]]()
    left = [{"why": why, "students": who} for why, who in sending.left.items()]
    return {"how": said["how"], "left": left} | made


class _Sending:
    """One job, with how far it is and who is left out for what reason."""

    def __init__(self, folder: ClassFolder, root: Path, said: Said, tell: Tell) -> None:
        wanted = set(said["students"])
        self.whole, self.root, self.said, self.tell = folder, root, said, tell
        some = tuple(s for s in folder.students if s.id in wanted or not wanted)
        self.some = replace(folder, students=some)
        self.names = words.names(folder)
        self.left: dict[str, list[str]] = defaultdict(list)
        parts = len(said["feedback"]) * (1 + (said["how"] == "mail")) + len(said["lessons"])
        self.done, self.of = 0, parts * len(some) + _BOOK * (said["how"] == "site")

    def step(self, what: str) -> None:
        self.done = min(self.done + 1, self.of)
        self.tell(what, self.done, self.of)

    def make_feedback(self) -> None:
        from coursekit.classroom.report import feedback

        def told(student: str, what: str) -> None:
            self.step(f"Feedback page: {self.names[student]}")
            if what.startswith(LEFT):
                self.left[what.removeprefix(LEFT)].append(student)

        for slug in self.said["feedback"]:
            feedback.give_feedback(self.some, slug, told, self.root)

    def works(self) -> list[Assignment]:
        from coursekit.classroom.handout import assignments

        return [assignments.assignment(self.whole, s, self.root) for s in self.said["lessons"]]

    def mail(self) -> Facts:
        from coursekit.classroom.handout import zips
        from coursekit.classroom.register import mail_draft

        target = Path(self.said["target"])
        written: list[Path] = []
        without: list[str] = []
        for slug, drafts in self._drafts():
            one = mail_draft.write(self._counted(drafts), target, slug)
            written += one.drafts
            without += one.no_address
        if self.said["zip"]:
            file = self.whole.path / "to-send" / "mail.zip"
            part = file.with_name(".mail.zip.part")
            part.unlink(missing_ok=True)
            zips.add(part, {path.name: path.read_bytes() for path in written})
            part.replace(file)
        return {
            "count": len(written),
            "folder": str(target),
            "zip": "mail.zip" if self.said["zip"] else "",
            "no_address": list(dict.fromkeys(without)),
        }

    def _drafts(self) -> Iterator[tuple[str, Iterator[Draft]]]:
        from coursekit.classroom.handout import assignments, own_file
        from coursekit.classroom.report import feedback_mail

        for slug in self.said["feedback"]:
            yield f"{slug}-feedback", feedback_mail.drafts(self.some, slug, self.root)
        for work in self.works():
            there = [s.id for s in self.some.students if self._is_handed_out(work, s.id)]
            some = assignments.for_students(work, there)
            yield work.slug, own_file.drafts(some)

    def _counted(self, drafts: Iterator[Draft]) -> Iterator[Draft]:
        for one in drafts:
            self.step(f"Mail: {self.names[one.to.id]}")
            yield one

    def _is_handed_out(self, work: Assignment, student: str) -> bool:
        from coursekit.classroom.handout import own_file

        try:
            own_file.own_file(work, student)
        except ClassError:
            self.left[f"{work.exercise.title} was not handed out to them."].append(student)
            return False
        return True

    def stick(self) -> Facts:
        from coursekit.classroom.report import stick

        self.tell("Packing", self.done, self.of)
        works = self.works()
        target = self.whole.path / "to-send" / "stick.zip"
        made = stick.make(self.some, works, self.said["feedback"], target)
        titles = {work.slug: work.exercise.title for work in works}
        for slug, student in made.missing:
            if slug in titles and student:
                why = f"{titles[slug]} was not handed out to the whole class."
                self.left[why].append(student)
        return {"file": made.file.name, "students": list(made.students)}

    def site(self) -> Facts:
        from coursekit.book import build
        from coursekit.classroom.handout import site

        target, began = Path(self.said["target"]), self.done
        site.refuse(self.whole, target)

        def told(what: str, share: float) -> None:
            self.tell(f"The book: {what}", began + int(share * _BOOK), self.of)

        laid = site.lay_out(self.works(), target, build.pages_to_send(self.root, told))
        links = {s.id: laid.links[s.id] for s in self.some.students}
        return {
            **{"folder": str(target), "links": links},
            **{"removed": laid.removed, "foreign": laid.left},
        }
