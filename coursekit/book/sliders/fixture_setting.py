"""Slider figure of the lesson on setting the fixture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from coursekit import fixture
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, dot, line, words
from coursekit.fixture import Settings
from coursekit.frame import Frame

LEANS = tuple(round(-2 + i / 10, 1) for i in range(41))  # degrees too flat
WIDTH, HEIGHT = 127.0, 95.0
PER_MM = 0.115  # of the drawing, a mm of the frame
ORIGIN = (12.0, 74.0)  # of the post in the drawing
BAR = (98.0, 24.0)  # middle of the bar that shows the axle's way


def arm() -> Slider:
    """Return the figure *error of the head arm's angle → front axle, wheelbase, trail*."""
    return Slider(
        title="Swing the head arm",
        label="How much too flat the head arm stands",
        alt=(
            "The front half of the fixture: post, rail, the head arm with the head tube, and "
            "fork and front axle drawn on it. A thin dashed line marks where the arm belongs. "
            "The arm swings about the point where it crosses the rail. When it stands too flat, "
            "the head tube moves back a lot and the front axle, which is nearer to the swing "
            "point, a little: 3.0 millimetres for a degree. The wheelbase gets as much shorter, "
            "trail gets longer by about 6 millimetres."
        ),
        caption=(
            "The lesson's frame. Wheelbase, trail and the gap between pedal and tyre are "
            "those of the bicycle on its wheels, nothing else being wrong."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(lean) for lean in LEANS),
        default=LEANS.index(1.0),
    )


def made(too_flat_deg: float) -> tuple[Frame, tuple[float, float]]:
    """Return the frame that a crooked arm makes, and where its axle stands in the fixture."""
    right = _right()
    readings = replace(right, head_angle_deg=right.head_angle_deg - too_flat_deg)
    up = _up(readings.head_angle_deg)
    axle = _crossing() + right.axle_along * up + right.axle_ahead * np.array([up[1], -up[0]])
    return fixture.built(_frame(), readings, _rail()), (float(axle[0]), float(axle[1]))


def _frame() -> Frame:
    return worked_frame.build().frame


def _rail() -> float:
    return worked_frame.facts()["bench.rail"]


def _right() -> Settings:
    return fixture.settings(_frame(), _rail())


def _up(angle_deg: float) -> np.ndarray:
    angle = np.radians(angle_deg)
    return np.array([-np.cos(angle), np.sin(angle)])


def _crossing() -> np.ndarray:
    return np.array([float(_right().head_ahead), -_rail()])


def _way(*points: object, width: float = 0.5, dash: str = "") -> str:
    x, y = np.transpose([np.asarray(p, float) for p in points])
    return line(ORIGIN[0] + PER_MM * x, ORIGIN[1] - PER_MM * y, width, dash)


def _dot(point: object, radius: float = 1.3) -> str:
    x, y = np.asarray(point, float)
    return dot(ORIGIN[0] + PER_MM * x, ORIGIN[1] - PER_MM * y, radius)


def _arm(angle_deg: float, width: float, dash: str = "") -> str:
    return _way(
        _crossing(),
        _crossing() + (float(_right().high_face) + 30) * _up(angle_deg),
        width=width,
        dash=dash,
    )


def _still() -> str:
    rail = _rail()
    x, y = np.array([-70, 950, 950, -70]), np.array([-rail - 16, -rail - 16, -rail, -rail])
    axle = _frame().points["front_axle"]
    return (
        area(ORIGIN[0] + PER_MM * x, ORIGIN[1] - PER_MM * y, 0.3)
        + _way((0, -rail), (0, 0), width=1.2)
        + _dot((0, 0))
        + words(ORIGIN[0] + 3, ORIGIN[1] - 2, "post", "start")
        + words(ORIGIN[0] + PER_MM * 850, ORIGIN[1] + PER_MM * rail + 7, "rail")
        + _arm(float(_right().head_angle_deg), 0.3, "1.5 1")
        + _way(np.add(axle, (0, -14)), np.add(axle, (0, 14)), width=0.3)
        + _dot(_crossing(), 1.0)
        + words(BAR[0], BAR[1] - 7, "axle moves, ten times")
        + line([BAR[0], BAR[0]], [BAR[1] - 4, BAR[1] + 4], 0.3)
        + words(BAR[0] - 9, BAR[1] + 9, "back")
        + words(BAR[0] + 9, BAR[1] + 9, "ahead")
    )


def _state(lean: float) -> State:
    frame, axle = made(lean)
    right, own = _right(), _frame()
    angle = float(right.head_angle_deg) - lean
    up, start = _up(angle), _crossing()
    crown = start + (float(right.low_face) - float(own.lower_stack)) * up
    drawn = (
        _arm(angle, 0.5)
        + _way(start + float(right.low_face) * up, start + float(right.high_face) * up, width=3)
        + _way(crown, axle, width=0.9)
        + _dot(axle)
    )
    moved = axle[0] - float(own.points["front_axle"][0])
    drawn += line([BAR[0], BAR[0] + 10 * PER_MM * moved], [BAR[1]] * 2, 3)
    crank = worked_frame.facts()["bench.crank"]
    said = "as drawn: "
    if lean:
        said = (
            f"{abs(lean):.1f}° too {'flat' if lean > 0 else 'steep'}: "
            f"axle {abs(moved):.1f} mm {'back' if moved < 0 else 'ahead'}, "
        )
    return State(
        f"{said}wheelbase {float(frame.wheelbase):.1f} mm, trail {float(frame.trail):.1f} mm, "
        f"pedal to tyre {float(frame.toe_clearance(crank, 0)):.1f} mm",
        drawn,
    )
