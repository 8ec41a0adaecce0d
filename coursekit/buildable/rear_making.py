"""What the rear end's own tubes must allow: length, straight ends, bends, slots, hanger, brake."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coursekit.buildable.ends import Bought, Brake, RearTriangle
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts
from coursekit.fork import BOSS_BELOW_BEAD_SEAT
from coursekit.rear import place_from_axle, slot_width, toe_in_deg
from coursekit.rules import require
from coursekit.stays import EASY_BEND, CutStay, Stay

LEAST_BEND = 2.0  # bend radius over the tube's size, cold and without a mandrel; common practice,
# no source, as are the limits below
STRAIGHT = 10.0  # mm of straight tube beyond a cut or a slot, for the template and the block
SIDE = 1.5  # mm of a stay's end beside its slot, for the wall on each side
HANGER_LENGTH = (24.0, 32.0)  # mm from the axle to the hanger's hole
HANGER_DEG = (0.0, 45.0)  # degrees behind straight down
BOSS_OFF = 3.0  # mm by which a stay at its boss may be off the place that the bosses want, a side


def findings(rear: RearTriangle, parts: Parts) -> Iterator[Finding]:
    """Return what the tubes of the rear end can't be made into.

    Parameters
    ----------
    rear : RearTriangle
        The rear end.
    parts : Parts
        The rim's bead seat counts, for the brake.

    Yields
    ------
    Finding
        Each of them.
    """
    for say, cut in rear.right.items():
        tab = rear.end.dropout.chainstay if say == "chainstay" else rear.end.dropout.seatstay
        yield from length(f"{say}s", cut, rear.bought[say])
        yield from ends(f"{say}s", cut, tab.slot)
        yield from bends(f"{say}s", cut.stay)
        if tab.slot:
            toe = toe_in_deg(cut.stay)
            plate = rear.end.dropout.thickness
            yield from slot(f"{say}s, end b", cut.stay, (plate, toe, tab.slot))
    yield from _hanger(rear)
    if rear.brake is not None:
        yield from _brake(rear, rear.brake, parts.bead_seat)


def length(where: str, cut: CutStay, bought: Bought) -> Iterator[Finding]:
    """Return the finding of a tube that is bought too short, if it is.

    Parameters
    ----------
    where : str
        The tube.
    cut : stays.CutStay
        As it is cut.
    bought : Bought
        As it is bought.

    Yields
    ------
    Finding
        At most one.
    """
    left = bought.from_b(cut.finished)
    if left < 0:
        need = bought.from_a + cut.finished
        cure = f"It takes {need:.1f} mm and is bought {bought.length:g} mm long. Take a longer one"
        cure += ", or cut less off its end a." if bought.from_a else "."
        yield Finding("the tube is too short", where, -left, "mm", cure)


def ends(where: str, cut: CutStay, slotted: float) -> Iterator[Finding]:
    """Return the findings of bends that run into a miter or a slot.

    Parameters
    ----------
    where : str
        The tube.
    cut : stays.CutStay
        As it is cut.
    slotted : float
        Depth of the slot at end b, mm.

    Yields
    ------
    Finding
        At most two.
    """
    bent = cut.stay.line.bends
    if not bent:
        return
    first = bent[0].at - cut.a.short_point
    last = cut.stay.length - bent[-1].end - max(slotted, cut.b.short_point)
    for end, left, what in (("a", first, "cut"), ("b", last, "slot" if slotted else "cut")):
        if left < STRAIGHT:
            cure = (
                f"There are {left:.1f} mm of straight tube past the {what}; {STRAIGHT:g} mm hold "
                f"the template and the block. Move the bend away from end {end}."
            )
            yield Finding(
                f"the bend runs into the {what}", f"{where}, end {end}", STRAIGHT - left, "mm", cure
            )


def bends(where: str, stay: Stay) -> Iterator[Finding]:
    """Return the findings of bends that are tight for their tube.

    Parameters
    ----------
    where : str
        The tube.
    stay : stays.Stay
        The tube.

    Yields
    ------
    Finding
        One a tight bend.
    """
    for one, ratio in zip(stay.line.bends, stay.bend_ratios, strict=True):
        size = one.radius / ratio
        tells = f"The radius is {one.radius:g} mm on {size:.1f} mm of tube, {ratio:.1f} times it"
        place = f"{where}, bend at {one.at:.0f} mm"
        if ratio < LEAST_BEND:
            need = LEAST_BEND * size
            cure = f"{tells}; {LEAST_BEND:g} times is the least. Take {need:.0f} mm or more."
            yield Finding("the bend is too tight", place, need - one.radius, "mm", cure)
        elif ratio < EASY_BEND:
            need = EASY_BEND * size
            cure = f"{tells}; {EASY_BEND:g} times is easy. {need:.0f} mm bends without a fold."
            ease = "Fill the tube or use a mandrel, and bend one to try before the pair."
            yield Finding("the bend is tight", place, need - one.radius, "mm", cure, ease)


def slot(where: str, stay: Stay, plate: tuple[float, float, float]) -> Iterator[Finding]:
    """Return the finding of an end that is too thin for its slot, if it is.

    Parameters
    ----------
    where : str
        The tube's end.
    stay : stays.Stay
        The tube; its end b is slotted.
    plate : tuple of float
        Thickness of the plate, mm; angle to the plate, degrees; depth of the slot, mm.

    Yields
    ------
    Finding
        At most one.
    """
    wide = float(slot_width(*plate))
    size = float(stay.taper.sizes(stay.length)[0])
    left = (size - wide) / 2
    if left < SIDE:
        cure = (
            f"The slot is {wide:.1f} mm wide in a tip of {size:.1f} mm. Take a thinner plate, a "
            "wider tip, or file the slot to a wedge and cut it less deep."
        )
        yield Finding("the tip is too thin for its slot", where, SIDE - left, "mm", cure)


def _hanger(rear: RearTriangle) -> Iterator[Finding]:
    plate = rear.end.dropout
    if plate.hanger is None:
        return
    low, high = HANGER_DEG
    turn, far = plate.hanger_deg, plate.hanger_length
    if not low <= turn <= high:
        off = low - turn if turn < low else turn - high
        cure = (
            f"It points {turn:.0f}° behind straight down; {low:g}° to {high:g}° is usual. Turn the "
            "plate, or check the signs: a hole behind and below the axle has two minus signs."
        )
        yield Finding("the hanger points the wrong way", "dropout, drive side", off, "°", cure)
    least, most = HANGER_LENGTH
    if not least <= far <= most:
        off = least - far if far < least else far - most
        yield Finding(
            "the hanger has an unusual length",
            "dropout, drive side",
            off,
            "mm",
            f"Its hole lies {far:.1f} mm from the axle; {least:g} to {most:g} mm is usual.",
            "Hold the gear's own sheet against it before you braze.",
        )


def _brake(rear: RearTriangle, brake: Brake, bead_seat: float | None) -> Iterator[Finding]:
    if brake.kind == "disc":
        yield from _mount(rear, brake)
    elif bead_seat is None:
        return
    elif brake.kind == "caliper":
        if "seatstay_bridge" in rear.bridges:
            yield from reach("seatstay bridge", _bolt(rear) - bead_seat / 2, brake.reach)
    else:
        yield from _bosses(rear, brake, bead_seat)


def _bolt(rear: RearTriangle) -> float:
    """From the axle to the middle of the seatstays' bridge in side view, mm."""
    at = rear.bridges["seatstay_bridge"].cut.stay.line.at(0.0).point
    return float(np.hypot(at[0] - rear.end.axle[0], at[1] - rear.end.axle[1]))


def reach(where: str, needed: float, spans: tuple[float, float]) -> Iterator[Finding]:
    """Return the finding of a caliper whose pads don't come to the rim, if they don't.

    Parameters
    ----------
    where : str
        What carries the brake.
    needed : float
        From the bolt to the pads, mm.
    spans : tuple of float
        The brake's shortest and longest reach, mm.

    Yields
    ------
    Finding
        At most one.
    """
    low, high = spans
    if not low <= needed <= high:
        off = low - needed if needed < low else needed - high
        way = "farther from" if needed < low else "nearer to"
        cure = (
            f"It takes a reach of {needed:.1f} mm, and the brake has {low:g} to {high:g} mm. Set "
            f"the bolt {way} the axle, or take another brake."
        )
        yield Finding("the brake's pads miss the rim", where, off, "mm", cure)


def _bosses(rear: RearTriangle, brake: Brake, bead_seat: float) -> Iterator[Finding]:
    stay = rear.seatstays.right.stay
    far = bead_seat / 2 - BOSS_BELOW_BEAD_SEAT
    s = place_from_axle(stay, rear.end.axle, far)
    half, out = brake.bosses / 2, float(stay.line.at(s).point[2])
    off = abs(out - half)
    if off > BOSS_OFF:
        way = "farther apart" if out < half else "closer together"
        cure = (
            f"{far:.0f} mm from the axle the stays stand {2 * out:.1f} mm apart, and the bosses "
            f"want {brake.bosses:g} mm. Set the stays {way} there, or take another brake."
        )
        where = "seatstays, brake bosses"
        yield Finding("the bosses stand in the wrong place", where, off - BOSS_OFF, "mm", cure)
    yield from straight("seatstays, brake bosses", stay, s, 20.0)


def _mount(rear: RearTriangle, brake: Brake) -> Iterator[Finding]:
    require(
        brake.on in rear.right,
        "The disc's mount must be on the chainstay or the seatstay; got {on}. Name one of the two.",
        on=repr(brake.on),
    )
    stay = rear.right[brake.on].stay
    far, long = brake.mount
    s = place_from_axle(stay, rear.end.axle, far)
    yield from straight(f"{brake.on}, non-drive side, disc mount", stay, s, long)


def straight(where: str, stay: Stay, s: float, long: float) -> Iterator[Finding]:
    """Return the finding of a mount that lies on no straight piece of its tube, if it doesn't.

    Parameters
    ----------
    where : str
        The mount.
    stay : stays.Stay
        The tube that carries it.
    s : float
        Its middle, mm along the tube's centre line from end a.
    long : float
        How long it is, mm.

    Yields
    ------
    Finding
        At most one.
    """
    low, high = s - long / 2, s + long / 2
    taken = [(b.at, b.end) for b in stay.line.bends]
    taken += [(d.at - d.length / 2, d.at + d.length / 2) for d in stay.taper.dimples]
    taken += [(stay.length, np.inf), (-np.inf, 0.0)]
    over = max((min(high, end) - max(low, at) for at, end in taken), default=0.0)
    if over > 0:
        cure = (
            f"It lies from {low:.0f} to {high:.0f} mm along the tube, and {over:.1f} mm of that is "
            "bent, pressed or beyond its end. Move the mount or the bend."
        )
        yield Finding("the mount does not lie on a straight piece", where, over, "mm", cure)
