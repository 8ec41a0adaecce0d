"""Members, `solve` and what a solved frame tells. For the model and its limits see `statics`."""

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
    """Any section that does not change along its member, where the tube is neither round nor oval.

    Attributes
    ----------
    area : float or array
        mm².
    inertia_y, inertia_z : float or array
        Second moments of area about the member's local y and z axes, mm⁴.
    torsion : float or array
        Torsion constant, mm⁴.
    half_y, half_z : float or array
        From the centre to the outermost fibre along y and z, mm (for stresses).
    torsion_modulus : float or array
        Torque over shear stress, mm³ (for stresses).
    shear_y, shear_z : float or array, optional
        Shear areas, mm² (for members with ``shear=True``).

    Examples
    --------
    >>> MemberSection(area=600.0, inertia_y=5e4, inertia_z=2e4, torsion=100.0).area
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

    Local axes: x runs from `start` to `end`, y is as near to the frame's y (up) as it can be, and z
    is square to both. An upright member has its y pointing back. `side` turns the section round:
    local z then points toward `side` as nearly as it can.

    Attributes
    ----------
    start, end : str
        Names of two joints.
    tube : tubes.Round, tubes.Oval, tubes.Butted or MemberSection
        An oval lies with its depth along local y, a butted tube with its end a at `start`.
    modulus, shear_modulus : float or array
        MPa, by default those of normalized 4130.
    side : sequence of three floats, optional
        A direction in the frame's axes.
    pinned : bool
        True for a strut with a free hinge at both ends: it carries pull and push only.
    shear : bool
        True for Timoshenko's beam, which also yields in shear.
    tube_from : float, optional
        From `start` to end a of a butted tube, mm; left out, the tube lies in the middle. Beyond
        the tube's ends the walls go on as they are there.

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
    """Stress on a member's outer surface.

    Attributes
    ----------
    axial : array
        Pull and bending together, MPa; a pull is positive.
    shear : array
        Shear by torsion, MPa.
    """

    axial: Array
    shear: Array

    @property
    def von_mises(self) -> Array:
        """√(σ² + 3τ²), MPa."""
        return np.sqrt(self.axial**2 + 3 * self.shear**2)


@dataclass(frozen=True)
class Solution:
    """What a frame does under its loads; leading axes, if any, count the frames of a batch.

    Attributes
    ----------
    moves : mapping of str to array, (…, 3)
        Movement of each joint, mm.
    turns_deg : mapping of str to array, (…, 3)
        Turn of each joint, degrees, right-handed about x, y, z.
    reactions : mapping of str to array, (…, 6)
        What the support exerts on the frame at each held joint, N and N·mm.
    end_forces : mapping of str to array, (…, 2, 6)
        Forces and moments on each member's start and end, in its local axes, N and N·mm.
    model : FrameModel
        The frame as it was laid out for the calculation.
    """

    moves: Mapping[str, Array]
    turns_deg: Mapping[str, Array]
    reactions: Mapping[str, Array]
    end_forces: Mapping[str, Array]
    model: FrameModel

    def section_forces(self, member: str, along: Any) -> Array:
        """Return the inner forces at places along a member.

        They are what the part toward `end` exerts on the part toward `start`, in local axes. N
        pulls when it is positive; a positive Mz stretches the side of negative y, and a positive My
        the side of positive z.

        Parameters
        ----------
        member : str
            Name of the member.
        along : float or array, (places,)
            mm from the member's start, 0 to its length.

        Returns
        -------
        array, (…, places, 6)
            N, Vy, Vz (N), T, My, Mz (N·mm).

        Raises
        ------
        ValueError
            "The place along a member must lie on it, …"; "The member must be one of …"

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
        """Return the stress on the outer surface, along and round a member.

        It counts pull, bending and torsion. The shear of bending is left out: it is zero on the
        outermost fibre and small beside the rest in a slender tube. Stations count from local y
        toward local z.

        Parameters
        ----------
        member : str
            Name of the member.
        along : float or array, (places,)
            mm from the member's start, 0 to its length.
        around_deg : float or array, (stations,)
            Degrees round the section (of an oval: its eccentric angle).

        Returns
        -------
        Stress
            MPa, each (…, places, stations).

        Raises
        ------
        ValueError
            "The place along a member must lie on it, …"; "The member must be one of …"

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
        """Return the greatest von Mises stress on a member, and where it is.

        It is exact round the section. Along the member it looks at the ends, at every bend of a
        butted wall and at nine places between them; under a spread load also between the ends.

        Parameters
        ----------
        member : str
            Name of the member.

        Returns
        -------
        stress : array
            MPa.
        where : array
            mm from the member's start.

        Raises
        ------
        ValueError
            "The member must be one of …"

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
            worst = float(x.flat[np.argmax(np.abs(x - length / 2))])
            raise ValueError(
                f"The place along a member must lie on it, 0 to {float(np.min(length)):.6g} mm; "
                f"got {worst:.6g} mm. Measure from its start."
            )
        return x

    def _parts(self, member: str, along: Any) -> tuple[Array, Array, Array, Array]:
        """Stress by pull, by bending at local y and at local z, and shear by torsion."""
        x = self._placed(member, along)
        here = self.model.section(member, x)
        n, _, _, t, my, mz = np.moveaxis(self.section_forces(member, x), -1, 0)
        by_z, by_y = -mz * here.half_y / here.inertia_z, my * here.half_z / here.inertia_y
        return n / here.area, by_z, by_y, t / here.torsion_modulus


def solve(
    nodes: Mapping[str, Any],
    members: Mapping[str, Member],
    supports: Mapping[str, Any],
    loads: Mapping[str, Any],
    *,
    spread: Mapping[str, Any] | None = None,
    plane: bool = False,
) -> Solution:
    """Return the movements, member forces and stresses of a frame of tubes under loads.

    For the frame of a bicycle x runs forward, y up and z to the drive side; any right-handed axes
    will do. Positions, sizes and loads may carry leading axes: they broadcast, and each is a frame
    of its own. Where only the loads do, the frame is put together once.

    Parameters
    ----------
    nodes : mapping of str to array, (…, 3)
        Position of each joint, mm.
    members : mapping of str to Member
        The tubes by name.
    supports : mapping of str to str or mapping
        For each held joint "fixed" (all six ways), "pinned" (x y z), the ways in words ("x y
        turn_z"), or a mapping of ways to the movement forced on them, mm or degrees ({"y": -2.0}).
    loads : mapping of str to array, (…, 3) or (…, 6)
        N on each loaded joint, with six numbers also moments in N·mm.
    spread : mapping of str to array, (…, 3), optional
        N/mm along the length of a member, in the frame's axes.
    plane : bool
        True holds every joint in the x-y plane (z, turn_x, turn_y).

    Returns
    -------
    Solution
        Movements (mm, degrees), member forces (N, N·mm) and stresses (MPa).

    Raises
    ------
    MechanismError
        "The frame must be held so that no joint moves without bending a tube; …"
    ValueError
        "The member must run between joints that exist; …"; "The member must have a length; …"

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
    """Movement of joints (frames, ways), end forces (frames, members, 12), sums at the joints."""
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
    """Local loads on the members' ends (frames, members, 12) once the joints have moved."""
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
