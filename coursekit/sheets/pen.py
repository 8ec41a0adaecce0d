"""The strokes that a lesson's field on the worksheet is drawn with, as SVG; mm on paper, y down."""

from __future__ import annotations

from dataclasses import dataclass

FONT = "Libertinus Serif"  # comes with typst, so that every machine has it


def field(width: float, height: float, *parts: str) -> str:
    """Return a whole SVG document, black on white, of parts that the others here return."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}mm" height="{height:g}mm" font-family="{FONT}" fill="black">'
        f"{''.join(parts)}</svg>"
    )


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    width: float = 0.2,
    dash: str = "",
    ink: str = "black",
    places: int = 2,
) -> str:
    """Return a straight line; coordinates are written to `places` decimals."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.{places}f}" y1="{y1:.{places}f}" x2="{x2:.{places}f}" '
        f'y2="{y2:.{places}f}" stroke="{ink}" stroke-width="{width:g}"{dashed}/>'
    )


def words(
    x: float, y: float, text: str, anchor: str = "middle", size: float = 3.6, places: int = 2
) -> str:
    """Return words on the baseline `y`; `anchor` is "start", "middle" or "end"."""
    return (
        f'<text x="{x:.{places}f}" y="{y:.{places}f}" font-size="{size:g}" '
        f'text-anchor="{anchor}">{text}</text>'
    )


def rows(
    x: float, y: float, lines: tuple[str, ...], apart: float, size: float = 3.6, places: int = 2
) -> str:
    """Return lines of words below each other, `apart` mm, that all begin at `x`."""
    return "".join(
        words(x, y + apart * i, text, "start", size, places) for i, text in enumerate(lines)
    )


def box(
    x: float,
    y: float,
    wide: float,
    high: float,
    width: float = 0.4,
    fill: str = "none",
    places: int = 2,
) -> str:
    """Return a rectangle from its upper left corner, its edge `width` mm thick."""
    return (
        f'<rect x="{x:.{places}f}" y="{y:.{places}f}" width="{wide:.{places}f}" '
        f'height="{high:.{places}f}" fill="{fill}" stroke="black" stroke-width="{width:g}"/>'
    )


def ring(x: float, y: float, radius: float, width: float, fill: str = "white") -> str:
    """Return a circle, its edge `width` mm thick."""
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:g}" fill="{fill}" stroke="black" '
        f'stroke-width="{width:g}"/>'
    )


def upright(x: float, y: float, text: str, size: float = 3.6) -> str:
    """Return words that are read from the right, their middle at (`x`, `y`)."""
    return f'<g transform="rotate(-90 {x:g} {y:g})">{words(x, y, text, size=size)}</g>'


Point = tuple[float, float]


@dataclass(frozen=True)
class View:
    """A part of the frame on paper: mm of the frame, y up, become mm on paper, y down.

    `middle`, mm of the frame, is drawn `left` mm from the edge; `top`, mm of the frame, at the
    upper edge. A mm on paper is `scale` mm of the frame.
    """

    left: float
    middle: float
    top: float
    scale: float

    def at(self, point: Point) -> Point:
        """Return where a point of the frame lies on paper."""
        x, y = point
        return self.left + (x - self.middle) / self.scale, (self.top - y) / self.scale

    def line(self, *points: Point, width: float, dash: str = "") -> str:
        """Return a line through points of the frame."""
        way = " ".join(f"{x:.3f},{y:.3f}" for x, y in map(self.at, points))
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        return f'<polyline points="{way}" stroke-width="{width:g}"{dashed}/>'

    def circle(self, centre: Point, radius: float, width: float) -> str:
        """Return a circle of the frame."""
        return _circle(self.at(centre), f"{radius / self.scale:.3f}", width, "none")

    def dot(self, point: Point, radius: float) -> str:
        """Return a small open circle about a point of the frame, its radius mm on paper."""
        return _circle(self.at(point), f"{radius:g}", 0.35, "#fff")


def _circle(at: Point, radius: str, width: float, fill: str) -> str:
    x, y = at
    look = f'stroke-width="{width:g}" fill="{fill}"'
    return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{radius}" {look}/>'


def outline_field(width: float, height: float, *parts: str, soft: str = "linecap") -> str:
    """Return a whole SVG document of lines, for views; its words come from `filled_words`.

    `soft` says what is round: "linecap", the ends of lines, or "linejoin", their corners.
    """
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:.3f}" '
        f'font-family="{FONT}" fill="none" stroke="#000" stroke-{soft}="round">'
        f"{''.join(parts)}</svg>"
    )


def filled_words(x: float, y: float, text: str, anchor: str = "start", size: float = 3.6) -> str:
    """Return words for an `outline_field`, where nothing is filled by itself."""
    made = words(x, y, text, anchor, size, places=3)
    return made.replace("<text ", '<text fill="#000" stroke="none" ', 1)
