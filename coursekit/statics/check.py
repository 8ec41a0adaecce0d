"""Refusals of `statics`: what a frame's description must be like, in words that say the cure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from coursekit.statics.members import Array


def vector(what: str, given: Any, sizes: tuple[int, ...]) -> Array:
    """The vector, or a refusal unless it has one of these sizes and is finite."""
    v = np.asarray(given, float)
    if v.ndim == 0 or v.shape[-1] not in sizes or not np.isfinite(v).all():
        words = " or ".join(str(s) for s in sizes)
        got = f"shape {v.shape}" if np.isfinite(v).all() else "a value that is not finite"
        raise ValueError(
            f"The {what} must be {words} finite numbers along its last axis; got {got}. "
            "Give x, y, z in that order."
        )
    return v


def names(
    joints: tuple[str, ...], members: Mapping[str, Any], supports: Any, loads: Any, spread: Any
) -> None:
    """Refuse a name that no joint or member has, and a joint without a member."""
    if not members:
        raise ValueError("A frame must have at least one member; got none. Add a Member.")
    known = set(joints)
    used = {end for m in members.values() for end in (m.start, m.end)}
    if not used <= known:
        name, end = next(
            (n, e) for n, m in members.items() for e in (m.start, m.end) if e not in known
        )
        raise ValueError(
            f"The member must run between joints that exist; got {end!r} in member {name!r}. "
            f"Known joints: {', '.join(joints)}."
        )
    for word, given in (("support", supports), ("load", loads)):
        for name in given:
            if name not in known:
                raise ValueError(
                    f"The {word} must be at a joint that exists; got {name!r}. "
                    f"Known joints: {', '.join(joints)}."
                )
    for name in spread:
        if name not in members:
            raise ValueError(
                f"The spread load must lie on a member that exists; got {name!r}. "
                f"Known members: {', '.join(members)}."
            )
    if used != known:
        name = next(n for n in joints if n not in used)
        raise ValueError(f"A joint must have a member; got none at {name!r}. Remove it or join it.")


def pinned(
    members: Mapping[str, Any], push: Mapping[str, Array], thrust: Mapping[str, Array]
) -> None:
    """Refuse loads that a member with hinges at both ends can't carry."""
    if not any(m.pinned for m in members.values()):
        return
    stiff = {n for m in members.values() if not m.pinned for n in (m.start, m.end)}
    for name, load in push.items():
        if name not in stiff and np.any(load[..., 3:]):
            raise ValueError(
                f"A moment must act on a joint with a stiff member; got one on {name!r}, where all "
                "are pinned. Take the moment off, or let a member be stiff."
            )
    for name in thrust:
        if members[name].pinned:
            raise ValueError(
                f"A spread load must lie on a member with stiff ends; got pinned member {name!r}. "
                "Put half of it on each joint."
            )


def lengths(members: Mapping[str, Any], length: Array) -> None:
    """Refuse a member of no length."""
    if (length > 0).all():
        return
    for i, name in enumerate(members):
        if not np.all(length[:, i] > 0):
            raise ValueError(
                f"The member must have a length; got 0 mm for {name!r}. Part its joints "
                f"{members[name].start!r} and {members[name].end!r}, or make them one."
            )


def sides(members: Mapping[str, Any], axis: Array) -> None:
    """Refuse a side that lies along its member."""
    if np.isfinite(axis).all():
        return
    for i, name in enumerate(members):
        if not np.isfinite(axis[:, i]).all():
            raise ValueError(
                "The side of a member must not lie along it; "
                f"got {members[name].side} for {name!r}. Choose a direction across the tube."
            )


def tube(name: str, m: Any, ahead: Array, length: Array) -> None:
    """Refuse a butted tube that reaches beyond a joint of its member."""
    over = np.max(np.maximum(-ahead, ahead + m.tube.length - length))
    if over > 1e-6:
        raise ValueError(
            "The butted tube must lie within its member; "
            f"got {float(over):.6g} mm beyond a joint of {name!r}. "
            "Cut the tube first, or change tube_from."
        )
