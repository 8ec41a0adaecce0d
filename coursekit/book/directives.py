"""Sphinx extension of the book: the directives `{practice}` and `{slider}`, the role `{fact}`.

It also puts the kit's script and style sheet on every page and copies the one MathJax file that the
pages need out of an installed package. It removes every address of another machine from the
settings, because the book must work without a network.
"""

from __future__ import annotations

import re
import shutil
from html import escape
from pathlib import Path
from typing import Any

from docutils import nodes
from docutils.parsers.rst import Directive
from docutils.statemachine import StringList
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

from coursekit.book import overviews, practice, slider, worked_frame
from coursekit.book.practice import Card
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.report.feedback import mathjax_source

STATIC = Path(__file__).parent / "static"
MATHJAX = Path("mathjax") / "tex-svg.js"
_POINTS = re.compile(r'(?<= d=")[^"]*')
_LONG = re.compile(r"-?\d+\.\d{3,}")
_NO_SCRIPT = "Checking needs JavaScript. Work the question on paper with these numbers."


class Practice(SphinxDirective):
    """A lesson's practice cards, ```{practice} miter-angles```; `:only: question-id` picks some."""

    required_arguments = 1
    option_spec = {"only": str}  # noqa: RUF012 – docutils' own interface

    def run(self) -> list[nodes.Node]:
        """Return the nodes of all cards, or of those that `:only:` names."""
        slug, root = self.arguments[0], Path(self.env.srcdir).parent
        for name in (f"exercises/{slug}.md", f"solutions/{slug}.md", f"solutions/{slug}.py"):
            if (root / name).is_file():
                self.env.note_dependency(str(root / name))
        try:
            cards = practice.cards(slug, root)
        except AuthoringError as error:
            raise self.error(str(error)) from None
        wanted = self.options.get("only", "").split()
        if unknown := set(wanted) - {c.question.id for c in cards}:
            raise self.error(
                f"A practice card must be among {', '.join(c.question.id for c in cards)}; got "
                f"{', '.join(sorted(unknown))}. Mend `:only:`."
            )
        return [n for c in cards if not wanted or c.question.id in wanted for n in self._card(c)]

    def _card(self, card: Card) -> list[nodes.Node]:
        id = f"card-{card.question.id}"
        text = nodes.container(classes=["ck-text"])
        lines = StringList(card.question.text.splitlines(), card.question.id)
        self.state.nested_parse(lines, 0, text)
        return [_raw(_head(card, id)), text, _raw(_tail(card, id))]


class SliderFigure(SphinxDirective):
    """A slider figure: ```{slider} miter-angles/angle```."""

    required_arguments = 1

    def run(self) -> list[nodes.Node]:
        """Return the figure as one raw node."""
        name = self.arguments[0]
        try:
            made = slider.slider(name)
        except AuthoringError as error:
            raise self.error(str(error)) from None
        return [_raw(slider.html(made, "slider-" + name.replace("/", "-")))]


def _raw(html: str) -> nodes.raw:
    return nodes.raw("", html, format="html")


def _head(card: Card, id: str) -> str:
    return (
        f'<form class="ck-card" id="{id}" aria-labelledby="{id}-title" autocomplete="off" '
        f'novalidate><p class="ck-title" id="{id}-title">{escape(card.question.title)}</p>'
    )


def _tail(card: Card, id: str) -> str:
    first = card.sets[0]
    rows = "".join(
        f'<tr><th scope="row">{escape(say)}</th><td data-given>{escape(value)}</td></tr>'
        for say, value in zip(card.say, first.given, strict=True)
    )
    table = '<table class="ck-given" aria-label="Given numbers"><tbody>' + rows + "</tbody></table>"
    others = "Other numbers" if rows else "Clear"  # a card without numbers cannot change them
    return f"""{table if rows else ""}
{_field(card, id)}<button type="submit">Check</button>
<button type="button" data-do="others">{others}</button>
<button type="button" data-do="show" hidden>Show the answer</button></div>
<p class="ck-print-line">Answer: ______________ {escape(_unit(card))}</p>
<noscript><p>{_NO_SCRIPT}</p></noscript>
<output role="status" aria-live="polite"></output>
<script type="application/json">{practice.script_safe_json(card)}</script>
</form>"""


def _field(card: Card, id: str) -> str:
    start = '<div class="ck-answer" data-needs-script hidden>'
    if card.question.kind == "choice":
        options = "".join(
            f'<label><input type="radio" name="{id}" value="{escape(o)}"> {escape(text)}</label>'
            for o, text in (card.question.options or {}).items()
        )
        return (
            f'<fieldset class="ck-options"><legend class="ck-legend">Your answer</legend>{options}'
            f"</fieldset>{start}"
        )
    return (
        f'{start}<label for="{id}-answer">Your answer</label>'
        f'<input type="text" id="{id}-answer" inputmode="decimal" autocomplete="off">'
        f"<span>{escape(_unit(card))}</span>"
    )


def _unit(card: Card) -> str:
    return "degrees" if card.question.unit == "deg" else card.question.unit


def _settings(app: Sphinx, config: Any) -> None:
    config.html_static_path = [*config.html_static_path, str(STATIC)]
    config.mathjax_path = MATHJAX.as_posix()
    config.nb_ipywidgets_js = {}


def _copy_mathjax(app: Sphinx, error: Exception | None) -> None:
    target = Path(app.outdir) / "_static" / MATHJAX
    source = mathjax_source()
    if error is None and not (target.is_file() and target.stat().st_size == source.stat().st_size):
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)


def _plain_lists(
    app: Sphinx, page: str, template: str, context: dict[str, Any], doctree: Any
) -> None:
    """Take the list role from the bibliography; its entries lack one, so screen readers stumble."""
    if "body" in context:
        context["body"] = context["body"].replace(
            '<div role="list" class="citation-list">', '<div class="citation-list">'
        )


def _light_pictures(app: Sphinx, error: Exception | None) -> None:
    """Round the figures' paths to a hundredth of a point, which is finer than an eye can see."""
    for picture in (Path(app.outdir) / "_images").glob("*.svg") if error is None else ():
        text = picture.read_text("utf-8")
        light = _POINTS.sub(lambda m: _LONG.sub(lambda n: f"{float(n[0]):.2f}", m[0]), text)
        if light != text:
            picture.write_text(light, "utf-8")


def setup(app: Sphinx) -> dict[str, Any]:
    """Hook the directives and the settings into Sphinx."""
    directives: dict[str, type[Directive]] = {"practice": Practice, "slider": SliderFigure}
    for name, directive in directives.items():
        app.add_directive(name, directive)
    overviews.hook(app)
    worked_frame.hook(app)
    app.connect("config-inited", _settings)
    app.connect("html-page-context", _plain_lists)
    app.connect("build-finished", _copy_mathjax)
    app.connect("build-finished", _light_pictures)
    app.add_css_file("book.css")
    app.add_js_file("cards.js", loading_method="defer")
    return {"version": "1", "parallel_read_safe": True, "parallel_write_safe": True}
