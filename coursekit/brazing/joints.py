"""Fillers, fluxes and fillets for brazing steel with a torch.

Only fillers free of cadmium are offered. Torch, hot metal, zinc fume and fluoride flux can do
lasting harm: local exhaust, eye shade, gloves, a fire watch, and the maker's safety data sheets;
local codes and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.brazing import corner
from coursekit.brazing.filler_tables import CADMIUM, Filler, Flux, fillers, fluxes
from coursekit.materials import Metal
from coursekit.miters import curve
from coursekit.rules import number, positive, require


def filler(name: str) -> Filler:
    """Return the filler of that AWS class.

    Raises ValueError: "The filler must be free of cadmium; got BAg-1, 24 % Cd, whose fume kills.
    Take BAg-7 or BAg-24."; "The filler must be one of …; got 'tin'. Choose one of them."

    References: Machinery's Handbook, 31st ed., Tables 1a and 1b, after AWS A5.8-1981.

    >>> round(filler("BAg-7").liquidus)
    652
    >>> filler("BAg-1")
    Traceback (most recent call last):
    ValueError: The filler must be free of cadmium; got BAg-1, 24 % Cd, whose fume can kill. Take
    BAg-7 or BAg-24.
    """
    if name in CADMIUM:
        raise ValueError(
            f"The filler must be free of cadmium; got {name}, {CADMIUM[name]} % Cd, whose fume "
            "can kill. Take BAg-7 or BAg-24."
        )
    return _of(fillers, "filler", name)  # type: ignore[no-any-return]


def flux(name: str) -> Flux:
    """Return the flux of that AWS class.

    Raises ValueError: "The flux must be one of …; got 'borax'. Choose one of them."

    References: AWS A5.31 Table 1, from memory.

    >>> flux("FB3-D").high
    1205.0
    >>> flux("borax")
    Traceback (most recent call last):
    ValueError: The flux must be one of FB3-A, FB3-C, FB3-D, FB3-K; got 'borax'. Choose one of them.
    """
    return _of(fluxes, "flux", name)  # type: ignore[no-any-return]


def _of(table: Any, kind: str, name: Any) -> Any:
    if name not in table:
        raise ValueError(
            f"The {kind} must be one of {', '.join(table)}; got {name!r}. Choose one of them."
        )
    return table[name]


@dataclass(frozen=True)
class Match:
    """Whether a flux covers a filler: `below`, `above` are its margins, K, at both ends."""

    below: float
    above: float

    @property
    def covers(self) -> bool:
        """True if the flux works from the solidus up to the top of the brazing range."""
        return self.below >= 0 and self.above >= 0


def match(filler: str | Filler, flux: str | Flux) -> Match:
    """Return whether the flux works over the filler's whole range, and by what margins, in K.

    Picture: on a thermometer the flux's bar must reach below the filler's solidus (`below` ≥ 0)
    and above the top of its brazing range (`above` ≥ 0).

    Parameters: `filler`, `flux`, names or the things themselves.

    Raises ValueError: as `filler` and `flux`.

    References: AWS A5.31 (classes); the rule is common practice, no source.

    >>> match("BAg-7", "FB3-A").covers, match("RBCuZn-D", "FB3-A").covers
    (True, False)
    >>> match("BAg-3", "FB3-A")
    Traceback (most recent call last):
    ValueError: The filler must be free of cadmium; got BAg-3, 16 % Cd, whose fume can kill. Take
    BAg-7 or BAg-24.
    """
    metal = filler if isinstance(filler, Filler) else _filler(filler)
    paste = flux if isinstance(flux, Flux) else _of(fluxes, "flux", flux)
    return Match(metal.solidus - paste.low, paste.high - metal.working[1])


_filler = filler


def bead_area(leg: Any, opening_deg: Any = 90.0) -> Any:
    """Return the area, in mm², across a hollow (concave) fillet.

    Picture: two faces open by `opening_deg`; an arc touches both, `leg` from the corner. At 90° it
    is a quarter circle of radius `leg`: leg²·(1 − π/4). The flatter the corner, the smaller the
    bead; at 180° there is no corner and no bead.

    Parameters: `leg`, mm; `opening_deg`, above 0, at most 180. Scalars or arrays.

    Raises ValueError: "The opening must lie between 0° and 180°; got 0°. Measure it between the
    two faces."

    References: plane geometry, kite less sector.

    >>> round(float(bead_area(6.0)), 4), float(bead_area(6.0, 180.0))
    (7.7257, 0.0)
    >>> bead_area(6.0, 0.0)
    Traceback (most recent call last):
    ValueError: The opening must lie between 0° and 180°; got 0°. Measure it between the two faces.
    """
    leg, opening = positive("leg", leg), number("opening", opening_deg, "degrees")
    require(
        (np.asarray(opening) > 0) & (np.asarray(opening) <= 180),
        "The opening must lie between 0° and 180°; got {opening}°. Measure it between the two"
        " faces.",
        opening=opening,
    )
    return leg**2 * corner.bead(np.radians(opening))[0]


@dataclass(frozen=True)
class Fillet:
    """A fillet round a joint: `volume` mm³, `line` mm (its length in the corner), `mean_opening_deg`."""

    volume: Any
    line: Any
    mean_opening_deg: Any

    def rod_length(self, rod: Any, allowance: Any = 1.0) -> Any:
        """Length, mm, of rod of diameter `rod` mm to lay out, times `allowance` (1 or more).

        Raises ValueError: "The allowance must be 1 or more; got 0.5. Take 1 for the bare bead."
        """
        allowance = number("allowance", allowance, "times")
        require(
            np.asarray(allowance) >= 1,
            "The allowance must be 1 or more; got {allowance}. Take 1 for the bare bead.",
            allowance=allowance,
        )
        return self.volume * allowance / (np.pi / 4 * positive("rod", rod) ** 2)


def fillet(diameter: Any, into: Any, angle_deg: Any, leg: Any, offset: Any = 0.0) -> Fillet:
    """Return the fillet round a mitered joint: volume in mm³, length of its corner line in mm.

    Picture: a hollow bead that reaches `leg` up the cut tube and as far over the tube it meets,
    all round. The corner opens and closes on the way round (sharp in the acute corner, flat on
    the flanks of nearly equal tubes, where it leaves no shoulder), and the bead with it.

    Parameters: `diameter`, `into`, `angle_deg`, `offset` as for `miters.saddle`; `leg`, mm.
    Scalars or arrays.

    Returns: `Fillet`. Pappus' rule along the corner: the bead's area times the way its centroid
    goes. The faces count as flat over the bead's leg, so expect a few per cent where the leg is
    not small against the tubes.

    Raises ValueError: as `miters.saddle`; "The leg must be greater than 0; …"

    References: derived; a tube square on a plate is a body of revolution (Pappus-Guldin).

    >>> bead = fillet(28.6, 36.0, 60.0, 6.0)
    >>> round(float(bead.line), 2), round(float(bead.volume), 0)
    (102.55, 653.0)
    >>> fillet(28.6, 36.0, 60.0, 0.0)
    Traceback (most recent call last):
    ValueError: The leg must be greater than 0; got 0 mm. Check the number.
    """
    leg = positive("leg", leg)
    given = curve.checked(diameter, into, angle_deg, offset)
    opening, bend, ds = corner.corner(*given)
    area, moment = corner.bead(opening)
    line = ds.sum(axis=-1)
    volume = leg**2 * np.sum(area * ds, axis=-1) + leg**3 * np.sum(moment * bend * ds, axis=-1)
    return Fillet(volume, line, np.degrees(np.sum(opening * ds, axis=-1) / line))


def heat_share(wall: Any, other_wall: Any, metal: Metal, other_metal: Metal | None = None) -> Any:
    """Return the share, 0 to 1, of the torch's heat that the first of two pieces needs.

    Picture: both get equally hot over equal areas; each takes heat by density · specific heat ·
    wall. A shell four times as thick as its tube needs four fifths: the flame dwells there.

    Parameters: `wall`, `other_wall`, mm; `metal` of the first and `other_metal` of the second
    (the same if left out). Scalars or arrays. Losses along the tubes are left out.

    Raises ValueError: "The metal must have a density and a specific heat; got none for …"

    >>> from coursekit.materials import STEEL_4130, STAINLESS_304
    >>> round(float(heat_share(3.6, 0.9, STEEL_4130)), 9)
    0.8
    >>> heat_share(3.6, 0.9, STEEL_4130, STAINLESS_304)
    Traceback (most recent call last):
    ValueError: The metal must have a density and a specific heat; got none for 304 stainless
    steel. Choose another metal.
    """
    first = positive("wall", wall) * _stored(metal)
    second = positive("other wall", other_wall) * _stored(other_metal or metal)
    return first / (first + second)


def _stored(metal: Metal) -> float:
    if metal.heat is None or metal.density is None:
        raise ValueError(
            "The metal must have a density and a specific heat; "
            f"got none for {metal.name}. Choose another metal."
        )
    return metal.heat * metal.density
