"""Numbers with leading axes, laid out for `statics`: frames along the first axis."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit import _statics_check as check
from coursekit._statics_members import Array


@dataclass(frozen=True)
class Flat:
    """Lays arrays with the caller's leading axes out along one."""

    batch: tuple[int, ...]

    @property
    def size(self) -> int:
        return math.prod(self.batch)

    def stack(self, vectors: list[Array]) -> Array:
        """(frames or 1, len(vectors), components)."""
        if not self.batch or all(v.ndim == 1 for v in vectors):
            return np.array(vectors)[None]
        wide = [np.broadcast_to(v, (*self.batch, v.shape[-1])) for v in vectors]
        return np.stack(wide, axis=-2).reshape(self.size, len(vectors), -1)

    def rows(self, rows: list[Any]) -> Array:
        """(frames or 1, rows, numbers)."""
        table = _table(rows)
        if table is not None:
            return table[None]
        wide = [np.stack([np.broadcast_to(v, self.batch) for v in row], -1) for row in rows]
        return np.stack(wide, axis=-2).astype(float).reshape(self.size, len(rows), -1)


def _table(rows: list[Any]) -> Array | None:
    """Rows of plain numbers as one array; None where some are arrays themselves."""
    try:
        table = np.array(rows, float)
    except ValueError:
        return None
    return table if table.ndim == 2 else None


def shapes_of(numbers: Iterable[Any]) -> set[tuple[int, ...]]:
    """Leading axes that some numbers bring with them."""
    return {np.shape(v) for v in numbers if type(v) is not float}


def six(push: Array) -> Array:
    """Three forces and three moments."""
    if push.shape[-1] == 6:
        return push
    return np.concatenate([push, np.zeros_like(push)], axis=-1)


def positions(nodes: Mapping[str, Any]) -> dict[str, Array]:
    try:
        every = np.array(list(nodes.values()), float)
    except ValueError:
        every = np.empty(0)
    if every.shape == (len(nodes), 3) and np.isfinite(every).all():
        return dict(zip(nodes, every, strict=True))
    return {n: check.vector(f"position of joint {n!r}", p, (3,)) for n, p in nodes.items()}
