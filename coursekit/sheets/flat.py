"""A scene laid out on paper: strokes and words only, dimensions drawn out, y down the page."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, cos, degrees, radians, sin, tan
from typing import Any

from coursekit.sheets import text
from coursekit.sheets.scene import (
    LAYERS,
    Angle,
    Arc,
    Box,
    Gap,
    Part,
    Path,
    Point,
    Stroke,
    Words,
    bounds,
)

ARROW = 4.0  # length of an arrow head, mm
GAP, PAST = 1.5, 2.0  # from the point to the extension line, and past the dimension line, mm
HEIGHT = 4.5  # of a dimension's number, mm
BEND = 30.0  # degrees of an arc that one cubic curve draws: within 1e-8 of its radius


def drawn_out(parts: Iterable[Part]) -> list[Part]:
    """The same parts with every dimension as lines, arrow heads and its number."""
    made: list[Part] = []
    for part in parts:
        if isinstance(part, Gap):
            made += _gap(part)
        elif isinstance(part, Angle):
            made += _angle(part)
        else:
            made.append(part)
    return made


def said(value: float) -> str:
    """A length on a drawing, to the tenth of a millimetre.

    Examples
    --------
    >>> said(595.0), said(12.345)
    ('595', '12.3')
    """
    return text.number(round(value, 1))


def _gap(gap: Gap) -> list[Part]:
    (a, b), turned = gap.line, gap.way_deg
    c, s = cos(radians(turned)), sin(radians(turned))
    made: list[Part] = [_extension(gap.start, a), _extension(gap.end, b)]
    forward = (b[0] - a[0]) * c + (b[1] - a[1]) * s >= 0
    first, second = (a, b) if forward else (b, a)
    tight = gap.size < 4 * ARROW
    made += _arrow(first, turned + (0 if tight else 180))
    made += _arrow(second, turned + (180 if tight else 0))
    run = 2.2 * ARROW if tight else 0.0
    ends = (first[0] - run * c, first[1] - run * s), (second[0] + run * c, second[1] + run * s)
    made.append(Stroke("dimension", *ends))
    return [*made, _number(said(gap.size), first, second, turned, run)]


def _number(say: str, first: Point, second: Point, turned: float, run: float) -> Words:
    """The number over the line's middle or past a short line's end; read from below or right."""
    lean = (turned + 90.0) % 180.0 - 90.0
    lean = 90.0 if lean < -89.999 else lean
    up = -sin(radians(lean)), cos(radians(lean))
    if run:
        c, s = cos(radians(turned)), sin(radians(turned))
        x, y = second[0] + (run + 1) * c, second[1] + (run + 1) * s
        anchor = "start" if (c * cos(radians(lean)) + s * sin(radians(lean))) > 0 else "end"
        at = x - 1.2 * up[0], y - 1.2 * up[1]
    else:
        x, y = (first[0] + second[0]) / 2, (first[1] + second[1]) / 2
        anchor, at = "middle", (x + 1.2 * up[0], y + 1.2 * up[1])
    return Words(say, at, HEIGHT, anchor, lean, "dimension")


def _extension(point: Point, foot: Point) -> Stroke:
    dx, dy = foot[0] - point[0], foot[1] - point[1]
    far = max((dx * dx + dy * dy) ** 0.5, 1e-9)
    gap = min(GAP, far / 2)
    u, v = dx / far, dy / far
    start, end = (point[0] + gap * u, point[1] + gap * v), (foot[0] + PAST * u, foot[1] + PAST * v)
    return Stroke("dimension", start, end)


def _arrow(tip: Point, way_deg: float) -> list[Part]:
    """An open arrow head whose tip points in a direction."""
    made: list[Part] = []
    for side in (-9.0, 9.0):
        made.append(Stroke("dimension", tip, _on(tip, ARROW, way_deg + 180 + side)))
    return made


def _angle(angle: Angle) -> list[Part]:
    arc = Arc("dimension", angle.centre, angle.radius, angle.start_deg, angle.end_deg)
    made: list[Part] = [arc]
    lean = degrees(ARROW / angle.radius) / 2
    for end, way in ((angle.start_deg, -90.0 + lean), (angle.end_deg, 90.0 - lean)):
        made += _arrow(_on(angle.centre, angle.radius, end), end + way)
    middle = (angle.start_deg + angle.end_deg) / 2
    at = _on(angle.centre, angle.radius + 2.0, middle)
    turned = (middle - 90.0 + 90.0) % 180.0 - 90.0
    return [*made, Words(f"{said(angle.size)}°", at, 5.5, "middle", turned, "dimension")]


def _on(centre: Point, radius: float, way_deg: float) -> Point:
    return centre[0] + radius * cos(radians(way_deg)), centre[1] + radius * sin(radians(way_deg))


def laid(parts: Iterable[Part], corner: Point) -> list[dict[str, Any]]:
    """Page data of drawn-out parts: `corner` (left, top) of the scene is the page's upper left."""
    return [_item(part, corner) for part in parts]


def _item(part: Part, corner: Point) -> dict[str, Any]:
    def at(point: Point) -> list[float]:
        return [round(point[0] - corner[0], 5), round(corner[1] - point[1], 5)]

    if isinstance(part, Words):
        return {
            "kind": "words",
            "at": at(part.at),
            "text": part.text,
            "height": part.height,
            "anchor": part.anchor,
            "turned": round(part.turned_deg, 6),
            "layer": part.layer,
        }
    if isinstance(part, Stroke):
        start, rest, closed = part.start, [at(part.end)], False
    elif isinstance(part, Path):
        start, rest, closed = part.points[0], [at(p) for p in part.points[1:]], part.closed
    else:
        assert isinstance(part, Arc)
        start, curves = bends(part)
        rest, closed = [at(a) + at(b) + at(c) for a, b, c in curves], False
    return {
        "kind": "stroke",
        "start": at(start),
        "rest": rest,
        "closed": closed,
        "layer": part.layer,
    }


def bends(arc: Arc) -> tuple[Point, list[tuple[Point, Point, Point]]]:
    """The start of an arc and its cubic curves, each with two control points and its end."""
    span = arc.end_deg - arc.start_deg
    count = max(1, ceil(span / BEND - 1e-9))
    step = radians(span / count)
    reach = 4 / 3 * tan(step / 4) * arc.radius
    made = []
    for k in range(count):
        a, b = radians(arc.start_deg) + k * step, radians(arc.start_deg) + (k + 1) * step
        p, q = _on(arc.centre, arc.radius, degrees(a)), _on(arc.centre, arc.radius, degrees(b))
        first = (p[0] - reach * sin(a), p[1] + reach * cos(a))
        second = (q[0] + reach * sin(b), q[1] - reach * cos(b))
        made.append((first, second, q))
    return _on(arc.centre, arc.radius, arc.start_deg), made


def small(item: dict[str, Any], scale: float) -> dict[str, Any]:
    """Page data of one thing, `scale` times as large."""
    if item["kind"] == "words":
        return item | {"at": [v * scale for v in item["at"]], "height": item["height"] * scale}
    shrunk = [[round(v * scale, 4) for v in p] for p in (item["start"], *item["rest"])]
    return item | {"start": shrunk[0], "rest": shrunk[1:]}


def layers() -> dict[str, dict[str, Any]]:
    """How each layer is drawn, for the page: thickness and dash, mm."""
    return {n: {"thickness": one.thickness, "dash": list(one.dash)} for n, one in LAYERS.items()}


def room(parts: Iterable[Part]) -> Box:
    """The box that drawn-out parts lie in, a line's thickness more."""
    left, bottom, right, top = bounds(parts)
    return left - 1, bottom - 1, right + 1, top + 1
