"""Readings in series: one block of an exercise's head that stands for many quantities.

wall_{at}:
  at: 10..180 step 10
  say: wall {at} mm from end a
  unit: mm
  low: 0.44
  high: 0.98
  step: 0.01
  practice: {at: [10, 20], low: 0.445, high: 0.975, step: 0.01}

The quantities are then called wall_10, wall_20 and so on, as if each had a block of its own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from coursekit.classroom.bank.bench_line import AuthoringError

_AT = "{at}"
_STEPS = re.compile(r"(\d+) *\.\. *(\d+) +step +(\d+)")
_MOST = 100  # quantities of one series


def spread(numbers: Mapping[Any, Any], source: str) -> dict[str, Any]:
    """Return `numbers` with each series replaced by the quantities that it stands for."""
    found: dict[str, Any] = {}
    for name, spec in numbers.items():
        series = _quantities(name, spec, source) if _AT in str(name) else {name: spec}
        if twice := found.keys() & series.keys():
            raise AuthoringError(
                f"{source}: a quantity must be listed once; got '{min(twice)}' twice. Take one out."
            )
        found |= series
    return found


def _quantities(name: str, spec: Any, source: str) -> dict[str, Any]:
    where = f"{source}: series '{name}'"
    if not isinstance(spec, dict) or _AT not in str(spec.get("say", "")):
        raise AuthoringError(
            f"{where} must say with {_AT} where each reading is taken; got {spec!r}. Add `say`, "
            f"like `say: wall {_AT} mm from end a`."
        )
    places = _places(spec.get("at"), f"{where} must have `at`")
    practice = spec.get("practice")
    kept: Any = places
    if isinstance(practice, dict) and "at" in practice:
        kept = _places(practice["at"], f"{where}: `practice` must name its `at`")
        practice = {key: value for key, value in practice.items() if key != "at"}
        if unknown := [place for place in kept if place not in places]:
            raise AuthoringError(
                f"{where}: `practice` must keep to places of the series; got "
                f"{', '.join(unknown)}. They are {', '.join(places)}."
            )
    common = {key: value for key, value in spec.items() if key not in ("at", "practice")}
    return {
        name.replace(_AT, place): {
            **common,
            "say": spec["say"].replace(_AT, place),
            **({"practice": practice} if practice is not None and place in kept else {}),
        }
        for place in places
    }


def _places(at: Any, rule: str) -> list[str]:
    if isinstance(at, list):
        places = [str(place) for place in at]
    elif steps := _STEPS.fullmatch(str(at).strip()):
        low, high, step = map(int, steps.groups())
        places = [str(place) for place in range(low, high + 1, step)] if step else []
    else:
        places = []
    if not places or len(set(places)) < len(places) or len(places) > _MOST:
        raise AuthoringError(
            f"{rule} as a list or as `10..180 step 10`, no place twice and at most {_MOST}; got "
            f"{at!r}. Mend it."
        )
    return places
