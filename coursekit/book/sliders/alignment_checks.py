"""Slider figure of the lesson on alignment checks."""

from __future__ import annotations

import numpy as np

from coursekit import alignment
from coursekit.book.slider import Slider, State, body, line, words
from coursekit.sheets.text import signed

WIDTH, HEIGHT = 127.0, 116.0
MIDDLE = 56.0  # y of the centre plane in the drawing
SHELL, HALF, ROUND = 22.0, 20.0, 9.0  # place of the shell, half its width, its radius
FAR, TIP = 88.0, 96.0  # where the gauge touches, where the tube ends
PLATE = MIDDLE + HALF
PER_MM = 13.0  # mm in the drawing for each mm of offset
PLACES = (100.0, 400.0)  # mm from the shell's axis; the figure shows the second
TURNS = np.linspace(0.0, 180.0, 9)
CASES = (
    ("The tube is off, the gauge is true", 1.0, 0.0),
    ("The tube is straight, the gauge reads high", 0.0, 0.6),
    ("Both: the tube is off and the gauge reads high", 1.0, 0.6),
)


def flip() -> Slider:
    """Return the figure *turn the frame over*: three cases, each from one face to the other."""
    return Slider(
        title="Turn the frame over",
        label="Three cases, each turned from the drive side up to the drive side down",
        alt=(
            "A shell stands with one face on the plate, seen along the frame; a tube runs to the "
            "right from it, and an indicator reads the tube's far end from above. The frame "
            "turns over step by step. Where the tube is off, its far end goes from above the "
            "centre plane to as far below it, and the reading changes its sign. Where only the "
            "gauge is wrong, both readings are the same. Where both are wrong, half the "
            "difference gives the tube and half the sum gives the gauge."
        ),
        caption=(
            f"Offsets are drawn {PER_MM:g} times too large. D marks the drive side, the dashed "
            "line the gauge's zero. Nothing is read while the frame is in the hand."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(*case, turn) for case in CASES for turn in TURNS),
        default=len(TURNS) * 2,
    )


def _still() -> str:
    plate = line([6, WIDTH - 6], [PLATE, PLATE], 0.9)
    hatch = "".join(
        line([x, x - 2.5], [PLATE, PLATE + 2.5], 0.3) for x in np.arange(10, WIDTH - 6, 5)
    )
    plane = line([6, WIDTH - 16], [MIDDLE, MIDDLE], 0.35, "5 1.5 1 1.5")
    name = words(WIDTH - 15, MIDDLE - 1.5, "centre", "start", 4)
    name += words(WIDTH - 15, MIDDLE + 4.5, "plane", "start", 4)
    return plate + hatch + plane + name


def _state(name: str, off: float, gauge: float, turn_deg: float) -> State:
    c = float(np.cos(np.radians(turn_deg)))
    drawn = words(WIDTH / 2, 7, name, size=5) + _frame(c, off) + _zero(gauge)
    if 0 < turn_deg < 180:
        return State(
            f"{name}; turned {turn_deg:g}°", drawn + words(64, 92, "in the hand: don't read")
        )
    up, down = gauge + off, gauge - off
    if turn_deg == 0:
        said = f"drive side up, reads {signed(up)} mm"
        return State(f"{name}; {said}", drawn + _reading(off, gauge) + words(64, 92, said))
    found = alignment.line(PLACES, [up, up], [down, down], noise=1.0)
    tube, zero = float(found.offset_at(PLACES[1])), float(found.gauge_zero)
    found_so = (
        f"drive side up {signed(up)}, drive side down {signed(down)} mm",
        f"half the difference {signed(tube)}: the tube",
        f"half the sum {signed(zero)}: the gauge",
    )
    lines = "".join(words(64, 90 + 7 * i, text, size=5) for i, text in enumerate(found_so))
    return State(f"{name}; {'; '.join(found_so)}", drawn + _reading(-off, gauge) + lines)


def _frame(c: float, off: float) -> str:
    """Return shell and tube; `c` is 1 with the drive side up, 0 on edge and −1 with it down."""
    tall = HALF * abs(c) + ROUND * (1 - c * c) ** 0.5
    middle = MIDDLE if abs(c) > 0.999 else PLATE - tall - 4  # in the hand, clear of the plate
    left, right, low, high = SHELL - ROUND, SHELL + ROUND, middle - tall, middle + tall
    shell = body([left, right, right, left, left], [low, low, high, high, low], 0.8)
    rise = off * c * PER_MM
    slope = rise / (FAR - SHELL)
    ends = SHELL + ROUND, TIP
    ys = [middle - slope * (x - SHELL) for x in ends]
    xs = [ends[0], ends[1], ends[1], ends[0], ends[0]]
    tube = body(xs, [ys[0] - 3, ys[1] - 3, ys[1] + 3, ys[0] + 3, ys[0] - 3], 0.8)
    axis = line(ends, ys, 0.3)
    mark = words(SHELL, middle - (HALF - 5) * c + 2, "D", size=6)
    return shell + tube + axis + mark


def _zero(gauge: float) -> str:
    y = MIDDLE + gauge * PER_MM
    return line([FAR - 12, FAR + 16], [y, y], 0.5, "1.5 1")


def _reading(height: float, gauge: float) -> str:
    """Return the indicator's plunger, its dial, and the reading as a bar beside the tube."""
    tip, zero = MIDDLE - height * PER_MM, MIDDLE + gauge * PER_MM
    dial = 22.0
    plunger = line([FAR, FAR], [tip - 3, dial + 6.5], 0.9)
    turn = np.linspace(0, 2 * np.pi, 33)
    ring = line(FAR + 6.5 * np.cos(turn), dial + 6.5 * np.sin(turn), 0.8)
    hand = np.radians(90 - 110 * (height + gauge))
    needle = line([FAR, FAR + 5 * np.cos(hand)], [dial, dial - 5 * np.sin(hand)], 0.7)
    bar = line([TIP + 4, TIP + 4], [zero, tip], 1.8) + line([TIP, TIP + 4], [tip, tip], 0.4)
    return (
        plunger
        + ring
        + needle
        + bar
        + words(FAR + 10, dial + 2, signed(height + gauge), "start", 5.5)
    )
