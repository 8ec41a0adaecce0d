"""Lengths as a shop says them, in millimetres: inches, fractions and wire gauges."""

from __future__ import annotations

import re
from fractions import Fraction
from math import gcd
from typing import Any

import numpy as np

from coursekit.rules import number, require

INCH = 25.4  # mm, exact (international yard and pound agreement, 1959)

# Walls in inches by gauge number: Birmingham (Stubs iron) wire gauge, British Standard (BS 3737)
# wire gauge. Four public tables agree for these numbers.
_GAUGES = {
    14: (0.083, 0.080),
    15: (0.072, 0.072),
    16: (0.065, 0.064),
    17: (0.058, 0.056),
    18: (0.049, 0.048),
    19: (0.042, 0.040),
    20: (0.035, 0.036),
    21: (0.032, 0.032),
    22: (0.028, 0.028),
    23: (0.025, 0.024),
    24: (0.022, 0.022),
    25: (0.020, 0.020),
    26: (0.018, 0.018),
}
BWG = {number: birmingham for number, (birmingham, _) in _GAUGES.items()}
SWG = {number: standard for number, (_, standard) in _GAUGES.items()}

_NUMBER = r"(?P<sign>[-+]?)(?:(?P<whole>\d+)(?:\s+|-))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)"
_FRACTION = re.compile(_NUMBER + r"\s*(?P<unit>in|inch|inches|\"|mm)")
_DECIMAL = re.compile(r"(?P<value>[-+]?(?:\d+\.?\d*|\.\d+))\s*(?P<unit>in|inch|inches|\"|mm|cm|m)?")
_GAUGE = re.compile(r"(?:#|no\.?)?\s*(?P<gauge>\d+)\s*(?:ga\.?\s*)?(?P<series>bwg|swg)")
_BARE_GAUGE = re.compile(r"\d+\s*(?:ga|ga\.|gauge|g)")
_PER_UNIT = {"in": INCH, "inch": INCH, "inches": INCH, '"': INCH, "mm": 1.0, "cm": 10.0, "m": 1e3}


def mm(text_or_number: Any) -> Any:
    """Return a length in mm, read from shop text, or taken as mm where it already is a number.

    An inch is 25.4 mm exactly. A gauge must name its series, because the series differ: 20 BWG is
    0.889 mm and 20 SWG is 0.9144 mm.

    Parameters
    ----------
    text_or_number : str, float, list or array
        "1 1/8 in", "1-1/8 in", "7/8in", '7/8"', "0.035 in", "20 BWG", "20 SWG", "28.6 mm", 28.6, or
        a list or array of these. Text without a unit counts as mm.

    Returns
    -------
    float or array
        mm; an array for a list or an array.

    Raises
    ------
    ValueError
        "The length must be a number with mm or in, or a gauge with BWG or SWG; got … Write it like
        '1 1/8 in'."; "The gauge must name its series; got … Write '20 BWG' …"; "The gauge must lie
        between 14 and 26; got …"

    References
    ----------
    International yard and pound agreement (1959); BS 3737 for SWG; Stubs iron wire gauge for BWG.

    Examples
    --------
    >>> mm("1 1/8 in"), mm("7/8in"), mm("20 BWG"), mm(28.6)
    (28.575, 22.225, 0.889, 28.6)
    >>> mm("one inch")
    Traceback (most recent call last):
    ValueError: The length must be a number with mm or in, or a gauge with BWG or SWG; got
    'one inch'. Write it like '1 1/8 in', '28.6 mm' or '20 BWG'.
    """
    if isinstance(text_or_number, str):
        return _read(text_or_number)
    if isinstance(text_or_number, (list, tuple, np.ndarray)):
        return np.array([mm(one) for one in text_or_number])
    return float(number("length", text_or_number))


def fraction(length: float, denominator: int = 64) -> str:
    """Return the nearest inch fraction of a length as text, "1 1/8 in".

    A length half-way between two goes to the even count of parts, as Python's round does. The text
    reads back through `mm`.

    Parameters
    ----------
    length : float or str
        mm, or text that `mm` reads.
    denominator : int
        The finest part of an inch on the rule, a power of two (2, 4, 8 … 128).

    Returns
    -------
    str
        The fraction, with its unit.

    Raises
    ------
    ValueError
        "The denominator must be a power of two up to 128; got 10. …"

    Examples
    --------
    >>> fraction(28.6), fraction(31.8), fraction(34.9, 8), fraction(0.1)
    ('1 1/8 in', '1 1/4 in', '1 3/8 in', '0 in')
    >>> fraction(28.6, 10)
    Traceback (most recent call last):
    ValueError: The denominator must be a power of two up to 128; got 10. A rule is divided in
    halves, quarters, eighths …: take 64.
    """
    if denominator not in (1, 2, 4, 8, 16, 32, 64, 128):
        raise ValueError(
            f"The denominator must be a power of two up to 128; got {denominator}. "
            "A rule is divided in halves, quarters, eighths …: take 64."
        )
    parts = round(Fraction(mm(length)) / Fraction("25.4") * denominator)
    sign, (whole, top) = "-" if parts < 0 else "", divmod(abs(parts), denominator)
    common = gcd(top, denominator)
    words = [str(whole)] * bool(whole or not top) + [
        f"{top // common}/{denominator // common}"
    ] * bool(top)
    return f"{sign}{' '.join(words)} in"


def rise(angle_deg: Any, run: Any = 300.0) -> Any:
    """Return how far a line at an angle rises over a run along the base: run · tan(angle).

    This turns an angle into a length that you can set out with a rule, on a full-size drawing as a
    rise over 300 mm.

    Parameters
    ----------
    angle_deg : float or array
        Degrees from the base, above −90 and below 90; below 0 the line falls.
    run : float or array
        Along the base, mm, above 0.

    Returns
    -------
    float or array
        mm.

    Raises
    ------
    ValueError
        "The angle must lie between −90° and 90°; got 90°. An upright line has no rise: set it out
        with a square."; "The run must be greater than 0; got 0 mm. Check the number."

    Examples
    --------
    >>> round(float(rise(45.0)), 6), round(float(rise(73.0)), 2)
    (300.0, 981.26)
    >>> rise(90.0)
    Traceback (most recent call last):
    ValueError: The angle must lie between −90° and 90°; got 90°. An upright line has no rise: set
    it out with a square.
    """
    angle_deg, run = number("angle", angle_deg, "degrees"), number("run", run)
    require(
        np.abs(angle_deg) < 90,
        "The angle must lie between −90° and 90°; got {angle}°. An upright line has no rise: "
        "set it out with a square.",
        angle=angle_deg,
    )
    require(
        np.asarray(run) > 0,
        "The run must be greater than 0; got {run} mm. Check the number.",
        run=run,
    )
    return run * np.tan(np.radians(angle_deg))


def _read(text: str) -> float:
    plain = " ".join(text.strip().lower().split())
    if found := _GAUGE.fullmatch(plain):
        return _gauge(text, int(found["gauge"]), found["series"])
    if found := _FRACTION.fullmatch(plain):
        return _fraction(text, found)
    if found := _DECIMAL.fullmatch(plain):
        return float(Fraction(found["value"]) * Fraction(str(_PER_UNIT[found["unit"] or "mm"])))
    if _BARE_GAUGE.fullmatch(plain):
        raise ValueError(
            f"The gauge must name its series; got {text!r}. Write '20 BWG' for Birmingham "
            "(0.889 mm) or '20 SWG' for British Standard (0.9144 mm)."
        )
    raise ValueError(
        "The length must be a number with mm or in, or a gauge with BWG or SWG; "
        f"got {text!r}. Write it like '1 1/8 in', '28.6 mm' or '20 BWG'."
    )


def _fraction(text: str, found: re.Match[str]) -> float:
    if int(found["bottom"]) == 0:
        raise ValueError(
            f"The fraction must not divide by zero; got {text!r}. Write it like '1 1/8 in'."
        )
    value = int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"]))
    sign = -1 if found["sign"] == "-" else 1
    return float(sign * value * Fraction(str(_PER_UNIT[found["unit"]])))


def _gauge(text: str, gauge: int, series: str) -> float:
    table = BWG if series == "bwg" else SWG
    if gauge not in table:
        raise ValueError(
            f"The gauge must lie between 14 and 26; got {text!r}. "
            "Measure the wall and give it in mm."
        )
    return float(Fraction(str(table[gauge])) * Fraction("25.4"))
