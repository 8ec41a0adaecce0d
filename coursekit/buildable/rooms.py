"""Room for the tyres and for the chainring beside the tubes."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts, Ring
from coursekit.frame import Frame, TubeAxis
from coursekit.sections import Array

TYRE_LEAST = 1.6  # mm from tyre to frame, 16 CFR 1512.11(b), 1/16 in
TYRE_EASY = 4.0  # mm for a wheel that is a little out of true; common practice, no source
RING_LEAST = 1.0  # mm from chainring to stay; common practice, no source
RING_EASY = 3.0  # mm, as frame and cranks give under load; common practice, no source
RING_HALF = 1.0  # mm, half the thickness of a chainring; common practice, no source
BEHIND = ("seat_tube", "right_chainstay", "right_seatstay")


def findings(frame: Frame, parts: Parts) -> Iterator[Finding]:
    """Return where a tyre or the chainring comes too near to a tube.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    parts : Parts
        Tyre and chainring count.

    Yields
    ------
    Finding
        Each of them.
    """
    assert frame.tubes is not None
    axes = frame.tubes.axes
    if parts.tyre is not None:
        for axle, radius, names in (
            ("rear_axle", frame.rear_radius, BEHIND),
            ("front_axle", frame.front_radius, ("down_tube",)),
        ):
            middle = np.array([*map(float, frame.points[axle]), 0.0])
            for name in (n for n in names if n in axes):
                room = tyre_room(axes[name], middle, float(radius), parts.tyre)
                yield from _tyre(name, axle.split("_")[0], room)
    if parts.ring is not None and "right_chainstay" in axes:
        yield from _ring(ring_room(axes["right_chainstay"], parts.ring))


def tyre_room(axis: TubeAxis, middle: Array, radius: float, width: float) -> float:
    """Return the room between a tyre, as a ring of round section, and a round tube.

    Parameters
    ----------
    axis : TubeAxis
        The tube.
    middle : array, (3,)
        Middle of the wheel, which stands in the frame's plane, mm.
    radius : float
        Of the wheel with its tyre, mm.
    width : float
        Of the tyre, mm.

    Returns
    -------
    float
        mm; negative where they overlap.
    """

    def apart(points: Array) -> Array:
        off = points - middle
        core = np.hypot(off[:, 0], off[:, 1]) - (radius - width / 2)
        return np.asarray(np.hypot(core, off[:, 2]))

    return _least(apart, axis) - width / 2 - float(axis.diameter) / 2


def ring_room(axis: TubeAxis, ring: Ring) -> float:
    """Return the room between a chainring and a round stay.

    Parameters
    ----------
    axis : TubeAxis
        The stay on the drive side.
    ring : Ring
        The chainring.

    Returns
    -------
    float
        mm; negative where they overlap.
    """

    def apart(points: Array) -> Array:
        out = np.hypot(points[:, 0], points[:, 1]) - ring.radius
        side = ring.chainline - points[:, 2]
        return np.where(out <= 0, side, np.hypot(out, side))

    return _least(apart, axis) - RING_HALF - float(axis.diameter) / 2


def _least(apart: Callable[[Array], Array], axis: TubeAxis) -> float:
    """The least of a distance along an axis, by looking ever closer at the nearest place."""
    low, high = 0.0, 1.0
    for _ in range(4):
        share = np.linspace(low, high, 801)
        far = apart(axis.start + share[:, None] * (axis.end - axis.start))
        near = int(np.argmin(far))
        low, high = share[max(near - 1, 0)], share[min(near + 1, share.size - 1)]
    return float(far[near])


def _tyre(name: str, wheel: str, room: float) -> Iterator[Finding]:
    where = _plural(name)
    cure = "Take a narrower tyre, or move the tube or the axle."
    if name.startswith("right_"):
        cure = "Take a narrower tyre, or set the stays farther apart or thinner beside it."
    if room < TYRE_LEAST:
        what = f"the {wheel} tyre comes too near"
        yield Finding(what, where, TYRE_LEAST - room, "mm", cure)
    elif room < TYRE_EASY:
        yield Finding(
            f"the {wheel} tyre has little room",
            where,
            TYRE_EASY - room,
            "mm",
            cure,
            "It turns free only while the wheel is true and stands in the middle.",
        )


def _ring(room: float) -> Iterator[Finding]:
    cure = "Take fewer teeth or a wider chainline, or set the stays closer together at the shell."
    if room < RING_LEAST:
        missing = RING_LEAST - room
        yield Finding("the chainring comes too near", "chainstay, drive side", missing, "mm", cure)
    elif room < RING_EASY:
        yield Finding(
            "the chainring has little room",
            "chainstay, drive side",
            RING_EASY - room,
            "mm",
            cure,
            "Under a hard foot frame and cranks give, and then it may graze the stay.",
        )


def _plural(name: str) -> str:
    plain = name.removeprefix("right_").replace("_", " ")
    return f"{plain}s" if name.startswith("right_") else plain
