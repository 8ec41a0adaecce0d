"""Dropouts: which way their tabs point, and where each stay ends. See `rear`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rear.axles import refuse_kind
from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.sections import Array

SIDES = {"right": 1.0, "left": -1.0}  # the drive side is the right one


@dataclass(frozen=True)
class Tab:
    """The tab of a dropout that one stay is joined to.

    Attributes
    ----------
    length : float
        From the axle's centre to the tip of the tab in side view, mm, above 0.
    angle_deg : float
        Where it points in side view, degrees from forward toward up, as it stands in the frame: a
        chainstay's tab a little below 0, a seatstay's between 45 and 80.
    slot : float
        How deep the stay's end is slotted to take the tab, mm; 0 for a stay that is capped and sits
        on the tip.

    Raises
    ------
    ValueError
        "The slot must be less deep than the tab is long; got 30 mm in 25 mm. …"

    Examples
    --------
    >>> Tab(32.0, -9.0, slot=12.0).stay_ends
    20.0
    >>> Tab(25.0, -9.0, slot=30.0)
    Traceback (most recent call last):
    ValueError: The slot must be less deep than the tab is long; got 30 mm in 25 mm. Cut it less
    deep.
    """

    length: float
    angle_deg: float
    slot: float = 0.0

    def __post_init__(self) -> None:
        positive("tab's length", self.length)
        number("tab's angle", self.angle_deg, "degrees")
        not_negative("slot", self.slot)
        require(
            self.slot < self.length,
            "The slot must be less deep than the tab is long; got {slot} mm in {length} mm. Cut it "
            "less deep.",
            slot=self.slot,
            length=self.length,
        )

    @property
    def capped(self) -> bool:
        """Whether the stay's end is closed and sits on the tip, with no slot."""
        return self.slot == 0

    @property
    def stay_ends(self) -> float:
        """From the axle's centre to where the stay's centre line ends, in side view, mm."""
        return self.length - self.slot


@dataclass(frozen=True)
class Dropout:
    """One dropout; its partner on the other side is the mirror image but for the hanger.

    Attributes
    ----------
    thickness : float
        Of the plate where the stays are joined, mm, above 0.
    chainstay, seatstay : Tab
        Its two tabs.
    kind : str
        "slot" or "through", as of the axle.
    hanger : tuple of float, optional
        Centre of the hanger's threaded hole on the drive side, (forward, up) of the axle's centre,
        mm: both are negative for a hole behind and below it.

    Raises
    ------
    ValueError
        "The seatstay's tab must point higher than the chainstay's; got 10° and 60°. …"; "The
        dropout must be of a known kind, …"

    Examples
    --------
    >>> plate = Dropout(6.0, Tab(32.0, -9.0, 12.0), Tab(28.0, 62.0, 10.0), hanger=(-8.0, -28.0))
    >>> plate.between_deg, round(plate.hanger_length, 3), round(plate.hanger_deg, 2)
    (71.0, 29.12, 15.95)
    >>> Dropout(6.0, Tab(32.0, 60.0), Tab(28.0, 10.0))
    Traceback (most recent call last):
    ValueError: The seatstay's tab must point higher than the chainstay's; got 10° and 60°. Swap
    them.
    """

    thickness: float
    chainstay: Tab
    seatstay: Tab
    kind: str = "slot"
    hanger: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        positive("plate's thickness", self.thickness)
        refuse_kind("dropout", self.kind)
        require(
            self.seatstay.angle_deg > self.chainstay.angle_deg,
            "The seatstay's tab must point higher than the chainstay's; got {seat}° and {chain}°. "
            "Swap them.",
            seat=self.seatstay.angle_deg,
            chain=self.chainstay.angle_deg,
        )
        if self.hanger is not None:
            number("hanger", list(self.hanger))

    @property
    def between_deg(self) -> float:
        """Angle between the two tabs, degrees: what the plate was made with."""
        return self.seatstay.angle_deg - self.chainstay.angle_deg

    @property
    def hanger_length(self) -> float:
        """From the axle's centre to the hanger's hole, mm; nan without a hanger."""
        return float(np.hypot(*self.hanger)) if self.hanger else float("nan")

    @property
    def hanger_deg(self) -> float:
        """The hanger line's angle behind straight down, degrees; nan without a hanger."""
        if self.hanger is None:
            return float("nan")
        forward, up = self.hanger
        return float(np.degrees(np.arctan2(-forward, -up)))


@dataclass(frozen=True)
class RearEnd:
    """Where the rear wheel sits: the axle, the dropouts, and how far apart they are.

    Attributes
    ----------
    axle : tuple of float
        The rear axle in side view, (x, y), mm, as `Frame.points` gives it.
    dropout : Dropout
        The one on the drive side; the other is its mirror image.
    spacing : float
        Between the inner faces of the dropouts, mm.

    Raises
    ------
    ValueError
        "The rear axle must lie behind the bottom bracket; got 420 mm ahead of it. …"; "The spacing
        must be greater than 0; …"

    Examples
    --------
    >>> plate = Dropout(6.0, Tab(32.0, 0.0, 12.0), Tab(28.0, 90.0))
    >>> RearEnd((-420.0, 70.0), plate, 130.0).spacing
    130.0
    >>> RearEnd((420.0, 70.0), plate, 130.0)
    Traceback (most recent call last):
    ValueError: The rear axle must lie behind the bottom bracket; got 420 mm ahead of it. Check the
    sign of x.
    """

    axle: tuple[float, float]
    dropout: Dropout
    spacing: float

    def __post_init__(self) -> None:
        x, y = number("axle", list(self.axle))
        require(
            x < 0,
            "The rear axle must lie behind the bottom bracket; got {x} mm ahead of it. Check the "
            "sign of x.",
            x=x,
        )
        positive("spacing", self.spacing)
        object.__setattr__(self, "axle", (float(x), float(y)))

    def stay_end(self, which: str, side: str = "right") -> Array:
        """Return where a stay's centre line ends.

        It ends in the middle of the plate, whose inner face is half the spacing from the frame's
        plane.

        Parameters
        ----------
        which : str
            "chainstay" or "seatstay".
        side : str
            "right", which is the drive side, or "left".

        Returns
        -------
        array, (3,)
            The end of the centre line in the frame, mm.

        Raises
        ------
        ValueError
            "The stay must be named chainstay or seatstay; …"; "The side must be right or left; …"

        Examples
        --------
        >>> plate = Dropout(6.0, Tab(32.0, 0.0, 12.0), Tab(28.0, 90.0))
        >>> end = RearEnd((-420.0, 70.0), plate, 130.0)
        >>> end.stay_end("chainstay")
        array([-400.,   70.,   68.])
        >>> end.stay_end("chainstay", "drive")
        Traceback (most recent call last):
        ValueError: The side must be right or left; got 'drive'. The drive side is the right one.
        """
        if which not in ("chainstay", "seatstay"):
            raise ValueError(
                f"The stay must be named chainstay or seatstay; got {which!r}. Name one of the two."
            )
        if side not in SIDES:
            raise ValueError(
                f"The side must be right or left; got {side!r}. The drive side is the right one."
            )
        plate = self.dropout
        tab = plate.chainstay if which == "chainstay" else plate.seatstay
        turn, out = np.radians(tab.angle_deg), self.spacing / 2 + plate.thickness / 2
        ahead, up = tab.stay_ends * np.cos(turn), tab.stay_ends * np.sin(turn)
        return np.array([self.axle[0] + ahead, self.axle[1] + up, SIDES[side] * out])


def slot_width(thickness: Any, toe_deg: Any, depth: Any) -> Any:
    """Return how wide a straight slot must be for a plate that enters it at an angle.

    The stays come in at an angle to the dropouts, so a slot sawn straight along the stay must be
    wider than the plate: t/cos τ + L·tan τ. File it to a wedge instead, and it stays narrow.

    Parameters
    ----------
    thickness : float or array
        Of the plate, mm, above 0.
    toe_deg : float or array
        Between the stay's axis and the plate, degrees, above −90 and below 90.
    depth : float or array
        Of the slot along the stay, mm, 0 or more.

    Returns
    -------
    float or array
        Least width, mm, without any play.

    Raises
    ------
    ValueError
        "The angle to the plate must lie between −90° and 90°; got 90°. Measure it to the plate."

    References
    ----------
    Derived from two parallel lines that cross a band.

    Examples
    --------
    >>> round(slot_width(6.0, 5.0, 12.0), 4)
    7.0728
    >>> slot_width(6.0, 90.0, 12.0)
    Traceback (most recent call last):
    ValueError: The angle to the plate must lie between −90° and 90°; got 90°. Measure it to the
    plate.
    """
    thickness = np.asarray(positive("plate's thickness", thickness), dtype=float)
    depth = np.asarray(not_negative("slot", depth), dtype=float)
    toe = np.asarray(number("angle to the plate", toe_deg, "degrees"), dtype=float)
    require(
        np.abs(toe) < 90,
        "The angle to the plate must lie between −90° and 90°; got {toe}°. Measure it to the "
        "plate.",
        toe=toe,
    )
    turn = np.radians(np.abs(toe))
    return bare(thickness / np.cos(turn) + depth * np.tan(turn))
