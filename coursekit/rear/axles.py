"""Rear axles in the common sizes. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass

from coursekit.rules import positive

KINDS = ("slot", "through")
TRADE = "common practice, no source"


def refuse_kind(what: str, kind: str) -> None:
    """Refuse an axle or a dropout of no known kind.

    Parameters
    ----------
    what : str
        "axle" or "dropout".
    kind : str
        "slot" or "through".

    Raises
    ------
    ValueError
        "The *what* must be of a known kind, slot or through; got 'bolt'. Name one of the two."

    Examples
    --------
    >>> refuse_kind("axle", "bolt")
    Traceback (most recent call last):
    ValueError: The axle must be of a known kind, slot or through; got 'bolt'. Name one of the two.
    """
    if kind not in KINDS:
        raise ValueError(
            f"The {what} must be of a known kind, slot or through; got {kind!r}. "
            "Name one of the two."
        )


@dataclass(frozen=True)
class Axle:
    """A rear axle, as hubs and frames share it.

    Attributes
    ----------
    spacing : float
        Between the faces that the hub's ends bear on, mm.
    diameter : float
        Of the axle where it lies in the dropout, mm.
    kind : str
        "slot" for an axle that drops out, "through" for one that is pushed through and screwed.
    use : str
        What it is found on, and where the numbers come from.

    Raises
    ------
    ValueError
        "The axle's spacing must be greater than 0; …"; "The axle must be of a known kind, slot or
        through; got 'bolt'. …"

    Examples
    --------
    >>> AXLES["135"].spacing, AXLES["142 through"].kind
    (135.0, 'through')
    >>> Axle(130.0, 10.0, "bolt", "")
    Traceback (most recent call last):
    ValueError: The axle must be of a known kind, slot or through; got 'bolt'. Name one of the two.
    """

    spacing: float
    diameter: float
    kind: str
    use: str

    def __post_init__(self) -> None:
        positive("axle's spacing", self.spacing)
        positive("axle's diameter", self.diameter)
        refuse_kind("axle", self.kind)


AXLES = {
    "110": Axle(110.0, 9.5, "slot", f"one gear, coaster brake; {TRADE}"),
    "120": Axle(120.0, 10.0, "slot", f"track, five sprockets; {TRADE}"),
    "126": Axle(126.0, 10.0, "slot", f"six and seven sprockets; {TRADE}"),
    "130": Axle(130.0, 10.0, "slot", f"road, rim brakes; {TRADE}"),
    "135": Axle(135.0, 10.0, "slot", f"touring, trail, disc brakes; {TRADE}"),
    "142 through": Axle(142.0, 12.0, "through", f"disc brakes, road and trail; {TRADE}"),
    "148 through": Axle(148.0, 12.0, "through", f"trail, wide tyres; {TRADE}"),
}
