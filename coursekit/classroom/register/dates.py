"""Days and times as people write them: read from what the instructor types, and shown again.

Decisions:

- What is shown names the month in letters, or begins with the year, so it can be read in one way
  only: after `12/3/2026` has been typed, what is printed says which day it was taken for. It can be
  typed in again, unless the system puts dots into the names of months.
- Numbers between dots are day, month, year, in every system. Between slashes or hyphens the system
  decides, if it says anything and both ways give a day; if it says nothing, the date is refused.
- The names of days and months and the order of a date come from `strftime`, so from LC_TIME where a
  system has it. Names in English are always read.
- A program calls `use_systems` once at its start; without it, everything is as in `THE_KIT_S_OWN`.
"""

from __future__ import annotations

import locale
import re
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from coursekit.classroom.bank.lesson_names import plain
from coursekit.classroom.register.roster import ClassError

_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_NUMBERS = re.compile(r"(\d{1,4}) ?([./-]) ?(\d{1,2}) ?\2 ?(\d{1,4})")
_DAY_FIRST = re.compile(r"(\d{1,2})(?:\.|st|nd|rd|th)?(?: of)? ?([^\W\d]{3,})\.?,? (\d{4})")
_MONTH_FIRST = re.compile(r"([^\W\d]{3,})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")
_WITH_DAY = re.compile(r"([^\W\d]+)\.?,? (.+)")
_WITH_HOUR = re.compile(
    r"(?P<day>.+?),?(?: at | |(?<=\d)t)"
    r"(?P<hour>\d{1,2})(?::(?P<minute>\d\d)(?::(?P<second>\d\d))?)?(?: ?(?P<half>[^\W\d.][^\d]*))?"
)
_WITH_ZONE = re.compile(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d(:\d\d)?(Z|[+-]\d\d:\d\d)")


@dataclass(frozen=True)
class System:
    """How a system writes dates.

    `order` is "dmy", "mdy", "ymd" or "" if it says nothing, `dotted` tells whether a dot follows
    the day, and `halves` whether its clock shows two halves of a day.
    """

    order: str = ""
    dotted: bool = False
    halves: bool = False


THE_KIT_S_OWN = System()


def use_systems() -> None:
    """Let this process name days and months as the system does: for a program's start."""
    with suppress(locale.Error):  # the settings may name a language that is not installed
        locale.setlocale(locale.LC_TIME, "")


def of_system() -> System:
    """Return how this process's LC_TIME writes dates, found out by a day that it can't mix up."""
    if re.match(r"(C|POSIX)\b", locale.setlocale(locale.LC_TIME)):
        return THE_KIT_S_OWN
    sample = datetime(2033, 11, 22, 23, 44)
    written = f"{sample:%x}"
    places = sorted((written.find(part), name) for part, name in _SAMPLE.items())
    order = "".join(name for place, name in places if place >= 0)
    known = order if order in ("dmy", "mdy", "ymd") else ""
    return System(known, "22." in written, f"{sample:%p}" != "" and "23" not in f"{sample:%X}")


_SAMPLE = {"22": "d", "11": "m", "33": "y"}


def shown(moment: datetime, system: System | None = None) -> str:
    """Return a time as the system writes it, by this computer's clock.

    A time without a zone is taken as UTC, as the gradebook keeps it.

    >>> shown(datetime(2026, 12, 3, 18, 0).astimezone())
    'Thu 3 Dec 2026, 18:00'
    """
    system = system or of_system()
    local = _local(moment)
    return f"{shown_day(local.date(), system)}, {_clock(local, system)}"


def shown_day(day: date, system: System | None = None) -> str:
    """Return a day as the system writes it.

    >>> shown_day(date(2026, 12, 3)), shown_day(date(2026, 12, 3), System("mdy"))
    ('Thu 3 Dec 2026', 'Thu Dec 3, 2026')
    >>> shown_day(date(2026, 12, 3), System("dmy", dotted=True))
    'Thu 3. Dec 2026'
    >>> shown_day(date(2026, 12, 3), System("ymd"))
    'Thu 2026-12-03'
    """
    system = system or of_system()
    if system.order == "ymd":
        return f"{day:%a} {day.isoformat()}"
    comma = "," if system.order == "mdy" else ""
    return f"{day:%a} {_day_and_month(day, system)}{comma} {day.year}"


def day(moment: datetime) -> str:
    """Return the day of a time by this computer's clock, as the system writes it."""
    return shown_day(_local(moment).date())


def short(moment: datetime, system: System | None = None) -> str:
    """Return a time in few letters, without weekday and year, for a narrow column."""
    system = system or of_system()
    local = _local(moment)
    day = f"{local:%m-%d}" if system.order == "ymd" else _day_and_month(local, system)
    return f"{day} {_clock(local, system)}"


def _day_and_month(day: date, system: System) -> str:
    if system.order == "mdy":
        return f"{day:%b} {day.day}"
    return f"{day.day}{'.' if system.dotted else ''} {day:%b}"


def _clock(local: datetime, system: System) -> str:
    if system.halves:
        return f"{local.hour % 12 or 12}:{local:%M} {local:%p}"
    return f"{local:%H:%M}"


def _local(moment: datetime) -> datetime:
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).astimezone()


def read(text: str, what: str = "A time", system: System | None = None) -> datetime:
    """Return the time that `text` says, with its zone; a day alone means the end of that day.

    A time without a zone is taken as this computer's.

    Parameters
    ----------
    text
        `3.12.2026`, `3.12.2026 18:00`, `2026-12-03T18:00`, `3 Dec 2026`, `Dec 3, 2026 6 pm` and the
        like; a weekday may stand in front.
    what
        What the time is, for the message.
    system
        How the system writes dates; unless it is given, it is asked.

    Raises
    ------
    ClassError
        A time must be a day, like 3 Dec 2026, 3.12.2026 or 2026-12-03, and may …
        A time must be readable in one way; got '12/3/2026', which is …
        The weekday of a time must be that of its date; got …

    Examples
    --------
    >>> f"{read('3.12.2026 18:00'):%Y-%m-%d %H:%M}", f"{read('Thu 3 Dec 2026'):%Y-%m-%d %H:%M:%S}"
    ('2026-12-03 18:00', '2026-12-03 23:59:59')
    >>> f"{read('25/12/2026'):%Y-%m-%d}", f"{read('12/3/2026', system=System('mdy')):%Y-%m-%d}"
    ('2026-12-25', '2026-12-03')
    """
    if _WITH_ZONE.fullmatch(said := " ".join(text.split())):
        with suppress(ValueError):
            return _sensible(datetime.fromisoformat(said.replace(" ", "T")), text, what)
    said = _bare(said)
    hour = time(23, 59, 59)
    days = list(_days(said, text, what, system))
    if not days and (parts := _WITH_HOUR.fullmatch(said)):
        hour = _hour(parts, text, what)
        days = list(_days(parts["day"], text, what, system))
    if not days:
        raise unread(text, what)
    return _sensible(datetime.combine(days[0], hour), text, what)


def _bare(text: str) -> str:
    """Return a text without capitals, accents and characters that take no space."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in parted if unicodedata.category(c) not in ("Mn", "Cf"))


def unread(text: object, what: str) -> ClassError:
    """Return the error for what says no time."""
    return ClassError(
        f"{what} must be a day, like 3 Dec 2026, 3.12.2026 or 2026-12-03, and may have an hour, "
        f"18:00; got {str(text)!r}. Write it so."
    )


def sensible(found: date, what: str = "A time") -> datetime:
    """Return a day's end, or a time with this computer's zone if it has none.

    Raises ClassError for a year that no class is in.
    """
    if not isinstance(found, datetime):
        found = datetime.combine(found, time(23, 59, 59))
    return _sensible(found, found, what)


def _sensible(found: datetime, text: object, what: str) -> datetime:
    if not 1990 < found.year < 9000:
        raise unread(text, what)
    return found if found.tzinfo else found.astimezone()


def _hour(parts: re.Match[str], text: str, what: str) -> time:
    hour, minute, second = (int(parts[name] or 0) for name in ("hour", "minute", "second"))
    half = plain(parts["half"] or "").replace(" ", "")
    if half:
        before, after = ({word, plain(f"{time(h):%p}")} for h, word in ((1, "am"), (13, "pm")))
        if half not in before | after or not 1 <= hour <= 12:
            raise unread(text, what)
        hour = hour % 12 + 12 * (half in after)
    elif parts["minute"] is None:
        raise unread(text, what)
    try:
        return time(hour, minute, second)
    except ValueError:
        raise unread(text, what) from None


def _days(said: str, text: str, what: str, system: System | None) -> Iterator[date]:
    """Yield the day that `said` is, if it is one."""
    if found := _NUMBERS.fullmatch(said):
        yield from _by_numbers(found, text, what, system)
    elif found := _DAY_FIRST.fullmatch(said):
        yield from _by_month(found[2], found[1], found[3])
    elif found := _MONTH_FIRST.fullmatch(said):
        yield from _by_month(found[1], found[2], found[3])
    elif (found := _WITH_DAY.fullmatch(said)) and (wanted := _among(found[1], _DAYS, _A_MONDAY)):
        for day in _days(found[2], text, what, system):
            if day.weekday() not in wanted:
                raise ClassError(
                    f"The weekday of a time must be that of its date; got {text!r}, but that day "
                    f"is {day:%a}. Mend one of them."
                )
            yield day


_A_MONDAY = [date(2001, 1, n) for n in range(1, 8)]
_FIRSTS = [date(2001, n, 1) for n in range(1, 13)]


def _among(word: str, english: tuple[str, ...], days: list[date]) -> list[int]:
    """Return the places of the names that `word` begins, in English or in the system's words."""
    wanted = plain(word)
    named = (
        (name, f"{day:%A %B}", f"{day:%a}", f"{day:%b}")
        for name, day in zip(english, days, strict=True)
    )
    return [
        place
        for place, names in enumerate(named)
        if any(plain(part).startswith(wanted) for name in names for part in name.split())
    ]


def _by_month(month: str, day: str, year: str) -> Iterator[date]:
    places = _among(month, _MONTHS, _FIRSTS)
    if len(places) == 1:
        with suppress(ValueError):
            yield date(int(year), places[0] + 1, int(day))


def _by_numbers(
    found: re.Match[str], text: str, what: str, system: System | None
) -> Iterator[date]:
    first, sign, second, third = found.groups()
    if len(first) == 4:
        with suppress(ValueError):
            yield date(int(first), int(second), int(third))
        return
    if len(third) != 4:
        return  # a year of two digits could be a day
    ways = {}
    for order, (day, month) in {"dmy": (first, second), "mdy": (second, first)}.items():
        with suppress(ValueError):
            ways[order] = date(int(third), int(month), int(day))
    order = "dmy" if sign == "." else (system or of_system()).order
    if sign == ".":
        ways.pop("mdy", None)
    if len(set(ways.values())) == 2 and order not in ways:
        one, other = (shown_day(day, system) for day in ways.values())
        raise ClassError(
            f"{what} must be readable in one way; got {text!r}, which is {one} or {other}. Write "
            f"the month in letters, or begin with the year."
        )
    yield from [ways.get(order) or next(iter(ways.values()))] if ways else []
