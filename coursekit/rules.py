"""How the domain modules refuse bad input: the rule, what was given, and the cure.

Every refusal reads *The thing must …; got 31.8 mm. Do this.* so that a learner can act on it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike


def require(ok: ArrayLike, refusal: str, **values: ArrayLike) -> None:
    """Refuse a call unless `ok` holds everywhere.

    Parameters
    ----------
    ok : array_like of bool
        What must be true, in any shape.
    refusal : str
        The whole message, *The thing must rule; got value unit. Cure.*, with `{name}` where one
        of `values` belongs. `{{` and `}}` stand for braces.
    **values
        Numbers or words that the message shows. Of arrays, it shows the first value that breaks
        the rule.

    Raises
    ------
    ValueError
        The message, filled in.

    Examples
    --------
    >>> require(2 < 1, "The plug must fit the bore; got {plug} mm in {bore} mm. Turn it down.",
    ...         plug=28.8, bore=28.7)
    Traceback (most recent call last):
    ValueError: The plug must fit the bore; got 28.8 mm in 28.7 mm. Turn it down.
    """
    good = np.asarray(ok)
    if good.all():
        return
    shape = np.broadcast_shapes(good.shape, *(np.shape(v) for v in values.values()))
    first = np.unravel_index(np.argmin(np.broadcast_to(good, shape)), shape)
    shown = {name: _plain(np.broadcast_to(v, shape)[first]) for name, v in values.items()}
    raise ValueError(refusal.format(**shown))


def number(name: str, value: Any, unit: str = "mm") -> Any:
    """Return `value` if it is a finite number, or an array of them; a list comes back as an array.

    Parameters
    ----------
    name : str
        What the number is, for the message.
    value : float or array
        The number to look at.
    unit : str
        Its unit, for the message.

    Returns
    -------
    float or array
        The value.

    Raises
    ------
    ValueError
        "The *name* must be a finite number in *unit*; got … Turn text into mm with units.mm first."
        For another unit the cure is "Give a plain number."

    Examples
    --------
    >>> number("diameter", 28.6)
    28.6
    >>> number("diameter", "1 1/8 in")
    Traceback (most recent call last):
    ValueError: The diameter must be a finite number in mm; got '1 1/8 in'. Turn text into mm with
    units.mm first.
    """
    array = value if isinstance(value, (float, int, np.ndarray)) else _array(value)
    kind = np.asarray(array).dtype.kind
    if isinstance(array, bool) or kind not in "fiu" or not np.isfinite(array).all():
        cure = "Turn text into mm with units.mm first." if unit == "mm" else "Give a plain number."
        raise ValueError(f"The {name} must be a finite number in {unit}; got {value!r}. {cure}")
    return array


def positive(name: str, value: Any, unit: str = "mm") -> Any:
    """Return `value` if it is a number above zero, or an array of them.

    Parameters
    ----------
    name : str
        What the number is, for the message.
    value : float or array
        The number to look at.
    unit : str
        Its unit, for the message.

    Returns
    -------
    float or array
        The value.

    Raises
    ------
    ValueError
        "The *name* must be greater than 0; got 0 mm. Check the number."

    Examples
    --------
    >>> positive("wall", -0.9)
    Traceback (most recent call last):
    ValueError: The wall must be greater than 0; got -0.9 mm. Check the number.
    """
    value = number(name, value, unit)
    require(
        np.asarray(value) > 0,
        "The {name} must be greater than 0; got {value} {unit}. Check the number.",
        name=name,
        value=value,
        unit=unit,
    )
    return value


def not_negative(name: str, value: Any, unit: str = "mm") -> Any:
    """Return `value` if it is zero or a number above zero, or an array of them.

    Parameters
    ----------
    name : str
        What the number is, for the message.
    value : float or array
        The number to look at.
    unit : str
        Its unit, for the message.

    Returns
    -------
    float or array
        The value.

    Raises
    ------
    ValueError
        "The *name* must be 0 or more; got -1 mm. Check the sign."

    Examples
    --------
    >>> not_negative("lap", -1.0)
    Traceback (most recent call last):
    ValueError: The lap must be 0 or more; got -1 mm. Check the sign.
    """
    value = number(name, value, unit)
    require(
        np.asarray(value) >= 0,
        "The {name} must be 0 or more; got {value} {unit}. Check the sign.",
        name=name,
        value=value,
        unit=unit,
    )
    return value


def _array(value: Any) -> Any:
    try:
        return np.asarray(value)
    except ValueError:
        return np.asarray(None)


def _plain(value: Any) -> str:
    """A number as a reader writes it: no trailing zeros, at most seven digits."""
    return f"{float(value):.7g}" if isinstance(value, (float, int, np.number)) else str(value)
