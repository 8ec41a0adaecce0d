"""One whole frame for every student, drawn from the class secret so that it can be drawn again.

What frames are drawn from stands in `exercises/frames.toml`: a table for each kind of frame, laid
out like a frame file (`coursekit sheets start`), in which a range `{ low, high, step }` or a choice
`{ of = [...] }` may stand for any number. What all kinds share stands under `every`.
"""

from __future__ import annotations

import hashlib
import hmac
import tomllib
from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any

from coursekit.classroom.bank.bench_line import AuthoringError
from coursekit.sheets import frame_facts, frame_file
from coursekit.sheets.build import Build
from coursekit.sheets.frame_facts import Facts

FILE = "exercises/frames.toml"
TRIES = 400
CLOSE = 5.0  # mm of front centre
_SHARED = "every"
_RANGE, _CHOICE = {"low", "high", "step"}, {"of"}


def kinds(root: Path) -> str:
    """Return the text that a course's frames are drawn from; "" where there is none."""
    path = root / FILE
    return path.read_text(encoding="utf-8") if path.is_file() else ""


def draw(text: str, secret: bytes, student: str) -> Build:
    """Return the frame of `student`: the same for ever for one secret and one text of kinds.

    Its kind is chosen by an HMAC-SHA-256 of secret and student, every number of it by one of
    secret, student, try and place in the file (FIPS 198-1), as own numbers are. A frame that can't
    be drawn, cut out of its tubes or built (`buildable`), or is the one of the lessons but for a
    few millimetres, is drawn again. Raises AuthoringError where none is found.
    """
    return _found(text, secret, student)[0]


def facts(text: str, secret: bytes, student: str) -> Facts:
    """Return every number of the student's frame by its name, as `frame_facts.facts` does."""
    return _found(text, secret, student)[1]


@lru_cache(maxsize=8)
def names(text: str) -> tuple[str, ...]:
    """Return the names of the numbers that the frames drawn from `text` have."""
    return tuple(facts(text, b"names", "nobody")) if text else ()


@lru_cache(maxsize=1024)
def _found(text: str, secret: bytes, student: str) -> tuple[Build, Facts]:
    reason = ""
    for attempt in range(TRIES):
        try:
            build = frame_file.build(tables(text, secret, student, attempt), FILE)
            known = frame_facts.facts(build)
        except ValueError as error:
            reason = str(error)
            continue
        if _as_in_the_lessons(known):
            reason = "it is the frame that the lessons work through."
            continue
        bars = [found for found in build.findings if found.forbids]
        if not bars:
            return build, known
        reason = f"{bars[0].what} ({bars[0].where}). {bars[0].cure}"
    raise AuthoringError(
        f"{FILE}: the ranges must give frames that can be built; got none in {TRIES} tries, the "
        f"last because {reason} Widen the ranges."
    )


def _as_in_the_lessons(known: Facts) -> bool:
    """Whether a student could copy from the pages: their angles, and nearly their length."""
    theirs = _worked()
    angles = ("seat_angle_deg", "head_angle_deg")
    near = abs(known["front_centre"] - theirs["front_centre"]) <= CLOSE
    return near and all(known[name] == theirs[name] for name in angles)


@lru_cache(maxsize=1)
def _worked() -> Facts:
    return frame_facts.facts(frame_file.read(frame_file.EXAMPLE))


def tables(text: str, secret: bytes, student: str, attempt: int) -> dict[str, Any]:
    """Return the frame file's tables of one try, built or not."""

    def word(*place: str) -> int:
        message = "\0".join((student, "frame", str(attempt), *place)).encode()
        return int.from_bytes(hmac.new(secret, message, hashlib.sha256).digest()[:8], "big")

    def drawn(value: Any, place: tuple[str, ...]) -> Any:
        if isinstance(value, list):
            return [drawn(v, (*place, str(i))) for i, v in enumerate(value)]
        if not isinstance(value, Mapping):
            return value
        if value.keys() in (_RANGE, _CHOICE):
            values = _values(place, value)
            return values[word(*place) % len(values)]
        return {name: drawn(inner, (*place, name)) for name, inner in value.items()}

    all_kinds = _parsed(text)
    kinds = [name for name in all_kinds if name != _SHARED]
    kind = "\0".join((student, "kind of frame")).encode()
    chosen = int.from_bytes(hmac.new(secret, kind, hashlib.sha256).digest()[:8], "big")
    name = kinds[chosen % len(kinds)]
    made: dict[str, Any] = drawn(_over(all_kinds.get(_SHARED, {}), all_kinds[name]), ())
    return {"name": f"{name} frame", "builder": student, **made}


def _over(shared: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Return a kind's tables laid over what all kinds share; a range or a list is taken whole."""
    made = dict(shared)
    for name, value in own.items():
        below = made.get(name)
        whole = not isinstance(value, dict) or value.keys() in (_RANGE, _CHOICE)
        made[name] = value if whole or not isinstance(below, dict) else _over(below, value)
    return made


def _values(place: tuple[str, ...], spec: Mapping[str, Any]) -> list[Any]:
    try:
        if "of" in spec:
            values = list(spec["of"])
        else:
            low, high, step = (Decimal(str(spec[k])) for k in ("low", "high", "step"))
            values = [float(low + i * step) for i in range(int((high - low) / step) + 1)]
    except (TypeError, ArithmeticError):
        values = []
    if not values:
        raise AuthoringError(
            f"{FILE}, {'.'.join(place)}: a range must have low, high and step, or `of` with a "
            f"list; got {dict(spec)!r}. Mend it."
        )
    return values


@lru_cache(maxsize=8)
def _parsed(text: str) -> dict[str, Any]:
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise AuthoringError(
            f"{FILE}: the file must be TOML; got {error}. Mend that line."
        ) from None
    if not found.keys() - {_SHARED} or not all(isinstance(k, dict) for k in found.values()):
        raise AuthoringError(
            f"{FILE}: the file must have a table for each kind of frame; got none. Write one, laid "
            "out like a frame file."
        )
    return found
