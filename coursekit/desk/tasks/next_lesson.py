"""Changes a lesson's questions for this class, sets when it is due, and hands it out.

Each of the three may be left out. A change that isn't sound is refused, and then nothing is handed
out; what was changed before it stays, because each change is proved for itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.register import class_folder
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk import words
from coursekit.desk.tasks import Facts, Said, Tell

_PROOF, _BOOK = 5, 10  # how much of the job a change and the book count for, in students


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Do what the page asked for; return what came of it."""
    return _NextLesson(folder, root, said, tell).all()


class _NextLesson:
    """One hand-out, with how far it is."""

    def __init__(self, folder: ClassFolder, root: Path, said: Said, tell: Tell) -> None:
        self.folder, self.root, self.said, self.tell = folder, root, said, tell
        self.slug: str = said["lesson"]
        self.students: tuple[str, ...] = tuple(said["students"])
        self.done = 0
        count = len(self.students or folder.students)
        handing_out = 2 * count + _BOOK * bool(said["pages"]) if said["hand_out"] else 0
        self.of = _PROOF * len(said["changes"]) + handing_out

    def say(self, what: str, done: int) -> None:
        self.done = done
        self.tell(what, done, self.of)

    def all(self) -> Facts:
        refused = self.change()
        facts: Facts = {
            "lesson": self.slug,
            "refused": refused,
            "changed": len(self.said["changes"]),
        }
        if refused:
            return facts | {"changed": facts["changed"] - len(refused)}
        if "due" in self.said:
            self.set_due()
        return facts | (self.hand_out() if self.said["hand_out"] else {})

    def change(self) -> list[dict[str, str]]:
        """Change the questions; return those that were refused, each with the reason."""
        from coursekit.classroom.marking import class_question

        refused = []
        for one in self.said["changes"]:
            self.say(f"Proving '{one['title']}'", self.done)
            try:
                self.folder = class_folder.load(self.folder.path)
                where = (self.folder, self.slug, one["question"], self.root)
                if one["as_in_course"]:
                    class_question.as_in_course(*where)
                else:
                    class_question.change(*where, one["tolerance"], one["marks"])
            except ValueError as error:
                # the words begin with the file and the question, which the page names itself
                why = str(error).partition(f"question '{one['question']}': ")[2] or str(error)
                refused.append({"title": one["title"], "why": why[:1].upper() + why[1:]})
            self.say(f"Proved '{one['title']}'", self.done + _PROOF)
        return refused

    def set_due(self) -> None:
        from coursekit.classroom.gradebook import due

        moment = datetime.fromisoformat(self.said["due"]) if self.said["due"] else None
        if self.folder.due.get(self.slug) != moment:
            self.folder = due.set_due(class_folder.load(self.folder.path), self.slug, moment)

    def hand_out(self) -> dict[str, Any]:
        from coursekit.classroom.answer_page.handing_out import hand_out_lesson
        from coursekit.classroom.handout import assignments

        self.folder = class_folder.load(self.folder.path)
        names = words.names(self.folder)

        @contextmanager
        def around(what: str, count: int) -> Iterator[Any]:
            yield lambda student: self.say(f"{what}: {names[student]}", self.done + 1)

        self.say("Opening the lesson", self.done)
        work = assignments.assignment(self.folder, self.slug, self.root)
        made = hand_out_lesson(
            work, self.pages, around, paper=self.said["paper"], students=self.students
        )
        return {
            "students": [s.id for s in made.work.folder.students],
            "largest": max(zip.stat().st_size for zip in made.zips.zips),
            "stick": made.zips.stick.name if made.zips.stick else "",
            "pages": made.pages is not None,
            "exchange": made.exchange is not None,
        }

    def pages(self) -> Path | None:
        """Return the folder of the book's pages, or None to leave them out."""
        if not self.said["pages"]:
            return None
        from coursekit.book import build

        began = self.done

        def told(what: str, share: float) -> None:
            self.say(f"The book: {what}", began + int(share * _BOOK))

        found = build.pages_to_send(self.root, told)
        self.done = began + _BOOK
        return found
