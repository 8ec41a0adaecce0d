"""The tables of `brazing`: filler metals and fluxes, with their sources."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from coursekit.rules import number
from coursekit.units import INCH


def celsius(fahrenheit: Any) -> Any:
    """Return a temperature in °C from one in °F.

    >>> celsius(1670.0), celsius(32)
    (910.0, 0.0)
    >>> celsius("hot")
    Traceback (most recent call last):
    ValueError: The temperature must be a finite number in °F; got 'hot'. Give a plain number.
    """
    return (number("temperature", fahrenheit, "°F") - 32) / 1.8


@dataclass(frozen=True)
class Filler:
    """A filler metal: nominal parts in %, temperatures in °F as printed; °C by its properties.

    `clearance_in`, inches a side of a capillary joint, least and most; None for no sourced value.
    """

    name: str
    parts: dict[str, float]
    solidus_f: float
    liquidus_f: float
    range_f: tuple[float, float]
    clearance_in: tuple[float, float] | None = None

    @property
    def solidus(self) -> float:
        """Where it begins to melt, °C."""
        return float(celsius(self.solidus_f))

    @property
    def liquidus(self) -> float:
        """Where all of it has melted, °C."""
        return float(celsius(self.liquidus_f))

    @property
    def working(self) -> tuple[float, float]:
        """Brazing range, °C, lowest and highest."""
        return float(celsius(self.range_f[0])), float(celsius(self.range_f[1]))

    @property
    def clearance(self) -> tuple[float, float] | None:
        """Gap a side for a capillary joint, mm, least and most."""
        if self.clearance_in is None:
            return None
        return self.clearance_in[0] * INCH, self.clearance_in[1] * INCH


# Parts in %, temperatures in °F: Machinery's Handbook, 31st ed., Tables 1a and 1b (after AWS
# A5.8-1981). Clearances in inches: BAg with flux, note to Table 1a; RBCuZn with flux, AWS Brazing
# Handbook, from memory; copper, AWS Brazing Handbook, quoted second-hand.
fillers = {
    f.name: f
    for f in (
        Filler("RBCuZn-A", {"Cu": 59, "Zn": 41}, 1630, 1650, (1670, 1750), (0.002, 0.005)),
        Filler(
            "RBCuZn-C", {"Cu": 58, "Zn": 39.9, "Fe": 0.7, "Mn": 0.3, "Sn": 1, "Si": 0.1},
            1590, 1630, (1670, 1750), (0.002, 0.005),
        ),
        Filler(
            "RBCuZn-D", {"Cu": 48, "Zn": 41.8, "Ni": 10, "Si": 0.2},
            1690, 1715, (1720, 1800), (0.002, 0.005),
        ),
        Filler("BAg-5", {"Ag": 45, "Cu": 30, "Zn": 25}, 1250, 1370, (1370, 1550), (0.002, 0.005)),
        Filler(
            "BAg-7", {"Ag": 56, "Cu": 22, "Zn": 17, "Sn": 5}, 1145, 1205, (1205, 1400), (0.002, 0.005)
        ),
        Filler(
            "BAg-24", {"Ag": 50, "Cu": 20, "Zn": 28, "Ni": 2}, 1220, 1305, (1305, 1550), (0.002, 0.005)
        ),
        Filler("BCu-1", {"Cu": 100}, 1980, 1980, (2000, 2100), (0.0, 0.002)),
    )
}  # fmt: skip

# Cadmium, nominal % (Machinery's Handbook, 31st ed., Table 1a): named so that they can be refused.
CADMIUM = {"BAg-1": 24, "BAg-3": 16}


@dataclass(frozen=True)
class Flux:
    """A flux class and the range, °C, in which it works; `form` says what it comes as."""

    name: str
    form: str
    low: float
    high: float


# Ranges in °C: AWS A5.31 Table 1, from memory; check the maker's sheet of what you use.
fluxes = {
    f.name: f
    for f in (
        Flux("FB3-A", "fluoride paste", 565.0, 870.0),
        Flux("FB3-C", "fluoride paste with boron", 565.0, 925.0),
        Flux("FB3-D", "borate paste", 760.0, 1205.0),
        Flux("FB3-K", "liquid carried by the gas", 760.0, 1205.0),
    )
}
