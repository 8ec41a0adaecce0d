"""Reads single values and tables of a frame file, and says what is wrong with them and where."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from typing import Any

from coursekit import units

Table = Mapping[str, Any]
MOST = 3000.0  # mm: beyond it a number is a slip of the pen


class FrameFileError(ValueError):
    """A frame file that cannot be used; the message says where and what to mend."""


def known(where: str, table: Any, names: tuple[str, ...]) -> None:
    """Refuse what is no table, and a table with a name that isn't one of `names`."""
    if not isinstance(table, Mapping):
        raise FrameFileError(f"{where}: it must be a table; got {table!r}. See the example.")
    for name in table:
        if name not in names:
            near = difflib.get_close_matches(name, names, 1)
            cure = f"Did you mean {near[0]}?" if near else "Take it out or mend its name."
            raise FrameFileError(
                f"{where}: every name must be one of {', '.join(names)}; got {name!r}. {cure}"
            )


def table_of(where: str, data: Table, name: str) -> Table:
    """The table of that name, which must be there."""
    found = data.get(name)
    if not isinstance(found, Mapping):
        got = "none" if found is None else repr(found)
        raise FrameFileError(
            f"{where}: it must have a table for {name}; got {got}. Add it as in the example."
        )
    return found


def value_of(where: str, name: str, value: Any) -> float:
    """A length in mm, from text with a unit or a number; an angle or a plain number as it is."""
    if isinstance(value, str) and not name.endswith(("_deg", "_hold")):
        try:
            value = float(units.mm(value))
        except ValueError as error:
            raise FrameFileError(f"{where}, {name}: {error}") from None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
        raise FrameFileError(
            f"{where}: {name} must be a number; got {value!r}. Write it like `{name} = 28.6`."
        )
    if not (abs(value) <= MOST):
        raise FrameFileError(
            f"{where}: {name} must not be larger than {MOST:g}; got {value:g}. Check the unit: "
            "lengths are mm."
        )
    return float(value)


def values_of(where: str, name: str, value: Any, count: int | None) -> tuple[float, ...]:
    """A list of values, as many as `count` where it is given."""
    if not isinstance(value, list) or not value or (count and len(value) != count):
        wanted = f"a list of {count} numbers" if count else "a list of numbers"
        raise FrameFileError(f"{where}: {name} must be {wanted}; got {value!r}. Mend the list.")
    return tuple(value_of(where, name, one) for one in value)


def wanted(
    where: str, table: Any, names: tuple[str, ...], more: tuple[str, ...] = ()
) -> dict[str, float]:
    """The numbers of a table that must have all of `names`, and may have `more`."""
    known(where, table, names + more)
    for name in names:
        if name not in table:
            raise FrameFileError(f"{where}: it must have {name}; got none. Add the line.")
    return {n: value_of(where, n, v) for n, v in table.items()}
