"""The fixture card: where every scale stands, what a slip in it does, room to tick and measure."""

from __future__ import annotations

from typing import Any

from coursekit import fixture
from coursekit.sheets import end_cards, flat, frame_scene, text
from coursekit.sheets.build import Build
from coursekit.sheets.scene import Angle, Gap, Part, Point, Stroke, Words

SCALE = 11.5  # of the sketch
LETTER = 34.0  # height of its letters, mm of frame
SAYS = {
    "rear_back": "post back to the rear axle, level",
    "rear_up": "post up to the rear axle",
    "seat_angle_deg": "seat tube, from the rail",
    "head_ahead": "post forward to where the head arm crosses the rail",
    "head_angle_deg": "head arm, from the rail",
    "low_face": "up the head arm to the lower face",
    "high_face": "up the head arm to the upper face",
}
LETTERS = dict(zip(SAYS, "ABCDEFG", strict=True))


def part(build: Build) -> dict[str, Any]:
    """Page data of the fixture card, for `bench.pdf`."""
    own, rail = build.frame, build.bench.rail
    readings = fixture.settings(own, rail)
    rows = [_row(build, name, float(getattr(readings, name))) for name in SAYS]
    head = build.tubes["head_tube"]
    bore = float(head.diameter - 2 * head.walls[0])
    low, high = readings.cone_tips(bore, build.bench.cone_deg)
    cone = f"cones of {text.number(build.bench.cone_deg)}°"
    checks = [
        ("lower cone’s tip, up the head arm", low, "mm"),
        ("upper cone’s tip, up the head arm", high, "mm"),
        ("post square to the steering axis", readings.square, "mm"),
        ("front axle: up the head arm to its foot", readings.axle_along, "mm"),
        ("front axle: ahead of the arm’s axis (offset)", readings.axle_ahead, "mm"),
        ("wheelbase, axle to axle", own.wheelbase, "mm"),
        ("front centre, post to front axle", own.front_centre, "mm"),
        ("head tube, face to face", own.head_tube, "mm"),
        *end_cards.settings(build),
    ]
    return {
        "kind": "fixture",
        "rail": text.number(rail),
        "cone": f"{cone} in a bore of {text.number(round(bore, 2))} mm",
        "rows": rows,
        "checks": [{"say": say, "value": _said(float(value), unit)} for say, value, unit in checks],
        "sketch": _sketch(build, readings),
    }


def _said(value: float, unit: str) -> str:
    return text.long_minus(f"{value:.2f}°" if unit == "°" else f"{value:.1f} mm")


def _row(build: Build, name: str, value: float) -> dict[str, Any]:
    """A setting with what one mm (or a tenth of a degree) too much makes of wheelbase and trail."""
    degrees = name.endswith("_deg")
    step = 0.1 if degrees else 1.0

    def change(of: str) -> float:
        budget = fixture.error_budget(build.frame, {name: step}, of, build.bench.rail)
        return float(budget.slopes[name]) * step

    return {
        "letter": LETTERS[name],
        "say": SAYS[name],
        "value": _said(value, "°" if degrees else "mm"),
        "slip": "0.1°" if degrees else "1 mm",
        "wheelbase": text.signed(change("wheelbase")),
        "trail": text.signed(change("trail")),
    }


def _sketch(build: Build, readings: fixture.Settings) -> dict[str, Any]:
    """The frame small, with the letters of the settings, mm on paper."""
    parts = [p for p in frame_scene.side(build) if getattr(p, "layer", "") in ("outline", "point")]
    drawn = flat.drawn_out([*parts, *_marks(build, readings)])
    left, bottom, right, top = flat.room(drawn)
    items = flat.laid(drawn, (left, top))
    return {
        "wide": (right - left) / SCALE,
        "high": (top - bottom) / SCALE,
        "items": [flat.small(i, 1 / SCALE) for i in items],
    }


def _marks(build: Build, s: fixture.Settings) -> list[Part]:
    rail = -float(build.bench.rail)
    back, up, ahead = -float(s.rear_back), float(s.rear_up), float(s.head_ahead)
    crossing = (ahead, rail)
    p = {n: (float(x), float(y)) for n, (x, y) in build.frame.points.items()}
    post = (0.0, 0.0)
    lines: list[Part] = [
        Stroke("dimension", (back, rail), (max(ahead, p["front_axle"][0]) + 40, rail)),
        Stroke("dimension", crossing, p["head_low"]),
    ]
    settings: dict[str, Part] = {
        "seat_angle_deg": Angle(post, 230.0, 180.0 - float(s.seat_angle_deg), 180.0),
        "head_angle_deg": Angle(crossing, 130.0, 180.0 - float(s.head_angle_deg), 180.0),
        "rear_back": Gap((back, up), post, -(up + 110.0), along=0.0),
        "rear_up": Gap(post, (back, up), -back + 60.0, along=90.0),
        "head_ahead": Gap(post, crossing, -110.0, along=0.0),
        "low_face": Gap(crossing, p["head_low"], -70.0),
        "high_face": Gap(crossing, p["head_high"], -150.0),
    }
    made = flat.drawn_out([*lines, *settings.values()])
    letters = [_letter(name, mark) for name, mark in settings.items()]
    return [*(part for part in made if not isinstance(part, Words)), *letters]


def _letter(name: str, mark: Part) -> Words:
    found = [p for p in flat.drawn_out([mark]) if isinstance(p, Words)]
    at: Point = found[0].at
    return Words(LETTERS[name], (at[0], at[1] - LETTER / 2), LETTER, "middle")  # across its line
