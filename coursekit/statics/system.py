"""The frame's equations: which ways joints may move, assembly, solving, mechanisms.

The equations are scaled to a unit diagonal before they are solved. A fixed trial load is solved
beside the real ones. What it moves bounds the stiffness of the softest way from above, so a
near-mechanism shows whatever the real loads are; then the eigenvalues decide.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from coursekit.statics.members import Array

Index = NDArray[np.intp]

WAYS = ("x", "y", "z", "turn_x", "turn_y", "turn_z")
CHUNK = 32  # frames put together at a time; their matrices stay in the processor's cache
SUSPECT = 1e7  # a trial load that moves the scaled frame so far makes us look at eigenvalues
FREE = 1e-12  # a scaled stiffness (the stiffest way is about 1) below which a way counts as free


class MechanismError(ValueError):
    """The frame can move without bending a tube; the message names the joint and the way."""


class Assembly(NamedTuple):
    """Where the members' stiffnesses go: `order` sorts a member list's numbers by target."""

    size: int
    order: Index
    starts: Index
    targets: Index


def plan(at: Index, free: Index) -> Assembly:
    """Plan for members whose ends' ways are `at` (members, 12); `free` numbers the free ways."""
    size = int((free >= 0).sum())
    number = free[at]
    target = number[:, :, None] * size + number[:, None, :]
    target[(number[:, :, None] < 0) | (number[:, None, :] < 0)] = size * size
    flat = target.ravel()
    order = np.argsort(flat, kind="stable")[: int((flat < size * size).sum())]
    kept = flat[order]
    starts = np.flatnonzero(np.diff(kept, prepend=-1))
    return Assembly(size, order, starts, kept[starts])


def put_together(blocks: Array, p: Assembly) -> Array:
    """Sum of many frames' member blocks (frames, members, 12, 12), (frames, size, size)."""
    out = np.zeros((len(blocks), p.size * p.size))
    if p.size:
        in_order = blocks.reshape(len(blocks), -1).take(p.order, axis=1)
        out[:, p.targets] = np.add.reduceat(in_order, p.starts, axis=1)
    return out.reshape(len(blocks), p.size, p.size)


def put_one_together(blocks: Array, at: Index, free: Index) -> Array:
    """The same for one frame, (1, size, size), without the work of a plan."""
    size = int((free >= 0).sum())
    number = np.where(free < 0, size, free)[at]
    flat = (number[:, :, None] * (size + 1) + number[:, None, :]).ravel()
    sums = _sums(flat, blocks, (size + 1) ** 2)
    return sums.reshape(1, size + 1, size + 1)[:, :size, :size]


def put_on_joints(loads: Array, at: Index, size: int) -> Array:
    """Sum of member end loads (frames, members, 12) on the joints, (frames, size)."""
    frames = loads.shape[0]
    every = (np.arange(frames)[:, None] * size + at.ravel()).ravel()
    return _sums(every, loads, frames * size).reshape(frames, size)


def _sums(target: Index, numbers: Array, size: int) -> Array:
    """Numbers added up at their targets 0 … size − 1."""
    return np.bincount(target, numbers.ravel(), size).astype(float, copy=False)


@lru_cache(maxsize=32)
def _trial(size: int) -> Array:
    """A load that pushes on every way at once without a pattern, so that it misses no mechanism."""
    load: Array = 2 + np.sin(np.arange(size) ** 2)
    load.flags.writeable = False
    return load


def solved(k: Array, load: Array, names: Callable[[], list[tuple[str, str]]], first: int) -> Array:
    """Movement (frames, ways) under loads (frames, ways); a MechanismError if a part is loose."""
    diagonal = np.diagonal(k, axis1=-2, axis2=-1)
    scale = 1 / np.sqrt(np.where(diagonal > 0, diagonal, 1.0))
    scaled = k * scale[:, :, None]
    scaled *= scale[:, None, :]
    columns = _columns(load, scale, len(k))
    try:
        moved = np.linalg.solve(scaled, columns)
    except np.linalg.LinAlgError:
        moved = np.full_like(columns, np.inf)
    far = np.abs(moved[..., -1]).max(axis=1) if k.size else np.zeros(len(k))
    for i in np.flatnonzero(~(far < SUSPECT)):
        _refuse_mechanism(scaled[i], scale[i], names(), first + int(i) if len(k) > 1 else None)
    if not np.isfinite(moved).all():
        raise MechanismError(
            "The frame must be held; its equations have no solution. Support or brace it."
        )
    moved = moved[..., :-1] * scale[:, :, None]
    return moved[0].T if len(k) == 1 else moved[..., 0]


def _columns(load: Array, scale: Array, frames: int) -> Array:
    """Right-hand sides and then the trial; a column a load case if all frames are the same."""
    ways = load.shape[1]
    cases = len(load) if frames == 1 else 1
    out = np.empty((frames, ways, cases + 1))
    out[..., :-1] = load.T[None] if frames == 1 else load[..., None]
    out[..., :-1] *= scale[..., None]
    out[..., -1] = _trial(ways)
    return out


def _refuse_mechanism(
    scaled: Array, scale: Array, names: list[tuple[str, str]], frame: int | None
) -> None:
    if _is_stiff(scaled):
        return
    values, vectors = np.linalg.eigh(scaled)
    loose = vectors[:, values < FREE]
    if not loose.shape[1]:
        return
    projector = loose @ loose.T
    chief = int(np.argmax(np.diagonal(projector)))
    move = projector[:, chief] * scale
    where = "" if frame is None else f" (frame {frame} of the batch)"
    raise MechanismError(
        f"The frame must be held so that no joint moves without bending a tube; "
        f"joint {names[chief][0]!r} {_way(move, chief, names)}{where}, "
        f"{loose.shape[1]} such motion{'s' * (loose.shape[1] > 1)} in all. Support or brace it."
    )


def _is_stiff(scaled: Array) -> bool:
    """Whether no eigenvalue lies near FREE: what is left above twice that much is definite.

    It takes a tenth of the time of the eigenvalues, which are worked out only if this is False.
    """
    try:
        np.linalg.cholesky(scaled - 2 * FREE * np.eye(len(scaled)))
    except np.linalg.LinAlgError:
        return False
    return True


def _way(move: Array, chief: int, names: list[tuple[str, str]]) -> str:
    """Words for how the chief joint moves: along an axis, along a direction, or about an axis."""
    joint, kind = names[chief]
    turning = kind.startswith("turn")
    mine = dict.fromkeys(WAYS[3:] if turning else WAYS[:3], 0.0)
    for value, (name, way) in zip(move, names, strict=True):
        if name == joint and way in mine:
            mine[way] = float(value)
    part = np.array(list(mine.values()))
    part = part / (np.sqrt(part @ part) * np.sign(part[np.argmax(np.abs(part))]))
    verb = "turns freely about" if turning else "moves freely along"
    if np.abs(part).max() > 1 - 1e-6:
        return f"{verb} {'xyz'[int(np.argmax(np.abs(part)))]}"
    return f"{verb} ({', '.join(f'{c + 0.0:.2f}' for c in part)})"
