"""The class page in words: for each part of it rows, each with what it is about and a sentence.

Both the page and the PDF show these, so that they say the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from math import floor, log10
from typing import Any

from coursekit.classroom.bank.lesson_figures import Figure
from coursekit.classroom.register import dates
from coursekit.classroom.report.class_page import AllOff, ClassPage, Help, Outside
from coursekit.classroom.report.measured import DIVISIONS, ENOUGH, FAR
from coursekit.classroom.report.talk_over import Talk
from coursekit.classroom.report.waits import Owing, Waiting
from coursekit.sheets.text import long_minus, number, signed, unit_after

MOST_OUTSIDE = 5  # readings that the page names; all are in the whole report
MOST_ROWS = 6  # students that one part of the page names, of a class of twelve
MOST_WAITING = 3  # lessons of which one sort of work waits, and the page names whose
MOST_LESSONS = 5  # with more that are owed, the page goes by students instead of by lessons
MOST_NAMED = 4  # lessons that are named of what one student owes
Draw = Callable[[Figure], str]  # a figure of a lesson → its SVG, "" if it can't be drawn
MORE = "“coursekit report --whole” has them all."


@dataclass(frozen=True)
class Row:
    """A line of the page: whom or what it is about, and what there is to say."""

    about: str
    said: str


@dataclass(frozen=True)
class Told:
    """The page in words; `last` names the lessons that talk and help are about."""

    owed: tuple[Row, ...]
    waits: tuple[Row, ...]
    last: str
    talk: tuple[tuple[Talk, Row], ...]
    help: tuple[Row, ...]
    bench: tuple[Row, ...]
    at_bench: str
    rule: str


def told(page: ClassPage) -> Told:
    """Return the page in words."""
    return Told(
        owed=tuple(_owed(page)),
        waits=tuple(_waits(page.waiting)),
        last=listed(page.marked[::-1]),
        talk=tuple((talk, _talked(talk)) for talk in page.talk),
        help=tuple(_helped(page.help, _rows(page))),
        bench=tuple(_bench(page)),
        at_bench=listed(page.bench.lessons[::-1]),
        rule=_rule(page),
    )


def listed(words: Sequence[str]) -> str:
    """Return words as they are listed in a sentence.

    >>> listed(["Ash", "Birch", "Cedar"]), listed(["Ash"]), listed([])
    ('Ash, Birch and Cedar', 'Ash', '')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def counted(count: int, one: str, many: str = "") -> str:
    """Return a count with its word.

    >>> counted(1, "file"), counted(2, "file")
    ('1 file', '2 files')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def _everyone(students: Sequence[str], names: Iterable[str]) -> str:
    """Return students in a sentence, those who are not among them if these are far fewer."""
    others = [name for name in names if name not in students]
    if not others:
        return "everyone" if len(students) > 1 else listed(students)
    if len(others) * 2 < len(students):
        return f"everyone but {listed(others)}"
    return listed(students)


def _rows(page: ClassPage) -> int:
    """Return how many students one part of the page names: in a large class, a third of it."""
    return max(MOST_ROWS, len(page.names) // 3)


def _owed(page: ClassPage) -> Iterator[Row]:
    """Yield who owes what, by lessons or, where many are owed, by students."""
    if len(page.owing) <= MOST_LESSONS:
        for when, whose in groupby(page.owing, key=lambda one: (_when(one), one.students)):
            lessons = [one.lesson for one in whose]
            yield Row(listed(lessons), f"{when[0]}: {_everyone(when[1], page.names.values())}.")
        return
    together: dict[str, list[Owing]] = {}
    for one in page.owing:
        for student in one.students:
            together.setdefault(student, []).append(one)
    if len(together) > 1 and len({tuple(some) for some in together.values()}) == 1:
        yield Row(
            "Everyone" if len(together) == len(page.names) else listed(list(together)),
            _what(page.owing, page),
        )
        return
    most = sorted(together.items(), key=lambda pair: -len(pair[1]))
    for student, some in most[: _rows(page)]:
        yield Row(student, _what(some, page))
    if rest := most[_rows(page) :]:
        fewest, largest = len(rest[-1][1]), len(rest[0][1])
        each = f"{fewest} to " if fewest < largest else ""
        said = f"{each}{counted(largest, 'lesson')} each. “coursekit remind --all-open” names them."
        yield Row(f"And {len(rest)} more", said)


def _what(some: Sequence[Owing], page: ClassPage) -> str:
    """Return what one student owes, the first due time with it."""
    dues = [one.due for one in some if one.due]
    since = f"the first {_when(min((o for o in some if o.due), key=_moment))}" if dues else ""
    if len(some) <= MOST_NAMED:
        words = listed([one.lesson for one in some])
    else:
        words = f"{len(some)} of {page.lessons} lessons, from {some[0].lesson} to {some[-1].lesson}"
    return f"{words}, {since or 'no due date'}."


def _moment(one: Owing) -> datetime:
    return one.due or datetime.max


def _when(one: Owing) -> str:
    if one.due is None:
        return "no due date"
    return f"{'was ' if one.overdue else ''}due {dates.day(one.due)}"


def _waits(waiting: Sequence[Waiting]) -> Iterator[Row]:
    """Yield what waits; where it is much of one sort, lessons with counts and no names."""
    for what in ("to read", "to mark", "to look at", "can't be read"):
        some = [one for one in waiting if one.what == what]
        if what == "to read" or len(some) > MOST_WAITING:
            yield from _together(some)
        else:
            yield from map(_waits_one, some)


_THINGS = {
    "to read": ("written answer", "to read"),
    "to mark": ("student's work", "to mark"),
    "to look at": ("file", "to look at"),
    "can't be read": ("student's work", "that can't be read"),
}


def _together(some: Sequence[Waiting]) -> Iterator[Row]:
    """Yield one row for all that waits of one sort."""
    if some:
        thing, what = _THINGS[some[0].what]
        count = sum(one.count for one in some)
        per_lesson = Counter[str]()
        for one in some:
            per_lesson[one.lesson or "no lesson named"] += one.count
        where = ", ".join(f"{lesson} ({n})" for lesson, n in per_lesson.items())
        many = thing.replace("student's", "students'") if "'" in thing else ""
        yield Row(f"{counted(count, thing, many)} {what}", f"{where}.")


def _waits_one(one: Waiting) -> Row:
    who = (
        listed(one.students) if len(one.students) <= MOST_ROWS else f"{len(one.students)} students"
    )
    lesson = one.lesson or "no lesson named"
    if one.what == "to mark":
        return Row("To mark", f"{lesson}: {who}.")
    if one.what == "to look at":
        return Row(f"{counted(one.count, 'file')} to look at", f"{lesson}: {who}.")
    return Row("Can't be read", f"{who}, {lesson}. {one.why}")


def _talked(talk: Talk) -> Row:
    about = f"{talk.question} ({talk.lesson})"
    if talk.slip:
        return Row(about, f"{talk.count} made this slip. Their hint: “{talk.hint}”")
    return Row(about, f"{talk.count} got less than half of the marks, each in a different way.")


def board(talk: Talk) -> str:
    """Return what to draw on the board, or "" where the lesson has no figure."""
    if talk.figure is None:
        return ""
    said = (
        f"The lesson draws nothing at “{talk.read}”; this stands beside it. " if talk.beside else ""
    )
    return f"{said}{talk.figure.caption}"


def _helped(help: Sequence[Help], most: int) -> Iterator[Row]:
    together: dict[str, list[Help]] = {}
    for one in help:
        together.setdefault(one.student, []).append(one)
    for student, some in list(together.items())[:most]:
        nothing = [one for one in some if one.nothing]
        rest = [one for one in some if not one.nothing]
        parts = [f"{listed([x.lesson for x in nothing])}: {nothing[0].nothing}"] if nothing else []
        parts += map(_lost, rest)
        yield Row(student, " ".join(parts))
    if len(together) > most:
        yield Row(f"And {len(together) - most} more", MORE)


def _lost(one: Help) -> str:
    titles = listed([f"“{title}”" for title in one.questions])
    blank = f", {counted(one.blank, 'answer')} blank" if one.blank else ""
    return f"{one.lesson}: {100 * one.share:.0f} % of the marks{blank}; most lost at {titles}."


def _bench(page: ClassPage) -> Iterator[Row]:
    yield from map(_all_off, page.bench.all_off)
    yield from map(_outside, page.bench.outside[:MOST_OUTSIDE])
    if len(page.bench.outside) > MOST_OUTSIDE:
        yield Row(f"And {len(page.bench.outside) - MOST_OUTSIDE} more", MORE)
    for name, pull, unit in page.bench.pulls:
        after, sign = counted(len(pull.at), "tack"), unit_after(unit)
        yield Row(
            name,
            f"gauge {pull.way} after {after}: {signed(pull.measured, '.2g')}{sign} where the pulls "
            f"of the class come to {signed(pull.model, '.2g')}{sign}.",
        )
    for name, change in page.bench.worse:
        yield Row(
            name,
            f"{change.of} at {change.at:g} mm: setting took it further off, from "
            f"{signed(change.before)} mm to {signed(change.after)} mm.",
        )


def _all_off(one: AllOff) -> Row:
    line, off = one.among.line, one.among.middle or 0.0
    return Row(
        f"The whole class, {off_by(off, line.resolution, line.unit)}",
        f"{line.say} ({one.lesson}), in the middle of all. Look at the instrument, or at what the "
        "sheet expects, before you look at anybody.",
    )


def _outside(one: Outside) -> Row:
    line, read = one.line, one.reading
    size, unit = line.resolution, unit_after(line.unit)
    known = read.expected is not None
    wanted = to_division(read.value - read.off, size)
    where = f"{wanted}{unit} is expected" if known else f"the class's middle is {wanted}{unit}"
    return Row(
        f"{one.student}, {off_by(read.off, size, line.unit)}",
        f"{line.say} ({one.lesson}): {to_division(read.value, size)}{unit} where {where}.",
    )


def to_division(value: float, division: float) -> str:
    """Return a value with as many decimals as its instrument's division has.

    >>> to_division(1199.967, 0.5), to_division(-0.0312, 0.02), to_division(61.2, 1)
    ('1200.0', '−0.03', '61')
    """
    places = max(0, -floor(log10(division) + 1e-9))
    return long_minus(f"{value:.{places}f}")


def off_by(value: float, division: float, unit: str) -> str:
    """Return measured minus expected, with its sign and unit."""
    places = max(0, -floor(log10(division) + 1e-9))
    return f"{signed(value, f'.{places}f')}{unit_after(unit)}"


def _rule(page: ClassPage) -> str:
    if not page.bench.lessons:
        return ""
    if len(page.names) < ENOUGH:
        return (
            f"With fewer than {ENOUGH} students, a reading is outside if it misses what the "
            f"student's own numbers say by more than {DIVISIONS} divisions of the instrument."
        )
    return (
        f"A reading is outside if it lies further from the middle of the class than {number(FAR)} "
        "times the class's spread. It is taken as measured minus expected, wherever the student's "
        "own numbers say what to expect."
    )


def shown(found: ClassPage, told: Told, *, named: bool, draw: Draw) -> dict[str, Any]:
    """Return the words and sketches that the pages and the PDF share, beside what is told."""
    students = counted(len(found.names), "student")
    lessons = counted(found.lessons, "lesson")
    in_use = f"{lessons} in use" if found.lessons else "nothing handed out yet"
    whose = "For the instructor" if named else "Without names"
    today, marked = dates.day(found.made), bool(found.marked)
    return {
        "title": found.title,
        "about": f"{whose}, before the next session. {today}; {students}, {in_use}.",
        "last": f"From the work on {told.last}, in ten minutes." if found.talk else "",
        "talk_none": "Nobody slipped in a usual way." if marked else "No work is marked yet.",
        "help_about": f"Below half of the marks at {told.last}." if told.help else "",
        "help_none": "Nobody is below half of the marks." if marked else "No work is marked yet.",
        "bench_about": f"From the bench record of {told.at_bench}." if told.at_bench else "",
        "bench_none": "None is outside." if told.at_bench else "Nothing was recorded at the bench.",
        "talks": [
            {
                "about": row.about,
                "minutes": str(talk.minutes),
                "said": row.said,
                "board": board(talk),
                "read": talk.read,
                "alt": talk.figure.alt if talk.figure else "",
                "svg": draw(talk.figure) if talk.figure else "",
            }
            for talk, row in told.talk
        ],
    }
