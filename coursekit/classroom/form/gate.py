"""Who may use the bench form: one-time codes, sessions, tokens against forged and repeated posts.

Nothing is kept a session: a session is a random word with this process's own signature (HMAC-SHA-256,
FIPS 198-1), and so are the tokens of its pages. They end with the process.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # no I, L, O, U: nothing to mistake on a small screen
CODE_LENGTH = 6  # 30 bits
SESSION_SECONDS = 12 * 3600
TRIES = 5  # wrong codes of one address before it must wait
FIRST_WAIT = 60.0  # seconds; doubles each time
LONGEST_WAIT = 15 * 60.0
ALL_TRIES = 25  # wrong codes of all addresses before the code is changed
MOST_ADDRESSES = 1000
STRANGER = (60.0, 10.0)  # requests at once, and a second, of an address without a session
GUEST = (400.0, 50.0)  # the same of a session


class DoorError(ValueError):
    """The door stays shut; the message says why, in words for whoever stands before it."""


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
    """The door of one run of the form. `ask_code` is whether a code is needed to come in.

    `tell` is called with each code after the first, for the instructor's screen.
    """

    ask_code: bool
    tell: Callable[[str], None] = lambda code: None
    clock: Callable[[], float] = time.monotonic
    code: str = ""
    _secret: bytes = field(default_factory=lambda: secrets.token_bytes(32), repr=False)
    _records: dict[str, _Record] = field(default_factory=dict, repr=False)
    _buckets: dict[str, _Bucket] = field(default_factory=dict, repr=False)
    _wrong: int = 0

    def __post_init__(self) -> None:
        if self.ask_code:
            self.code = _new_code()

    def _change_code(self) -> None:
        self.code, self._wrong = _new_code(), 0
        self.tell(self.code)

    def enter(self, typed: str, address: str) -> str:
        """Return a session for whoever typed the code, which is then used up and replaced.

        Raises DoorError for a wrong code, and for every code while the address must wait.
        """
        record = self._records.setdefault(address, _Record())
        self._forget_oldest(self._records)
        if (wait := record.until - self.clock()) > 0:
            raise DoorError(
                f"The door is shut for {_minutes(wait)} after too many wrong codes. Wait, then ask for "
                "the code that is on the instructor's screen now."
            )
        if self.ask_code and not hmac.compare_digest(tidy(typed).encode(), self.code.encode()):
            self._count_wrong(record)
            raise DoorError(
                "The code must be the one that is on the instructor's screen now; each opens the form "
                "once. Look again, and mind that the letters I, L, O and U are never used."
            )
        self._records.pop(address, None)
        if self.ask_code:
            self._change_code()
        return self.session()

    def _count_wrong(self, record: _Record) -> None:
        record.wrong += 1
        if record.wrong >= TRIES:
            wait = min(FIRST_WAIT * 2**record.locks, LONGEST_WAIT)
            record.wrong, record.locks, record.until = 0, record.locks + 1, self.clock() + wait
        self._wrong += 1
        if self._wrong >= ALL_TRIES:
            self._change_code()

    def session(self) -> str:
        """Return a new session, fit for a cookie."""
        word = f"{secrets.token_hex(16)}.{int(self.clock())}"
        return f"{word}.{self._signed('session', word)}"

    def is_session(self, cookie: str) -> bool:
        """Whether `cookie` is a session of this run that has not ended."""
        word, _, mark = cookie.rpartition(".")
        if not hmac.compare_digest(mark.encode(), self._signed("session", word).encode()):
            return False
        return self.clock() - int(word.partition(".")[2]) <= SESSION_SECONDS

    def page_token(self, session: str) -> str:
        """Return the word that shows that a post comes from a page of this session."""
        return self._signed("page", session)

    def is_page_token(self, session: str, token: str) -> bool:
        """Whether `token` belongs to a page of `session`."""
        return hmac.compare_digest(token.encode(), self._signed("page", session).encode())

    def posting(self, session: str) -> str:
        """Return the name of one posting, so that the same one sent twice is known."""
        word = secrets.token_hex(8)
        return f"{word}.{self._signed('posting', session, word)[:16]}"

    def is_posting(self, session: str, posting: str) -> bool:
        """Whether `posting` was named for a page of `session`."""
        word, _, mark = posting.partition(".")
        right = self._signed("posting", session, word)[:16]
        return hmac.compare_digest(mark.encode(), right.encode())

    def _signed(self, *parts: str) -> str:
        message = "\0".join(parts).encode("utf-8", "replace")
        return hmac.new(self._secret, message, hashlib.sha256).hexdigest()

    def may_ask(self, address: str, session: str = "") -> bool:
        """Whether one more request is within what this session, or this address without one, may make."""
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
    """Return a code as it was meant: capitals, no blanks, the letters that are never used as digits.

    >>> tidy(" 7kq-o1l ")
    '7KQ011'
    """
    kept = "".join(c for c in typed[:40].upper() if c.isalnum())
    return kept.translate(str.maketrans("OIL", "011"))


def _minutes(seconds: float) -> str:
    whole = max(1, round(seconds / 60))
    return f"{whole} minute" + ("" if whole == 1 else "s")
