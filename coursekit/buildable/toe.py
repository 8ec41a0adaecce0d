"""Toe to tyre, by the rule as it is written."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Pedals
from coursekit.frame import TOE_CLEARANCE_US, Frame
from coursekit.rules import not_negative, positive
from coursekit.sections import Array

STATIONS = 721  # places of the crank in each look at its turn
HALVINGS = 60


def pedal_to_tyre(frame: Frame, crank: float, out: float) -> float:
    """Return the least level distance from a pedal's centre forward to the arc the tyre sweeps.

    The front wheel is turned about the steering axis by up to 90° to either side, and the pedal
    goes all the way round. From every place of the pedal the distance is taken level and parallel
    to the frame's plane, `out` to the side of it, up to where the sweep begins. The width of the
    tyre doesn't count, because the sweep is bounded by the middle of its tread.

    Parameters
    ----------
    frame : Frame
        One frame.
    crank : float
        From the bottom bracket to the pedal's axle, mm, above 0.
    out : float
        From the frame's plane to the middle of the pedal, mm, 0 or more.

    Returns
    -------
    float
        mm; negative where the pedal gets into the sweep, and infinite where the sweep never comes
        as far out as the pedal.

    Raises
    ------
    ValueError
        "The crank must be greater than 0; got 0 mm. Check the number."

    References
    ----------
    16 CFR 1512.17(d): measured forward and parallel to the longitudinal axis, from the centre of
    either pedal to the arc swept by the tyre.

    Examples
    --------
    In the frame's plane, 600 − 340 − 170 is 90, and the level distance is a little more:

    >>> from coursekit.frame import draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70, wheel_radius=340,
    ...          fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550,
    ...          front_centre=600)
    >>> round(pedal_to_tyre(f, 170, 0), 1), round(pedal_to_tyre(f, 170, 150), 1)
    (90.7, 132.2)
    >>> pedal_to_tyre(f, 0, 150)
    Traceback (most recent call last):
    ValueError: The crank must be greater than 0; got 0 mm. Check the number.
    """
    crank, out = positive("crank", crank), not_negative("distance to the pedal", out)
    low, high = -180.0, 180.0
    for _ in range(4):
        turn = np.linspace(low, high, STATIONS)
        x, y = crank * np.cos(np.radians(turn)), crank * np.sin(np.radians(turn))
        gap = _sweep_begins(frame, y, float(out)) - x
        near = int(np.argmin(gap))
        low, high = turn[max(near - 1, 0)], turn[min(near + 1, STATIONS - 1)]
    return float(gap[near])


def _sweep_begins(frame: Frame, y: Array, out: float) -> Array:
    """Where a level line at height `y`, `out` beside the frame, meets the sweep from behind, x.

    Seen from the steering axis a point of the sweep has the distance and the height of a point of
    the tyre in the frame's plane. The rear of the wheel ends at a circle about the axle, which
    stands the fork's offset ahead of the axis. `beyond` is below 0 within; along the line it is the
    sum of a square and of the length of a vector, so it falls to its least and then rises.
    """
    foot = np.array([float(v) for v in frame.points["steer_foot"]])
    lean, radius = np.radians(float(frame.head_angle_deg)), float(frame.front_radius)
    offset, up = float(frame.fork_offset), y - foot[1]

    def beyond(x: Array) -> Array:
        ahead = x - foot[0]
        square = ahead * np.sin(lean) + up * np.cos(lean)
        far = ahead**2 + up**2 + out**2 + offset**2 - radius**2
        return np.asarray(far + 2 * offset * np.hypot(square, out))

    low, high = (
        np.full_like(y, foot[0] - 2 * radius - abs(offset)),
        np.full_like(y, foot[0] + radius),
    )
    for _ in range(HALVINGS + 30):  # the least of `beyond`, by thirds
        one, other = low + (high - low) / 3, high - (high - low) / 3
        nearer = beyond(one) < beyond(other)
        low, high = np.where(nearer, low, one), np.where(nearer, other, high)
    inner = (low + high) / 2
    reached = beyond(inner) <= 0
    outer = np.full_like(y, foot[0] - 2 * radius - abs(offset))
    for _ in range(HALVINGS):
        middle = (outer + inner) / 2
        within = beyond(middle) <= 0
        outer, inner = np.where(within, outer, middle), np.where(within, middle, inner)
    return np.where(reached, (outer + inner) / 2, np.inf)


def findings(frame: Frame, pedals: Pedals | None) -> Iterator[Finding]:
    """Return whether the frame breaks the rule for pedals that don't hold the foot.

    Parameters
    ----------
    frame : Frame
        One frame.
    pedals : Pedals or None
        Cranks and pedals.

    Yields
    ------
    Finding
        At most one.
    """
    if pedals is None or pedals.hold_foot:
        return
    missing = TOE_CLEARANCE_US - pedal_to_tyre(frame, pedals.crank, pedals.out)
    if missing > 0:
        yield Finding(
            "the pedal comes too near to the sweep of the front tyre (16 CFR 1512.17(d))",
            "front wheel and pedals",
            missing,
            "mm",
            "Lengthen the front centre, take shorter cranks or a smaller wheel, or fit pedals that "
            "hold the foot.",
        )
