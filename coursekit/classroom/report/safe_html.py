"""Cells of a marked notebook as HTML that is safe to open and shows nothing of this machine.

What a student's cell made may hold anything. So its HTML is cut down to plain tables and text, its
pictures are put into the page itself, nothing is fetched, and no path of the machine it ran on is
shown.
"""

from __future__ import annotations

import html
import re
from collections.abc import Set
from functools import cache
from typing import Any

from markupsafe import Markup

from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.running import safe_markup

LONGEST_OUTPUT = 6_000  # characters of one output on a page
_MATHS = re.compile(r"\$[^$\n]+\$|\$\$|\\\(|\\\[|\\begin\{")
_PATH = re.compile(r"(?<![\w.:/])(?:[A-Za-z]:)?(?:[/\\][^\s/\\:'\"<>|,;()]+){2,}")
_ESCAPES = re.compile(r"\x1b\[[0-9;]*[A-Za-z]")


def without_paths(text: str) -> str:
    """Return `text` with each full path cut down to its last part."""
    return _PATH.sub(lambda m: re.split(r"[/\\]", m.group())[-1], text)


def is_maths(cell: Any) -> bool:
    """Whether a cell holds a formula for MathJax, in its text or in its outputs."""
    if cell.cell_type == "markdown":
        return bool(_MATHS.search(cell.source))
    outputs = cell.outputs if cell.cell_type == "code" else ()
    return any("text/latex" in o.get("data", {}) for o in outputs)


def markdown(text: str) -> Markup:
    """Return Markdown as HTML, without pictures, scripts or styles; MathJax gets the formulas.

    Text that the converter fails on is shown as it was written.
    """
    short = safe_markup.cut_markdown(text)
    try:
        return Markup(safe_markup.html(_to_html()(short)))  # `html` makes it safe
    except Exception:  # the converter may give up on text that is nested too deep
        return _pre(short, "")


@cache
def _to_html() -> Any:
    from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath

    def convert(text: str) -> str:
        made = MarkdownWithMath(
            renderer=IPythonRenderer(escape=True, exclude_anchor_links=True)
        ).render(text)
        return str(made)

    return convert


def cell(cell: Any, hidden: Set[str]) -> dict[str, Any]:
    """Return what a page shows of a cell: its kind, text or code, and outputs as HTML.

    The code of cells in `hidden` is the kit's own, so neither it nor its outputs are shown.
    """
    id = grade_id(cell)
    shown: dict[str, Any] = {"id": id, "own": id is None, "text": "", "code": "", "outputs": []}
    if id in hidden:
        return shown
    if cell.cell_type != "code":
        text = cell.source
        if id and id.endswith("-text"):  # its heading stands on the page already
            text = re.sub(r"\A##[^\n]*\n", "", text)
        shown["text"] = markdown(text)
        return shown
    shown["code"] = cell.source
    shown["outputs"] = [o for o in map(_output, cell.outputs) if o]
    return shown


def _output(output: Any) -> Markup:
    """Return one output of a cell as HTML."""
    if output.output_type == "stream":
        return _pre(output.text, "stderr" if output.name == "stderr" else "")
    if output.output_type == "error":
        return _pre(own_traceback(output), "error")
    data = output.get("data", {})
    for kind in ("image/png", "image/jpeg"):
        if kind in data:
            return _picture(kind, _joined(data[kind]))
    if "image/svg+xml" in data:
        import base64

        text = base64.b64encode(_joined(data["image/svg+xml"]).encode()).decode()
        return _picture("image/svg+xml", text)
    if "text/html" in data:
        return Markup(
            f'<div class="made">{safe_markup.html(without_paths(_joined(data["text/html"])))}</div>'
        )
    if "text/latex" in data:
        return Markup('<div class="made maths">{}</div>').format(_joined(data["text/latex"]))
    return _pre(_joined(data.get("text/plain", "")), "")


def _joined(data: Any) -> str:
    return data if isinstance(data, str) else "".join(map(str, data))


def _picture(kind: str, base64_text: str) -> Markup:
    text = re.sub(r"[^A-Za-z0-9+/=]", "", base64_text)
    return Markup('<img src="data:{};base64,{}" alt="Figure that your cell made">').format(
        kind, text
    )


def _pre(text: str, kind: str) -> Markup:
    text = without_paths(_ESCAPES.sub("", _joined(text)))
    if not text.strip():
        return Markup()
    if len(text) > LONGEST_OUTPUT:
        text = text[:LONGEST_OUTPUT] + "\n… and more"
    return Markup(f'<pre class="out {kind}">{html.escape(text)}</pre>')


_FRAME = re.compile(r"(Cell In|Input In)\b")
_OTHER_FRAME = re.compile(r"(File |\[\.\.\.|-{10,}|\w+(\.\w+)*( |:|$))")


def own_traceback(output: Any) -> str:
    """Return an error's traceback with only the lines of the student's cells, and the message.

    Frames in libraries and in the kit are left out, and so are their paths.
    """
    text = _ESCAPES.sub("", "\n".join(map(str, output.get("traceback", []))))
    kept: list[str] = []
    own = False
    for line in text.split("\n"):
        if _FRAME.match(line):
            own = True
        elif _OTHER_FRAME.match(line.strip()) and not line.startswith((" ", "-->")):
            own = False
        if own and line.strip():
            kept.append(line.rstrip())
    said = f"{output.get('ename', 'Error')}: {output.get('evalue', '')}".rstrip(": ")
    return "\n".join([*kept, said])
