"""Room at the rear end: beside tyre, chainring, crank, heel and disc, and among its own tubes.

Distances are those of `rear.rooms`, on tubes as they are: tapered, bent, dimpled.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coursekit.buildable.ends import Brake, RearTriangle
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts
from coursekit.buildable.rooms import RING_EASY, RING_LEAST, TYRE_EASY, TYRE_LEAST
from coursekit.buildable.shell import CLEAR_OF_FACE
from coursekit.frame import Frame
from coursekit.rear import Chainring, Turned, Tyre, room, shell_land
from coursekit.stays import REAR, Body, CutStay, Stay, rod

CRANK_LEAST, CRANK_EASY = 1.0, 4.0  # mm from crank to stay; common practice, no source
HEEL_LEAST, HEEL_EASY = 0.0, 10.0  # mm from heel to stay; common practice, no source
DISC_LEAST, DISC_EASY = 1.0, 3.0  # mm from rotor to stay; common practice, no source
SAME = 1e-6  # mm that count as no overlap
FREE = "It turns free only while the wheel is true and stands in the middle."
GIVES = "Under a hard foot frame and cranks give, and then it may graze the stay."


@dataclass(frozen=True)
class Limit:
    """How near a body may come: words for a finding, the least room and the easy room, mm."""

    body: str
    least: float
    easy: float
    cure: str
    ease: str

    def findings(self, where: str, left: float) -> Iterator[Finding]:
        """Return the finding of a place with so much room left, if any.

        Parameters
        ----------
        where : str
            The tube.
        left : float
            Room, mm; negative where the two overlap.

        Yields
        ------
        Finding
            At most one.
        """
        says = f"It leaves {left:.1f} mm" if left >= 0 else f"It reaches {-left:.1f} mm in"
        if left < self.least:
            cure = f"{says}; {self.least:g} mm is the least. {self.cure}"
            what = f"the {self.body} comes too near"
            yield Finding(what, where, self.least - left, "mm", cure)
        elif left < self.easy:
            cure = f"{says}; {self.easy:g} mm is easy. {self.cure}"
            what = f"the {self.body} has little room"
            yield Finding(what, where, self.easy - left, "mm", cure, self.ease)


TYRE = Limit(
    "rear tyre",
    TYRE_LEAST,
    TYRE_EASY,
    "Take a narrower tyre, or bend, dimple or set the stays farther apart beside it.",
    FREE,
)
BRIDGE = Limit("rear tyre", TYRE_LEAST, TYRE_EASY, "Set the bridge farther from the axle.", FREE)
RING = Limit(
    "chainring",
    RING_LEAST,
    RING_EASY,
    "Take fewer teeth or a wider chainline, or bend or dimple the stay there.",
    GIVES,
)
CRANK = Limit(
    "crank",
    CRANK_LEAST,
    CRANK_EASY,
    "Take a crank that stands farther out, or swing the stays out farther behind it.",
    GIVES,
)
HEEL = Limit(
    "heel",
    HEEL_LEAST,
    HEEL_EASY,
    "Take pedals that stand farther out, or thinner or longer stays.",
    "A foot that turns out strikes the stay there.",
)
DISC = Limit(
    "disc",
    DISC_LEAST,
    DISC_EASY,
    "Take a smaller rotor, or bend or dimple the left stay beside it.",
    "A rotor that is bent a little rubs there.",
)


def findings(frame: Frame, rear: RearTriangle, parts: Parts) -> Iterator[Finding]:
    """Return where something comes too near to a tube of the rear end.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    rear : RearTriangle
        The rear end.
    parts : Parts
        Tyre, chainring and the faced shell count.

    Yields
    ------
    Finding
        Each of them.
    """
    yield from _tyre(frame, rear, parts)
    chain = rear.chainstay.stay
    if parts.ring is not None:
        ring = Chainring(int(parts.ring.teeth), parts.ring.chainline)
        yield from RING.findings("chainstay, drive side", room(chain, ring).room)
    for body, limit in ((rear.crank, CRANK), (rear.heel, HEEL)):
        if body is not None:
            for say, cut in rear.right.items():
                yield from limit.findings(f"{say}s", _room(cut, body))
    yield from _disc(rear)
    yield from _each_other(frame, rear)
    yield from _shell(frame, rear, parts)


def _room(cut: CutStay, body: Body) -> float:
    """The room of what is left of a stay once it is cut."""
    begin = max(0.0, cut.a.long_point)
    return room(cut.stay, body, begin, cut.stay.length - max(0.0, cut.b.long_point)).room


def _tyre(frame: Frame, rear: RearTriangle, parts: Parts) -> Iterator[Finding]:
    if parts.tyre is None:
        return
    tyre = Tyre(rear.end.axle, float(frame.rear_radius), parts.tyre, parts.knobs)
    for say, cut in rear.right.items():
        yield from TYRE.findings(f"{say}s", _room(cut, tyre))
    for name, one in rear.bridges.items():
        yield from BRIDGE.findings(name.replace("_", " "), _room(one.cut, tyre))
    if rear.seatstays.mono is not None:
        yield from TYRE.findings("mono-tube", _room(rear.seatstays.mono, tyre))


def rotor(axle: tuple[float, float], spacing: float, brake: Brake) -> Turned:
    """Return the rotor of a disc brake as a body, on the left side.

    What lies between it and the frame's plane counts as taken, too, because the hub turns there. So
    a tube that reaches into the rotor shows by how much.

    Parameters
    ----------
    axle : tuple of float
        Where the wheel's axle stands in side view, (x, y), mm.
    spacing : float
        Between the inner faces of the dropouts, mm.
    brake : Brake
        The disc brake.

    Returns
    -------
    rear.Turned
        The body.
    """
    face, half = -(spacing / 2 - brake.rotor_in), brake.rotor / 2
    return Turned(axle, ((0.0, face), (half, face), (half, 0.0), (0.0, 0.0)))


def _disc(rear: RearTriangle) -> Iterator[Finding]:
    if rear.brake is not None and rear.brake.kind == "disc":
        disc = rotor(rear.end.axle, rear.end.spacing, rear.brake)
        for say, cut in rear.right.items():
            yield from DISC.findings(f"{say}, non-drive side", _room(cut.mirrored(), disc))


def _each_other(frame: Frame, rear: RearTriangle) -> Iterator[Finding]:
    """Stays that would have to be in one place, with each other or with the seat tube."""
    what = "the tubes run into each other"
    cure = "Set them farther apart where they start, or take thinner ones."
    for say, cut in rear.right.items():
        if "middle" in cut.a.meets:
            continue
        deep = -2 * float(cut.a.edge[:, 2].min())
        if deep > SAME:
            yield Finding(what, f"{say}s", deep, "mm", cure)
    seat, chain = seat_tube(frame), rear.chainstay
    beyond = room(chain.stay, seat, max(0.0, chain.a.short_point)).room
    deep = -min(beyond, float(np.min(seat.outside(chain.a.edge))))
    if deep > SAME:
        cure = "Set the chainstays farther apart or lower at the shell, or dimple them there."
        yield Finding(what, "seat tube and chainstay", deep, "mm", cure)


def seat_tube(frame: Frame) -> Stay:
    """Return the seat tube of a placed frame as a body.

    Parameters
    ----------
    frame : Frame
        One placed frame.

    Returns
    -------
    stays.Stay
        From the bottom bracket to its top; line 0° is its rear.
    """
    assert frame.tubes is not None
    axis = frame.tubes.axes["seat_tube"]
    return rod("seat_tube", axis.start, axis.end, float(axis.diameter), REAR)


def _shell(frame: Frame, rear: RearTriangle, parts: Parts) -> Iterator[Finding]:
    """How far the chainstays' edge stays inside the finished face."""
    if parts.faced is None:
        return
    assert frame.tubes is not None
    left = shell_land(rear.chainstay.stay, float(frame.tubes.axes["shell"].diameter), parts.faced)
    where = "chainstays on the shell"
    if left < 0:
        cure = "Bring the stays closer together at the shell, or take a wider shell."
        yield Finding("the tube's edge reaches past the finished face", where, -left, "mm", cure)
    elif left < CLEAR_OF_FACE:
        yield Finding(
            "the fillet has little room beside the finished face",
            where,
            CLEAR_OF_FACE - left,
            "mm",
            "Bring the stays closer together at the shell, or keep the bead small there.",
            "The facing tool would cut into a full bead, so file its toe back before you face.",
        )


def landing(frame: Frame, rear: RearTriangle) -> dict[tuple[str, str], tuple[float, float]]:
    """Return where the seatstays, or their mono-tube, land along the seat tube's axis.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    rear : RearTriangle
        The rear end.

    Returns
    -------
    dict of (host, tube) to (from, to)
        mm up the seat tube's axis, as `walls.landings` gives it.
    """
    pair, seat = rear.seatstays, seat_tube(frame)
    if pair.way == "tacked to the flank":
        s = seat.line.nearest(pair.right.a.edge)
        return {("seat_tube", "seatstays"): (float(np.min(s)), float(np.max(s)))}
    say, cut = ("mono-tube", pair.mono) if pair.mono is not None else ("seatstays", pair.right)
    edge = cut.a.edge[np.asarray(cut.a.touches) == 0]
    s = seat.line.nearest(edge)
    return {("seat_tube", say): (float(np.min(s)), float(np.max(s)))}
