"""A tube clamped at one end and pulled sideways at the other, past yield, then let go.

The model and its limits are those of `bending`; the tube yields from the clamp outward.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.bending import Tube, annulus, moment, yield_curvature
from coursekit.rules import positive, require
from coursekit.scalars import bare

__all__ = ["Pulled", "cantilever", "cantilever_for_set", "greatest_set_deg"]


@dataclass(frozen=True)
class Pulled:
    """What a tube does that is clamped at one end and pulled sideways at the other, then let go.

    Attributes
    ----------
    force : float or array
        The pull, N, square to the tube.
    deflection : float or array
        Travel of the pulled end under load, mm.
    slope_deg : float or array
        Slope of the pulled end under load, degrees.
    set_deg : float or array
        The slope that stays, degrees.
    springback_deg : float or array
        The slope that goes back, degrees.
    root_curvature : float or array
        Curvature at the clamp under load, 1/mm.
    moment : float or array
        Moment at the clamp, N·mm.
    strain : float or array
        Greatest strain, at the clamp's skin, a plain number.
    """

    force: Any
    deflection: Any
    slope_deg: Any
    set_deg: Any
    springback_deg: Any
    root_curvature: Any
    moment: Any
    strain: Any


def cantilever(
    root_curvature: ArrayLike,
    length: ArrayLike,
    tube: Tube,
    yield_stress: ArrayLike,
    modulus: ArrayLike,
) -> Pulled:
    """Return what a clamped tube does when it is pulled until the clamp has a given curvature.

    The tube stands out from the clamp, and the pull is square to it at its end. The moment falls in
    a straight line from the clamp to zero at the end. Angles are small.

    Parameters
    ----------
    root_curvature : float or array
        At the clamp under load, 1/mm, greater than 0.
    length : float or array
        From the clamp to the pull, mm, greater than 0.
    tube : bending.Tube
        A round tube, as `tubes.Round`.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    Pulled
        Force, travel and slopes under load and after.

    Raises
    ------
    ValueError
        "The root curvature must be greater than 0; got 0 1/mm. …"

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> pulled = cantilever(1e-4, 500.0, Round(28.6, 0.9), 517.0, 205_000.0)
    >>> round(pulled.deflection, 4), round(pulled.set_deg, 12)  # κ·L²/3
    (8.3333, 0.0)
    >>> cantilever(0.0, 500.0, Round(28.6, 0.9), 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The root curvature must be greater than 0; got 0 1/mm. Check the number.
    """
    kappa = np.asarray(positive("root curvature", root_curvature, "1/mm"), dtype=float)
    span = positive("length", length)
    angle, back, root = _slopes(kappa, span, tube, yield_stress, modulus)
    first = yield_curvature(tube, yield_stress, modulus)
    young, strain = np.asarray(modulus), np.asarray(yield_stress) / modulus
    half = np.asarray(tube.diameter) / 2
    ring = annulus.sag(np.maximum(kappa / first, 1.0), half, half - tube.wall)
    sag = (young * tube.inertia) ** 2 * np.minimum(
        kappa, first
    ) ** 3 / 3 + young**2 * strain**3 * ring
    stays = np.where(kappa > first, angle - back, 0.0)
    values = (root / span, sag * (span / root) ** 2, angle, stays, back, kappa, root, kappa * half)
    return Pulled(*(bare(v) for v in values))


def greatest_set_deg(
    length: ArrayLike, tube: Tube, yield_stress: ArrayLike, modulus: ArrayLike
) -> Any:
    """Return the set that a pull at the end approaches as the clamp turns into a hinge.

    Beyond it the tube folds at the clamp without any more pull.

    Parameters
    ----------
    length : float or array
        From the clamp to the pull, mm, greater than 0.
    tube : bending.Tube
        A round tube, as `tubes.Round`.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        Slope that stays at the end, degrees.

    Raises
    ------
    ValueError
        The messages of `cantilever`.

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> round(greatest_set_deg(500.0, Round(28.6, 0.9), 517.0, 205_000.0), 2)
    0.78
    >>> greatest_set_deg(-500.0, Round(28.6, 0.9), 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The length must be greater than 0; got -500 mm. Check the number.
    """
    first = yield_curvature(tube, yield_stress, modulus)
    return cantilever(1e6 * first, length, tube, yield_stress, modulus).set_deg


def cantilever_for_set(
    set_deg: ArrayLike,
    length: ArrayLike,
    tube: Tube,
    yield_stress: ArrayLike,
    modulus: ArrayLike,
) -> Pulled:
    """Return the pull at the end that leaves a slope of `set_deg` there once it is let go.

    Parameters
    ----------
    set_deg : float or array
        The slope that is to stay, degrees, greater than 0 and less than `greatest_set_deg`.
    length : float or array
        From the clamp to the pull, mm, greater than 0.
    tube : bending.Tube
        A round tube, as `tubes.Round`.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    Pulled
        Force, travel and slopes under load and after.

    Raises
    ------
    ValueError
        "The set must stay below what a pull can leave before the clamp turns into a hinge; got 5
        deg against 0.777 deg. …"

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> pulled = cantilever_for_set(0.5, 500.0, Round(28.6, 0.9), 517.0, 205_000.0)
    >>> round(pulled.set_deg, 9)
    0.5
    >>> cantilever_for_set(5.0, 500.0, Round(28.6, 0.9), 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The set must stay below what a pull can leave before the clamp turns into a hinge;
    got 5 deg against 0.777 deg. Do not pull: build it again.
    """
    wanted = np.asarray(positive("set", set_deg, "deg"), dtype=float)
    most = greatest_set_deg(length, tube, yield_stress, modulus)
    require(
        wanted < most,
        "The set must stay below what a pull can leave before the clamp turns into a hinge; "
        "got {wanted} deg against {most} deg. Do not pull: build it again.",
        wanted=wanted,
        most=np.round(most, 4),
    )
    first = yield_curvature(tube, yield_stress, modulus)
    low, high = np.full(np.shape(wanted + most), 1e-6), np.ones(np.shape(wanted + most))
    for _ in range(80):  # the elastic core's share of the radius, 1 at first yield
        middle = (low + high) / 2
        angle, back, _ = _slopes(first / middle, length, tube, yield_stress, modulus)
        far = angle - back > wanted
        low, high = np.where(far, middle, low), np.where(far, high, middle)
    return cantilever(first / ((low + high) / 2), length, tube, yield_stress, modulus)


def _slopes(
    kappa: Any, span: ArrayLike, tube: Tube, yield_stress: ArrayLike, modulus: ArrayLike
) -> tuple[Any, Any, Any]:
    """A cantilever's slope under load and what goes back, degrees, and the moment at its clamp."""
    first = yield_curvature(tube, yield_stress, modulus)
    young, half = np.asarray(modulus), np.asarray(tube.diameter) / 2
    root, stiffness = moment(kappa, tube, yield_stress, modulus), young * tube.inertia
    ring = annulus.turn(np.maximum(kappa / first, 1.0), half, half - tube.wall)
    area = (
        stiffness * np.minimum(kappa, first) ** 2 / 2 + young * (yield_stress / young) ** 2 * ring
    )
    angle, back = area * span / root, root * span / (2 * stiffness)
    return np.degrees(angle), np.degrees(back), root
