"""Directives that sum up the book: `{lesson-order}`, `{evening-plan}`, counts, index of words.

They are made from the lessons' own files each time the book is built, so nobody has to keep them
up to date by hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from pathlib import Path

from docutils import nodes
from docutils.parsers.rst import Directive
from docutils.statemachine import StringList
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

from coursekit.book import evenings, whole
from coursekit.book.counts import counts
from coursekit.book.lesson import lessons
from coursekit.classroom.bank.exercises import AuthoringError


class _OverAll(SphinxDirective):
    """A directive whose page is built again when any lesson has changed."""

    @property
    def root(self) -> Path:
        return Path(self.env.srcdir).parent

    def _follow(self, *others: str) -> None:
        for place in ("course/*.md", *others):
            for path in sorted(self.root.glob(place)):
                self.env.note_dependency(str(path))
        self.env.note_dependency(str(self.root / "course" / "_toc.yml"))

    def _table(self, rows: Iterable[Sequence[str]], *options: str) -> list[nodes.Node]:
        """Return a table whose first row is its head; the cells are written as on a page."""
        lines = ["```{list-table}", ":header-rows: 1", *options, ""]
        for first, *others in rows:
            lines += [f"* - {first}", *(f"  - {cell}" for cell in others)]
        inside = nodes.container()
        self.state.nested_parse(StringList([*lines, "```"], self.name), 0, inside)
        return list(inside.children)


class LessonOrder(_OverAll):
    """A table: each lesson, the lessons it builds on, the lessons that build on it."""

    def run(self) -> list[nodes.Node]:
        """Return the table's nodes."""
        self._follow()
        try:
            before = whole.needs(self.root)
        except AuthoringError as error:
            raise self.error(str(error)) from None
        after = whole.wanted_by(before)
        rows = [("lesson", "before it", "it leads to")]
        rows += [(_links([s]), _links(before[s]), _links(after[s])) for s in before]
        return self._table(rows, ":widths: 30 35 35")


class EveningPlan(_OverAll):
    """What the evenings add up to, and a table: each evening, its reading, bench and torch."""

    def run(self) -> list[nodes.Node]:
        """Return a paragraph and the table."""
        self._follow(evenings.FILE)
        try:
            plan = evenings.plan(self.root)
        except AuthoringError as error:
            raise self.error(str(error)) from None
        rows = [("evening", "read and worked at home before it", "at the bench", "at the torch")]
        for n, one in enumerate(plan.evenings, start=1):
            home = f"{_links(one.home)}: {one.home_minutes} min" if one.home else "–"
            torch = f"{one.torch}: {one.torch_minutes} min" if one.torch_minutes else one.torch
            rows.append((str(n), home, one.bench, torch))
        told = nodes.container()
        self.state.nested_parse(StringList([plan.says()], self.name), 0, told)
        return [*told.children, *self._table(rows, ":widths: 8 30 36 26")]


def _links(slugs: Sequence[str]) -> str:
    return ", ".join(f"{{doc}}`{s}`" for s in slugs) or "–"


class LessonCounts(_OverAll):
    """A table: how many lines, minutes, questions, marks and so on each lesson has."""

    def run(self) -> list[nodes.Node]:
        """Return the table's nodes."""
        self._follow("course/references.bib", "exercises/*.md", "solutions/*.*")
        try:
            found = {slug: counts(slug, self.root) for slug in lessons(self.root)}
        except AuthoringError as error:
            raise self.error(str(error)) from None
        head = next(iter(found.values()), {})
        rows = [["lesson", *head], *([_links([s]), *c.values()] for s, c in found.items())]
        return self._table(rows)


class WordIndex(_OverAll):
    """Every word of the glossary with the sections that use it, page by page."""

    def run(self) -> list[nodes.Node]:
        """Return one definition list for each first letter."""
        self._follow()
        used = sorted(whole.used_words(self.root).items(), key=lambda one: one[0].lower())
        made: list[nodes.Node] = []
        for letter, words in groupby(used, key=lambda one: one[0][0].upper()):
            section = nodes.section(ids=[f"words-{letter.lower()}"])
            section += nodes.title(text=letter)
            section += nodes.definition_list("", *(self._word(*w) for w in words))
            made.append(section)
        return made

    def _word(self, word: str, places: tuple[whole.Place, ...]) -> nodes.Node:
        told = nodes.paragraph()
        for slug, on_page in groupby(places, key=lambda place: place[0]):
            if told.children:
                told += nodes.Text("; ")
            told += _reference(slug, "", whole.title(slug, self.root))
            inner = [p for p in on_page if p[1]]
            for n, (_, anchor, heading) in enumerate(inner):
                told += nodes.Text(": " if n == 0 else ", ")
                told += _reference(slug, anchor, heading)
        item = nodes.definition_list_item()
        item += nodes.term(text=word)
        item += nodes.definition("", told)
        return item


def _reference(page: str, anchor: str, text: str) -> nodes.Node:
    address = f"{page}.html#{anchor}" if anchor else f"{page}.html"
    return nodes.reference("", text, internal=True, refuri=address)


def _say_needs(app: Sphinx, page: str, source: list[str]) -> None:
    """Add to each lesson's page which lessons it builds on."""
    root = Path(app.srcdir).parent
    if page in lessons(root):
        source[0] = whole.with_needs(page, source[0], root)


def hook(app: Sphinx) -> None:
    """Add the directives to Sphinx, and make each lesson's page say what it builds on."""
    directives: dict[str, type[Directive]] = {
        "lesson-order": LessonOrder,
        "evening-plan": EveningPlan,
        "lesson-counts": LessonCounts,
        "word-index": WordIndex,
    }
    for name, directive in directives.items():
        app.add_directive(name, directive)
    app.connect("source-read", _say_needs)
