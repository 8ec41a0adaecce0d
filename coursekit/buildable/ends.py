"""The two ends of a frame as they are checked: the rear triangle and the fork. See `buildable`.

Tubes and rooms are those of `stays`, `rear` and `fork`. A tube of an end is bought longer than it
becomes; `Bought` says how long, and what is sawn off its end a.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from coursekit.fork import Blade, Fork, Shoulder
from coursekit.frame import Frame
from coursekit.rear import Bridge, Crank, Heel, RearEnd, Seatstays
from coursekit.rules import not_negative, positive, require
from coursekit.stays import CutStay

BRAKES = ("caliper", "cantilever", "disc")


@dataclass(frozen=True)
class Bought:
    """A tube of an end as it is bought.

    Attributes
    ----------
    length : float
        mm, above 0.
    wall : float
        mm, above 0: at both of its ends the same, where it isn't known better.
    from_a : float
        What is sawn off its end a, mm, 0 or more.

    Raises
    ------
    ValueError
        "The tube's length must be greater than 0; got 0 mm. Check the number."
    """

    length: float
    wall: float
    from_a: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no tube."""
        positive("tube's length", self.length)
        positive("tube's wall", self.wall)
        not_negative("cut at end a", self.from_a)

    def from_b(self, finished: float) -> float:
        """Return what is sawn off end b, mm; negative where the tube is too short.

        Parameters
        ----------
        finished : float
            Finished length of the piece, mm.

        Returns
        -------
        float
            mm.
        """
        return self.length - self.from_a - finished


@dataclass(frozen=True)
class Brake:
    """A brake, as far as the frame must fit it.

    Attributes
    ----------
    kind : str
        "caliper", "cantilever" or "disc".
    reach : tuple of float
        Of a caliper: the shortest and the longest way from its bolt to its pads, mm.
    bolt : tuple of float
        Of a caliper on a fork: its hole at the face it sits on, (down from the crown race seat,
        ahead of the steering axis), mm. At the rear it sits on the seatstays' bridge.
    bosses : float
        Of a cantilever: between the middles of its bosses, mm.
    rotor : float
        Of a disc brake: diameter of the rotor, mm.
    rotor_in : float
        From the inner face of the left dropout in to the rotor's outer face, mm.
    mount : tuple of float
        Of a disc brake: from the axle to the middle of its mount along the left tube, straight, and
        the mount's length, mm.
    on : str
        Which stay carries the mount: "chainstay" or "seatstay"; "blade" on a fork.

    Raises
    ------
    ValueError
        "The brake must be of a known kind, caliper, cantilever or disc; got 'drum'. …"; "The
        brake's longest reach must not be less than its shortest; got …"
    """

    kind: str
    reach: tuple[float, float] = (0.0, 0.0)
    bolt: tuple[float, float] = (0.0, 0.0)
    bosses: float = 80.0
    rotor: float = 0.0
    rotor_in: float = 0.0
    mount: tuple[float, float] = (0.0, 0.0)
    on: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no brake."""
        if self.kind not in BRAKES:
            raise ValueError(
                "The brake must be of a known kind, caliper, cantilever or disc; "
                f"got {self.kind!r}. Name one of the three."
            )
        low, high = self.reach
        require(
            low <= high,
            "The brake's longest reach must not be less than its shortest; got {high} mm and "
            "{low} mm. Swap them.",
            high=high,
            low=low,
        )
        if self.kind == "disc":
            positive("rotor's diameter", self.rotor)
            positive("mount's length", self.mount[1])


@dataclass(frozen=True, eq=False)
class RearTriangle:
    """A rear triangle as it is built.

    Attributes
    ----------
    end : rear.RearEnd
        Axle, dropouts and spacing.
    chainstay : stays.CutStay
        The right one; the left one is its mirror image.
    seatstays : rear.Seatstays
        The pair.
    bought : mapping of str to Bought
        "chainstay" and "seatstay" as they are bought.
    bridges : mapping of str to rear.Bridge
        "chainstay_bridge" and "seatstay_bridge", where there are any.
    brake : Brake, optional
        The rear brake.
    crank : rear.Crank, optional
        The right crank; the left one is taken to stand alike.
    heel : rear.Heel, optional
        The right heel, likewise.
    walls : mapping of str to float
        Of the bridges and the mono-tube, mm, by their names.
    """

    end: RearEnd
    chainstay: CutStay
    seatstays: Seatstays
    bought: Mapping[str, Bought]
    bridges: Mapping[str, Bridge] = field(default_factory=dict)
    brake: Brake | None = None
    crank: Crank | None = None
    heel: Heel | None = None
    walls: Mapping[str, float] = field(default_factory=dict)

    @property
    def right(self) -> dict[str, CutStay]:
        """The two stays on the drive side, "chainstay" and "seatstay"."""
        return {"chainstay": self.chainstay, "seatstay": self.seatstays.right}

    @property
    def tubes(self) -> dict[str, CutStay]:
        """Every tube of the triangle by its own name, both sides."""
        made = {}
        for cut in self.right.values():
            for one in (cut, cut.mirrored()):
                made[one.stay.name] = one
        if self.seatstays.mono is not None:
            made["mono_tube"] = self.seatstays.mono
        return made | {name: one.cut for name, one in self.bridges.items()}


def without_stays(frame: Frame) -> Frame:
    """Return a placed frame without the straight stays that stand in for those of a rear triangle.

    Parameters
    ----------
    frame : Frame
        One placed frame.

    Returns
    -------
    Frame
        The same drawing with its main triangle alone.
    """
    own = frame.tubes
    assert own is not None
    axes = {n: axis for n, axis in own.axes.items() if not n.endswith("stay")}
    joints = {n: one for n, one in own.joints.items() if one.cut in axes}
    return replace(frame, tubes=replace(own, axes=axes, joints=joints))


@dataclass(frozen=True)
class Steerer:
    """The steerer as it is bought, and how long it must be.

    Attributes
    ----------
    diameter, wall : float
        Outside, and of its wall at the lower end, mm, above 0.
    length : float
        As bought, mm, above 0.
    needed : float
        What the frame and the parts above it take, mm, above 0.

    Raises
    ------
    ValueError
        "The steerer's diameter must be greater than 0; got 0 mm. Check the number."
    """

    diameter: float
    wall: float
    length: float
    needed: float

    def __post_init__(self) -> None:
        """Refuse what is no steerer."""
        positive("steerer's diameter", self.diameter)
        positive("steerer's wall", self.wall)
        positive("steerer's length", self.length)
        positive("length of steerer that is needed", self.needed)


@dataclass(frozen=True, eq=False)
class FrontFork:
    """A fork as it is built, standing upright as `fork.blade_stay` lays it.

    Attributes
    ----------
    fork : fork.Fork
        Its geometry.
    blade : fork.Blade
        As it is cut, along its whole length.
    right : stays.CutStay
        The blade on the drive side as a body; its end a is the upper end.
    bought : Bought
        The blade as it is bought; its end a is the upper end.
    underside, depth : float
        Of the crown: from the crown race seat down to its underside, and that one's depth from
        front to back, mm.
    shoulder : fork.Shoulder, optional
        The bent upper end of the blades of a unicrown fork.
    crossing : float
        Of a unicrown fork: from the crown race seat down to where the axes cross, mm.
    steerer : Steerer, optional
        The steerer.
    brake : Brake, optional
        The front brake.
    """

    fork: Fork
    blade: Blade
    right: CutStay
    bought: Bought
    underside: float = 0.0
    depth: float = 0.0
    shoulder: Shoulder | None = None
    crossing: float = 0.0
    steerer: Steerer | None = None
    brake: Brake | None = None

    @property
    def tubes(self) -> dict[str, CutStay]:
        """Both blades by name."""
        return {one.stay.name: one for one in (self.right, self.right.mirrored())}
