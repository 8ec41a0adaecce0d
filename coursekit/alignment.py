"""Is the frame straight, how well is that known, and what pull would set it right.

The picture is the same for every function: the frame lies on the plate on its faced
bottom-bracket shell, and the datum is the frame's centre plane, which is square to the shell's
axis. z points to the drive side, so an offset is positive when it lies toward the drive side.
Positions run along a tube and count from the shell.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import fitting
from coursekit.coldset import ColdSet, cold_set, stop_reason, strain_limit
from coursekit.rules import number, positive, require
from coursekit.scalars import above_zero, bare, finite
from coursekit.uncertainty import coverage_factor, share_below

__all__ = [
    "ColdSet",
    "Decision",
    "Line",
    "cold_set",
    "decide",
    "line",
    "over_length",
    "stop_reason",
    "strain_limit",
    "twist_deg",
]


@dataclass(frozen=True)
class Line:
    """A tube's axis against the centre plane; offsets are positive toward the drive side.

    Attributes
    ----------
    offset : float or array
        Offset of the axis where the position is 0, mm.
    angle_deg : float or array
        Lean of the axis, degrees; positive where the tube leans to the drive side farther out.
    gauge_zero : float or array
        What the gauge reads on the centre plane at position 0, mm.
    gauge_tilt_deg : float or array
        How that reading climbs along the tube, degrees; it comes from a shell face or a plate that
        is out of true.
    offset_uncertainty, angle_deg_uncertainty : float or array
        Standard uncertainties of the tube's two values, in the same units.
    gauge_zero_uncertainty, gauge_tilt_deg_uncertainty : float or array
        Standard uncertainties of the gauge's two values, in the same units.
    scatter : float or array
        Standard deviation of one half difference about the line, mm.
    freedom : float
        Readings less unknowns, or infinity where the noise was given.
    covariance : array, (…, 2, 2)
        Covariance of the offset, mm, and the slope, mm/mm.
    """

    offset: Any
    angle_deg: Any
    gauge_zero: Any
    gauge_tilt_deg: Any
    offset_uncertainty: Any
    angle_deg_uncertainty: Any
    gauge_zero_uncertainty: Any
    gauge_tilt_deg_uncertainty: Any
    scatter: Any
    freedom: float
    covariance: Any = field(repr=False)

    def offset_at(self, position: ArrayLike) -> Any:
        """Return the offset of the fitted axis at a position along the tube.

        Parameters
        ----------
        position : float or array
            mm from the shell.

        Returns
        -------
        float or array
            Offset, mm, positive toward the drive side; one value for a line of one tube.

        Raises
        ------
        ValueError
            "The position must be a finite number in mm; got …"
        """
        x = np.asarray(number("position", position), dtype=float)
        return bare(self.offset + np.tan(np.radians(self.angle_deg)) * x)

    def offset_uncertainty_at(self, position: ArrayLike) -> Any:
        """Return the standard uncertainty of `offset_at`.

        It is smallest in the middle of the readings and grows outward from there.

        Parameters
        ----------
        position : float or array
            mm from the shell.

        Returns
        -------
        float or array
            Standard uncertainty, mm.

        Raises
        ------
        ValueError
            "The position must be a finite number in mm; got …"

        References
        ----------
        JCGM 100:2008 (GUM), H.3.4, eq. (H.15).
        """
        x = np.asarray(number("position", position), dtype=float)
        one, both, two = (self.covariance[..., i, j] for i, j in ((0, 0), (0, 1), (1, 1)))
        return bare(np.sqrt(one + 2 * x * both + x**2 * two))


def line(
    position: ArrayLike, side_a: ArrayLike, side_b: ArrayLike, noise: ArrayLike | None = None
) -> Line:
    """Return the line of a tube against the centre plane, from heights read with either face down.

    This is reversal: when you turn the frame over, the tube's own offset changes its sign but the
    gauge's zero does not. So half the difference of the two heights belongs to the tube, and half
    their sum belongs to the gauge, together with the plate and any even face error. A straight line
    is fitted to each.

    Parameters
    ----------
    position : array, (readings,)
        mm from the shell.
    side_a : array, (…, readings)
        Heights with the non-drive face down, so that the drive side is up, mm.
    side_b : array, (…, readings)
        Heights with the drive face down, mm.
    noise : float or array, optional
        Standard uncertainty of one height, mm. Left out, it is taken from the scatter, which needs
        at least three positions.

    Returns
    -------
    Line
        Its values have the leading axes of the heights.

    Raises
    ------
    ValueError
        "The readings must outnumber the unknowns; got 2 for 2. …"; "The two faces must have one
        height for each position; got …"

    Notes
    -----
    The two readings at a position must share one place on the plate. The tube is taken as straight:
    a bow shows as scatter. A shell face that is wrong on one side only has half of its error
    counted as the tube's.

    References
    ----------
    JCGM 100:2008 (GUM), H.3 (line by least squares with covariance).

    Examples
    --------
    >>> seat = line([0.0, 200.0, 400.0], [50.5, 50.9, 51.2], [49.5, 49.3, 49.2])
    >>> round(seat.offset, 4), round(seat.angle_deg, 4), round(seat.gauge_zero, 4)
    (0.5167, 0.0716, 50.0)
    >>> line([0.0, 200.0], [50.5, 50.9], [49.5, 49.3])
    Traceback (most recent call last):
    ValueError: The readings must outnumber the unknowns; got 2 for 2. Take more readings or give
    the noise of one.
    """
    x = np.asarray(number("position", position), dtype=float)
    up = np.asarray(number("height on face a", side_a), dtype=float)
    down = np.asarray(number("height on face b", side_b), dtype=float)
    fits = x.ndim == 1 and up.shape == down.shape and up.shape[-1:] == x.shape
    require(
        fits,
        "The two faces must have one height for each position; got {a} and {b} heights at {x}"
        " positions. Read both faces at the same places.",
        a=up.size,
        b=down.size,
        x=x.size,
    )
    matrix = np.column_stack([np.ones_like(x), x])
    one = None if noise is None else positive("noise", noise) / np.sqrt(2)
    tube = fitting.linear(matrix, (up - down) / 2, one)
    gauge = fitting.linear(matrix, (up + down) / 2, one)
    return _line(tube, gauge)


def over_length(angle_deg: ArrayLike, length: ArrayLike) -> Any:
    """Return how far an angle throws the far end of a tube off: L·tan of the angle.

    Parameters
    ----------
    angle_deg : float or array
        Degrees from straight, between -90 and 90.
    length : float or array
        mm, greater than 0.

    Returns
    -------
    float or array
        mm, with the sign of the angle.

    Raises
    ------
    ValueError
        "The angle must lie between -90 and 90; got 90 deg. …"; "The length must be greater than 0;
        got …"

    Examples
    --------
    >>> round(over_length(0.5, 150.0), 3)
    1.309
    >>> over_length(90.0, 150.0)
    Traceback (most recent call last):
    ValueError: The angle must lie between -90 and 90; got 90 deg. Measure from the straight line.
    """
    angle = np.asarray(number("angle", angle_deg, "deg"), dtype=float)
    require(
        np.abs(angle) < 90,
        "The angle must lie between -90 and 90; got {angle} deg. Measure from the straight line.",
        angle=angle,
    )
    return bare(positive("length", length) * np.tan(np.radians(angle)))


def twist_deg(line_1: Line, line_2: Line) -> Any:
    """Return the twist between two members: how much more the first leans to the drive side.

    Use it for the head tube against the seat tube, which stand nearly side by side in the frame's
    plane. If the whole frame leans on the plate, the lean appears in both lines and cancels.

    Parameters
    ----------
    line_1, line_2 : Line
        The two members, each from `line`.

    Returns
    -------
    float or array
        Twist, degrees, positive where `line_1` leans more to the drive side.

    Raises
    ------
    ValueError
        "The twist must be between two lines; got 0.1. …"

    Examples
    --------
    >>> x = [0.0, 60.0, 120.0]
    >>> head, seat = line(x, [50.0, 50.2, 50.4], [50.0, 49.8, 49.6]), line(x, x, x)
    >>> round(twist_deg(head, seat), 4)
    0.191
    >>> twist_deg(head, 0.1)
    Traceback (most recent call last):
    ValueError: The twist must be between two lines; got 0.1. Make them with alignment.line.
    """
    _check_lines(line_1, line_2)
    return line_1.angle_deg - line_2.angle_deg


@dataclass(frozen=True)
class Decision:
    """Whether a measured value keeps a limit when its uncertainty is allowed for.

    Attributes
    ----------
    verdict : str or array
        "within", "outside" or "undecided".
    guard : float or array
        Width of the guard band, in the unit of the value.
    accept_to : float or array
        Size up to which a value is accepted.
    reject_from : float or array
        Size from which a value is rejected.
    probability : float or array
        Probability, 0 to 1, that the true value keeps the limit.
    """

    verdict: Any
    guard: Any
    accept_to: Any
    reject_from: Any
    probability: Any


def decide(
    value: ArrayLike,
    uncertainty: ArrayLike,
    limit: ArrayLike,
    confidence: float = 0.95,
    freedom: float = inf,
) -> Decision:
    """Return whether a value lies within ±`limit`, outside it, or too close to call.

    A guard band of k·u lies on either side of the limit. Inside its inner edge the value is within,
    and beyond its outer edge it is outside; between the two, measure better before you bend
    anything. k is one-sided, because only the nearer limit can be broken. That holds while the
    limit is about 3 u or more; if the guard band is as wide as the limit, no value can be called
    within.

    Parameters
    ----------
    value : float or array
        The measured value, in any unit.
    uncertainty : float or array
        Its standard uncertainty, same unit, greater than 0.
    limit : float or array
        Same unit, greater than 0: half the width of a zone that lies evenly about 0, so a symmetry
        zone 1.0 wide has a limit of 0.5.
    confidence : float
        Between 0.5 and 1.
    freedom : float
        Degrees of freedom of the uncertainty.

    Returns
    -------
    Decision
        One verdict for each value.

    Raises
    ------
    ValueError
        "The uncertainty must be greater than 0; got 0. …"; "The limit must be greater than 0; got
        …"; "The confidence must lie between 0.5 and 1; got …"

    References
    ----------
    JCGM 106:2012, 7 and 8.3 (conformance probability, guard bands); ISO 14253-1.

    Examples
    --------
    >>> decide([0.2, 0.45, -0.7], 0.1, 0.5).verdict.tolist()
    ['within', 'undecided', 'outside']
    >>> decide(0.2, 0.0, 0.5)
    Traceback (most recent call last):
    ValueError: The uncertainty must be greater than 0; got 0. Estimate it: no reading is perfect.
    """
    size = np.abs(finite("value", value))
    one = above_zero("uncertainty", uncertainty, "Estimate it: no reading is perfect.")
    most = above_zero("limit", limit)
    guard = coverage_factor(confidence, freedom, sides=1) * one
    verdict = np.where(size <= most - guard, "within", "undecided")
    verdict = np.where(size >= most + guard, "outside", verdict)
    inside = share_below((most - size) / one, freedom) - share_below((-most - size) / one, freedom)
    return Decision(*(bare(v) for v in (verdict, guard, most - guard, most + guard, inside)))


def _line(tube: fitting.Fitted, gauge: fitting.Fitted) -> Line:
    offset, angle, offset_one, angle_one = _degrees(tube)
    zero, tilt, zero_one, tilt_one = _degrees(gauge)
    return Line(
        offset=offset,
        angle_deg=angle,
        gauge_zero=zero,
        gauge_tilt_deg=tilt,
        offset_uncertainty=offset_one,
        angle_deg_uncertainty=angle_one,
        gauge_zero_uncertainty=zero_one,
        gauge_tilt_deg_uncertainty=tilt_one,
        scatter=bare(tube.scatter),
        freedom=tube.freedom,
        covariance=tube.covariance,
    )


def _degrees(fit: fitting.Fitted) -> tuple[Any, Any, Any, Any]:
    """Offset, angle in degrees and the standard uncertainties of both, for a fitted line."""
    offset, slope = fit.values[..., 0], fit.values[..., 1]
    one = fit.uncertainty
    angle, spread = np.degrees(np.arctan(slope)), np.degrees(one[..., 1] / (1 + slope**2))
    return bare(offset), bare(angle), bare(one[..., 0]), bare(spread)


def _check_lines(*lines: Any) -> None:
    for one in lines:
        if not isinstance(one, Line):
            raise ValueError(
                f"The twist must be between two lines; got {one!r}. Make them with alignment.line."
            )
