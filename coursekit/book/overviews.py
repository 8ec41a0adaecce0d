"""Directives that look over the whole book: `{lesson-order}` and `{word-index}`.

They are made from the lessons' own files each time the book is built, so nobody has to keep them
up to date by hand.
"""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

from docutils import nodes
from docutils.parsers.rst import Directive
from docutils.statemachine import StringList
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

from coursekit.book import whole
from coursekit.book.lesson import lessons
from coursekit.classroom.bank.exercises import AuthoringError


class _OverAll(SphinxDirective):
    """A directive that is made again when any lesson has changed."""

    @property
    def root(self) -> Path:
        return Path(self.env.srcdir).parent

    def _follow(self) -> None:
        for path in sorted((self.root / "course").glob("*.md")):
            self.env.note_dependency(str(path))
        self.env.note_dependency(str(self.root / "course" / "_toc.yml"))

    def _parsed(self, lines: list[str]) -> list[nodes.Node]:
        inside = nodes.container()
        self.state.nested_parse(StringList(lines, self.name), 0, inside)
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
        lines = ["```{list-table}", ":header-rows: 1", ":widths: 30 35 35", ""]
        lines += ["* - lesson", "  - before it", "  - it leads to"]
        for slug in before:
            cells = (_links(before[slug]) or "–", _links(after[slug]) or "–")
            lines += [f"* - {{doc}}`{slug}`", *(f"  - {c}" for c in cells)]
        return self._parsed([*lines, "```"])


def _links(slugs: tuple[str, ...]) -> str:
    return ", ".join(f"{{doc}}`{s}`" for s in slugs)


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
    """Say on each lesson's page which lessons it builds on."""
    root = Path(app.srcdir).parent
    if page in lessons(root):
        source[0] = whole.with_needs(page, source[0], root)


def hook(app: Sphinx) -> None:
    """Make the directives known to Sphinx, and let each lesson say what it builds on."""
    directives: dict[str, type[Directive]] = {
        "lesson-order": LessonOrder,
        "word-index": WordIndex,
    }
    for name, directive in directives.items():
        app.add_directive(name, directive)
    app.connect("source-read", _say_needs)
