"""General tolerances for sizes that a drawing leaves without one (ISO 2768)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import nan
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import positive, require
from coursekit.scalars import bare

__all__ = ["angle_deg", "length", "straightness"]

# ISO 2768-1:1989, Table 1: largest size of each band, mm; the upper limit belongs to its band.
_LENGTHS = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
_LENGTH = {  # ± mm
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, nan),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (nan, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}
# ISO 2768-1:1989, Table 3: length of the shorter leg, mm.
_LEGS = (10.0, 50.0, 120.0, 400.0, np.inf)
_ANGLE = {  # ± minutes of arc
    "f": (60.0, 30.0, 20.0, 10.0, 5.0),
    "m": (60.0, 30.0, 20.0, 10.0, 5.0),
    "c": (90.0, 60.0, 30.0, 15.0, 10.0),
    "v": (180.0, 120.0, 60.0, 30.0, 20.0),
}
# ISO 2768-2:1989, Table 1: straightness and flatness; withdrawn in favour of ISO 22081:2021.
_STRAIGHT = (10.0, 30.0, 100.0, 300.0, 1000.0, 3000.0)
_STRAIGHTNESS = {  # mm, width of the zone
    "H": (0.02, 0.05, 0.1, 0.2, 0.3, 0.4),
    "K": (0.05, 0.1, 0.2, 0.4, 0.6, 0.8),
    "L": (0.1, 0.2, 0.4, 0.8, 1.2, 1.6),
}


def length(size: ArrayLike, grade: str = "m") -> Any:
    """How far a length may be off, ± mm.

    Parameters: `size`, mm, 0.5 to 4000; `grade`, "f" fine, "m" medium, "c" coarse, "v" very coarse.

    Raises ValueError: "The size must lie between 0.5 and 4000; got 5000 mm. Write the tolerance on
    the drawing."; "The grade must be one of f, m, c, v; got 'x'. …"; "The grade must cover the
    size; …"

    References: ISO 2768-1:1989, Table 1 (read in a DIN ISO copy; in grade c the two smallest sizes
    differ there, and the standard's ±0.2 and ±0.3 are given here).

    >>> length(68.0), length(130.0, "f")
    (0.3, 0.2)
    >>> length(5000.0)
    Traceback (most recent call last):
    ValueError: The size must lie between 0.5 and 4000; got 5000 mm. Write the tolerance on the
    drawing.
    """
    value = np.asarray(positive("size", size), dtype=float)
    most = _LENGTHS[-1]
    require(
        (value >= 0.5) & (value <= most),
        "The size must lie between 0.5 and {most}; got {value} mm. Write the tolerance on the "
        "drawing.",
        most=most,
        value=value,
    )
    return _looked_up(value, _LENGTHS, _LENGTH, grade)


def angle_deg(shorter_leg: ArrayLike, grade: str = "m") -> Any:
    """How far an angle may be off, ± degrees.

    Parameters: `shorter_leg`, length of the angle's shorter side, mm; `grade`, as `length`.

    Raises ValueError: "The shorter leg must be greater than 0; got 0 mm. Check the number."

    References: ISO 2768-1:1989, Table 3.

    >>> round(angle_deg(150.0), 4)  # 10 minutes
    0.1667
    >>> angle_deg(0.0)
    Traceback (most recent call last):
    ValueError: The shorter leg must be greater than 0; got 0 mm. Check the number.
    """
    value = np.asarray(positive("shorter leg", shorter_leg), dtype=float)
    return bare(np.asarray(_looked_up(value, _LEGS, _ANGLE, grade)) / 60)


def straightness(size: ArrayLike, grade: str = "K") -> Any:
    """Width of the zone that a straight or flat feature must lie in, mm: twice the ± off its middle.

    Parameters: `size`, mm, up to 3000; `grade`, "H", "K" or "L".

    Raises ValueError: "The size must be at most 3000; got 3500 mm. Write the tolerance on the
    drawing."

    References: ISO 2768-2:1989, Table 1 (withdrawn in favour of ISO 22081:2021, from memory).

    >>> straightness(560.0, "H")
    0.3
    >>> straightness(3500.0)
    Traceback (most recent call last):
    ValueError: The size must be at most 3000; got 3500 mm. Write the tolerance on the drawing.
    """
    value = np.asarray(positive("size", size), dtype=float)
    require(
        value <= _STRAIGHT[-1],
        "The size must be at most {most}; got {value} mm. Write the tolerance on the drawing.",
        most=_STRAIGHT[-1],
        value=value,
    )
    return _looked_up(value, _STRAIGHT, _STRAIGHTNESS, grade)


def _looked_up(value: Any, tops: Any, table: Mapping[str, Sequence[float]], grade: str) -> Any:
    require(
        grade in table,
        "The grade must be one of {grades}; got {grade}. Read it beside the drawing's title.",
        grades=", ".join(table),
        grade=repr(grade),
    )
    found = np.asarray(table[grade])[np.searchsorted(tops, value, side="left")]
    require(
        np.isfinite(found),
        "The grade must cover the size; got {value} mm in grade {grade}. Take another grade.",
        value=value,
        grade=grade,
    )
    return bare(found)
