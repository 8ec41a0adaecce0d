"""Space frames of tubes by the direct stiffness method: movements, end forces, stresses.

Small movements, straight members, elastic steel: the sums teach where a frame works hard; they
certify nothing. They know no fatigue, no heat, no dents and no workmanship.

References: Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 5 and 6;
Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), ch. 3, 5 and 7.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit import tubes
from coursekit.materials import STEEL_4130
from coursekit.statics import members as single
from coursekit.statics import system
from coursekit.statics.members import Array
from coursekit.statics.model import FrameModel, modelled

PER_TAPER = 9  # places looked at between two bends of a butted wall for the worst stress


@dataclass(frozen=True)
class MemberSection:
    """Any section that does not change along its member, for what is neither Round nor Oval.

    Parameters
    ----------
    area : mm²
    inertia_y, inertia_z : mm⁴, about the member's local y and z axes
    torsion : mm⁴
    half_y, half_z : mm, from the centre to the outermost fibre along y and z (for stresses)
    torsion_modulus : mm³, torque over shear stress (for stresses)
    shear_y, shear_z : mm², shear areas (for members with ``shear=True``)

    Examples
    --------
    >>> Section(area=600.0, inertia_y=5e4, inertia_z=2e4, torsion=100.0).area
    600.0
    """

    area: Any
    inertia_y: Any
    inertia_z: Any
    torsion: Any
    half_y: Any = float("nan")
    half_z: Any = float("nan")
    torsion_modulus: Any = float("nan")
    shear_y: Any = None
    shear_z: Any = None


@dataclass(frozen=True)
class Member:
    """A straight tube between two joints.

    Local axes: x runs from `start` to `end`; y as near to the frame's y (up) as it can; z square
    to both. An upright member has its y pointing back. `side` turns the section round: local z
    then points toward `side` as nearly as it can.

    Parameters
    ----------
    start, end : names of two joints
    tube : `tubes.Round`, `tubes.Oval` (depth along local y), `tubes.Butted` (end a at `start`)
        or `Section`
    modulus, shear_modulus : MPa, by default those of normalized 4130
    side : three numbers, optional
    pinned : bool, true for a strut with a free hinge at both ends: it carries pull and push only
    shear : bool, true for Timoshenko's beam, which also yields in shear
    tube_from : mm from `start` to end a of a butted tube; by default the tube lies in the middle.
        Beyond its ends the walls go on as they are at the ends.

    Examples
    --------
    >>> Member("bb", "head", tubes.Round(31.8, 0.8)).modulus
    205000.0
    """

    start: str
    end: str
    tube: tubes.Round | tubes.Oval | tubes.Butted | MemberSection
    modulus: Any = STEEL_4130.modulus
    shear_modulus: Any = STEEL_4130.shear_modulus
    side: Sequence[float] | None = None
    pinned: bool = False
    shear: bool = False
    tube_from: float | None = None


@dataclass(frozen=True)
class Stress:
    """Stress on a member's outer surface, MPa: `axial` (pull +), `shear` by torsion, `von_mises`."""

    axial: Array
    shear: Array

    @property
    def von_mises(self) -> Array:
        """√(σ² + 3τ²), MPa."""
        return np.sqrt(self.axial**2 + 3 * self.shear**2)


@dataclass(frozen=True)
class Solution:
    """What a frame does under its loads. Leading axes, if any, count the frames of a batch.

    moves : joint → (…, 3) mm
    turns_deg : joint → (…, 3) degrees, right-handed about x, y, z
    reactions : held joint → (…, 6) N and N·mm that the support exerts on the frame
    end_forces : member → (…, 2, 6) N and N·mm on its start and its end, in its local axes
    """

    moves: Mapping[str, Array]
    turns_deg: Mapping[str, Array]
    reactions: Mapping[str, Array]
    end_forces: Mapping[str, Array]
    model: FrameModel

    def section_forces(self, member: str, along: Any) -> Array:
        """Inner forces (…, places, 6) at places along a member: N, Vy, Vz (N), T, My, Mz (N·mm).

        They are what the part toward `end` exerts on the part toward `start`, in local axes:
        N pulls when positive; positive Mz stretches the side of negative y, positive My the side
        of positive z.

        Parameters
        ----------
        member : name
        along : mm from the member's start, 0 to its length, any number of places

        Raises
        ------
        ValueError : The place along a member must lie on it

        Examples
        --------
        >>> tip = solve({"wall": (0, 0, 0), "tip": (500, 0, 0)},
        ...             {"arm": Member("wall", "tip", tubes.Round(28.6, 0.9))},
        ...             {"wall": "fixed"}, {"tip": (0, -200, 0)})
        >>> print(tip.section_forces("arm", [0, 250])[:, 5])
        [-100000.  -50000.]
        """
        x = self._placed(member, along)
        q = self.model.local_q(member)[..., None, :]
        start = -self.end_forces[member][..., 0, None, :]
        run = x[..., None]
        force = start[..., :3] - q * run
        moment = start[..., 3:] + np.zeros_like(run)
        moment[..., 1] += x * start[..., 2] - q[..., 2] * x**2 / 2
        moment[..., 2] -= x * start[..., 1] - q[..., 1] * x**2 / 2
        return np.concatenate([force, moment], axis=-1)

    def stress(self, member: str, along: Any, around_deg: Any) -> Stress:
        """Stress (…, places, stations) on the outer surface along and round a member, MPa.

        Pull, bending and torsion; the shear of bending is left out: it is nought on the outermost
        fibre and small beside the rest in a slender tube. Stations count from local y toward
        local z.

        Parameters
        ----------
        member : name
        along : mm from the member's start
        around_deg : degrees round the section (of an oval: its eccentric angle)

        Raises
        ------
        ValueError : The place along a member must lie on it

        References
        ----------
        Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), eqs. 3-11 and 5-13.

        Examples
        --------
        >>> tip = solve({"wall": (0, 0, 0), "tip": (500, 0, 0)},
        ...             {"arm": Member("wall", "tip", tubes.Round(28.6, 0.9))},
        ...             {"wall": "fixed"}, {"tip": (0, -200, 0)})
        >>> print(tip.stress("arm", 0, [0, 90]).axial.round(2) + 0.0)  # M / S = 100 000 / 525.85
        [[190.17   0.  ]]
        """
        axial, by_z, by_y, shear = self._parts(member, along)
        phi = np.radians(np.atleast_1d(np.asarray(around_deg, float)))
        round_it = by_z[..., None] * np.cos(phi) + by_y[..., None] * np.sin(phi)
        return Stress(axial[..., None] + round_it, shear[..., None] + 0 * round_it)

    def worst(self, member: str) -> tuple[Array, Array]:
        """Greatest von Mises stress on a member, MPa, and how far from its start, mm.

        Exact round the section. Along the member it looks at the ends, at every bend of a butted
        wall and at nine places between; under a spread load also between the ends.

        Examples
        --------
        >>> tip = solve({"wall": (0, 0, 0), "tip": (500, 0, 0)},
        ...             {"arm": Member("wall", "tip", tubes.Round(28.6, 0.9))},
        ...             {"wall": "fixed"}, {"tip": (0, -200, 0)})
        >>> stress, where = tip.worst("arm")
        >>> print(round(float(stress), 2), float(where))
        190.17 0.0
        """
        self._know(member)
        bends = self.model.bends(member)
        steps = np.arange(PER_TAPER + 1) / (PER_TAPER + 1)
        inner = bends[..., :-1, None] + np.diff(bends)[..., None] * steps
        along = np.concatenate([inner.reshape(*bends.shape[:-1], -1), bends[..., -1:]], axis=-1)
        axial, by_z, by_y, shear = self._parts(member, along)
        sigma = np.abs(axial) + np.sqrt(by_z**2 + by_y**2)
        most = np.sqrt(sigma**2 + 3 * shear**2)
        at = np.argmax(most, axis=-1)[..., None]
        where = np.take_along_axis(np.broadcast_to(along, most.shape), at, -1)[..., 0]
        return np.take_along_axis(most, at, -1)[..., 0], where

    def _know(self, member: str) -> None:
        if member not in self.model.members:
            known = ", ".join(self.model.members)
            raise ValueError(f"The member must be one of {known}; got {member!r}. Check the name.")

    def _placed(self, member: str, along: Any) -> Array:
        self._know(member)
        x = np.atleast_1d(np.asarray(along, float))
        length = np.asarray(self.model.length(member))[..., None]
        if np.any((x < -1e-9) | (x > length * (1 + 1e-12) + 1e-9)):
            raise ValueError(
                f"The place along a member must lie on it, 0 to {float(np.min(length)):.6g} mm; "
                f"got {float(x.flat[np.argmax(np.abs(x - length / 2))]):.6g} mm. Measure from its start."
            )
        return x

    def _parts(self, member: str, along: Any) -> tuple[Array, Array, Array, Array]:
        """Stress by pull, by bending at local y and at local z, and shear by torsion."""
        x = self._placed(member, along)
        here = self.model.section(member, x)
        n, _, _, t, my, mz = np.moveaxis(self.section_forces(member, x), -1, 0)
        return (n / here.area, -mz * here.half_y / here.inertia_z, my * here.half_z / here.inertia_y,
                t / here.torsion_modulus)  # fmt: skip


def solve(
    nodes: Mapping[str, Any],
    members: Mapping[str, Member],
    supports: Mapping[str, Any],
    loads: Mapping[str, Any],
    *,
    spread: Mapping[str, Any] | None = None,
    plane: bool = False,
) -> Solution:
    """Movements (mm, degrees), member forces (N, N·mm) and stresses (MPa) of a frame of tubes.

    x forward, y up, z to the drive side, for the frame of a bicycle; any right-handed axes will
    do. Positions, sizes and loads may carry leading axes: they broadcast, and each is a frame of
    its own. Where only loads do, the frame is put together once.

    Parameters
    ----------
    nodes : joint → (…, 3) mm
    members : name → `Member`
    supports : joint → "fixed" (all six ways), "pinned" (x y z), the ways in words ("x y turn_z"),
        or a mapping of ways to the movement forced on them, mm or degrees ({"y": -2.0})
    loads : joint → (…, 3) N, or (…, 6) with moments in N·mm
    spread : member → (…, 3) N/mm along its length, in the frame's axes, optional
    plane : bool, true holds every joint in the x-y plane (z, turn_x, turn_y)

    Returns
    -------
    Solution

    Raises
    ------
    MechanismError : The frame must be held so that no joint moves without bending a tube
    ValueError : The member must run between joints that exist
    ValueError : The member must have a length

    References
    ----------
    Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 6.

    Examples
    --------
    A cantilever: P L³ / 3 E I = 200 · 500³ / (3 · 205 000 · 7519.69) = 5.4059 mm.

    >>> joints = {"wall": (0, 0, 0), "tip": (500, 0, 0)}
    >>> arm = {"arm": Member("wall", "tip", tubes.Round(28.6, 0.9))}
    >>> print(solve(joints, arm, {"wall": "fixed"}, {"tip": (0, -200, 0)}).moves["tip"].round(4))
    [ 0.     -5.4059  0.    ]
    >>> solve(joints, arm, {"wall": "pinned", "tip": "pinned"}, {})
    Traceback (most recent call last):
    coursekit.statics.system.MechanismError: The frame must be held so that no joint moves without
    bending a tube; joint 'wall' turns freely about x, 1 such motion in all. Support or brace it.
    """
    model = modelled(nodes, members, supports, loads, spread or {}, plane)
    steps = range(0, model.frames, system.CHUNK)
    plan = system.plan(model.at, model.free) if model.frames > 1 else None
    parts = [_solved_part(model.part(i, i + system.CHUNK), plan) for i in steps]
    if len(parts) == 1:
        return _solution(model, *parts[0])
    return _solution(model, *(np.concatenate(p) for p in zip(*parts, strict=True)))


def _solved_part(m: FrameModel, plan: system.Assembly | None) -> tuple[Array, Array, Array]:
    """Movement of joints (frames, ways), end forces (frames, members, 12), joints' sums."""
    k = single.stiffness(m.integrals, m.modulus, m.shear_modulus, m.pinned)
    bend = single.bending_of(m.axis, m.length_of)
    push = k @ bend
    blocks = np.swapaxes(bend, -1, -2) @ push
    if plan is None or len(blocks) == 1:
        stiff = system.put_one_together(blocks, m.at, m.free)
    else:
        stiff = system.put_together(blocks, plan)
    moved = m.forced + np.zeros((m.frames, 1))
    ways = m.free >= 0
    load = m.load
    if m.has_spread or m.forced.any():
        load = load - system.put_on_joints(
            m.to_global(_end_loads(m, k, push, moved)), m.at, m.free.size
        )
    moved[:, ways] = system.solved(stiff, load[:, ways], m.free_names, m.first)
    local = _end_loads(m, k, push, moved)
    return moved, local, system.put_on_joints(m.to_global(local), m.at, m.free.size) - m.load


def _end_loads(m: FrameModel, k: Array, push: Array, moved: Array) -> Array:
    """Local loads on the members' ends (frames, members, 12) when the joints have moved."""
    end = (push @ moved[:, m.at][..., None])[..., 0]
    if not m.has_spread:
        return single.both_ends(end, m.length_of, None)
    end = end + single.held_ends(k, m.integrals, m.modulus, m.shear_modulus, m.local_spread)
    return single.both_ends(end, m.length_of, m.local_spread)


def _solution(m: FrameModel, moved: Array, ends: Array, out: Array) -> Solution:
    shape = m.batch
    by_joint = moved.reshape(*shape, len(m.joints), 6)
    push = out.reshape(*shape, len(m.joints), 6)
    both = ends.reshape(*shape, len(m.members), 2, 6)
    held = [i for i, name in enumerate(m.joints) if name in m.held]
    return Solution(
        dict(zip(m.joints, _along(by_joint[..., :3], -2), strict=True)),
        dict(zip(m.joints, _along(np.degrees(by_joint[..., 3:]), -2), strict=True)),
        {m.joints[i]: push[..., i, :] for i in held},
        dict(zip(m.members, _along(both, -3), strict=True)),
        m,
    )


def _along(values: Array, axis: int) -> Array:
    """The values with one axis first, to be gone through."""
    return values if values.ndim == -axis else np.moveaxis(values, axis, 0)
