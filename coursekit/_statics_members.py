"""How stiff a single member is: flexibility integrals, stiffness blocks and end forces.

A member is held at its start and free at its end; what its end does under unit loads is the
flexibility, whose inverse is the stiffness of the end. Equilibrium gives the rest. A butted tube
is integrated along its walls (Gauss-Legendre, eight points a straight piece of wall), so it needs
no joints between its ends. Local axes: x from start to end, y as near to up as it can, z square
to both; for a member in the frame's plane that runs forward or up, z points to the drive side.

References: Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 5.6 and 11.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from coursekit import tubes

Array = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_UP = np.array([0.0, 1.0, 0.0])
_BACK = np.array([-1.0, 0.0, 0.0])


class Values(NamedTuple):
    """What the sums need of a section; y and z are the member's local axes."""

    area: Any
    inertia_y: Any
    inertia_z: Any
    torsion: Any
    half_y: Any
    half_z: Any
    torsion_modulus: Any
    shear_y: Any
    shear_z: Any


class Stiffness(NamedTuple):
    """Stiffness of a member's end with its start held, in local axes, and its free movement.

    Each array has shape (frames, members): pull, bending in the x-y plane and in the x-z plane
    (force-move, force-turn, turn-turn), twist. `spread` holds what the free end does under a
    unit load spread along the member: x; y, turn about z; z, turn about y.
    """

    pull: Array
    y: tuple[Array, Array, Array]
    z: tuple[Array, Array, Array]
    twist: Array
    spread: tuple[Array, Array, Array, Array, Array]


def round_shear_area(tube: Any, poisson: Any) -> Any:
    """Shear area of a round tube, mm², by Cowper (1966), J. Appl. Mech. 33, Table 1, hollow circle."""
    m = np.divide(tube.bore, tube.diameter) ** 2
    top = 6 * (1 + poisson) * (1 + m) ** 2
    return tube.area * top / ((7 + 6 * poisson) * (1 + m) ** 2 + (20 + 12 * poisson) * m)


def values_of(tube: Any, poisson: Any, shear: bool = False) -> Values:
    """The section's values; a butted tube has none (it changes along the member)."""
    if isinstance(tube, tubes.Round):
        half = tube.diameter / 2
        lean = round_shear_area(tube, poisson) if shear else np.inf
        return Values(tube.area, tube.inertia, tube.inertia, tube.torsion, half, half,
                      tube.torsion / half, lean, lean)  # fmt: skip
    if isinstance(tube, tubes.Oval):
        return _oval_values(tube, shear)
    free = (tube.shear_y, tube.shear_z) if shear else (np.inf, np.inf)
    if shear and any(a is None for a in free):
        raise ValueError(
            "A section that yields in shear must have shear_y and shear_z; got None. "
            "Give both shear areas in mm², or leave shear=False."
        )
    return Values(tube.area, tube.inertia_y, tube.inertia_z, tube.torsion, tube.half_y,
                  tube.half_z, tube.torsion_modulus, *free)  # fmt: skip


def _oval_values(tube: tubes.Oval, shear: bool) -> Values:
    """An oval lies with its depth along local y and its width along local z."""
    if shear:
        raise ValueError(
            "A member that yields in shear must be round, butted or a Section; got an Oval. "
            "Give a Section with shear areas, or leave shear=False."
        )
    middle = (
        tube.perimeter - np.pi * tube.wall
    )  # length of the mid-line; Bredt: J = 4 A² t / length
    bredt = np.sqrt(tube.torsion * tube.wall * middle)  # 2 A t
    return Values(tube.area, tube.inertia_depth, tube.inertia_width, tube.torsion, tube.depth / 2,
                  tube.width / 2, bredt, np.inf, np.inf)  # fmt: skip


def breaks(tube: tubes.Butted, ahead: Any, length: Any) -> Array:
    """Where the wall bends along a member, mm from its start; `ahead` lies before the tube."""
    inside = np.cumsum(np.broadcast_arrays(*tube.lengths), axis=0)
    ends = [0.0 * inside[0], ahead + 0.0 * inside[0], *(ahead + inside), length + 0.0 * inside[0]]
    return np.stack(np.broadcast_arrays(*ends), axis=-1)


def _moments(distance: Array, weight: Array, value: Any, powers: int) -> list[Array]:
    """∫ distance^k / value along a member for k = 0 … powers − 1."""
    return [np.sum(weight * distance**k / value, axis=(-2, -1)) for k in range(powers)]


def butted_integrals(
    tube: tubes.Butted, ahead: Any, length: Any, poisson: float, shear: bool
) -> Any:
    """Integrals along a butted tube: 1/A (2), 1/Iz (4), 1/Iy (4), 1/J (1), 1/As (2, 2)."""
    at = breaks(tube, ahead, length)
    half = np.diff(at, axis=-1)[..., None] / 2
    place = (at[..., :-1] + at[..., 1:])[..., None] / 2 + half * _POINTS
    inside = np.clip(place - np.asarray(ahead)[..., None, None], 0.0, tube.length)
    here = values_of(tubes.Round(tube.diameter, tube.wall_at(inside)), poisson, shear)
    back, weight = np.asarray(length)[..., None, None] - place, half * _WEIGHTS
    bend = _moments(back, weight, here.inertia_y, 4)
    lean = _moments(back, weight, here.shear_y, 2)
    return np.stack([*_moments(back, weight, here.area, 2), *bend, *bend,
                     *_moments(back, weight, here.torsion, 1), *lean, *lean], axis=-1)  # fmt: skip


def uniform_integrals(values: Array, length: Array) -> Array:
    """The same integrals for sections (…, 6: A, Iy, Iz, J, As_y, As_z) that do not change."""
    runs = [length ** (k + 1) / (k + 1) for k in range(4)]
    area, iy, iz, torsion, lean_y, lean_z = (values[..., i] for i in range(6))
    return _row((
        *(r / area for r in runs[:2]), *(r / iz for r in runs), *(r / iy for r in runs),
        length / torsion, *(r / lean_y for r in runs[:2]), *(r / lean_z for r in runs[:2]),
    ))  # fmt: skip


def _bending(f: Any, lean: Any, modulus: Array, shear_modulus: Array) -> tuple[Array, Array, Array]:
    """(force-move, force-turn, turn-turn) from the flexibility of one plane."""
    move, both, turn = f[2] / modulus + lean / shear_modulus, f[1] / modulus, f[0] / modulus
    det = move * turn - both * both
    return turn / det, -both / det, move / det


def stiffness(integrals: Array, modulus: Array, shear_modulus: Array, pinned: Array) -> Stiffness:
    """End stiffness of every member from its integrals (frames, members, 15)."""
    i = [integrals[..., k] for k in range(15)]
    held = np.where(pinned, 0.0, 1.0)
    y = _bending(i[2:6], i[11], modulus, shear_modulus)
    z = _bending(i[6:10], i[13], modulus, shear_modulus)
    spread = (i[1] / modulus,
              i[5] / 2 / modulus + i[12] / shear_modulus, i[4] / 2 / modulus,
              i[9] / 2 / modulus + i[14] / shear_modulus, -i[8] / 2 / modulus)  # fmt: skip
    return Stiffness(modulus / i[0], (held * y[0], held * y[1], held * y[2]),
                     (held * z[0], -held * z[1], held * z[2]), held * shear_modulus / i[10],
                     spread)  # fmt: skip


def _row(parts: Any) -> Array:
    """Arrays side by side along a new last axis."""
    out = np.empty((*np.broadcast_shapes(*{p.shape for p in parts}), len(parts)))
    for k, part in enumerate(parts):
        out[..., k] = part
    return out


def cross(a: Array, b: Array) -> Array:
    """a × b along the last axis."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return _row((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx))


def _unit(v: Array) -> Array:
    return v / np.sqrt((v * v).sum(-1, keepdims=True))


def axes(run: Array, side: Array) -> Array:
    """Rows x, y, z of each member's local axes, (frames, members, 3, 3).

    `side` holds the direction z should point to, as nearly as it can, or nan for the rule above.
    """
    x = _unit(run)
    upright = np.abs(x[..., 1:2]) > 1 - 1e-10
    by_rule = cross(x, np.where(upright, _BACK, _UP))
    z = np.where(np.isnan(side[..., :1]), by_rule, side - (side * x).sum(-1, keepdims=True) * x)
    z = _unit(z)
    return np.stack([x, cross(z, x), z], axis=-2)


def _outer(k: Array, a: Array, b: Array) -> Array:
    return (k[..., None] * a)[..., :, None] * b[..., None, :]


def global_blocks(k: Stiffness, axis: Array, run: Array) -> Array:
    """Stiffness of each member in the frame's axes, (frames, members, 12, 12)."""
    x, y, z = axis[..., 0, :], axis[..., 1, :], axis[..., 2, :]
    a = _outer(k.pull, x, x) + _outer(k.y[0], y, y) + _outer(k.z[0], z, z)
    b = _outer(k.y[1], y, z) + _outer(k.z[1], z, y)
    bt = np.swapaxes(b, -1, -2)
    d = _outer(k.twist, x, x) + _outer(k.z[2], y, y) + _outer(k.y[2], z, z)
    s = np.zeros((*run.shape, 3))
    s[..., 0, 1], s[..., 0, 2], s[..., 1, 2] = -run[..., 2], run[..., 1], -run[..., 0]
    s -= np.swapaxes(s, -1, -2)
    force = [-a, a @ s - b, a, b]
    moment = [-bt, bt @ s - d, bt, d]
    out = np.empty((*a.shape[:-2], 12, 12))
    for j, (f, m) in enumerate(zip(force, moment, strict=True)):
        cols = slice(3 * j, 3 * j + 3)
        out[..., 0:3, cols], out[..., 3:6, cols] = -f, -m - s @ f
        out[..., 6:9, cols], out[..., 9:12, cols] = f, m
    return out


def _end_load(k: Stiffness, d: Array) -> Array:
    """Force and moment on the free end (…, 6) that hold its local movement d (…, 6)."""
    u, v, w, tx, ty, tz = (d[..., i] for i in range(6))
    return _row((
        k.pull * u, k.y[0] * v + k.y[1] * tz, k.z[0] * w + k.z[1] * ty,
        k.twist * tx, k.z[1] * w + k.z[2] * ty, k.y[1] * v + k.y[2] * tz))  # fmt: skip


def held_ends(k: Stiffness, length: Array, q: Array) -> Array:
    """Local end loads (…, 12) of a member whose two ends are held, under a spread load q (…, 3)."""
    fx, fy, fyz, fz, fzy = k.spread
    zero = 0.0 * fx * q[..., 0]
    free = [fx * q[..., 0], fy * q[..., 1], fz * q[..., 2], zero, fzy * q[..., 2], fyz * q[..., 1]]
    return _both_ends(-_end_load(k, _row(free)), length, q)


def _both_ends(end: Array, length: Array, q: Array) -> Array:
    """Loads on both ends from those on the far end and the spread load, by equilibrium."""
    start = -end
    start[..., 0:3] -= q * length[..., None]
    start[..., 4] += length * end[..., 2] + q[..., 2] * length**2 / 2
    start[..., 5] -= length * end[..., 1] + q[..., 1] * length**2 / 2
    return np.concatenate([start, end], axis=-1)


def end_forces(k: Stiffness, axis: Array, run: Array, length: Array, moved: Array) -> Array:
    """Local loads (…, 12) on a member's ends that go with its joints' movement (…, 12)."""
    u1, t1, u2, t2 = (moved[..., i : i + 3] for i in (0, 3, 6, 9))
    turned = np.swapaxes(axis, -1, -2)
    bent = [(b[..., None, :] @ turned)[..., 0, :] for b in (u2 - u1 + cross(run, t1), t2 - t1)]
    return _both_ends(_end_load(k, np.concatenate(bent, axis=-1)), length, np.zeros(3))
