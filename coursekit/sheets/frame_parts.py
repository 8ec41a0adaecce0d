"""Reads what a frame must hold from a frame file: thread, sleeve, post, tyre and crankset."""

from __future__ import annotations

import re
from typing import Any

from coursekit import shells, units
from coursekit.buildable import Post, Ring, Sleeve, Thread
from coursekit.sheets.build import Fitted
from coursekit.sheets.frame_values import FrameFileError, Table, known, value_of, wanted

_SLEEVE = ("plug", "bore", "lap")
_OVER = "outside"  # of a sleeve that goes over the tube
_POST = ("diameter", "insertion")
_RING = ("teeth", "chainline")
_ROOM = ("inside_at_bb", "inside_at_pedal", "heel_behind", "heel_inside")  # with [rear] alone
_CRANKSET = (*_RING, "pedal_out", "holds_foot")
_TYRE = ("knobs", "bead_seat")
_THREAD = re.compile(r"(?P<size>.+?)\s*[x×*]\s*(?P<count>\d+(?:\.\d+)?)\s*tpi", re.IGNORECASE)


def sleeve(where: str, table: Any) -> Sleeve | None:
    """The sleeve that a table describes; None where there is no table."""
    if table is None:
        return None
    return Sleeve(**wanted(where, table, _SLEEVE, (_OVER,)))


def thread(where: str, value: Any) -> Thread:
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


def fitted(source: str, data: Table, shell: Table) -> Fitted:
    """What the frame must hold, from the shell's table and those of the parts."""
    post, tyre = data.get("post"), data.get("tyre")
    where = f"{source}, [crankset]"
    try:
        return Fitted(
            thread=shell.get("thread"),
            faced=shell.get("faced"),
            post=Post(**wanted(f"{source}, [post]", post, _POST)) if post is not None else None,
            tyre=wanted(f"{source}, [tyre]", tyre, ("width",), _TYRE)["width"]
            if tyre is not None
            else None,
            **_crankset(where, data.get("crankset", {})),
        )
    except FrameFileError:
        raise
    except ValueError as error:
        raise FrameFileError(f"{source}: {error}") from None


def _crankset(where: str, table: Any) -> dict[str, Any]:
    known(where, table, _CRANKSET + _ROOM)
    holds = table.get("holds_foot", False)
    if not isinstance(holds, bool):
        raise FrameFileError(
            f"{where}: holds_foot must be true or false; got {holds!r}. Write it without quotes."
        )
    given = {n: value_of(where, n, v) for n, v in table.items() if n in (*_RING, "pedal_out")}
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


def beside(source: str, data: Table) -> dict[str, float]:
    """What stands or turns beside a rear end and a fork, of the tables of tyre and crankset.

    Its names are knobs, bead_seat, and those of crank and heel. Crank and heel go by two numbers
    each.
    """
    tyre, crank = data.get("tyre", {}), data.get("crankset", {})
    found = {n: value_of(f"{source}, [tyre]", n, tyre[n]) for n in _TYRE if n in tyre}
    if found.get("knobs", 0.0) < 0:
        raise FrameFileError(
            f"{source}, [tyre]: knobs must be 0 or more; got {found['knobs']:g}. Check the sign."
        )
    where = f"{source}, [crankset]"
    for pair in (_ROOM[:2], _ROOM[2:]):
        own = {n: value_of(where, n, crank[n]) for n in pair if n in crank}
        if len(own) == 1:
            gone = next(n for n in pair if n not in own)
            raise FrameFileError(
                f"{where}: it must have {' and '.join(pair)}, or neither; got no {gone}. Add the "
                "line."
            )
        found |= own
    return found
