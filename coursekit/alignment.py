"""Is the frame straight, how well is that known, and what pull would set it right.

The picture for every function: the frame lies on the plate on its faced bottom-bracket shell; the
datum plane is the frame's centre plane, square to the shell's axis. z points to the drive side,
so a positive offset lies toward the drive side. Positions run along a tube from the shell.
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

__all__ = ["ColdSet", "Decision", "Line", "cold_set", "decide", "line", "over_length",
           "stop_reason", "strain_limit", "twist_deg"]  # fmt: skip


@dataclass(frozen=True)
class Line:
    """A tube's axis against the centre plane. Offsets mm, positive toward the drive side.

    `offset`, where position is 0; `angle_deg`, positive where the tube leans to the drive side
    farther out; `gauge_zero`, what the gauge reads on the centre plane at position 0, and
    `gauge_tilt_deg`, how that reading climbs along the tube: a shell face or a plate out of true.
    Each has its standard uncertainty. `scatter`, of one half difference about the line, mm;
    `freedom`, readings less unknowns, infinity where the noise was given.
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
        """Offset of the fitted axis, mm, at `position` mm; one value for a line of one tube."""
        x = np.asarray(number("position", position), dtype=float)
        return bare(self.offset + np.tan(np.radians(self.angle_deg)) * x)

    def offset_uncertainty_at(self, position: ArrayLike) -> Any:
        """Standard uncertainty of `offset_at`, mm: least amid the readings, growing outward.

        References: JCGM 100:2008 (GUM), H.3.4, eq. (H.15).
        """
        x = np.asarray(number("position", position), dtype=float)
        one, both, two = (self.covariance[..., i, j] for i, j in ((0, 0), (0, 1), (1, 1)))
        return bare(np.sqrt(one + 2 * x * both + x**2 * two))


def line(
    position: ArrayLike, side_a: ArrayLike, side_b: ArrayLike, noise: ArrayLike | None = None
) -> Line:
    """The line of a tube against the centre plane, from heights read with either face down.

    Reversal: turning the frame over changes the sign of the tube's own offset but not of the
    gauge's zero, so half the difference of the two heights is the tube and half the sum the
    gauge (with the plate and an even face error). A straight line is fitted to each.

    Limits: the two readings at a position share one place on the plate; the tube is straight
    (a bow shows as scatter); a shell face that is wrong on one side only counts half as tube.

    Parameters: `position`, mm from the shell, (readings,); `side_a`, heights with the non-drive
    face down, so that the drive side is up, mm, (…, readings); `side_b`, with the drive face down;
    `noise`, standard uncertainty of one height, mm, or None to take it from the scatter, which
    needs three positions.

    Returns: `Line`, its values with the leading axes of the heights.

    Raises ValueError: "The readings must outnumber the unknowns; got 2 for 2. Take more readings
    or give the noise of one."; "The two faces must have one height for each position; got …"

    References: JCGM 100:2008 (GUM), H.3 (line by least squares with covariance).

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
    """How far an angle throws the far end off, mm, with the sign of the angle: L·tan.

    Parameters: `angle_deg`, between -90 and 90; `length`, mm, greater than 0.

    Raises ValueError: "The angle must lie between -90 and 90; got 90 deg. Measure from the
    straight line."

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
    """Twist of one member against another, degrees: how much more `line_1` leans to the drive side.

    For head tube against seat tube, which stand nearly side by side in the frame's plane. A lean
    of the whole frame on the plate counts in both and goes out.

    Parameters: `line_1`, `line_2`, from `line`.

    Raises ValueError: "The twist must be between two lines; got 0.1. Make them with
    alignment.line."

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
    """Whether a measured value keeps a limit, its uncertainty allowed for.

    `verdict`, "within", "outside" or "undecided"; `guard`, width of the guard band, in the unit
    of the value; `accept_to` and `reject_from`, sizes up to which it is taken and from which it is
    refused; `probability`, 0 to 1, that the true value keeps the limit.
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
    """Whether a value lies within ±`limit`, outside it, or too near to tell.

    The picture: a guard band of k·u lies on either side of the limit. Inside the inner edge the
    value is within, beyond the outer edge outside; between them measure better before you bend.
    k is one-sided: only the near limit can be broken. That holds while the limit is some 3 u or
    more; if the guard band is as wide as the limit nothing can be called within.

    Parameters: `value`, any unit; `uncertainty`, standard, same unit, greater than 0; `limit`,
    same unit, greater than 0: half the width of a zone that lies even about 0 (a symmetry zone
    1.0 wide is a limit of 0.5); `confidence`, between 0.5 and 1; `freedom`, of the uncertainty.

    Returns: `Decision`.

    Raises ValueError: "The uncertainty must be greater than 0; got 0. Estimate it: no reading is
    perfect."

    References: JCGM 106:2012, 7 and 8.3 (conformance probability, guard bands); ISO 14253-1.

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
    return Line(offset, angle, zero, tilt, offset_one, angle_one, zero_one, tilt_one,
                bare(tube.scatter), tube.freedom, tube.covariance)  # fmt: skip


def _degrees(fit: fitting.Fitted) -> tuple[Any, Any, Any, Any]:
    """Offset, angle in degrees and their standard uncertainties, of a fitted line."""
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
