"""Finding the frame that has the dimensions given: closed forms first, then a guarded search."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit.frame.base import (
    BASIC,
    DERIVED,
    MAY_BE_ZERO,
    NEEDS,
    RULES,
    STEP,
    Base,
    refuse_bad,
    refuse_unbuildable,
    value,
)
from coursekit.rules import number

Array = NDArray[np.float64]

AGREE = 1e-6  # mm or degrees; a smaller difference still counts as the same
NEGLIGIBLE = 1e-7  # slope, mm/mm, below which a dimension does not count as depending on another

# where a search starts: the usual value first, then others; common practice, no source
STARTS = {
    "seat_angle_deg": (73.0, 60.0, 85.0),
    "head_angle_deg": (72.0, 55.0, 64.0, 80.0, 88.0),
    "chainstay": (430.0, 300.0, 550.0),
    "bb_drop": (70.0, -20.0, 150.0),
    "rear_radius": (340.0, 200.0),
    "front_radius": (340.0, 200.0),
    "fork_length": (385.0,),
    "fork_offset": (45.0, 5.0, 90.0),
    "lower_stack": (12.0,),
    "head_tube": (150.0, 60.0, 300.0),
    "seat_tube": (550.0,),
    "front_centre": (600.0, 480.0, 800.0),
}
USUAL = {name: values[0] for name, values in STARTS.items()}
MOST_STARTS = 48


def slopes(b: Base, names: Sequence[str], by: Sequence[str]) -> Array:
    """Return partial derivatives of dimensions by basic ones, with the other basic ones held.

    Parameters
    ----------
    b : mapping of str to float or array
        The twelve basic dimensions.
    names : sequence of str
        The dimensions that change.
    by : sequence of str
        The basic dimensions that change them.

    Returns
    -------
    array, (…, names, by)
        mm/mm, mm/°, °/mm or °/°.
    """
    columns = []
    for name in by:
        moved = {**b, name: b[name] + 1j * STEP}
        columns.append(
            np.stack(np.broadcast_arrays(*(np.imag(value(moved, n)) / STEP for n in names)), -1)
        )
    shape = np.broadcast_shapes(*(c.shape for c in columns))
    return np.stack([np.broadcast_to(c, shape) for c in columns], axis=-1)


def solved(dimensions: Mapping[str, Any]) -> dict[str, Any]:
    """Return the twelve basic dimensions of the one frame that has the dimensions given.

    Parameters
    ----------
    dimensions : mapping of str to float or array
        Dimensions by name, basic or derived, mm and degrees.

    Returns
    -------
    dict of str to float or array
        The basic dimensions.

    Raises
    ------
    ValueError
        As `frame.draw`.
    """
    if not dimensions:
        raise ValueError(
            f"The dimensions given must fix the frame; got none. Give {', '.join(BASIC)}."
        )
    given = {k: v for k, v in dimensions.items() if k not in DERIVED}
    refuse_bad(given)
    asked = {k: number(k, v) for k, v in dimensions.items() if k in DERIVED}
    base, left = _by_rule(given, asked)
    if len(base) < len(BASIC) or left:
        base = _each(base, left, dimensions)
    refuse_unbuildable(base)
    _prove(base, dimensions)
    return {name: base[name] for name in BASIC}


def _by_rule(base: dict[str, Any], asked: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Use the closed forms as far as they go; what they leave is for the search."""
    base, asked, again = dict(base), dict(asked), True
    while again:
        again = False
        for name, found, how in RULES:
            if name in asked and found not in base and NEEDS[name] - {found} <= base.keys():
                wanted = asked.pop(name)
                base[found] = _snapped(found, how(base, wanted))
                _refuse_found(refuse_bad, base)
                again = True
    return base, asked


def _snapped(name: str, found: Any) -> Any:
    """Make zero of a length that may be zero and came out below it by a rounding error."""
    if name not in MAY_BE_ZERO:
        return found
    return np.where((found < 0) & (found > -AGREE / 100), 0.0, found)[()]


def _refuse_found(check: Callable[[Base], None], found: Base) -> None:
    """Refuse what follows from the dimensions given, and say that it follows from them."""
    try:
        check(found)
    except ValueError as broken:
        raise ValueError(
            "The dimensions must belong to a frame that can exist; got some from which it follows "
            f"otherwise. {broken}"
        ) from None


def _each(
    base: dict[str, Any], asked: dict[str, Any], dimensions: Mapping[str, Any]
) -> dict[str, Any]:
    """Search for every frame of a batch in turn."""
    shape = np.broadcast_shapes(*(np.shape(v) for v in dimensions.values()))
    out = {name: np.empty(shape) for name in BASIC}
    for at in np.ndindex(shape):
        one = _search(*(_picked(group, shape, at) for group in (base, asked, dimensions)))
        for name in BASIC:
            out[name][at] = one[name]
    return out if shape else {k: float(v) for k, v in out.items()}


def _picked(
    group: Mapping[str, Any], shape: tuple[int, ...], at: tuple[int, ...]
) -> dict[str, float]:
    return {k: float(np.broadcast_to(v, shape)[at]) for k, v in group.items()}


def _search(
    base: dict[str, float], asked: dict[str, float], dimensions: dict[str, float]
) -> dict[str, float]:
    free = [n for n in BASIC if n not in base]
    tries = [_nearest({**base, **start}, free, asked) for start in _starts(free)]
    ended = [t for t in tries if t is not None]
    hits = [b for b, miss in ended if miss < AGREE / 100]
    best = min(ended, key=lambda t: t[1])[0] if ended else {**USUAL, **base}
    usual = {**USUAL, **base}
    shape = usual if np.isfinite(slopes(usual, list(dimensions), BASIC)).all() else best
    _refuse_free(shape, dimensions)
    if not hits:
        _refuse_conflict(shape, free, asked, dimensions)
        raise ValueError(_impossible(best, asked))
    hits = [{n: _snapped(n, v) for n, v in b.items()} for b in hits]
    sound = [b for b in hits if _is_frame(b)]
    if not sound:
        _refuse_found(refuse_unbuildable, hits[0])
    _refuse_two(sound, free)
    return sound[0]


def _starts(free: Sequence[str]) -> list[dict[str, float]]:
    choices = [STARTS[n] for n in free]
    every = sorted(
        itertools.product(*(range(len(c)) for c in choices)), key=lambda k: (sum(map(bool, k)), k)
    )
    return [
        {n: c[i] for n, c, i in zip(free, choices, k, strict=True)} for k in every[:MOST_STARTS]
    ]


def _missing(b: Base, asked: Mapping[str, float]) -> Array:
    return np.array([np.real(value(b, n)) - v for n, v in asked.items()], float)


def _nearest(
    b: dict[str, float], free: list[str], asked: dict[str, float]
) -> tuple[dict[str, float], float] | None:
    """Gauss–Newton with halved steps: where it ends, and the largest miss there."""
    miss = _missing(b, asked)
    if not np.isfinite(miss).all():
        return None
    for _ in range(60):
        if not free or not asked or np.abs(miss).max() < 1e-11:
            break
        slope = slopes(b, list(asked), free)
        step: Array = np.linalg.lstsq(slope, -miss, rcond=1e-10)[0].astype(float)
        better = _shorter(b, free, asked, step, miss)
        if better is None:
            break
        b, miss = better
    return b, float(np.abs(miss).max(initial=0.0))


def _shorter(
    b: dict[str, float], free: list[str], asked: dict[str, float], step: Array, miss: Array
) -> tuple[dict[str, float], Array] | None:
    """Go along a step, halved until the miss shrinks; None if it never does."""
    for halving in range(30):
        change = zip(free, step.tolist(), strict=True)
        moved = {**b, **{n: b[n] + s * 0.5**halving for n, s in change}}
        new = _missing(moved, asked)
        if new @ new < miss @ miss:  # False where it is nan
            return moved, new
    return None


def _is_frame(b: Base) -> bool:
    try:
        refuse_unbuildable(b)
    except ValueError:
        return False
    return True


def _refuse_free(b: dict[str, float], dimensions: Mapping[str, float]) -> None:
    """Refuse too few dimensions, and name every one that can still change."""
    known = list(dimensions)
    slope = slopes(b, known, BASIC)
    _, size, ways = np.linalg.svd(slope)
    rank = int((size > NEGLIGIBLE * size[0]).sum())
    if rank == len(BASIC):
        return
    loose = ways[rank:].T
    names = [n for n in (*BASIC, *DERIVED) if n not in known]
    moves = np.abs(slopes(b, names, BASIC) @ loose).max(axis=-1)
    still = [n for n, m in zip(names, moves, strict=True) if m > NEGLIGIBLE]
    count = len(BASIC) - rank
    extra = _dependent(b, known)
    more = f" {', '.join(extra)} hang together and count for less." if extra else ""
    wheels = {"rear_radius", "front_radius"} <= set(still)
    both = " (wheel_radius sets both radii.)" if wheels else ""
    raise ValueError(
        f"The dimensions given must fix the frame; still free: {', '.join(still)}.{more} "
        f"Give {count} of them.{both}"
    )


def _dependent(b: Base, names: Sequence[str]) -> list[str]:
    """Those of some dimensions that are tied together: one of them follows from the rest."""
    slope = slopes(b, names, BASIC)
    left, size, _ = np.linalg.svd(slope)
    rank = int((size > NEGLIGIBLE * size[0]).sum())
    part = np.abs(left[:, rank:]).max(axis=-1, initial=0.0)
    return [n for n, p in zip(names, part, strict=True) if p > NEGLIGIBLE]


def _refuse_conflict(
    b: dict[str, float], free: list[str], asked: dict[str, float], dimensions: dict[str, float]
) -> None:
    """Refuse too many dimensions, and name those that contradict each other and by how much."""
    tangled = _dependent(b, list(dimensions))
    if not tangled:
        return
    said = []
    for name in (n for n in tangled if n in asked):
        rest = {k: v for k, v in asked.items() if k not in (tangled if not free else [name])}
        ends = [
            _nearest({**USUAL, **b, **s}, free, rest)
            for s in [{n: b[n] for n in free}, *_starts(free)[:4]]
        ]
        fits = [e for e in ends if e is not None and e[1] < AGREE]
        if fits:
            comes = float(np.real(value(fits[0][0], name)))
            way = "less" if asked[name] < comes else "more"
            said.append(
                f"{name} is {asked[name]:.7g} but follows from the others as {comes:.7g}, "
                f"{abs(asked[name] - comes):.4g} {way}"
            )
    raise ValueError(
        f"The dimensions must not contradict each other; got {', '.join(tangled)}"
        + (f": {'; '.join(said)}" if said else "")
        + ". Leave one of them out."
    )


def _impossible(b: Base, asked: Mapping[str, float]) -> str:
    near = ", ".join(f"{n} {float(np.real(value(b, n))):.6g}" for n in asked)
    want = ", ".join(f"{n} {v:.6g}" for n, v in asked.items())
    return (
        f"The dimensions must belong to a frame that can exist; none has {want} with the others "
        f"given (the nearest found has {near}). Change one of them."
    )


def _refuse_two(sound: list[dict[str, float]], free: list[str]) -> None:
    first = sound[0]
    for other in sound[1:]:
        apart = {n: (first[n], other[n]) for n in free if abs(first[n] - other[n]) > 1e-4}
        if apart:
            words = "; ".join(f"{n} {a:.6g} or {c:.6g}" for n, (a, c) in apart.items())
            raise ValueError(
                f"The dimensions must fit one frame only; got two that have them: {words}. "
                "Give one of these as well."
            )


def _prove(base: Base, dimensions: Mapping[str, Any]) -> None:
    """Refuse a frame that does not have every dimension that was asked for."""
    for name, wanted in dimensions.items():
        off = np.abs(np.asarray(value(base, name)) - wanted)
        if not np.all(off < AGREE):
            raise ValueError(
                f"The dimensions must not contradict each other; got {name} off by "
                f"{float(np.max(off)):.4g} from what the others make it. Leave one of them out."
            )
