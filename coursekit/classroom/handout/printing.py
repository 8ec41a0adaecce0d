"""Everything that a class or a frame has printed: planned and counted, then written.

`plan` and `plan_frame` set every page in memory and say for each document how many sides and sheets
of paper it takes, before a file is touched; `write` writes what was planned. To set a page whole
takes some 1.3 times what it takes only to count it, and a page that is set need not be set again to
be written (`sheets.page` keeps it), so nothing is ever only counted.

For printing on one side, which is the default, there is no empty page. On two sides there is one
behind what is cut out, and in a pile one behind a document with an odd number of pages, so that
each document begins on a sheet of its own.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import Any, Literal, cast, get_args

from coursekit.classroom.bank import notebooks
from coursekit.classroom.bank.exercises import Exercise
from coursekit.classroom.bank.keys import Key
from coursekit.classroom.handout import assignments, frames, worksheets
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.handout.pile import piled
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import ClassFolder, write_bytes
from coursekit.classroom.register.phone_code import phone_code, printed
from coursekit.sheets import cards, dossier, page, templates, tiles, worksheet
from coursekit.sheets.build import Build

OfLesson = Literal["worksheets", "blank", "key", "worked-key"]
OfFrame = Literal["dossier", "templates", "drawing", "cut-list", "fixture", "tacks", "alignment"]
Kind = OfLesson | OfFrame
OF_LESSON: tuple[OfLesson, ...] = get_args(OfLesson)
OF_FRAME: tuple[OfFrame, ...] = get_args(OfFrame)
SAYS: dict[Kind, str] = {
    "worksheets": "Worksheets",
    "blank": "Blank set for the wall",
    "key": "Answer key (instructor only)",
    "worked-key": "Answer key with worked solutions (instructor only)",
    "dossier": "Dossier",
    "templates": "Wrap templates (print at 100 %)",
    "drawing": "Full-size drawing in tiles (scale 1 : 1)",
    "cut-list": "Cut list",
    "fixture": "Fixture card",
    "tacks": "Tack card",
    "alignment": "Alignment record",
}
_PAPERS = {"a4": "A4", "us-letter": "Letter"}
Tell = Callable[[str, int, int], None]  # what was just done, how many are done, of how many


def papers(kind: Kind) -> tuple[str, ...]:
    """Return the sizes of paper on which a kind of document can be printed.

    Examples
    --------
    >>> papers("worksheets"), papers("dossier")
    (('a4', 'us-letter'), ('a4', 'us-letter', 'a3', 'a2', 'a1', 'a0'))
    """
    own = tuple(page.SIZES)
    return own if kind in OF_LESSON else (*own, *page.LARGE)


def paper_word(paper: str) -> str:
    """Return a size of paper as a person writes it.

    Examples
    --------
    >>> paper_word("us-letter"), paper_word("a3")
    ('Letter', 'A3')
    """
    return _PAPERS.get(paper, paper.upper())


@dataclass(frozen=True)
class How:
    """On which paper it is printed, on one side of it or on both, in usual or in large print."""

    paper: str = "a4"
    two_sided: bool = False
    large: bool = False

    @property
    def name(self) -> str:
        """The name of the folder of what is printed like this.

        Examples
        --------
        >>> How().name, How("us-letter", two_sided=True, large=True).name
        ('a4', 'us-letter-large-two-sided')
        """
        more = ("-large" if self.large else "") + ("-two-sided" if self.two_sided else "")
        return f"{self.paper}{more}"

    def sheets(self, sides: int) -> int:
        """Return how many sheets of paper a document of so many sides takes.

        Examples
        --------
        >>> How().sheets(5), How(two_sided=True).sheets(5)
        (5, 3)
        """
        return -(-sides // 2) if self.two_sided else sides


@dataclass(frozen=True)
class Document:
    """A document that is set and counted.

    `place` is where it belongs, seen from the class folder. `title` names it in a pile; `lesson`
    and `student` are "" where it is of none.
    """

    kind: Kind
    title: str
    lesson: str
    student: str
    place: str
    sides: int
    sheets: int
    pdf: bytes = field(repr=False)


@dataclass(frozen=True)
class ClassSet:
    """A file with a lesson's worksheets of everybody, put together from the documents at `of`."""

    title: str
    place: str
    of: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """What is to be printed, in the order of the pile, and the class sets to put together."""

    how: How
    documents: tuple[Document, ...]
    sets: tuple[ClassSet, ...] = ()

    @property
    def sides(self) -> int:
        """How many sides are printed in all."""
        return sum(d.sides for d in self.documents)

    @property
    def sheets(self) -> int:
        """How many sheets of paper that takes."""
        return sum(d.sheets for d in self.documents)

    def facts(self) -> list[dict[str, Any]]:
        """Return each document as plain values, without its pages."""
        named = ("kind", "title", "lesson", "student", "place", "sides", "sheets")
        return [{name: getattr(d, name) for name in named} for d in self.documents]

    def lines(self) -> list[str]:
        """Return in sentences how many sheets it will take: a line a kind, then all of it.

        Examples
        --------
        >>> card = Document("tacks", "", "", "", "", 1, 1, b"")
        >>> whole = Document("dossier", "", "", "", "", 9, 9, b"")
        >>> Plan(How(), (card,)).lines()
        ['Tack card: 1 sheet of A4, printed on one side.']
        >>> for line in Plan(How("a3"), (card, whole)).lines():
        ...     print(line)
        Tack card: 1 sheet.
        Dossier: 9 sheets.
        In all 10 sheets of A3, printed on one side.
        """
        sides = "both sides" if self.how.two_sided else "one side"
        paper = f"{paper_word(self.how.paper)}, printed on {sides}."
        if len(self.documents) == 1:
            (one,) = self.documents
            return [f"{SAYS[one.kind]}: {_sheets(one.sheets)} of {paper}"]
        said = []
        for kind in dict.fromkeys(d.kind for d in self.documents):
            some = [d for d in self.documents if d.kind == kind]
            count = f" for {len(some)} students" if kind == "worksheets" and len(some) > 1 else ""
            said.append(f"{SAYS[kind]}{count}: {_sheets(sum(d.sheets for d in some))}.")
        return [*said, f"In all {_sheets(self.sheets)} of {paper}"]


def _sheets(count: int) -> str:
    return f"{count} sheet{'' if count == 1 else 's'}"


@dataclass(frozen=True)
class Written:
    """The files that were written: documents, class sets, and the pile if one was asked for."""

    files: tuple[Path, ...]
    sets: tuple[Path, ...]
    pile: Path | None


@dataclass(frozen=True)
class _Page:
    """A document that is still to be set."""

    kind: Kind
    title: str
    lesson: str
    student: str
    place: str
    make: Callable[[], bytes]


def plan(
    folder: ClassFolder,
    root: Path,
    kinds: Sequence[Kind],
    lessons: Sequence[str | Assignment] = (),
    students: Sequence[str] | None = None,
    how: How = How(),
    frame_of: str = frames.LESSON,
    tell: Tell | None = None,
) -> Plan:
    """Set and count what a class is to print; nothing is written.

    Parameters
    ----------
    kinds
        What to print. Worksheets, blank sets and keys are made for each lesson; dossiers, cards and
        templates for each student's own frame.
    lessons
        Slugs, or lessons that are opened already, in the order of the pile.
    students
        Ids; None for the whole class. They come in the order of the class. The key is always the
        whole class's.
    frame_of
        The lesson whose frame of the student's is printed.

    Raises
    ------
    ClassError
        For a student who isn't in the class.
    AuthoringError
        For a lesson that isn't there.
    ValueError
        A class set must have a student or more; …, for paper that a kind can't have, for an id that
        can't be a file's name, and for a frame that can't be cut.
    """
    chosen = folder.students
    if students is not None:
        wanted = {folder.student(id).id for id in students}
        chosen = tuple(s for s in folder.students if s.id in wanted)
    works = [
        assignments.assignment(folder, one, root) if isinstance(one, str) else one
        for one in lessons
    ]
    pages: list[_Page] = []
    sets: list[ClassSet] = []
    for work in works:
        everyone = _people(work)
        some = [person for person in everyone if person.id in {s.id for s in chosen}]
        pages += _of_lesson(work.exercise, work.key, kinds, everyone, some, how)
        if "worksheets" in kinds and len(some) == len(everyone):
            sets.append(_class_set(work.exercise, some, how))
    of_frame = [kind for kind in kinds if kind in OF_FRAME]
    for student in chosen if of_frame else ():
        build = frames.of_student(folder, student.id, frame_of, root)
        pages += _of_frame(build, of_frame, how, root, student.id)
    made = Plan(how, _set(pages, how, tell), tuple(sets))
    for work in works:
        work.remember()
    return made


def plan_exercise(
    exercise: Exercise,
    key: Key,
    people: Sequence[worksheets.Person],
    kinds: Sequence[OfLesson] = ("worksheets", "blank", "key"),
    how: How = How(),
    tell: Tell | None = None,
) -> Plan:
    """Set and count the paper of one lesson for people who need be in no class folder."""
    pages = _of_lesson(exercise, key, kinds, people, people, how)
    made = _set(pages, how, tell)
    sets = (_class_set(exercise, people, how),) if "worksheets" in kinds else ()
    return Plan(how, made, sets)


def plan_frame(
    build: Build,
    kinds: Sequence[OfFrame],
    how: How = How(),
    root: Path | None = None,
    with_tiles: bool = True,
    tell: Tell | None = None,
) -> Plan:
    """Set and count the paper of one frame that is of no class; nothing is written.

    A dossier takes its safety page from the course at `root`, and the full-size drawing unless
    `with_tiles` is false.
    """
    return Plan(how, _set(_of_frame(build, kinds, how, root, "", with_tiles), how, tell))


def write(plan: Plan, target: Path, tell: Tell | None = None, pile: bool = False) -> Written:
    """Write what was planned below `target`, mostly the class folder; say what was written.

    With `pile` everything is put together in one PDF as well, `to-print/<how>.pdf`, with a bookmark
    a document. A file is written whole or not at all, and only if its bytes change.
    """
    files, total = [], len(plan.documents) + len(plan.sets) + pile
    step = _counter(total, tell)
    for one in plan.documents:
        files.append(target / one.place)
        write_bytes(files[-1], one.pdf)
        step(one.title)
    by_place = {one.place: one for one in plan.documents}
    sets = []
    for made in plan.sets:
        sets.append(target / made.place)
        _drop_older_sets(sets[-1])
        parts = [by_place[place] for place in made.of]
        write_bytes(sets[-1], _together(made.title, parts, plan.how))
        step(made.title)
    whole = None
    if pile:
        whole = target / paper_places.PILES / f"{plan.how.name}.pdf"
        write_bytes(whole, _together("To print", plan.documents, plan.how))
        step(whole.name)
    return Written(tuple(files), tuple(sets), whole)


def _together(title: str, documents: Sequence[Document], how: How) -> bytes:
    return piled(title, [(d.title, d.pdf) for d in documents], how.two_sided)


def _drop_older_sets(place: Path) -> None:
    """Remove the sets of a class that was once printed in several files."""
    for path in place.parent.glob("*.pdf"):
        if paper_places.is_class_set(path) and path != place:
            path.unlink()


def _counter(total: int, tell: Tell | None) -> Callable[[str], None]:
    done = 0

    def step(words: str) -> None:
        nonlocal done
        done += 1
        if tell:
            tell(words, done, total)

    return step


def _home(slug: str, how: How) -> str:
    return f"{paper_places.WORKSHEETS}/{slug}/{how.name}"


def _class_set(exercise: Exercise, people: Sequence[worksheets.Person], how: How) -> ClassSet:
    home = _home(exercise.slug, how)
    return ClassSet(
        f"{exercise.title} · worksheets",
        f"{home}/{paper_places.CLASS_SET}.pdf",
        tuple(f"{home}/{person.id}.pdf" for person in people),
    )


def _people(work: Assignment) -> list[worksheets.Person]:
    """Return the class as the worksheets of a lesson need it."""
    folder = work.folder
    return [
        worksheets.Person(
            s.id,
            s.name,
            work.numbers(s.id),
            notebooks.another_frame(work.drawn(s.id)),
            printed(phone_code(folder, s.id)),
        )
        for s in folder.students
    ]


def _of_lesson(
    exercise: Exercise,
    key: Key,
    kinds: Sequence[Kind],
    everyone: Sequence[worksheets.Person],
    chosen: Sequence[worksheets.Person],
    how: How,
) -> Iterator[_Page]:
    """Yield the pages of a lesson; the key is everyone's, in usual print always."""
    body, slug, home = worksheets.body(exercise), exercise.slug, _home(exercise.slug, how)
    paper = cast(page.Paper, how.paper)

    def sheet(copy: worksheet.Copy) -> Callable[[], bytes]:
        return lambda: worksheet.pdf(body, [copy], paper, how.large, how.two_sided)

    def answers(worked_out: bool) -> Callable[[], bytes]:
        return lambda: worksheets.answer_key(exercise, key, everyone, paper, worked_out)

    for kind in kinds:
        if kind == "worksheets":
            _refuse(chosen)
            for one in chosen:
                title = f"{exercise.title} · {_who(one)}"
                place = f"{home}/{one.id}.pdf"
                copy = worksheets.copy(
                    exercise, one.id, one.name, one.numbers, one.note, one.phone_code
                )
                yield _Page(kind, title, slug, one.id, place, sheet(copy))
        elif kind == "blank":
            title, place = f"{exercise.title} · blank", f"{home}/{paper_places.BLANK}.pdf"
            yield _Page(kind, title, slug, "", place, sheet(worksheets.blank(exercise)))
        elif kind in ("key", "worked-key"):
            long = kind == "worked-key"
            place = f"{paper_places.KEYS}/{slug}-{how.paper}{'-worked' if long else ''}.pdf"
            yield _Page(kind, f"{exercise.title} · answer key", slug, "", place, answers(long))


def _who(person: worksheets.Person) -> str:
    return person.id if person.id == person.name else f"{person.id} · {person.name}"


def _of_frame(
    build: Build,
    kinds: Sequence[OfFrame],
    how: How,
    root: Path | None,
    student: str,
    with_tiles: bool = True,
) -> Iterator[_Page]:
    home = f"{paper_places.FRAME_PAPER}/{student}" if student else "."
    paper = cast(page.Sheet, how.paper)
    more = "-two-sided" if how.two_sided else ""

    def maker(kind: OfFrame) -> Callable[[], bytes]:
        if kind == "dossier":
            if root is None:
                raise ValueError(
                    "A dossier must have the course's safety page; got no course. Name its folder."
                )
            return lambda: dossier.pdf(build, root, paper, with_tiles, how.two_sided)
        if kind == "templates":
            return lambda: templates.pdf(build, paper, how.two_sided)
        if kind == "drawing":
            return lambda: tiles.pdf(build, paper, how.two_sided)
        return lambda: cards.pdf(build, kind, paper)

    for kind in kinds:
        name = "drawing-tiles" if kind == "drawing" else kind
        title = " · ".join(part for part in (SAYS[kind], build.builder or build.name) if part)
        place = f"{home}/{name}-{how.paper}{more}.pdf"
        yield _Page(kind, title, "", student, place, maker(kind))


def _set(pages: Iterable[_Page], how: How, tell: Tell | None) -> tuple[Document, ...]:
    """Set the pages, several at a time; the first alone, because it fills what the others share."""
    waiting = list(pages)
    step = _counter(len(waiting), tell)

    def done(one: _Page) -> Document:
        pdf = one.make()
        sides = page.sides(pdf)
        told = (one.kind, one.title, one.lesson, one.student, one.place)
        return Document(*told, sides, how.sheets(sides), pdf)

    made = []
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        for document in chain(map(done, waiting[:1]), pool.map(done, waiting[1:])):
            made.append(document)
            step(document.title)
    return tuple(made)


def _refuse(people: Sequence[worksheets.Person]) -> None:
    """Refuse a class whose worksheets can't each have a file of its own.

    Raises
    ------
    ValueError
        A class set must have a student or more; got none. …
        A student's id must be fit for a file of its own; got …
    """
    if not people:
        raise ValueError("A class set must have a student or more; got none. Fill the roster.")
    seen: set[str] = set()
    for id in (person.id for person in people):
        kept = not id or id.casefold() in seen or paper_places.is_taken(id)
        if kept or any(c in '/\\:*?"<>|' or not c.isprintable() for c in id):
            raise ValueError(
                f"A student's id must be fit for a file of its own; got {id!r}, which is empty, "
                "has a sign that a file cannot have, is there twice or is "
                f"'{paper_places.CLASS_SET}', '{paper_places.CLASS_SET}-1' or "
                f"'{paper_places.BLANK}'. Change it."
            )
        seen.add(id.casefold())
