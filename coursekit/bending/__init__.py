"""Bending a round tube past yield and letting go: moment, set and spring-back, in closed form.

The model keeps sections plane, has one yield stress for pull and push, and leaves hardening out.
Spring-back is elastic: even a tube that has just yielded all through can spring back without
yielding the other way, because its plastic modulus is less than twice its elastic one. The
section stays round: flattening, wrinkles, residual stress from brazing and the softened wall
beside a joint are left out, so a real tube gives way earlier and sets more than these
calculations say.
"""

from __future__ import annotations

from coursekit.bending.past_yield import (
    Tube,
    curvature_for_set,
    moment,
    set_curvature,
    yield_curvature,
)

__all__ = [
    "Tube",
    "curvature_for_set",
    "moment",
    "set_curvature",
    "yield_curvature",
]
