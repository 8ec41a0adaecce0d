"""A blade as it is bought, and cut to length. The picture is `fork`'s."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.stays import Taper
from coursekit.tubes import Oval, Round

ROUND_WITHIN = 1e-9  # mm by which the two axes of a round section may differ


@dataclass(frozen=True)
class Blade:
    """A blade before it is bent: sizes and wall at some places, and straight lines in between.

    `tapered` makes the usual round one. Where a blade is drawn thinner its wall mostly gets
    thicker.

    Attributes
    ----------
    places : tuple of float
        mm from the upper end, rising from 0; the last one is the tip.
    widths : tuple of float
        Outside, side to side, at each place, mm, above 0.
    walls : tuple of float
        At each place, mm, above 0.
    depths : tuple of float
        Outside, front to back, at each place, mm, above 0; without it the blade is round.

    Raises
    ------
    ValueError
        "The places must rise from 0 along the blade; got 150 mm after 200 mm. …"; "The blade must
        have as many walls as places; got 1 for 3. …"; and the messages of `tubes.Round` and
        `tubes.Oval`.

    Examples
    --------
    An oval of 20 by 28, round from 180 mm on:

    >>> one = Blade((0.0, 100.0, 180.0, 400.0), (20.0, 20.0, 23.0, 12.0), (0.9, 0.9, 0.9, 1.2),
    ...             depths=(28.0, 28.0, 23.0, 12.0))
    >>> one.section_at(290.0), one.depth_at(140.0)
    (Round(diameter=17.5, wall=1.05), 25.5)
    >>> Blade((0.0, 200.0, 150.0), (24.0, 24.0, 12.0), (0.9, 0.9, 0.9))
    Traceback (most recent call last):
    ValueError: The places must rise from 0 along the blade; got 150 mm after 200 mm. Count them
    from its upper end.
    """

    places: tuple[float, ...]
    widths: tuple[float, ...]
    walls: tuple[float, ...]
    depths: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        deep = self.depths or self.widths
        for name, many in (("widths", self.widths), ("walls", self.walls), ("depths", deep)):
            require(
                len(many) == len(self.places) > 1,
                "The blade must have as many {name} as places; got {many} for {places}. Give one "
                "for each of two places or more.",
                name=name,
                many=len(many),
                places=len(self.places),
            )
        at = np.asarray(number("place", list(self.places)), dtype=float)
        before = np.concatenate([[0.0], at[:-1]])
        require(
            np.where(np.arange(at.size) == 0, at == 0, at > before),
            "The places must rise from 0 along the blade; got {at} mm after {before} mm. Count "
            "them from its upper end.",
            at=at,
            before=before,
        )
        self.section_at(at)  # refuses sizes and walls that do not fit

    @property
    def length(self) -> float:
        """From the upper end to the tip, mm."""
        return self.places[-1]

    @property
    def taper(self) -> Taper:
        """The outside along the blade, with its lines as `fork` names them."""
        return Taper(self.places, self.widths, self.depths or self.widths)

    def width_at(self, along: ArrayLike) -> Any:
        """Return the outside size side to side at a place.

        Parameters
        ----------
        along : float or array
            From the upper end, mm, 0 to `length`.

        Returns
        -------
        float or array
            mm.

        Raises
        ------
        ValueError
            "The place must lie on the blade; got 500 mm of 400 mm. …"
        """
        return bare(self.taper.sizes(self._on(along))[0])

    def depth_at(self, along: ArrayLike) -> Any:
        """Return the outside size front to back at a place.

        Parameters
        ----------
        along : float or array
            From the upper end, mm, 0 to `length`.

        Returns
        -------
        float or array
            mm.

        Raises
        ------
        ValueError
            As `width_at`.
        """
        return bare(self.taper.sizes(self._on(along))[1])

    def section_at(self, along: ArrayLike) -> Round | Oval:
        """Return the section at a place: round, or an oval whose depth is front to back.

        Parameters
        ----------
        along : float or array
            From the upper end, mm, 0 to `length`.

        Returns
        -------
        tubes.Round or tubes.Oval
            The section there; an array of places gives one section that holds arrays, oval unless
            all of them are round.

        Raises
        ------
        ValueError
            As `width_at`, and the messages of the tubes.
        """
        wide, deep = self.width_at(along), self.depth_at(along)
        wall = self.wall_at(along)
        if np.all(np.abs(np.subtract(deep, wide)) < ROUND_WITHIN):
            return Round(deep, wall)
        return Oval(wide, deep, wall)

    def _on(self, along: ArrayLike) -> Any:
        """The places, which must lie on the blade."""
        x = np.asarray(number("place", along), dtype=float)
        require(
            (x >= 0) & (x <= self.length + ROUND_WITHIN),
            "The place must lie on the blade; got {x} mm of {length} mm. Measure from its upper "
            "end.",
            x=x,
            length=self.length,
        )
        return x

    def wall_at(self, along: ArrayLike) -> Any:
        """Return the wall at a place.

        Parameters
        ----------
        along : float or array
            From the upper end, mm, 0 to `length`.

        Returns
        -------
        float or array
            mm.

        Raises
        ------
        ValueError
            As `width_at`.
        """
        return bare(np.interp(self._on(along), self.places, self.walls))

    def cut(self, length: float, from_tip: float = 0.0) -> Blade:
        """Return the blade cut to length, most of it from the upper end.

        Parameters
        ----------
        length : float
            Length to keep, mm, above 0.
        from_tip : float
            What comes off the tip, mm, 0 or more.

        Returns
        -------
        Blade
            What is left; its places count from its own upper end.

        Raises
        ------
        ValueError
            "The blade must be long enough for the piece; got 390 mm and 20 mm off the tip of 400
            mm. …"

        Examples
        --------
        >>> one = tapered(400.0, top=24.0, tip=12.0, straight=200.0, wall=0.9)
        >>> one.cut(370.0).places
        (0.0, 170.0, 370.0)
        """
        off = not_negative("cut at the tip", from_tip)
        top = self.length - positive("length to keep", length) - off
        require(
            top >= -ROUND_WITHIN,
            "The blade must be long enough for the piece; got {length} mm and {off} mm off the "
            "tip of {whole} mm. Take a longer blade.",
            length=length,
            off=off,
            whole=self.length,
        )
        top = max(top, 0.0)
        inner = [p for p in self.places if top < p < top + length]
        at = np.minimum([top, *inner, top + length], self.length)
        return Blade(
            (0.0, *(float(p - top) for p in inner), float(length)),
            tuple(float(v) for v in self.width_at(at)),
            tuple(float(v) for v in self.wall_at(at)),
            tuple(float(v) for v in self.depth_at(at)) if self.depths else (),
        )


def tapered(
    length: float,
    top: float,
    tip: float,
    straight: float,
    wall: float,
    tip_wall: float | None = None,
) -> Blade:
    """Return the usual round blade: straight, one size at the top, then tapering to the tip.

    Parameters
    ----------
    length : float
        mm, above 0.
    top, tip : float
        Outside diameters at the upper end and at the tip, mm, above 0, the first at least as large.
    straight : float
        How far the upper end keeps its size, mm, 0 or more and less than `length`.
    wall : float
        As far as the blade is straight, mm.
    tip_wall : float, optional
        At the tip, mm; left out, it is `wall`.

    Returns
    -------
    Blade
        The blade.

    Raises
    ------
    ValueError
        "The straight part must be shorter than the blade; got 400 mm of 380 mm. …"; "The tip must
        not be wider than the top; got …"; and the messages of `Blade`.

    Examples
    --------
    >>> one = tapered(400.0, top=24.0, tip=12.0, straight=200.0, wall=0.9, tip_wall=1.3)
    >>> one.section_at(300.0)
    Round(diameter=18.0, wall=1.1)
    >>> tapered(380.0, 24.0, 12.0, straight=400.0, wall=0.9)
    Traceback (most recent call last):
    ValueError: The straight part must be shorter than the blade; got 400 mm of 380 mm. Check both
    numbers.
    """
    positive("length of the blade", length)
    require(
        not_negative("straight part of the blade", straight) < length,
        "The straight part must be shorter than the blade; got {straight} mm of {length} mm. "
        "Check both numbers.",
        straight=straight,
        length=length,
    )
    require(
        positive("tip", tip) <= positive("top", top),
        "The tip must not be wider than the top; got {tip} mm and {top} mm. Swap them.",
        tip=tip,
        top=top,
    )
    last = wall if tip_wall is None else tip_wall
    if straight == 0:
        return Blade((0.0, length), (top, tip), (wall, last))
    return Blade((0.0, straight, length), (top, top, tip), (wall, wall, last))
