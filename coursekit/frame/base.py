"""The frame's closed forms: from twelve basic dimensions to every point and every other dimension.

The origin is at the bottom bracket, with x forward and y up. Each function takes `b`, the basic
dimensions by name, in mm and degrees, and returns mm unless it says otherwise. The numbers may be
arrays, or complex numbers whose imaginary part is a tiny step: then the derivative comes out
without rounding (Squire & Trapp 1998, SIAM Review 40, 110–112), which is how the solver and the
error budgets get their slopes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from coursekit.rules import not_negative, number, positive, require

BASIC = (
    "seat_angle_deg",
    "head_angle_deg",
    "chainstay",
    "bb_drop",
    "rear_radius",
    "front_radius",
    "fork_length",
    "fork_offset",
    "lower_stack",
    "head_tube",
    "seat_tube",
    "front_centre",
)
STEP = 1e-30  # of the complex step; no difference is taken, so no digits are lost

MAY_BE_ZERO = ("fork_offset", "lower_stack")
_ANGLES = {"seat_angle_deg": "seat", "head_angle_deg": "head"}

Base = Mapping[str, Any]
Point = tuple[Any, Any]


def _sin(deg: Any) -> Any:
    return np.sin(deg * (np.pi / 180))


def _cos(deg: Any) -> Any:
    return np.cos(deg * (np.pi / 180))


def root(value: Any) -> Any:
    """Return the square root, or nan without a warning where a search has gone out of bounds."""
    with np.errstate(invalid="ignore"):
        return np.sqrt(value)


def rear_axle(b: Base) -> Point:
    """Return the point where the chainstay, swung round the bottom bracket, reaches the drop."""
    return -root(b["chainstay"] ** 2 - b["bb_drop"] ** 2), b["bb_drop"]


def front_axle_height(b: Base) -> Any:
    """Return the height of the front axle above the bottom bracket.

    Both wheels stand on one level ground, so the drop and the two radii decide it.
    """
    return b["bb_drop"] - b["rear_radius"] + b["front_radius"]


def front_axle(b: Base) -> Point:
    """Return the front axle, which is the front centre away from the bottom bracket, and ahead."""
    height = front_axle_height(b)
    return root(b["front_centre"] ** 2 - height**2), height


def steering(b: Base) -> tuple[Point, Point]:
    """Return the steering axis: its point nearest the front axle, and its direction up and back."""
    s, c = _sin(b["head_angle_deg"]), _cos(b["head_angle_deg"])
    x, y = front_axle(b)
    return (x - b["fork_offset"] * s, y - b["fork_offset"] * c), (-c, s)


def crown_rise(b: Base) -> Any:
    """Return how far up the axis the crown race seat lies from the point nearest the front axle."""
    return root(b["fork_length"] ** 2 - b["fork_offset"] ** 2)


def on_axis(b: Base, rise: Any) -> Point:
    """Return the point of the steering axis that lies `rise` above the foot of the front axle."""
    (x, y), (ux, uy) = steering(b)
    return x + rise * ux, y + rise * uy


def head_low(b: Base) -> Point:
    """Return the centre of the head tube's lower face."""
    return on_axis(b, crown_rise(b) + b["lower_stack"])


def head_high(b: Base) -> Point:
    """Return the centre of the head tube's upper face."""
    return on_axis(b, crown_rise(b) + b["lower_stack"] + b["head_tube"])


def seat_top(b: Base) -> Point:
    """Return the centre of the seat tube's top."""
    return -b["seat_tube"] * _cos(b["seat_angle_deg"]), b["seat_tube"] * _sin(b["seat_angle_deg"])


def ground(b: Base) -> Any:
    """Return the height of the ground, which is below the bottom bracket and so negative."""
    return b["bb_drop"] - b["rear_radius"]


def trail(b: Base) -> Any:
    """Return the trail, (Rf cos η − f) / sin η.

    It runs along the ground from the front contact forward to the axis, and is negative where the
    axis meets the ground behind the contact.
    """
    return mechanical_trail(b) / _sin(b["head_angle_deg"])


def mechanical_trail(b: Base) -> Any:
    """Return Rf cos η − f, the front contact's distance square to the steering axis."""
    return b["front_radius"] * _cos(b["head_angle_deg"]) - b["fork_offset"]


def wheel_flop(b: Base) -> Any:
    """Return trail · sin η · cos η."""
    return mechanical_trail(b) * _cos(b["head_angle_deg"])


def wheelbase(b: Base) -> Any:
    """Return the distance from axle to axle along the ground."""
    return front_axle(b)[0] - rear_axle(b)[0]


def top_tube_level(b: Base) -> Any:
    """Return the level distance from the head tube's top centre back to the seat axis."""
    x, y = head_high(b)
    return x + y * _cos(b["seat_angle_deg"]) / _sin(b["seat_angle_deg"])


DERIVED: dict[str, Callable[[Base], Any]] = {
    "wheelbase": wheelbase,
    "stack": lambda b: head_high(b)[1],
    "reach": lambda b: head_high(b)[0],
    "top_tube_level": top_tube_level,
    "bb_height": lambda b: -ground(b),
    "trail": trail,
    "mechanical_trail": mechanical_trail,
    "wheel_flop": wheel_flop,
}


def value(b: Base, name: str) -> Any:
    """Return a dimension by its name, basic or derived."""
    return DERIVED[name](b) if name in DERIVED else b[name]


def _centre_from(x: Any, b: Base) -> Any:
    """Front centre of a frame whose front axle lies `x` ahead of the bottom bracket."""
    require(
        np.asarray(x) > 0,
        "The front axle must lie ahead of the bottom bracket; got {x} mm ahead. Lengthen the "
        "wheelbase, the reach or the top tube.",
        x=x,
    )
    return root(x**2 + front_axle_height(b) ** 2)


def _behind(b: Base) -> Any:
    """How far the head tube's top centre lies behind the front axle."""
    level = {**b, "front_centre": np.abs(front_axle_height(b)) + 1.0}
    return front_axle(level)[0] - head_high(level)[0]


def _seat_angle(b: Base, top: Any) -> Any:
    x, y = head_high(b)
    return np.degrees(np.arctan2(y, top - x))


def _fork_offset(b: Base, mechanical_trail: Any) -> Any:
    return b["front_radius"] * _cos(b["head_angle_deg"]) - mechanical_trail


def _head_tube(b: Base, stack: Any) -> Any:
    return b_rise(b, stack) - crown_rise(b) - b["lower_stack"]


def b_rise(b: Base, height: Any) -> Any:
    """Return how far up the steering axis it reaches a height above the bottom bracket."""
    s, c = _sin(b["head_angle_deg"]), _cos(b["head_angle_deg"])
    return (height - front_axle_height(b) + b["fork_offset"] * c) / s


def _reach_of(b: Base, top: Any) -> Any:
    height = DERIVED["stack"]({**b, "front_centre": np.abs(front_axle_height(b)) + 1.0})
    return top - height * _cos(b["seat_angle_deg"]) / _sin(b["seat_angle_deg"])


Rule = tuple[str, str, Callable[[Base, Any], Any]]

# (given, found, how): `found` must be the only basic dimension of `given` that is not known yet
RULES: tuple[Rule, ...] = (
    ("bb_height", "bb_drop", lambda b, v: b["rear_radius"] - v),
    ("mechanical_trail", "fork_offset", _fork_offset),
    ("trail", "fork_offset", lambda b, v: _fork_offset(b, v * _sin(b["head_angle_deg"]))),
    ("wheel_flop", "fork_offset", lambda b, v: _fork_offset(b, v / _cos(b["head_angle_deg"]))),
    ("stack", "head_tube", _head_tube),
    ("wheelbase", "front_centre", lambda b, v: _centre_from(v + rear_axle(b)[0], b)),
    ("reach", "front_centre", lambda b, v: _centre_from(v + _behind(b), b)),
    ("top_tube_level", "front_centre", lambda b, v: _centre_from(_reach_of(b, v) + _behind(b), b)),
    ("top_tube_level", "seat_angle_deg", _seat_angle),
)

_STEER = {"head_angle_deg", "bb_drop", "rear_radius", "front_radius", "fork_offset"}
_HEAD = _STEER | {"fork_length", "lower_stack", "head_tube"}
_TRAIL = {"head_angle_deg", "front_radius", "fork_offset"}

# the basic dimensions that each derived one depends on
NEEDS: dict[str, set[str]] = {
    "bb_height": {"bb_drop", "rear_radius"},
    "mechanical_trail": _TRAIL,
    "trail": _TRAIL,
    "wheel_flop": _TRAIL,
    "stack": _HEAD,
    "wheelbase": {"chainstay", "bb_drop", "rear_radius", "front_radius", "front_centre"},
    "reach": _HEAD | {"front_centre"},
    "top_tube_level": _HEAD | {"front_centre", "seat_angle_deg"},
}


def refuse_bad(b: Base) -> None:
    """Refuse basic dimensions that belong to no frame; some of the twelve may be missing.

    Raises
    ------
    ValueError
        The message of the first rule that is broken.
    """
    for name in (n for n in BASIC if n in b and n not in (*_ANGLES, "bb_drop")):
        (not_negative if name in MAY_BE_ZERO else positive)(name, b[name])
    for name, word in _ANGLES.items():
        if name in b:
            angle = np.asarray(number(name, b[name], "degrees"))
            require(
                (angle > 45) & (angle <= 90),
                "The {word} angle must lie between 45° and 90° from the horizontal; got {angle}°. "
                "If it was measured from the vertical, take it from 90°.",
                angle=angle,
                word=word,
            )
    if "bb_drop" in b:
        number("bb_drop", b["bb_drop"])
    _refuse_short(b)


def _refuse_short(b: Base) -> None:
    if {"chainstay", "bb_drop"} <= b.keys():
        require(
            np.abs(b["bb_drop"]) < b["chainstay"],
            "The chainstay must be longer than the drop, or it cannot reach the axle; got a "
            "chainstay of {stay} mm and a drop of {drop} mm. Check both numbers.",
            stay=b["chainstay"],
            drop=b["bb_drop"],
        )
    if {"fork_length", "fork_offset"} <= b.keys():
        require(
            np.less(b["fork_offset"], b["fork_length"]),
            "The fork must be longer than its offset; got a length of {length} mm and an offset "
            "of {offset} mm. Check both numbers.",
            length=b["fork_length"],
            offset=b["fork_offset"],
        )
    if {"front_centre", "bb_drop", "rear_radius", "front_radius"} <= b.keys():
        height = front_axle_height(b)
        require(
            np.abs(height) < b["front_centre"],
            "The front centre must be longer than the front axle's height above the bottom "
            "bracket; got {centre} mm and {height} mm. Check the drop, both radii and the front "
            "centre.",
            centre=b["front_centre"],
            height=height,
        )


def refuse_unbuildable(b: Base) -> None:
    """Refuse a whole frame whose wheels or tubes would run into each other.

    Raises
    ------
    ValueError
        As `refuse_bad`; "The wheelbase must be longer than both wheel radii together; got …"; "The
        head tube must stand ahead of the seat tube; got …"
    """
    refuse_bad(b)
    base, wheels = wheelbase(b), b["rear_radius"] + b["front_radius"]
    require(
        base > wheels,
        "The wheelbase must be longer than both wheel radii together; got a wheelbase of "
        "{base} mm and radii of {wheels} mm in all. Lengthen the chainstay or the front "
        "centre.",
        base=base,
        wheels=wheels,
    )
    top = top_tube_level(b)
    require(
        top > 0,
        "The head tube must stand ahead of the seat tube; got a level top tube of {top} mm. "
        "Lengthen the front centre or check the angles.",
        top=top,
    )
