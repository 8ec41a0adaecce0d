"""What the demo's benches really have in hand: for each line of a lesson's bench record, a value.

It follows from the student's own numbers and from the answers that they give. Where a lesson asks
for something that no number decides, the gap of a first miter or the minutes at the torch, a
typical value stands in its place: `TYPICAL`, with its reason. All of that is common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import radians, sqrt, tan
from random import Random
from typing import Any

from coursekit import tacks
from coursekit.materials import STEEL_4130
from coursekit.tubes import Round

FIRST_DEG, HOLD = 0.28, 0.58  # of the demo class's tacks
TEST_MASS = 2.0  # kg, hung on the offcut of tube choice
G = 9.81  # m/s²


@dataclass(frozen=True)
class Own:
    """One student's numbers and answers in one lesson, and chances that are the same each time."""

    slug: str
    student: str
    numbers: Mapping[str, float]
    answers: Mapping[str, Any]

    def __getitem__(self, name: str) -> Any:
        """Return a number by its name, else the answer of that name."""
        return self.numbers[name] if name in self.numbers else self.answers[name]

    def pick(self, name: str, low: float, high: float) -> float:
        """Return something between two bounds that this student has in this lesson."""
        return Random(f"{self.slug}/{self.student}/{name}").uniform(low, high)

    def near(self, name: str, value: float, stray: float) -> float:
        """Return a value as work turns out: off by `stray` mostly, never by more than three."""
        off = Random(f"{self.slug}/{self.student}/{name}").gauss(0.0, stray)
        return value + max(-3 * stray, min(3 * stray, off))


Value = Callable[[Own], float]


@dataclass(frozen=True)
class Typical:
    """A value that no number of the student's decides, how far it strays, and why it is such."""

    value: float
    stray: float
    why: str


def _offcut(own: Own) -> Round:
    return Round(own["diameter"], own["wall"])


def _offcut_long(own: Own) -> float:
    return round(own.pick("offcut", 400.0, 500.0), 1)


def _sag(own: Own) -> float:
    stiff = 3 * float(STEEL_4130.modulus or 0) * float(_offcut(own).inertia)
    return TEST_MASS * G * _offcut_long(own) ** 3 / stiff


def _held(own: Own) -> float:
    """The fixture's wheelbase: rear axle back, and the front centre taken level."""
    return float(own["rear-back"]) + sqrt(own["front_centre"] ** 2 - own["bb_drop"] ** 2)


def _beside_seat_tube(own: Own) -> float:
    return float((own["found_width"] - own["seat_tube"]) / 2)


def pulled(own: Own, tacked_deg: tuple[float, ...], across: bool = False) -> float:
    """Return what the gauge reads after these tacks: the class's model, at the student's lever."""
    first = own.near("first", FIRST_DEG, 0.03)
    tilt = tacks.pull(tacked_deg, first, HOLD)[1 if across else 0]
    return float(own["tube_length"] * tan(radians(float(tilt))))


def _height(place: int, side: str, share: float = 1.0) -> Value:
    """A height above the plate: the gauge's zero, and this share of how far the tube stands off."""

    def value(own: Own) -> float:
        up, down = own[f"seat_up_{place}"], own[f"seat_down_{place}"]
        off = share * (up - down) / 2
        return float((up + down) / 2 + (off if side == "up" else -off))

    return value


AFTER = 0.3  # of a lean is left after setting

FROM_NUMBERS: dict[str, dict[str, tuple[Value, float]]] = {  # the value, and how far work strays
    "shop-maths": {
        "diameter_mm": (lambda o: o["tape"] + o.pick("round", -0.08, 0.08), 0.0),
        "diameter_inch": (lambda o: o["tape"] + o.pick("round", -0.08, 0.08), 0.0),
        "wall": (lambda o: o.answers["wall"], 0.02),
        "rise": (lambda o: 300 * tan(radians(o["seat_angle_deg"])), 2.0),
        "protractor": (lambda o: o["seat_angle_deg"] + o["protractor_error_deg"], 0.1),
    },
    "frame-drawing": {
        "wheelbase": (lambda o: o["wheelbase"], 0.4),
        "contacts": (lambda o: o["wheelbase"], 0.4),
        "front-centre": (lambda o: o["front_centre"], 0.4),
        "trail": (lambda o: o["trail"], 0.7),
        "joint": (lambda o: o["down-tube"], 0.2),
    },
    "tube-choice": {
        "mass": (lambda o: float(_offcut(o).grams_per_metre()) * _offcut_long(o) / 1000, 0.0),
        "offcut_length": (_offcut_long, 0.0),
        "offcut_diameter": (lambda o: o["diameter"], 0.03),
        "offcut_wall": (lambda o: o["wall"], 0.01),
        "sag": (_sag, 0.01),
    },
    "miter-angles": {
        "protractor": (lambda o: o["angle_deg"], 0.2),
        "wrap": (lambda o: o["wrap-length"], 0.2),
        "depth": (lambda o: max(o["ordinates"]) - min(o["ordinates"]), 0.3),
    },
    "butt-finding": {
        "butt": (lambda o: o["by-eye"][0], 1.5),
        "belly": (lambda o: o["by-eye"][1], 1.5),
        "thick": (lambda o: o["levels"][0], 0.005),
        "thin": (lambda o: o["levels"][1], 0.005),
        "high_reading": (lambda o: max(v for k, v in o.numbers.items() if "dial_" in k), 0.01),
        "low_reading": (lambda o: min(v for k, v in o.numbers.items() if "dial_" in k), 0.01),
    },
    "butt-orientation": {
        "length": (lambda o: o["tube_length"], 0.3),
        "long_end": (lambda o: o["long_butt"], 1.5),
        "short_end": (lambda o: o["short_butt"], 1.5),
        "finished": (lambda o: o["lengths"][0], 0.4),
        "offcuts": (lambda o: o["offcuts"], 0.4),
    },
    "bottom-bracket-shell": {
        "width": (lambda o: o["found_width"], 0.02),
        "left_drive": (_beside_seat_tube, 0.05),
        "left_other": (_beside_seat_tube, 0.05),
        "shell_bore": (lambda o: o["bore"], 0.02),
        "smallest_land": (lambda o: min(o["lands"]), 0.3),
    },
    "sleeve-joint": {
        "bore": (lambda o: o["bore"], 0.01),
        "plug": (lambda o: o["tube"], 0.01),
        "slide": (lambda o: o["lap"], 0.5),
        "used": (lambda o: o["rods"] * o.pick("spilt", 0.95, 1.2), 0.0),
    },
    "oval-tubes": {
        "round_size": (lambda o: o["diameter"], 0.03),
        "pressed": (lambda o: o["press"], 0.1),
        "left": (lambda o: o["width"], 0.1),
        "deep": (lambda o: o["oval"][0], 0.15),
        "fade": (lambda o: 2.5 * o["diameter"] + o["pad"] / 2, 5.0),
    },
    "fixture-setting": {
        "rear-back": (lambda o: o["rear-back"], 0.2),
        "square": (lambda o: o["square-check"], 0.3),
        "head-angle": (lambda o: o["head_angle_deg"], 0.05),
        "wheelbase": (_held, 0.5),
    },
    "heat-and-filler": {
        "corner": (lambda o: o["line"], 0.5),
        "used": (lambda o: o["rods"] * o.pick("spilt", 0.95, 1.2), 0.0),
        "leg_up": (lambda o: o["leg"], 0.4),
        "leg_over": (lambda o: o["leg"], 0.4),
    },
    "tack-order": {
        "length": (lambda o: o["tube_length"], 0.0),
        "gauge_one": (lambda o: pulled(o, (0.0,)), 0.04),
        "gauge_two": (lambda o: pulled(o, (0.0, 180.0)), 0.04),
        "left_in_plane": (lambda o: pulled(o, (0.0, 180.0, 90.0, 270.0)), 0.04),
        "left_across": (lambda o: pulled(o, (0.0, 180.0, 90.0, 270.0), across=True), 0.04),
    },
    "alignment-checks": {
        "low_up": (_height(100, "up"), 0.0),
        "low_down": (_height(100, "down"), 0.0),
        "high_up": (_height(400, "up"), 0.0),
        "high_down": (_height(400, "down"), 0.0),
        "set_low_up": (_height(100, "up", AFTER), 0.01),
        "set_low_down": (_height(100, "down", AFTER), 0.01),
        "set_high_up": (_height(400, "up", AFTER), 0.01),
        "set_high_down": (_height(400, "down", AFTER), 0.01),
        "string_drive": (lambda o: o["gap_drive"], 0.3),
        "string_other": (lambda o: o["gap_other"], 0.3),
    },
    "braze-ons": {
        "crown": (lambda o: o["edges"], 0.4),
        "off-crown": (lambda o: o["lean_deg"], 0.3),
        "bottles": (lambda o: o["bottle-room"], 1.0),
    },
    "frame-strength": {
        "free": (lambda o: o["free"], 0.5),
        "weight": (lambda o: o["weight"], 0.3),
        "without": (lambda o: o.pick("zero", -0.2, 0.2), 0.0),
        "with": (lambda o: o.pick("zero", -0.2, 0.2) + o["sag"] * o.pick("clamp", 1.0, 1.06), 0.0),
        "wall": (lambda o: o["test_wall"], 0.01),
    },
    "your-frame": {
        "wheelbase": (lambda o: o["wheelbase-drawing"], 0.7),
        "wheelbase-other": (lambda o: o["wheelbase-drawing"], 0.7),
        "front-centre": (lambda o: o["front_centre"], 0.6),
        "head-angle": (lambda o: o["head_angle_deg"], 0.1),
        "walk": (lambda o: o["allowance"] * o.pick("walked", 0.4, 1.6), 0.0),
        "top-mark": (lambda o: o["mark_b"] - o["mark_a"], 0.3),
    },
}

TYPICAL: dict[str, dict[str, Typical]] = {  # common practice, no source
    "miter-angles": {"light": Typical(0.25, 0.08, "a first miter by saw and file")},
    "bottom-bracket-shell": {"swing": Typical(0.03, 0.01, "a face cut in small cuts, with oil")},
    "sleeve-joint": {"lean": Typical(0.25, 0.08, "three tacks leave a few tenths over 300 mm")},
    "fixture-setting": {"gap": Typical(0.2, 0.06, "a miter after its second filing, dry")},
    "heat-and-filler": {"minutes": Typical(7.0, 1.5, "a fillet all round by a first-time brazer")},
    "braze-ons": {
        "pitch": Typical(64.0, 0.1, "the holes of a bottle cage stand 64 mm apart"),
        "boss-gap": Typical(0.1, 0.03, "a base dressed with emery round a rod"),
    },
}


def value(own: Own, line: str) -> float | None:
    """Return what the student's work really measures at a line; None where nothing is known."""
    if line in FROM_NUMBERS.get(own.slug, {}):
        found, stray = FROM_NUMBERS[own.slug][line]
        return own.near(line, float(found(own)), stray)
    if line in TYPICAL.get(own.slug, {}):
        typical = TYPICAL[own.slug][line]
        return own.near(line, typical.value, typical.stray)
    return None
