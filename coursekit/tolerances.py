"""General tolerances for sizes that a drawing leaves without one (ISO 2768)."""

from __future__ import annotations

from math import nan
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import positive, require
from coursekit.scalars import bare

__all__ = ["length"]

# ISO 2768-1:1989, Table 1: largest size of each band, mm; the upper limit belongs to its band.
_SIZES = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
_ALLOWED = {  # ± mm
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, nan),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (nan, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}


def length(size: ArrayLike, grade: str = "m") -> Any:
    """Return by how much a length may miss its nominal size, ± mm.

    Parameters
    ----------
    size : float or array
        Nominal size, mm, 0.5 to 4000.
    grade : str
        "f" for fine, "m" for medium, "c" for coarse, "v" for very coarse.

    Returns
    -------
    float or array
        The tolerance to either side, mm.

    Raises
    ------
    ValueError
        "The size must lie between 0.5 and 4000; got 5000 mm. Write the tolerance on the
        drawing."; "The grade must be one of f, m, c, v; got 'x'. …"; "The grade must cover the
        size; …"

    References
    ----------
    ISO 2768-1:1989, Table 1, read in a DIN ISO copy. In grade c that copy differs from the
    standard for the two smallest sizes; this table has the standard's ±0.2 and ±0.3.

    Examples
    --------
    >>> length(68.0), length(130.0, "f")
    (0.3, 0.2)
    >>> length(5000.0)
    Traceback (most recent call last):
    ValueError: The size must lie between 0.5 and 4000; got 5000 mm. Write the tolerance on the
    drawing.
    """
    value = np.asarray(positive("size", size), dtype=float)
    require(
        (value >= 0.5) & (value <= _SIZES[-1]),
        "The size must lie between 0.5 and {most}; got {value} mm. Write the tolerance on the "
        "drawing.",
        most=_SIZES[-1],
        value=value,
    )
    require(
        grade in _ALLOWED,
        "The grade must be one of {grades}; got {grade}. Read it beside the drawing's title.",
        grades=", ".join(_ALLOWED),
        grade=repr(grade),
    )
    found = np.asarray(_ALLOWED[grade])[np.searchsorted(_SIZES, value, side="left")]
    require(
        np.isfinite(found),
        "The grade must cover the size; got {value} mm in grade {grade}. Take another grade.",
        value=value,
        grade=grade,
    )
    return bare(found)
