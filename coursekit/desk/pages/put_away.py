"""What is done now and then: undo, a look at the whole class, packing, and one student's data."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tornado.web import HTTPError

from coursekit.classroom.bank import lesson_names
from coursekit.classroom.bank.lesson_names import plain
from coursekit.classroom.gradebook import read_only
from coursekit.classroom.register import lock_and_backup, new_place, undo
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.former_ids import BY_STUDENT
from coursekit.desk import lesson_choice, words
from coursekit.desk.page import DeskPage
from coursekit.desk.pages.made import send
from coursekit.desk.pages.now import Link

PAGE, STUDENT, ERASE = "/put-away", "/put-away/student", "/put-away/erase"
LONGEST_FRAME = 20_000  # characters of a frame file
_ABOUT = {
    "secret": "The class secret",
    "rights": "Who may open the folder",
    "room": "Room on the disk",
    "clock": "The clock",
    "settings": "Settings and roster",
    "capitals": "Ids that some disks can’t tell apart",
    "gradebook": "The gradebook",
    "records": "Records of marks and readings",
    "stale": "What is out of date",
    "left over": "Left over",
}
_COMMAND = re.compile(r"`coursekit ([a-z-]+)(?: ([a-z-]+))?[^`]*`")
# what a finding tells to do → the page of the desk on which it is done
_PAGES = {"mark": "/mark", "feedback": "/send", "class": PAGE, "student": PAGE}


@dataclass(frozen=True)
class Copy:
    """A copy of the gradebook: the name of its file, when it was made, how much work is in it."""

    name: str
    made: str
    holds: str


@dataclass(frozen=True)
class Facts:
    """What the page shows.

    `undo` and `redo` are the steps, in words, that can be undone and done again. `students` are
    (id, name); `gone` are the ids of those who left the roster and whose work is still here.
    """

    folder: str
    place: str
    undo: str
    redo: str
    why_not: str
    copies: tuple[Copy, ...]
    students: tuple[tuple[str, str], ...]
    gone: tuple[str, ...]


def facts(folder: ClassFolder) -> Facts:
    """Return what the page shows of a class."""
    path = folder.path.resolve()
    return Facts(
        str(path),
        str(path.parent),
        _step(undo.last(folder)),
        _step(undo.last(folder, redo=True)),
        undo.why_not(folder) if folder.gradebook else "",
        tuple(
            Copy(one.name, words.when(lock_and_backup.made_at(one)), _holds(folder, one))
            for one in reversed(lock_and_backup.backups(folder))
        ),
        tuple(words.names(folder).items()),
        tuple(gone(folder)),
    )


def _holds(folder: ClassFolder, copy: Path) -> str:
    """Return how much work a copy of the gradebook holds, or that it can't be read."""
    try:
        with read_only.in_file(folder, copy) as book:
            ((count,),) = book.rows("SELECT COUNT(*) FROM submitted_assignment") or [(0,)]
    except ClassError:
        return "can’t be read"
    return words.many(count, "piece of work", "pieces of work")


def _step(step: undo.Step | None) -> str:
    return f"{step.words}, {words.when(step.when)}" if step else ""


def gone(folder: ClassFolder) -> list[str]:
    """Return the ids of students who are no longer on the roster but have work here."""
    ids = {student.id for student in folder.students}
    there = {
        entry.name
        for place in BY_STUDENT
        if (folder.path / place).is_dir()
        for entry in (folder.path / place).iterdir()
        if entry.is_dir()
    }
    return sorted(there - ids)


def findings(found: Iterable[Mapping[str, Any]], root: Path) -> list[tuple[str, list[Link]]]:
    """Return what was found in words: what it is about, and its sentence in pieces with links."""
    told = []
    for one in found:
        said = str(one["said"])
        slug = said.partition(":")[0]
        if slug in lesson_names.slugs(root):
            said = lesson_names.title(slug, root) + said[len(slug) :]
        told.append((_ABOUT.get(one["about"], one["about"]), _pieces(said, slug, root)))
    return told


def _pieces(said: str, slug: str, root: Path) -> list[Link]:
    """Return a sentence with links to the desk's pages in the place of commands."""
    pieces, done = [], 0
    for command in _COMMAND.finditer(said):
        page = _PAGES.get(command[1])
        if page:
            pieces.append(Link(said[done : command.start()], ""))
            lesson = command[2] or slug
            asked = f"?{urlencode({'lesson': lesson})}" if page not in (PAGE,) else ""
            label = {"mark": "Mark it", "feedback": "Make it again"}.get(command[1], "Do that here")
            pieces.append(Link(label, page + asked))
            done = command.end()
    return [piece for piece in (*pieces, Link(said[done:], "")) if piece.words]


def file_for(within: str, name: str, folder: ClassFolder, now: datetime) -> Path:
    """Return the file, not there yet, for what is written `within` a folder that was typed."""
    parent = new_place.folder_typed(within, folder.path.resolve().parent)
    if parent.is_relative_to(folder.path.resolve()):
        raise ClassError(
            f"What leaves the class must lie outside its folder; got {parent}. Name another place."
        )
    stem = f"{new_place.folder_name(name)} {now:%Y-%m-%d %H%M%S}"
    return parent / f"{stem}.zip"


class PutAway(DeskPage):
    """Undo, check, pack, copies of the gradebook, and the way to one student."""

    def get(self) -> None:
        """Show them, and what came of the job that the address names."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page; `error` says why something can't be done."""
        job = self.job()
        result = (job.result if job and job.state == "done" else None) or {}
        found = result.get("findings")
        self.show(
            "put-away",
            facts=facts(self.desk.folder),
            job=job if result else None,
            findings=None if found is None else findings(found, self.desk.root),
            error=error,
            typed=self.fields.get("place", ""),
        )

    def post(self) -> None:
        """Order what was asked for."""
        deed = self.fields.get("deed", "")
        folder = self.desk.folder
        try:
            if deed == "pack":
                name = folder.path.resolve().name
                file = file_for(self.fields.get("place", ""), name, folder, datetime.now())
                self.order("pack", "Packing the class", PAGE, {"file": str(file)})
            elif deed == "check":
                self.order("check_class", "Looking at the whole class", PAGE, {})
            elif deed in ("undo", "redo"):
                step = facts(folder).redo if deed == "redo" else facts(folder).undo
                say = f"{'Doing again' if deed == 'redo' else 'Undoing'}: {step}"
                self.order("undo_step", say, PAGE, {"redo": deed == "redo"})
            elif deed == "put-back":
                say = "Putting back a copy of the gradebook"
                self.order("put_back", say, PAGE, {"copy": self.fields.get("copy", "")})
            else:
                raise HTTPError(400)
        except ClassError as error:
            self.set_status(422)
            self.ask(str(error))


def _is(job: Any, task: str) -> bool:
    return bool(job and job.task == task and job.state == "done")


class OneStudent(DeskPage):
    """What is done to one student: another id, other numbers, a real frame, their data."""

    @property
    def whose(self) -> str:
        """The student's id; 404 for nobody of the class."""
        known = [student.id for student in self.desk.folder.students]
        if (student := self.fields.get("student", "")) not in known:
            raise HTTPError(404)
        return student

    def get(self) -> None:
        """Show it."""
        if (job := self.job()) and job.state == "done" and job.task == "rename_student":
            self.fields["student"] = str((job.result or {})["student"])
        elif job:
            self.fields["student"] = str(job.said.get("student", ""))
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page; `error` says why something can't be done."""
        job, student = self.job(), self.whose
        self.show(
            "one-student",
            student=student,
            called=self.name(student),
            lessons=lesson_choice.groups(self.desk.view),
            place=str(self.desk.folder.path.resolve().parent),
            job=job if job and job.state == "done" else None,
            titles={
                slug: self.title(slug) for slug in (job.said.get("lessons", ()) if job else ())
            },
            error=error,
            typed={name: self.fields.get(name, "") for name in ("id", "text", "place")},
        )

    def post(self) -> None:
        """Order what was asked for."""
        student, said = self.whose, self.fields
        name, deed = self.name(student), said.get("deed", "")
        try:
            if deed == "rename":
                new = said.get("id", "").strip()
                facts = {"student": student, "id": new}
                self.order("rename_student", f"Giving {name} the id {new[:64]}", STUDENT, facts)
            elif deed == "renumber":
                self._renumber(student, name)
            elif deed == "frame":
                self._frame(student, name)
            elif deed == "export":
                where = said.get("place", "")
                file = file_for(where, f"all of {student}", self.desk.folder, datetime.now())
                facts = {"student": student, "file": str(file)}
                self.order("export_student", f"Writing all that is kept of {name}", STUDENT, facts)
            else:
                raise HTTPError(400)
        except ClassError as error:
            self.set_status(422)
            self.ask(str(error))

    def _renumber(self, student: str, name: str) -> None:
        known = lesson_names.slugs(self.desk.root)
        slugs = [slug for slug in self.get_body_arguments("lesson") if slug in known]
        if not slugs:
            raise ClassError("Other numbers must be for a lesson; got none. Tick one or more.")
        facts = {"student": student, "lessons": slugs, "even_so": "even-so" in self.fields}
        self.order("renumber_student", f"Giving {name} other numbers", STUDENT, facts)

    def _frame(self, student: str, name: str) -> None:
        text = self.fields.get("text", "").replace("\r\n", "\n")
        if not text.strip() or len(text) > LONGEST_FRAME:
            raise ClassError(
                f"A frame file must be chosen or pasted, {LONGEST_FRAME} characters at most; got "
                f"{len(text.strip())}. `coursekit sheets start` writes one to begin with."
            )
        file = self.fields.get("file", "").strip()[:100] or "The frame"
        facts = {"student": student, "text": text, "file": file}
        self.order("own_frame", f"Putting the frame in place that {name} builds", STUDENT, facts)


class Erase(DeskPage):
    """Takes a student out of the class for good, once the name is typed."""

    def get(self) -> None:
        """Ask for the name, or show what was removed."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page."""
        job = self.job()
        student = str(job.said.get("student", "")) if job else self.fields.get("student", "")
        done = job.result if job and _is(job, "erase_student") else None
        called = words.names(self.desk.folder)
        if not done and not job and student not in (*called, *gone(self.desk.folder)):
            raise HTTPError(404)
        name = called.get(student, student)
        self.show("erase", student=student, called=name, done=done, job=job, error=error)

    def post(self) -> None:
        """Erase the student whose name was typed."""
        student, folder = self.fields.get("student", ""), self.desk.folder
        called = words.names(folder)
        if student not in (*called, *gone(folder)):
            raise HTTPError(404)
        name, typed = called.get(student, student), self.fields.get("typed", "")
        if plain(typed).split() != plain(name).split():
            self.set_status(422)
            got = f"got '{typed[:200]}'" if typed.strip() else "got nothing"
            self.ask(f"To erase {name}, the name must be typed as it stands here; {got}.")
            return
        self.order("erase_student", f"Erasing {student}", ERASE, {"student": student})


class PackedFile(DeskPage):
    """The file that a job has written for the instructor to take away."""

    async def get(self) -> None:
        """Send it to be saved."""
        job = self.job()
        if job is None or job.task not in ("pack", "export_student") or not job.result:
            raise HTTPError(404)
        path = Path(job.result["file"])
        if not path.is_file():  # the instructor has put it elsewhere
            raise HTTPError(404)
        with path.open("rb") as file:
            await send(self, file, path.name, "application/zip", save=True)
