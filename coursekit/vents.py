"""Vent holes: where they go under a tube, and what a closed space does when it gets hot."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit.rules import not_negative, number, positive, require

__all__ = ["air_pressure", "footprint", "land", "round_shell", "steam_pressure"]

ATMOSPHERE = 0.101325  # MPa, by definition
ZERO = 273.15  # K at 0 °C
ROOM = 20.0  # °C at which the space was closed
STEAM = 461.52  # N·mm/(g·K), the gas constant over the molar mass of water, 8.31446 / 18.0153
STATIONS = 3600


def air_pressure(hot: Any) -> Any:
    """Return the pressure of air that was closed in at 20 °C, once it is hot.

    This is the whole pressure: the pressure of the air outside is not taken off.

    Parameters
    ----------
    hot : float or array
        Temperature, °C, above −273.15.

    Returns
    -------
    float or array
        Pressure, MPa.

    Raises
    ------
    ValueError
        "The temperature must be above -273.15 °C; got -300 °C. Check the number."

    References
    ----------
    The ideal gas at constant volume, any text.

    Examples
    --------
    >>> round(float(air_pressure(700.0)), 3), round(float(air_pressure(20.0)), 6)
    (0.336, 0.101325)
    >>> air_pressure(-300.0)
    Traceback (most recent call last):
    ValueError: The temperature must be above -273.15 °C; got -300 °C. Check the number.
    """
    return ATMOSPHERE * _kelvin(hot) / (ROOM + ZERO)


def steam_pressure(volume: Any, water: Any, hot: Any) -> Any:
    """Return the pressure of water that has all turned to steam in a closed space.

    The pressure of the air in the space comes on top. Steam is taken as an ideal gas, which holds
    within a per cent or two above 400 °C and below 2 MPa. Where some of the water stays liquid, the
    answer is too high.

    Parameters
    ----------
    volume : float or array
        The closed space, mm³, above 0.
    water : float or array
        g, 0 or more.
    hot : float or array
        Temperature, °C, above −273.15.

    Returns
    -------
    float or array
        Pressure of the steam, MPa.

    Raises
    ------
    ValueError
        "The volume must be greater than 0; got 0 mm³. Check the number."

    References
    ----------
    The ideal gas; steam tables (Smith, Van Ness and Abbott, appendix F).

    Examples
    --------
    >>> round(float(steam_pressure(250_000.0, 0.5, 700.0)), 3)
    0.898
    >>> steam_pressure(0.0, 0.5, 700.0)
    Traceback (most recent call last):
    ValueError: The volume must be greater than 0; got 0 mm³. Check the number.
    """
    volume, water = positive("volume", volume, "mm³"), not_negative("water", water, "g")
    return STEAM * np.asarray(water) * _kelvin(hot) / volume


def round_shell(diameter: Any, angle_deg: Any) -> Any:
    """Return how far apart two lines stand on the outside of a shell, measured round it.

    Parameters
    ----------
    diameter : float or array
        Outside diameter of the shell, mm.
    angle_deg : float or array
        Angle between the two tubes' axes, degrees.

    Returns
    -------
    float or array
        Length of the arc, mm.

    Raises
    ------
    ValueError
        "The diameter must be greater than 0; got 0 mm. Check the number."

    References
    ----------
    The length of an arc.

    Examples
    --------
    >>> round(float(round_shell(38.1, 61.0)), 2)
    20.28
    >>> round_shell(0.0, 61.0)
    Traceback (most recent call last):
    ValueError: The diameter must be greater than 0; got 0 mm. Check the number.
    """
    return positive("diameter", diameter) / 2 * np.radians(number("angle", angle_deg, "degrees"))


def footprint(bore: float, into: float, stations: int = 361) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return the edge of a tube's bore on the shell, unrolled: (along the shell, round it).

    The tube stands square on the shell, and 0, 0 lies below its axis. Laid out flat, the edge is an
    oval that is longer round the shell than along it.

    Parameters
    ----------
    bore : float
        Bore of the tube, mm, at most as wide as the shell.
    into : float
        Outside diameter of the shell, mm.
    stations : int
        How many points; the last one is the first again.

    Returns
    -------
    along : array, (stations,)
        Places along the shell, mm.
    about : array, (stations,)
        Places round the shell, mm.

    Raises
    ------
    ValueError
        "The bore must not be wider than the shell; got 40 mm on 38.1 mm. Swap them."

    References
    ----------
    Two cylinders that cross square, one of them unrolled.

    Examples
    --------
    >>> along, about = footprint(26.8, 38.1, 5)
    >>> [round(float(v), 2) + 0.0 for v in about], [round(float(v), 2) + 0.0 for v in along]
    ([14.86, 0.0, -14.86, 0.0, 14.86], [0.0, 13.4, 0.0, -13.4, 0.0])
    >>> footprint(40.0, 38.1)
    Traceback (most recent call last):
    ValueError: The bore must not be wider than the shell; got 40 mm on 38.1 mm. Swap them.
    """
    _fits(bore, into)
    return _edge(bore / 2, into / 2, np.linspace(0, 2 * np.pi, stations))


def land(
    bore: float, into: float, hole: float, round_off: float = 0.0, along_off: float = 0.0
) -> float:
    """Return the least metal between a hole in the shell and the wall of the tube over it.

    The metal is measured on the unrolled shell. The middle of the hole lies `round_off` round the
    shell and `along_off` along it from the place below the tube's axis. Below 0 the hole runs under
    the tube's wall.

    Parameters
    ----------
    bore : float
        Bore of the tube, mm, at most as wide as the shell.
    into : float
        Outside diameter of the shell, mm.
    hole : float
        Diameter of the hole, mm, above 0.
    round_off, along_off : float
        Where the hole is, mm, either sign.

    Returns
    -------
    float
        mm, within 1e-6.

    Raises
    ------
    ValueError
        "The hole must be greater than 0; got 0 mm. Check the number.", and the message of
        `footprint`.

    References
    ----------
    The least distance of a point from a curve.

    Examples
    --------
    >>> round(land(26.8, 38.1, 4.0), 4), round(land(26.8, 38.1, 4.0, along_off=3.0), 4)
    (11.4, 8.4)
    >>> land(26.8, 38.1, 0.0)
    Traceback (most recent call last):
    ValueError: The hole must be greater than 0; got 0 mm. Check the number.
    """
    _fits(bore, into)
    hole = positive("hole", hole)
    r, big = bore / 2, into / 2
    off = number("offset", round_off), number("offset", along_off)
    step = 2 * np.pi / STATIONS
    at = np.arange(STATIONS) * step
    for _ in range(3):
        along, about = _edge(r, big, at)
        apart = np.hypot(along - off[1], about - off[0])
        best = at[int(np.argmin(apart))]
        at, step = best + np.linspace(-step, step, 401), step / 100
    inside = abs(off[1]) < r and abs(off[0]) <= big * np.arcsin(np.sqrt(r**2 - off[1] ** 2) / big)
    return float(np.min(apart)) * (1 if inside else -1) - hole / 2


def _edge(r: float, big: float, at: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    return r * np.sin(at), big * np.arcsin(np.clip(r * np.cos(at) / big, -1.0, 1.0))


def _fits(bore: Any, into: Any) -> None:
    bore, into = positive("bore", bore), positive("shell", into)
    require(
        np.less_equal(bore, into),
        "The bore must not be wider than the shell; got {bore} mm on {into} mm. Swap them.",
        bore=bore,
        into=into,
    )


def _kelvin(hot: Any) -> Any:
    hot = np.asarray(number("temperature", hot, "°C"), float)
    require(
        hot > -ZERO,
        "The temperature must be above -273.15 °C; got {hot} °C. Check the number.",
        hot=hot,
    )
    return hot + ZERO
