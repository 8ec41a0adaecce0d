"""Setting a bent member straight by pulling it cold: how far past straight, and when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import bending, pulls
from coursekit.rules import number, positive, require
from coursekit.scalars import bare

__all__ = ["ColdSet", "cold_set", "stop_reason", "strain_limit"]

MOST_PULLS = 3  # common practice, no source: after that, find out why


@dataclass(frozen=True)
class ColdSet:
    """A pull that sets a bent member straight; signs are positive toward the drive side.

    Attributes
    ----------
    pull_deg : float or array
        How far to swing the pulled end from where it stands, degrees.
    overbend_deg : float or array
        How far past straight it then stands, degrees; all of this springs back.
    deflection : float or array
        The same swing as travel of the pulled end, mm.
    force : float or array
        Force of the pull, N.
    moment_ratio, curvature_ratio : float or array
        Moment and curvature at the clamp, each over its value at yield.
    strain : float or array
        Greatest strain at the clamp, a plain number.
    strain_share : float or array
        That strain over `strain_limit`; above 1, do not pull.
    """

    pull_deg: Any
    overbend_deg: Any
    deflection: Any
    force: Any
    moment_ratio: Any
    curvature_ratio: Any
    strain: Any
    strain_share: Any


def cold_set(
    error_deg: ArrayLike,
    tube: bending.Tube,
    length: ArrayLike,
    yield_stress: ArrayLike,
    modulus: ArrayLike,
) -> ColdSet:
    """Return how far past straight a member must be pulled so that it springs back straight.

    The tube is clamped and pulled square to itself, `length` away from the clamp. It yields from
    the clamp outward, and the thick ring of its section is integrated exactly.

    Parameters
    ----------
    error_deg : float or array
        The lean to take out, degrees, not 0, positive toward the drive side.
    tube : tubes.Round
        One round section from clamp to pull.
    length : float or array
        mm from clamp to pull, greater than 0.
    yield_stress, modulus : float or array
        MPa, of the tube as it is now. A specification's minimum is on the low side,
        and the overbend grows with the yield stress.

    Returns
    -------
    ColdSet
        The pull, with signs that undo the error.

    Raises
    ------
    ValueError
        "The error must not be 0; got 0 deg. …"; "The set must stay below what a pull can leave
        before the clamp turns into a hinge; got …"

    Notes
    -----
    The model keeps sections plane, has one yield stress, leaves hardening out, lets the tube spring
    back elastically and holds for small angles. The section stays round, though a thin tube
    flattens and wrinkles (`strain_limit`). Brazed tube is softer beside the joint and has stresses
    locked in, and a joint, a lug or a bridge beside the clamp changes the lever. So the real
    overbend differs: pull in steps, let go, measure, and heed `stop_reason`. This certifies
    nothing. Never pull a cracked, dented or wrinkled tube, and never hold a frame by its joints.

    References
    ----------
    `bending`, where the section is integrated.

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> pull = cold_set(0.3, Round(28.6, 0.9), 400.0, 517.0, 205_000.0)
    >>> round(pull.pull_deg, 3), round(pull.overbend_deg, 3), round(pull.deflection, 2)
    (-2.919, -2.619, -14.21)
    >>> cold_set(0.0, Round(28.6, 0.9), 400.0, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The error must not be 0; got 0 deg. Leave a straight member alone.
    """
    error = np.asarray(number("error", error_deg, "deg"), dtype=float)
    require(
        error != 0,
        "The error must not be 0; got {error} deg. Leave a straight member alone.",
        error=error,
    )
    pulled = pulls.cantilever_for_set(np.abs(error), length, tube, yield_stress, modulus)
    first = bending.yield_curvature(tube, yield_stress, modulus)
    way = -np.sign(error)
    share = pulled.strain / np.asarray(strain_limit(tube))
    yields = np.asarray(yield_stress) * 2 * tube.inertia / tube.diameter
    return ColdSet(
        pull_deg=bare(way * pulled.slope_deg),
        overbend_deg=bare(way * pulled.springback_deg),
        deflection=bare(way * pulled.deflection),
        force=bare(way * pulled.force),
        moment_ratio=bare(pulled.moment / yields),
        curvature_ratio=bare(pulled.root_curvature / first),
        strain=bare(pulled.strain),
        strain_share=bare(share),
    )


def strain_limit(tube: bending.Tube) -> Any:
    """Return the bending strain at which to stop for fear of a wrinkle: t/(2·D).

    Parameters
    ----------
    tube : tubes.Round
        A round tube.

    Returns
    -------
    float or array
        Strain, a plain number.

    Raises
    ------
    ValueError
        "The wall must be greater than 0; got 0 mm. …", from `tubes.Round`.

    References
    ----------
    API RP 1111 (1999), critical bending strain t/(2D) for D/t up to 50 (from memory).

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> strain_limit(Round(25.0, 1.0))
    0.02
    >>> strain_limit(Round(25.0, 0.0))
    Traceback (most recent call last):
    ValueError: The wall must be greater than 0; got 0 mm. Check the number.
    """
    return bare(tube.wall / (2 * np.asarray(tube.diameter)))


def stop_reason(errors_deg: Sequence[float], limit_deg: float) -> str:
    """Return why to stop pulling, or an empty text if one more pull is in order.

    Parameters
    ----------
    errors_deg : sequence of float
        The lean before the first pull and after each pull, degrees, signed.
    limit_deg : float
        The lean that may stay, degrees, greater than 0.

    Returns
    -------
    str
        One sentence, or "".

    Raises
    ------
    ValueError
        "The errors must begin with the one before the first pull; got none. …"

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> stop_reason([0.6, 0.4], 0.1), stop_reason([0.6, 0.08], 0.1)
    ('', 'Within the limit: leave it.')
    >>> stop_reason([], 0.1)
    Traceback (most recent call last):
    ValueError: The errors must begin with the one before the first pull; got none. Measure first.
    """
    limit = positive("limit", limit_deg, "deg")
    errors = np.asarray(number("errors", list(errors_deg), "deg"), dtype=float)
    require(
        errors.size > 0,
        "The errors must begin with the one before the first pull; got none. Measure first.",
    )
    first, last = errors[0], errors[-1]
    reasons = (
        (abs(last) <= limit, "Within the limit: leave it."),
        (first * last < 0, "Gone past straight: do not bend back and forth."),
        (abs(last) > abs(first), "Worse than before: find out what moves."),
        (errors.size > MOST_PULLS, f"{MOST_PULLS} pulls: find out why it does not stay."),
    )
    return next((reason for holds, reason in reasons if holds), "")
