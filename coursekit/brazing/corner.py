"""The corner between a mitered tube and the tube it meets, all the way round, and its bead."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.miters.curve import Array

STEPS = 4320  # places round the joint, at the middles of equal turns of the cut tube


def bead(opening: Any) -> tuple[Any, Any]:
    """Area and first moment about the corner of a hollow bead of leg 1 (kite less sector).

    With x half of what the opening lacks to π, the arc's radius is cot x and its half angle x;
    the moment is taken along the bisector, the centroid times the area. Near a flat corner the
    differences lose their digits, so a series takes over.
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
    """(opening, bend, ds) round the joint: radians between the faces, 1/mm, and steps in mm.

    `bend` is the corner line's curvature away from the bead's bisector: times the centroid's
    distance it says how much longer the centroid's way is than the corner's.
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
    # both normals are square to the line, so what of its second derivative lies along it drops out
    curve = (-r * c, -r * s, second)
    toward = sum(n * k for n, k in zip(normal, curve, strict=True)) / (size * speed**2)
    return np.pi - np.arccos(between), -toward, speed * (2 * np.pi / STEPS)


def _climb(
    r: Array, c: Array, s: Array, u: Array, height: Array, theta: Array
) -> tuple[Array, Array]:
    """First and second derivative of `along` by the turn round the tube."""
    first = -u * r * c / height
    second = (u * r * s - (r * c) ** 2) / height - (u * r * c) ** 2 / height**3
    lean = r * np.cos(theta)
    return (first + lean * s) / np.sin(theta), (second + lean * c) / np.sin(theta)
