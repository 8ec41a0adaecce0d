"""What the caller gave, checked and laid out as arrays with the frames along the first axis."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np

from coursekit import tubes
from coursekit.statics import check
from coursekit.statics import members as single
from coursekit.statics.arrays import Flat, laid_out, positions, six
from coursekit.statics.members import Array, Values
from coursekit.statics.system import WAYS, Index

HELD = {"fixed": WAYS, "pinned": WAYS[:3]}
# ways in which a joint may move: of a stiff member, of pinned ones only; then of a plane frame
SPACE, SPACE_PINNED = (True,) * 6, (True,) * 3 + (False,) * 3
PLANE, PLANE_PINNED = (True, True, False, False, False, True), (True,) * 2 + (False,) * 4
UNBATCHED = {
    "joints",
    "members",
    "batch",
    "frames",
    "first",
    "pinned",
    "at",
    "free",
    "held",
    "has_spread",
}


@dataclass(frozen=True)
class FrameModel:
    """A frame, or many: arrays are (frames or 1, …)."""

    joints: tuple[str, ...]
    members: Mapping[str, Any]
    batch: tuple[int, ...]
    frames: int
    first: int
    run: Array
    length_of: Array
    axis: Array
    integrals: Array
    modulus: Array
    shear_modulus: Array
    pinned: Array
    at: Index
    free: Index
    held: frozenset[str]
    forced: Array
    load: Array
    local_spread: Array
    has_spread: bool

    def part(self, start: int, stop: int) -> FrameModel:
        """Frames start … stop − 1."""
        if start == 0 and stop >= self.frames:
            return self
        cut = {
            f.name: getattr(self, f.name)[start:stop]
            for f in fields(self)
            if f.name not in UNBATCHED and len(getattr(self, f.name)) > 1
        }
        return replace(self, **cut, frames=min(stop, self.frames) - start, first=start)

    def to_global(self, local: Array) -> Array:
        """Local end loads (frames, members, 12) in the frame's axes."""
        return (local.reshape(*local.shape[:-1], 4, 3) @ self.axis).reshape(local.shape)

    def free_names(self) -> list[tuple[str, str]]:
        """(joint, way) of every equation."""
        return [(self.joints[i // 6], WAYS[i % 6]) for i in np.flatnonzero(self.free >= 0)]

    @cached_property
    def _number(self) -> dict[str, int]:
        return {name: i for i, name in enumerate(self.members)}

    def _of(self, values: Array, member: str) -> Array:
        """A member's own values with the caller's leading axes."""
        mine = values[:, self._number[member]]
        shape = self.batch if len(mine) > 1 else (1,) * len(self.batch)
        return mine.reshape((*shape, *mine.shape[1:]))

    def length(self, member: str) -> Array:
        """Length of a member, mm."""
        return self._of(self.length_of, member)

    def local_q(self, member: str) -> Array:
        """Spread load on a member in its local axes, N/mm."""
        return self._of(self.local_spread, member)

    def bends(self, member: str) -> Array:
        """Places where a member's wall bends, with both ends, mm from its start."""
        tube, length = self.members[member].tube, self.length(member)
        if isinstance(tube, tubes.Butted):
            return single.breaks(tube, _ahead(self.members[member], length), length)
        return np.stack([0 * length, length], axis=-1)

    def section(self, member: str, along: Array) -> Values:
        """Values of the section at places along a member."""
        own = self.members[member]
        if isinstance(own.tube, tubes.Butted):
            ahead = np.asarray(_ahead(own, self.length(member)))[..., None]
            wall = own.tube.wall_at(np.clip(along - ahead, 0.0, own.tube.length))
            return single.values_of(tubes.Round(own.tube.diameter, wall), 0.0)
        return Values(*(np.asarray(v)[..., None] for v in single.values_of(own.tube, 0.0)))


def _spread(
    flat: Flat, members: Mapping[str, Any], thrust: Mapping[str, Array], axis: Array
) -> Array:
    """Spread loads in local axes, (frames or 1, members, 3)."""
    if not thrust:
        return np.zeros((1, len(members), 3))
    q = flat.stack([thrust.get(n, np.zeros(3)) for n in members])
    return (axis @ q[..., None])[..., 0]


def _sides(members: Mapping[str, Any]) -> Array | None:
    """Directions asked for local z (members, 3), nan where none was; None where none at all."""
    if all(m.side is None for m in members.values()):
        return None
    return np.array([(np.nan,) * 3 if m.side is None else m.side for m in members.values()], float)


def _ahead(member: Any, length: Any) -> Any:
    """Run from a member's start to end a of its butted tube, mm."""
    if member.tube_from is None:
        return (length - member.tube.length) / 2
    return member.tube_from + 0.0 * length


def modelled(
    nodes: Mapping[str, Any],
    members: Mapping[str, Any],
    supports: Mapping[str, Any],
    loads: Mapping[str, Any],
    spread: Mapping[str, Any],
    plane: bool,
) -> FrameModel:
    """Check what was given and lay it out."""
    joints = tuple(nodes)
    check.names(joints, members, supports, loads, spread)
    place = positions(nodes)
    push = {n: six(check.vector(f"load on joint {n!r}", p, (3, 6))) for n, p in loads.items()}
    thrust = {n: check.vector(f"spread load on member {n!r}", p, (3,)) for n, p in spread.items()}
    check.pinned(members, push, thrust)
    values = _values(members)
    free, force = _freedom(joints, members, {n: _ways(n, s) for n, s in supports.items()}, plane)
    vectors = [*place.values(), *push.values(), *thrust.values()]
    flat, (numbers, forced) = laid_out(vectors, values, [force])
    ends = _ends(joints, members)
    at = (ends[:, :, None] * 6 + np.arange(6)).reshape(len(ends), 12)
    position = flat.stack([place[n] for n in joints])
    run = position[:, ends[:, 1]] - position[:, ends[:, 0]]
    length, axis = _directions(members, run)
    load = flat.stack([push.get(n, np.zeros(6)) for n in joints])
    return FrameModel(
        joints=joints,
        members=dict(members),
        batch=flat.batch,
        frames=flat.size,
        first=0,
        run=run,
        length_of=length,
        axis=axis,
        integrals=_integrals(members, numbers, length),
        modulus=numbers[..., 6],
        shear_modulus=numbers[..., 7],
        pinned=np.array([m.pinned for m in members.values()]),
        at=at,
        free=free,
        held=frozenset(supports),
        forced=forced[:, 0],
        load=load.reshape(len(load), -1),
        local_spread=_spread(flat, members, thrust, axis),
        has_spread=bool(thrust),
    )


def _ends(joints: tuple[str, ...], members: Mapping[str, Any]) -> Index:
    """Numbers of each member's two joints."""
    number = {name: i for i, name in enumerate(joints)}
    return np.array([(number[m.start], number[m.end]) for m in members.values()])


def _directions(members: Mapping[str, Any], run: Array) -> tuple[Array, Array]:
    """Lengths and local axes."""
    length = np.sqrt((run * run).sum(-1))
    check.lengths(members, length)
    axis = single.axes(run, length, _sides(members))
    check.sides(members, axis)
    return length, axis


def _values(members: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """A row a member: A, Iy, Iz, J, shear areas, modulus, shear modulus; ones for a butted tube."""
    seen: dict[tuple[int, int], tuple[Any, ...]] = {}
    rows = []
    for m in members.values():
        poisson = m.modulus / (2 * m.shear_modulus) - 1 if m.shear else 0.0
        key = (id(m.tube), id(m) if m.shear else 0)
        if key not in seen:
            butted = isinstance(m.tube, tubes.Butted)
            v = None if butted else single.values_of(m.tube, poisson, m.shear)
            seen[key] = (1.0,) * 6 if v is None else (*v[:4], v.shear_y, v.shear_z)
        rows.append((*seen[key], m.modulus, m.shear_modulus))
    return rows


def _integrals(members: Mapping[str, Any], numbers: Array, length: Array) -> Array:
    out = single.uniform_integrals(numbers[..., :6], length)
    for i, (name, m) in enumerate(members.items()):
        if isinstance(m.tube, tubes.Butted):
            ahead = _ahead(m, length[:, i])
            check.tube(name, m, ahead, length[:, i])
            poisson = m.modulus / (2 * m.shear_modulus) - 1 if m.shear else 0.0
            mine = single.butted_integrals(m.tube, ahead, length[:, i], poisson, m.shear)
            out[:, i] = mine
    return out


def _freedom(
    joints: tuple[str, ...],
    members: Mapping[str, Any],
    forced: Mapping[str, Mapping[int, Any]],
    plane: bool,
) -> tuple[Index, list[Any]]:
    """Number of each way's equation (−1: none) and the movement forced on it (turns in radians)."""
    bent, pinned = (PLANE, PLANE_PINNED) if plane else (SPACE, SPACE_PINNED)
    if any(m.pinned for m in members.values()):
        stiff = {n for m in members.values() if not m.pinned for n in (m.start, m.end)}
        loose = [way for name in joints for way in (bent if name in stiff else pinned)]
    else:
        loose = [*bent] * len(joints)
    force: list[Any] = [0.0] * len(loose)
    for i, name in enumerate(joints):
        for way, value in forced.get(name, {}).items():
            loose[6 * i + way] = False
            force[6 * i + way] = np.radians(value) if way > 2 else value
    free = np.array(loose)
    return np.where(free, free.cumsum() - 1, -1), force


def _ways(joint: str, support: Any) -> dict[int, Any]:
    """Way → movement forced on it, mm or degrees."""
    if isinstance(support, str):
        named: Mapping[str, Any] = dict.fromkeys(HELD.get(support, tuple(support.split())), 0.0)
    else:
        named = support
    out = {}
    for way, value in named.items():
        plain = way.removesuffix("_deg")
        if plain not in WAYS:
            raise ValueError(
                f"A support must be 'fixed', 'pinned' or name ways among {' '.join(WAYS)}; "
                f"got {way!r} at joint {joint!r}. Correct the word."
            )
        out[WAYS.index(plain)] = value
    return out
