"""Reads a fork from a frame file: crown or shoulders, blades, bend, dropouts, steerer, brake."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from coursekit import fork, stays
from coursekit.buildable import Bought, FrontFork, Steerer
from coursekit.frame import Frame
from coursekit.sheets import frame_rear
from coursekit.sheets.frame_table import Keys
from coursekit.sheets.frame_values import FrameFileError, Table, known

_LISTS = ("places", "widths", "depths", "walls")
_TABLES = {
    "crown": Keys(("below", "spread", "underside", "depth"), ("ahead", "angle_deg")),
    "shoulder": Keys(("crossing", "spread", "angle_deg", "radius")),
    "blade": Keys(
        ("length",),
        ("top", "tip", "straight", "wall", "tip_wall", "from_a", *_LISTS),
        lists=tuple((n, None) for n in _LISTS),
    ),
    "bend": Keys((), ("radius", "start", "tail")),
    "dropout": Keys(("reach", "spacing", "thickness"), ("ahead", "tab")),
    "steerer": Keys(("diameter", "wall", "length", "above"), ("into_crown",)),
}
_MUST = ("blade", "dropout")
_PLAIN = ("top", "tip", "straight", "wall")
_BRAKES = {
    "caliper": Keys(
        ("kind", "reach", "bolt"),
        words=(("kind", ("caliper",)),),
        lists=(("reach", 2), ("bolt", 2)),
    ),
    "cantilever": frame_rear.BRAKES["cantilever"],
    "disc": Keys(
        ("kind", "rotor", "rotor_in", "mount"),
        words=(("kind", ("disc",)),),
        lists=(("mount", 2),),
    ),
}
_TIMES = 60  # times that shoulder and splay are worked out from each other
NEAR = 1e-10  # degrees


def told(where: str, table: Any) -> dict[str, Any]:
    """The numbers and words of [fork], each of its tables read.

    Raises
    ------
    FrameFileError
        With the table and the key.
    """
    known(where, table, (*_TABLES, "brake"))
    for name in _MUST:
        if name not in table:
            raise FrameFileError(f"{where}: it must have {name}; got none. Add it.")
    if ("crown" in table) == ("shoulder" in table):
        got = "both" if "crown" in table else "neither"
        raise FrameFileError(
            f"{where}: it must have one of crown and shoulder; got {got}. Give just one of them."
        )
    inner = f"{where.removesuffix(']')}."
    made: dict[str, Any] = {
        n: _TABLES[n].read(f"{inner}{n}]", v) for n, v in table.items() if n in _TABLES
    }
    if "shoulder" in made and "steerer" not in made:
        raise FrameFileError(
            f"{where}: a fork with shoulders must have steerer; got none. Add it: they are mitered "
            "to it."
        )
    if "brake" in table:
        made["brake"] = frame_rear.brake(f"{inner}brake]", table["brake"], _BRAKES)
    return made


def front(source: str, made: Table, frame: Frame) -> FrontFork:
    """The fork that the tables describe.

    Raises
    ------
    FrameFileError
        With the words of `fork`, where such a fork can't be.
    """
    where = f"{source}, [fork]"
    whole = _made(f"{source}, [fork.blade]", lambda: _blade(f"{source}, [fork.blade]", made))
    drawn: FrontFork = _made(where, lambda: _front(made, frame, whole))
    return drawn


def _made(where: str, make: Callable[[], Any]) -> Any:
    try:
        return make()
    except FrameFileError:
        raise
    except ValueError as error:
        raise FrameFileError(f"{where}: {error}") from None


def _blade(where: str, made: Table) -> fork.Blade:
    own = {k: v for k, v in made["blade"].items() if k != "from_a"}
    if "places" in own:
        lists = {k: own.pop(k) for k in _LISTS if k in own}
        length = own.pop("length")
        if own or not {"widths", "walls"} <= lists.keys():
            raise FrameFileError(
                f"{where}: the blade must have places, widths and walls, or top, tip, straight and "
                "wall; got some of each. Give one set."
            )
        if lists["places"][-1] != length:
            raise FrameFileError(
                f"{where}: the last of places must be the length; got {lists['places'][-1]:g} and "
                f"{length:g}. Make them alike."
            )
        return fork.Blade(**lists)
    for name in _PLAIN:
        if name not in own:
            raise FrameFileError(f"{where}: it must have {name}; got none. Add the line.")
    return fork.tapered(**own)


def _drawn(made: Table, frame: Frame, crown: fork.Crown) -> fork.Fork:
    numbers = (float(frame.fork_length), float(frame.fork_offset))
    plate = fork.Dropout(**made["dropout"])
    if "bend" in made:
        return fork.raked(*numbers, crown, plate, **made["bend"])
    return fork.straight(*numbers, crown, plate)


def _front(made: Table, frame: Frame, whole: fork.Blade) -> FrontFork:
    brake, off = made.get("brake"), made["blade"].get("from_a")
    if "crown" in made:
        own = dict(made["crown"])
        under = own.pop("underside"), own.pop("depth")
        drawn, shoulder, crossing = _drawn(made, frame, fork.Crown(**own)), None, 0.0
        into: Mapping[str, stays.Body] = {}
    else:
        drawn, shoulder = _unicrown(made, frame)
        crossing, size = made["shoulder"]["crossing"], float(made["steerer"]["diameter"])
        into = {"steerer": stays.rod("steerer", (0, -900, 0), (0, 900, 0), size, (-1, 0, 0))}
        under = (0.0, 0.0)
    blade, right = _cut(drawn, shoulder, whole, into, off)
    if shoulder is not None:
        under = (_underside(right), 0.0)
    rest = max(0.0, whole.length - right.finished)
    bought = Bought(whole.length, float(np.min(whole.walls)), rest if off is None else off)
    steerer = _steerer(made, frame)
    return FrontFork(drawn, blade, right, bought, *under, shoulder, crossing, steerer, brake)


def _underside(right: stays.CutStay) -> float:
    """From the crown race seat down to the lowest place at which both blades meet, mm."""
    edge = right.a.edge
    return float(-edge[:, 1].min())


def _unicrown(made: Table, frame: Frame) -> tuple[fork.Fork, fork.Shoulder]:
    """Splay and shoulder, worked out from each other until they agree."""
    own, size, splay = made["shoulder"], made["steerer"]["diameter"], 0.0
    for _ in range(_TIMES):
        one = fork.shoulder(size, own["spread"], own["angle_deg"], splay, own["radius"])
        crown = fork.Crown(own["crossing"] + one.down, own["spread"])
        drawn = _drawn(made, frame, crown)
        if abs(drawn.splay_deg - splay) < NEAR:
            break
        splay = float(drawn.splay_deg)
    return drawn, one


def _cut(
    drawn: fork.Fork,
    shoulder: fork.Shoulder | None,
    whole: fork.Blade,
    into: Mapping[str, stays.Body],
    told: float | None,
) -> tuple[fork.Blade, stays.CutStay]:
    """The blade along its centre line, and as it is cut; its long point is its end a.

    What the file doesn't say comes off the upper end, so that the tip keeps its size.
    """
    long = 0.0
    length = float(drawn.blade_length) + (0.0 if shoulder is None else float(shoulder.length))
    for _ in range(12):
        off = max(0.0, whole.length - (length - long)) if told is None else told
        blade = _along(whole, length, off - long)
        stay = fork.blade_stay(drawn, blade, shoulder)
        cut = stays.CutStay(stay, stays.cut_end(stay, into), stays.cut_end(stay, None, "b"))
        if abs(cut.a.long_point - long) < 1e-9:
            break
        long = cut.a.long_point
    return blade, cut


def _along(whole: fork.Blade, length: float, off: float) -> fork.Blade:
    """The blade by its centre line, which may begin before the tube and end beyond it."""
    inner = [p for p in whole.places if off < p < off + length]
    at = np.array([off, *inner, off + length])
    width, depth = whole.taper.sizes(at)
    walls = np.interp(at, whole.places, whole.walls)
    places = tuple(float(v) for v in (0.0, *(p - off for p in inner), length))
    lists = (tuple(map(float, v)) for v in (width, walls, depth))
    return fork.Blade(places, *lists)


def _steerer(made: Table, frame: Frame) -> Steerer | None:
    own = made.get("steerer")
    if own is None:
        return None
    lengths = (float(frame.head_tube), float(frame.lower_stack), own["above"])
    needed = fork.steerer_length(*lengths, own.get("into_crown", 0.0))
    return Steerer(own["diameter"], own["wall"], own["length"], float(needed))
