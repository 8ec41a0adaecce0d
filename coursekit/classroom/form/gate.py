"""Who may come in to the bench form, and how often they may ask: one-time codes, waits, limits.

Once somebody is in, `door` recognises them, with Tornado's signed cookies and its tokens against
forged posts.
"""

from __future__ import annotations

import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # without I, L, O and U, which are easily misread
CODE_LENGTH = 6  # 30 bits
TRIES = 5  # wrong codes of one address before it must wait
FIRST_WAIT = 60.0  # seconds; doubles each time
LONGEST_WAIT = 15 * 60.0
ALL_TRIES = 25  # wrong codes of all addresses before the code is changed
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


@dataclass
class Gate:
    """Decides for one run of the form who is let in; `ask_code` says whether that takes a code.

    `tell` is called with each code after the first, for the instructor's screen.
    """

    ask_code: bool
    tell: Callable[[str], None] = lambda code: None
    clock: Callable[[], float] = time.monotonic
    code: str = ""
    _records: dict[str, _Record] = field(default_factory=dict, repr=False)
    _buckets: dict[str, _Bucket] = field(default_factory=dict, repr=False)
    _wrong: int = 0

    def __post_init__(self) -> None:
        if self.ask_code:
            self.code = _new_code()

    def _change_code(self) -> None:
        self.code, self._wrong = _new_code(), 0
        self.tell(self.code)

    def enter(self, typed: str, address: str) -> None:
        """Let in whoever typed the code, which is then used up and replaced.

        Raises DoorError for a wrong code, and for every code while the address must wait.
        """
        record = self._records.setdefault(address, _Record())
        self._forget_oldest(self._records)
        if (wait := record.until - self.clock()) > 0:
            raise DoorError(
                f"The door is shut for {_minutes(wait)} after too many wrong codes. Wait, then ask "
                "for the code that is on the instructor's screen now."
            )
        if self.ask_code and not hmac.compare_digest(tidy(typed).encode(), self.code.encode()):
            self._count_wrong(record)
            raise DoorError(
                "The code must be the one that is on the instructor's screen now; each opens the "
                "form once. Look again, and mind that the letters I, L, O and U are never used."
            )
        self._records.pop(address, None)
        if self.ask_code:
            self._change_code()

    def _count_wrong(self, record: _Record) -> None:
        record.wrong += 1
        if record.wrong >= TRIES:
            wait = min(FIRST_WAIT * 2**record.locks, LONGEST_WAIT)
            record.wrong, record.locks, record.until = 0, record.locks + 1, self.clock() + wait
        self._wrong += 1
        if self._wrong >= ALL_TRIES:
            self._change_code()

    def may_ask(self, address: str, session: str = "") -> bool:
        """Whether this session, or this address if there is none, may make one more request."""
        most, rate = GUEST if session else STRANGER
        now = self.clock()
        bucket = self._buckets.setdefault(session or address, _Bucket(most, now))
        self._forget_oldest(self._buckets)
        bucket.left = min(most, bucket.left + (now - bucket.at) * rate)
        bucket.at = now
        if bucket.left < 1:
            return False
        bucket.left -= 1
        return True

    def _forget_oldest(self, known: dict[str, _Record] | dict[str, _Bucket]) -> None:
        while len(known) > MOST_ADDRESSES:
            del known[next(iter(known))]


def _new_code() -> str:
    return "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))


def tidy(typed: str) -> str:
    """Return a code as it was meant: in capitals, without spaces, with 0 for O and 1 for I or L.

    >>> tidy(" 7kq-o1l ")
    '7KQ011'
    """
    kept = "".join(c for c in typed[:40].upper() if c.isalnum())
    return kept.translate(str.maketrans("OIL", "011"))


def _minutes(seconds: float) -> str:
    whole = max(1, round(seconds / 60))
    return f"{whole} minute" + ("" if whole == 1 else "s")
