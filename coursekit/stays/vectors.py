"""Points and directions in the frame: x forward, y up, z to the drive side."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import number, require
from coursekit.sections import Array

TINY = 1e-9  # mm, or share of a unit vector, that counts as none


def point(name: str, value: Any) -> Array:
    """Return three numbers as an array, mm.

    Parameters
    ----------
    name : str
        What the point is, for the message.
    value : sequence of float
        x, y and z, mm.

    Returns
    -------
    array, (3,)
        The point.

    Raises
    ------
    ValueError
        "The *name* must have x, y and z; got 2 numbers. Give three in mm."

    Examples
    --------
    >>> point("start", (1, 2, 3))
    array([1., 2., 3.])
    >>> point("start", (1, 2))
    Traceback (most recent call last):
    ValueError: The start must have x, y and z; got 2 numbers. Give three in mm.
    """
    array = np.asarray(number(name, np.asarray(value)), dtype=float)
    if array.shape != (3,):
        raise ValueError(
            f"The {name} must have x, y and z; got {array.size} numbers. Give three in mm."
        )
    return array


def unit(name: str, value: Any) -> Array:
    """Return a direction as a unit vector.

    Parameters
    ----------
    name : str
        What the direction is, for the message.
    value : sequence of float
        x, y and z of an arrow of any length.

    Returns
    -------
    array, (3,)
        Unit vector.

    Raises
    ------
    ValueError
        "The *name* must point somewhere; got an arrow of length 0 mm. Give two different points."

    Examples
    --------
    >>> unit("direction", (0, 0, -2))
    array([ 0.,  0., -1.])
    >>> unit("direction", (0, 0, 0))
    Traceback (most recent call last):
    ValueError: The direction must point somewhere; got an arrow of length 0 mm. Give two different
    points.
    """
    array = point(name, value)
    long = float(np.linalg.norm(array))
    require(
        long > TINY,
        "The {name} must point somewhere; got an arrow of length {long} mm. Give two different "
        "points.",
        name=name,
        long=long,
    )
    return np.asarray(array / long)


def square_to(direction: Array, toward: Array) -> Array:
    """Return the unit vector square to a direction that points most nearly where another does.

    Parameters
    ----------
    direction : array, (3,)
        Unit vector.
    toward : array, (3,)
        Where the answer should point; not along `direction`.

    Returns
    -------
    array, (3,)
        Unit vector.

    Raises
    ------
    ValueError
        "The line 0° must lie beside the tube's axis; got a direction along it. …"

    Examples
    --------
    >>> square_to(np.array([1.0, 0, 0]), np.array([3.0, -4.0, 0]))
    array([ 0., -1.,  0.])
    >>> square_to(np.array([1.0, 0, 0]), np.array([3.0, 0, 0]))
    Traceback (most recent call last):
    ValueError: The line 0° must lie beside the tube's axis; got a direction along it. Name another
    side of the tube.
    """
    beside = toward - (toward @ direction) * direction
    if np.linalg.norm(beside) < TINY * max(1.0, float(np.linalg.norm(toward))):
        raise ValueError(
            "The line 0° must lie beside the tube's axis; got a direction along it. Name another "
            "side of the tube."
        )
    return np.asarray(beside / np.linalg.norm(beside))
