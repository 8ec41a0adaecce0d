"""Slider figures of the lesson on the strength of a frame."""

from __future__ import annotations

import numpy as np

from coursekit import tubes
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, line, words
from coursekit.sheets import loaded

BUTTS = np.arange(30, 181, 5)  # mm from the head tube's axis, as far as the wall is full
WIDTH, HEIGHT = 127.0, 100.0
LEFT, FOOT, ALONG, UP = 22.0, 80.0, 0.155, 0.33  # mm on the drawing; a mm of tube; a MPa


def butt() -> Slider:
    """Return the figure *length of the butt at the head tube → highest stress, and where it is*."""
    walls, taper = worked_frame.build().tubes["down_tube"].walls, own("taper_b")
    return Slider(
        title="How long must the butt be?",
        label="Full wall from the head tube’s axis, in millimetres",
        alt=(
            "Stress along the down tube from the head tube to the shell, pushed at the front "
            "axle. It falls from about 160 MPa at the head tube, rises to a peak where the "
            "wall gets thin, falls nearly to nothing two thirds of the way and rises a little "
            "toward the shell. With a longer butt the peak moves away from the head tube and "
            "gets lower, until the head tube's end is the highest place; a still longer butt "
            "changes nothing there."
        ),
        caption=(
            f"The frame of all lessons, {loaded.FRONT:g} N back at the front axle. Wall "
            f"{walls[0]:g} mm, belly {walls[1]:g} mm, taper {taper:g} mm."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(float(b)) for b in BUTTS),
        default=int(np.flatnonzero(BUTTS == 60)[0]),
    )


def own(name: str) -> float:
    """Return a number of the worked frame's down tube."""
    return worked_frame.facts()[f"down_tube.{name}"]


def stresses(butt: float) -> tuple[np.ndarray, np.ndarray]:
    """Return places from the head tube's axis, mm, and the stress at each, MPa."""
    build, run, shell, taper = worked_frame.build(), own("axis"), own("thick_a"), own("taper_b")
    parts = (shell, taper, run - shell - 2 * taper - butt, taper, butt)
    tube = tubes.Butted(own("diameter"), build.tubes["down_tube"].walls, parts)
    load = loaded.loads(build.frame)["front"]
    made = loaded.under(build, load, {"down_tube": (tube, 0.0)})
    bends = butt, butt + taper, run - shell, run - shell - taper
    places = np.unique(np.r_[np.linspace(0, run, 90), bends])
    return places, made.stress("down_tube", np.clip(run - places, 0, run))


def _still() -> str:
    end = LEFT + ALONG * own("axis")
    drawn = line([LEFT, end], [FOOT, FOOT], 0.6) + line([LEFT, LEFT], [FOOT, FOOT - UP * 210], 0.6)
    for stress in (50, 100, 150, 200):
        y = FOOT - UP * stress
        drawn += line([LEFT - 1.5, LEFT], [y, y], 0.6)
        drawn += words(LEFT - 2.5, y + 1.5, f"{stress}", "end")
    for place in (0, 200, 400, 600):
        x = LEFT + ALONG * place
        drawn += line([x, x], [FOOT, FOOT + 1.5], 0.6) + words(x, FOOT + 7, f"{place}")
    drawn += words((LEFT + end) / 2, FOOT + 15, "from the head tube’s axis (mm)")
    return drawn + words(LEFT + 3, 9, "MPa", "start")


def _state(butt: float) -> State:
    places, stress = stresses(butt)
    x, y = LEFT + ALONG * places, FOOT - UP * stress
    drawn = line(x, y, 1.0)
    for at in (butt, butt + own("taper_b")):
        here = LEFT + ALONG * at
        drawn += line([here, here], [FOOT, FOOT - 6], 0.8)
    peak = int(np.argmax(stress))
    drawn += line([x[peak] - 2, x[peak] + 2], [y[peak], y[peak]], 1.6)
    where = "at the head tube" if peak == 0 else "where the thin wall begins"
    return State(f"{butt:g} mm: highest {where}, {stress[peak]:.0f} MPa", drawn)
