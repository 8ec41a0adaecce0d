"""Forks without a crown: the upper ends of the blades are turned in and mitered to the steerer.

The picture, seen from the front: from its crossing with the steering axis the shoulder runs out
and down; then the blade turns down, by a bend (a unicrown fork) or by a cut through both pieces (a
segmented fork), and runs on to the axle. The shoulder's axis meets the steering axis; it leans
neither forward nor back.

The lines round the tubes are the blade's: 0° rear, 90° drive side, 180° front, 270° non-drive side.
Follow them round the turn: on the drive-side blade the 90° line lies on top of the shoulder, and
the 270° line underneath.

The joint to the steerer carries all that the rider and the brake put into the fork. It is brazed
like the shell of the frame, with the steerer's wall thick there, and where you can buy a crown and
fit it well, buy it (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import miters
from coursekit.miters import curve
from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.sections import section_of

OBTUSE_DEG = {"drive side": 90.0, "non-drive side": 270.0}  # the line on top of each shoulder


@dataclass(frozen=True)
class Shoulder:
    """The upper end of a blade, from its crossing with the steering axis to its straight part.

    Attributes
    ----------
    steerer : float or array
        Outside diameter of the steerer, mm.
    angle_deg : float or array
        Between the shoulder's axis and the steering axis, both pointing down, degrees.
    stub : float or array
        Straight from the crossing of the axes to the bend, or to the knee, mm.
    radius : float or array
        Of the bend, to the axis, mm; 0 where a knee is cut.
    turn_deg : float or array
        How far the blade turns down, degrees.
    down : float or array
        From the crossing down the steering axis to where the blade's straight part begins, mm.
    """

    steerer: Any
    angle_deg: Any
    stub: Any
    radius: Any
    turn_deg: Any
    down: Any

    @property
    def length(self) -> Any:
        """Along the axis from the crossing to the blade's straight part, mm."""
        return bare(np.add(self.stub, np.multiply(self.radius, np.radians(self.turn_deg))))

    def joint(self, side: str) -> miters.Joint:
        """Return the joint at which the shoulder is cut to fit the steerer.

        Parameters
        ----------
        side : str
            The blade: "drive side" or "non-drive side".

        Returns
        -------
        miters.Joint
            For `miters.cut`, on the blade's own lines; its end a is the upper end.

        Raises
        ------
        ValueError
            "The side must be 'drive side' or 'non-drive side'; got 'left'. …"
        """
        if side not in OBTUSE_DEG:
            raise ValueError(
                f"The side must be 'drive side' or 'non-drive side'; got {side!r}. Name one."
            )
        return miters.Joint(self.steerer, self.angle_deg, turned_deg=OBTUSE_DEG[side])

    def span(self, diameter: ArrayLike) -> tuple[Any, Any]:
        """Return how far the joint reaches along the steerer: (above, below) the crossing.

        Parameters
        ----------
        diameter : float or array
            Of the blade at its upper end, mm, above 0.

        Returns
        -------
        above, below : float or array
            mm. The crown race seat must lie higher than the first, and the steerer reach lower than
            the second; `above` is negative where even the top of the joint lies below the crossing.

        Raises
        ------
        ValueError
            "The diameter must be greater than 0; got …"
        """
        half, big = np.asarray(positive("diameter", diameter)) / 2, np.asarray(self.steerer) / 2
        angle = np.radians(self.angle_deg)
        lower = big * np.cos(angle)
        return bare((half - lower) / np.sin(angle)), bare((half + lower) / np.sin(angle))


def shoulder(
    steerer: ArrayLike,
    spread: ArrayLike,
    angle_deg: ArrayLike,
    splay_deg: ArrayLike = 0.0,
    radius: ArrayLike = 0.0,
) -> Shoulder:
    """Return the shoulder that brings a blade from the steerer out to its straight part.

    Where the straight part begins is `Crown.below` of the fork: the distance from the crown race
    seat to the crossing, and `down`.

    Parameters
    ----------
    steerer : float or array
        Outside diameter of the steerer, mm, above 0.
    spread : float or array
        Between the axes of the two blades where their straight parts begin, mm, above 0.
    angle_deg : float or array
        Between the shoulder's axis and the steering axis, degrees, above the splay and at most 90,
        where the shoulder is square to the steerer.
    splay_deg : float or array
        How far each blade leans out below, degrees.
    radius : float or array
        Of the bend, to the axis, mm; 0 for a knee that is cut.

    Returns
    -------
    Shoulder
        Straight, turn, and where the straight part begins.

    Raises
    ------
    ValueError
        "The shoulder must lean out more than the blade below it, and at most 90°; got …"; "The
        shoulder must be long enough to leave the steerer before it bends; got …"

    References
    ----------
    Derived: a straight and an arc, seen from the front.

    Examples
    --------
    A knee that turns by 60°, 31 mm out from the steering axis: 31/sin 60° along the shoulder.

    >>> one = shoulder(28.6, spread=62.0, angle_deg=60.0)
    >>> round(one.stub, 3), round(one.down, 3), one.turn_deg
    (35.796, 17.898, 60.0)
    >>> shoulder(28.6, spread=62.0, angle_deg=60.0, radius=50.0)
    Traceback (most recent call last):
    ValueError: The shoulder must be long enough to leave the steerer before it bends; got 6.928203
    mm where 16.51222 mm lie inside. Take a smaller radius or a wider fork.
    """
    inside = np.asarray(positive("steerer", steerer), dtype=float) / 2
    half = np.asarray(positive("spread of the blades", spread), dtype=float) / 2
    bend = np.asarray(not_negative("radius of the bend", radius), dtype=float)
    out = np.asarray(number("angle of the shoulder", angle_deg, "degrees"), dtype=float)
    splay = np.asarray(number("splay", splay_deg, "degrees"), dtype=float)
    require(
        (out > splay) & (out <= 90) & (np.abs(splay) < 45),
        "The shoulder must lean out more than the blade below it, and at most 90°; got {out}° and "
        "{splay}°. Measure both from the steering axis.",
        out=out,
        splay=splay,
    )
    upper, lower = np.radians(out), np.radians(splay)
    stub = (half - bend * (np.cos(lower) - np.cos(upper))) / np.sin(upper)
    require(
        stub > inside / np.sin(upper),
        "The shoulder must be long enough to leave the steerer before it bends; got {stub} mm "
        "where {inside} mm lie inside. Take a smaller radius or a wider fork.",
        stub=stub,
        inside=inside / np.sin(upper),
    )
    down = stub * np.cos(upper) + bend * (np.sin(upper) - np.sin(lower))
    return Shoulder(*(bare(v) for v in (steerer, out, stub, bend, out - splay, down)))


def knee(tube: Any, turn_deg: float, inside_deg: float, stations: int = 361) -> tuple[Any, Any]:
    """Return the flat cut of a knee, where two like tubes turn by an angle: (around_deg, along).

    Both tubes are cut the same, along the plane that halves the angle between them.

    Parameters
    ----------
    tube : float, tube or `sections.Section`
        Outside diameter in mm, or a tube, or its outline.
    turn_deg : float
        By how much the axis turns, degrees, above 0 and below 180.
    inside_deg : float
        Line of the tube on the inside of the turn, degrees: 270 on the drive-side blade of a fork,
        90 on the other.
    stations : int
        How many lines, from 0° to 360° inclusive, 2 or more.

    Returns
    -------
    around_deg : array, (stations,)
        Lines of the tube, degrees.
    along : array, (stations,)
        Where each line ends, mm from the crossing of the axes, positive away from the joint.

    Raises
    ------
    ValueError
        "The tubes must turn by more than 0° and less than 180°; got 0°. …"

    References
    ----------
    The plane that halves the angle: along = r·tan(turn/2)·cos(line − inside).

    Examples
    --------
    >>> _, along = knee(24.0, 90.0, inside_deg=270.0, stations=5)
    >>> [round(float(z), 6) + 0.0 for z in along]
    [0.0, -12.0, 0.0, 12.0, 0.0]
    >>> knee(24.0, 0.0, inside_deg=270.0)
    Traceback (most recent call last):
    ValueError: The tubes must turn by more than 0° and less than 180°; got 0°. Leave a straight
    tube whole.
    """
    turn = number("turn", turn_deg, "degrees")
    require(
        0 < turn < 180,
        "The tubes must turn by more than 0° and less than 180°; got {turn}°. Leave a straight "
        "tube whole.",
        turn=turn,
    )
    around = np.linspace(0.0, 360.0, curve.count(stations))
    x, y = section_of(tube).point(around)
    line = np.radians(number("inside line", inside_deg, "degrees"))
    return around, (np.cos(line) * x + np.sin(line) * y) * np.tan(np.radians(turn) / 2)
