"""What stands in a class's `class.toml`, checked as it is read and changed one line at a time.

    title = "Evening class"
    book = "book"                       # where students read the pages; feedback links to it
    gradebook = "postgresql://…"        # only if it is on a server

    [due]
    miter-angles = "2026-02-10T23:59:59+01:00"

    [late]
    per_day = 10                        # per cent of the marks for each day begun
    most = 50                           # per cent, the most that is taken off
    grace_hours = 2                     # work that comes no later than this counts as on time

    [exchange]                          # only if students share a machine
    root = "/srv/nbgrader/exchange"
    course = "evening"

Every line may be left out. A line that an instructor wrote stays as it is.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.register import dates
from coursekit.classroom.register.roster import ClassError


@dataclass(frozen=True)
class Late:
    """What late work loses: `per_day` per cent of its marks for each day begun, at most `most`.

    Work that comes within `grace_hours` of its due time loses nothing.
    """

    per_day: float
    most: float = 100.0
    grace_hours: float = 0.0

    def penalty(self, marks: float, seconds: float) -> float | None:
        """Return the marks that work loses if it came `seconds` after its due time; None for none.

        >>> Late(10, most=50).penalty(20, 25 * 3600), Late(10, grace_hours=2).penalty(20, 3600)
        (4.0, None)
        """
        if seconds <= self.grace_hours * 3600:
            return None
        days = -(-seconds // 86_400)
        return marks * min(self.per_day * days, self.most) / 100


def read(path: Path) -> dict[str, Any]:
    """Return the settings in `path`; ClassError if the file is not TOML."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ClassError(f"{path}: the file must be TOML; got {error}. Mend that line.") from None
    except RecursionError:
        raise ClassError(
            f"{path}: the file must be plain TOML; got brackets within brackets, too deep to read. "
            "Take them out."
        ) from None


def gradebook_address(settings: Mapping[str, Any], path: Path) -> str:
    """Return the gradebook's address; the ClassError never shows it, as it may hold a password."""
    address = settings.get("gradebook", "")
    if not isinstance(address, str) or (address and not re.match(r"postgres(ql)?://", address)):
        raise ClassError(
            f"{path}: `gradebook` must be the address of a PostgreSQL database, "
            '"postgresql://user@host/name"; got another thing. Mend it, or take the line out to '
            "keep the gradebook in the class folder."
        )
    return address


def due_times(settings: Mapping[str, Any], path: Path) -> dict[str, datetime]:
    """Return slug → due time with its zone; ClassError for anything that is not a time."""
    found = settings.get("due", {})
    if not isinstance(found, dict):
        raise ClassError(f"{path}: `due` must be a part of its own, [due]; got a value. Mend it.")
    return {slug: when(value, f"{path}, due of {slug}") for slug, value in found.items()}


def late_rule(settings: Mapping[str, Any], path: Path) -> Late | None:
    """Return what late work loses, None without a [late] part; ClassError for a bad rule."""
    found = settings.get("late")
    if found is None:
        return None
    names = {"per_day": 100.0, "most": 100.0, "grace_hours": 24.0 * 365}
    good = isinstance(found, dict) and "per_day" in found and set(found) <= set(names)
    for name, value in found.items() if good else ():
        number = isinstance(value, int | float) and not isinstance(value, bool)
        good = good and number and 0 <= value <= names[name]
    if not good:
        raise ClassError(
            f"{path}: [late] must have per_day and may have most (both 0 to 100, per cent) and "
            f"grace_hours; got {found!r}. Write `per_day = 10`."
        )
    return Late(**{name: float(value) for name, value in found.items()})


def exchange(settings: Mapping[str, Any], path: Path) -> tuple[str, str] | None:
    """Return the folder and course name of nbgrader's exchange, None without an [exchange] part."""
    found = settings.get("exchange")
    if found is None:
        return None
    good = isinstance(found, dict) and set(found) == {"root", "course"}
    if not good or not all(isinstance(v, str) and v for v in found.values()):
        raise ClassError(
            f"{path}: [exchange] must have root and course, both text; got {found!r}. Mend it."
        )
    return found["root"], found["course"]


def when(value: object, where: str = "A time") -> datetime:
    """Return a time with its zone from text or a TOML time; a day alone means its end.

    A time without a zone is taken as this computer's. Text is read as `dates.read` does, but alike
    on every computer, whatever its settings. Raises ClassError for anything else.

    >>> when("2026-02-10T19:00:00+01:00").isoformat()
    '2026-02-10T19:00:00+01:00'
    """
    if isinstance(value, str):
        return dates.read(value, where, dates.THE_KIT_S_OWN)
    if isinstance(value, date):
        return dates.sensible(value, where)
    raise dates.unread(value, where)


def as_utc(moment: datetime) -> datetime:
    """Return a time in UTC without its zone, as the gradebook keeps it."""
    return moment.astimezone(UTC).replace(tzinfo=None)


def put(path: Path, table: str, name: str, value: str | None) -> str:
    """Return the text of `path` with the line `name = value` in `[table]` ("" for the top).

    `value` is TOML; None takes the line out. All other lines stay as they are.
    """
    lines = path.read_text(encoding="utf-8-sig").splitlines()
    start, end = _span(lines, table)
    if start is None:
        if value is not None:
            lines += ["", f"[{table}]", f"{name} = {value}"]
        return _checked(lines, path)
    line = re.compile(rf'\s*"?{re.escape(name)}"?\s*=')
    places = [i for i in range(start, end) if line.match(lines[i])]
    if places:
        lines[places[0] : places[0] + 1] = [] if value is None else [f"{name} = {value}"]
    elif value is not None:
        while end > start and not lines[end - 1].strip():
            end -= 1
        lines.insert(end, f"{name} = {value}")
    return _checked(lines, path)


def _span(lines: list[str], table: str) -> tuple[int | None, int]:
    """Return where a table's lines begin and end (exclusive); None and the end if it is missing."""
    heads = [i for i, text in enumerate(lines) if re.match(r"\s*\[", text)]
    if not table:
        return 0, heads[0] if heads else len(lines)
    for i in heads:
        if re.fullmatch(rf"\s*\[\s*{re.escape(table)}\s*\]\s*(#.*)?", lines[i]):
            return i + 1, next((h for h in heads if h > i), len(lines))
    return None, len(lines)


def _checked(lines: list[str], path: Path) -> str:
    text = "\n".join(lines).rstrip() + "\n"
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ClassError(
            f"{path}: the file must stay TOML; the change would give {error}. Make it by hand."
        ) from None
    return text


def quoted(text: str) -> str:
    """Return `text` as a TOML string."""
    escaped = "".join(c if c.isprintable() else " " for c in text)
    return '"' + escaped.replace("\\", "\\\\").replace('"', '\\"') + '"'
