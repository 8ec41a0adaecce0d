"""A fork that stands upright, as bodies beside its wheel. The picture is `fork`'s.

The fork stands with its steering axis upright, in the directions of `frame`: x is ahead, y up, z to
the drive side, and the origin is the middle of the crown race seat. So tubes and rooms of `stays`
and `rear` hold for it, and the two views of a drawing are x–y and z–y.
"""

from __future__ import annotations

import numpy as np

from coursekit.fork.blade import Blade
from coursekit.fork.drawn import Fork
from coursekit.fork.shoulders import Shoulder
from coursekit.rules import require
from coursekit.sections import Array
from coursekit.stays import Bend, CentreLine, Stay

STRAIGHT = 1e-9  # radians that count as no lean
SAME = 1e-3  # mm by which a blade's length may differ from what it must be


def blade_stay(fork: Fork, blade: Blade, shoulder: Shoulder | None = None) -> Stay:
    """Return the blade on the drive side as a body; `Stay.mirrored` gives the other one.

    Its lines are the blade's: 0° rear, 90° drive side, 180° front, 270° non-drive side. With a
    shoulder that is bent, the centre line begins where it crosses the steering axis.

    Parameters
    ----------
    fork : Fork
        As drawn: one fork, not a batch.
    blade : Blade
        The blade, cut to its length: the fork's `blade_length`, and the shoulder's if there is one.
    shoulder : Shoulder, optional
        The bent upper end of a unicrown fork.

    Returns
    -------
    stays.Stay
        "right_blade"; its end a is the upper end.

    Raises
    ------
    ValueError
        "The blade must be cut to its length; got 400 mm for 345.6 mm. …"; "The shoulder must be
        bent; got a knee. …"; "The blades of a unicrown fork must run straight down before they are
        raked; …"

    Examples
    --------
    >>> from coursekit.fork import Crown, Dropout, raked, tapered
    >>> crown, ends = Crown(below=20.0, spread=62.0), Dropout(22.0, spacing=100.0, thickness=6.0)
    >>> one = raked(380.0, 45.0, crown, ends, radius=200.0, tail=15.0)
    >>> whole = tapered(400.0, top=24.0, tip=12.0, straight=200.0, wall=0.9)
    >>> stay = blade_stay(one, whole.cut(one.blade_length))
    >>> [round(float(v), 2) for v in stay.line.at(stay.length).point]  # as `points["tip"]`
    [34.04, -358.29, 51.83]
    >>> blade_stay(one, whole)
    Traceback (most recent call last):
    ValueError: The blade must be cut to its length; got 400 mm for 345.5786 mm. Call cut first.
    """
    above = 0.0 if shoulder is None else float(shoulder.length)
    wanted = float(fork.blade_length) + above
    require(
        abs(blade.length - wanted) < SAME,
        "The blade must be cut to its length; got {got} mm for {wanted} mm. Call cut first.",
        got=blade.length,
        wanted=wanted,
    )
    lean, splay = np.radians(float(fork.crown.angle_deg)), np.radians(float(fork.splay_deg))
    down = np.array([0.0, -np.cos(splay), np.sin(splay)])  # straight down in the blade's plane
    way = np.sin(lean) * np.array([1.0, 0.0, 0.0]) + np.cos(lean) * down
    rear = np.sin(lean) * down - np.cos(lean) * np.array([1.0, 0.0, 0.0])
    ahead, below, side = (float(v) for v in fork.points["socket"])
    start, rake = np.array([ahead, -below, side]), fork.bend.marked()
    if shoulder is not None:
        require(
            abs(lean) < STRAIGHT,
            "The blades of a unicrown fork must run straight down before they are raked; got a "
            "lean of {lean}°. Rake them, or take dropouts that lie as far ahead as the offset.",
            lean=round(float(fork.crown.angle_deg), 2),
        )
        return _from_shoulder(start, rake, shoulder, blade)
    return Stay("right_blade", CentreLine(start, way, blade.length, rake, rear), blade.taper)


def _from_shoulder(socket: Array, rake: tuple[Bend, ...], shoulder: Shoulder, blade: Blade) -> Stay:
    """The blade from where its shoulder crosses the steering axis."""
    require(
        shoulder.radius > 0,
        "The shoulder must be bent; got a knee. Draw its two pieces apart.",
    )
    turn, above = np.radians(float(shoulder.angle_deg)), float(shoulder.length)
    start = np.array([0.0, socket[1] + float(shoulder.down), 0.0])
    first = Bend(
        float(shoulder.stub), float(shoulder.radius), float(shoulder.turn_deg), 270.0
    )  # toward the wheel
    bends = (first, *(Bend(b.at + above, b.radius, b.angle_deg, b.toward_deg) for b in rake))
    way = np.array([0.0, -np.cos(turn), np.sin(turn)])
    line = CentreLine(start, way, blade.length, bends, (-1.0, 0.0, 0.0))
    return Stay("right_blade", line, blade.taper)
