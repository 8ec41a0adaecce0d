"""Dimples: flats pressed into the side of a stay. See `stays`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import number, positive
from coursekit.sections import Array


@dataclass(frozen=True)
class Dimple:
    """A flat that is pressed into the side of a tube, for the tyre or the chainring.

    The floor is straight across the tube. Along the tube it runs in and out as one wave of a
    cosine. A real dimple is a little hollow across, so it gives more room than this one.

    Attributes
    ----------
    at : float
        The middle of the dimple, mm along the centre line from end a.
    length : float
        From where it begins to where it ends, mm, above 0.
    depth : float
        How deep it is in the middle, mm, above 0.
    toward_deg : float
        The line of the tube that is pressed in, degrees.

    Raises
    ------
    ValueError
        "The dimple's depth must be greater than 0; got 0 mm. Check the number."

    Examples
    --------
    >>> Dimple(90.0, 60.0, 4.0, 270.0).pressed(np.array([60.0, 75.0, 90.0])).round(6)
    array([0., 2., 4.])
    >>> Dimple(90.0, 60.0, 0.0, 270.0)
    Traceback (most recent call last):
    ValueError: The dimple's depth must be greater than 0; got 0 mm. Check the number.
    """

    at: float
    length: float
    depth: float
    toward_deg: float

    def __post_init__(self) -> None:
        number("dimple's place", self.at)
        positive("dimple's length", self.length)
        positive("dimple's depth", self.depth)
        number("dimple's side", self.toward_deg, "degrees")

    def pressed(self, s: Any) -> Array:
        """Return how deep the tube is pressed in.

        Parameters
        ----------
        s : float or array
            mm along the centre line from end a.

        Returns
        -------
        array
            mm; 0 beside the dimple.
        """
        share = (np.asarray(s, dtype=float) - self.at) / self.length
        wave = (1 + np.cos(2 * np.pi * share)) / 2
        return np.where(np.abs(share) < 0.5, self.depth * wave, 0.0)
