"""Plain numbers out where plain numbers went in, and refusals of numbers that have no unit."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import require


def bare(value: Any) -> Any:
    """The value as a plain number or text if it is a single one, else as an array."""
    array = np.asarray(value)
    return array.item() if array.ndim == 0 else array


def finite(name: str, value: Any) -> Any:
    """The values as an array of floats, if all are finite numbers.

    Raises ValueError: "The *name* must be finite; got nan at place 3. Leave it out or mend it."

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
    """The values as an array of floats, if all are greater than 0.

    Raises ValueError: "The *name* must be greater than 0; got 0. Check the number."

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
