"""Who may come in to the bench form from a phone, and how often anybody may ask.

A phone comes in by a student's own code (`register.phone_code`), and is that student's from then
on. The code lasts as long as the class, so guessing must be hopeless. One address has five tries,
then it waits, each time twice as long. All addresses together have a thousand wrong codes at once
and five a second after that, which is 73 000 in an evening of four hours. There are 2^40 codes, and
sixty of them are a class's, so somebody who tries all evening gets in once in 250 000 evenings.

Once somebody is in, `door` recognises them, with Tornado's signed cookies and its tokens against
forged posts.
"""

from __future__ import annotations

import hmac
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from coursekit.classroom.register.phone_code import tidy

TRIES = 5  # wrong codes of one address before it must wait
FIRST_WAIT = 60.0  # seconds; doubles each time
LONGEST_WAIT = 15 * 60.0
ALL_TRIES = (1000.0, 5.0)  # wrong codes of all addresses: at once, and per second
MOST_ADDRESSES = 1000
STRANGER = (60.0, 10.0)  # requests at once, and per second, from an address without a session
GUEST = (400.0, 50.0)  # the same within a session


class DoorError(ValueError):
    """Why somebody is not let in, in words for that person."""


@dataclass
class _Record:
    wrong: int = 0
    locks: int = 0
    until: float = 0.0


@dataclass
class _Bucket:
    left: float
    at: float

    def fill(self, limit: tuple[float, float], now: float) -> bool:
        """Let in what has come since it was last filled; return whether one may be taken out."""
        most, rate = limit
        self.left = min(most, self.left + (now - self.at) * rate)
        self.at = now
        return self.left >= 1


@dataclass
class Gate:
    """Decides for one run of the form who is let in by code: code → student, empty for nobody."""

    codes: Mapping[str, str] = field(default_factory=dict, repr=False)
    clock: Callable[[], float] = time.monotonic
    _records: dict[str, _Record] = field(default_factory=dict, repr=False)
    _buckets: dict[str, _Bucket] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        self._wrong = _Bucket(ALL_TRIES[0], self.clock())

    def enter(self, typed: str, address: str) -> str:
        """Return the student whose code was typed.

        Raises DoorError for a wrong code, and for every code while the address must wait or too
        many wrong codes come from everywhere.
        """
        record = self._records.setdefault(address, _Record())
        self._forget_oldest(self._records)
        if (wait := record.until - self.clock()) > 0:
            raise DoorError(
                f"The door is shut for {_minutes(wait)} after too many wrong codes. Wait, then "
                "type the code that is printed at the top of your worksheet."
            )
        if not self._wrong.fill(ALL_TRIES, self.clock()):
            raise DoorError(
                "The door is shut for some seconds, because too many wrong codes come in. Wait, "
                "then type your code again."
            )
        if not (student := self._student(tidy(typed))):
            self._count_wrong(record)
            raise DoorError(
                "The code must be the one that is printed at the top of your worksheet, eight "
                "letters and digits. Look again, and mind that the letters I, L, O and U are never "
                "used."
            )
        self._records.pop(address, None)
        return student

    def _student(self, typed: str) -> str:
        """Return whose code it is, or ""; every code is compared, so that time tells nothing."""
        found = ""
        for code, student in self.codes.items():
            if hmac.compare_digest(typed.encode(), code.encode()):
                found = student
        return found

    def _count_wrong(self, record: _Record) -> None:
        self._wrong.left -= 1
        record.wrong += 1
        if record.wrong >= TRIES:
            wait = min(FIRST_WAIT * 2**record.locks, LONGEST_WAIT)
            record.wrong, record.locks, record.until = 0, record.locks + 1, self.clock() + wait

    def may_ask(self, address: str, session: str = "") -> bool:
        """Whether this session, or this address if there is none, may make one more request."""
        limit = GUEST if session else STRANGER
        now = self.clock()
        bucket = self._buckets.setdefault(session or address, _Bucket(limit[0], now))
        self._forget_oldest(self._buckets)
        if not bucket.fill(limit, now):
            return False
        bucket.left -= 1
        return True

    def _forget_oldest(self, known: dict[str, _Record] | dict[str, _Bucket]) -> None:
        while len(known) > MOST_ADDRESSES:
            del known[next(iter(known))]


def _minutes(seconds: float) -> str:
    whole = max(1, round(seconds / 60))
    return f"{whole} minute" + ("" if whole == 1 else "s")
