"""Plain numbers out where plain numbers went in, and refusals of numbers that have no unit."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import require


def bare(value: Any) -> Any:
    """Return a single value as a plain number or text, and several as an array.

    Parameters
    ----------
    value : float, str or array
        The value.

    Returns
    -------
    float, str or array
        The same, bare if there is only one.
    """
    array = np.asarray(value)
    return array.item() if array.ndim == 0 else array


def finite(name: str, value: Any) -> Any:
    """Return the values as an array of floats, if all of them are finite numbers.

    Parameters
    ----------
    name : str
        What the values are, for the message.
    value : float or array
        The values.

    Returns
    -------
    array
        Floats of the same shape.

    Raises
    ------
    ValueError
        "The *name* must be finite; got nan at place 3. Leave it out or mend it."

    Examples
    --------
    >>> finite("readings", [0.1, float("nan")])
    Traceback (most recent call last):
    ValueError: The readings must be finite; got nan at place 2. Leave it out or mend it.
    """
    array = np.asarray(value) if not isinstance(value, (list, tuple)) else _listed(value)
    if array.dtype.kind not in "fiu":
        raise ValueError(f"The {name} must be numbers; got {value!r}. Give plain numbers.")
    array = array.astype(float)
    bad = np.flatnonzero(~np.isfinite(array))
    if bad.size:
        where = f" at place {bad[0] + 1}" if array.ndim else ""
        raise ValueError(
            f"The {name} must be finite; got {array.flat[bad[0]]}{where}. Leave it out or mend it."
        )
    return array


def above_zero(name: str, value: Any, cure: str = "Check the number.") -> Any:
    """Return the values as an array of floats, if all of them are greater than 0.

    Parameters
    ----------
    name : str
        What the values are, for the message.
    value : float or array
        The values.
    cure : str
        What to do, for the message.

    Returns
    -------
    array
        Floats of the same shape.

    Raises
    ------
    ValueError
        "The *name* must be greater than 0; got 0. Check the number."

    Examples
    --------
    >>> above_zero("noise", 0.0)
    Traceback (most recent call last):
    ValueError: The noise must be greater than 0; got 0. Check the number.
    """
    array = finite(name, value)
    require(
        array > 0,
        "The {name} must be greater than 0; got {value}. {cure}",
        name=name,
        value=array,
        cure=cure,
    )
    return array


def _listed(value: Any) -> Any:
    try:
        return np.asarray(value)
    except ValueError:  # rows of unlike length
        return np.asarray(None)
