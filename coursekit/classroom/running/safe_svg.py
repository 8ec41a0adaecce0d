"""Drawings that a student made, cut down to shapes and words.

They run no script, fetch nothing from outside, and do not grow without end.
"""

from __future__ import annotations

import re
from typing import Any

from coursekit.classroom.running.safe_markup import settled

LONGEST = 2_000_000  # characters
MOST_PARTS = 30_000  # elements
_SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "image", "use")
_WORDS = ("text", "tspan", "title", "desc")
_GROUPS = ("svg", "g", "defs", "symbol", "clipPath", "linearGradient", "radialGradient", "stop")
_MAY_STAND = frozenset((*_SHAPES, *_WORDS, *_GROUPS))
_SPACES = {"http://www.w3.org/2000/svg": "", "http://www.w3.org/1999/xlink": "xlink"}
_NAME = re.compile(r"\{([^}]*)\}(.*)", re.DOTALL)
_PIXELS = re.compile(r"data:image/(?:png|jpeg);base64,[A-Za-z0-9+/=\s]*")
_REACHES = re.compile(r"(?i)url\s*\(\s*(?!#[\w-]+\s*\))|[\\@&<]|script|expression|import")
# the one rule that the usual plotting library writes into its drawings
_ROUND = "*{stroke-linejoin: round; stroke-linecap: butt}"


def svg(text: str) -> str:
    """Return a drawing that is safe wherever it is shown, or "" if `text` is not a drawing."""
    return settled(_svg, text, otherwise="")


def _svg(text: str) -> str:
    from xml.etree.ElementTree import register_namespace, tostring

    from defusedxml.ElementTree import fromstring

    if len(text) > LONGEST or text.count("<") > 2 * MOST_PARTS:
        return ""
    try:
        root = fromstring(text)
        if _name(root.tag) != "svg":
            return ""
        _strip(root)
        _untangle(root)
        for space, prefix in _SPACES.items():
            register_namespace(prefix, space)
        return str(tostring(root, encoding="unicode"))
    except Exception:  # whatever a broken drawing brings, the class goes on
        return ""


def _name(tag: Any) -> str:
    """Return the name of an SVG element or attribute, or "" if it is in another namespace."""
    found = _NAME.fullmatch(tag) if isinstance(tag, str) else None
    if found is None:
        return tag if isinstance(tag, str) else ""
    return found[2] if found[1] in _SPACES else ""


def _strip(root: Any) -> None:
    """Take out elements and attributes that do more than draw."""
    waiting = [root]
    while waiting:
        one = waiting.pop()
        for key, value in list(one.attrib.items()):
            if not _stays(_name(one.tag), _name(key), value):
                del one.attrib[key]
        for part in list(one):
            if _name(part.tag) in _MAY_STAND or _is_round(part):
                waiting.append(part)
            else:
                one.remove(part)


def _is_round(part: Any) -> bool:
    return _name(part.tag) == "style" and (part.text or "").strip() == _ROUND and not len(part)


def _stays(tag: str, name: str, value: str) -> bool:
    if name == "href":
        return bool(_PIXELS.fullmatch(value)) if tag == "image" else value.startswith("#")
    return bool(name) and not name.lower().startswith("on") and not _REACHES.search(value)


def _untangle(root: Any) -> None:
    """Take out each `use` of a part that holds a `use` itself, because nesting multiplies them."""
    uses = [(above, part) for above in root.iter() for part in above if _name(part.tag) == "use"]
    if not uses:
        return
    above_of = {part: above for above in root.iter() for part in above}
    tangled: set[Any] = set()
    for _, part in uses:
        step = part
        while step is not None and step not in tangled:
            tangled.add(step)
            step = above_of.get(step)
    ids = {f"#{step.get('id')}" for step in tangled}
    for above, part in uses:
        if any(v in ids for k, v in part.attrib.items() if _name(k) == "href"):
            above.remove(part)
