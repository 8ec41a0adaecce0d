"""Bodies that are turned about an axle across the frame. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import number, require
from coursekit.sections import Array

HUGE = 500.0  # mm, how far sideways ring, crank and shoe go on


@dataclass(frozen=True, eq=False)
class Turned:
    """A body that is turned about an axle: an axle across the frame, and a convex profile.

    Attributes
    ----------
    axle : tuple of float
        Where the axle stands in side view, (x, y), mm.
    profile : tuple of (float, float)
        Corners of the profile in order: distance from the axle, 0 or more, and z, mm. It must be
        convex, and of the axle's own side.

    Raises
    ------
    ValueError
        "The profile must have three corners or more; got 2. …"; "The profile must be convex; …"

    Examples
    --------
    >>> disc = Turned((0.0, 0.0), ((0.0, 44.0), (90.0, 44.0), (90.0, 46.0), (0.0, 46.0)))
    >>> disc.outside([(-100.0, 0.0, 45.0), (-50.0, 0.0, 40.0)])
    array([10.,  4.])
    >>> Turned((0.0, 0.0), ((0.0, 44.0), (90.0, 44.0)))
    Traceback (most recent call last):
    ValueError: The profile must have three corners or more; got 2. Give them in order round it.
    """

    axle: tuple[float, float]
    profile: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        number("axle", list(self.axle))
        if len(self.profile) < 3:
            raise ValueError(
                f"The profile must have three corners or more; got {len(self.profile)}. "
                "Give them in order round it."
            )
        corners = np.asarray(number("profile", [list(c) for c in self.profile]), dtype=float)
        step = np.roll(corners, -1, axis=0) - corners
        after = np.roll(step, -1, axis=0)
        turns = step[:, 0] * after[:, 1] - step[:, 1] * after[:, 0]
        require(
            np.all(turns > 0) or np.all(turns < 0),
            "The profile must be convex; got a corner that turns back. Give the corners in order, "
            "each once.",
        )
        if turns[0] < 0:
            object.__setattr__(self, "profile", tuple(self.profile)[::-1])

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
        points = np.asarray(points, dtype=float)
        x, y = self.axle
        at = np.stack([np.hypot(points[..., 0] - x, points[..., 1] - y), points[..., 2]], axis=-1)
        corners = np.array(self.profile)
        edges = np.roll(corners, -1, axis=0) - corners
        least, beyond = np.full(at.shape[:-1], np.inf), np.full(at.shape[:-1], -np.inf)
        for corner, edge in zip(corners, edges, strict=True):
            if corner[0] == 0 and edge[0] == 0:
                continue  # on the axle the body goes on to its other half
            off, long = at - corner, float(edge @ edge)
            share = np.clip(off @ edge / long, 0.0, 1.0)
            least = np.minimum(least, np.linalg.norm(off - share[..., None] * edge, axis=-1))
            out = (off[..., 0] * edge[1] - off[..., 1] * edge[0]) / np.sqrt(long)
            beyond = np.maximum(beyond, out)
        return np.asarray(np.where(beyond <= 0, beyond, least))

    @property
    def radius(self) -> float:
        """The largest distance of the profile from the axle, mm."""
        return max(far for far, _ in self.profile)
