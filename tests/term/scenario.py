"""A term of twelve invented students over all lessons, typed as an instructor types it, step by step."""

from __future__ import annotations

import json
import os
import re
import shutil
import zipfile
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import nbformat
from click.testing import CliRunner

from coursekit.book.lesson import lessons
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.register import class_folder
from coursekit.cli import main

STUDENTS = [f"bench-{i:02d}" for i in range(1, 13)]
FIRST_DUE = datetime(2026, 2, 3, 19, tzinfo=UTC)
WEEK = timedelta(days=7)
LATE_TWO_DAYS, LATE_IN_GRACE, LATE_ALL = "bench-03", "bench-04", "bench-05"
OTHER_FRAME, OTHER_ID, ZIPPED, TWICE, ON_PAPER, BROKEN, ABSENT = (
    f"bench-{i:02d}" for i in (6, 7, 8, 9, 10, 11, 12)
)
SLIPS = "bench-02"
NEW_ID = "hulda"
WRONG = r"\g<1>answer: 1.37 * (\g<2>)"


def call(*words: object) -> tuple[int, str]:
    """Return exit code and output of a command."""
    done = CliRunner().invoke(main, [str(w) for w in words])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.output


def did(*words: object) -> str:
    """Return what a command says that must succeed."""
    code, said = call(*words)
    assert code == 0, said
    return said


@dataclass
class Term:
    """The class as its instructor knows it: where it is, who is called what, what week it is."""

    place: Path
    root: Path
    slugs: tuple[str, ...] = ()
    mark_words: tuple[str, ...] = ()
    folder: Path = Path()
    numbers: dict[tuple[str, str], dict[str, float]] = field(default_factory=dict)
    _works: dict[str, tuple[tuple[object, ...], assignments.Assignment]] = field(
        default_factory=dict
    )

    @classmethod
    def begun(cls, place: Path, course: Path, most: int | None = None, **more: object) -> Term:
        """Return a term in a copy of the course, whose keys a step may spoil, of all lessons or of some."""
        root = place / "course-of-the-term"
        for name in ("exercises", "solutions"):
            shutil.copytree(course / name, root / name)
        (root / "course").mkdir()
        shutil.copy(course / "course" / "_toc.yml", root / "course")
        os.environ["COURSEKIT_ROOT"] = str(root)
        return cls(place, root, lessons(course)[:most], folder=place / "evening", **more)

    @property
    def on(self) -> list[object]:
        """The words that name the class."""
        return ["--class", self.folder]

    def work(self, slug: str) -> assignments.Assignment:
        """The exercise in the class as it is now; opened again where one of its files has changed."""
        files = (self.folder / "roster.csv", self.folder / "own-numbers.csv", self.folder / "class.toml",
                 self.root / "solutions" / f"{slug}.md")  # fmt: skip
        state = (self.folder, *(f.read_bytes() if f.is_file() else b"" for f in files))
        if self._works.get(slug, ((), None))[0] != state:
            self._works[slug] = (
                state,
                assignments.assignment(class_folder.load(self.folder), slug, self.root),
            )
        return self._works[slug][1]

    def id(self, student: str) -> str:
        """What a student is called now."""
        known = (self.folder / "roster.csv").read_text().splitlines()
        return student if any(line.startswith(f"{student},") for line in known) else NEW_ID

    def open(self) -> None:
        """Week zero: a roster from a spreadsheet, late rules."""
        roster = self.place / "roster.csv"
        lines = [f'"Builder {i}";{id};12,50' for i, id in enumerate(STUDENTS, start=1)]
        roster.write_bytes(
            ("\ufeff" + "\r\n".join(["Full Name;Student ID;Fee", *lines])).encode("utf-16-le")
        )
        did("class", "open", self.folder, "--roster", roster, "--title", "Evening class")
        did("class", "late", "10", "--most", "50", "--grace-hours", "2", *self.on)

    def due(self, slug: str) -> datetime:
        """When a lesson is due."""
        return FIRST_DUE + self.slugs.index(slug) * WEEK

    def hand_out(self, slug: str) -> None:
        """Hand a lesson out, due a week after the one before."""
        did("hand-out", slug, *self.on, "--no-pages", "--no-stick", "--quiet")
        did("class", "due", slug, self.due(slug).isoformat(), "--past", *self.on)
        work = self.work(slug)
        for student in STUDENTS:
            self.numbers[student, slug] = work.numbers(self.id(student))

    def bundle(self, slug: str, student: str) -> nbformat.NotebookNode:
        """The notebook in the zip that a student got."""
        zips = self.folder / "to-send" / slug / f"{slug}-{self.id(student)}.zip"
        with zipfile.ZipFile(zips) as packed:
            return nbformat.reads(packed.read(f"{slug}/{slug}.ipynb").decode(), as_version=4)

    def filled(self, slug: str, student: str, cells: dict[str, str] | None = None) -> bytes:
        """A student's notebook with everything right, or with `cells`."""
        work = self.work(slug)
        right = invented_class.right_cells(work, self.id(student))
        return nbformat.writes(
            invented_class.filled(self.bundle(slug, student), {**right, **(cells or {})})
        ).encode()

    def loose_question(self, slug: str) -> str:
        """A question that stands alone, a number or else a choice: none builds on it, and it on none."""
        work = self.work(slug)
        built = {id for a in work.key.answers.values() for id in a.after}
        for kind in ("number", "choice"):
            for q in work.exercise.graded:
                if q.kind == kind and q.id not in built and not work.key.answers[q.id].after:
                    return q.id
        raise AssertionError(f"{slug} has no question that stands alone")

    def slip_cell(self, slug: str, student: str) -> dict[str, str]:
        """The first slip of that question, as the student's cell."""
        work, id = self.work(slug), self.loose_question(slug)
        q = work.exercise.question(id)
        value = work.key.slip_value(work.key.slips[id][0], q, work.numbers(self.id(student)), {})
        return {id: f"{q.variable} = {value!r}"}

    def take_in(self, slug: str, own_id_file: bytes | None = None) -> dict[str, str]:
        """Take in what the class hands in for a lesson; return student → what became of it."""
        inbox = self.place / "inbox" / slug
        inbox.mkdir(parents=True)
        due = self.due(slug)
        outcome: dict[str, str] = {}

        def send(
            name: str, data: bytes, after: timedelta = -timedelta(hours=3), code: int = 0
        ) -> None:
            path = inbox / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            got, said = call(
                "take-in", path, *self.on, "--came", (due + after).isoformat(), "--json"
            )
            assert got == code, said
            work = [t for t in json.loads(said) if t["what"] not in ("with", "passed")]
            outcome.update({t["student"] or t["source"]: t["what"] for t in work})

        for student in STUDENTS:
            whole = self.filled(slug, student)
            if student == SLIPS:
                send(f"Re_ {slug}.ipynb", self.filled(slug, student, self.slip_cell(slug, student)))
            elif student == LATE_TWO_DAYS:
                send("homework.ipynb", whole, timedelta(hours=26))
            elif student == LATE_IN_GRACE:
                send("homework (2).ipynb", whole, timedelta(minutes=30))
            elif student == LATE_ALL:
                send(f"{slug} final.ipynb", whole, timedelta(days=30))
            elif student == ZIPPED:
                path = inbox / "zip" / "Fwd_ my folder.zip"
                path.parent.mkdir()
                with zipfile.ZipFile(path, "w") as packed:
                    packed.writestr(f"{slug}/{slug}.ipynb", whole)
                    packed.writestr(f"{slug}/notes.txt", "mine")
                send("zip/Fwd_ my folder.zip", path.read_bytes())
            elif student == TWICE:
                wrong = {
                    q.id: f"{q.variable} = None"
                    for q in self.work(slug).exercise.graded
                    if q.kind == "number"
                }
                send("first try.ipynb", self.filled(slug, student, wrong), -timedelta(days=2))
                send("second try.ipynb", whole)
            elif student == ON_PAPER:
                self.on_paper(slug)
            elif student == BROKEN:
                send(f"{student} {slug}.ipynb", whole[: len(whole) // 2])
            elif student != ABSENT:
                send(
                    f"{student} {slug}.ipynb"
                    if student == OTHER_FRAME
                    else f"{slug} ({student[-1]}).ipynb",
                    whole,
                )
        return outcome

    def on_paper(self, slug: str) -> None:
        """Type in one student's answers from a worksheet: only the question that stands alone."""
        work, id = self.work(slug), self.loose_question(slug)
        q = work.exercise.question(id)
        value = work.key.value(q, work.numbers(ON_PAPER), {})
        answer = value if isinstance(value, str) else f"{value:.6f}"
        file = self.place / "inbox" / slug / "paper.csv"
        came = self.due(slug) - timedelta(hours=1)
        file.write_text(
            f"student,lesson,question,answer,handed in\n{ON_PAPER},{slug},{id},{answer},{came:%Y-%m-%d %H:%M} UTC\n"
        )
        did("answers", "take-in", file, *self.on)

    def mark(self, *slugs: str) -> dict[str, dict[str, object]]:
        """Mark lessons; return slug → student → the row that the command prints."""
        said = json.loads(did("mark", *slugs, *self.on, *self.mark_words, "--json"))
        return {
            found["exercise"]: {row["id"]: row for row in found["students"]}
            for found in (said if isinstance(said, list) else [said])
        }

    def marks(self, slug: str) -> dict[str, float]:
        """Student → marks as the gradebook has them, of those who handed in."""
        found = json.loads(did("marks", slug, *self.on, "--json"))
        return {row["id"]: row["marks"] for row in found["students"] if row["handed_in"]}

    # what a lesson's marks must be, worked out from the bank's public half alone

    def machine(self, slug: str) -> float:
        """Marks that the machine can give: all but the written questions'."""
        return sum(q.marks for q in self.work(slug).exercise.graded if q.kind != "written")

    def expected(self, slug: str, spoilt: bool = False) -> dict[str, float]:
        """Student → marks of a lesson, with the loose question lost where its key is spoilt."""
        work, loose = self.work(slug), self.loose_question(slug)
        of_loose = work.exercise.question(loose).marks
        full = self.machine(slug) - (of_loose if spoilt else 0.0)
        credit = work.key.slips[loose][0].credit
        want = {s: full for s in STUDENTS if s != ABSENT}
        want[SLIPS] = self.machine(slug) - (1 - (0 if spoilt else credit)) * of_loose
        want[LATE_TWO_DAYS] = 0.8 * full
        want[LATE_ALL] = 0.5 * full
        want[ON_PAPER] = 0.0 if spoilt else of_loose
        want[BROKEN] = 0.0
        return {self.id(s): m for s, m in want.items()}

    def spoil(self, slug: str) -> bytes:
        """Put a mistake into a lesson's key; return the file as it was."""
        file = self.root / "solutions" / f"{slug}.md"
        before = file.read_bytes()
        right = rf"(^## {self.loose_question(slug)}\n)answer: (.*)"
        wrong, times = re.subn(right, WRONG, before.decode(), flags=re.MULTILINE)
        assert times == 1
        file.write_bytes(wrong.encode())
        return before

    def whole(self) -> None:
        """The whole term in one go, for a class whose gradebook or whose runners are elsewhere."""
        first, second, *later = self.slugs
        right = self.spoil(first)
        self.hand_out(first)
        wrong = (self.root / "solutions" / f"{first}.md").read_bytes()
        (self.root / "solutions" / f"{first}.md").write_bytes(right)
        self.take_in(first)
        (self.root / "solutions" / f"{first}.md").write_bytes(wrong)
        self.mark(first)
        self.hand_out(second)
        self.take_in(second)
        self.mark(second)
        did("student", "renumber", OTHER_FRAME, *later, *self.on)
        did("student", "rename", OTHER_ID, NEW_ID, *self.on)
        for slug in later:
            self.hand_out(slug)
            self.take_in(slug)
        self.mark(*self.slugs)
        (self.root / "solutions" / f"{first}.md").write_bytes(right)
        self.mark(first)
