"""The one check of a frame: everything that `buildable` knows, in the order of a build."""

from __future__ import annotations

from collections.abc import Mapping

from coursekit import butts
from coursekit.buildable import (
    fillets,
    fork_findings,
    rear_making,
    rear_rooms,
    rooms,
    shell,
    stays,
    toe,
    walls,
)
from coursekit.buildable.ends import FrontFork, RearTriangle, without_stays
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Parts
from coursekit.frame import Frame
from coursekit.pieces import Trimmed
from coursekit.rules import not_negative
from coursekit.tubes import Butted

NOTHING = Parts()


def check(
    frame: Frame,
    tubes: Mapping[str, Butted],
    trimmed: Mapping[str, Trimmed],
    parts: Parts = NOTHING,
    margin: float = butts.HEAT_MARGIN,
    rear: RearTriangle | None = None,
    front: FrontFork | None = None,
) -> tuple[Finding, ...]:
    """Return what keeps a placed frame from being built, and what costs more care.

    First comes what forbids, then what costs care; each from the shell outward. Of a pair of stays
    the one on the drive side is looked at and both are named.

    Parameters
    ----------
    frame : Frame
        One frame (not a batch) after `Frame.place`.
    tubes : mapping of str to tubes.Butted
        The tubes as bought; only "shell" is looked at.
    trimmed : mapping of str to Trimmed
        Every other tube as it is cut, by its name in the frame, as from `pieces.cut_out`.
    parts : Parts
        What the frame must hold; what isn't known isn't checked.
    margin : float
        Full wall kept past a joint, mm, 0 or more.
    rear : RearTriangle, optional
        The rear end as it is built; the frame's own straight stays are then not looked at.
    front : FrontFork, optional
        The fork as it is built.

    Returns
    -------
    tuple of Finding
        Empty where there is nothing to say.

    Raises
    ------
    ValueError
        "The tubes must be placed before there are joints; …"; "The tubes must have a shell among
        them; got …"; "The heat margin must be 0 or more; got -1 mm. Check the sign."

    References
    ----------
    A shop chart of shell threads after ISO 6696; 16 CFR 1512.11(b), 1512.15(b) (from memory) and
    1512.17(d); common practice, no source, for the rest.

    Examples
    --------
    >>> from coursekit import pieces
    >>> from coursekit.frame import DownTube, TopTube, draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=425, bb_drop=65, wheel_radius=340,
    ...     fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=560,
    ...     front_centre=600)
    >>> f = f.place(top_tube=TopTube(28.6, 12, below_seat_top=20), down_tube=DownTube(31.8, 10),
    ...     shell=40)
    >>> plain = {n: Butted(p.diameter, (0.9,) * 3, (0, 0, 700, 0, 0))
    ...     for n, p in pieces.of_frame(f).items()}
    >>> cut = {n: pieces.cut_out(p, plain[n]) for n, p in pieces.of_frame(f).items()}
    >>> shell = {"shell": Butted(40, (2.5,) * 3, (0, 0, 69, 0, 0))}
    >>> from coursekit.buildable import Thread
    >>> for found in check(f, shell, cut, Parts(thread=Thread(34.798, 25.4 / 24))):
    ...     print(found.where, "|", found.what, "|", round(found.by, 1), "|", found.forbids)
    bottom-bracket shell | the bore is too wide for the thread | 1.1 | True
    top tube to seat tube | the fillet has little shoulder on the flanks | 3.0 | False
    down tube to head tube | the fillet has little shoulder on the flanks | 0.9 | False
    >>> check(f, {}, cut)
    Traceback (most recent call last):
    ValueError: The tubes must have a shell among them; got none. Add it.
    """
    _ = frame.joints
    margin = not_negative("heat margin", margin)
    if "shell" not in tubes:
        raise ValueError(
            f"The tubes must have a shell among them; got {', '.join(tubes) or 'none'}. Add it."
        )
    main = frame if rear is None else without_stays(frame)
    landed = {} if rear is None else rear_rooms.landing(frame, rear)
    found = [
        *shell.findings(tubes, trimmed, parts),
        *stays.findings(trimmed),
        *walls.findings(main, trimmed, parts.sleeve, parts.post, margin, landed),
        *rooms.findings(main, parts),
        *(rear_rooms.findings(frame, rear, parts) if rear else ()),
        *(rear_making.findings(rear, parts) if rear else ()),
        *(fork_findings.findings(frame, front, parts) if front else ()),
        *toe.findings(frame, parts.pedals),
        *fillets.findings(main, trimmed),
    ]
    return tuple(sorted(found, key=lambda one: not one.forbids))
