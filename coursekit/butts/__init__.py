"""Where the thick ends of a butted tube stop, and how much may come off each end."""

from __future__ import annotations

from coursekit.butts.ends import HEAT_MARGIN, Ends, Plan, find, keep, plan
from coursekit.butts.trims import window

__all__ = [
    "HEAT_MARGIN",
    "Ends",
    "Plan",
    "find",
    "keep",
    "plan",
    "window",
]
