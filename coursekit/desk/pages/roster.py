"""The roster of the open class: who joins late, and names and addresses that were wrong."""

from __future__ import annotations

from collections.abc import Sequence

from tornado.web import HTTPError

from coursekit.classroom.register.class_folder import ClassError, csv_text
from coursekit.classroom.register.roster import LARGEST, Student
from coursekit.desk import words
from coursekit.desk.page import DeskPage
from coursekit.desk.pages.classes import as_read

PAGE = "/put-away/roster"
NEW = 3  # empty lines below the students
_TOLD = "The roster"  # what messages call it
Line = tuple[str, str, str]


class Roster(DeskPage):
    """The students as lines that can be typed into; ids that are in use stay as they are."""

    def get(self) -> None:
        """Show the lines, and what came of the last change."""
        self.ask([], "")

    def ask(self, typed: Sequence[Line], error: str) -> None:
        """Show the page; `typed` are the lines as they were typed, `error` says what is wrong."""
        job = self.job()
        here = [(s.id, s.name, s.mail) for s in self.desk.folder.students]
        self.show(
            "roster",
            lines=typed or here + [("", "", "")] * NEW,
            known=len(here),
            job=job if job and job.state == "done" else None,
            error=error,
        )

    def post(self) -> None:
        """Order the change, if the lines make a roster."""
        here = self.desk.folder.students
        lines = self._lines([s.id for s in here])
        text = csv_text([("id", "name", "e-mail"), *(line for line in lines if any(line))])
        try:
            read = as_read(text.encode()[: LARGEST + 1], _TOLD)
            if read.told:
                raise ClassError(" ".join(read.told))
            say = _say(here, read.students)
            if not say:
                raise ClassError("A change must be typed; got the roster as it is.")
        except ClassError as error:
            self.set_status(422)
            self.ask(lines, str(error))
            return
        people = [(s.id, s.name, s.mail) for s in read.students]
        self.order("roster", say, PAGE, {"students": people})

    def _lines(self, ids: Sequence[str]) -> list[Line]:
        """Return the lines that were typed; 400 if they don't begin with the class's students."""
        columns = [self.get_body_arguments(name) for name in ("id", "name", "mail")]
        lines = list(zip(*columns, strict=False))
        if len({len(column) for column in columns}) > 1 or [a for a, _, _ in lines[: len(ids)]] != [
            *ids
        ]:
            raise HTTPError(400)
        return [(id.strip(), name.strip(), mail.strip()) for id, name, mail in lines]


def _say(before: Sequence[Student], after: Sequence[Student]) -> str:
    """Return what changes, in words; "" if nothing does."""
    new = [s.name or s.id for s in after[len(before) :]]
    mended = [b.name or b.id for a, b in zip(before, after, strict=False) if a != b]
    joins = f"Taking {_some(new)} into the class" if new else ""
    mends = f"{', m' if new else 'M'}ending what stands beside {_some(mended)}" if mended else ""
    return joins + mends


def _some(names: list[str]) -> str:
    return words.listed(names) if len(names) < 4 else words.many(len(names), "student")
