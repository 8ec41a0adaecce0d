"""Metals of the course: stiffness, strength, weight, expansion and heat, with their sources.

Values are typical unless a name says *minimum*. The two lines for 4130 are not to be mixed:
each has a modulus, a shear modulus and a Poisson's ratio that belong together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import number, positive, require
from coursekit.units import INCH, KSI, POUND_PER_CUBIC_INCH

ROOM = 20.0  # °C, where lengths are measured (ISO 1)


@dataclass(frozen=True)
class Metal:
    """One metal in one condition; None where no sourced value is at hand.

    `modulus`, `shear_modulus`, `yield_stress`, `ultimate` in MPa; `density` in g/cm³;
    `expansion`, pairs (up to this temperature in °C, mean per K from 20 °C), rising;
    `heat`, specific heat in J/(g·K).
    """

    name: str
    condition: str
    modulus: float | None = None
    shear_modulus: float | None = None
    poisson: float | None = None
    density: float | None = None
    yield_stress: float | None = None
    ultimate: float | None = None
    expansion: tuple[tuple[float, float], ...] = ()
    heat: float | None = None


STEEL_4130 = Metal(
    name="4130 steel",
    condition="normalized at 870 °C, 25 mm round, typical",
    modulus=205_000.0,  # MPa (ASM data sheet m4130r)
    shear_modulus=80_000.0,  # MPa (ASM data sheet m4130r)
    poisson=0.29,  # (ASM data sheet m4130r)
    density=7.85,  # g/cm³ (ASM data sheet m4130r)
    yield_stress=435.0,  # MPa (ASM data sheet m4130r)
    ultimate=670.0,  # MPa (ASM data sheet m4130r)
    # per K, mean from 20 °C (a steel supplier's sheet for 4130)
    expansion=((100.0, 12.2e-6), (400.0, 13.7e-6), (600.0, 14.6e-6)),
    heat=0.477,  # J/(g·K) (ASM data sheet m4130r, from memory)
)

STEEL_4130_TUBE_MINIMUM = Metal(
    name="4130 steel",
    condition="normalized tube, wall up to 0.188 in, specification minimum",
    modulus=29_000 * KSI,  # MPa, 29.0 Msi (MIL-HDBK-5J Table 2.3.1.0(c1), quoted second-hand)
    shear_modulus=11_000 * KSI,  # MPa, 11.0 Msi (same table, quoted second-hand)
    poisson=0.32,  # (same table, quoted second-hand)
    density=0.283 * POUND_PER_CUBIC_INCH,  # g/cm³, 0.283 lb/in³ (same table, quoted second-hand)
    yield_stress=75 * KSI,  # MPa, 75 ksi (MIL-T-6736B, quoted second-hand)
    ultimate=95 * KSI,  # MPa, 95 ksi (MIL-T-6736B, quoted second-hand)
    expansion=STEEL_4130.expansion,  # as the typical line
    heat=STEEL_4130.heat,  # as the typical line
)

STEEL_4130_THICK_MINIMUM = Metal(
    name="4130 steel",
    condition="normalized tube, wall over 0.188 in, specification minimum",
    modulus=29_000 * KSI,  # MPa, 29.0 Msi (MIL-HDBK-5J Table 2.3.1.0(c1), from memory)
    shear_modulus=11_000 * KSI,  # MPa, 11.0 Msi (same table, from memory)
    poisson=0.32,  # (same table, from memory)
    density=0.283 * POUND_PER_CUBIC_INCH,  # g/cm³, 0.283 lb/in³ (same table, from memory)
    yield_stress=70 * KSI,  # MPa, 70 ksi (same table, from memory)
    ultimate=90 * KSI,  # MPa, 90 ksi (same table, from memory)
    expansion=STEEL_4130.expansion,  # as the typical line
    heat=STEEL_4130.heat,  # as the typical line
)

STEEL_4140 = Metal(
    name="4140 and 4340 steel",
    condition="expansion only",
    expansion=(
        (100.0, 12.3e-6),
    ),  # per K (Callister & Rethwisch, Fundamentals, 3rd ed., Table B.6)
)

STAINLESS_304 = Metal(
    name="304 stainless steel",
    condition="expansion only",
    expansion=((100.0, 17.2e-6),),  # per K (Callister & Rethwisch, Table B.6)
)

BRASS_70_30 = Metal(
    name="C26000 cartridge brass",
    condition="expansion only",
    expansion=((100.0, 19.9e-6),),  # per K (Callister & Rethwisch, Table B.6)
)

BRASS_FREE_CUTTING = Metal(
    name="C36000 free-cutting brass",
    condition="expansion only",
    expansion=((100.0, 20.5e-6),),  # per K (Callister & Rethwisch, Table B.6)
)

BRASS_60_40 = Metal(
    name="C37000 brass, the nearest listed metal to a copper-zinc brazing rod",
    condition="wrought",
    density=8.41,  # g/cm³ (maker's sheet for C37000)
    expansion=((300.0, 20.9e-6),),  # per K, 11.6e-6 per °F from 20 to 300 °C (same sheet)
)

COPPER_NICKEL_30 = Metal(
    name="C71500 copper-nickel",
    condition="expansion only",
    expansion=((100.0, 16.2e-6),),  # per K (Callister & Rethwisch, Table B.6)
)

METALS = {
    "4130": STEEL_4130,
    "4130 tube minimum": STEEL_4130_TUBE_MINIMUM,
    "4130 thick minimum": STEEL_4130_THICK_MINIMUM,
    "4140": STEEL_4140,
    "304": STAINLESS_304,
    "C26000": BRASS_70_30,
    "C36000": BRASS_FREE_CUTTING,
    "C37000": BRASS_60_40,
    "C71500": COPPER_NICKEL_30,
}


def metal(name: str) -> Metal:
    """Return the metal of that name.

    Raises ValueError: "The metal must be one of …; got 'unobtainium'. Choose one of them."

    >>> metal("4130").modulus
    205000.0
    >>> metal("tin")
    Traceback (most recent call last):
    ValueError: The metal must be one of 4130, 4130 tube minimum, 4130 thick minimum, 4140, 304,
    C26000, C36000, C37000, C71500; got 'tin'. Choose one of them.
    """
    if name not in METALS:
        raise ValueError(
            f"The metal must be one of {', '.join(METALS)}; got {name!r}. Choose one of them."
        )
    return METALS[name]


def tube_minimum(wall: float) -> Metal:
    """Return the specification-minimum line for normalized 4130 tube of this wall, mm.

    The strength that may be counted on falls by 5 ksi where the wall passes 0.188 in (4.7752 mm).

    Raises ValueError: "The wall must be greater than 0; got 0 mm. Check the number."

    References: MIL-T-6736B and MIL-HDBK-5J Table 2.3.1.0(c1), the thick line from memory.

    >>> round(tube_minimum(0.9).yield_stress), round(tube_minimum(5.0).yield_stress, 1)
    (517, 482.6)
    >>> tube_minimum(0.0)
    Traceback (most recent call last):
    ValueError: The wall must be greater than 0; got 0 mm. Check the number.
    """
    thin = positive("wall", wall) <= 0.188 * INCH
    return STEEL_4130_TUBE_MINIMUM if thin else STEEL_4130_THICK_MINIMUM


def mean_expansion(of: Metal, hot: Any) -> Any:
    """Return the mean expansion per K from 20 °C up to `hot` °C.

    Between the table's temperatures it is interpolated; outside them the nearest is held, which
    is a rough estimate far above the last one.

    Parameters: `of`, a metal; `hot`, °C, scalar or array.

    Raises ValueError: "The metal must have an expansion; got …"

    >>> float(mean_expansion(STEEL_4130, 500.0))
    1.415e-05
    >>> mean_expansion(Metal("lead", "as cast"), 100.0)
    Traceback (most recent call last):
    ValueError: The metal must have an expansion; got none for lead. Choose another metal.
    """
    if not of.expansion:
        raise ValueError(
            f"The metal must have an expansion; got none for {of.name}. Choose another metal."
        )
    upto, mean = zip(*of.expansion, strict=True)
    return np.interp(number("hot", hot, "°C"), upto, mean)


def growth(of: Metal, length: Any, hot: Any) -> Any:
    """Return by how many mm a piece of `length` mm grows from 20 °C to `hot` °C (falls: negative).

    Raises ValueError: as `mean_expansion`; "The length must be greater than 0; …"

    >>> round(float(growth(STEEL_4130, 100.0, 600.0)), 3)
    0.847
    >>> growth(STEEL_4130, 0.0, 600.0)
    Traceback (most recent call last):
    ValueError: The length must be greater than 0; got 0 mm. Check the number.
    """
    return positive("length", length) * mean_expansion(of, hot) * (hot - ROOM)


def heat_to(of: Metal, mass: Any, hot: Any) -> Any:
    """Return the heat, in J, that brings `mass` g from 20 °C to `hot` °C, losses apart.

    The specific heat is held at its room-temperature value, so the true need at red heat is
    higher, by a half or so: an estimate for comparing pieces of one metal.

    Raises ValueError: "The metal must have a specific heat; got none for …"; "The temperature must
    be 20 °C or more; …"

    >>> round(float(heat_to(STEEL_4130, 10.0, 720.0)), 1)
    3339.0
    >>> heat_to(STAINLESS_304, 10.0, 720.0)
    Traceback (most recent call last):
    ValueError: The metal must have a specific heat; got none for 304 stainless steel. Choose
    another metal.
    """
    if of.heat is None:
        raise ValueError(
            f"The metal must have a specific heat; got none for {of.name}. Choose another metal."
        )
    hot = number("hot", hot, "°C")
    require(
        np.asarray(hot) >= ROOM,
        "The temperature must be 20 °C or more; got {hot} °C. Give the temperature reached.",
        hot=hot,
    )
    return positive("mass", mass, "g") * of.heat * (hot - ROOM)
