"""Numbers with leading axes, laid out for `statics` with the frames along the first axis."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.statics import check
from coursekit.statics.members import Array


@dataclass(frozen=True)
class Flat:
    """Lays arrays with the caller's leading axes out along one axis."""

    batch: tuple[int, ...]

    @property
    def size(self) -> int:
        """How many frames there are."""
        return math.prod(self.batch)

    def stack(self, vectors: list[Array]) -> Array:
        """(frames or 1, len(vectors), components)."""
        if not self.batch or all(v.ndim == 1 for v in vectors):
            return np.array(vectors)[None]
        wide = [np.broadcast_to(v, (*self.batch, v.shape[-1])) for v in vectors]
        return np.stack(wide, axis=-2).reshape(self.size, len(vectors), -1)

    def rows(self, rows: list[Any]) -> Array:
        """(frames, rows, numbers) of rows that are not all plain numbers."""
        wide = [np.stack([np.broadcast_to(v, self.batch) for v in row], -1) for row in rows]
        return np.stack(wide, axis=-2).astype(float).reshape(self.size, len(rows), -1)


def laid_out(vectors: list[Array], *tables: list[Any]) -> tuple[Flat, list[Array]]:
    """The leading axes that all of these share, and the tables as `Flat.rows` gives them."""
    plain = [_table(rows) for rows in tables]
    shapes = {v.shape[:-1] for v in vectors}
    for rows, table in zip(tables, plain, strict=True):
        if table is None:
            shapes.update(np.shape(v) for row in rows for v in row)
    flat = Flat(np.broadcast_shapes(*shapes) if shapes - {()} else ())
    pairs = zip(tables, plain, strict=True)
    return flat, [flat.rows(rows) if table is None else table[None] for rows, table in pairs]


def _table(rows: list[Any]) -> Array | None:
    """Rows of plain numbers as one array; None where some are arrays themselves."""
    try:
        table = np.array(rows, float)
    except ValueError:
        return None
    return table if table.ndim == 2 else None


def six(push: Array) -> Array:
    """Three forces and three moments, the moments zero where only forces were given."""
    if push.shape[-1] == 6:
        return push
    return np.concatenate([push, np.zeros_like(push)], axis=-1)


def positions(nodes: Mapping[str, Any]) -> dict[str, Array]:
    """The joints' positions by name, mm, or a refusal of one that is not three finite numbers."""
    try:
        every = np.array(list(nodes.values()), float)
    except ValueError:
        every = np.empty(0)
    if every.shape == (len(nodes), 3) and np.isfinite(every).all():
        return dict(zip(nodes, every, strict=True))
    return {n: check.vector(f"position of joint {n!r}", p, (3,)) for n, p in nodes.items()}
