"""Bending a round tube past yield and letting go: moment, set and spring-back, in closed form."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import ArrayLike

from coursekit.bending import annulus
from coursekit.rules import number, positive, require
from coursekit.scalars import bare


class Tube(Protocol):
    """What bending needs to know of a tube; `tubes.Round` has it all."""

    @property
    def diameter(self) -> Any:
        """Outside diameter, mm."""

    @property
    def wall(self) -> Any:
        """Wall thickness, mm."""

    @property
    def inertia(self) -> Any:
        """Second moment of area, mm⁴."""


def yield_curvature(tube: Tube, yield_stress: ArrayLike, modulus: ArrayLike) -> Any:
    """Return the curvature at which the skin of a tube just yields: 2·σy/(E·D).

    Parameters
    ----------
    tube : Tube
        A round tube.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        Curvature, 1/mm.

    Raises
    ------
    ValueError
        "The yield stress must be greater than 0; got 0 MPa. …"

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> yield_curvature(Round(25.0, 1.0), 500.0, 200_000.0)
    0.0002
    >>> yield_curvature(Round(25.0, 1.0), 0.0, 200_000.0)
    Traceback (most recent call last):
    ValueError: The yield stress must be greater than 0; got 0 MPa. Check the number.
    """
    stress, modulus = _material(yield_stress, modulus)
    return bare(2 * stress / (modulus * np.asarray(tube.diameter)))


def moment(curvature: ArrayLike, tube: Tube, yield_stress: ArrayLike, modulus: ArrayLike) -> Any:
    """Return the bending moment that holds a tube at a curvature.

    It is exact for any wall: the core within y = σy/(E·κ) is elastic, and beyond it the stress is
    σy.

    Parameters
    ----------
    curvature : float or array
        1/mm, either sign.
    tube : Tube
        A round tube.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        N·mm, with the sign of the curvature.

    Raises
    ------
    ValueError
        "The curvature must be a finite number in 1/mm; got nan. …"

    References
    ----------
    Timoshenko, Strength of Materials II (1956), art. 64 (from memory).

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> round(moment(1e-4, Round(28.6, 0.9), 517.0, 205_000.0))  # E·I·κ
    154154
    >>> moment(float("nan"), Round(28.6, 0.9), 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The curvature must be a finite number in 1/mm; got nan. Give a plain number.
    """
    kappa = np.asarray(number("curvature", curvature, "1/mm"), dtype=float)
    first = yield_curvature(tube, yield_stress, modulus)
    share = first / np.maximum(np.abs(kappa), first)
    stress, size = np.asarray(yield_stress), np.asarray(tube.diameter) / 2
    bore = size - tube.wall
    elastic = np.abs(kappa) * np.asarray(modulus) * annulus.core(share, size, bore)
    plastic = stress * annulus.rim(share, size, bore)
    return bare(np.sign(kappa) * (elastic + plastic))


def set_curvature(
    curvature: ArrayLike, tube: Tube, yield_stress: ArrayLike, modulus: ArrayLike
) -> Any:
    """Return the curvature that stays after a tube is bent and let go: κ − M/(E·I).

    Below the yield curvature all of it springs back, and 0 stays.

    Parameters
    ----------
    curvature : float or array
        Under load, 1/mm, either sign.
    tube : Tube
        A round tube.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        1/mm, with the sign of the curvature under load.

    Raises
    ------
    ValueError
        "The curvature must be a finite number in 1/mm; got 'bent'. …"

    References
    ----------
    As `moment`; unloading is elastic.

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> set_curvature(1e-4, Round(28.6, 0.9), 517.0, 205_000.0)  # it only just yields at 1.8e-4
    0.0
    >>> round(1 / set_curvature(1 / 200, Round(16.0, 1.0), 517.0, 205_000.0), 1)
    218.7
    >>> set_curvature("bent", Round(28.6, 0.9), 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The curvature must be a finite number in 1/mm; got 'bent'. Give a plain number.
    """
    kappa = np.asarray(number("curvature", curvature, "1/mm"), dtype=float)
    back = moment(kappa, tube, yield_stress, modulus) / (np.asarray(modulus) * tube.inertia)
    past = np.abs(kappa) > yield_curvature(tube, yield_stress, modulus)
    return bare(np.where(past, kappa - back, 0.0))


def curvature_for_set(
    wanted: ArrayLike, tube: Tube, yield_stress: ArrayLike, modulus: ArrayLike
) -> Any:
    """Return the curvature to bend a tube to so that `wanted` stays when it is let go.

    Parameters
    ----------
    wanted : float or array
        The curvature that is to stay, 1/mm, not 0.
    tube : Tube
        A round tube.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        1/mm, with the sign of `wanted`.

    Raises
    ------
    ValueError
        "The set curvature must not be 0; got 0 1/mm. Leave a straight tube alone."

    References
    ----------
    As `set_curvature`, turned round by halving.

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> tube = Round(28.6, 0.9)
    >>> bent = curvature_for_set(1e-4, tube, 517.0, 205_000.0)
    >>> round(set_curvature(bent, tube, 517.0, 205_000.0), 12)
    0.0001
    >>> curvature_for_set(0.0, tube, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The set curvature must not be 0; got 0 1/mm. Leave a straight tube alone.
    """
    target = np.asarray(number("set curvature", wanted, "1/mm"), dtype=float)
    require(
        target != 0,
        "The set curvature must not be 0; got {target} 1/mm. Leave a straight tube alone.",
        target=target,
    )
    size = np.abs(target)
    first = yield_curvature(tube, yield_stress, modulus)
    low = np.maximum(size, first) + 0.0
    high = size + 2 * first  # a round section springs back less than twice the yield curvature
    for _ in range(100):
        middle = (low + high) / 2
        short = set_curvature(middle, tube, yield_stress, modulus) < size
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return bare(np.sign(target) * (low + high) / 2)


def _material(yield_stress: ArrayLike, modulus: ArrayLike) -> tuple[Any, Any]:
    return positive("yield stress", yield_stress, "MPa"), positive("modulus", modulus, "MPa")
