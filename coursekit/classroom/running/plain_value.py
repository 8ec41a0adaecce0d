"""Plain values: the only things that leave a student's process.

A value is written as a small mapping that JSON can hold and that the marker can read without
running anything: `{"is": "float", "value": "1.5"}`. Numbers travel as text, because JSON has no
nan and no inf.
"""

from __future__ import annotations

import sys
from decimal import Decimal
from fractions import Fraction
from typing import Any

LONGEST_TEXT = 200
LONGEST_LIST = 64
MOST_DIGITS = 400

Plain = dict[str, Any]


def plain(value: Any) -> Plain:
    """Return `value` as a plain value; of any other kind of thing, only its type's name.

    Only exact types of Python, numpy and sympy are read. An object of a student's own class is
    never asked for its float or its text, because it could run any code to answer. A masked array,
    a date or a mapping is not a number, whatever it holds.
    """
    kind = type(value)
    if value is None:
        return {"is": "none"}
    if kind is bool:
        return {"is": "bool", "value": value}
    if kind is int:
        return _integer(value)
    if kind is float:
        return {"is": "float", "value": repr(value)}
    if kind is str:
        return {"is": "text", "value": value.strip()[:LONGEST_TEXT]}
    if kind in (list, tuple):
        return _listed(value)
    if kind is complex:
        return {"is": "complex"}
    return _from_library(value, kind)


def _integer(value: int) -> Plain:
    if value.bit_length() > MOST_DIGITS * 3:
        return {"is": "other", "value": "int too large"}
    return {"is": "int", "value": str(value)}


def _listed(values: Any) -> Plain:
    """Return a list as a plain value; points, which are pairs, are laid out flat."""
    if len(values) > LONGEST_LIST:
        return {"is": "other", "value": f"list of {len(values)}"}
    values = _laid_out(values)
    items = [plain(v) if type(v) not in (list, tuple) else {"is": "list"} for v in values]
    return {"is": "list", "value": items}


def _laid_out(values: Any) -> list[Any]:
    """Return `[(1, 2), None, (3, 4)]` as `[1, 2, None, None, 3, 4]`, any other list as it is."""
    points = [v.tolist() if _is_array(v) else v for v in values]
    pairs = [(None, None) if p is None else p for p in points]
    if all(type(p) in (list, tuple) and len(p) == 2 for p in pairs) and any(points):
        return [number for pair in pairs for number in pair]
    return list(values)


def _is_array(value: Any) -> bool:
    import numpy as np

    return type(value) is np.ndarray and value.size <= LONGEST_LIST


def _from_library(value: Any, kind: type) -> Plain:
    """Return decimals, fractions, numpy values and sympy numbers as the numbers they stand for."""
    import numpy as np

    if kind in (Decimal, Fraction):
        return plain(float(value))
    if kind in _numpy_kinds():
        # item() leaves a long double as it is, so it is rounded to the nearest float
        return plain(float(value) if issubclass(kind, np.longdouble) else value.item())
    if kind is np.ndarray:
        return plain(value.tolist()) if value.size <= LONGEST_LIST else _listed(range(value.size))
    sympy = sys.modules.get("sympy")  # if it was never imported, no value is one of its own
    if sympy and issubclass(kind, sympy.Basic) and _is_sympys_own(kind):
        return _from_sympy(value)
    return {"is": "other", "value": _name(kind)[:60]}


def _numpy_kinds() -> set[type]:
    """Return numpy's own scalar types that stand for a number, a truth value or a text."""
    import numpy as np

    kinds = {np.dtype(c).type for c in "?bhilqpBHILQPefdgFDU"}
    return kinds - {np.clongdouble}


def _is_sympys_own(kind: type) -> bool:
    """Whether sympy itself holds this class under its name; a student's class only claims to."""
    module = type.__dict__["__module__"].__get__(kind)
    held = vars(sys.modules.get(module) or sys).get(_name(kind)) if type(module) is str else None
    return held is kind and module.startswith("sympy.")


def _name(kind: type) -> str:
    """Return the class's name without asking its metaclass."""
    return str(type.__dict__["__name__"].__get__(kind))


def _from_sympy(value: Any) -> Plain:
    if not getattr(value, "is_number", False):
        return {"is": "other", "value": "formula with letters in it"}
    number = value.evalf(17)
    return plain(float(number)) if number.is_real else {"is": "complex"}
