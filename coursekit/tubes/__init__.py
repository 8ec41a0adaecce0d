"""Tubes: round, oval and butted, with the section values that strength, weight and heat need."""

from __future__ import annotations

from coursekit.tubes.oval import STEEL_DENSITY, Oval
from coursekit.tubes.round import Butted, Round

__all__ = [
    "STEEL_DENSITY",
    "Butted",
    "Oval",
    "Round",
]
