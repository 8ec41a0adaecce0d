"""The outside of a stay along its length: round, oval, tapered, dimpled. See `stays`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.sections import Array
from coursekit.stays.dimple import Dimple


@dataclass(frozen=True)
class Taper:
    """The outside of a tube: an ellipse at each of some places, and straight lines in between.

    Looking along the tube, `widths` are the outside axes from line 90° to line 270° and `depths`
    those from line 0° to line 180°. Before the first place and after the last one, the tube goes on
    as it is there.

    Attributes
    ----------
    places : tuple of float
        mm along the centre line from end a, rising.
    widths : tuple of float
        Outside axis from side to side at each place, mm, above 0.
    depths : tuple of float
        The outside axis square to it, mm, above 0; without it the tube is round.
    dimples : tuple of Dimple
        What is pressed in.

    Raises
    ------
    ValueError
        "The places must rise along the tube; got 40 mm after 100 mm. …"; "The taper must have as
        many widths as places; got 1 for 2. …"; "The dimple must not reach past the middle of the
        tube; …"

    Examples
    --------
    >>> stay = Taper((0.0, 100.0, 300.0), (22.2, 22.2, 12.2))
    >>> [float(round(v, 3)) for v in stay.sizes(200.0)]
    [17.2, 17.2]
    >>> Taper((100.0, 40.0), (22.2, 12.0))
    Traceback (most recent call last):
    ValueError: The places must rise along the tube; got 40 mm after 100 mm. Count them from end a.
    """

    places: tuple[float, ...]
    widths: tuple[float, ...]
    depths: tuple[float, ...] = ()
    dimples: tuple[Dimple, ...] = ()

    def __post_init__(self) -> None:
        if not self.places:
            raise ValueError("The taper must have a place; got none. Give its size at end a.")
        depths = self.depths or self.widths
        for name, many in (("widths", self.widths), ("depths", depths)):
            require(
                len(many) == len(self.places),
                "The taper must have as many {name} as places; got {many} for {places}. Give one "
                "for each place.",
                name=name,
                many=len(many),
                places=len(self.places),
            )
        places = np.asarray(number("place", list(self.places)), dtype=float)
        require(
            np.diff(places) > 0,
            "The places must rise along the tube; got {later} mm after {before} mm. Count them "
            "from end a.",
            later=places[1:],
            before=places[:-1],
        )
        positive("width", list(self.widths))
        positive("depth", list(depths))
        for name in ("places", "widths", "dimples"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        object.__setattr__(self, "depths", tuple(depths))
        for dimple in self.dimples:
            self._refuse_deep(dimple)

    def _refuse_deep(self, dimple: Dimple) -> None:
        half = self.half_toward(dimple.at, dimple.toward_deg)
        require(
            dimple.depth < half,
            "The dimple must not reach past the middle of the tube; got {depth} mm into a half of "
            "{half} mm. Press it less, or take a wider tube.",
            depth=dimple.depth,
            half=half,
        )

    def sizes(self, s: Any) -> tuple[Array, Array]:
        """Return the two outside axes at a place, the dimples left out.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a.

        Returns
        -------
        width, depth : array
            mm.
        """
        s = np.asarray(number("place", s), dtype=float)
        return np.interp(s, self.places, self.widths), np.interp(s, self.places, self.depths)

    def slopes(self, s: Any) -> tuple[Array, Array]:
        """Return by how much the two outside axes grow with each mm toward end b.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a.

        Returns
        -------
        width, depth : array
            mm a mm; at a place where the taper changes, what follows it.
        """
        s = np.asarray(number("place", s), dtype=float)
        step = np.diff(self.places)
        which = np.searchsorted(self.places, s, side="right")
        wider, deeper = (
            np.concatenate([[0.0], np.diff(axis) / step, [0.0]])[which]
            for axis in (self.widths, self.depths)
        )
        return wider, deeper

    def half_toward(self, s: Any, around_deg: Any) -> Array:
        """Return how far the tube reaches in some direction across it, the dimples left out.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a.
        around_deg : float or array
            Direction, degrees from line 0° to line 90°.

        Returns
        -------
        array
            mm from the centre line.
        """
        width, depth = self.sizes(s)
        turn = np.radians(number("direction", around_deg, "degrees"))
        return np.asarray(np.hypot(depth / 2 * np.cos(turn), width / 2 * np.sin(turn)))

    def outline(self, s: Any, around_deg: Any) -> tuple[Array, Array]:
        """Return where the lines of the tube lie in its section.

        A line keeps its share of both half axes: x = depth/2 · cos φ, y = width/2 · sin φ. So on a
        straight piece of a tapered tube every line is straight. On a round tube φ is the plain
        angle, and on an oval the four lines at 0°, 90°, 180° and 270° lie on its axes. Where a
        dimple cuts the line off, the point comes straight in to the dimple's floor.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a.
        around_deg : float or array
            φ, degrees.

        Returns
        -------
        x, y : array
            mm from the centre line towards line 0° and towards line 90°.
        """
        width, depth = self.sizes(s)
        turn = np.radians(number("line", around_deg, "degrees"))
        x, y = depth / 2 * np.cos(turn), width / 2 * np.sin(turn)
        for dimple in self.dimples:
            side = np.radians(dimple.toward_deg)
            floor = self.half_toward(s, dimple.toward_deg) - dimple.pressed(s)
            over = np.maximum(x * np.cos(side) + y * np.sin(side) - floor, 0.0)
            x, y = x - over * np.cos(side), y - over * np.sin(side)
        return x, y

    def cut(self, from_a: float) -> Taper:
        """Return the taper of a tube that was shortened at end a.

        Parameters
        ----------
        from_a : float
            What comes off end a, mm; negative where the centre line begins before the tube does.

        Returns
        -------
        Taper
            The same sizes, counted from the new end a.
        """
        off = float(number("cut at a", from_a))
        return Taper(
            tuple(place - off for place in self.places),
            self.widths,
            self.depths,
            tuple(Dimple(d.at - off, d.length, d.depth, d.toward_deg) for d in self.dimples),
        )

    def mirrored(self) -> Taper:
        """Return the taper of the tube on the other side: the dimples change sides."""
        return Taper(
            self.places,
            self.widths,
            self.depths,
            tuple(
                Dimple(d.at, d.length, d.depth, (360.0 - d.toward_deg) % 360.0)
                for d in self.dimples
            ),
        )
