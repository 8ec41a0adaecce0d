"""A stay as a body: a centre line and the outside along it. The picture is that of `stays`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from coursekit.pieces import LYING, STANDING
from coursekit.rules import positive, require
from coursekit.sections import Array
from coursekit.stays.bends import Bend
from coursekit.stays.line import CentreLine
from coursekit.stays.oval_distance import from_ellipse
from coursekit.stays.taper import Taper
from coursekit.stays.vectors import TINY

UNDERSIDE, REAR = (0.0, -1.0, 0.0), (-1.0, 0.0, 0.0)
ACROSS = ("underside", "front", "upper side", "rear")  # lines 0°, 90°, 180°, 270° of a bridge
EASY_BEND = 4.0  # bend radius over the tube's size; common practice, no source
_OTHER = {"right": "left", "left": "right"}


class Body(Protocol):
    """What can stand in a stay's way, or be what it is cut to fit."""

    def outside(self, points: Any) -> Array:
        """Return how far points lie outside the body.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative inside.
        """
        ...


@dataclass(frozen=True, eq=False)
class Stay:
    """A stay, a bridge, or any other tube that is bent or tapered.

    Attributes
    ----------
    name : str
        What it is called: "right_chainstay" and the like; a name begins with its side.
    line : CentreLine
        Where it lies.
    taper : Taper
        How thick it is along the line.

    Raises
    ------
    ValueError
        "The bend must be wider than half the tube, or its inner side folds; got a radius of 9 mm
        for a half of 11.1 mm. …"

    Examples
    --------
    >>> line = CentreLine((0, 0, 20), (-1, 0, 0), 400.0, (), UNDERSIDE)
    >>> stay = Stay("right_chainstay", line, Taper((100.0, 400.0), (22.0, 12.0)))
    >>> [round(float(v), 3) + 0.0 for v in stay.surface(250.0, 90.0)]
    [-250.0, 0.0, 28.5]
    >>> bent = CentreLine((0, 0, 20), (-1, 0, 0), 400.0, (Bend(50.0, 9.0, 20.0),), UNDERSIDE)
    >>> Stay("right_chainstay", bent, Taper((0.0,), (22.2,)))
    Traceback (most recent call last):
    ValueError: The bend must be wider than half the tube, or its inner side folds; got a radius of
    9 mm for a half of 11.1 mm. Take a larger radius.
    """

    name: str
    line: CentreLine
    taper: Taper

    def __post_init__(self) -> None:
        for bend in self.line.bends:
            half = self._half_in(bend)
            require(
                bend.radius > half,
                "The bend must be wider than half the tube, or its inner side folds; got a radius "
                "of {radius} mm for a half of {half} mm. Take a larger radius.",
                radius=bend.radius,
                half=half,
            )

    def _half_in(self, bend: Bend) -> float:
        """The greatest half of the tube across a bend, in the bend's plane."""
        inner = [p for p in self.taper.places if bend.at < p < bend.end]
        return float(np.max(self.taper.half_toward([bend.at, *inner, bend.end], bend.toward_deg)))

    @property
    def length(self) -> float:
        """Length along the centre line, mm: that of the straight tube before it is bent."""
        return self.line.length

    @property
    def lines(self) -> tuple[str, str, str, str]:
        """What the lines at 0°, 90°, 180° and 270° are called at end a."""
        zero, way = self.line.zero, self.line.direction
        if abs(way[2]) > max(abs(way[0]), abs(way[1])):
            return ACROSS
        return STANDING if -zero[0] > -zero[1] else LYING

    @property
    def bend_ratios(self) -> tuple[float, ...]:
        """Return each bend's radius over the tube's size in the plane of the bend.

        Below about 4 (`EASY_BEND`; common practice, no source) a thin tube wrinkles on its inner
        side unless it is filled or drawn over a mandrel.

        Returns
        -------
        tuple of float
            One ratio for each bend, in their order.
        """
        return tuple(bend.radius / (2 * self._half_in(bend)) for bend in self.line.bends)

    def surface(self, s: Any, around_deg: Any) -> Array:
        """Return points on the outside of the tube.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a.
        around_deg : float or array
            Lines of the tube, degrees, as in `Taper.outline`.

        Returns
        -------
        array, (…, 3)
            Points in the frame, mm; `s` and `around_deg` broadcast.
        """
        place = self.line.at(s)
        x, y = self.taper.outline(s, around_deg)
        wide = np.broadcast_shapes(np.shape(s), x.shape)
        extra = (1,) * (len(wide) - np.ndim(s))
        spread = [v.reshape(extra + v.shape) for v in (place.point, place.zero, place.ninety)]
        return np.asarray(spread[0] + x[..., None] * spread[1] + y[..., None] * spread[2])

    def outside(self, points: Any) -> Array:
        """Return how far points lie outside the tube, which ends square at both ends.

        From a round tube of any bend or taper the distance is exact as long as the nearest place
        lies on one piece of it. Beside an oval that tapers it is right to the square of the taper's
        slope, and its sign always is.

        Parameters
        ----------
        points : array, (…, 3)
            Points in the frame, mm.

        Returns
        -------
        array
            mm; negative inside.
        """
        points = np.asarray(points, dtype=float)
        s = self.line.nearest(points)
        place = self.line.at(s)
        off = points - place.point
        ahead = np.abs(np.sum(off * place.direction, axis=-1))
        x, y = np.sum(off * place.zero, axis=-1), np.sum(off * place.ninety, axis=-1)
        beside, lean = self._beside(s, x, y)
        past = np.hypot(np.maximum(beside, 0.0), ahead)
        return np.asarray(np.where(ahead > TINY, past, beside / lean))

    def _beside(self, s: Array, x: Array, y: Array) -> tuple[Array, Array]:
        """How far (x, y) of a section lies outside of it, and by what the taper divides that."""
        width, depth = self.taper.sizes(s)
        if self.taper.widths == self.taper.depths:
            far = np.hypot(x, y) - width / 2
            turn = np.arctan2(y, x)
        else:
            far = from_ellipse(x, y, depth / 2, width / 2)
            turn = np.arctan2(y / width, x / depth)
        wider, deeper = self.taper.slopes(s)
        # the outline's normal on the same line, and how fast the outside moves along it
        nx, ny = np.cos(turn) / depth, np.sin(turn) / width
        rise = (deeper * np.cos(turn) * nx + wider * np.sin(turn) * ny) / (2 * np.hypot(nx, ny))
        for dimple in self.taper.dimples:
            side = np.radians(dimple.toward_deg)
            floor = self.taper.half_toward(s, dimple.toward_deg) - dimple.pressed(s)
            far = np.maximum(far, x * np.cos(side) + y * np.sin(side) - floor)
        return np.asarray(far), np.asarray(np.hypot(1.0, rise))

    def bore(self, wall: float) -> Stay:
        """Return the inside of the tube as a body of its own, on the same lines.

        Parameters
        ----------
        wall : float
            mm, above 0 and less than half of the tube everywhere.

        Returns
        -------
        Stay
            The bore; of an oval it is the ellipse whose axes are shorter by two walls.

        Raises
        ------
        ValueError
            "The width must be greater than 0; got -1 mm. Check the number."
        """
        less = 2 * float(positive("wall", wall))
        widths, depths = (
            tuple(size - less for size in sizes) for sizes in (self.taper.widths, self.taper.depths)
        )
        inner = Taper(self.taper.places, widths, depths, self.taper.dimples)
        return Stay(self.name, self.line, inner)

    def mirrored(self) -> Stay:
        """Return the stay of the other side: its mirror image in the frame's plane.

        Line 90° of both lies on the drive side, so a bend toward 90° becomes one toward 270°.

        Returns
        -------
        Stay
            "left_…" for "right_…", and the other way round.

        Raises
        ------
        ValueError
            "The stay's name must begin with its side, right or left; got 'bridge'. …"
        """
        side, _, rest = self.name.partition("_")
        if side not in _OTHER or not rest:
            raise ValueError(
                "The stay's name must begin with its side, right or left; "
                f"got {self.name!r}. Call it right_chainstay or the like."
            )
        line, flip = self.line, np.array([1.0, 1.0, -1.0])
        bends = tuple(
            Bend(b.at, b.radius, b.angle_deg, (360.0 - b.toward_deg) % 360.0) for b in line.bends
        )
        over = CentreLine(
            line.start * flip,
            line.direction * flip,
            line.length,
            bends,
            line.zero * flip,
            -line.ninety * flip,
        )
        return Stay(f"{_OTHER[side]}_{rest}", over, self.taper.mirrored())
