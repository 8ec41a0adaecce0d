"""Walls under the flame, the sleeve at the seat tube's top, and the seat post."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

import numpy as np

from coursekit import sleeves
from coursekit.buildable.finding import Finding
from coursekit.buildable.parts import Post, Sleeve
from coursekit.frame import Frame
from coursekit.pieces import Piece, Trimmed
from coursekit.sections import Array
from coursekit.tubes import Butted

THINNEST = 0.7  # mm of wall under a flame, in practised hands; common practice, no source
EASY_WALL = 0.8  # mm for a beginner; common practice, no source
Landings = Mapping[tuple[str, str], tuple[float, float]]
ROUNDING = 1e-9  # mm of wall
ON = 1e-6  # mm that a point of an edge may lie off the tube it was cut to fit
WIDEST_GAP = 0.2  # mm a side that brass still fills; common practice, no source
LOOSE_POST = 0.3  # mm between bore and post, at most; common practice, no source
SLIDES = 0.05  # mm between bore and post that slide without a reamer; the same
PLUG_WALL = 1.0  # mm of a plug outside the post in it; common practice, no source
INSERTION = 2.0  # post's diameters from its foot to the least mark: 16 CFR 1512.15(b), from memory
CLEAR = 6.0  # mm from a sleeve's foot to a tube below it, for a fillet; common practice, no source
THIN_EASE = "Such a wall is brazed every day in practised hands; the flame has to stay off it."


def findings(
    frame: Frame,
    trimmed: Mapping[str, Trimmed],
    sleeve: Sleeve | None,
    post: Post | None,
    margin: float,
    more: Landings = MappingProxyType({}),
) -> Iterator[Finding]:
    """Return where the wall under a flame is thin, and what the seat tube's top can't hold.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    trimmed : mapping of str to Trimmed
        Every tube as cut.
    sleeve : Sleeve or None
        At the seat tube's top.
    post : Post or None
        The seat post.
    margin : float
        Full wall kept past a joint, mm.
    more : mapping of (host, tube) to (from, to)
        Where other tubes land, as `landings` gives it.

    Yields
    ------
    Finding
        Each of them.
    """
    cuts = {name: cut for name, cut in trimmed.items() if not name.startswith("left_")}
    landed = landings(frame, {name: cut.piece for name, cut in cuts.items()}) | dict(more)
    for name, cut in cuts.items():
        patches = [(f"the {of}", span) for (host, of), span in landed.items() if host == name]
        if name == "seat_tube" and sleeve is not None:
            length = cut.piece.length
            patches.append(("the sleeve", (length - sleeve.lap, length)))
        yield from _flame(name, cut, patches, margin)
    if "seat_tube" in cuts:
        seat = cuts["seat_tube"]
        if sleeve is not None:
            tops = [span[1] for (host, _), span in landed.items() if host == "seat_tube"]
            yield from _sleeve(seat, sleeve, max(tops, default=0.0))
        if post is not None:
            yield from _post(seat, sleeve, post)


def landings(
    frame: Frame, pieces: Mapping[str, Piece]
) -> dict[tuple[str, str], tuple[float, float]]:
    """Return where each tube lands on the side of another, along the axis of the other.

    Parameters
    ----------
    frame : Frame
        One placed frame.
    pieces : mapping of str to Piece
        The pieces by name.

    Returns
    -------
    dict of (host, tube) to (from, to)
        mm from the host's crossing at its end a; the tube is named as one reads it.
    """
    assert frame.tubes is not None
    found = {}
    for name, piece in pieces.items():
        for end in "ab":
            for host in (h for h in piece.end(end).meets if h in pieces):
                on = pieces[host]
                off = piece.edge(end) - on.start
                along = off @ on.direction
                beside = np.linalg.norm(off - along[:, None] * on.direction, axis=-1)
                touching: Array = along[np.abs(beside - on.diameter / 2) < ON]
                if touching.size:
                    plain = name.removeprefix("right_").replace("_", " ")
                    plain += "s" if name.startswith("right_") else ""
                    found[host, plain] = float(touching.min()), float(touching.max())
    return found


def _flame(
    name: str, cut: Trimmed, patches: list[tuple[str, tuple[float, float]]], margin: float
) -> Iterator[Finding]:
    """Thin walls of one tube: under what lands on it, and at its own mitered ends."""
    say, tube, thin = name.removeprefix("right_").replace("_", " "), cut.tube, []
    for under, (low, high) in patches:
        full, wall = walls_under(cut, low - margin, high + margin)
        thin.append(wall)
        if wall < full - ROUNDING:
            cure = (
                f"Take a tube with full wall there, or a butt that reaches {margin:g} mm past it."
            )
            where = f"{say}, under {under}"
            yield Finding("the wall is thinner than full wall", where, full - wall, "mm", cure)
    for end, wall in (("a", float(tube.walls[0])), ("b", float(tube.walls[2]))):
        if cut.piece.end(end).joints:
            thin.append(wall)
            if wall < THINNEST - ROUNDING:
                cure = f"Take a tube with {EASY_WALL:g} mm or more at its ends."
                missing = THINNEST - wall
                yield Finding(
                    "the wall is too thin to braze", f"{say}, end {end}", missing, "mm", cure
                )
    least = min(thin, default=EASY_WALL)
    if THINNEST - ROUNDING <= least < EASY_WALL - ROUNDING:
        cure = f"{EASY_WALL:g} mm is easier for a first frame."
        missing = EASY_WALL - least
        yield Finding("the wall under the flame is thin", say, missing, "mm", cure, THIN_EASE)


def walls_under(cut: Trimmed, low: float, high: float) -> tuple[float, float]:
    """Return the full wall that a place of a tube needs, and the least wall that it has there.

    Full is the wall of the nearer end, and never less than what can be brazed.

    Parameters
    ----------
    cut : Trimmed
        The tube.
    low, high : float
        From where to where, mm along the piece's axis from its crossing at end a.

    Returns
    -------
    tuple of float
        mm.
    """
    tube, first = cut.tube, float(cut.piece.a.along.min())
    length = float(tube.length)
    ends = np.clip([low - first, high - first], 0.0, length)
    inside = [m for m in map(float, tube.marks) if ends[0] < m < ends[1]]
    wall = float(np.min(tube.wall_at(np.array([*ends, *inside]))))
    nearer = tube.walls[0 if ends.mean() < length / 2 else 2]
    return max(THINNEST, float(nearer)), wall


def _sleeve(seat: Trimmed, sleeve: Sleeve, highest: float) -> Iterator[Finding]:
    gap, wall = (sleeve.bore - sleeve.plug) / 2, float(seat.tube.walls[2])
    where = "sleeve at the seat tube's top"
    if gap < 0:
        cure = "Turn the inner one down, or bore the outer one out."
        yield Finding("the sleeve doesn't fit cold", where, -2 * gap, "mm", cure)
    if gap > WIDEST_GAP:
        cure = "Turn another sleeve: 0.05 to 0.13 mm a side for silver."
        yield Finding("the gap is too wide for filler", where, gap - WIDEST_GAP, "mm", cure)
    if sleeve.outside:
        turned = (sleeve.outside - sleeve.bore) / 2
        if turned < THINNEST - ROUNDING:
            cure = "Turn it from thicker bar."
            yield Finding("the sleeve's wall is too thin", where, THINNEST - turned, "mm", cure)
        yield from _sleeve_foot(where, seat.piece.length - sleeve.lap - highest)
    least = float(sleeves.lap(wall, wall))
    if sleeve.lap < least:
        cure = f"Make the lap {least:.0f} mm or more; 20 to 30 mm is usual."
        yield Finding("the lap is too short", where, least - sleeve.lap, "mm", cure)


def _sleeve_foot(where: str, room: float) -> Iterator[Finding]:
    cure = "Shorten the sleeve, or let the tubes land lower."
    if room < 0:
        yield Finding("the sleeve covers where a tube lands", where, -room, "mm", cure)
    elif room < CLEAR:
        yield Finding(
            "the fillet has little room below the sleeve",
            where,
            CLEAR - room,
            "mm",
            cure,
            "The two beads run into one, and the second flame softens the first.",
        )


def _post(seat: Trimmed, sleeve: Sleeve | None, post: Post) -> Iterator[Finding]:
    where, tube = "seat post", seat.tube
    if post.insertion < INSERTION * post.diameter:
        missing = INSERTION * post.diameter - post.insertion
        cure = f"Let it stand {INSERTION * post.diameter:.0f} mm deep or more."
        yield Finding("the post doesn't stand deep enough", where, missing, "mm", cure)
    if sleeve is not None and not sleeve.outside:
        wall = (sleeve.plug - post.diameter) / 2
        if wall < PLUG_WALL:
            cure = "Turn a sleeve that goes over the tube, or take a thinner post."
            yield Finding("the plug has no wall for the post", where, PLUG_WALL - wall, "mm", cure)
        return
    free, top = post_room(tube, post)
    if free < 0:
        cure = "Take a thinner post, or a tube with a thinner wall at its top."
        yield Finding("the post doesn't go in", where, -free, "mm", cure)
    elif top > LOOSE_POST:
        cure = "Take the post that fits, or a shim."
        yield Finding("the post is loose", where, top - LOOSE_POST, "mm", cure)
    elif free < SLIDES:
        yield Finding(
            "the post has little room in its bore",
            where,
            SLIDES - free,
            "mm",
            "Ream the bore after brazing, or take the next thinner post.",
            "Brazing draws the tube out of round, so plan the reamer's pass.",
        )


def post_room(tube: Butted, post: Post) -> tuple[float, float]:
    """Return how much wider than the post the bore is: at its narrowest, and at the top.

    Parameters
    ----------
    tube : tubes.Butted
        The seat tube as cut; end b is its top.
    post : Post
        The seat post.

    Returns
    -------
    tuple of float
        On the diameter, mm; negative where the post is thicker.
    """
    length = float(tube.length)
    foot = max(length - post.insertion, 0.0)
    places = [foot, length, *(m for m in map(float, tube.marks) if foot < m < length)]
    bores = float(tube.diameter) - 2 * np.asarray(tube.wall_at(np.array(places)))
    free = np.round(bores - post.diameter, 9)
    return float(free.min()), float(free[1])
