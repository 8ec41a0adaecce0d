"""Reads a frame file (TOML): the one plain input of all paper for the bench."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from coursekit import frame, tubes
from coursekit.sheets import frame_fork, frame_parts, frame_rear, text
from coursekit.sheets.build import Bench, Build, Ends, Fitted, Record
from coursekit.sheets.frame_values import (
    FrameFileError,
    Table,
    known,
    table_of,
    value_of,
    values_of,
)

# the frame that the lessons work through, which is also what a frame file of one's own starts from
EXAMPLE = Path(__file__).parents[2] / "course" / "worked-frame.toml"
WHOLE_EXAMPLE = EXAMPLE.with_name("whole-frame.toml")  # the same with a rear end and a fork

_TOP = (
    "name",
    "builder",
    "drawing",
    "tubes",
    "sleeve",
    "post",
    "tyre",
    "crankset",
    "rear",
    "fork",
    "bench",
    "record",
)
_TUBE = ("diameter", "wall", "length", "walls", "lengths", "from_a")
_LAID: dict[str, tuple[str, ...]] = {
    "shell": ("thread", "faced"),
    "head_tube": (),
    "seat_tube": (),
    "top_tube": ("below_head_top", "below_seat_top", "slope_deg"),
    "down_tube": ("above_head_bottom", "above_shell"),
    "chainstay": ("apart_at_shell", "apart_at_axle", "above_shell", "short_of_axle"),
    "seatstay": ("apart_at_seat_tube", "apart_at_axle", "below_seat_top", "short_of_axle"),
}
_MUST = {
    "top_tube": ("below_head_top",),
    "down_tube": ("above_head_bottom",),
    "chainstay": ("apart_at_shell", "apart_at_axle"),
    "seatstay": ("apart_at_seat_tube", "apart_at_axle", "below_seat_top"),
}
_OPTIONAL = ("chainstay", "seatstay")  # with [rear], both must be there
_BENCH = ("heat_margin", "rail", "cone_deg", "crank", "foot", "tacks_deg", "tack_hold", "spacing")
_MEASURED = {
    "seat_tube": ("axis", "piece"),
    "top_tube": ("axis", "marks", "piece"),
    "down_tube": ("axis", "marks", "piece"),
}
_ALLOWED = ("allowed", "allowed_deg")
_TAPED = tuple(f"{tube}_{what}" for tube, many in _MEASURED.items() for what in many)
_RECORD = (*_ALLOWED, *frame.DIMENSIONS, *_TAPED)
LEAST = 1.0  # mm of diameter: below it a number is a slip of the pen


def read(path: Path) -> Build:
    """The frame that the file at `path` describes: a `Build`.

    Raises
    ------
    FrameFileError
        With the file's name, the table and the key: "frame.toml, [tubes.top_tube]: it must have
        below_head_top; got none. Add the line."
    """
    return build(tables(path), path.name)


def tables(path: Path) -> dict[str, Any]:
    """The tables of a frame file as they stand, for `build`; refused as by `read`."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise FrameFileError(
            f"{path}: the frame file must be there; got no such file. Start one with "
            "`coursekit sheets start`."
        ) from None
    except (IsADirectoryError, PermissionError, UnicodeDecodeError) as error:
        raise FrameFileError(f"{path}: the frame file must be a text file; got {error}.") from None
    except tomllib.TOMLDecodeError as error:
        raise FrameFileError(
            f"{path}: the file must be TOML, `name = value` lines under [tables]; got an error: "
            f"{error}. Compare it with the example."
        ) from None
    except RecursionError:
        raise FrameFileError(
            f"{path}: the file must be TOML, `name = value` lines under [tables]; got brackets "
            "within brackets, too deep to read. Compare it with the example."
        ) from None


def build(data: Table, source: str = "frame") -> Build:
    """The frame that a frame file's tables describe: a `Build`. `source` is named in errors.

    Raises
    ------
    FrameFileError
        As `read` does.
    """
    known(source, data, _TOP)
    own = table_of(source, data, "tubes")
    known(f"{source}, [tubes]", own, tuple(_LAID))
    rear = _table_read(source, data, "rear", frame_rear.told)
    for name in (n for n in _LAID if rear is not None or n not in _OPTIONAL):
        table_of(f"{source}, [tubes]", own, name)
    laid = {n: _lay(f"{source}, [tubes.{n}]", n, t, rear) for n, t in own.items()}
    bought = {n: _bought(f"{source}, [tubes.{n}]", laid[n]) for n in laid}
    drawn = _drawn(f"{source}, [drawing]", table_of(source, data, "drawing"))
    placed = _placed(source, drawn, laid, rear)
    bench = _bench(f"{source}, [bench]", data.get("bench", {}))
    fitted = frame_parts.fitted(source, data, laid["shell"])
    bench = _spaced(f"{source}, [bench]", bench, rear)
    return Build(
        text.clean(str(data.get("name", "Frame"))) or "Frame",
        text.clean(str(data.get("builder", ""))),
        placed,
        bought,
        {n: laid[n]["short_of_axle"] for n in laid if "short_of_axle" in laid[n]},
        {n: laid[n]["from_a"] for n in laid if "from_a" in laid[n]},
        bench,
        frame_parts.sleeve(f"{source}, [sleeve]", data.get("sleeve")),
        _record(f"{source}, [record]", data.get("record", {})),
        fitted,
        _ends(source, data, placed, (rear, laid), (bench, fitted)),
    )


def _table_read(
    source: str, data: Table, name: str, read: Callable[[str, Table], dict[str, Any]]
) -> dict[str, Any] | None:
    """What a table that may be left out says; None where it is."""
    return None if name not in data else read(f"{source}, [{name}]", table_of(source, data, name))


def _ends(
    source: str,
    data: Table,
    placed: frame.Frame,
    stays: tuple[dict[str, Any] | None, Mapping[str, Table]],
    parts: tuple[Bench, Fitted],
) -> Ends:
    """The rear end and the fork, where the file has tables for them."""
    (rear, laid), (bench, fitted) = stays, parts
    fork = _table_read(source, data, "fork", frame_fork.told)
    beside = frame_parts.beside(source, data)
    if rear is None and fork is None and not beside:
        return Ends()
    turns = beside | {"crank": bench.crank, "ring": fitted.ring}
    shapes = {n: laid[n] for n in _OPTIONAL if n in laid}
    return Ends(
        None if rear is None else frame_rear.triangle(source, rear, laid, placed, turns),
        None if fork is None else frame_fork.front(source, fork, placed),
        beside.get("knobs", 0.0),
        beside.get("bead_seat"),
        (rear, fork, beside, shapes),
    )


def _spaced(where: str, bench: Bench, rear: dict[str, Any] | None) -> Bench:
    """The bench with the spacing of the rear end, which may not stand there otherwise."""
    if rear is None:
        return bench
    wide = frame_rear.spacing(rear)
    if bench.spacing not in (0.0, wide):
        raise FrameFileError(
            f"{where}: spacing must be that of [rear]; got {bench.spacing:g} and {wide:g}. Take it "
            "out, or make them alike."
        )
    return replace(bench, spacing=wide)


def _lay(where: str, name: str, table: Any, rear: dict[str, Any] | None) -> dict[str, Any]:
    names, must = _names(where, name, table, rear)
    known(where, table, _TUBE + names)
    for key in ("diameter", *must):
        if key not in table:
            raise FrameFileError(f"{where}: it must have {key}; got none. Add the line.")
    counts = {"walls": 3, "lengths": 5, "places": None, "widths": None, "depths": None}
    made: dict[str, Any] = {
        k: values_of(where, k, v, counts[k]) if k in counts else value_of(where, k, v)
        for k, v in table.items()
        if k not in ("thread", "bends", "dimples")
    }
    if rear is not None and name in _OPTIONAL:
        frame_rear.shape(where, made, table)
    if "thread" in table:
        made["thread"] = frame_parts.thread(where, table["thread"])
    if made["diameter"] < LEAST:
        raise FrameFileError(
            f"{where}: diameter must be {LEAST:g} mm or more; got {made['diameter']:g}. "
            "Check the unit."
        )
    return made


def _names(
    where: str, name: str, table: Any, rear: dict[str, Any] | None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What a tube's table may have besides the tube itself, and what it must have.

    With [rear] a stay has a shape, and where it ends follows from the dropouts.
    """
    names, must = _LAID[name], _MUST.get(name, ())
    if name not in _OPTIONAL or not isinstance(table, Mapping):
        return names, must
    if rear is None:
        for key in (k for k in frame_rear.SHAPE if k in table):
            raise FrameFileError(
                f"{where}: {key} must go with a table [rear]; got none. Add it, or take {key} out."
            )
        return names, must
    beside = ("apart_at_seat_tube",)
    wanted = name == "seatstay" and rear["seatstays"] in frame_rear.BESIDE
    out = (*frame_rear.FOLLOWS, *(() if wanted else beside))
    for key in (k for k in out if k in table):
        raise FrameFileError(
            f"{where}: {key} must be left out where [rear] is there; got {table[key]!r}. It "
            "follows from the dropouts and from how the stays meet the seat tube."
        )
    must = tuple(k for k in must if k not in out)
    return (*(k for k in names if k not in out), *frame_rear.SHAPE), must


def _bought(where: str, laid: Table) -> tubes.Butted:
    plain, butted = {"wall", "length"} & laid.keys(), {"walls", "lengths"} & laid.keys()
    if bool(plain) == bool(butted) or max(len(plain), len(butted)) < 2:
        given = ", ".join(sorted(plain | butted)) or "neither"
        raise FrameFileError(
            f"{where}: the tube must have wall and length, or walls and lengths; got {given}. "
            "Give one pair of the two."
        )
    walls = (laid["wall"],) * 3 if plain else laid["walls"]
    lengths = (0.0, 0.0, laid["length"], 0.0, 0.0) if plain else laid["lengths"]
    try:
        return tubes.Butted(laid["diameter"], walls, lengths)
    except ValueError as error:
        raise FrameFileError(f"{where}: {error}") from None


def _drawn(where: str, table: Table) -> frame.Frame:
    given = {n: value_of(where, n, v) for n, v in table.items()}
    try:
        return frame.draw(**given)
    except ValueError as error:
        raise FrameFileError(f"{where}: {error}") from None


def _placed(
    source: str, drawn: frame.Frame, laid: Mapping[str, Table], rear: dict[str, Any] | None
) -> frame.Frame:
    def only(name: str) -> dict[str, Any]:
        left = {k: v for k, v in laid[name].items() if k in _LAID[name] and k != "short_of_axle"}
        if rear is not None and name in _OPTIONAL:
            left["apart_at_axle"] = frame_rear.apart(rear)
            if name == "seatstay":
                left["apart_at_seat_tube"] = frame_rear.flank_apart(rear, laid)
        return {"diameter": laid[name]["diameter"], **left}

    try:
        return drawn.place(
            top_tube=frame.TopTube(**only("top_tube")),
            down_tube=frame.DownTube(**only("down_tube")),
            seat_tube=laid["seat_tube"]["diameter"],
            head_tube=laid["head_tube"]["diameter"],
            shell=laid["shell"]["diameter"],
            chainstay=frame.Chainstay(**only("chainstay")) if "chainstay" in laid else None,
            seatstay=frame.Seatstay(**only("seatstay")) if "seatstay" in laid else None,
        )
    except ValueError as error:
        raise FrameFileError(f"{source}, [tubes]: {error}") from None


def _bench(where: str, table: Any) -> Bench:
    known(where, table, _BENCH)
    made: dict[str, Any] = {
        n: values_of(where, n, v, None) if n == "tacks_deg" else value_of(where, n, v)
        for n, v in table.items()
    }
    return Bench(**made)


def _record(where: str, table: Any) -> Record:
    known(where, table, _RECORD)
    made = {n: value_of(where, n, v) for n, v in table.items()}
    for name in _ALLOWED:
        if made.get(name, 0.0) < 0:
            raise FrameFileError(
                f"{where}: {name} must be 0 or more; got {made[name]:g}. Check the sign."
            )
    limits = {n: made.pop(n) for n in _ALLOWED if n in made}
    return Record(made, **limits)
