"""What the form's terminal is told when the same thing fails again and again: a line a minute."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field

EVERY = 60.0  # seconds
_MOST_KINDS = 100
# what tells of connections, not of a mistake of ours: a line without its traceback says it all
_NETWORK = ("asyncio", "tornado.general", "tornado.application", "tornado.access")


@dataclass
class SaidOnce(logging.Filter):
    """Lets one record of a kind through each minute, with how many were held back before it."""

    clock: Callable[[], float] = time.monotonic
    _said: dict[str, tuple[float, int]] = field(default_factory=dict, repr=False)

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether to print this record; the words of one that is printed may be changed."""
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
    """Let the form's own loggers, and those that it stands on, say a thing once a minute."""
    once = SaidOnce()
    for name in ("coursekit.form", "asyncio"):
        log = logging.getLogger(name)
        log.filters = [f for f in log.filters if not isinstance(f, SaidOnce)]
        log.addFilter(once)
    for name in ("tornado.access", "tornado.general", "tornado.application"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
