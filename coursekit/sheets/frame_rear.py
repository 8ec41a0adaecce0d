"""Reads a rear end from a frame file: dropouts, stays as they are, bridges, brake."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

import numpy as np

from coursekit import rear, stays
from coursekit.buildable import Bought, Brake, RearTriangle, Ring
from coursekit.buildable.rear_rooms import seat_tube
from coursekit.frame import Frame
from coursekit.rear.chainrings import tip_diameter
from coursekit.sheets.frame_table import Keys, each
from coursekit.sheets.frame_values import FrameFileError, Table, known
from coursekit.stays import Bend, CutStay, Dimple, EndCut, Stay, Taper

WAYS = ("flank", "seat tube", "each other", "mono-tube")
BESIDE = ("seat tube", "each other")  # ways in which the frame file says how far apart they start
SHAPE = ("places", "widths", "depths", "bends", "dimples")  # of a stay's tube, with [rear] alone
FOLLOWS = ("apart_at_axle", "short_of_axle")  # from the dropouts
_REAR = Keys(
    ("thickness", "seatstays"),
    ("axle", "spacing", "hanger", "cap_deg", "cap_toward_deg"),
    words=(("seatstays", WAYS), ("axle", tuple(rear.AXLES))),
    lists=(("hanger", 2),),
)
_TABS = ("chainstay_tab", "seatstay_tab")
_TAB = Keys(("length", "angle_deg"), ("slot",))
_BRIDGE = Keys(("diameter", "wall", "from_axle"))
_MONO = Keys(("diameter", "wall", "join", "length"))
_BEND = Keys(("at", "radius", "angle_deg"), ("toward_deg",))
_DIMPLE = Keys(("at", "length", "depth", "toward_deg"))
_INNER: dict[str, Keys] = {
    "chainstay_tab": _TAB,
    "seatstay_tab": _TAB,
    "mono_tube": _MONO,
    "chainstay_bridge": _BRIDGE,
    "seatstay_bridge": _BRIDGE,
}
_KIND = ("kind", ("caliper", "cantilever", "disc"))
BRAKES = {
    "caliper": Keys(("kind", "reach"), words=(_KIND,), lists=(("reach", 2),)),
    "cantilever": Keys(("kind",), ("bosses",), words=(_KIND,)),
    "disc": Keys(
        ("kind", "rotor", "rotor_in", "mount", "on"),
        words=(_KIND, ("on", ("chainstay", "seatstay"))),
        lists=(("mount", 2),),
    ),
}
_CRANK = ("inside_at_bb", "inside_at_pedal")
_HEEL = ("heel_behind", "heel_inside")
SETTLED = 1e-9  # mm
_SETTLED = 12  # times that a stay is cut until its taper lies where the tube is


def told(where: str, table: Any) -> dict[str, Any]:
    """The numbers and words of [rear], each of its tables read.

    Raises
    ------
    FrameFileError
        With the table and the key.
    """
    known(where, table, (*_REAR.must, *_REAR.may, *_INNER, "brake"))
    for name in (*_REAR.must, *_TABS):
        if name not in table:
            raise FrameFileError(f"{where}: it must have {name}; got none. Add it.")
    outer = {k: v for k, v in table.items() if k not in (*_INNER, "brake")}
    made = _REAR.read(where, outer)
    made |= {n: keys.read(_in(where, n), table[n]) for n, keys in _INNER.items() if n in table}
    if "brake" in table:
        made["brake"] = brake(_in(where, "brake"), table["brake"], BRAKES)
    if ("axle" in made) == ("spacing" in made):
        got = "both" if "axle" in made else "neither"
        raise FrameFileError(
            f"{where}: it must have one of axle and spacing; got {got}. Give just one of them."
        )
    _refuse_way(where, made)
    return made


def _in(where: str, name: str) -> str:
    return f"{where.removesuffix(']')}.{name}]"


def brake(where: str, table: Any, kinds: Mapping[str, Keys]) -> Brake:
    """The brake that a table describes."""
    if not isinstance(table, Mapping):
        Keys(()).read(where, table)  # refuses what is no table
    kind = table.get("kind")
    if kind not in kinds:
        said = ", ".join(f'"{k}"' for k in kinds)
        raise FrameFileError(
            f"{where}: kind must be one of {said}; got {kind!r}. Name one of them."
        )
    keys = kinds[kind]
    own = keys.read(where, table)
    try:
        return Brake(**own)
    except ValueError as error:
        raise FrameFileError(f"{where}: {error}") from None


def _refuse_way(where: str, made: Table) -> None:
    way, stop = made["seatstays"], made.get("brake")
    if stop is not None and stop.kind == "caliper" and "seatstay_bridge" not in made:
        raise FrameFileError(
            f"{where}: a caliper must have seatstay_bridge; got none. Add it: the brake sits on it."
        )
    for name, of in (("cap_deg", "flank"), ("mono_tube", "mono-tube")):
        if way == of and name not in made:
            raise FrameFileError(
                f'{where}: seatstays = "{way}" must have {name}; got none. Add it.'
            )
        if way != of and name in made:
            raise FrameFileError(
                f'{where}: {name} must go with seatstays = "{of}"; got "{way}". Take it out.'
            )


def shape(where: str, laid: dict[str, Any], table: Table) -> None:
    """Read places, widths, depths, bends and dimples of a stay's tube into what is laid of it."""
    for name, keys, make in (("bends", _BEND, Bend), ("dimples", _DIMPLE, Dimple)):
        if name in table:
            laid[name] = _made(where, partial(_each, make, each(where, name, table[name], keys)))
    if ("places" in laid) != ("widths" in laid):
        gone = "widths" if "places" in laid else "places"
        raise FrameFileError(
            f"{where}: it must have places and widths, or neither; got no {gone}. Add the line."
        )


def _each(make: Callable[..., Any], many: list[dict[str, Any]]) -> tuple[Any, ...]:
    return tuple(make(**one) for one in many)


def _made(where: str, make: Callable[[], Any]) -> Any:
    try:
        return make()
    except ValueError as error:
        raise FrameFileError(f"{where}: {error}") from None


def spacing(made: Table) -> float:
    """Between the inner faces of the dropouts, mm."""
    return float(made.get("spacing") or rear.AXLES[made["axle"]].spacing)


def apart(made: Table) -> float:
    """Between the middles of the two plates, mm."""
    return spacing(made) + float(made["thickness"])


def taper(where: str, laid: Table) -> Taper:
    """The outside of a stay's tube as it is bought, counted from its end a, without dimples."""
    places, widths = laid.get("places", (0.0,)), laid.get("widths", (laid["diameter"],))
    made: Taper = _made(where, lambda: Taper(places, widths, laid.get("depths", ())))
    if made.widths[0] != laid["diameter"] and made.depths[0] != laid["diameter"]:
        raise FrameFileError(
            f"{where}: the first of widths, or of depths, must be the diameter; got "
            f"{made.widths[0]:g} and {laid['diameter']:g}. Make them alike."
        )
    return made


def triangle(
    source: str, made: Table, laid: Mapping[str, Table], frame: Frame, fitted: Table
) -> RearTriangle:
    """The rear triangle that the tables describe.

    Parameters
    ----------
    made
        [rear], as `told` reads it.
    laid
        [tubes.chainstay] and [tubes.seatstay], with their shapes.
    fitted
        What [crankset] says of crank and heel, the crank's length, and the ring.

    Raises
    ------
    FrameFileError
        With the words of `rear`, where such stays can't be.
    """
    where = f"{source}, [rear]"
    end = _made(where, lambda: _end(made, frame))
    low, high = laid["chainstay"], laid["seatstay"]
    own = {n: taper(f"{source}, [tubes.{n}]", laid[n]) for n in ("chainstay", "seatstay")}
    shell = frame.tubes.axes["shell"] if frame.tubes else None
    assert shell is not None
    around = stays.rod("shell", (0, 0, -500.0), (0, 0, 500.0), float(shell.diameter))

    def chain(tube: Taper) -> CutStay:
        gap = (low["apart_at_shell"], tube, low.get("bends", ()), low.get("above_shell", 0.0))
        stay = rear.chainstay(end, *gap)
        return CutStay(stay, stays.cut_end(stay, {"shell": around}), _square(stay))

    def seat(tube: Taper) -> rear.Seatstays:
        return _seatstays(made, high, end, seat_tube(frame), tube)

    chainstay = _settled(f"{source}, [tubes.chainstay]", chain, own["chainstay"], low)
    pair = _settled(f"{source}, [tubes.seatstay]", seat, own["seatstay"], high)
    cut = {"chainstay": chainstay, "seatstay": pair.right}
    bought = {n: _bought(laid[n], one.finished) for n, one in cut.items()}
    right = {n: one.stay for n, one in cut.items()}
    bridges = {
        f"{n}_bridge": _made(_in(where, f"{n}_bridge"), partial(_bridge, n, made, stay, end))
        for n, stay in right.items()
        if f"{n}_bridge" in made
    }
    crank, heel = _made(f"{source}, [crankset]", lambda: _bodies(fitted))
    walls = {n: made[n]["wall"] for n in ("mono_tube", *bridges) if n in made}
    brake = made.get("brake")
    return RearTriangle(end, chainstay, pair, bought, bridges, brake, crank, heel, walls)


def _bought(laid: Table, finished: float) -> Bought:
    butted = "lengths" in laid
    length = sum(laid["lengths"]) if butted else laid["length"]
    wall = laid["walls"][0] if butted else laid["wall"]
    rest = max(0.0, float(length) - finished)
    return Bought(float(length), float(wall), float(laid.get("from_a", rest)))


def _end(made: Table, frame: Frame) -> rear.RearEnd:
    low, high = (rear.Tab(**made[n]) for n in _TABS)
    kind = rear.AXLES[made["axle"]].kind if "axle" in made else "slot"
    plate = rear.Dropout(made["thickness"], low, high, kind, made.get("hanger"))
    x, y = (float(v) for v in frame.points["rear_axle"])
    return rear.RearEnd((x, y), plate, spacing(made))


def _square(stay: Stay) -> EndCut:
    return stays.cut_end(stay, None, "b")


def _settled(where: str, cut: Callable[[Taper], Any], bought: Taper, laid: Table) -> Any:
    """Cut a stay so that its taper lies where the bought tube has it, from its long point on.

    What the file doesn't say comes off end a, so that the tip keeps its size.
    """
    length, told = _bought(laid, 0.0).length, laid.get("from_a")
    off, long = float(told or 0.0), 0.0
    dimples = tuple(laid.get("dimples", ()))

    def once() -> Any:
        moved = bought.cut(off - long)
        return cut(Taper(moved.places, moved.widths, moved.depths, dimples))

    for _ in range(_SETTLED):
        made = _made(where, once)
        one = made.right if isinstance(made, rear.Seatstays) else made
        was, long = (off, long), one.a.long_point
        off = max(0.0, length - one.finished) if told is None else off
        if abs(was[0] - off) + abs(was[1] - long) < SETTLED:
            break
    return made


def _seatstays(
    made: Table, laid: Table, end: rear.RearEnd, seat: Stay, tube: Taper
) -> rear.Seatstays:
    below, bends, way = laid["below_seat_top"], laid.get("bends", ()), made["seatstays"]
    if way == "flank":
        toward = made.get("cap_toward_deg", 270.0)
        return rear.tacked(seat, below, end, tube, made["cap_deg"], toward, bends)
    if way == "mono-tube":
        mono = made["mono_tube"]
        sizes = (mono["diameter"], mono["join"], mono["length"])
        return rear.into_mono_tube(seat, below, end, tube, *sizes, bends)
    lay = rear.into_seat_tube if way == "seat tube" else rear.against_each_other
    return lay(seat, below, end, tube, laid["apart_at_seat_tube"], bends)


def _bridge(name: str, made: Table, stay: Stay, end: rear.RearEnd) -> rear.Bridge:
    own = made[f"{name}_bridge"]
    s = rear.place_from_axle(stay, end.axle, own["from_axle"])
    return rear.bridge(stay, s, own["diameter"], f"{name}_bridge")


def _bodies(fitted: Table) -> tuple[rear.Crank | None, rear.Heel | None]:
    ring: Ring | None = fitted.get("ring")
    if ring is not None:
        tip_diameter(ring.teeth)  # refuses what can't be counted
    crank = heel = None
    if _CRANK[0] in fitted:
        crank = rear.Crank(fitted["crank"], *(fitted[n] for n in _CRANK))
    if _HEEL[0] in fitted:
        heel = rear.Heel(fitted["crank"], *(fitted[n] for n in _HEEL))
    return crank, heel


def flank_apart(made: Table, laid: Mapping[str, Table]) -> float:
    """Between the axes of the straight stand-ins at the seat tube, for statics and the drawing."""
    own = laid["seatstay"]
    if "apart_at_seat_tube" in own:
        return float(own["apart_at_seat_tube"])
    if made["seatstays"] == "mono-tube":
        return float(np.maximum(own["diameter"], 1.0))
    return float(own["diameter"] + laid["seat_tube"]["diameter"])
