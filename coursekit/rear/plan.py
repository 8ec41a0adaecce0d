"""The plan view of the rear end: outlines in the x–z plane, for a drawing. See `rear`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from coursekit.rear.bodies import Chainring, Tyre
from coursekit.rear.cranks import Crank
from coursekit.rear.dropouts import RearEnd
from coursekit.rules import require
from coursekit.sections import Array
from coursekit.stays import CutStay, EndCut, Stay

ALONG = 241
HALF_ROUND = 91
CRANK_THICK = 14.0  # mm, as a crank is drawn; common practice, no source


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything of the rear end as it looks from above.

    Each outline is an array of (x, z) in mm: x forward, z to the drive side.

    Attributes
    ----------
    outlines : dict of str to array, (points, 2)
        Closed outlines by name, the last point not repeated: the stays and bridges by their own
        names, and "tyre", "chainring", "right_crank", "left_crank" where they are known.
    lines : dict of str to array, (points, 2)
        Open lines: "axle" between the dropouts' inner faces, "chainline" from the bottom bracket to
        the axle, "middle" along the frame's plane, and each tube's centre line, "<name>_axis".
    """

    outlines: dict[str, Array]
    lines: dict[str, Array]


def plan_view(
    tubes: Mapping[str, CutStay],
    end: RearEnd,
    tyre: Tyre | None = None,
    ring: Chainring | None = None,
    cranks: Mapping[str, Crank] | None = None,
) -> Plan:
    """Return the plan view of a rear end.

    Parameters
    ----------
    tubes : mapping of str to CutStay
        Stays of both sides, bridges and the like, as they are cut, by name.
    end : RearEnd
        Where the rear wheel sits.
    tyre : Tyre, optional
        The tyre.
    ring : Chainring, optional
        The chainring; its chainline is drawn as well.
    cranks : mapping of str to Crank, optional
        The cranks by name; they are drawn pointing to the rear.

    Returns
    -------
    Plan
        Outlines and lines, mm.

    Raises
    ------
    ValueError
        The messages of `outline`.

    Examples
    --------
    >>> from coursekit.rear import Dropout, Tab
    >>> from coursekit.stays import Taper, between, cut_end
    >>> stay = between("right_chainstay", (0, 0, 20), (-400, 0, 20), Taper((0.0,), (18.0,)))
    >>> cut = CutStay(stay, cut_end(stay), cut_end(stay, None, "b"))
    >>> end = RearEnd((-420.0, 70.0), Dropout(6.0, Tab(32.0, -9.5), Tab(28.0, 62.0)), 130.0)
    >>> seen = plan_view({"right_chainstay": cut}, end, ring=Chainring(42, 45.0))
    >>> shape = seen.outlines["right_chainstay"]
    >>> [round(float(v), 6) + 0.0 for v in (*shape.min(axis=0), *shape.max(axis=0))]
    [-400.0, 11.0, 0.0, 29.0]
    >>> seen.lines["chainline"].tolist()
    [[0.0, 45.0], [-420.0, 45.0]]
    """
    x, half = end.axle[0], end.spacing / 2
    outlines = {name: outline(cut) for name, cut in tubes.items()}
    lines = {f"{name}_axis": _axis(cut) for name, cut in tubes.items()}
    lines["axle"] = np.array([[x, -half], [x, half]])
    lines["middle"] = np.array([[0.0, 0.0], [x, 0.0]])
    if tyre is not None:
        outlines["tyre"] = _tyre(tyre)
    if ring is not None:
        radius, thick = ring.body.radius, ring.thickness / 2
        near, far = ring.chainline - thick, ring.chainline + thick
        corners = [[radius, near], [radius, far], [-radius, far], [-radius, near]]
        outlines["chainring"] = np.array(corners)
        lines["chainline"] = np.array([[0.0, ring.chainline], [x, ring.chainline]])
    outlines |= {name: _crank(crank) for name, crank in (cranks or {}).items()}
    return Plan(outlines, lines)


def outline(cut: CutStay) -> Array:
    """Return the outline of a cut tube as it looks from above.

    Both sides of the tube run from cut to cut. Between them lies whichever half of the cut edge
    reaches farther, the upper or the lower one.

    Parameters
    ----------
    cut : CutStay
        The tube.

    Returns
    -------
    array, (points, 2)
        (x, z), mm, the last point not repeated. It is right to 1e-4 mm for stays that run within
        30° of the level and taper as stays do.

    Raises
    ------
    ValueError
        "The tube must not stand upright in a plan view; …"

    Examples
    --------
    >>> from coursekit.stays import cut_end, rod
    >>> post = rod("post", (0, 0, 0), (0, 100, 0), 28.6, (-1, 0, 0))
    >>> outline(CutStay(post, cut_end(post), cut_end(post, None, "b")))
    Traceback (most recent call last):
    ValueError: The tube must not stand upright in a plan view; got one that does at 0 mm. Draw it
    from the side.
    """
    stay = cut.stay
    ends = [_limits(stay, cut, side) for side in (0.0, 180.0)]
    sides = [_side(stay, *limits, side) for limits, side in zip(ends, (0.0, 180.0), strict=True)]
    half_a = _end(stay, cut.a, ends[1][0], ends[0][0])
    half_b = _end(stay, cut.b, ends[0][1], ends[1][1])
    return np.concatenate([sides[0], half_b[1:-1], sides[1][::-1], half_a[1:-1]])


def _seen(stay: Stay, s: Array, side: float) -> Array:
    """The line of the tube that is its edge as seen from above, degrees."""
    at = stay.line.at(s)
    upright = np.hypot(at.direction[..., 0], at.direction[..., 2]) < 1e-6
    require(
        ~upright,
        "The tube must not stand upright in a plan view; got one that does at {s} mm. Draw it from "
        "the side.",
        s=s,
    )
    width, depth = stay.taper.sizes(s)
    line = np.degrees(np.arctan2(-width * at.zero[..., 1], depth * at.ninety[..., 1]))
    # the same side all along: side 0 lies toward the cross of up and the tube's way
    out = np.cross((0.0, 1.0, 0.0), at.direction)
    turn = np.radians(line)[..., None]
    beside = depth[..., None] * np.cos(turn) * at.zero + width[..., None] * np.sin(turn) * at.ninety
    other = np.sum(beside * out, axis=-1) < 0
    return np.asarray(line + np.where(other, 180.0, 0.0) + side)


def _limits(stay: Stay, cut: CutStay, side: float) -> tuple[float, float]:
    """Where one side of the tube begins and ends, mm along the centre line."""
    found = []
    for end in (cut.a, cut.b):
        s = 0.0 if end.end == "a" else stay.length
        for _ in range(30):  # the line turns little along the tube, so this settles fast
            line = float(_seen(stay, np.asarray(s), side)) % 360.0
            along = float(np.interp(line, end.around_deg, end.along))
            s = along if end.end == "a" else stay.length - along
        found.append(s)
    return found[0], found[1]


def _side(stay: Stay, begin: float, end: float, side: float) -> Array:
    bends = [v for b in stay.line.bends for v in (b.at, b.end) if begin < v < end]
    places = [v for v in stay.taper.places if begin < v < end]
    s = np.unique(np.concatenate([np.linspace(begin, end, ALONG), bends, places]))
    at, turn = stay.line.at(s), _seen(stay, s, side)
    x, y = stay.taper.outline(s, turn)
    points = at.point + x[:, None] * at.zero + y[:, None] * at.ninety
    return np.asarray(points[:, [0, 2]])


def _end(stay: Stay, end: EndCut, s_from: float, s_to: float) -> Array:
    """The outermost of a cut edge as seen from above, from side 180 to side 0 at end a."""
    a = end.end == "a"
    first = float(_seen(stay, np.asarray(s_from), 180.0 if a else 0.0))
    last = float(_seen(stay, np.asarray(s_to), 0.0 if a else 180.0))
    span = (last - first) % 360.0
    over, under = (
        _places(end, first + way * np.linspace(0.0, 1.0, HALF_ROUND))
        for way in (span, span - 360.0)
    )
    way = stay.line.at(0.0 if a else stay.length).direction[[0, 2]] * (-1.0 if a else 1.0)
    return np.where((over @ way > under @ way)[:, None], over, under)


def _places(end: EndCut, lines: Array) -> Array:
    """Where lines end on a cut edge, (x, z)."""
    lines = lines % 360.0
    found = [np.interp(lines, end.around_deg, end.edge[:, i]) for i in (0, 2)]
    return np.stack(found, axis=-1)


def _axis(cut: CutStay) -> Array:
    stay = cut.stay
    bends = [v for b in stay.line.bends for v in np.linspace(b.at, b.end, 33)]
    s = np.unique([0.0, *bends, stay.length])
    return np.asarray(stay.line.at(s).point[:, [0, 2]])


def _tyre(tyre: Tyre) -> Array:
    """From above a ring of round section looks like a strip with half-round ends."""
    turn = np.radians(np.linspace(-90.0, 90.0, HALF_ROUND))
    x, z = tyre.core + tyre.half * np.cos(turn), tyre.half * np.sin(turn)
    front = np.column_stack([x, z])
    whole = np.concatenate([front, -front])
    return np.asarray(whole + np.array([tyre.axle[0], 0.0]))


def _crank(crank: Crank) -> Array:
    """From above, pointing to the rear, a strip along its inner face."""
    tip = crank.length + crank.tip
    hand = 1.0 if crank.side == "right" else -1.0
    inner = np.array([[0.0, hand * crank.inside_at_bb], [-tip, hand * crank.inside_at_pedal]])
    return np.concatenate([inner, inner[::-1] + np.array([0.0, hand * CRANK_THICK])])
