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


@dataclass(frozen=True)
class End:
    """One end of a piece.

    `meets`, names of the tubes it is cut to fit, the main one first, none where it is square;
    `joints`, the same as `miters.Joint`; `along`, mm from the main crossing of axes (or from the
    square end) to where the outside ends, on the piece's stations; `touches`, which of `joints`
    rules there.
    """

    meets: tuple[str, ...]
    joints: tuple[Joint, ...]
    along: Array
    touches: Any

    @property
    def depth(self) -> float:
        """From the longest to the shortest line of the cut, mm; 0 where it is square."""
        return float(self.along.max() - self.along.min())


@dataclass(frozen=True)
class Piece:
    """A tube of the frame as it is cut: `diameter` and `length` (crossing to crossing of the axes), mm.

    `start`, the crossing at end a, (3,) mm in the frame; `direction`, unit vector from a to b;
    `zero`, unit vector from the axis to line 0°; `around_deg`, the stations of both ends.
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
    def ninety(self) -> Array:
        """Unit vector from the axis to line 90°."""
        return np.asarray(np.cross(self.direction, self.zero))

    @property
    def around(self) -> Array:
        """Arc on the outside from line 0°, mm, at the stations."""
        return np.radians(self.around_deg) * self.diameter / 2

    @property
    def lengths(self) -> Array:
        """Length of the finished piece along each line, mm."""
        return self.length - self.a.along - self.b.along

    @property
    def blank(self) -> float:
        """Shortest tube that the piece comes out of, mm: from its farthest ear to its farthest ear."""
        return float(self.length - self.a.along.min() - self.b.along.min())

    def end(self, end: str) -> End:
        """End "a" or end "b"."""
        return {"a": self.a, "b": self.b}[end]

    def bore(self, end: str, wall: float) -> Array:
        """Where the bore's edge ends, mm as `End.along`, for the wall at that end, mm.

        Raises ValueError: "The wall must be less than half the diameter; got 15 mm of 28.6 mm. …"
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
        """The edge of the cut in the frame, (stations, 3) mm."""
        far = self.a.along if end == "a" else self.length - self.b.along
        turn = np.radians(self.around_deg)[:, None]
        out = np.cos(turn) * self.zero + np.sin(turn) * self.ninety
        return self.start + far[:, None] * self.direction + self.diameter / 2 * out

    def outline(self, stations: int = 181) -> Array:
        """Its outline seen from the drive side, closed, (points, 2) mm: x forward, y up.

        Both edges of the tube and, between them, the saddles as they show on the drive side.
        """
        flank = np.cross(np.array([0.0, 0.0, 1.0]), self.direction)
        start = float(np.degrees(np.arctan2(flank @ self.ninety, flank @ self.zero)))
        way = 1.0 if self._rises(start) else -1.0
        ends = [self._half_edge(e, start, way, stations) for e in "ab"]
        return np.concatenate([ends[0], ends[1][::-1]])

    def _half_edge(self, end: str, start: float, way: float, stations: int) -> Array:
        """The near half of an end's edge, (points, 2); of a square end in the plane its two corners."""
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

    @property
    def lines(self) -> tuple[str, str, str, str]:
        """What the lines at 0°, 90°, 180° and 270° are called."""
        near, far = ("rear", "front") if self.name in UPRIGHT else ("underside", "upper side")
        first, second = "drive side", "non-drive side"
        return (near, first, far, second) if self.ninety[2] > 0 else (near, second, far, first)


def _reach(joints: tuple[Joint, ...], x: Array, y: Array, end: str) -> Array:
    """Where lines through (x, y) of the tube end, mm from the main crossing."""
    if not joints:
        return np.zeros_like(x)
    return np.asarray(np.nanmax([joint.along(x, y, end) for joint in joints], axis=0))


def along_lines(
    diameter: float, joints: tuple[Joint, ...], end: str, stations: int
) -> tuple[Array, Any]:
    """Where every line of a tube ends, mm from the main crossing, and which joint rules there."""
    if not joints:
        return np.zeros(stations), np.zeros(stations, dtype=int)
    both = miters.cluster(diameter, joints, stations, end)
    return both.along, both.touches
