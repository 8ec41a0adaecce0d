"""A blade as it is bought, and cut to length. The picture is `fork`'s."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.tubes import Oval, Round

ROUND_WITHIN = 1e-9  # mm by which the two axes of a round section may differ


@dataclass(frozen=True)
class Blade:
    """A blade as it is bought: straight, one size at the top, then tapering to the tip.

    Places along it count from its upper end. Between the places given, sizes and wall change in a
    straight line. A blade that is drawn thinner mostly gets a thicker wall there.

    Attributes
    ----------
    length : float
        mm, above 0.
    top : float
        Outside, front to back, at the upper end, mm.
    tip : float
        Outside, front to back, at the tip, mm, above 0 and at most the top's size.
    straight : float
        How far the upper end keeps its size, mm, 0 or more and less than `length`.
    wall : float
        At the upper end and as far as it is straight, mm.
    tip_wall : float, optional
        At the tip, mm; left out, it is `wall`.
    across : float, optional
        Outside, side to side, at the upper end, mm; left out, the blade is round there.
    tip_across : float, optional
        The same at the tip; left out, the tip is round.

    Raises
    ------
    ValueError
        "The straight part must be shorter than the blade; got 400 mm of 380 mm. …"; "The tip must
        not be wider than the top; got …"; and the messages of `tubes.Round` and `tubes.Oval`.

    Examples
    --------
    >>> one = Blade(400.0, top=24.0, tip=12.0, straight=200.0, wall=0.9, tip_wall=1.3)
    >>> one.section_at(300.0)
    Round(diameter=18.0, wall=1.1)
    >>> Blade(380.0, 24.0, 12.0, straight=400.0, wall=0.9)
    Traceback (most recent call last):
    ValueError: The straight part must be shorter than the blade; got 400 mm of 380 mm. Check both
    numbers.
    """

    length: float
    top: float
    tip: float
    straight: float
    wall: float
    tip_wall: float | None = None
    across: float | None = None
    tip_across: float | None = None

    def __post_init__(self) -> None:
        positive("length of the blade", self.length)
        require(
            0 <= not_negative("straight part of the blade", self.straight) < self.length,
            "The straight part must be shorter than the blade; got {straight} mm of {length} mm. "
            "Check both numbers.",
            straight=self.straight,
            length=self.length,
        )
        wide = self.top if self.across is None else self.across
        last = self.tip if self.tip_across is None else self.tip_across
        for top, tip in ((self.top, self.tip), (wide, last)):
            require(
                positive("tip", tip) <= positive("top", top),
                "The tip must not be wider than the top; got {tip} mm and {top} mm. Swap them.",
                tip=tip,
                top=top,
            )
        self.section_at([0.0, self.length])  # refuses walls that do not fit

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
            "The place must lie on the blade; got 500 mm of 400 mm. …"
        """
        return bare(self.top + (self.tip - self.top) * self._share(along))

    def across_at(self, along: ArrayLike) -> Any:
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
            As `depth_at`.
        """
        wide = self.top if self.across is None else self.across
        last = self.tip if self.tip_across is None else self.tip_across
        return bare(wide + (last - wide) * self._share(along))

    def section_at(self, along: ArrayLike) -> Round | Oval:
        """Return the section at a place: round, or an oval whose depth is front to back.

        Parameters
        ----------
        along : float or array
            From the upper end, mm, 0 to `length`.

        Returns
        -------
        tubes.Round or tubes.Oval
            The section there; an array of places gives one section that holds arrays.

        Raises
        ------
        ValueError
            As `depth_at`, and the messages of the tubes.
        """
        deep, wide = self.depth_at(along), self.across_at(along)
        last = self.wall if self.tip_wall is None else self.tip_wall
        wall = bare(self.wall + (last - self.wall) * self._share(along))
        if np.all(np.abs(np.subtract(deep, wide)) < ROUND_WITHIN):
            return Round(deep, wall)
        return Oval(wide, deep, wall)

    def _share(self, along: ArrayLike) -> Any:
        """How much of the taper lies above a place, 0 to 1."""
        x = np.asarray(number("place", along), dtype=float)
        require(
            (x >= 0) & (x <= self.length + ROUND_WITHIN),
            "The place must lie on the blade; got {x} mm of {length} mm. Measure from its upper "
            "end.",
            x=x,
            length=self.length,
        )
        return np.clip((x - self.straight) / (self.length - self.straight), 0.0, 1.0)

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
        >>> one = Blade(400.0, top=24.0, tip=12.0, straight=200.0, wall=0.9)
        >>> one.cut(370.0).straight, round(one.cut(370.0, from_tip=10.0).tip, 6)
        (170.0, 12.6)
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
        low, high = self.section_at(self.length - off), self.section_at(max(top, 0.0))
        return Blade(
            length,
            top=self.depth_at(max(top, 0.0)),
            tip=self.depth_at(self.length - off),
            straight=max(self.straight - max(top, 0.0), 0.0),
            wall=high.wall,
            tip_wall=low.wall,
            across=None if self.across is None else self.across_at(max(top, 0.0)),
            tip_across=None if self.across is None else self.across_at(self.length - off),
        )
