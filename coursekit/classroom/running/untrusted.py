"""What may cross from a student's process to the marker: rebuilt from scratch, never trusted.

A student's code can write what it likes into the pipe. So nothing is passed on as it is: every
event, value and output is rebuilt from the few texts and numbers that are of the right kind and
size, and the rest is dropped silently. No input raises an error.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import coursekit
from coursekit.classroom.running.plain_value import LONGEST_LIST, LONGEST_TEXT, MOST_DIGITS, Plain

Event = dict[str, Any]
Output = dict[str, Any]

LONGEST_LINE = 8_000_000  # bytes of one event
MOST_OUTPUTS = 200  # of one cell
LONGEST_OUTPUT = 4_000_000  # characters of one output, which may be a picture
_LONGEST_WORD = 2_000
_MOST_LINES = 100
# kinds of display that a notebook and its feedback can show without running anything
_SHOWN = (
    "text/plain",
    "text/html",
    "text/markdown",
    "text/latex",
    "image/png",
    "image/jpeg",
    "image/svg+xml",
)
_TELLS_NOTHING = ("usr", "bin", "lib", "nix", "gnu")  # top folders that do not tell whose it is
_UNREADABLE: Plain = {"is": "other", "value": "a value that cannot be read"}


def events(data: bytes, cells: int) -> Iterator[Event]:
    """Yield the well-formed events in `data` in order; the notebook has `cells` cells."""
    for line in data.split(b"\n"):
        if len(line) > LONGEST_LINE:
            continue
        try:
            found = json.loads(line)
        except (ValueError, RecursionError):
            continue
        if isinstance(found, dict) and (event := _event(found, cells)):
            yield event


def _event(found: Mapping[str, Any], cells: int) -> Event | None:
    kind, index = found.get("event"), found.get("cell")
    if kind == "end":
        return {"event": "end"}
    if type(index) is not int or not 0 <= index < cells:
        return None
    if kind == "start":
        return {"event": "start", "cell": index}
    if kind == "value":
        return {"event": "value", "cell": index, "value": value(found.get("value"))}
    if kind == "done":
        return {"event": "done", "cell": index, "outputs": outputs(found.get("outputs"))}
    return None


def value(found: object) -> Plain:
    """Return the plain value that `found` describes, rebuilt; "other" if it describes none."""
    if not isinstance(found, dict):
        return dict(_UNREADABLE)
    if found.get("is") == "list":
        items = found.get("value")
        if not isinstance(items, list) or len(items) > 2 * LONGEST_LIST:
            return dict(_UNREADABLE)
        return {"is": "list", "value": [_item(i) for i in items]}
    return _scalar(found)


def _item(found: object) -> Plain:
    """Return an entry of a list; a list inside a list is noted as a list but not read."""
    if not isinstance(found, dict):
        return dict(_UNREADABLE)
    return {"is": "list"} if found.get("is") == "list" else _scalar(found)


def _scalar(found: Mapping[str, Any]) -> Plain:
    kind, said = found.get("is"), found.get("value")
    if kind in ("none", "complex"):
        return {"is": kind}
    if kind == "bool" and isinstance(said, bool):
        return {"is": "bool", "value": said}
    if isinstance(said, str) and isinstance(kind, str) and (read := _TEXTS.get(kind)):
        return read(said)
    return dict(_UNREADABLE)


def _integer(said: str) -> Plain:
    digits = said.removeprefix("-")
    if digits.isascii() and digits.isdigit() and len(digits) <= MOST_DIGITS:
        return {"is": "int", "value": said}
    return dict(_UNREADABLE)


def _float(said: str) -> Plain:
    try:
        return {"is": "float", "value": repr(float(said[:LONGEST_TEXT]))}
    except ValueError:
        return dict(_UNREADABLE)


_TEXTS: dict[str, Callable[[str], Plain]] = {
    "int": _integer,
    "float": _float,
    "text": lambda said: {"is": "text", "value": text(said, LONGEST_TEXT)},
    "other": lambda said: {"is": "other", "value": text(said, 60)},
}


def text(said: str, longest: int) -> str:
    """Return the first `longest` characters of `said` in a form that any file or database can hold.

    NUL becomes U+FFFD and each half of a character a question mark. The folders in which this
    machine keeps the kit, Python and its owner's files are cut out.
    """
    cut = _without_places(said[:longest]).replace("\0", "\ufffd")
    return cut.encode("utf-8", "replace").decode("utf-8")


def _without_places(said: str) -> str:
    """Return `said` without the folders of this machine: `/home/x/kit/a.py` becomes `/a.py`."""
    if any(place in said for place in own_places()):
        return _places_as_words().sub("", said)
    return said


@cache
def own_places() -> tuple[str, ...]:
    """Return the folders of this machine that tell whose it is, the longest first."""
    found = [Path(coursekit.__file__).parents[1], Path(sys.prefix), Path(sys.base_prefix)]
    with suppress(RuntimeError):
        found.append(Path.home())
    with suppress(OSError):
        found += [place.resolve() for place in found]
    telling = {str(p) for p in found if p.parts[1:] and p.parts[1] not in _TELLS_NOTHING}
    return tuple(sorted(telling, key=len, reverse=True))


@cache
def _places_as_words() -> re.Pattern[str]:
    return re.compile("|".join(rf"(?<![\w.]){re.escape(p)}(?![\w.-])" for p in own_places()))


def outputs(found: object) -> list[Output]:
    """Return the outputs in `found` that a notebook can hold, rebuilt."""
    if not isinstance(found, list):
        return []
    made = (_output(o) for o in found[:MOST_OUTPUTS] if isinstance(o, dict))
    return [o for o in made if o is not None]


def _output(found: Mapping[str, Any]) -> Output | None:
    kind = found.get("output_type")
    if kind == "stream":
        name = "stderr" if found.get("name") == "stderr" else "stdout"
        return {"output_type": kind, "name": name, "text": _said(found.get("text"), LONGEST_OUTPUT)}
    if kind == "error":
        lines = found.get("traceback")
        lines = lines[:_MOST_LINES] if isinstance(lines, list) else []
        return {
            "output_type": kind,
            "ename": _said(found.get("ename"), 200),
            "evalue": _said(found.get("evalue"), _LONGEST_WORD),
            "traceback": [_said(line, _LONGEST_WORD) for line in lines],
        }
    if kind in ("display_data", "execute_result"):
        return _display(kind, found.get("data"))
    return None


def _display(kind: str, data: object) -> Output | None:
    if not isinstance(data, dict):
        return None
    shown = {
        mime: text(data[mime], LONGEST_OUTPUT) for mime in _SHOWN if isinstance(data.get(mime), str)
    }
    if not shown:
        return None
    made: Output = {"output_type": kind, "data": shown, "metadata": {}}
    return made | {"execution_count": None} if kind == "execute_result" else made


def _said(found: object, longest: int) -> str:
    return text(found, longest) if isinstance(found, str) else ""
