"""One tube of a frame as a piece to cut, and its two ends. The picture is that of `pieces`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit import miters
from coursekit.miters import Joint
from coursekit.rules import require
from coursekit.sections import Array

UPRIGHT = ("head_tube", "seat_tube", "right_seatstay", "left_seatstay")  # line 0° lies at the rear
LEVEL = 1e-9  # mm, and share of a unit vector, that count as none
LYING = ("underside", "drive side", "upper side", "non-drive side")  # lines 0°, 90°, 180°, 270°
STANDING = ("rear", "drive side", "front", "non-drive side")  # the same of the `UPRIGHT` tubes


@dataclass(frozen=True)
class End:
    """One end of a piece.

    Attributes
    ----------
    meets : tuple of str
        Names of the tubes it is cut to fit, the main one first; empty where the end is square.
    joints : tuple of miters.Joint
        The same tubes as joints, on the piece's own lines. Where the piece counts its lines against
        `miters` (`Piece.hand` is −1), they are the mirror image: offset and `turned_deg` have their
        other sign, and the cut on each line is the same.
    along : array, (stations,)
        Where the outside ends, mm from the main crossing of axes, or from the square end.
    touches : array of int, (stations,)
        Which of `joints` each line ends on.
    """

    meets: tuple[str, ...]
    joints: tuple[Joint, ...]
    along: Array
    touches: Any

    @property
    def long_point(self) -> float:
        """Where the tube reaches farthest into the joint, mm, counted as `along`."""
        return float(self.along.min())

    @property
    def short_point(self) -> float:
        """Where the cut goes deepest into the tube, mm, counted as `along`."""
        return float(self.along.max())

    @property
    def depth(self) -> float:
        """From the long point to the short point, mm along the tube; 0 where it is square."""
        return self.short_point - self.long_point

    @property
    def cuts(self) -> tuple[tuple[str, Joint], ...]:
        """Each tube that the end is cut to fit, with its joint, the main one first."""
        used = [j for i, j in enumerate(self.joints) if i == 0 or i in self.touches]
        return tuple(zip(self.meets, used, strict=True))


@dataclass(frozen=True)
class Piece:
    """A tube of the frame as it is cut.

    Attributes
    ----------
    name : str
        Name of the tube in the frame.
    diameter : float
        Outside diameter, mm.
    length : float
        From crossing to crossing of the axes, mm.
    start : array, (3,)
        The crossing at end a, in the frame, mm.
    direction : array, (3,)
        Unit vector from end a to end b.
    zero : array, (3,)
        Unit vector from the axis to line 0°.
    around_deg : array, (stations,)
        Stations of both ends, degrees.
    a, b : End
        The two ends.
    """

    name: str
    diameter: float
    length: float
    start: Array
    direction: Array
    zero: Array
    around_deg: Array
    a: End
    b: End

    @property
    def hand(self) -> float:
        """1 where the lines count counter-clockwise seen from end b, −1 where from end a."""
        return 1.0 if np.cross(self.direction, self.zero)[2] > 0 else -1.0

    @property
    def ninety(self) -> Array:
        """Unit vector from the axis to line 90°, which lies on the drive side of every tube."""
        return np.asarray(self.hand * np.cross(self.direction, self.zero))

    @property
    def lines(self) -> tuple[str, str, str, str]:
        """What the lines at 0°, 90°, 180° and 270° are called."""
        return STANDING if self.name in UPRIGHT else LYING

    @property
    def around(self) -> Array:
        """Arc on the outside from line 0°, mm, at the stations."""
        return np.radians(self.around_deg) * self.diameter / 2

    @property
    def lengths(self) -> Array:
        """Length of the finished piece along each line, mm."""
        return self.length - self.a.along - self.b.along

    @property
    def finished(self) -> float:
        """Return the finished length: along the tube from long point to long point.

        This is what a rule shows from end to end of the cut tube, and the shortest tube that the
        piece comes out of. At a square end it starts at the cut. The two points need not lie on one
        line of the tube, so it may be more than the largest of `lengths`.

        Returns
        -------
        float
            Length along the tube, mm.
        """
        return self.length - self.a.long_point - self.b.long_point

    def end(self, end: str) -> End:
        """Return one of the two ends.

        Parameters
        ----------
        end : str
            "a" or "b".

        Returns
        -------
        End
            That end.
        """
        return {"a": self.a, "b": self.b}[end]

    def bore(self, end: str, wall: float) -> Array:
        """Return where the bore's edge ends.

        Parameters
        ----------
        end : str
            "a" or "b".
        wall : float
            The wall at that end, mm.

        Returns
        -------
        array, (stations,)
            mm, counted as `End.along`.

        Raises
        ------
        ValueError
            "The wall must be less than half the diameter; got 15 mm of 28.6 mm. …"
        """
        require(
            0 < wall < self.diameter / 2,
            "The wall must be less than half the diameter; got {wall} mm of {diameter} mm. Check "
            "both numbers.",
            wall=wall,
            diameter=self.diameter,
        )
        one = self.end(end)
        return along_lines(self.diameter - 2 * wall, one.joints, end, self.around_deg.size)[0]

    def edge(self, end: str) -> Array:
        """Return the edge of the cut in the frame.

        Parameters
        ----------
        end : str
            "a" or "b".

        Returns
        -------
        array, (stations, 3)
            Places in the frame, mm.
        """
        far = self.a.along if end == "a" else self.length - self.b.along
        turn = np.radians(self.around_deg)[:, None]
        out = np.cos(turn) * self.zero + np.sin(turn) * self.ninety
        return self.start + far[:, None] * self.direction + self.diameter / 2 * out

    def outline(self, stations: int = 181) -> Array:
        """Return the outline of the piece as it looks from the drive side, closed.

        It consists of both edges of the tube and, between them, the saddles as they show on the
        drive side.

        Parameters
        ----------
        stations : int
            How many points each saddle has, 2 or more.

        Returns
        -------
        array, (points, 2)
            mm: x forward, y up.
        """
        flank = np.cross(np.array([0.0, 0.0, 1.0]), self.direction)
        start = float(np.degrees(np.arctan2(flank @ self.ninety, flank @ self.zero)))
        way = 1.0 if self._rises(start) else -1.0
        ends = [self._half_edge(e, start, way, stations) for e in "ab"]
        return np.concatenate([ends[0], ends[1][::-1]])

    def _half_edge(self, end: str, start: float, way: float, stations: int) -> Array:
        """Near half of an end's edge, (points, 2); two corners where it is square in the plane."""
        one = self.end(end)
        flat = not one.joints and abs(self.direction[2]) < LEVEL
        turn = np.radians(start + way * np.linspace(0.0, 180.0, 2 if flat else stations))
        x, y = self.diameter / 2 * np.cos(turn), self.diameter / 2 * np.sin(turn)
        reach = _reach(one.joints, x, y, end)
        far = reach if end == "a" else self.length - reach
        out = x[:, None] * self.zero + y[:, None] * self.ninety
        return np.asarray((self.start + far[:, None] * self.direction + out)[:, :2])

    def _rises(self, around_deg: float) -> bool:
        """Whether the lines past this one lie toward the drive side."""
        turn = np.radians(around_deg + 90)
        return bool(np.cos(turn) * self.zero[2] + np.sin(turn) * self.ninety[2] > 0)


def _reach(joints: tuple[Joint, ...], x: Array, y: Array, end: str) -> Array:
    """Where lines through (x, y) of the tube end, mm from the main crossing."""
    if not joints:
        return np.zeros_like(x)
    return np.asarray(np.nanmax([joint.along(x, y, end) for joint in joints], axis=0))


def along_lines(
    diameter: float, joints: tuple[Joint, ...], end: str, stations: int
) -> tuple[Array, Any]:
    """Return where every line of a tube ends, and which joint it ends on.

    Parameters
    ----------
    diameter : float
        Outside diameter of the tube, mm.
    joints : tuple of miters.Joint
        What the end is cut to fit; none for a square end.
    end : str
        "a" or "b".
    stations : int
        How many lines, from 0° to 360° inclusive.

    Returns
    -------
    along : array, (stations,)
        mm from the main crossing.
    touches : array of int, (stations,)
        Number of the joint, from 0.
    """
    if not joints:
        return np.zeros(stations), np.zeros(stations, dtype=int)
    both = miters.cluster(diameter, joints, stations, end)
    return both.along, both.touches
