"""Slider figures of the lesson on butt orientation."""

from __future__ import annotations

import numpy as np

from coursekit import butts
from coursekit.book.slider import Slider, State, area, line, words
from coursekit.sheets.text import long_minus
from coursekit.tubes import Butted

# the lesson's tube, end a at the shell, and what its two joints need
TUBE = Butted(25.4, (0.9, 0.6, 0.9), (55.0, 42.0, 355.0, 42.0, 104.0))
FINISHED = 561.2
NEED_SHELL, NEED_HEAD = 32.9, 43.2
STOP, REACH = 63.0, 15.0  # the cable stop from the ears, and full wall past its middle
EXCESS = round(TUBE.length - FINISHED, 1)
WIDTH = 127.0
THICK = 5.0  # mm in the drawing for each mm of wall


def trims() -> Slider:
    """Return the figure *where the cuts lie → what each end still has*, with a stop at the head."""
    cuts = [float(h) for h in range(int(EXCESS) + 1)] + [EXCESS]
    return Slider(
        title="Slide the finished tube along the bought one",
        label="Off the head end",
        alt=(
            "Above, the whole tube cut open along its length, the short butt and the shell to "
            "the left, the long butt and the head tube to the right, with two cut lines. Below, "
            "both ends larger. Under each a bar shows how much full wall that end needs from its "
            "cut; where the bar is open the wall is already tapering. As more comes off the head "
            "end, less comes off the shell end. Below 15 millimetres the shell end's bar runs "
            "into its taper, above 26 the head end's bar does; between them both are full."
        ),
        caption=(
            f"{EXCESS:g} mm to come off in all. The shell end needs {NEED_SHELL:g} mm of full "
            f"wall, the head end {STOP + REACH:g} mm because of a cable stop (dot) {STOP:g} mm "
            "from the ears. Full bar: needed and there. Open bar: needed and not there."
        ),
        width=WIDTH,
        height=96.0,
        still=_still(),
        states=tuple(_trimmed(cut) for cut in cuts),
        default=cuts.index(20.0),
    )


def _section(at: float, y: float, scale: float, start: float, stop: float, half: float) -> str:
    """Return both walls of the tube between two places on it, with walls drawn by `THICK`."""
    x = np.array([start, *(m for m in TUBE.marks if start < m < stop), stop])
    inner = half - THICK * np.asarray(TUBE.wall_at(x)) * scale / 0.2
    along = at + scale * (x - start)
    made = ""
    for side in (-1, 1):
        xs, ys = [*along, *along[::-1]], [*(y + side * inner), *[y + side * half] * x.size]
        made += area(xs, ys, 0.55) + line([*xs, xs[0]], [*ys, ys[0]], 0.35)
    return made


WHOLE = (3.7, 16.0, 0.2)  # left end, middle, and mm in the drawing for each mm
LEFT, RIGHT, NEAR, SHOWN = 3.0, 66.0, 0.4, 145.0  # the two ends, drawn larger
END_Y, BAR_Y = 57.0, 76.0


def _still() -> str:
    at, y, scale = WHOLE
    far = TUBE.length - SHOWN
    return (
        _section(at, y, scale, 0, TUBE.length, 6)
        + _section(LEFT, END_Y, NEAR, 0, SHOWN, 12)
        + _section(RIGHT, END_Y, NEAR, far, TUBE.length, 12)
        + words(at, 6, "shell end", "start")
        + words(WIDTH - at, 6, "head end", "end")
        + words(LEFT, 38, "shell end, larger", "start")
        + words(WIDTH - LEFT, 38, "head end, larger", "end")
        + words(LEFT, BAR_Y + 14, "full wall needed", "start")
        + words(WIDTH - LEFT, BAR_Y + 14, "full wall needed", "end")
    )


def _trimmed(from_head: float) -> State:
    from_shell = EXCESS - from_head
    need = STOP + REACH
    left = TUBE.lengths[0] - from_shell, TUBE.lengths[4] - from_head
    lack = max(NEED_SHELL - left[0], 0.0), max(need - left[1], 0.0)
    text = f"Off the head end {from_head:g} mm, off the shell end {from_shell:.1f} mm; "
    if lack[0] > 1e-6:
        text += f"{lack[0]:.1f} mm missing at the shell end"
    elif lack[1] > 1e-6:
        text += f"{lack[1]:.1f} mm missing at the head end"
    else:
        text += "both ends have what they need"
    at, y, scale = WHOLE
    svg = _cut(at + scale * from_shell, y, 9) + _cut(at + scale * (TUBE.length - from_head), y, 9)
    start, end = LEFT + NEAR * from_shell, RIGHT + NEAR * (SHOWN - from_head)
    svg += _cut(start, END_Y, 16) + _cut(end, END_Y, 16)
    svg += _bar(start, NEED_SHELL, lack[0], 1) + _bar(end, need, lack[1], -1)
    svg += (
        f'<circle cx="{end - NEAR * STOP:.2f}" cy="{END_Y - 12:.2f}" r="1.6" fill="currentColor"/>'
    )
    return State(text, svg)


def _cut(x: float, y: float, half: float) -> str:
    return line([x, x], [y - half, y + half], 0.7, "2 1")


def _bar(x: float, need: float, lack: float, way: int) -> str:
    """Return what is needed as a bar from the cut inward, left open beyond the full wall."""
    full, all_of_it = x + way * NEAR * (need - lack), x + way * NEAR * need
    ys = [BAR_Y, BAR_Y, BAR_Y + 6, BAR_Y + 6]
    made = area([x, full, full, x], ys, 0.85)
    if lack > 1e-6:
        xs = [full, all_of_it, all_of_it, full, full]
        made += line(xs, [*ys, BAR_Y], 0.7)
    return made


LENGTHS = tuple(float(v) for v in range(546, 667, 4))
RULE, PER_MM = 12.0, 0.93  # left end of the rule, and mm in the drawing for each mm
LEAST_SHOWN = -16.0


def tube_length() -> Slider:
    """Return the figure *length of the bought tube → window*, with the same butts throughout."""
    return Slider(
        title="Which length to buy",
        label="Length of the tube as it comes",
        alt=(
            "Three bars over a rule in millimetres. The first is what must come off a tube of "
            "the chosen length. The second is what both ends can spare together, always 82.9 "
            "millimetres. The third is the window for the cut at the head end. Below 562 "
            "millimetres the first bar points to the left and there is no window: the tube is "
            "too short. From 562 to 642 the window is open, widest in the middle. From 646 on "
            "the first bar is longer than the second and the window is empty again."
        ),
        caption=(
            f"Butts {TUBE.lengths[4]:g} and {TUBE.lengths[0]:g} mm, finished length {FINISHED:g} "
            "mm, as in the text, without a cable stop. A longer tube is the cure for one kind of "
            "empty window and makes the other worse."
        ),
        width=WIDTH,
        height=66.0,
        still=_rule(),
        states=tuple(_bought(length) for length in LENGTHS),
        default=LENGTHS.index(598.0),
    )


def _on(mm: float) -> float:
    return RULE + PER_MM * (mm - LEAST_SHOWN)


def _rule() -> str:
    ticks = "".join(
        line([_on(v), _on(v)], [52, 54.5], 0.4) + words(_on(v), 60, long_minus(f"{v}"))
        for v in range(0, 101, 20)
    )
    zero = line([_on(0), _on(0)], [2, 52], 0.3)
    return line([_on(LEAST_SHOWN), _on(106)], [52, 52], 0.5) + ticks + zero


def _bought(length: float) -> State:
    excess = length - FINISHED
    spare = TUBE.lengths[4] - NEED_HEAD, TUBE.lengths[0] - NEED_SHELL
    least, most = butts.window(excess, *spare)
    if least <= most:
        window = f"window at the head end {least:.1f} to {most:.1f} mm"
    elif excess < 0:
        window = f"no window, {least - most:.1f} mm of tube missing"
    else:
        window = f"no window, {least - most:.1f} mm of butt missing"
    off = f"{excess:.1f} mm to come off" if excess >= 0 else "nothing to come off"
    svg = _row(5, 0, excess, 0.85, "must come off") + _row(20, 0, sum(spare), 0.3, "can be spared")
    if least <= most:
        svg += _row(35, least, most, 0.6, "window")
    else:
        svg += words(_on(2), 43.5, "no window", "start")
    return State(f"Tube {length:g} mm; {off}; {window}", svg)


def _row(y: float, start: float, end: float, opacity: float, name: str) -> str:
    a, b = _on(start), _on(end)
    ys = [y + 5, y + 5, y + 11, y + 11]
    return (
        area([a, b, b, a], ys, opacity)
        + line([a, b, b, a, a], [*ys, y + 5], 0.4)
        + words(_on(1), y + 3.6, name, "start", 4)
    )
