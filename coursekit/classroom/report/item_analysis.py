"""What a class's marks say about its questions, and who needs help before the next session."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from math import isfinite, nan
from typing import Any

import numpy as np

from coursekit.classroom.bank.exercises import Question
from coursekit.classroom.bank.mark import Mark
from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import sure_scores
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.marking import marked_work
from coursekit.classroom.register.class_folder import RECORD, ClassError
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report.item_statistics import Alpha, alpha, item_rest

HELP_BELOW = 0.5  # a student with less than this share of the marks is said to need help
MOST_SLIPS = 3

Scores = Mapping[str, Mapping[str, float | None]]
Verdicts = Mapping[str, Mapping[str, Mark]]  # student → question id → what the marking recorded


@dataclass(frozen=True)
class SlipCount:
    """A slip's name, how many students made it, and its hint."""

    name: str
    students: int
    hint: str


@dataclass(frozen=True)
class Item:
    """What is known about one question; nan if nothing can be said.

    `difficulty` is the mean share of the marks and `discrimination` the correlation with the rest.
    `marked` counts the students whose answer is marked and `blank` those who gave none. `slips` are
    the commonest ones. `poor` counts who got less than half of the marks.
    """

    question: str
    title: str
    out_of: float
    marked: int
    difficulty: float
    discrimination: float
    blank: int
    slips: tuple[SlipCount, ...]
    poor: int = 0


@dataclass(frozen=True)
class Need:
    """A student who needs help: share of the marks so far, why, and where most marks were lost.

    `blank` counts the answers that are blank; `nothing` says why there was nothing to mark, or is
    "" if there was something.
    """

    student: str
    share: float
    lost: tuple[str, ...] = ()
    blank: int = 0
    nothing: str = ""

    @property
    def why(self) -> str:
        """Why marks are missing, in a few words."""
        if self.nothing:
            return f"nothing to mark: {self.nothing}"
        return f"{self.blank} blank" if self.blank else ""

    def words(self, titles: Mapping[str, str] | None = None) -> str:
        """Return in words why; questions are named by their ids, or by `titles` (id → title)."""
        named = self.lost if titles is None else [f"“{titles[q]}”" for q in self.lost]
        most = f"most lost at {', '.join(named)}" if named else ""
        return "; ".join(part for part in (self.why, most) if part)


@dataclass(frozen=True)
class Analysis:
    """Item analysis of one exercise in one class."""

    slug: str
    title: str
    handed_in: int
    missing: tuple[str, ...]
    items: tuple[Item, ...]
    alpha: Alpha
    waiting: tuple[str, ...]  # questions that wait for a person, left out of alpha
    needs: tuple[Need, ...]
    left: tuple[str, ...] = ()  # a line for each student whose record or marks do not read

    @property
    def titles(self) -> dict[str, str]:
        """Return question id → title."""
        return {item.question: item.title for item in self.items}

    def as_json(self) -> dict[str, Any]:
        """Return the same as plain mappings and lists, with None instead of nan."""
        found: dict[str, Any] = _without_nan(asdict(self))
        for need, told in zip(self.needs, found["needs"], strict=True):
            told["why"] = need.why
        if not self.left:
            del found["left"]
        return found


def _without_nan(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {k: _without_nan(v) for k, v in tree.items()}
    if isinstance(tree, list | tuple):
        return [_without_nan(v) for v in tree]
    return None if isinstance(tree, float) and not isfinite(tree) else tree


def analyse(work: Assignment, help_below: float = HELP_BELOW) -> Analysis:
    """Return the item analysis of `work` from the gradebook and the records of marking.

    A mark given by a person replaces the machine's. Whoever handed nothing in is named as missing
    and counts nowhere else. As long as a question waits for a person to mark it, for one student or
    more, it is left out of alpha and of the other questions' rest. Marks that are not numbers and
    records that can't be read are left out, and `left` says whose and why.
    """
    with reading(work.folder) as book:
        handed_in: Scores = sure_scores(book, work.slug)
    scores, verdicts, left = _sound(work, handed_in)
    questions = work.exercise.graded
    sure = [q for q in questions if all(marks.get(q.id) is not None for marks in scores.values())]
    table = np.array([[marks[q.id] for q in sure] for marks in scores.values()], dtype=float)
    discrimination = _by_question(sure, table)
    return Analysis(
        slug=work.slug,
        title=work.exercise.title,
        handed_in=len(handed_in),
        missing=tuple(s.id for s in work.folder.students if s.id not in handed_in),
        items=tuple(
            _item(q, scores, verdicts, discrimination.get(q.id, nan), work) for q in questions
        ),
        alpha=alpha(table) if table.size else Alpha(nan, nan, nan),
        waiting=tuple(q.id for q in questions if q not in sure),
        needs=_needs(questions, scores, verdicts, help_below),
        left=tuple(left),
    )


def _sound(work: Assignment, handed_in: Scores) -> tuple[Scores, Verdicts, list[str]]:
    """Return the marks and the records that can be used, and a line about each that can't."""
    scores: dict[str, Mapping[str, float | None]] = {}
    verdicts: dict[str, Mapping[str, Mark]] = {}
    left: list[str] = []
    for student, marks in handed_in.items():
        whys: list[str] = []
        with one_piece(whys.append):
            scores[student] = _numbers(marks)
            verdicts[student] = _recorded(work, student)
        left += [left_line(student, work.slug, why) for why in whys]
    return scores, verdicts, left


def _numbers(marks: Mapping[str, float | None]) -> Mapping[str, float | None]:
    for question, mark in marks.items():
        if mark is not None and not (isinstance(mark, int | float) and isfinite(mark)):
            raise ClassError(
                f"A mark in the gradebook must be a number; got {mark!r} for {question}. Give it "
                "again."
            )
    return marks


def _recorded(work: Assignment, student: str) -> dict[str, Mark]:
    """Return question id → what the marking recorded; empty if another program marked it."""
    record = marked_work.recorded(work.folder, student, work.slug)
    if record is None and not (work.folder.autograded(student, work.slug) / RECORD).exists():
        return {}
    marks = record.marks if record else ()
    words = [word for m in marks for word in (m.question, m.verdict, m.reason, m.slip)]
    if record is None or not all(isinstance(word, str) for word in words):
        raise ClassError(
            f"The record of marking must be as it was written; {RECORD} is damaged, so slips and "
            "reasons are left out. Delete it and mark again."
        )
    return {m.question: m for m in marks}


def _by_question(sure: Sequence[Question], table: Any) -> dict[str, float]:
    if not table.size:
        return {}
    return dict(zip((q.id for q in sure), item_rest(table).tolist(), strict=True))


def _item(
    question: Question,
    scores: Scores,
    verdicts: Verdicts,
    discrimination: float,
    work: Assignment,
) -> Item:
    got = [m for marks in scores.values() if (m := marks.get(question.id)) is not None]
    found = [marks[question.id] for marks in verdicts.values() if question.id in marks]
    counts = Counter(m.slip for m in found if m.slip)
    hints = {slip.name: slip.hint for slip in work.key.slips.get(question.id, ())}
    return Item(
        question=question.id,
        title=question.title,
        out_of=question.marks,
        marked=len(got),
        difficulty=float(np.mean(got)) / question.marks if got else nan,
        discrimination=discrimination,
        blank=sum(m.verdict == "blank" for m in found),
        slips=tuple(
            SlipCount(name, count, hints.get(name, ""))
            for name, count in sorted(counts.items(), key=lambda c: (-c[1], c[0]))[:MOST_SLIPS]
        ),
        poor=sum(m < HELP_BELOW * question.marks for m in got),
    )


def _needs(
    questions: Sequence[Question],
    scores: Scores,
    verdicts: Verdicts,
    below: float,
) -> tuple[Need, ...]:
    """Return who has earned less than the share `below` of the marks so far, the lowest first."""
    needs = []
    for student, marks in scores.items():
        sure = [(q, m) for q in questions if (m := marks.get(q.id)) is not None]
        most = sum(q.marks for q, _ in sure)
        share = sum(m for _, m in sure) / most if most else nan
        if share < below:
            needs.append(_need(student, share, verdicts.get(student, {}), sure))
    return tuple(sorted(needs, key=lambda need: (need.share, need.student)))


def _need(
    student: str,
    share: float,
    marks: Mapping[str, Mark],
    sure: Sequence[tuple[Question, float]],
) -> Need:
    """Return why a student's marks are missing, and where most of them went."""
    counts = Counter(m.verdict for m in marks.values())
    blank = counts["blank"]
    if marks and blank + counts["stopped"] + counts["unreadable"] == len(marks):
        return Need(student, share, (), blank, next(iter(marks.values())).reason)
    lost = sorted(((q.marks - m, q.id) for q, m in sure if m < q.marks), key=lambda w: -w[0])
    return Need(student, share, tuple(question for _, question in lost[:3]), blank)
