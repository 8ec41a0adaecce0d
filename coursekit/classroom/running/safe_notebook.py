"""Makes a marked notebook safe to show: nothing in it runs, fetches, or takes a viewer too long."""

from __future__ import annotations

import mimetypes
import re
from collections.abc import Callable, Mapping
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.running import safe_markup, safe_svg

Output = Mapping[str, Any]

RULES = 1  # raise it with each change here, so that work kept by older rules is cleaned again
MOST_OUTPUTS = 1_000  # of one notebook
LONGEST_TEXT = 210_000  # characters of one text output; the runner stops below that
MOST_TEXT = 1_000_000  # characters of all text outputs of a notebook
MOST_HTML = 400_000  # characters of all its HTML
MOST_MARKDOWN = 60_000  # characters of all that a student wrote or showed as Markdown
MOST_CODE = 200_000  # characters of all the code that a student wrote
NO_ROOM = "The notebook shows too much; the rest of it is left out here."
_COLOUR = re.compile(r"\x1b\[[0-9;]{0,20}m")
_MOST_COLOURS = 2_000
# other terminal sequences, control characters, and characters that turn the direction of reading
_ODD = re.compile(
    r"\x1b\][^\x07\x1b]{0,4000}(?:\x07|\x1b\\)?|\x1b(?!\[[0-9;]{0,20}m)"
    r"|[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]"
)
_BASE64 = re.compile(r"[^A-Za-z0-9+/=]")
# names of files in which a browser would run code, if a student's file were opened where it lies
_ACTIVE = re.compile(r"(?i)\.(?:[xs]?html?|xht|svgz?|xml|xslt?|rdf|mml|mathml|swf|mhtml?|htc)\Z")
_ACTIVE_KIND = re.compile(r"html|xml|svg|flash|script")


class _Room:
    """How much a notebook may still show of each kind."""

    def __init__(self) -> None:
        self.left = {
            "text": MOST_TEXT,
            "html": MOST_HTML,
            "markdown": MOST_MARKDOWN,
            "code": MOST_CODE,
        }
        self.outputs = MOST_OUTPUTS

    def take(self, kind: str, text: str, clean: Callable[[str], str]) -> str:
        """Return `text` cleaned, or a sentence if the notebook has shown too much of its kind.

        Text that was read and then cut away takes room too, so that cleaning ends in time. Once the
        room is used up, nothing of that kind is read any more.
        """
        if self.left[kind] < 0:
            return NO_ROOM
        cleaned = clean(text)
        self.left[kind] -= max(len(cleaned), _length_read(kind, text))
        return cleaned if self.left[kind] >= 0 else NO_ROOM


def _length_read(kind: str, text: str) -> int:
    if kind == "html":
        return len(safe_markup.cut_html(text)[0])
    return len(safe_markup.cut_markdown(text)) if kind == "markdown" else 0


def clean(notebook: NotebookNode, release: Mapping[str, str]) -> None:
    """Make everything that a student wrote or showed in `notebook` safe to look at, in place.

    Code stays as it is unless it is too long to show. `release` maps the ids of the release's own
    cells to their text; a cell that still has this text is left alone.
    """
    room = _Room()
    for cell in notebook.cells:
        own = release.get(grade_id(cell) or "") == cell.source
        if cell.cell_type == "code":
            cell.execution_count = _count(cell.get("execution_count"))
            made = (_safely(output, room) for output in cell.outputs)
            cell.outputs = [nbformat.from_dict(output) for output in made if output]
        if not own:
            _clean_source(cell, room)


def _clean_source(cell: NotebookNode, room: _Room) -> None:
    cell.pop("attachments", None)
    if cell.cell_type == "code":
        cell.source = room.take("code", cell.source, safe_markup.code)
    else:
        cell.cell_type = "markdown"  # a raw cell would be shown as HTML
        cell.source = room.take("markdown", cell.source, safe_markup.markdown)


def texts(release: NotebookNode) -> dict[str, str]:
    """Return the release's own cells as `clean` wants them: grade id → text."""
    return {id: cell.source for cell in release.cells if (id := grade_id(cell))}


def file_name(name: str) -> str:
    """Return a name for a student's file under which a browser will not run anything in it."""
    kind = mimetypes.guess_type(name)[0] or ""
    return f"{name}.txt" if _ACTIVE.search(name) or _ACTIVE_KIND.search(kind) else name


def _safely(output: Output, room: _Room) -> dict[str, Any] | None:
    room.outputs -= 1
    if room.outputs <= 0:
        return _words(NO_ROOM, room) if room.outputs == 0 else None
    try:
        return _output(output, room)
    except Exception:  # whatever an output holds, the class goes on
        return _words(safe_markup.NOT_SHOWN, room)


def _words(said: object, room: _Room, name: str = "stderr") -> dict[str, Any]:
    return {"output_type": "stream", "name": name, "text": room.take("text", _joined(said), _text)}


def _output(output: Output, room: _Room) -> dict[str, Any] | None:
    """Return one output, rebuilt from the kinds that are known, or None for another kind."""
    kind = output.get("output_type")
    if kind == "stream":
        name = "stderr" if output.get("name") == "stderr" else "stdout"
        return _words(output.get("text"), room, name)
    if kind == "error":
        said = {key: _text(_joined(output.get(key))) for key in ("ename", "evalue")}
        lines = [room.take("text", _joined(line), _text) for line in output.get("traceback", ())]
        return {"output_type": kind, **said, "traceback": lines}
    if kind not in ("display_data", "execute_result"):
        return None
    made = {"output_type": kind, "metadata": {}, "data": _shown(output.get("data", {}), room)}
    if kind == "execute_result":
        made["execution_count"] = _count(output.get("execution_count"))
    return made


def _shown(data: Mapping[str, Any], room: _Room) -> dict[str, str]:
    """Return what an output shows, by kind; kinds that are not known here are left out."""
    made = {
        kind: text
        for kind in sorted(data)
        if (show := _SHOW.get(kind)) and (text := show(_joined(data[kind]), room)) is not None
    }
    return made or {"text/plain": room.take("text", safe_markup.NOT_SHOWN, _text)}


def _html(text: str, room: _Room) -> str:
    """Return HTML that is safe; a mark is always shown, however much else there is."""
    return text if safe_markup.is_mark(text) else room.take("html", text, safe_markup.html)


def _base64(text: str, _room: _Room) -> str:
    """Return base64 alone, with the line break at its end that some viewers write."""
    return _BASE64.sub("", text) + ("\n" if text.endswith("\n") else "")


_SHOW: Mapping[str, Callable[[str, _Room], str | None]] = {
    "text/plain": lambda text, room: room.take("text", text, _text),
    "text/html": _html,
    "text/markdown": lambda text, room: room.take("markdown", text, safe_markup.markdown),
    "text/latex": lambda text, room: room.take("text", text, safe_markup.latex),
    "image/png": _base64,
    "image/jpeg": _base64,
    "image/svg+xml": lambda text, _room: safe_svg.svg(text) or None,
}


def _count(said: object) -> int | None:
    return said if type(said) is int else None


def _joined(said: Any) -> str:
    return said if isinstance(said, str) else "".join(map(str, said or ()))


def _text(text: str) -> str:
    """Return plain text: colours stay, but other terminal sequences and what is too long go."""
    return safe_markup.settled(_text_once, text)


def _text_once(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        text = f"{text[:LONGEST_TEXT]}\n{safe_markup.PART_ABOVE}"
    text = _ODD.sub("", text)
    return _COLOUR.sub("", text) if text.count("\x1b") > _MOST_COLOURS else text
