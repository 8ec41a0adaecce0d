"""The corner between a mitered tube and the tube it meets, all round, and the bead in it."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.miters.curve import Array

STEPS = 4320  # places round the joint, in the middles of equal turns of the cut tube


def bead(opening: Any) -> tuple[Any, Any]:
    """Return the area of a hollow bead of leg 1, and its first moment about the corner.

    The area is a kite less a sector. With x half of what the opening lacks to π, the arc's radius
    is cot x and its half angle is x. The moment, taken along the bisector, is the centroid's
    distance times the area. Near a flat corner the differences lose their digits, so a series takes
    over.

    Parameters
    ----------
    opening : float or array
        Radians between the two faces, above 0 and up to π.

    Returns
    -------
    area, moment : float or array
        For a leg of 1: multiply the area by leg² and the moment by leg³.
    """
    x = np.asarray((np.pi - opening) / 2, dtype=float)
    wide = x > 1e-2
    safe = np.where(wide, x, 1.0)
    cot, sin = 1 / np.tan(safe), np.sin(safe)
    area = cot * (1 - safe * cot)
    moment = cot * (sin + 1 / sin) / 3 - cot**2 * (safe / sin - 2 * cot * sin / 3)
    flat = x / 3 - 4 * x**3 / 45, 2 * x**2 / 15
    return np.where(wide, area, flat[0])[()], np.where(wide, moment, flat[1])[()]


def corner(diameter: Any, into: Any, angle_deg: Any, offset: Any) -> tuple[Array, Array, Array]:
    """Return the opening, the bend and the steps of the corner line, all the way round a joint.

    Parameters
    ----------
    diameter, into : float or array
        Outside diameters of the cut tube and of the tube it meets, mm.
    angle_deg : float or array
        Included angle between the axes, degrees.
    offset : float or array
        Distance between the axes, mm.

    Returns
    -------
    opening : array, (…, STEPS)
        Radians between the two faces.
    bend : array, (…, STEPS)
        Curvature of the corner line away from the bead's bisector, 1/mm. Multiplied by the
        centroid's distance, it tells how much longer the centroid's way is than the corner's.
    ds : array, (…, STEPS)
        Length of each step along the corner, mm.
    """
    d, big, angle, e = (
        np.asarray(v, dtype=float)[..., None] for v in (diameter, into, angle_deg, offset)
    )
    r, R, theta = d / 2, big / 2, np.radians(angle)
    phi = (np.arange(STEPS) + 0.5) * (2 * np.pi / STEPS)
    c, s = np.cos(phi), np.sin(phi)
    u = r * s + e
    height = np.sqrt(np.maximum((R - u) * (R + u), 1e-18 * R * R))
    first, second = _climb(r, c, s, u, height, theta)
    speed = np.sqrt(r**2 + first**2)
    between = np.clip((c * height * np.cos(theta) + s * u) / R, -1.0, 1.0)
    # outward normals: n1 = (c, s, 0); n2 in the cut tube's own axes
    normal = (c + height / R * np.cos(theta), s + u / R, height / R * np.sin(theta))
    size = np.sqrt(2 + 2 * between)
    # both normals are square to the line, so the part of its second derivative along it drops out
    curve = (-r * c, -r * s, second)
    toward = sum(n * k for n, k in zip(normal, curve, strict=True)) / (size * speed**2)
    return np.pi - np.arccos(between), -toward, speed * (2 * np.pi / STEPS)


def _climb(
    r: Array, c: Array, s: Array, u: Array, height: Array, theta: Array
) -> tuple[Array, Array]:
    """First and second derivative of the saddle's `along` by the turn round the tube."""
    first = -u * r * c / height
    second = (u * r * s - (r * c) ** 2) / height - (u * r * c) ** 2 / height**3
    lean = r * np.cos(theta)
    return (first + lean * s) / np.sin(theta), (second + lean * c) / np.sin(theta)
