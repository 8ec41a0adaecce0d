"""Chainrings and sprockets: their diameters from the number of teeth."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.scalars import bare

CHAIN = 12.7  # mm, 1/2 in, the pitch of a bicycle chain
ROLLER = 7.75  # mm, of a chain for bicycles, ISO 606 number 081, from memory
LEAST_TEETH = 9


def pitch_diameter(teeth: Any, pitch: Any = CHAIN) -> Any:
    """Return the diameter of the circle that the chain's pins lie on: pitch / sin(180°/teeth).

    Parameters
    ----------
    teeth : int or array
        How many, a whole number of 9 or more.
    pitch : float or array
        From pin to pin, mm, above 0.

    Returns
    -------
    float or array
        mm.

    Raises
    ------
    ValueError
        "The chainring must have 9 teeth or more, and a whole number; got 4. Count them."

    References
    ----------
    ISO 606, pitch circle diameter, as a catalogue of sprockets made to it tabulates it.

    Examples
    --------
    >>> round(pitch_diameter(42), 3)
    169.945
    >>> pitch_diameter(4)
    Traceback (most recent call last):
    ValueError: The chainring must have 9 teeth or more, and a whole number; got 4. Count them.
    """
    teeth, pitch = _teeth(teeth), np.asarray(positive("pitch", pitch), dtype=float)
    return bare(pitch / np.sin(np.pi / teeth))


def tip_diameter(teeth: Any, pitch: Any = CHAIN) -> Any:
    """Return the usual diameter over the tips of the teeth: pitch × (0.6 + cot(180°/teeth)).

    Parameters
    ----------
    teeth : int or array
        How many, a whole number of 9 or more.
    pitch : float or array
        From pin to pin, mm, above 0.

    Returns
    -------
    float or array
        mm.

    Raises
    ------
    ValueError
        "The chainring must have 9 teeth or more, and a whole number; got 41.5. Count them."

    References
    ----------
    ASME B29.1, outside diameter of a sprocket, from memory.

    Examples
    --------
    >>> round(tip_diameter(42), 2)
    177.09
    >>> tip_diameter(41.5)
    Traceback (most recent call last):
    ValueError: The chainring must have 9 teeth or more, and a whole number; got 41.5. Count them.
    """
    teeth, pitch = _teeth(teeth), np.asarray(positive("pitch", pitch), dtype=float)
    return bare(tips(teeth, pitch))


def tips(teeth: Any, pitch: Any = CHAIN) -> Any:
    """Return the diameter over the tips for any number of teeth, a middle of several rings too.

    Parameters
    ----------
    teeth : float or array
        How many.
    pitch : float or array
        From pin to pin, mm.

    Returns
    -------
    float or array
        mm; `tip_diameter` is the same for what can be counted.

    References
    ----------
    As `tip_diameter`.

    Examples
    --------
    >>> round(float(tips(41.5)), 2)
    175.06
    """
    return pitch * (0.6 + 1 / np.tan(np.pi / teeth))


def tip_limits(teeth: Any, pitch: Any = CHAIN, roller: Any = ROLLER) -> tuple[Any, Any]:
    """Return the least and the largest diameter over the tips that a sprocket may have.

    With the pitch diameter d they are d + p(1 − 1.6/z) − d₁ and d + 1.25p − d₁.

    Parameters
    ----------
    teeth : int or array
        How many, z, a whole number of 9 or more.
    pitch : float or array
        From pin to pin, p, mm, above 0.
    roller : float or array
        Diameter of the chain's rollers, d₁, mm, above 0.

    Returns
    -------
    least, largest : float or array
        mm.

    Raises
    ------
    ValueError
        "The chainring must have 9 teeth or more, …"; "The roller must be greater than 0; …"

    References
    ----------
    ISO 606, tip diameter, from memory; the upper limit also as a page on sprockets gives it.

    Examples
    --------
    >>> [round(d, 2) for d in tip_limits(42)]
    [174.41, 178.07]
    >>> tip_limits(42, roller=0.0)
    Traceback (most recent call last):
    ValueError: The roller must be greater than 0; got 0 mm. Check the number.
    """
    middle, count = np.asarray(pitch_diameter(teeth, pitch)), _teeth(teeth)
    less = np.asarray(positive("roller", roller), dtype=float)
    pitch = np.asarray(pitch, dtype=float)
    return bare(middle + pitch * (1 - 1.6 / count) - less), bare(middle + 1.25 * pitch - less)


def _teeth(teeth: Any) -> Any:
    teeth = np.asarray(number("chainring", teeth, "teeth"), dtype=float)
    require(
        (teeth >= LEAST_TEETH) & (teeth == np.round(teeth)),
        "The chainring must have 9 teeth or more, and a whole number; got {teeth}. Count them.",
        teeth=teeth,
    )
    return teeth
