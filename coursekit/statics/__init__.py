"""Space frames of tubes by the direct stiffness method: movements, end forces, stresses.

Movements are small, members are straight and the steel is elastic. The calculations teach where a
frame works hard; they certify nothing. They say nothing about fatigue, heat, dents or workmanship.

References
----------
Przemieniecki, Theory of Matrix Structural Analysis (1968), ch. 5 and 6; Gere & Timoshenko,
Mechanics of Materials, 4th ed. (1997), ch. 3, 5 and 7.
"""

from __future__ import annotations

from coursekit.statics.solver import PER_TAPER, Member, MemberSection, Solution, Stress, solve
from coursekit.statics.system import MechanismError

__all__ = [
    "PER_TAPER",
    "MechanismError",
    "Member",
    "MemberSection",
    "Solution",
    "Stress",
    "solve",
]
