"""Plots of a report as small SVG pictures: readings at the bench, a student's way through the lessons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from math import ceil, floor, log10

from coursekit.classroom.report.class_facts import Facts, LineSpread
from coursekit.sheets.text import long_minus

_FONT = 'font-family="DejaVu Sans, sans-serif" font-size="11"'
_WIDE, _LEFT, _ROW = 620, 150, 16


def readings(spread: LineSpread, names: Mapping[str, str]) -> str:
    """Return a row a student with a mark at each reading, along one axis; repeats are joined by a line."""
    students = [s for s in names if s in spread.values]
    low, high, step = _axis([v for s in students for v in spread.values[s]], spread.line.resolution)
    tall = _ROW * len(students) + 40

    def x(value: float) -> float:
        return _LEFT + (_WIDE - _LEFT - 20) * (value - low) / (high - low)

    parts = []
    for tick in range(round((high - low) / step) + 1):
        value = low + tick * step
        parts.append(
            f'<line x1="{x(value):.1f}" x2="{x(value):.1f}" y1="6" y2="{tall - 30}" stroke="#cccccc"/>'
            f'<text x="{x(value):.1f}" y="{tall - 16}" text-anchor="middle" {_FONT}>{_plain(value, step)}</text>'
        )
    for row, student in enumerate(students):
        y = 14 + row * _ROW
        some = spread.values[student]
        parts.append(
            f'<text x="{_LEFT - 8}" y="{y + 4}" text-anchor="end" {_FONT}>{_short(names[student])}</text>'
            f'<line x1="{x(min(some)):.1f}" x2="{x(max(some)):.1f}" y1="{y}" y2="{y}" stroke="#1d1d1b"/>'
        )
        parts += [_mark(x(v), y, turn) for turn, v in enumerate(some)]
    parts.append(
        f'<text x="{_WIDE - 20}" y="{tall - 2}" text-anchor="end" {_FONT}>{escape(spread.line.unit)}</text>'
    )
    said = f"{spread.line.say}: readings of {len(students)} students, from {low:g} to {high:g} {spread.line.unit}"
    return _svg(_WIDE, tall, said, parts)


def _mark(x: float, y: float, turn: int) -> str:
    """Return a mark: the first reading full, later ones open."""
    fill = "#1d1d1b" if turn == 0 else "#ffffff"
    return (
        f'<circle cx="{x:.1f}" cy="{y}" r="3.6" fill="{fill}" stroke="#1d1d1b" stroke-width="1.3"/>'
    )


def progress(facts: Facts, student: str) -> str:
    """Return a small line of a student's share of the marks, lesson by lesson; gaps where nothing is."""
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
                'stroke="#1d1d1b"/>'
            )
        parts.append(f'<circle cx="{here[0]}" cy="{here[1]:.1f}" r="2.6" fill="#1d1d1b"/>')
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
