"""Room for fillets: never a reason not to build, always a reason to know what it costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from coursekit.buildable.finding import Finding
from coursekit.buildable.walls import landings
from coursekit.frame import Frame
from coursekit.pieces import Trimmed

SHOULDER = 3.0  # mm beside the cut tube on each flank; common practice, no source
LEG = 6.0  # mm of a bead on the tube it lies on; common practice, no source: 6 to 10
FLANKS = (
    "Equal tubes are brazed every day: on the flanks the corner opens flat, so the bead is built "
    "up there, with more rod, a smaller flame and more filing."
)
BEADS = "A bead cut short there is brazed every day too; it takes a smaller tip and more filing."


def findings(frame: Frame, trimmed: Mapping[str, Trimmed]) -> Iterator[Finding]:
    """Return where a fillet has little room; none of it forbids the frame.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    trimmed : mapping of str to Trimmed
        Every tube as cut.

    Yields
    ------
    Finding
        Each of them.
    """
    assert frame.tubes is not None
    pieces = {n: cut.piece for n, cut in trimmed.items() if not n.startswith("left_")}
    for name, piece in pieces.items():
        for one in (piece.a, piece.b):
            if one.joints:
                joint = one.joints[0]
                shoulder = (float(joint.into) - piece.diameter) / 2 - abs(joint.offset)
                yield from _shoulder(name, one.meets[0], shoulder)
    if "head_tube" in pieces:
        landed = landings(frame, pieces)
        ends = {t: s for (host, t), s in landed.items() if host == "head_tube"}
        tops = [high for _, high in ends.values()]
        lows = [low for low, _ in ends.values()]
        if ends:
            above = pieces["head_tube"].length - max(tops)
            yield from _bead("the fillet has little room below the upper face", above)
            yield from _bead("the fillet has little room above the lower face", min(lows))
            between = (float(frame.tubes.head_room) - LEG) if len(ends) > 1 else LEG
            yield from _bead("two fillets have little room between them", between)


def _shoulder(name: str, into: str, shoulder: float) -> Iterator[Finding]:
    if shoulder < SHOULDER - 1e-9:
        plain = name.removeprefix("right_").replace("_", " ")
        many = f"{plain}s" if name.startswith("right_") else plain
        yield Finding(
            "the fillet has little shoulder on the flanks",
            f"{many} to {into.replace('_', ' ')}",
            SHOULDER - shoulder,
            "mm",
            "A thinner tube, or one squeezed oval, leaves more.",
            FLANKS,
        )


def _bead(what: str, room: float) -> Iterator[Finding]:
    if room < LEG:
        cure = "A longer head tube, or tubes set otherwise, leaves more."
        yield Finding(what, "head tube", LEG - room, "mm", cure, BEADS)
