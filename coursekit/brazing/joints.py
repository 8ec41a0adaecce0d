"""Choosing filler and flux, and the size of a fillet and the heat it takes."""

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
    """Return the filler of an AWS class.

    Parameters
    ----------
    name : str
        One of the names in `fillers`.

    Returns
    -------
    Filler
        Its composition and temperatures.

    Raises
    ------
    ValueError
        "The filler must be free of cadmium; got BAg-1, 24 % Cd, whose fume can kill. …"; "The
        filler must be one of …; got 'tin'. …"

    References
    ----------
    Machinery's Handbook, 31st ed. (2020), Tables 1a and 1b, after AWS A5.8-1981.

    Examples
    --------
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
    """Return the flux of an AWS class.

    Parameters
    ----------
    name : str
        One of the names in `fluxes`.

    Returns
    -------
    Flux
        Its form and range.

    Raises
    ------
    ValueError
        "The flux must be one of …; got 'borax'. …"

    References
    ----------
    AWS A5.31-92: class names read, ranges of Table 1 from memory.

    Examples
    --------
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
    """Whether a flux covers a filler, and by what margins.

    Attributes
    ----------
    below : float
        How far the flux's range begins below the filler's solidus, K.
    above : float
        How far the flux's range goes on above the top of the brazing range, K.
    """

    below: float
    above: float

    @property
    def covers(self) -> bool:
        """True if the flux works from the solidus up to the top of the brazing range."""
        return self.below >= 0 and self.above >= 0


def match(filler: str | Filler, flux: str | Flux) -> Match:
    """Return whether a flux works over the filler's whole range, and by what margins.

    Think of a thermometer: the flux's bar must reach below the filler's solidus, so that `below` is
    0 or more, and above the top of its brazing range, so that `above` is 0 or more.

    Parameters
    ----------
    filler : str or Filler
        A filler or its name.
    flux : str or Flux
        A flux or its name.

    Returns
    -------
    Match
        The two margins, K.

    Raises
    ------
    ValueError
        As `filler` and `flux`, where a name is given.

    References
    ----------
    AWS A5.31-92 (classes); for the rule, common practice, no source.

    Examples
    --------
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
    """Return the area across a hollow (concave) fillet.

    Two faces open by `opening_deg`, and an arc touches both of them, `leg` away from the corner. At
    90° the arc is a quarter circle of radius `leg`, and the area is leg²·(1 − π/4). The flatter the
    corner, the smaller the bead; at 180° there is no corner and no bead.

    Parameters
    ----------
    leg : float or array
        mm, greater than 0.
    opening_deg : float or array
        Degrees between the faces, above 0 and up to 180.

    Returns
    -------
    float or array
        mm².

    Raises
    ------
    ValueError
        "The opening must lie between 0° and 180°; got 0°. …"

    References
    ----------
    Plane geometry, a kite less a sector.

    Examples
    --------
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
    """A fillet all round a joint.

    Attributes
    ----------
    volume : float or array
        mm³.
    line : float or array
        Length along the corner, mm.
    mean_opening_deg : float or array
        Mean angle between the two faces, degrees.
    """

    volume: Any
    line: Any
    mean_opening_deg: Any

    def rod_length(self, rod: Any, allowance: Any = 1.0) -> Any:
        """Return the length of rod to lay out for the fillet.

        Parameters
        ----------
        rod : float or array
            Diameter of the rod, mm, greater than 0.
        allowance : float or array
            Factor, 1 or more, for the filler that does not end up in the bead.

        Returns
        -------
        float or array
            mm.

        Raises
        ------
        ValueError
            "The allowance must be 1 or more; got 0.5. …"
        """
        allowance = number("allowance", allowance, "times")
        require(
            np.asarray(allowance) >= 1,
            "The allowance must be 1 or more; got {allowance}. Take 1 for the bare bead.",
            allowance=allowance,
        )
        return self.volume * allowance / (np.pi / 4 * positive("rod", rod) ** 2)


def fillet(diameter: Any, into: Any, angle_deg: Any, leg: Any, offset: Any = 0.0) -> Fillet:
    """Return the fillet round a mitered joint: its volume and the length of its corner line.

    It is a hollow bead that reaches `leg` up the cut tube and as far over the tube it meets, all
    round. On the way round the corner opens and closes, and the bead with it: the corner is sharp
    on the acute side, and flat on the flanks of nearly equal tubes, where it leaves no shoulder.

    Parameters
    ----------
    diameter, into : float or array
        Outside diameters of the cut tube and of the tube it meets, mm, as for `miters.saddle`.
    angle_deg : float or array
        Included angle between the axes, degrees.
    leg : float or array
        mm, greater than 0.
    offset : float or array
        Distance between the axes, mm.

    Returns
    -------
    Fillet
        Volume, mm³, length of the corner, mm, and mean opening, degrees.

    Raises
    ------
    ValueError
        As `miters.saddle`; "The leg must be greater than 0; got 0 mm. …"

    Notes
    -----
    By Pappus' rule along the corner, the volume is the bead's area times the way its centroid goes.
    The faces count as flat over the bead's leg, so expect to be off by a few per cent where the leg
    is not small against the tubes.

    References
    ----------
    Derived; a tube that stands square on a plate is a body of revolution (Pappus–Guldin).

    Examples
    --------
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
    """Return the share of the torch's heat that the first of two pieces needs.

    Both pieces must get equally hot over equal areas, and each takes up heat in proportion to
    density · specific heat · wall. A shell four times as thick as its tube needs four fifths of the
    heat, so the flame dwells there.

    Parameters
    ----------
    wall, other_wall : float or array
        Wall of the first and of the second piece, mm, greater than 0.
    metal : Metal
        Of the first piece.
    other_metal : Metal, optional
        Of the second piece; left out, it is the same.

    Returns
    -------
    float or array
        Share of the first piece, 0 to 1.

    Raises
    ------
    ValueError
        "The metal must have a density and a specific heat; got none for …"

    Notes
    -----
    Heat that runs away along the tubes is left out.

    Examples
    --------
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
