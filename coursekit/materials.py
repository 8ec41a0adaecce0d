"""Metals of the course: stiffness, strength, weight, expansion and heat, with their sources.

Values are typical, except that strengths are the least that a specification asks for. The modulus,
shear modulus and Poisson's ratio of one metal belong together, and so do its two strengths.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Metal:
    """One metal in one condition.

    A value is None, and the expansion empty, where no sourced number is at hand.

    Attributes
    ----------
    name, condition : str
        What the metal is called, and the state it is in.
    modulus, shear_modulus : float, optional
        MPa.
    poisson : float, optional
        Poisson's ratio, a plain number.
    density : float, optional
        g/cm³.
    yield_stress, ultimate : float, optional
        MPa.
    expansion : tuple of (float, float)
        Pairs, rising: a temperature in °C, and the mean expansion per K from 20 °C up to it.
    heat : float, optional
        Specific heat, J/(g·K).
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
    condition="normalized; strengths are the least of tube with a wall of up to 4.8 mm",
    modulus=205_000.0,  # MPa (ASM data sheet m4130r)
    shear_modulus=80_000.0,  # MPa (ASM data sheet m4130r)
    poisson=0.29,  # (ASM data sheet m4130r)
    density=7.85,  # g/cm³ (ASM data sheet m4130r)
    # MPa, 75 and 95 ksi (MIL-T-6736B, read in copies that quote it). A bar of 25 mm cools slower
    # and is softer: 435 and 670 MPa, typical (ASM data sheet m4130r). A frame is made of tube.
    yield_stress=517.0,
    ultimate=655.0,
    # per K, mean from 20 °C (a steel supplier's sheet for 4130)
    expansion=((100.0, 12.2e-6), (400.0, 13.7e-6), (600.0, 14.6e-6)),
    heat=0.477,  # J/(g·K) (ASM data sheet m4130r, from memory)
)

STAINLESS_304 = Metal(
    name="304 stainless steel",
    condition="expansion only",
    # per K, mean from 0 °C: to 100 °C (Callister & Rethwisch, Table B.6); to 315 and 538 °C (the
    # same supplier's sheet as for 4130); to 649 °C (a maker's table of stainless foil, 10.4 per °F)
    expansion=((100.0, 17.2e-6), (315.0, 17.8e-6), (538.0, 18.4e-6), (649.0, 18.7e-6)),
)
