"""One frame to build: its drawing, every tube as bought and as cut, what the bench must know."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from coursekit import buildable, butts, miters, pieces
from coursekit.buildable import (
    Finding,
    FrontFork,
    Parts,
    Pedals,
    Post,
    RearTriangle,
    Ring,
    Sleeve,
    Thread,
    without_stays,
)
from coursekit.frame import Frame
from coursekit.pieces import Piece, Trimmed
from coursekit.sheets import code
from coursekit.tubes import Butted

SAYS = {
    "shell": "bottom-bracket shell",
    "head_tube": "head tube",
    "seat_tube": "seat tube",
    "top_tube": "top tube",
    "down_tube": "down tube",
    "right_chainstay": "chainstay, drive side",
    "left_chainstay": "chainstay, non-drive side",
    "right_seatstay": "seatstay, drive side",
    "left_seatstay": "seatstay, non-drive side",
}
ORDER = tuple(SAYS)[1:]  # in which pieces are printed


@dataclass(frozen=True)
class Bench:
    """What the bench needs besides the drawing; mm and degrees, as the frame file says them."""

    heat_margin: float = butts.HEAT_MARGIN
    rail: float = 0.0
    cone_deg: float = 60.0
    crank: float = 170.0
    foot: float = 100.0
    tacks_deg: tuple[float, ...] = (0.0, 90.0, 180.0, 270.0)
    tack_hold: float = 0.6
    spacing: float = 0.0  # between the dropouts' inner faces; 0 where it is not given


@dataclass(frozen=True)
class Fitted:
    """What the frame must hold, as the frame file says it; mm, and None where it doesn't."""

    thread: Thread | None = None
    faced: float | None = None
    post: Post | None = None
    tyre: float | None = None
    ring: Ring | None = None
    pedal_out: float | None = None
    holds_foot: bool = False

    def __post_init__(self) -> None:
        """Refuse what no part can be, with the words of `buildable`."""
        Parts(faced=self.faced, tyre=self.tyre, pedals=self.pedals(1.0))

    def pedals(self, crank: float) -> Pedals | None:
        """Cranks and pedals, where it is known how far out the pedals stand."""
        out = self.pedal_out
        return None if out is None else Pedals(crank, out, self.holds_foot)


@dataclass(frozen=True)
class SetUp:
    """One set-up of the mitering fixture: the cut for one of the tubes that an end meets.

    Attributes
    ----------
    meets
        The tube that is met, in words.
    angle_deg
        Included angle between the axes, degrees.
    swing_deg
        Swing of the fixture from square, degrees; a minus swings it the other way.
    offset
        How far the tube's axis passes the cutter's, mm.
    further
        How far this crossing of axes lies beyond that of the first set-up, away from the joint, mm.
    """

    meets: str
    angle_deg: float
    swing_deg: float
    offset: float
    further: float

    def __str__(self) -> str:
        """What to set, as a person would say it at the machine."""
        said = [f"swing {self.swing_deg:.1f}° from square"]
        if self.offset > 0.05:
            said.append(f"axis {self.offset:.1f} mm beside the cutter's")
        if abs(self.further) > 0.05:
            said.append(f"axes cross {self.further:.1f} mm further from the end")
        return ", ".join(said)


@dataclass(frozen=True)
class Record:
    """What was measured, by its name in the frame file, and how far it may be off; mm, degrees."""

    measured: Mapping[str, float] = field(default_factory=dict)
    allowed: float = 2.0
    allowed_deg: float = 0.3


@dataclass(frozen=True)
class Ends:
    """The rear end and the fork as they are built, where the frame file has them.

    Attributes
    ----------
    rear
        The rear triangle; the frame's own straight stays stand in for it in statics alone.
    front
        The fork.
    knobs, bead_seat
        Of the tyres and of the rims, mm.
    told
        What the frame file says of all this; it changes the version.
    """

    rear: RearTriangle | None = None
    front: FrontFork | None = None
    knobs: float = 0.0
    bead_seat: float | None = None
    told: object = None


@dataclass(frozen=True)
class Build:
    """One frame to build.

    Attributes
    ----------
    frame
        The drawing, its tubes placed.
    tubes
        Every tube as bought, by its name in the frame file ("chainstay" for the pair).
    short
        By how much a stay stops short of the rear axle, mm.
    own_cut
        What is cut off end a where the builder chose it, mm.
    record
        What was measured; it does not change the version.
    fitted
        What the frame must hold; it decides what the cover says of building it.
    ends
        The rear end and the fork; none where the frame file has no tables for them.
    """

    name: str
    builder: str
    frame: Frame
    tubes: Mapping[str, Butted]
    short: Mapping[str, float]
    own_cut: Mapping[str, float]
    bench: Bench = Bench()
    sleeve: Sleeve | None = None
    record: Record = Record()
    fitted: Fitted = Fitted()
    ends: Ends = Ends()

    @cached_property
    def main(self) -> Frame:
        """The frame with the tubes that are cut as straight pieces: without stays of a rear end."""
        return self.frame if self.ends.rear is None else without_stays(self.frame)

    @cached_property
    def pieces(self) -> dict[str, Piece]:
        """Every tube as a piece to cut, in the order of printing."""
        made = pieces.of_frame(self.main, self.short)
        return {name: made[name] for name in ORDER if name in made}

    @cached_property
    def trimmed(self) -> dict[str, Trimmed]:
        """Every piece with the bought tube that it is cut from.

        Unless the builder chose the cut, a tube that goes to the head tube is cut at its other end
        as far as the window allows, so that the head tube gets the longer butt (common practice).
        Either way each end keeps a reserve beyond its need, `butts.RESERVE`, if the tube has it.

        Raises
        ------
        ValueError
            With the tube's name, where the tube or its butts are too short.
        """
        return {name: self._trimmed(name, piece) for name, piece in self.pieces.items()}

    def _trimmed(self, name: str, piece: Piece) -> Trimmed:
        base = bought_as(name)
        tube, margin, own = self.tubes[base], self.bench.heat_margin, self.own_cut.get(base)
        try:
            made = pieces.cut_out(piece, tube, margin, own)
            if own is not None:
                return made
            to_head = "head_tube" in piece.b.meets
            wanted = float(made.plan.most_from_a if to_head else made.plan.from_a)
            return pieces.cut_out(piece, tube, margin, made.reserved(wanted))
        except ValueError as error:
            raise ValueError(f"{SAYS[name]}: {error}") from None

    @cached_property
    def version(self) -> str:
        """Six digits that change when any number of the frame does; printed on every sheet.

        What was worked out is rounded to a millionth of a millimetre, so that the same frame has
        the same digits on every machine and by whatever dimensions it was given.
        """
        own = {n: _steady(v) for n, v in self.frame.basic.items()}
        axes = {
            n: ([_steady(v) for v in p.start], _steady(p.length), p.diameter)
            for n, p in self.pieces.items()
        }
        tubes = {n: (t.diameter, t.walls, t.lengths) for n, t in self.tubes.items()}
        rest: tuple[object, ...] = (dict(self.short), dict(self.own_cut), self.bench, self.sleeve)
        if self.fitted != Fitted():
            rest = (*rest, self.fitted)
        if self.ends.told is not None:
            rest = (*rest, self.ends.told)
        return code.version(own, axes, tubes, rest)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What keeps the frame from being built, and what costs more care: see `buildable`.

        Raises
        ------
        ValueError
            With the tube's name, where a tube can't be cut; where the crank is no length.
        """
        own, pedals = self.fitted, self.fitted.pedals(self.bench.crank)
        ends, margin = self.ends, self.bench.heat_margin
        held = (own.thread, own.faced, self.sleeve, own.post, own.tyre, own.ring, pedals)
        parts = Parts(*held, ends.knobs, ends.bead_seat)
        cut = (self.frame, self.tubes, self.trimmed)
        return buildable.check(*cut, parts, margin, ends.rear, ends.front)

    def set_ups(self, name: str, end: str) -> list[SetUp]:
        """Every set-up of the mitering fixture that one end of a piece takes, in order."""
        return [
            SetUp(
                SAYS[tube],
                float(joint.angle_deg),
                float(miters.mill_setting_deg(joint.angle_deg)),
                float(abs(joint.offset)),
                float(joint.set_back),
            )
            for tube, joint in self.pieces[name].end(end).cuts
        ]


def _steady(value: float) -> float:
    """Return a number without the noise of rounding in its last digits or a minus sign on zero.

    Examples
    --------
    >>> _steady(-1e-13), _steady(595.0000000000002)
    (0.0, 595.0)
    """
    return round(float(value), 6) + 0.0


def bought_as(name: str) -> str:
    """The name that a piece's tube has in the frame file.

    Examples
    --------
    >>> bought_as("left_chainstay"), bought_as("top_tube")
    ('chainstay', 'top_tube')
    """
    return name.removeprefix("left_").removeprefix("right_")
