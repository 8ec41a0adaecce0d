"""Keeps the form's terminal readable: what fails again and again is printed once a minute."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field

EVERY = 60.0  # seconds
_MOST_KINDS = 100
# these report on connections, not on errors in the kit, so one line without a traceback is enough
_NETWORK = ("asyncio", "tornado.general", "tornado.application", "tornado.access")


@dataclass
class SaidOnce(logging.Filter):
    """Lets one log record of each kind through a minute, with how many were held back before it."""

    clock: Callable[[], float] = time.monotonic
    _said: dict[str, tuple[float, int]] = field(default_factory=dict, repr=False)

    def filter(self, record: logging.LogRecord) -> bool:
        """Return whether to print this record; if so, its message may be shortened or added to."""
        kind = f"{record.name} {record.msg}"[:200]
        now = self.clock()
        last, held_back = self._said.get(kind, (-EVERY, 0))
        if now - last < EVERY:
            self._said[kind] = last, held_back + 1
            return False
        if len(self._said) >= _MOST_KINDS:
            self._said.clear()
        self._said[kind] = now, 0
        more = f" ({held_back} more like it before)" if held_back else ""
        line = record.getMessage().splitlines() or [""]
        record.msg, record.args = f"{line[0][:200]}{more}", ()
        if record.name in _NETWORK:
            record.exc_info = record.exc_text = record.stack_info = None
        return True


def be_quiet() -> None:
    """Make the form's own logger and asyncio's say a thing once a minute, and silence tornado's."""
    once = SaidOnce()
    for name in ("coursekit.form", "asyncio"):
        log = logging.getLogger(name)
        log.filters = [f for f in log.filters if not isinstance(f, SaidOnce)]
        log.addFilter(once)
    for name in ("tornado.access", "tornado.general", "tornado.application"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
