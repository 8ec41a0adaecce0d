"""The facts of a class's report: marks, questions, slips, the bench, each student's progress."""

from __future__ import annotations

import hashlib
import hmac
import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from math import isfinite, nan
from pathlib import Path
from statistics import fmean

from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bench import bench_record, class_fits
from coursekit.classroom.handout import assignments
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report import item_analysis, overview
from coursekit.classroom.report.item_analysis import Analysis, Item, SlipCount

FIRST_MINUTES = 10  # of the next session, in which the slips are to be talked over
MOST_TALKED_OVER = 3


@dataclass(frozen=True)
class Talk:
    """Something to talk over: a slip at a question, how many made it, its hint, what to read."""

    lesson: str
    question: str
    slip: str
    students: int
    of: int
    hint: str
    minutes: float
    read: str = ""

    @property
    def count(self) -> str:
        """How many students made the slip, like "3 of 12"."""
        return f"{self.students} of {self.of}"


@dataclass(frozen=True)
class LineSpread:
    """The class's readings of one bench line, student → readings, and how they scatter."""

    line: BenchLine
    values: Mapping[str, tuple[float, ...]]
    fit: class_fits.Spread

    @property
    def repeat(self) -> float:
        """Standard deviation of one reading when a student reads again; nan if nobody did."""
        return nan if self.fit.repeat is None else self.fit.repeat

    @property
    def freedom(self) -> int:
        """How many readings there are beyond one for each student."""
        return self.fit.readings - self.fit.students

    @property
    def divisions(self) -> float:
        """`repeat`, in divisions of the instrument."""
        return self.repeat / self.line.resolution if self.line.resolution else nan


@dataclass(frozen=True)
class LessonFacts:
    """One lesson in the report; `marks` maps students to marks, for work that is marked."""

    work: Assignment
    place: overview.LessonState
    analysis: Analysis
    marks: Mapping[str, float]
    bench: tuple[LineSpread, ...]
    fits: class_fits.Fits
    show_at_bench: str
    left: tuple[str, ...] = ()  # a line for each piece that is left out of the report

    @property
    def slug(self) -> str:
        """The lesson's slug."""
        return self.work.slug

    @property
    def title(self) -> str:
        """The lesson's title."""
        return self.work.exercise.title

    @property
    def out_of(self) -> float:
        """Marks of the whole exercise."""
        return self.work.exercise.marks

    @property
    def mean_share(self) -> float:
        """Mean share of the marks of those whose work is marked; nan if there are none."""
        return fmean(self.marks.values()) / self.out_of if self.marks else nan


@dataclass(frozen=True)
class Facts:
    """Everything that a report says; `names` maps students to what it calls them, in its order."""

    title: str
    made: datetime
    names: Mapping[str, str]
    lessons: tuple[LessonFacts, ...]
    talk: tuple[Talk, ...]

    def share(self, student: str) -> float:
        """Return a student's share of the marks of all their marked work; nan if there is none."""
        marked = [lesson for lesson in self.lessons if student in lesson.marks]
        most = sum(lesson.out_of for lesson in marked)
        return sum(lesson.marks[student] for lesson in marked) / most if most else nan


def gather(
    folder: ClassFolder,
    root: Path,
    slugs: Sequence[str] = (),
    *,
    names: bool = True,
    now: datetime | None = None,
) -> Facts:
    """Return the facts of a class, for the lessons `slugs` or for all that are handed out.

    Without `names` the students are called S1, S2 …, in an order that depends on the class secret.
    Raises ClassError if there is nothing to report.
    """
    now = now or datetime.now(UTC).replace(tzinfo=None)
    found = {lesson.slug: lesson for lesson in overview.overview(folder, now).lessons}
    wanted = list(slugs) or [s for s in found if (folder.release(s) / f"{s}.ipynb").is_file()]
    if unknown := [s for s in wanted if s not in found]:
        raise ClassError(
            f"{unknown[0]}: a report must be of an exercise that the class was handed; it has "
            f"{', '.join(found) or 'none'}. Choose among these."
        )
    if not wanted:
        raise ClassError(
            f"{folder.path}: a report must have something to tell; nothing is handed out yet. Run "
            "`coursekit hand-out` first."
        )
    lessons = tuple(_lesson(assignments.assignment(folder, s, root), found[s]) for s in wanted)
    return Facts(folder.title, now, called(folder, names), lessons, _talk(lessons))


def called(folder: ClassFolder, names: bool) -> dict[str, str]:
    """Return student → what to call them; without `names` S1, S2 … in an order nobody can guess."""
    if names:
        return {s.id: s.name if s.name == s.id else f"{s.name} ({s.id})" for s in folder.students}

    def order(id: str) -> bytes:
        return hmac.new(folder.secret, b"\0report\0" + id.encode(), hashlib.sha256).digest()

    ids = sorted((s.id for s in folder.students), key=order)
    return {id: f"S{number}" for number, id in enumerate(ids, start=1)}


def _lesson(work: Assignment, place: overview.LessonState) -> LessonFacts:
    marks = {s: p.marks for s, p in place.students.items() if p.marks is not None}
    analysis = item_analysis.analyse(work)
    found = class_fits.Fits(work.slug, (), None, (), ())
    bench: tuple[LineSpread, ...] = ()
    whys: list[str] = []
    with one_piece(whys.append):
        found = class_fits.fits(work.folder, work.exercise)
        bench = spreads(work, found)
    return LessonFacts(
        work,
        place,
        analysis,
        marks,
        bench,
        found,
        _note(work.key.notes, "At the bench"),
        (
            *overview.troubles([place]),
            *analysis.left,
            *found.left,
            *(left_line("the bench record of", work.slug, why) for why in whys),
        ),
    )


def _note(notes: str, heading: str) -> str:
    """Return the paragraph of the instructor's notes that begins with `heading` in bold, or ""."""
    found = re.search(
        rf"\*\*{re.escape(heading)}\.?\*\*(.*?)(?=\n- \*\*|\n\n|\Z)", notes, re.DOTALL
    )
    return " ".join(found[1].split()) if found else ""


def spreads(work: Assignment, found: class_fits.Fits) -> tuple[LineSpread, ...]:
    """Return the spread of each bench line that has readings, from the latest of each place."""
    values: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for (student, id, _), reading in sorted(bench_record.latest(work.folder, work.slug).items()):
        values[id][student].append(reading.value)
    lines = {line.id: line for line in work.exercise.bench}
    people = {s.id for s in work.folder.students}
    return tuple(
        LineSpread(
            lines[s.line], {k: tuple(v) for k, v in values[s.line].items() if k in people}, s
        )
        for s in found.spreads
    )


def _talk(lessons: Sequence[LessonFacts]) -> tuple[Talk, ...]:
    """Return what to talk over when the class meets next, from the lesson that was marked last.

    The slips that most students made come first, at most one for each question. The ten minutes are
    divided among them by how many students made each.
    """
    marked = [lesson for lesson in lessons if lesson.marks]
    if not marked:
        return ()
    lesson = marked[-1]
    common = [(slip, item) for item in lesson.analysis.items for slip in item.slips[:1]]
    common = [(slip, item) for slip, item in common if slip.students >= 2] or common
    common.sort(key=lambda pair: (-pair[0].students, pair[1].difficulty))
    common = common[:MOST_TALKED_OVER]
    total = sum(slip.students for slip, _ in common)
    return tuple(_talked(lesson, slip, item, total) for slip, item in common)


def _talked(lesson: LessonFacts, slip: SlipCount, item: Item, total: int) -> Talk:
    minutes = max(1.0, round(2 * FIRST_MINUTES * slip.students / total) / 2)
    read = lesson.work.exercise.question(item.question).read
    return Talk(
        lesson=lesson.title,
        question=item.title,
        slip=slip.name,
        students=slip.students,
        of=len(lesson.marks),
        hint=slip.hint,
        minutes=minutes,
        read=read.replace("-", " "),
    )


def shown(value: float, digits: int = 3) -> str:
    """Return a number as a report shows it, or – for nan."""
    return f"{value:.{digits}g}" if isfinite(value) else "–"


def per_cent(share: float) -> str:
    """Return a share in per cent, or – for nan."""
    return f"{100 * share:.0f} %" if isfinite(share) else "–"
