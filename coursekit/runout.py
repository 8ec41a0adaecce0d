"""The bow of a tube turned between rollers: how much, and where its high side is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import fitting
from coursekit.rules import number, require
from coursekit.scalars import bare

__all__ = ["Bow", "bow"]

_ANY_WAY = 180.0 / np.sqrt(3.0)  # deg: standard uncertainty of a direction that may be any


@dataclass(frozen=True)
class Bow:
    """How far the middle of a tube stands off the line of its ends, and to which side.

    Attributes
    ----------
    amount : float or array
        Half the total reading of the first harmonic, mm, 0 or more.
    high_deg : float or array
        The mark round the tube where the dial reads highest, degrees, 0 to 360: the outside of the
        bow.
    mean : float or array
        What the dial would read on a straight tube, mm.
    amount_uncertainty, high_deg_uncertainty, mean_uncertainty : float or array
        Their standard uncertainties, in the same units.
    scatter : float or array
        Standard deviation of one reading about the fit, mm.
    freedom : float
        Readings less unknowns, or infinity where the noise was given.
    """

    amount: Any
    high_deg: Any
    mean: Any
    amount_uncertainty: Any
    high_deg_uncertainty: Any
    mean_uncertainty: Any
    scatter: Any
    freedom: float

    def turn_deg(self, to_deg: ArrayLike) -> Any:
        """Return how far to turn the tube to bring its high side to a mark.

        Putting the bow in the plane of the frame is common practice: there it changes a length a
        little and pulls nothing sideways.

        Parameters
        ----------
        to_deg : float or array
            Where the high side is to be, degrees.

        Returns
        -------
        float or array
            Turn, degrees, -180 to 180, positive in the direction in which the marks' angles grow.
        """
        way = np.asarray(number("angle", to_deg, "deg"), dtype=float) - self.high_deg
        return bare(180.0 - np.mod(180.0 - way, 360.0))


def bow(
    angles_deg: ArrayLike, readings: ArrayLike, noise: ArrayLike | None = None, harmonics: int = 1
) -> Bow:
    """Return the bow of a tube, from a dial at its middle while it is turned.

    The tube lies on rollers at its ends. Marks round it give the angle, which grows
    counter-clockwise as seen from end a. The dial reads from above, and it reads more where the
    tube stands higher. A mean and one wave a turn are fitted to the readings, and that wave is the
    bow. With n evenly spaced marks it is the first term of the discrete Fourier transform.

    Parameters
    ----------
    angles_deg : array, (readings,)
        Marks, degrees, in any order.
    readings : array, (…, readings)
        The dial at those marks, mm.
    noise : float or array, optional
        Standard uncertainty of one reading, mm. Left out, it is taken from the scatter, which needs
        one reading more than there are unknowns.
    harmonics : int
        1, or 2 to take ovality out.

    Returns
    -------
    Bow
        Its values have the leading axes of the readings.

    Raises
    ------
    ValueError
        "The readings must outnumber the unknowns; got 3 for 3. …"; "The readings must fix every
        unknown; …"; "The dial must give one reading for each angle; got …"; "The harmonics must be
        1 or 2; got 3. …"

    Notes
    -----
    An oval tube makes two waves a turn. Evenly spaced marks all the way round keep the two apart;
    with uneven marks ask for ``harmonics=2``. Noise alone shows as a bow of about its own
    uncertainty, so call a tube bowed only when the amount is about three times that.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 (uncertainty through amount and direction).

    Examples
    --------
    >>> found = bow([0, 90, 180, 270], [0.30, 0.20, 0.10, 0.20])
    >>> round(found.amount, 6), round(found.high_deg, 6), round(found.mean, 6)
    (0.1, 0.0, 0.2)
    >>> bow([0, 120, 240], [0.30, 0.15, 0.15])
    Traceback (most recent call last):
    ValueError: The readings must outnumber the unknowns; got 3 for 3. Take more readings or give
    the noise of one.
    """
    angles = np.asarray(number("angle", angles_deg, "deg"), dtype=float)
    dial = np.asarray(number("reading", readings), dtype=float)
    fits = angles.ndim == 1 and dial.shape[-1:] == angles.shape
    require(
        fits,
        "The dial must give one reading for each angle; got {dial} readings at {angles} "
        "angles. Read it once at each mark.",
        dial=dial.size,
        angles=angles.size,
    )
    require(
        harmonics in (1, 2),
        "The harmonics must be 1 or 2; got {harmonics}. 1 is the bow, 2 takes ovality out.",
        harmonics=harmonics,
    )
    turns = np.radians(angles)
    waves = [w(k * turns) for k in range(1, harmonics + 1) for w in (np.cos, np.sin)]
    fit = fitting.linear(np.column_stack([np.ones_like(turns), *waves]), dial, noise)
    return _bow(fit)


def _bow(fit: fitting.Fitted) -> Bow:
    """Amount and direction of the first wave, with the covariance turned along and across it."""
    east, north = fit.values[..., 1], fit.values[..., 2]
    amount, way = np.hypot(east, north), np.arctan2(north, east)
    along = np.stack([np.cos(way), np.sin(way)], axis=-1)
    across = np.stack([-np.sin(way), np.cos(way)], axis=-1)
    block = fit.covariance[..., 1:3, 1:3]
    one, side = (np.sqrt(np.einsum("...i,...ij,...j->...", v, block, v)) for v in (along, across))
    safe = np.where(amount > 0, amount, 1.0)
    spread = np.where(amount > 0, np.minimum(np.degrees(side / safe), _ANY_WAY), _ANY_WAY)
    high = np.mod(np.degrees(way), 360.0)
    return Bow(
        amount=bare(amount),
        high_deg=bare(np.where(360.0 - high < 1e-9, 0.0, high)),
        mean=bare(fit.values[..., 0]),
        amount_uncertainty=bare(one),
        high_deg_uncertainty=bare(spread),
        mean_uncertainty=bare(fit.uncertainty[..., 0]),
        scatter=bare(fit.scatter),
        freedom=fit.freedom,
    )
