"""What the demo's benches really have in hand: for each line of a lesson's bench record, a value.

Mostly that is what the lesson's key expects there, under `## bench`, and `STRAY` says how far work
strays from it. What the benches have beside that follows from the student's own numbers and answers
(`FROM_NUMBERS`). Where a lesson asks for something that no number decides, the gap of a first miter
or the minutes at the torch, a typical value stands in its place: `TYPICAL`, with its reason. All of
that is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import radians, tan
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
    expected: Mapping[str, float]  # bench line → what the lesson's key expects there

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

STRAY: dict[str, dict[str, float]] = {  # how far work strays from what the key expects of a line
    "shop-maths": {"rise": 2.0},
    "frame-drawing": {
        "wheelbase": 0.4,
        "contacts": 0.4,
        "front-centre": 0.4,
        "trail": 0.7,
        "joint": 0.2,
    },
    "miter-angles": {"protractor": 0.2, "wrap": 0.2, "depth": 0.3},
    "butt-finding": {"butt": 1.5, "belly": 1.5, "thick": 0.005, "thin": 0.005},
    "butt-orientation": {
        "length": 0.3,
        "long_end": 1.5,
        "short_end": 1.5,
        "finished": 0.4,
        "offcuts": 0.4,
    },
    "bottom-bracket-shell": {"shell_bore": 0.02, "smallest_land": 0.3},
    "sleeve-joint": {"bore": 0.01, "plug": 0.01, "slide": 0.5},
    "oval-tubes": {"round_size": 0.03, "pressed": 0.1, "left": 0.1, "deep": 0.15},
    "fixture-setting": {"rear-back": 0.2, "square": 0.3, "head-angle": 0.05, "wheelbase": 0.5},
    "heat-and-filler": {"corner": 0.5, "leg_up": 0.4, "leg_over": 0.4},
    "tack-order": {"length": 0.0},
    "braze-ons": {"crown": 0.4, "bottles": 1.0},
    "frame-strength": {"free": 0.5, "weight": 0.3, "wall": 0.01},
    "your-frame": {
        "wheelbase": 0.7,
        "wheelbase-other": 0.7,
        "front-centre": 0.6,
        "head-angle": 0.1,
        "top-mark": 0.3,
    },
}

FROM_NUMBERS: dict[str, dict[str, tuple[Value, float]]] = {  # the value, and how far work strays
    "shop-maths": {
        "diameter_mm": (lambda o: o["tape"] + o.pick("round", -0.08, 0.08), 0.0),
        "diameter_inch": (lambda o: o["tape"] + o.pick("round", -0.08, 0.08), 0.0),
        "wall": (lambda o: o.answers["wall"], 0.02),
        "protractor": (lambda o: o["seat_angle_deg"] + o["protractor_error_deg"], 0.1),
    },
    "tube-choice": {
        "mass": (lambda o: float(_offcut(o).grams_per_metre()) * _offcut_long(o) / 1000, 0.0),
        "offcut_length": (_offcut_long, 0.0),
        "offcut_diameter": (lambda o: o["diameter"], 0.03),
        "offcut_wall": (lambda o: o["wall"], 0.01),
        "sag": (_sag, 0.01),
    },
    "butt-finding": {
        "high_reading": (lambda o: max(v for k, v in o.numbers.items() if "dial_" in k), 0.01),
        "low_reading": (lambda o: min(v for k, v in o.numbers.items() if "dial_" in k), 0.01),
    },
    "bottom-bracket-shell": {
        "width": (lambda o: o["found_width"], 0.02),
        "left_drive": (_beside_seat_tube, 0.05),
        "left_other": (_beside_seat_tube, 0.05),
    },
    "sleeve-joint": {
        "used": (lambda o: o["rods"] * o.pick("spilt", 0.95, 1.2), 0.0),
    },
    "oval-tubes": {
        "fade": (lambda o: 2.5 * o["diameter"] + o["pad"] / 2, 5.0),
    },
    "heat-and-filler": {
        "used": (lambda o: o["rods"] * o.pick("spilt", 0.95, 1.2), 0.0),
    },
    "tack-order": {
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
        "off-crown": (lambda o: o["lean_deg"], 0.3),
    },
    "frame-strength": {
        "without": (lambda o: o.pick("zero", -0.2, 0.2), 0.0),
        "with": (lambda o: o.pick("zero", -0.2, 0.2) + o["sag"] * o.pick("clamp", 1.0, 1.06), 0.0),
    },
    "your-frame": {
        "walk": (lambda o: o["allowance"] * o.pick("walked", 0.4, 1.6), 0.0),
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
    if line in STRAY.get(own.slug, {}):
        return own.near(line, own.expected[line], STRAY[own.slug][line])
    if line in FROM_NUMBERS.get(own.slug, {}):
        found, stray = FROM_NUMBERS[own.slug][line]
        return own.near(line, float(found(own)), stray)
    if line in TYPICAL.get(own.slug, {}):
        typical = TYPICAL[own.slug][line]
        return own.near(line, typical.value, typical.stray)
    return None
