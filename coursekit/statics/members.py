"""How stiff a single member is: flexibility integrals, stiffness blocks and end forces.

A member is held at its start and free at its end. What its end does under unit loads is the
flexibility, whose inverse is the stiffness of the end, and equilibrium gives the rest. A butted
tube is integrated along its walls (Gauss-Legendre, eight points a straight piece of wall), so it
needs no joints between its ends. Local axes: x runs from start to end, y is as near to up as it can
be, and z is square to both; for a member in the frame's plane that runs forward or up, z points to
the drive side.

References
----------
Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 5.6 and 11.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from coursekit import tubes

Array = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_SIDE = np.array([0.0, 0.0, 1.0])
_POWERS = np.arange(1.0, 5.0)  # ∫ distance^(k − 1) = length^k / k
# of the fifteen integrals: which power, and which of A, Iy, Iz, J, As_y, As_z it is divided by
_POWER_OF = np.array([0, 1, 0, 1, 2, 3, 0, 1, 2, 3, 0, 0, 1, 0, 1])
_VALUE_OF = np.array([0, 0, 2, 2, 2, 2, 1, 1, 1, 1, 3, 4, 4, 5, 5])
_HAND = np.array([1.0, -1.0])  # a turn about z goes with a move along y, one about y against z


class Values(NamedTuple):
    """What the calculations need of a section; y and z are the member's local axes."""

    area: Any
    inertia_y: Any
    inertia_z: Any
    torsion: Any
    half_y: Any
    half_z: Any
    torsion_modulus: Any
    shear_y: Any
    shear_z: Any


def round_shear_area(tube: Any, poisson: Any) -> Any:
    """Shear area of a round tube, mm².

    References
    ----------
    Cowper (1966), J. Appl. Mech. 33, Table 1, hollow circle.
    """
    m = np.divide(tube.bore, tube.diameter) ** 2
    top = 6 * (1 + poisson) * (1 + m) ** 2
    return tube.area * top / ((7 + 6 * poisson) * (1 + m) ** 2 + (20 + 12 * poisson) * m)


def values_of(tube: Any, poisson: Any, shear: bool = False) -> Values:
    """The section's values; a butted tube has none, because it changes along the member."""
    if isinstance(tube, tubes.Round):
        half = tube.diameter / 2
        lean = round_shear_area(tube, poisson) if shear else np.inf
        inertia, torsion = tube.inertia, tube.torsion
        return Values(tube.area, inertia, inertia, torsion, half, half, torsion / half, lean, lean)
    if isinstance(tube, tubes.Oval):
        return _oval_values(tube, shear)
    free = (tube.shear_y, tube.shear_z) if shear else (np.inf, np.inf)
    if shear and any(a is None for a in free):
        raise ValueError(
            "A section that yields in shear must have shear_y and shear_z; got None. "
            "Give both shear areas in mm², or leave shear=False."
        )
    half = tube.half_y, tube.half_z
    inertia = tube.inertia_y, tube.inertia_z
    return Values(tube.area, *inertia, tube.torsion, *half, tube.torsion_modulus, *free)


def _oval_values(tube: tubes.Oval, shear: bool) -> Values:
    """An oval lies with its depth along local y and its width along local z."""
    if shear:
        raise ValueError(
            "A member that yields in shear must be round, butted or a Section; got an Oval. "
            "Give a Section with shear areas, or leave shear=False."
        )
    middle = tube.perimeter - np.pi * tube.wall  # length of the mid-line
    bredt = np.sqrt(tube.torsion * tube.wall * middle)  # 2 A t, as Bredt's J = 4 A² t / length
    half = tube.depth / 2, tube.width / 2
    inertia = tube.inertia_depth, tube.inertia_width
    return Values(tube.area, *inertia, tube.torsion, *half, bredt, np.inf, np.inf)


def breaks(tube: tubes.Butted, ahead: Any, length: Any) -> Array:
    """Where the wall bends along a member, mm from its start; `ahead` lies before the tube."""
    ahead, length = np.asarray(ahead, float)[..., None], np.asarray(length, float)[..., None]
    inside = ahead + np.cumsum([0.0, *tube.lengths])
    return np.concatenate([0.0 * ahead, inside, length], axis=-1)


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
    pull, twist = _moments(back, weight, here.area, 2), _moments(back, weight, here.torsion, 1)
    return np.stack([*pull, *bend, *bend, *twist, *lean, *lean], axis=-1)


def uniform_integrals(values: Array, length: Array) -> Array:
    """The same integrals for sections (…, 6: A, Iy, Iz, J, As_y, As_z) that do not change."""
    runs = np.multiply.accumulate(length[..., None] + np.zeros(4), axis=-1) / _POWERS
    out: Array = runs.take(_POWER_OF, axis=-1) / values.take(_VALUE_OF, axis=-1)
    return out


def stiffness(i: Array, modulus: Array, shear_modulus: Array, pinned: Array) -> Array:
    """Loads on a member's free end per its movement, its start held, in local axes.

    (…, members, 6, 6), from the integrals (…, members, 15). The end's rows and columns are x, y, z
    and the turns about x, y, z.
    """
    bend = i[..., 2:9] / modulus[..., None]
    turn, both = bend[..., 0::4], bend[..., 1::4]  # flexibilities of the planes x-y and x-z
    move = bend[..., 2::4] + i[..., 11:14:2] / shear_modulus[..., None]
    det = move * turn - both * both
    k = np.zeros((*i.shape[:-1], 36))  # rows of six: y, z at 7, 14; turns about z, y at 35, 28
    k[..., 7:15:7], k[..., 35:27:-7] = turn / det, move / det
    k[..., 11:17:5] = k[..., 31:25:-5] = both * -_HAND / det
    k[..., 21] = shear_modulus / i[..., 10]
    if pinned.any():
        k *= np.where(pinned, 0.0, 1.0)[:, None]
    k[..., 0] = modulus / i[..., 0]
    return k.reshape(*i.shape[:-1], 6, 6)


def axes(run: Array, length: Array, side: Array | None) -> Array:
    """Rows x, y, z of each member's local axes, (frames, members, 3, 3).

    `side` holds the direction that z should point to, as nearly as it can, or nan for the usual
    rule.
    """
    x = run / length[..., None]
    level = np.sqrt(x[..., 0] ** 2 + x[..., 2] ** 2)
    upright = level < 1e-5
    level = np.where(upright, 1.0, level)
    z = np.zeros_like(x)
    z[..., 0], z[..., 2] = -x[..., 2] / level, x[..., 0] / level
    if upright.any():
        z[upright] = _square(np.sign(x[upright][..., 1:2]) * _SIDE, x[upright])
    if side is not None:
        z = np.where(np.isnan(side), z, _square(side - 0 * x, x))
    out = np.empty((*x.shape, 3))
    out[..., 0, :], out[..., 2, :] = x, z
    _cross(z, x, out[..., 1, :])
    return out


def _square(v: Array, x: Array) -> Array:
    """Unit vectors along the part of v square to x; nan where there is none."""
    part = v - (v * x).sum(-1, keepdims=True) * x
    size = np.sqrt((part * part).sum(-1, keepdims=True))
    unit: Array = part / np.where(size > 1e-9, size, np.nan)
    return unit


def _cross(a: Array, b: Array, out: Array) -> None:
    """Put a × b, along the last axis, into `out`."""
    for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        np.subtract(a[..., j] * b[..., k], a[..., k] * b[..., j], out=out[..., i])


def bending_of(axis: Array, length: Array) -> Array:
    """How a member's free end moves as seen from its start, local axes, per movement of both ends.

    (frames, members, 6, 12): the end's own movement, less what the start's gives as a rigid body.
    """
    out = np.zeros((*axis.shape[:-2], 6, 12))
    out[..., :3, :3] = out[..., 3:, 3:6] = -axis
    out[..., :3, 6:9] = out[..., 3:, 9:] = axis
    # a turn of the start moves the end by turn × run, whose row along the run is zero
    out[..., 1, 3:6], out[..., 2, 3:6] = axis[..., 2, :], axis[..., 1, :]
    out[..., 1:3, 3:6] *= length[..., None, None] * -_HAND[:, None]
    return out


def held_ends(k: Array, i: Array, modulus: Array, shear_modulus: Array, q: Array) -> Array:
    """Local loads (…, 6) on the far end of a member whose two ends are held, under a spread load q.

    What the load does to the free end of the member held at its start is taken back by the
    stiffness.
    """
    e, g = modulus, shear_modulus
    free = np.zeros((*np.broadcast_shapes(i.shape[:-1], q.shape[:-1]), 6))
    free[..., 0] = q[..., 0] * i[..., 1] / e
    free[..., 1] = q[..., 1] * (i[..., 5] / 2 / e + i[..., 12] / g)
    free[..., 2] = q[..., 2] * (i[..., 9] / 2 / e + i[..., 14] / g)
    free[..., 4] = -q[..., 2] * i[..., 8] / 2 / e
    free[..., 5] = q[..., 1] * i[..., 4] / 2 / e
    return -(k @ free[..., None])[..., 0]


def both_ends(end: Array, length: Array, q: Array | None) -> Array:
    """Local loads (…, 12) on both ends, by equilibrium, from the far end's and the spread load."""
    out = np.concatenate([-end, end], axis=-1)
    out[..., 4] += length * end[..., 2]
    out[..., 5] -= length * end[..., 1]
    if q is not None:
        out[..., 0:3] -= q * length[..., None]
        out[..., 4] += q[..., 2] * length**2 / 2
        out[..., 5] -= q[..., 1] * length**2 / 2
    return out
