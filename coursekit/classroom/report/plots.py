"""Plots of a report as small SVG pictures: readings at the bench, a student's progress."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from math import ceil, floor, log10

from coursekit.classroom.report.class_facts import Facts, LineSpread
from coursekit.sheets.text import long_minus

_FONT = 'font-family="DejaVu Sans, sans-serif" font-size="11"'
_INK = "#1d1d1b"
_WIDE, _LEFT, _ROW = 620, 150, 16


def readings(spread: LineSpread, names: Mapping[str, str]) -> str:
    """Return a plot with a row for each student and a dot at each reading; a line joins repeats."""
    students = [s for s in names if s in spread.values]
    low, high, step = _axis([v for s in students for v in spread.values[s]], spread.line.resolution)
    tall = _ROW * len(students) + 40

    def x(value: float) -> float:
        return _LEFT + (_WIDE - _LEFT - 20) * (value - low) / (high - low)

    parts = []
    for tick in range(round((high - low) / step) + 1):
        value = low + tick * step
        parts.append(
            _line(x(value), x(value), 6, tall - 30, "#cccccc")
            + _text(f"{x(value):.1f}", tall - 16, "middle", _plain(value, step))
        )
    for row, student in enumerate(students):
        y = 14 + row * _ROW
        some = spread.values[student]
        parts.append(
            _text(_LEFT - 8, y + 4, "end", _short(names[student]))
            + _line(x(min(some)), x(max(some)), y, y, _INK)
        )
        parts += [_mark(x(v), y, turn) for turn, v in enumerate(some)]
    parts.append(_text(_WIDE - 20, tall - 2, "end", escape(spread.line.unit)))
    said = (
        f"{spread.line.say}: readings of {len(students)} students, from {low:g} to {high:g} "
        f"{spread.line.unit}"
    )
    return _svg(_WIDE, tall, said, parts)


def _line(x1: float, x2: float, y1: float, y2: float, colour: str) -> str:
    ends = f'x1="{x1:.1f}" x2="{x2:.1f}" y1="{y1}" y2="{y2}"'
    return f'<line {ends} stroke="{colour}"/>'


def _text(x: float | str, y: float, anchor: str, said: str) -> str:
    """Return words with their `anchor`, "middle" or "end", at a place; `said` is markup already."""
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" {_FONT}>{said}</text>'


def _mark(x: float, y: float, turn: int) -> str:
    """Return the dot of a reading, filled for the first one and open for later ones."""
    fill = _INK if turn == 0 else "#ffffff"
    return (
        f'<circle cx="{x:.1f}" cy="{y}" r="3.6" fill="{fill}" stroke="{_INK}" stroke-width="1.3"/>'
    )


def progress(facts: Facts, student: str) -> str:
    """Return a small plot of a student's share of the marks by lesson, with a gap for none."""
    step, tall = 18, 26
    wide = step * max(len(facts.lessons), 1) + 8
    shares = [
        lesson.marks[student] / lesson.out_of if student in lesson.marks else None
        for lesson in facts.lessons
    ]
    parts = [f'<line x1="2" x2="{wide - 2}" y1="{tall / 2}" y2="{tall / 2}" stroke="#cccccc"/>']
    before: tuple[float, float] | None = None
    for number, share in enumerate(shares):
        if share is None:
            before = None
            continue
        here = (step / 2 + 4 + number * step, 3 + (tall - 6) * (1 - min(max(share, 0.0), 1.0)))
        if before:
            parts.append(
                f'<line x1="{before[0]}" y1="{before[1]:.1f}" x2="{here[0]}" y2="{here[1]:.1f}" '
                f'stroke="{_INK}"/>'
            )
        parts.append(f'<circle cx="{here[0]}" cy="{here[1]:.1f}" r="2.6" fill="{_INK}"/>')
        before = here
    words = ", ".join("not marked" if s is None else f"{100 * s:.0f} %" for s in shares)
    return _svg(wide, tall, f"Share of the marks, lesson by lesson: {words}", parts)


def _svg(wide: float, tall: float, said: str, parts: Sequence[str]) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {tall}" width="{wide}" '
        f'height="{tall}" role="img" aria-label="{escape(said)}"><title>{escape(said)}</title>'
        + "".join(parts)
        + "</svg>"
    )


def _axis(values: Sequence[float], resolution: float) -> tuple[float, float, float]:
    """Return where an axis begins and ends, and its step: 1, 2 or 5 times a power of ten."""
    low, high = min(values), max(values)
    room = max(high - low, 4 * resolution, 1e-9)
    size = 10.0 ** floor(log10(room / 5))
    step = next(m * size for m in (1, 2, 5, 10) if m * size * 6 >= room)
    first, last = floor(low / step - 0.2) * step, ceil(high / step + 0.2) * step
    return first, last, step


def _plain(value: float, step: float) -> str:
    digits = max(0, -floor(log10(step) + 1e-9))
    return long_minus(f"{value:.{digits}f}")


def _short(name: str) -> str:
    return escape(name if len(name) <= 22 else name[:21] + "…")
