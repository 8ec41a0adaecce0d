"""The facts of the whole report: marks, questions, slips, and every reading at the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from math import isfinite, nan
from pathlib import Path
from statistics import fmean

from coursekit.classroom.bank import exercises, keys
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bench import class_fits
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report import item_analysis, overview
from coursekit.classroom.report.called import called
from coursekit.classroom.report.item_analysis import Analysis
from coursekit.classroom.report.measured import LineMeasured, measured


@dataclass(frozen=True)
class LineSpread:
    """The class's readings of one bench line: measured minus expected, and how they scatter."""

    measured: LineMeasured
    fit: class_fits.Spread

    @property
    def line(self) -> BenchLine:
        """The line of the bench record."""
        return self.measured.line

    @property
    def values(self) -> dict[str, tuple[float, ...]]:
        """Student → readings."""
        return {one.student: one.values for one in self.measured.students}

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
    """Everything that the whole report says; `names` maps students to what it calls them.

    `named` says whether those are their names.
    """

    title: str
    made: datetime
    names: Mapping[str, str]
    lessons: tuple[LessonFacts, ...]
    named: bool = True

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

    The students are called as in `report.called`. Raises ClassError if there is nothing to report.
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
    lessons = tuple(_lesson(_work(folder, s, root), found[s]) for s in wanted)
    return Facts(folder.title, now, called(folder, names), lessons, names)


def _work(folder: ClassFolder, slug: str, root: Path) -> Assignment:
    exercise = exercises.load(slug, root)
    return Assignment(folder, exercise, keys.load(exercise, root), root)


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
        (
            *overview.troubles([place]),
            *analysis.left,
            *found.left,
            *(left_line("the bench record of", work.slug, why) for why in whys),
        ),
    )


def spreads(work: Assignment, found: class_fits.Fits) -> tuple[LineSpread, ...]:
    """Return each bench line that has readings, from the latest of each place."""
    fits = {fit.line: fit for fit in found.spreads}
    return tuple(
        LineSpread(one, fits[one.line.id]) for one in measured(work) if one.line.id in fits
    )


def shown(value: float, digits: int = 3) -> str:
    """Return a number as a report shows it, or – for nan."""
    return f"{value:.{digits}g}" if isfinite(value) else "–"


def per_cent(share: float) -> str:
    """Return a share in per cent, or – for nan."""
    return f"{100 * share:.0f} %" if isfinite(share) else "–"
