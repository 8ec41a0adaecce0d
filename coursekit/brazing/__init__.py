"""Fillers, fluxes and fillets for brazing steel with a torch.

Only fillers free of cadmium are offered. The torch, hot metal, zinc fume and fluoride flux can do
lasting harm, so work with local exhaust, eye shade, gloves, a fire watch and the maker's safety
data sheets. Local codes and licensed practice come first.
"""

from __future__ import annotations

from coursekit.brazing.filler_tables import Filler, Flux, celsius, fillers, fluxes
from coursekit.brazing.joints import (
    Fillet,
    Match,
    bead_area,
    filler,
    fillet,
    flux,
    heat_share,
    match,
)

__all__ = [
    "Filler",
    "Fillet",
    "Flux",
    "Match",
    "bead_area",
    "celsius",
    "filler",
    "fillers",
    "fillet",
    "flux",
    "fluxes",
    "heat_share",
    "match",
]
