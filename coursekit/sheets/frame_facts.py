"""Every number of one frame under a name of its own: what exercises, lessons and cards read.

A name is a path from the part to what is asked of it: `seat_angle_deg`, `down_tube.diameter`,
`down_tube.axis`, `down_tube.head_tube.angle_deg`.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator

import numpy as np

from coursekit import frame
from coursekit.pieces import End, Piece
from coursekit.sheets.build import Build, bought_as

Facts = dict[str, float]

_DRAWN = ("trail", "mechanical_trail", "wheel_flop", "bb_height", "wheelbase", "stack", "reach")
_DIGITS = {"sleeve.plug": 2, "sleeve.bore": 2, "sleeve.gap": 3}
_BENCH = ("heat_margin", "rail", "cone_deg", "crank", "foot", "tack_hold", "spacing")


class NoFactError(KeyError):
    """A name that no number of the frame has; the message names the nearest."""

    def __str__(self) -> str:
        """Return the message without the quotes of a KeyError."""
        return str(self.args[0])


def facts(build: Build) -> Facts:
    """Return name → value of every number of a frame, mm and degrees.

    The drawing's: its dimensions (`frame.DIMENSIONS`), `trail`, `wheelbase` and the like.

    A tube's, as bought: `.diameter`, `.bore_a`, `.wall_a`, `.wall_belly`, `.wall_b`, `.butt_a`,
    `.taper_a`, `.belly`, `.taper_b`, `.butt_b`, `.length`. As cut: `.axis` (from crossing to
    crossing of the axes), `.finished` (the shortest tube it comes out of), `.off_a`, `.off_b`
    (what is sawn off each end).

    A joint's, under the cut tube and the tube it meets: `.angle_deg`, `.offset`, and from the
    crossing of the axes `.nearest` and `.farthest` (the nearest and the farthest point of the whole
    curve).

    `shell.faced` is its width once both faces are cut, or as bought where the file doesn't say.

    The sleeve's: `sleeve.plug`, `sleeve.bore`, `sleeve.gap` a side, `sleeve.lap`, `sleeve.outside`;
    the seat post's:
    `post.diameter`, `post.insertion`; each only where the frame has one. The bench's:
    `bench.rail` and others.

    Raises
    ------
    ValueError
        With the tube's name, where a tube can't be cut out of the bought one.
    """
    found = dict(_all(build))
    return {name: float(value) for name, value in found.items()}


def fact(known: Facts, name: str) -> float:
    """Return the number of that name.

    Raises
    ------
    NoFactError
        "The frame must have a number of that name; got 'down_tube.diametre'. Did you mean
        down_tube.diameter?"
    """
    if name not in known:
        near = difflib.get_close_matches(name, known, 1)
        cure = f"Did you mean {near[0]}?" if near else "See the names of `facts`."
        raise NoFactError(f"The frame must have a number of that name; got {name!r}. {cure}")
    return known[name]


def given(known: Facts, name: str) -> float:
    """Return the number of that name as it is given to a student, wherever it is given.

    Lengths and angles to 0.1, walls and the sleeve's fit to 0.01, its gap a side to 0.001: what a
    bench can hold. Refused as by `fact`.

    Examples
    --------
    >>> given({"down_tube.axis": 627.0942, "down_tube.wall_a": 0.889}, "down_tube.axis")
    627.1
    """
    digits = 2 if ".wall_" in name else _DIGITS.get(name, 1)
    return round(fact(known, name), digits) + 0.0


def _all(build: Build) -> Iterator[tuple[str, float]]:
    for name in dict.fromkeys((*frame.DIMENSIONS, *_DRAWN)):
        yield name, getattr(build.frame, "front_radius" if name == "wheel_radius" else name)
    for name, tube in build.tubes.items():
        yield f"{name}.diameter", tube.diameter
        yield f"{name}.bore_a", tube.diameter - 2 * tube.walls[0]
        yield f"{name}.bore_b", tube.diameter - 2 * tube.walls[2]
        yield f"{name}.length", tube.length
        for place, wall in zip(("a", "belly", "b"), tube.walls, strict=True):
            yield f"{name}.wall_{place}", wall
        places = ("butt_a", "taper_a", "belly", "taper_b", "butt_b")
        for place, length in zip(places, tube.lengths, strict=True):
            yield f"{name}.{place}", length
    for name, piece in build.pieces.items():
        if name.startswith("left_"):
            continue  # its mirror image has the same numbers
        yield from _cut(build, name, piece)
    if "shell" in build.tubes:
        yield "shell.faced", build.fitted.faced or build.tubes["shell"].length
    if (sleeve := build.sleeve) is not None:
        for part in ("plug", "bore", "lap", "outside"):
            yield f"sleeve.{part}", getattr(sleeve, part)
        yield "sleeve.gap", (sleeve.bore - sleeve.plug) / 2
    if (post := build.fitted.post) is not None:
        yield "post.diameter", post.diameter
        yield "post.insertion", post.insertion
    for part in _BENCH:
        yield f"bench.{part}", getattr(build.bench, part)


def _cut(build: Build, name: str, piece: Piece) -> Iterator[tuple[str, float]]:
    short, trimmed = bought_as(name), build.trimmed[name]
    yield f"{short}.axis", piece.length
    yield f"{short}.finished", piece.blank
    yield f"{short}.off_a", trimmed.plan.from_a
    yield f"{short}.off_b", trimmed.plan.from_b
    for end in (piece.a, piece.b):
        yield from _joint(short, end)


def _joint(name: str, end: End) -> Iterator[tuple[str, float]]:
    for met, joint in zip(end.meets, end.joints, strict=True):
        into = f"{name}.{bought_as(met)}"
        yield f"{into}.angle_deg", joint.angle_deg
        yield f"{into}.offset", joint.offset
    if end.meets:
        into = f"{name}.{bought_as(end.meets[0])}"
        yield f"{into}.nearest", float(np.min(end.along))
        yield f"{into}.farthest", float(np.max(end.along))
