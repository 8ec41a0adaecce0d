"""Four frames of our own with a rear end and a fork, to be broken on purpose. The numbers are invented."""

from __future__ import annotations

import copy
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from coursekit.sheets import frame_file
from coursekit.sheets.build import Build

FOLDER = Path(__file__).parent / "sheets" / "frames"
NAMES = ("road", "touring", "trail", "step_through")


@cache
def _file(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def tables(
    name: str, changes: dict[str, Any] | None = None, without: tuple[str, ...] = ()
) -> dict[str, Any]:
    """The tables of a frame with some values changed or left out, by "table.key" or "a.b.key"."""
    data = copy.deepcopy(_file(name))
    for path in without:
        *way, key = path.split(".")
        _of(data, way).pop(key)
    for path, value in (changes or {}).items():
        *way, key = path.split(".")
        _of(data, way)[key] = value
    return data


def _of(data: dict[str, Any], way: list[str]) -> dict[str, Any]:
    for name in way:
        data = data.setdefault(name, {})
    return data


@cache
def whole(name: str) -> Build:
    """A frame as its file says it."""
    return frame_file.build(_file(name), f"{name}.toml")


def broken(name: str, changes: dict[str, Any], without: tuple[str, ...] = ()) -> Build:
    """A frame with something changed."""
    return frame_file.build(tables(name, changes, without), "frame.toml")
