"""The full-size drawing as SVG: millimetres, one group a layer."""

from __future__ import annotations

from typing import Any
from xml.sax.saxutils import escape, quoteattr

from coursekit.sheets import flat, fullsize
from coursekit.sheets.build import Build
from coursekit.sheets.scene import LAYERS

_CAP = 0.645  # height of the capitals over the size of the letters, Libertinus Serif
_FONT = "Libertinus Serif, Linux Libertine, Liberation Serif, serif"
_BAD = {c: None for c in range(32) if c not in (9, 10, 13)}  # what XML 1.0 does not allow


def drawing(build: Build) -> str:
    """The drawing as an SVG document whose user unit is 1 mm (SVG 1.1, 7.10), scale 1 : 1."""
    parts = fullsize.scene(build)
    left, bottom, right, top = flat.room(parts)
    left, top = left - fullsize.EDGE, top + fullsize.EDGE
    wide, high = right + fullsize.EDGE - left, top - bottom + fullsize.EDGE
    items = flat.laid(parts, (left, top))
    groups = "".join(_group(name, [i for i in items if i["layer"] == name]) for name in LAYERS)
    title = escape(f"{build.name} · full-size drawing · {build.version}".translate(_BAD))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
        f'viewBox="0 0 {wide:.3f} {high:.3f}" role="img"><title>{title}</title>'
        f'<rect width="100%" height="100%" fill="#fff"/>{groups}</svg>\n'
    )


def _group(name: str, items: list[dict[str, Any]]) -> str:
    layer = LAYERS[name]
    dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in layer.dash)}"' if layer.dash else ""
    inside = "".join(_words(i) if i["kind"] == "words" else _stroke(i) for i in items)
    line = f'stroke="#000" stroke-width="{layer.thickness:g}"'
    soft = 'stroke-linecap="round" stroke-linejoin="round"'
    font = f"font-family={quoteattr(_FONT)}"
    return f'<g id="{name}" fill="none" {line} {soft}{dash} {font}>{inside}</g>\n'


def _stroke(item: dict[str, Any]) -> str:
    way = "".join(
        ("L" if len(p) == 2 else "C") + " ".join(f"{v:.5f}".rstrip("0").rstrip(".") for v in p)
        for p in item["rest"]
    )
    x, y = item["start"]
    return f'<path d="M{x:.5f} {y:.5f}{way}{"Z" if item["closed"] else ""}"/>'


def _words(item: dict[str, Any]) -> str:
    x, y = item["at"]
    turn = f' transform="rotate({-item["turned"]:g} {x:.3f} {y:.3f})"' if item["turned"] else ""
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{item["height"] / _CAP:.3f}" '
        f'text-anchor="{item["anchor"]}" fill="#000" stroke="none"{turn}>'
        f"{escape(item['text'].translate(_BAD))}</text>"
    )
