"""The lines of a lesson's bench record: what is measured, with what, and what a fit makes of it.

They stand in the head of an exercise's public half, under `bench:`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import inf, isfinite, isnan
from typing import Any


class AuthoringError(ValueError):
    """A mistake in an exercise's own text; the message names file, question and cure."""


@dataclass(frozen=True)
class BenchLine:
    """A line of the bench record: what is measured, with what, and how finely the scale divides.

    `low` and `high` bound what a reading can sensibly be, in `unit`. `role`, one of `ROLES`, says
    what a fit over the class takes the reading for. `at` says where it was taken (the position
    along the tube) or after what (the degrees of the tacks, in the order in which they were set),
    `of` on which part, and `stage` whether before or after the work.
    """

    id: str
    say: str
    unit: str
    instrument: str
    resolution: float
    readings: int = 2
    low: float = -inf
    high: float = inf
    role: str = ""
    at: tuple[float, ...] = ()
    of: str = ""
    stage: str = ""


ROLES = {
    "lever": "distance from the joint to the gauge",
    "pull in plane": "gauge in plane after the tacks of `at`, positive toward the line at 0°",
    "pull across": "gauge across after the tacks of `at`, positive toward 90°, the drive side",
    "height drive up": "height at the position `at` of the part `of`, drive side up",
    "height drive down": "the same, drive side down",
    "offset": "how far the part `of` lies to the drive side, the other side negative",
    "place found": "place along a tube, found by measuring",
}
STAGES = ("", "before", "after")


_LINE_KEYS = {"id", "say", "unit", "instrument", "resolution"}
_LINE_MORE = {"readings", "low", "high", "role", "at", "of", "stage"}


def line(spec: Any, source: str) -> BenchLine:
    """Return the line of the bench record that `spec`, a part of an exercise's head, describes.

    Raises AuthoringError, naming file and line, for a mistake.
    """
    if not isinstance(spec, dict) or not _LINE_KEYS <= spec.keys() <= _LINE_KEYS | _LINE_MORE:
        raise AuthoringError(
            f"{source}: a line of the bench record must have {', '.join(sorted(_LINE_KEYS))} (and "
            f"may have {', '.join(sorted(_LINE_MORE))}); got {spec!r}. Mend it."
        )
    where = f"{source}, bench line '{spec['id']}'"
    words = {
        k: str(spec.get(k, "")) for k in ("id", "say", "unit", "instrument", "role", "of", "stage")
    }
    made = BenchLine(
        **words,
        resolution=_number(spec["resolution"], "resolution", where),
        readings=spec.get("readings", 2),
        low=_number(spec.get("low", -inf), "low", where),
        high=_number(spec.get("high", inf), "high", where),
        at=tuple(_number(x, "at", where) for x in _listed(spec.get("at", ()))),
    )
    _check_line(made, where)
    return made


def _number(value: Any, name: str, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or isnan(value):
        raise AuthoringError(f"{where}: `{name}` must be a number; got {value!r}. Mend it.")
    return float(value)


def _listed(value: Any) -> Any:
    return value if isinstance(value, list | tuple) else [value]


def _check_line(line: BenchLine, where: str) -> None:
    """Refuse a line that the record, its form or a fit could not work with."""
    if not re.fullmatch(r"[a-z][a-z0-9]*([-_][a-z0-9]+)*", line.id):
        raise AuthoringError(
            f"{where}: an id must be small letters, digits, - and _; got '{line.id}'. Rename it."
        )
    if not (isfinite(line.resolution) and line.resolution > 0):
        raise AuthoringError(
            f"{where}: the resolution must be above 0; got {line.resolution:g}. Give the finest "
            "division."
        )
    if line.readings not in range(1, 10):
        raise AuthoringError(
            f"{where}: `readings` must lie between 1 and 9; got {line.readings!r}. Change it."
        )
    if not line.low < line.high:
        raise AuthoringError(
            f"{where}: `low` must lie below `high`; got {line.low:g} and {line.high:g}. Swap them."
        )
    if line.role and line.role not in ROLES:
        raise AuthoringError(
            f"{where}: `role` must be one of {', '.join(ROLES)}; got '{line.role}'. Mend it."
        )
    if line.stage not in STAGES:
        raise AuthoringError(
            f"{where}: `stage` must be before or after; got '{line.stage}'. Mend it."
        )
    _check_role(line, where)


def _check_role(line: BenchLine, where: str) -> None:
    """Refuse a role that lacks what its fit needs."""
    if line.role.startswith("pull") and not line.at:
        raise AuthoringError(
            f"{where}: a pull must say after which tacks it was read; got no `at`. Give their "
            "degrees in the order set, `at: [0, 180]`."
        )
    if line.role.startswith("height") and not (len(line.at) == 1 and line.of):
        raise AuthoringError(
            f"{where}: a height must say where it was read and of which part; got at "
            f"{list(line.at)}, of '{line.of}'. Add both, `at: 100` and `of: head tube`."
        )
