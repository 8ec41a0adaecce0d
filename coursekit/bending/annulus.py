"""Integrals over a ring-shaped section whose core has stayed elastic.

The core reaches from the axis of bending up to |y| = share · outside radius, and what lies beyond
it has yielded. A disc whose radius is less than the core's depth is elastic throughout.
"""

from __future__ import annotations

from typing import Any

import numpy as np

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)


def core(share: Any, outside: Any, inside: Any) -> Any:
    """Return the second moment of area of the elastic core.

    Parameters
    ----------
    share : float or array
        Half depth of the core over the outside radius, 0 to 1.
    outside, inside : float or array
        The ring's two radii, mm.

    Returns
    -------
    float or array
        mm⁴.
    """
    depth = share * outside
    return _disc_core(depth, outside) - _disc_core(depth, inside)


def rim(share: Any, outside: Any, inside: Any) -> Any:
    """Return the first moment of area of what has yielded, both sides together.

    Parameters
    ----------
    share : float or array
        Half depth of the core over the outside radius, 0 to 1.
    outside, inside : float or array
        The ring's two radii, mm.

    Returns
    -------
    float or array
        mm³.
    """
    depth = share * outside
    return _disc_rim(depth, outside) - _disc_rim(depth, inside)


def turn(ratio: Any, outside: Any, inside: Any) -> Any:
    """Return ∫ I(c)/c³ dc, from the core at a given curvature up to the full radius.

    It gives the yielded length's share of a cantilever's slope: ∫ κ dM is E·εy² times this.

    Parameters
    ----------
    ratio : float or array
        Curvature over the yield curvature; below 1 nothing has yielded and the integral is 0.
    outside, inside : float or array
        The ring's two radii, mm.

    Returns
    -------
    float or array
        mm².
    """
    depth = outside / ratio

    def annulus(c: Any) -> Any:
        return _disc_turn(c, outside) - _disc_turn(c, inside)

    return np.where(ratio > 1, annulus(outside + 0 * depth) - annulus(depth), 0.0)


def sag(ratio: Any, outside: Any, inside: Any) -> Any:
    """Return ∫ (I/c + Q)·I/c³ dc over the same range as `turn`.

    It gives the yielded length's share of a cantilever's deflection: ∫ κ·M dM is E²·εy³ times this,
    where I is the core's second moment and Q the rim's first. Gauss's rule does it, after the
    square roots at the ends have been taken out.

    Parameters
    ----------
    ratio : float or array
        Curvature over the yield curvature, 1 or more.
    outside, inside : float or array
        The ring's two radii, mm.

    Returns
    -------
    float or array
        mm⁵.
    """
    depth = np.asarray(outside / ratio, dtype=float)
    return _sag_piece(np.maximum(depth, inside), outside, outside, outside, inside) + _sag_piece(
        np.minimum(depth, inside), inside, inside, outside, inside
    )


def _sag_piece(low: Any, high: Any, radius: Any, outside: Any, inside: Any) -> Any:
    """The integral from `low` to `high` with c = radius·sin a, smooth in a at c = radius."""
    safe = np.where(np.asarray(radius) > 0, radius, 1.0)
    start, stop = (np.arcsin(np.clip(v / safe, 0.0, 1.0)) for v in (low, high))
    half, middle = (stop - start) / 2, (stop + start) / 2
    a = middle[..., None] + half[..., None] * _NODES
    big, small, r = (np.asarray(v)[..., None] for v in (outside, inside, safe))
    c = np.where(a > 0, r * np.sin(a), 1.0)  # a is 0 throughout where a bar has no bore
    own = core(c / big, big, small)
    height = (own / c + rim(c / big, big, small)) * own / c**3 * r * np.cos(a)
    return half * (height @ _WEIGHTS)


def _disc_core(depth: Any, radius: Any) -> Any:
    u = _share(depth, radius)
    root = np.sqrt(1 - u * u)
    return radius**4 / 2 * (np.arcsin(u) - u * (1 - 2 * u * u) * root)


def _disc_rim(depth: Any, radius: Any) -> Any:
    u = _share(depth, radius)
    return 4 / 3 * radius**3 * (1 - u * u) ** 1.5


def _disc_turn(depth: Any, radius: Any) -> Any:
    """An antiderivative of I/c³ for a disc, smooth where the core gets deeper than the disc."""
    u = _share(depth, radius)
    root = np.sqrt(1 - u * u)
    within = np.arcsin(u) * (1 - 0.25 / u**2) + root / (4 * u) + u * root / 2
    beyond = np.pi / 2 - np.pi / 8 * (radius / depth) ** 2
    return radius**2 * np.where(depth < radius, within, beyond)


def _share(depth: Any, radius: Any) -> Any:
    safe = np.where(np.asarray(radius) > 0, radius, 1.0)
    return np.minimum(depth / safe, 1.0)
