"""Slider figures of the lesson on the bottom-bracket shell."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from coursekit import vents
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words

HOLE = 5.0  # mm
PLACES = np.arange(-16, 37, 1.0)  # mm round the shell from below the seat tube
WIDTH, HEIGHT, MIDDLE, BASE, SCALE = 130.0, 92.0, 44.0, 44.0, 1.6


@dataclass(frozen=True)
class Drum:
    """The shell and the two tubes of the frame that the lessons work through; mm, degrees."""

    shell: float
    between: float
    seat: float
    down: float
    wall: float

    @property
    def away(self) -> float:
        """From the one tube's place to the other's, round the shell."""
        return float(vents.round_shell(self.shell, self.between))


@lru_cache(maxsize=1)
def ours() -> Drum:
    """Return the worked frame's, its angle as the page gives it."""
    names = ("seat_tube.diameter", "down_tube.diameter", "seat_tube.wall_a")
    known = worked_frame.facts()
    shell, between = known["shell.diameter"], round(known["down_tube.seat_tube.angle_deg"], 1)
    return Drum(shell, between, *(known[n] for n in names))


def hole() -> Slider:
    """Return the figure *where the hole is bored → what land is left under which tube*."""
    own = ours()
    return Slider(
        title="One hole on the unrolled shell",
        label="Place of the hole, round the shell from the middle of the seat tube",
        alt=(
            f"The outside of a shell of {own.shell:g} mm unrolled into the flat. Two ovals that "
            f"overlap: the bores of the seat tube and, {own.away:.1f} mm further round, of the "
            f"down tube. A hole of {HOLE:g} mm moves from left of the seat tube over both to the "
            "right of the down tube. In the overlap it lies in both ovals; near an edge the land "
            "gets small, and at an edge the hole runs under a tube's wall."
        ),
        caption=(
            f"Shell {own.shell:g} mm, tubes {own.seat:g} and {own.down:g} mm with walls of "
            f"{own.wall:g} mm, {own.between:g}° between them; hole {HOLE:g} mm. Across the strip "
            "runs the shell's axis."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(float(p)) for p in PLACES),
        default=int(np.flatnonzero(PLACES == 0)[0]),
    )


def lands(place: float) -> tuple[float, float]:
    """Return the land under the seat tube and under the down tube, mm, of a hole at `place`."""
    own = ours()
    return (
        vents.land(own.seat - 2 * own.wall, own.shell, HOLE, place),
        vents.land(own.down - 2 * own.wall, own.shell, HOLE, place - own.away),
    )


def _at(place: float) -> float:
    return MIDDLE + SCALE * place


def _still() -> str:
    drawn = line([4, WIDTH - 4], [BASE, BASE], 0.3)
    own = ours()
    both = ((own.seat, 0.0, -16, "seat tube"), (own.down, own.away, 16, "down tube"))
    for size, centre, side, name in both:
        along, about = vents.footprint(size - 2 * own.wall, own.shell, 73)
        drawn += line(_at(centre) + SCALE * about, BASE + SCALE * along, 0.8)
        drawn += words(_at(centre) + side, 7.0, name)
    return drawn + words(WIDTH / 2, HEIGHT - 4, "round the shell")


def _state(place: float) -> State:
    a = np.linspace(0, 2 * np.pi, 41)
    r = SCALE * HOLE / 2
    x, y = _at(place) + r * np.cos(a), BASE + r * np.sin(a)
    drawn = area(x, y, 0.35) + line(x, y, 1.0)
    seat, down = lands(place)
    side = "right" if place > 0 else "left"
    where = f"{abs(place):g} mm to the {side}" if place else "in the middle"
    return State(f"{where}: {_said('seat tube', seat)}, {_said('down tube', down)}", drawn)


def _said(name: str, left: float) -> str:
    if left >= 0:
        return f"{name} {left:.1f} mm of land"
    if left > -HOLE:
        return f"{name}: under its wall"
    return f"{name}: no hole"
