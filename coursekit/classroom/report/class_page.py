"""What an instructor needs on the evening before the next session, as facts for one page.

Who owes what; who waits for the instructor; what to talk over; who needs help and with what; which
readings lie outside what was to be expected. Everything is read and nothing is written, so a page
of a server can ask for it. The last lessons count: the two that were marked last for what to talk
over and who needs help, the two that have readings and were handed out last for the bench.

An exercise that can't be read is left out, and `left` says so; the rest of the page stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.bank import exercises, keys, lesson_names
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bench import bench_record, class_fits
from coursekit.classroom.bench.centre_plane import Change
from coursekit.classroom.bench.class_fits import Residual
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.one_piece import left_line, one_piece
from coursekit.classroom.report import item_analysis, overview, waits
from coursekit.classroom.report.called import called
from coursekit.classroom.report.measured import LineMeasured, Measured, measured
from coursekit.classroom.report.talk_over import Marked, Talk, talk_over
from coursekit.classroom.report.waits import Owing, Waiting

LAST = 2  # lessons that "of late" means
PLACES = 2  # questions that are named where a student lost most


@dataclass(frozen=True)
class Help:
    """A student who needs help with a lesson: share of the marks, and where most were lost.

    `nothing` says why there was nothing to mark, or is "" if there was something.
    """

    student: str
    lesson: str
    share: float
    questions: tuple[str, ...]
    blank: int
    nothing: str = ""


@dataclass(frozen=True)
class Outside:
    """A reading outside what was to be expected: whose, of which lesson and line."""

    student: str
    lesson: str
    line: BenchLine
    reading: Measured
    among: LineMeasured


@dataclass(frozen=True)
class AllOff:
    """A line at which the whole class misses what is expected."""

    lesson: str
    among: LineMeasured


@dataclass(frozen=True)
class Bench:
    """What of the bench is worth a second look; `lessons` are those that were looked at.

    `pulls` are readings far from the model of tacks, in `unit`, and `worse` the parts that setting
    took further off, each with the student's name.
    """

    lessons: tuple[str, ...] = ()
    outside: tuple[Outside, ...] = ()
    all_off: tuple[AllOff, ...] = ()
    pulls: tuple[tuple[str, Residual, str], ...] = ()
    worse: tuple[tuple[str, Change], ...] = ()


@dataclass(frozen=True)
class ClassPage:
    """The page; every student is called as in `names` (id → name), every lesson by its title."""

    title: str
    made: datetime
    names: Mapping[str, str]
    lessons: int
    owing: tuple[Owing, ...]
    waiting: tuple[Waiting, ...]
    marked: tuple[str, ...]  # the lessons that talk and help are about
    talk: tuple[Talk, ...]
    help: tuple[Help, ...]
    bench: Bench
    left: tuple[str, ...] = ()  # a line for everything that is left out, and why


def class_page(
    folder: ClassFolder,
    root: Path,
    now: datetime | None = None,
    *,
    slugs: Sequence[str] = (),
    names: bool = True,
) -> ClassPage:
    """Return the page of a class at `now` (UTC without zone), by default at this moment.

    With `slugs`, what to talk over, who needs help and the bench are those of these lessons instead
    of the last ones. Raises ClassError if the class doesn't use one of them.
    """
    now = now or datetime.now(UTC).replace(tzinfo=None)
    lessons = overview.overview(folder, now).lessons
    if unknown := [s for s in slugs if s not in {lesson.slug for lesson in lessons}]:
        raise ClassError(
            f"{unknown[0]}: a report must be of an exercise that the class was handed; it has "
            f"{', '.join(x.slug for x in lessons) or 'none'}. Choose among these."
        )
    names_of = called(folder, names)
    titles = {lesson.slug: lesson_names.title(lesson.slug, root) for lesson in lessons}
    opened = _Opened(folder, root, len(slugs) or LAST)
    about = [lesson for lesson in lessons if lesson.slug in slugs or not slugs]
    left = overview.troubles(lessons)
    marked = [
        Marked(work.exercise, item_analysis.analyse(work))
        for work in opened.last(x.slug for x in about if x.count("marked"))
    ]
    left += [line for one in marked for line in one.analysis.left]
    recorded = set(bench_record.slugs(folder))
    at_bench = opened.last(x.slug for x in about if x.slug in recorded)
    bench, more = _bench(at_bench, names_of)
    return ClassPage(
        title=folder.title,
        made=now,
        names=names_of,
        lessons=len(lessons),
        owing=tuple(waits.owing(lessons, titles, names_of)),
        waiting=tuple(waits.waiting(folder, lessons, titles, names_of)),
        marked=tuple(one.exercise.title for one in marked),
        talk=talk_over(marked, root),
        help=_help(marked, names_of),
        bench=bench,
        left=tuple(dict.fromkeys((*left, *opened.left, *more))),
    )


class _Opened:
    """Exercises with their keys, each read once; `left` says which can't be."""

    def __init__(self, folder: ClassFolder, root: Path, most: int) -> None:
        self._folder, self._root, self._most = folder, root, most
        self._works: dict[str, Assignment | None] = {}
        self.left: list[str] = []

    def last(self, slugs: Iterable[str]) -> list[Assignment]:
        """Return the last lessons of `slugs`, the latest first."""
        found: list[Assignment] = []
        for slug in reversed(list(slugs)):
            if len(found) < self._most and (work := self._work(slug)):
                found.append(work)
        return found

    def _work(self, slug: str) -> Assignment | None:
        if slug not in self._works:
            self._works[slug] = None
            with one_piece(lambda why: self.left.append(left_line("the lesson", slug, why))):
                exercise = exercises.load(slug, self._root)
                key = keys.load(exercise, self._root)
                self._works[slug] = Assignment(self._folder, exercise, key, self._root)
        return self._works[slug]


def _help(marked: Sequence[Marked], names: Mapping[str, str]) -> tuple[Help, ...]:
    """Return who needs help with the last lessons, whoever has the least first."""
    found = [
        Help(
            names[need.student],
            one.exercise.title,
            need.share,
            tuple(one.analysis.titles[q] for q in need.lost[:PLACES]),
            need.blank,
            need.nothing,
        )
        for one in marked
        for need in one.analysis.needs
        if need.student in names
    ]
    return tuple(sorted(found, key=lambda one: one.share))


def _bench(works: Sequence[Assignment], names: Mapping[str, str]) -> tuple[Bench, list[str]]:
    """Return what of the bench is worth a second look, and a line for what can't be used."""
    outside: list[Outside] = []
    all_off: list[AllOff] = []
    pulls: list[tuple[str, Residual, str]] = []
    worse: list[tuple[str, Change]] = []
    left: list[str] = []
    for work in works:
        title, whys = work.exercise.title, list[str]()
        with one_piece(whys.append):
            lines = measured(work)
            all_off += [AllOff(title, one) for one in lines if one.all_off]
            outside += [
                Outside(names[m.student], title, one.line, m, one)
                for one in lines
                for m in one.outside
            ]
            found = class_fits.fits(work.folder, work.exercise)
            left += found.left
            residuals = found.pull.residuals if found.pull else ()
            unit = found.pull.unit if found.pull else ""
            pulls += [(names[r.student], r, unit) for r in residuals if r.far]
            worse += [(names[c.student], c) for c in found.changes if c.verdict == "further off"]
        left += [left_line("the bench record of", work.slug, why) for why in whys]
    outside.sort(key=lambda one: -one.among.far(one.reading))
    lessons = tuple(work.exercise.title for work in works)
    return Bench(lessons, tuple(outside), tuple(all_off), tuple(pulls), tuple(worse)), left
