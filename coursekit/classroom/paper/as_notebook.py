"""A notebook made of a student's answers on paper, handed in the ordinary way.

It is the release notebook with the answers typed into its answer cells, so it is run and marked
like any other. A note at its head and its metadata say that it came from paper. A notebook that the
student handed in is never replaced unasked, and every version is kept in `taken-in/`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.handout.assignments import Assignment, released
from coursekit.classroom.intake import as_notebook, handwriting, kept_versions
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.paper.paper_answers import PaperAnswer
from coursekit.classroom.register import lock_and_backup

NOTE = "*Filled in from answers on paper. The values in quotes are what stands on the worksheet.*"
SOURCE = "answers on paper"
BY = "typed in from the worksheet"


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

    Parameters
    ----------
    replace
        Ids of students whose own notebook may give way to the answers on paper.

    Raises
    ------
    ClassError
        If the class is being marked.
    """
    typed = paper_answers.latest(work.folder, work.slug)
    chosen = [s.id for s in work.folder.students if s.id in typed]
    if students is not None:
        chosen = [s for s in chosen if s in students]
    if not chosen:
        return []
    with lock_and_backup.only_writer(work.folder):
        release = released(work).text
        return [_one(work, release, s, typed[s], s in replace) for s in chosen]


def _one(
    work: Assignment, release: str, student: str, answers: Mapping[str, PaperAnswer], replace: bool
) -> Outcome:
    data = notebook(work, release, answers).encode()
    came = _came(paper_answers.every(work.folder, work.slug, student))
    place = work.folder.submitted(student, work.slug)
    path = place / f"{work.slug}.ipynb"
    there = path.is_file() or path.is_symlink()
    if there and not _is_ours(work, student, path) and not replace:
        return Outcome(student, "refused", _their_own(work.slug, student))
    if there and path.read_bytes() == data and time_of(_text(place / STAMP_FILE)) == _naive(came):
        return Outcome(student, "unchanged")
    kept_versions.submit(work.folder, student, work.slug, data, came, SOURCE, BY)
    return Outcome(student, "handed in")


def _their_own(slug: str, student: str) -> str:
    return (
        f"{student}: a notebook that a student handed in must not be replaced unasked; there is "
        f"one for {slug}. The answers on paper are recorded but not handed in. To let them count "
        f"instead, run `coursekit answers hand-in {slug} --replace {student}`."
    )


def notebook(work: Assignment, release: str, answers: Mapping[str, PaperAnswer]) -> str:
    """Return the text of the release notebook with `answers`, question → answer, in its cells."""
    cells = {
        q.id: cell_text(q, answers[q.id].answer) for q in work.exercise.graded if q.id in answers
    }
    return as_notebook.notebook(release, cells, NOTE, "from-paper", {"from": SOURCE})


def cell_text(question: Question, answer: str) -> str:
    """Return the text of an answer cell that says exactly what stands on paper."""
    if question.kind == "written":
        return answer
    boxes = handwriting.entries(question, answer)
    return as_notebook.cell_text(question, boxes, "from the worksheet")


def _came(answers: list[PaperAnswer]) -> datetime:
    """Return the time of handing in: the last one noted, else when the first answer was typed."""
    said = [a.handed_in for a in answers if a.handed_in]
    if said and (when := time_of(said[-1])):
        return when.replace(tzinfo=UTC)
    return datetime.strptime(answers[0].when, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)


def _naive(when: datetime) -> datetime:
    """Return a time in UTC without its zone, as the gradebook keeps it."""
    return when.astimezone(UTC).replace(tzinfo=None)


def _is_ours(work: Assignment, student: str, path: Path) -> bool:
    """Whether the notebook is byte for byte one that was made here from answers on paper."""
    data = read_regular(path, LARGEST_NOTEBOOK)
    return data is not None and any(
        kept_versions.origin(version).get("by") == BY
        and read_regular(version / path.name, LARGEST_NOTEBOOK) == data
        for version in kept_versions.versions(work.folder, student, work.slug)
    )


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace") if path.is_file() else ""
