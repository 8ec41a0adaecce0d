"""Reads a frame file (TOML): the one plain input of all paper for the bench."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coursekit import frame, shells, tubes, units
from coursekit.buildable import Post, Ring, Sleeve, Thread
from coursekit.sheets import text
from coursekit.sheets.build import Bench, Build, Fitted, Record

# the frame that the lessons work through, which is also what a frame file of one's own starts from
EXAMPLE = Path(__file__).parents[2] / "course" / "worked-frame.toml"
Table = Mapping[str, Any]

_TOP = (
    "name",
    "builder",
    "drawing",
    "tubes",
    "sleeve",
    "post",
    "tyre",
    "crankset",
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
_OPTIONAL = ("chainstay", "seatstay")
_SLEEVE = ("plug", "bore", "lap")
_OVER = "outside"  # of a sleeve that goes over the tube
_POST = ("diameter", "insertion")
_RING = ("teeth", "chainline")
_CRANKSET = (*_RING, "pedal_out", "holds_foot")
_THREAD = re.compile(r"(?P<size>.+?)\s*[x×*]\s*(?P<count>\d+(?:\.\d+)?)\s*tpi", re.IGNORECASE)
_BENCH = ("heat_margin", "rail", "cone_deg", "crank", "foot", "tacks_deg", "tack_hold", "spacing")
_MEASURED = {
    "seat_tube": ("axis", "piece"),
    "top_tube": ("axis", "marks", "piece"),
    "down_tube": ("axis", "marks", "piece"),
}
_ALLOWED = ("allowed", "allowed_deg")
_TAPED = tuple(f"{tube}_{what}" for tube, many in _MEASURED.items() for what in many)
_RECORD = (*_ALLOWED, *frame.DIMENSIONS, *_TAPED)
_LEAST, _MOST = 1.0, 3000.0  # mm: beyond these a number is a slip of the pen


class FrameFileError(ValueError):
    """A frame file that cannot be used; the message says where and what to mend."""


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
    _known(source, data, _TOP)
    own = _table(source, data, "tubes")
    _known(f"{source}, [tubes]", own, tuple(_LAID))
    for name in (n for n in _LAID if n not in _OPTIONAL):
        _table(f"{source}, [tubes]", own, name)
    laid = {n: _lay(f"{source}, [tubes.{n}]", n, t) for n, t in own.items()}
    bought = {n: _bought(f"{source}, [tubes.{n}]", laid[n]) for n in laid}
    drawn = _drawn(f"{source}, [drawing]", _table(source, data, "drawing"))
    return Build(
        text.clean(str(data.get("name", "Frame"))) or "Frame",
        text.clean(str(data.get("builder", ""))),
        _placed(source, drawn, laid),
        bought,
        {n: laid[n]["short_of_axle"] for n in laid if "short_of_axle" in laid[n]},
        {n: laid[n]["from_a"] for n in laid if "from_a" in laid[n]},
        _bench(f"{source}, [bench]", data.get("bench", {})),
        _sleeve(f"{source}, [sleeve]", data.get("sleeve")),
        _record(f"{source}, [record]", data.get("record", {})),
        _fitted(source, data, laid["shell"]),
    )


def _known(where: str, table: Any, names: tuple[str, ...]) -> None:
    if not isinstance(table, Mapping):
        raise FrameFileError(f"{where}: it must be a table; got {table!r}. See the example.")
    for name in table:
        if name not in names:
            near = difflib.get_close_matches(name, names, 1)
            cure = f"Did you mean {near[0]}?" if near else "Take it out or mend its name."
            raise FrameFileError(
                f"{where}: every name must be one of {', '.join(names)}; got {name!r}. {cure}"
            )


def _table(where: str, data: Table, name: str) -> Table:
    found = data.get(name)
    if not isinstance(found, Mapping):
        got = "none" if found is None else repr(found)
        raise FrameFileError(
            f"{where}: it must have a table for {name}; got {got}. Add it as in the example."
        )
    return found


def _value(where: str, name: str, value: Any) -> float:
    """A length in mm, from text with a unit or a number; an angle or a plain number as it is."""
    if isinstance(value, str) and not name.endswith(("_deg", "_hold")):
        try:
            value = float(units.mm(value))
        except ValueError as error:
            raise FrameFileError(f"{where}, {name}: {error}") from None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
        raise FrameFileError(
            f"{where}: {name} must be a number; got {value!r}. Write it like `{name} = 28.6`."
        )
    if not (abs(value) <= _MOST):
        raise FrameFileError(
            f"{where}: {name} must not be larger than {_MOST:g}; got {value:g}. Check the unit: "
            "lengths are mm."
        )
    return float(value)


def _values(where: str, name: str, value: Any, count: int | None) -> tuple[float, ...]:
    if not isinstance(value, list) or not value or (count and len(value) != count):
        wanted = f"a list of {count} numbers" if count else "a list of numbers"
        raise FrameFileError(f"{where}: {name} must be {wanted}; got {value!r}. Mend the list.")
    return tuple(_value(where, name, one) for one in value)


def _lay(where: str, name: str, table: Any) -> dict[str, Any]:
    _known(where, table, _TUBE + _LAID[name])
    for key in ("diameter", *_MUST.get(name, ())):
        if key not in table:
            raise FrameFileError(f"{where}: it must have {key}; got none. Add the line.")
    counts = {"walls": 3, "lengths": 5}
    made: dict[str, Any] = {
        k: _values(where, k, v, counts[k]) if k in counts else _value(where, k, v)
        for k, v in table.items()
        if k != "thread"
    }
    if "thread" in table:
        made["thread"] = _thread(where, table["thread"])
    if made["diameter"] < _LEAST:
        raise FrameFileError(
            f"{where}: diameter must be {_LEAST:g} mm or more; got {made['diameter']:g}. "
            "Check the unit."
        )
    return made


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
    given = {n: _value(where, n, v) for n, v in table.items()}
    try:
        return frame.draw(**given)
    except ValueError as error:
        raise FrameFileError(f"{where}: {error}") from None


def _placed(source: str, drawn: frame.Frame, laid: Mapping[str, Table]) -> frame.Frame:
    def only(name: str) -> dict[str, Any]:
        left = {k: v for k, v in laid[name].items() if k in _LAID[name] and k != "short_of_axle"}
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
    _known(where, table, _BENCH)
    made: dict[str, Any] = {
        n: _values(where, n, v, None) if n == "tacks_deg" else _value(where, n, v)
        for n, v in table.items()
    }
    return Bench(**made)


def _sleeve(where: str, table: Any) -> Sleeve | None:
    if table is None:
        return None
    made = _wanted(where, table, _SLEEVE, (_OVER,))
    return Sleeve(**made)


def _wanted(
    where: str, table: Any, names: tuple[str, ...], more: tuple[str, ...] = ()
) -> dict[str, float]:
    """The numbers of a table that must have all of `names`, and may have `more`."""
    _known(where, table, names + more)
    for name in names:
        if name not in table:
            raise FrameFileError(f"{where}: it must have {name}; got none. Add the line.")
    return {n: _value(where, n, v) for n, v in table.items()}


def _thread(where: str, value: Any) -> Thread:
    """A thread as the trade writes it, "1.370 in x 24 TPI"."""
    found = _THREAD.fullmatch(value.strip()) if isinstance(value, str) else None
    if found is None:
        raise FrameFileError(
            f"{where}: thread must be a size and its threads an inch; got {value!r}. Write it like "
            '`thread = "1.370 in x 24 TPI"`.'
        )
    try:
        major, count = float(units.mm(found["size"])), float(found["count"])
        return Thread(major, float(shells.pitch(count)))
    except ValueError as error:
        raise FrameFileError(f"{where}, thread: {error}") from None


def _fitted(source: str, data: Table, shell: Table) -> Fitted:
    """What the frame must hold, from the shell's table and those of the parts."""
    post, tyre = data.get("post"), data.get("tyre")
    where = f"{source}, [crankset]"
    try:
        return Fitted(
            thread=shell.get("thread"),
            faced=shell.get("faced"),
            post=Post(**_wanted(f"{source}, [post]", post, _POST)) if post is not None else None,
            tyre=_wanted(f"{source}, [tyre]", tyre, ("width",))["width"]
            if tyre is not None
            else None,
            **_crankset(where, data.get("crankset", {})),
        )
    except FrameFileError:
        raise
    except ValueError as error:
        raise FrameFileError(f"{source}: {error}") from None


def _crankset(where: str, table: Any) -> dict[str, Any]:
    _known(where, table, _CRANKSET)
    holds = table.get("holds_foot", False)
    if not isinstance(holds, bool):
        raise FrameFileError(
            f"{where}: holds_foot must be true or false; got {holds!r}. Write it without quotes."
        )
    given = {n: _value(where, n, v) for n, v in table.items() if n != "holds_foot"}
    ring = {n: given[n] for n in _RING if n in given}
    if len(ring) == 1:
        gone = next(n for n in _RING if n not in ring)
        raise FrameFileError(
            f"{where}: it must have teeth and chainline, or neither; got no {gone}. Add the line."
        )
    return {
        "ring": Ring(**ring) if ring else None,
        "pedal_out": given.get("pedal_out"),
        "holds_foot": holds,
    }


def _record(where: str, table: Any) -> Record:
    _known(where, table, _RECORD)
    made = {n: _value(where, n, v) for n, v in table.items()}
    for name in _ALLOWED:
        if made.get(name, 0.0) < 0:
            raise FrameFileError(
                f"{where}: {name} must be 0 or more; got {made[name]:g}. Check the sign."
            )
    limits = {n: made.pop(n) for n in _ALLOWED if n in made}
    return Record(made, **limits)
