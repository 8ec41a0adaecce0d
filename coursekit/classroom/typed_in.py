"""A notebook made of a student's answers on paper, handed in the ordinary way.

It is the release notebook with the answers typed into its answer cells, so it is run and marked as
any other. A note at its head and its metadata say that it came from paper. A notebook that the
student handed in is never replaced unasked; what is replaced is kept in `replaced/`.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import nbformat

from coursekit.classroom import paper_answers
from coursekit.classroom.bank import Question
from coursekit.classroom.classes import ClassFolder, write_text
from coursekit.classroom.handed_in import STAMP_FILE, time_of
from coursekit.classroom.handout import Assignment, make_release
from coursekit.classroom.notebooks import file_text, grade_id
from coursekit.classroom.paper_answers import Answer

NOTE = "*Filled in from answers on paper. The values in quotes are what stands on the worksheet.*"


@dataclass(frozen=True)
class Outcome:
    """What came of one student's answers: handed in, unchanged, or refused with the reason."""

    student: str
    what: str
    why: str = ""


def hand_in(
    work: Assignment, students: Collection[str] | None = None, replace: Collection[str] = ()
) -> list[Outcome]:
    """Return what came of the answers on paper of `students`, or of all who have some.

    Parameters: `replace`, ids of students whose own notebook may give way to the answers on paper.
    """
    typed = paper_answers.latest(work.folder, work.slug)
    chosen = [s.id for s in work.folder.students if s.id in typed]
    if students is not None:
        chosen = [s for s in chosen if s in students]
    if not chosen:
        return []
    release = make_release(work).read_text(encoding="utf-8")
    return [_one(work, release, s, typed[s], s in replace) for s in chosen]


def _one(
    work: Assignment, release: str, student: str, answers: Mapping[str, Answer], replace: bool
) -> Outcome:
    place = work.folder.submitted(student, work.slug)
    path, text = place / f"{work.slug}.ipynb", notebook(work, release, answers)
    stamp = _stamp(paper_answers.readings(work.folder, work.slug, student))
    there = path.is_file() or path.is_symlink()
    if there and not _is_ours(work, student, path) and not replace:
        return Outcome(
            student, "refused",
            f"{student}: a notebook that a student handed in must not be replaced unasked; there is one "
            f"for {work.slug}. The answers on paper are recorded but not handed in. To let them count "
            f"instead, run `coursekit answers hand-in {work.slug} --replace {student}`.",
        )  # fmt: skip
    same = there and path.read_bytes() == text.encode() and _text(place / STAMP_FILE) == stamp
    if same:
        return Outcome(student, "unchanged")
    if there:
        _put_aside(work, student, place)
    mark = _mark(work, student)
    write_text(mark, f"{_text(mark)}{_digest(text.encode())}\n")
    write_text(place / STAMP_FILE, stamp)
    write_text(path, text)
    return Outcome(student, "handed in")


def notebook(work: Assignment, release: str, answers: Mapping[str, Answer]) -> str:
    """Return the text of the release notebook with `answers`, question → answer, in its cells."""
    book = nbformat.reads(release, as_version=4)
    asked = {q.id: q for q in work.exercise.graded}
    for cell in book.cells:
        id = (grade_id(cell) or "").removesuffix("-answer")
        if id in answers and cell.metadata.nbgrader["solution"]:
            cell.source = cell_text(asked[id], answers[id].answer)
    book.cells.insert(0, nbformat.v4.new_markdown_cell(NOTE, id="from-paper"))
    book.metadata["coursekit"] = {"from": "answers on paper"}
    return file_text(book)


def cell_text(question: Question, answer: str) -> str:
    """Return what an answer cell holds that says just what stands on paper.

    Numbers go in as they were written, in quotes: the marker reads `"31,5 mm"`.
    """
    if question.kind == "written":
        return answer
    found = paper_answers.entries(question, answer)
    value = repr(found[0] if question.kind in ("number", "choice") else [e or None for e in found])
    return f"# from the worksheet\n{question.variable} = {value}"


def _stamp(answers: list[Answer]) -> str:
    """Return the time of handing in: the last that was written down, else of the first typing."""
    said = [a.handed_in for a in answers if a.handed_in]
    if said and (when := time_of(said[-1])):
        return f"{when:%Y-%m-%d %H:%M:%S} UTC\n"
    first = datetime.strptime(answers[0].when, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)
    return f"{first:%Y-%m-%d %H:%M:%S} UTC\n"


def _mark(work: Assignment, student: str) -> Path:
    """Return the file that lists which notebooks were made here, by their digests."""
    return work.folder.made / "typed-in" / student / work.slug


def _is_ours(work: Assignment, student: str, path: Path) -> bool:
    known = _text(_mark(work, student)).split()
    return not path.is_symlink() and _digest(path.read_bytes()) in known


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace") if path.is_file() else ""


def _put_aside(work: Assignment, student: str, place: Path) -> None:
    """Copy the notebook and its time of handing in to `replaced/`, under the time of now."""
    now = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
    aside = work.folder.path / "replaced" / student / work.slug / now
    aside.mkdir(parents=True)
    for name in (f"{work.slug}.ipynb", STAMP_FILE):
        if (place / name).is_file():
            shutil.copyfile(place / name, aside / name)


def erase(folder: ClassFolder, student: str) -> None:
    """Remove what is kept here of a student's replaced notebooks, for whoever asks to go."""
    for place in (folder.path / "replaced" / student, folder.made / "typed-in" / student):
        shutil.rmtree(place, ignore_errors=True)
