"""Takes in what was dropped, and what the instructor says of the pieces that were unclear."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from coursekit.classroom.intake.archives import Stored, said
from coursekit.classroom.intake.drops import LOCK, Drop, DropError, Given, Line, Told
from coursekit.classroom.intake.take_in import Taken, take_in
from coursekit.classroom.register import lock_and_backup

Fits = Callable[[Sequence[Taken]], Mapping[int, Any]]
Tell = Callable[[str, int, int], None]


def take_in_drop(drop: Drop, fits: Fits, tell: Tell) -> list[Line]:
    """Take in the files of a drop that were not taken in yet; return what became of them.

    `fits` proposes whose work it may be that is nobody's, as `marking.whose.proposals` does.
    """
    new = drop.waiting()
    if not new:
        return []
    told = take_in(drop.folder, _telling(_places(new), tell), came=_came(new))
    tell("Looking whose numbers fit", 0, 0)
    lines = _lines(told, fits(told))
    with lock_and_backup.held(drop.place / LOCK):
        before = drop.told()
        taken = before.taken | {one.number for one in new}
        drop.keep(Told((*before.lines, *lines), taken))
    return lines


def settle(drop: Drop, source: str, student: str, slug: str, fits: Fits) -> list[Line]:
    """Take in the one file that the list calls `source`, as this student's work on this exercise.

    What became of it is returned, and takes the place of what the list said. Nothing happens if it
    is settled already. Raises DropError if the file is not here any more.
    """
    if not any(one.source == source and one.state != "done" for one in drop.told().lines):
        return []
    some = drop.given()
    if not some:
        raise DropError(f"{source}: the file must still be kept here; it is not. Drop it again.")
    told = take_in(
        drop.folder, _places(some), student=student, slug=slug, came=_came(some), only=source
    )
    new = _lines(told, fits(told))
    again = {one.source for one in new}
    with drop.changing() as lines:
        old = [one for one in lines if one.state != "done" and one.source in again]
        at = lines.index(old[0]) if old else len(lines)
        kept = [one for one in lines if one not in old]
        lines[:] = [*kept[:at], *new, *kept[at:]]
    return new


def put(drop: Drop, source: str, state: str) -> None:
    """Set aside what is unclear, `state` "aside", or bring it back, "open"."""
    with drop.changing() as lines:
        lines[:] = [
            replace(one, state=state) if one.source == source and one.state != "done" else one
            for one in lines
        ]


def throw_away(drop: Drop, source: str) -> None:
    """Forget a file that was set aside."""
    with drop.changing() as lines:
        lines[:] = [one for one in lines if (one.source, one.state) != (source, "aside")]


def _came(some: Iterable[Given]) -> datetime:
    return datetime.fromtimestamp(min(one.when for one in some), UTC)


def _places(some: Sequence[Given]) -> list[list[Stored]]:
    """Return the files by the place at which they were given: a folder as a whole, others alone."""
    places: dict[object, list[Stored]] = {}
    for one in some:
        top = one.number if len(one.parts) == 1 else one.parts[0]
        places.setdefault(top, []).append(one.stored())
    return [sorted(there, key=lambda one: one.parts) for there in places.values()]


def _telling(places: list[list[Stored]], tell: Tell) -> Iterator[list[Stored]]:
    for number, there in enumerate(places):
        tell(f"Looking at {said(there[0].parts[:1])}", number, len(places))
        yield there
    tell("Keeping what belongs to somebody", len(places), len(places))


def _lines(told: Sequence[Taken], fits: Mapping[int, Any]) -> list[Line]:
    return [_line(one, fits.get(at)) for at, one in enumerate(told)]


def _line(one: Taken, fit: Any) -> Line:
    line = Line(
        source=one.source,
        what=one.what,
        student=one.student,
        slug=one.slug,
        why=one.why,
        count=one.count,
        asks=one.asks,
        among=one.among,
        state="open" if one.what == "left" else "done",
    )
    return replace(line, fit=fit.student, fits=fit.fits, given=fit.given) if fit else line
