"""The tables of `brazing`: filler metals and fluxes, with their sources."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from coursekit.rules import number
from coursekit.units import INCH


def celsius(fahrenheit: Any) -> Any:
    """Return a temperature in °C from one in °F.

    Parameters
    ----------
    fahrenheit : float or array
        °F.

    Returns
    -------
    float or array
        °C.

    Raises
    ------
    ValueError
        "The temperature must be a finite number in °F; got 'hot'. …"

    Examples
    --------
    >>> celsius(1670.0), celsius(32)
    (910.0, 0.0)
    >>> celsius("hot")
    Traceback (most recent call last):
    ValueError: The temperature must be a finite number in °F; got 'hot'. Give a plain number.
    """
    return (number("temperature", fahrenheit, "°F") - 32) / 1.8


@dataclass(frozen=True)
class Filler:
    """A filler metal, with its temperatures in °F as printed; its properties give them in °C.

    Attributes
    ----------
    name : str
        AWS class.
    parts : dict
        Nominal share of each element, %.
    solidus_f, liquidus_f : float
        Where it begins to melt and where all of it has melted, °F.
    range_f : tuple of float
        Brazing range, °F, lowest and highest.
    clearance_in : tuple of float, optional
        Clearance of a capillary joint on one side, inches, least and most; None where there is no
        sourced value.
    """

    name: str
    parts: dict[str, float]
    solidus_f: float
    liquidus_f: float
    range_f: tuple[float, float]
    clearance_in: tuple[float, float] | None = None

    @property
    def solidus(self) -> float:
        """Temperature at which it begins to melt, °C."""
        return float(celsius(self.solidus_f))

    @property
    def liquidus(self) -> float:
        """Temperature at which all of it has melted, °C."""
        return float(celsius(self.liquidus_f))

    @property
    def working(self) -> tuple[float, float]:
        """Brazing range, °C, lowest and highest."""
        return float(celsius(self.range_f[0])), float(celsius(self.range_f[1]))

    @property
    def clearance(self) -> tuple[float, float] | None:
        """Clearance of a capillary joint on one side, mm, least and most, where a source has it."""
        if self.clearance_in is None:
            return None
        return self.clearance_in[0] * INCH, self.clearance_in[1] * INCH


# Parts in %: Machinery's Handbook, 31st ed. (2020), Tables 1a and 1b, after AWS A5.8-1981. Later
# editions of A5.8 add a little tin to RBCuZn-A and keep its melting range (from memory).
_PARTS: dict[str, dict[str, float]] = {
    "RBCuZn-A": {"Cu": 59, "Zn": 41},
    "RBCuZn-C": {"Cu": 58, "Zn": 39.9, "Fe": 0.7, "Mn": 0.3, "Sn": 1, "Si": 0.1},
    "RBCuZn-D": {"Cu": 48, "Zn": 41.8, "Ni": 10, "Si": 0.2},
    "BAg-5": {"Ag": 45, "Cu": 30, "Zn": 25},
    "BAg-7": {"Ag": 56, "Cu": 22, "Zn": 17, "Sn": 5},
    "BAg-24": {"Ag": 50, "Cu": 20, "Zn": 28, "Ni": 2},
    "BCu-1": {"Cu": 100},
}

# Solidus, liquidus, lowest and highest brazing temperature in °F, from the same tables.
_TEMPERATURES = {
    "RBCuZn-A": (1630, 1650, 1670, 1750),
    "RBCuZn-C": (1590, 1630, 1670, 1750),
    "RBCuZn-D": (1690, 1715, 1720, 1800),
    "BAg-5": (1250, 1370, 1370, 1550),
    "BAg-7": (1145, 1205, 1205, 1400),
    "BAg-24": (1220, 1305, 1305, 1550),
    "BCu-1": (1980, 1980, 2000, 2100),
}

# Clearances in inches, by family: RBCuZn with flux, AWS Brazing Handbook, from memory; BAg with
# flux, note to Table 1a; copper, AWS Brazing Handbook, quoted second-hand.
_CLEARANCES = {"RBCuZn": (0.002, 0.005), "BAg": (0.002, 0.005), "BCu": (0.0, 0.002)}


def _filler(name: str) -> Filler:
    solidus, liquidus, low, high = _TEMPERATURES[name]
    family = name.partition("-")[0]
    return Filler(name, _PARTS[name], solidus, liquidus, (low, high), _CLEARANCES[family])


fillers = {name: _filler(name) for name in _PARTS}

# Cadmium, nominal % (Machinery's Handbook, 31st ed., 2020, Table 1a): named, to be refused.
CADMIUM = {"BAg-1": 24, "BAg-3": 16}


@dataclass(frozen=True)
class Flux:
    """A flux class and the temperatures between which it works.

    Attributes
    ----------
    name : str
        AWS class.
    form : str
        What it comes as.
    low, high : float
        Ends of the range in which it works, °C.
    """

    name: str
    form: str
    low: float
    high: float


# Names: AWS A5.31-92 (= ASME SFA-5.31), read. Ranges in °C: its Table 1, from memory; check the
# maker's sheet of what you use.
fluxes = {
    f.name: f
    for f in (
        Flux("FB3-A", "fluoride paste", 565.0, 870.0),
        Flux("FB3-C", "fluoride paste with boron", 565.0, 925.0),
        Flux("FB3-D", "borate paste", 760.0, 1205.0),
        Flux("FB3-K", "liquid carried by the gas", 760.0, 1205.0),
    )
}
