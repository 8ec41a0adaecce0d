"""Where the thick ends of a butted tube stop, and how much may come off each end.

The cutting window has one home, `window`. It does not refuse an empty window, so that a student's
own wrong room still carries forward; `plan` stands on it and refuses.
"""

from __future__ import annotations

from coursekit.butts.ends import HEAT_MARGIN, RESERVE, Ends, Plan, find, keep, plan
from coursekit.butts.trims import reserved, window

__all__ = [
    "HEAT_MARGIN",
    "RESERVE",
    "Ends",
    "Plan",
    "find",
    "keep",
    "plan",
    "reserved",
    "window",
]
