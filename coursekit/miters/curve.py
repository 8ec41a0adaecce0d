"""The saddle curve of `miters` worked out in bulk, and the length of the joint line."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coursekit.rules import number, positive, require
from coursekit.sections import gauss

Array = NDArray[np.float64]

SLACK = 1e-9  # mm by which two sizes may differ and still count as equal
CHUNK = 18_000  # stations worked on at a time: the scratch arrays stay in the processor's cache


@lru_cache(maxsize=32)
def turns(stations: int) -> tuple[Array, Array, Array]:
    """Return (φ in radians, cos φ, sin φ) at so many stations from 0° to 360° inclusive."""
    phi = np.linspace(0.0, 2 * np.pi, stations)
    made = phi, np.cos(phi), np.sin(phi)
    for array in made:
        array.flags.writeable = False
    return made


def checked(diameter: Any, into: Any, angle_deg: Any, offset: Any) -> tuple[Any, Any, Any, Any]:
    """Return the four numbers of a round joint, or refuse them where no saddle exists."""
    diameter, into = positive("diameter", diameter), positive("into", into)
    offset = number("offset", offset)
    angle_deg = included(angle_deg)
    require(
        np.asarray(diameter) <= np.asarray(into) + 2 * SLACK,
        "The cut tube must not be wider than the tube it meets; got {diameter} mm into {into}"
        " mm. Swap them.",
        diameter=diameter,
        into=into,
    )
    beside = np.abs(offset) + np.asarray(diameter) / 2 - np.asarray(into) / 2
    require(
        beside <= SLACK,
        "The cut tube must lie within the width of the tube it meets; got {diameter} mm into "
        "{into} mm at an offset of {offset} mm. Make the offset smaller or the tube narrower.",
        diameter=diameter,
        into=into,
        offset=offset,
    )
    return diameter, into, angle_deg, offset


def included(angle_deg: Any) -> Any:
    """Return the included angle, or refuse it unless it lies between 0° and 180°."""
    angle_deg = number("angle", angle_deg, "degrees")
    require(
        (np.asarray(angle_deg) > 0) & (np.asarray(angle_deg) < 180),
        "The included angle must lie between 0° and 180°; got {angle}°. Measure it between "
        "the two axes.",
        angle=angle_deg,
    )
    return angle_deg


def count(stations: Any) -> int:
    """Return the number of stations, or refuse it unless it is a whole number, 2 or more."""
    if isinstance(stations, bool) or not isinstance(stations, (int, np.integer)) or stations < 2:
        raise ValueError(
            f"The stations must be a whole number, 2 or more; got {stations!r}. "
            "Take 361 for one a degree."
        )
    return int(stations)


def curves(r: Array, R: Array, angle: Array, offset: Array, stations: int) -> tuple[Array, Array]:
    """Return (around, along) of n joints, each (n, stations), from columns of n values, in radians.

    The height over the axis of the tube that is met is √((R − u)(R + u)), with u the sideways
    distance. Written like this it keeps its digits where the flank just grazes a tube of nearly the
    same size.
    """
    phi, cos_phi, sin_phi = turns(stations)
    around, along = np.empty((len(r), stations)), np.empty((len(r), stations))
    stretch, lean = 1 / np.sin(angle), r / np.tan(angle)
    rows = max(1, CHUNK // stations)
    scratch = np.empty((min(rows, len(r)), stations))
    for start in range(0, len(r), rows):
        part = slice(start, start + rows)
        z, u, big = along[part], scratch[: len(along[part])], R[part]
        np.multiply(r[part], phi, out=around[part])
        np.multiply(r[part], sin_phi, out=u)
        u += offset[part]
        np.subtract(big, u, out=z)
        u += big
        z *= u
        np.maximum(z, 0.0, out=z)
        np.sqrt(z, out=z)
        z *= stretch[part]
        np.multiply(lean[part], cos_phi, out=u)
        z -= u
    return around, along


def line_length(r: Any, R: Any, angle: Any, offset: Any) -> Any:
    """Return the length of the curve in space, ∫ √(r² + (dz/dφ)²) dφ, from angles in radians.

    Each quarter is counted from the flank (90° or 270°), because a grazing joint turns sharply
    there. A cubed scale crowds the points near the flank (Gauss-Legendre, 96 points a quarter).
    """
    r, R, angle, offset = (np.asarray(v, dtype=float)[..., None] for v in (r, R, angle, offset))
    s, weights = gauss(96)
    away, step = np.pi / 2 * s**3, np.pi / 2 * 3 * s**2 * weights
    total = 0.0
    for side in (1.0, -1.0):
        # u = side·r·cos(away) + e; R − |u| without loss of digits near the flank
        fall = 2 * r * np.sin(away / 2) ** 2
        u = side * (r - fall) + offset
        clear = R - r - side * offset
        near = np.where(clear < 1e-14 * R, 0.0, clear) + fall  # a graze, but for rounding
        far = R + r + side * offset - fall
        root = np.sqrt(near * far)
        climb = u * r * np.sin(away) / root
        for back in (1.0, -1.0):
            slope = (climb + back * r * np.cos(away) * np.cos(angle)) / np.sin(angle)
            total = total + np.sum(np.sqrt(r**2 + slope**2) * step, axis=-1)
    return total
