"""Slider figures of the lesson on butt orientation."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from coursekit import butts
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words
from coursekit.sheets.text import long_minus
from coursekit.tubes import Butted

STOP, REACH = 85.0, 15.0  # the cable stop from the long point, and full wall past its middle
WIDTH = 127.0
THICK = 5.0  # mm in the drawing for each mm of wall


@dataclass(frozen=True)
class Cut:
    """The lessons' down tube, end a at the shell, and what it is cut to; mm."""

    tube: Butted
    finished: float
    need_shell: float
    need_head: float
    off_head: float

    @property
    def excess(self) -> float:
        """What must come off, both ends together."""
        return round(float(self.tube.length) - self.finished, 1)

    @property
    def least_head(self) -> float:
        """The lower edge of the window: what the shell end can't give of it."""
        return round(max(0.0, self.excess - (float(self.tube.lengths[0]) - self.need_shell)), 1)


@lru_cache(maxsize=1)
def ours() -> Cut:
    """Return the down tube of the frame that the lessons work through."""
    known, margin = worked_frame.facts(), worked_frame.build().bench.heat_margin
    shell, head = (
        round(
            known[f"down_tube.{end}.short_point"] - known[f"down_tube.{end}.long_point"] + margin, 1
        )
        for end in ("shell", "head_tube")
    )
    tube, finished = worked_frame.build().tubes["down_tube"], known["down_tube.finished"]
    return Cut(tube, finished, shell, head, round(known["down_tube.off_b"], 1))


def trims() -> Slider:
    """Return the figure *where the cuts lie → what each end still has*, a stop at the head."""
    own = ours()
    steps = (3.0 * i for i in range(int(own.excess / 3) + 1))
    cuts = sorted({*steps, own.least_head, own.off_head, own.excess})
    room = own.tube.lengths[4] - STOP - REACH
    return Slider(
        title="Slide the finished tube along the bought one",
        label="Off the head end",
        alt=(
            "Above, the whole tube cut open along its length, the short butt and the shell to "
            "the left, the long butt and the head tube to the right, with two cut lines. Below, "
            "both ends larger. Under each a bar shows how much full wall that end needs from its "
            "cut; where the bar is open the wall is already tapering. As more comes off the head "
            f"end, less comes off the shell end. Below {own.least_head:g} millimetres the shell "
            f"end's bar runs into its taper, above {room:g} the head end's bar does; between them "
            "both are full."
        ),
        caption=(
            f"{own.excess:g} mm to come off in all. The shell end needs {own.need_shell:g} mm of "
            f"full wall, the head end {STOP + REACH:g} mm because of a cable stop (dot) {STOP:g} "
            "mm from the long point. Full bar: needed and there. Open bar: needed and not there."
        ),
        width=WIDTH,
        height=96.0,
        still=_still(),
        states=tuple(_trimmed(cut) for cut in cuts),
        default=cuts.index(own.off_head),
    )


def _section(at: float, y: float, scale: float, start: float, stop: float, half: float) -> str:
    """Return both walls of the tube between two places on it, thick as `THICK` says."""
    tube = ours().tube
    x = np.array([start, *(m for m in tube.marks if start < m < stop), stop])
    inner = half - THICK * np.asarray(tube.wall_at(x)) * scale / 0.2
    along = at + scale * (x - start)
    made = ""
    for side in (-1, 1):
        xs, ys = [*along, *along[::-1]], [*(y + side * inner), *[y + side * half] * x.size]
        made += area(xs, ys, 0.55) + line([*xs, xs[0]], [*ys, ys[0]], 0.35)
    return made


WHOLE = (3.7, 16.0, 0.168)  # left end, middle, drawing mm a mm
LEFT, RIGHT, NEAR, SHOWN = 3.0, 66.0, 0.265, 219.0  # the two ends, larger
END_Y, BAR_Y = 57.0, 76.0


def _still() -> str:
    at, y, scale = WHOLE
    whole = ours().tube.length
    far = whole - SHOWN
    return (
        _section(at, y, scale, 0, whole, 6)
        + _section(LEFT, END_Y, NEAR, 0, SHOWN, 12)
        + _section(RIGHT, END_Y, NEAR, far, whole, 12)
        + words(at, 6, "shell end", "start")
        + words(WIDTH - at, 6, "head end", "end")
        + words(LEFT, 38, "shell end, larger", "start")
        + words(WIDTH - LEFT, 38, "head end, larger", "end")
        + words(LEFT, BAR_Y + 14, "full wall needed", "start")
        + words(WIDTH - LEFT, BAR_Y + 14, "full wall needed", "end")
    )


def _trimmed(from_head: float) -> State:
    own = ours()
    from_shell = own.excess - from_head
    need = STOP + REACH
    left = own.tube.lengths[0] - from_shell, own.tube.lengths[4] - from_head
    lack = max(own.need_shell - left[0], 0.0), max(need - left[1], 0.0)
    text = f"Off the head end {from_head:g} mm, off the shell end {from_shell:.1f} mm; "
    if lack[0] > 1e-6:
        text += f"{lack[0]:.1f} mm missing at the shell end"
    elif lack[1] > 1e-6:
        text += f"{lack[1]:.1f} mm missing at the head end"
    else:
        text += "both ends have what they need"
    at, y, scale = WHOLE
    svg = _cut(at + scale * from_shell, y, 9) + _cut(
        at + scale * (own.tube.length - from_head), y, 9
    )
    start, end = LEFT + NEAR * from_shell, RIGHT + NEAR * (SHOWN - from_head)
    svg += _cut(start, END_Y, 16) + _cut(end, END_Y, 16)
    svg += _bar(start, own.need_shell, lack[0], 1) + _bar(end, need, lack[1], -1)
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


LENGTHS = tuple(float(v) for v in range(590, 815, 8))
RULE, PER_MM = 12.0, 0.49  # left end of the rule and drawing mm a mm
LEAST_SHOWN, MOST_SHOWN = -20.0, 214.0


def tube_length() -> Slider:
    """Return the figure *length of the bought tube → window*, its butts as they are."""
    own = ours()
    spare = own.tube.lengths[0] - own.need_shell + own.tube.lengths[4] - own.need_head
    open_at = [v for v in LENGTHS if 0 <= v - own.finished <= spare]
    return Slider(
        title="Which length to buy",
        label="Length of the tube as it comes",
        alt=(
            "Three bars over a rule in millimetres. The first is what must come off a tube of "
            "the chosen length. The second is what both ends can spare together, always "
            f"{spare:.1f} millimetres. The third is the window for the cut at the head end. Below "
            f"{open_at[0]:g} millimetres the first bar points to the left and there is no window: "
            f"the tube is too short. From {open_at[0]:g} to {open_at[-1]:g} the window is open, "
            "widest in the middle. Beyond that the first bar is longer than the second and the "
            "window is empty again."
        ),
        caption=(
            f"Butts {own.tube.lengths[0]:g} and {own.tube.lengths[4]:g} mm, finished length "
            f"{own.finished:.1f} mm, as in the text, without a cable stop. A longer tube is the "
            "cure for one kind of empty window and makes the other worse."
        ),
        width=WIDTH,
        height=66.0,
        still=_rule(),
        states=tuple(_bought(length) for length in LENGTHS),
        default=LENGTHS.index(own.tube.length),
    )


def _on(mm: float) -> float:
    return RULE + PER_MM * (mm - LEAST_SHOWN)


def _rule() -> str:
    ticks = "".join(
        line([_on(v), _on(v)], [52, 54.5], 0.4) + words(_on(v), 60, long_minus(f"{v}"))
        for v in range(0, 201, 50)
    )
    zero = line([_on(0), _on(0)], [2, 52], 0.3)
    return line([_on(LEAST_SHOWN), _on(MOST_SHOWN)], [52, 52], 0.5) + ticks + zero


def _bought(length: float) -> State:
    own = ours()
    excess = length - own.finished
    spare = own.tube.lengths[4] - own.need_head, own.tube.lengths[0] - own.need_shell
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
