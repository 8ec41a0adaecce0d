"""Slider figures: the build computes every state with the kit and keeps it in the page as SVG.

A figure has one still layer and 20 to 60 states, of which one is shown at a time. Coordinates are
millimetres of the drawing, with x to the right and y **down**, as in SVG. Everything is drawn in
the page's own text colour, so that it reads well in light, in dark and in print.
"""

from __future__ import annotations

import importlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

import numpy as np

from coursekit.classroom.bank.exercises import AuthoringError

LIMIT = 200_000


@dataclass(frozen=True)
class State:
    """One state of a figure: the slider's reading in words, and the SVG that goes with it."""

    text: str
    svg: str


@dataclass(frozen=True)
class Slider:
    """A figure with a slider: `label` says what the slider moves, `alt` says what is drawn."""

    title: str
    label: str
    alt: str
    caption: str
    width: float
    height: float
    still: str
    states: tuple[State, ...]
    default: int


def slider(name: str) -> Slider:
    """Return the slider figure `lesson/figure`, made by `coursekit.book.sliders.<lesson>.<figure>`.

    Raises
    ------
    AuthoringError
        If there is no such figure, if it does not have 20 to 60 states, or if it is larger than
        200 kB.

    Examples
    --------
    >>> slider("miter-angles/angle").states[0].text.split(";")[0]
    'Included angle 50°'
    """
    lesson, _, figure = name.partition("/")
    module = f"coursekit.book.sliders.{lesson.replace('-', '_')}"
    try:
        made: Slider = getattr(importlib.import_module(module), figure.replace("-", "_"))()
    except (ModuleNotFoundError, AttributeError):
        raise AuthoringError(
            "A slider figure must be named lesson/figure and be written in coursekit/book/sliders; "
            f"got '{name}'. Mend the name or write the figure."
        ) from None
    weight = len(html(made, "x").encode())
    if not 20 <= len(made.states) <= 60 or weight > LIMIT:
        raise AuthoringError(
            f"Slider figure '{name}': it must have 20 to 60 states and weigh {LIMIT // 1000} kB "
            f"or less; got {len(made.states)} states, {weight // 1000} kB. Take fewer states or "
            "points."
        )
    return made


def html(slider: Slider, id: str) -> str:
    """Return the figure as HTML; no other element of the page may have its `id`."""
    groups = "".join(
        f'<g data-state="{i}"{"" if i == slider.default else hidden}>{state.svg}</g>'
        for i, state in enumerate(slider.states)
        for hidden in (' display="none"',)
    )
    texts = json.dumps([s.text for s in slider.states], ensure_ascii=False).replace("<", "\\u003c")
    return f"""<figure class="ck-slider" id="{id}" aria-labelledby="{id}-title">
<p class="ck-title" id="{id}-title">{escape(slider.title)}</p>
<div class="ck-range" hidden><label for="{id}-range">{escape(slider.label)}</label>
<input type="range" id="{id}-range" min="0" max="{len(slider.states) - 1}" step="1" \
value="{slider.default}" autocomplete="off">
<output for="{id}-range" aria-live="off">{escape(slider.states[slider.default].text)}</output></div>
<svg viewBox="0 0 {slider.width:g} {slider.height:g}" role="img" aria-label="{escape(slider.alt)}">\
{slider.still}{groups}</svg>
<script type="application/json">{texts}</script>
<figcaption>{escape(slider.caption)}</figcaption>
</figure>"""


def line(x: Iterable[float], y: Iterable[float], width: float = 0.5, dash: str = "") -> str:
    """Return an open line through the points, to a hundredth of a millimetre."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="{path(x, y)}" fill="none" stroke="currentColor" stroke-width="{width:g}"'
        f'{dashed} stroke-linejoin="round"/>'
    )


def body(x: Iterable[float], y: Iterable[float], width: float = 1, opacity: float = 0.28) -> str:
    """Return a filled body, outlined along the points but open from the last to the first."""
    return (
        f'<path d="{path(x, y)}" fill="currentColor" fill-opacity="{opacity:g}" '
        f'stroke="currentColor" stroke-width="{width:g}" stroke-linejoin="round"/>'
    )


def area(x: Iterable[float], y: Iterable[float], opacity: float = 0.15) -> str:
    """Return a closed area without an outline, as faint as `opacity` says."""
    return f'<path d="{path(x, y)}Z" fill="currentColor" fill-opacity="{opacity:g}"/>'


def dot(x: float, y: float, radius: float) -> str:
    """Return a filled circle around (x, y)."""
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:g}" fill="currentColor"/>'


def words(x: float, y: float, text: str, anchor: str = "middle", size: float = 4.4) -> str:
    """Return a line of text with its baseline at (x, y)."""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}" font-size="{size:g}" '
        f'fill="currentColor">{escape(text)}</text>'
    )


def path(x: Iterable[float], y: Iterable[float]) -> str:
    """Return the points as SVG path data with relative steps, because those are short.

    >>> path([0, 1, 3], [0, 0.5, 0.25])
    'M0 0l1 .5 2-.25'
    """
    points = np.round(np.column_stack([np.asarray(list(x)), np.asarray(list(y))]), 2)
    steps = np.round(np.diff(points, axis=0), 2)
    start = " ".join(_short(v) for v in points[0])
    rest = " ".join(f"{_short(a)} {_short(b)}" for a, b in steps)
    return f"M{start}l{rest}".replace(" -", "-")


def _short(value: float) -> str:
    """Return a number to a hundredth without needless zeros: 0.50 → .5, -0.25 → -.25."""
    text = f"{value + 0:.2f}".rstrip("0").rstrip(".")
    return text.replace("0.", ".", 1) if text.lstrip("-").startswith("0.") else text
