"""Slider figures of the lesson on the frame drawing."""

from __future__ import annotations

import numpy as np

from coursekit import frame
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, dot, line, words
from coursekit.sheets.frame_facts import Facts

ANGLES = tuple(66 + i / 4 for i in range(41))
# what the rider touches drives the frame
HELD = (
    "seat_angle_deg",
    "chainstay",
    "bb_drop",
    "wheel_radius",
    "fork_length",
    "fork_offset",
    "lower_stack",
    "seat_tube",
    "reach",
    "stack",
)
LEAST = frame.TOE_CLEARANCE_US
WIDTH, HEIGHT = 127.0, 123.0
PER_MM = 0.1  # of the drawing, a mm of the frame
ORIGIN = (23.0, 61.0)  # of the bottom bracket in the drawing
BARS = (46.0, 101.0, 0.55)  # left end and upper bar, and drawing mm a mm


def head_angle() -> Slider:
    """Return the figure *head angle → trail and toe clearance*, the rider's place held."""
    facts = worked_frame.facts()
    return Slider(
        title="Lay the steering axis flatter",
        label="Head angle",
        alt=(
            "Side view of the front half of the lesson's frame. The top of the head tube stays "
            "where it is. As the head angle grows smaller the fork swings forward, the front "
            "wheel moves away from the pedal and the axis meets the ground further ahead of the "
            "wheel. Two bars below show trail and the gap between pedal and tyre, with a mark at "
            "89 millimetres. At 72.5 degrees trail is 60.0 and the gap 85 millimetres; at 66 "
            "degrees both are larger, at 76 degrees both are smaller."
        ),
        caption=(
            "The lesson's frame with the top of the head tube held where the rider wants it "
            "(dot). Dashed circle: the pedal's way. Below: trail, and the gap between pedal and "
            "tyre, with the 89 mm of the US rule marked."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(facts),
        states=tuple(_state(facts, a) for a in ANGLES),
        default=ANGLES.index(facts["head_angle_deg"]),
    )


def _at(x: object, y: object) -> tuple[np.ndarray, np.ndarray]:
    return ORIGIN[0] + PER_MM * np.asarray(x, float), ORIGIN[1] - PER_MM * np.asarray(y, float)


def _way(*points: tuple[float, float], width: float = 0.5, dash: str = "") -> str:
    x, y = _at(*np.transpose([np.asarray(p, float) for p in points]))
    return line(x, y, width, dash)


def _round(centre: tuple[float, float], radius: float, width: float, dash: str = "") -> str:
    x, y = _at(*centre)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius * PER_MM:.2f}" fill="none" '
        f'stroke="currentColor" stroke-width="{width:g}"{dashed}/>'
    )


def _still(facts: Facts) -> str:
    level = facts["bb_drop"] - facts["wheel_radius"]
    lean = np.radians(facts["seat_angle_deg"])
    top = (-facts["seat_tube"] * np.cos(lean), facts["seat_tube"] * np.sin(lean))
    held = (facts["reach"], facts["stack"])
    left, upper, scale = BARS
    mark = left + LEAST * scale
    x, y = _at(*held)
    return (
        _way((-200, level), (970, level), width=0.8)
        + _way((0, 0), top, width=1.2)
        + _way(top, held, width=0.6)
        + _round((0, 0), facts["bench.crank"], 0.3, "1.5 1")
        + dot(float(x), float(y), 1.5)
        + words(left - 3, upper + 4.6, "trail", "end")
        + words(left - 3, upper + 13.6, "pedal to tyre", "end")
        + line([left, left], [upper - 1, upper + 17], 0.3)
        + line([mark, mark], [upper + 7, upper + 17], 0.5, "1.5 1")
        + words(mark, upper + 21.2, "89 mm", "middle", 4)
    )


def _state(facts: Facts, angle_deg: float) -> State:
    own = frame.draw(head_angle_deg=angle_deg, **{name: facts[name] for name in HELD})
    crank = facts["bench.crank"]
    trail, gap = float(own.trail), float(own.toe_clearance(crank, 0))
    text = (
        f"Head angle {angle_deg:.2f}°; trail {trail:.1f} mm; pedal to tyre {gap:.0f} mm; "
        f"wheelbase {float(own.wheelbase):.0f} mm"
    )
    return State(text, _bicycle(own, crank, gap) + _bar(0, trail) + _bar(9, gap))


def _bicycle(own: frame.Frame, crank: float, gap: float) -> str:
    p = own.points
    front = np.array(p["front_axle"])
    toward = front / np.hypot(*front)
    pedal, tyre = crank * toward, (crank + gap) * toward
    return (
        _round(p["front_axle"], own.front_radius, 0.5)
        + _way((0, 0), p["head_low"], width=1.2)
        + _way(p["head_low"], p["head_high"], width=1.8)
        + _way(p["crown"], p["front_axle"], width=1)
        + _way(p["head_high"], p["trail_point"], width=0.3, dash="6 1.5 1 1.5")
        + _way(p["front_axle"], p["front_contact"], width=0.3, dash="1.5 1")
        + _way(p["front_contact"], p["trail_point"], width=2)
        + _way((0, 0), tuple(pedal), width=1)
        + _way(tuple(pedal), tuple(tyre), width=2)
    )


def _bar(down: float, length: float) -> str:
    left, upper, scale = BARS
    x, y = left + scale * length, upper + down
    return area([left, x, x, left], [y, y, y + 6, y + 6], 0.6) + words(
        WIDTH - 2, y + 4.6, f"{length:.0f} mm", "end"
    )
