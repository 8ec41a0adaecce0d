"""Bending a round tube past yield and letting go: moment, set and spring-back, in closed form."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import ArrayLike

from coursekit.bending import annulus
from coursekit.rules import number, positive, require
from coursekit.scalars import bare, finite


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

    Parameters
    ----------
    curvature : float or array
        The curvature it is bent to, 1/mm, either sign.
    tube : Tube
        A round tube.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        1/mm, with the sign of the curvature; 0 where the tube has not yielded.

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
    >>> set_curvature(1e-4, Round(28.6, 0.9), 517.0, 205_000.0)
    0.0
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
    """Return the curvature to bend to so that a wanted curvature stays.

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
        1/mm, within 1e-12 of the answer, with the sign of `wanted`.

    Raises
    ------
    ValueError
        "The set curvature must not be 0; got 0 1/mm. …"

    Examples
    --------
    >>> from coursekit.tubes import Round
    >>> tube = Round(28.6, 0.9)
    >>> bent = curvature_for_set(1e-4, tube, 517.0, 205_000.0)
    >>> round(set_curvature(bent, tube, 517.0, 205_000.0), 12)
    0.0001
    >>> curvature_for_set(0.0, tube, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The set curvature must not be 0; got 0 1/mm. A straight tube is left alone.
    """
    target = np.asarray(number("set curvature", wanted, "1/mm"), dtype=float)
    require(
        target != 0,
        "The set curvature must not be 0; got {target} 1/mm. A straight tube is left alone.",
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


def thin_moment_ratio(curvature_ratio: ArrayLike) -> Any:
    """Return the moment over the yield moment of a very thin tube, by the hand formula.

    With κ/κy = 1/sin a it is (2/π)·(a/sin a + cos a), which comes near 4/π as the tube is bent
    further. It checks `moment`, which is exact for any wall.

    Parameters
    ----------
    curvature_ratio : float or array
        Curvature over the yield curvature, 1 or more.

    Returns
    -------
    float or array
        Moment over the yield moment, 1 up to 4/π.

    Raises
    ------
    ValueError
        "The curvature ratio must be 1 or more; got 0.5. …"

    Examples
    --------
    >>> round(thin_moment_ratio(2.0), 5)
    1.218
    >>> thin_moment_ratio(0.5)
    Traceback (most recent call last):
    ValueError: The curvature ratio must be 1 or more; got 0.5. Below yield the ratios are equal.
    """
    ratio = finite("curvature ratio", curvature_ratio)
    require(
        ratio >= 1,
        "The curvature ratio must be 1 or more; got {ratio}. Below yield the ratios are equal.",
        ratio=ratio,
    )
    a = np.arcsin(1 / ratio)
    return bare(2 / np.pi * (a * ratio + np.cos(a)))


def strip_springback(
    radius: ArrayLike, thickness: ArrayLike, yield_stress: ArrayLike, modulus: ArrayLike
) -> Any:
    """Return bend radius over final radius for a flat strip that is let go, as a dropout's tab.

    With x = R·σy/(E·t) it is 4x³ − 3x + 1: 1 means that it keeps the bend, 0 that it springs back
    flat.

    Parameters
    ----------
    radius : float or array
        mm, to the middle of the strip under load, greater than 0.
    thickness : float or array
        mm, greater than 0.
    yield_stress, modulus : float or array
        MPa, greater than 0.

    Returns
    -------
    float or array
        Radius under load over the radius after letting go, 0 to 1.

    Raises
    ------
    ValueError
        "The strip must be bent past yield; got a radius of 1500 mm where 1000 mm just yields. …",
        which is where x is more than 1/2.

    References
    ----------
    The usual relation of sheet-metal texts, for a strip without hardening.

    Examples
    --------
    >>> round(strip_springback(100.0, 5.0, 500.0, 200_000.0), 6)  # x = 0.05
    0.8505
    >>> strip_springback(1500.0, 5.0, 500.0, 200_000.0)
    Traceback (most recent call last):
    ValueError: The strip must be bent past yield; got a radius of 1500 mm where 1000 mm just
    yields. Bend it tighter.
    """
    stress, modulus = _material(yield_stress, modulus)
    bend, deep = positive("radius", radius), positive("thickness", thickness)
    x = np.asarray(bend * stress / (modulus * deep), dtype=float)
    require(
        x <= 0.5,
        "The strip must be bent past yield; got a radius of {bend} mm where {most} mm just "
        "yields. Bend it tighter.",
        bend=bend,
        most=modulus * deep / (2 * stress),
    )
    return bare(4 * x**3 - 3 * x + 1)


def _material(yield_stress: ArrayLike, modulus: ArrayLike) -> tuple[Any, Any]:
    return positive("yield stress", yield_stress, "MPa"), positive("modulus", modulus, "MPa")
