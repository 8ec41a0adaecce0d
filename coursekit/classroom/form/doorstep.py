"""Limits how many connections the form holds open, from one address and in all.

A connection that sends nothing is closed after a few seconds. One that is too many is closed at
once, before the system runs out of open files, which would stop the form for everybody.
"""

from __future__ import annotations

import logging
import sys
from collections import Counter
from contextlib import suppress
from typing import Any

from tornado.httpserver import HTTPServer
from tornado.iostream import IOStream

MOST_OF_ONE = 24  # open connections of one address; a browser opens six
MOST_IN_ALL = 400  # a class of 60 phones
_OTHER_FILES = 100  # open files that the form needs for everything else
_WANTED_FILES = 1024
HEADER_SECONDS = 8.0  # within which a request's head must come; idle connections close after it
BODY_SECONDS = 8.0


class Doorstep(HTTPServer):
    """Tornado's server, with a limit on the connections that are open."""

    def initialize(self, *args: Any, **kwargs: Any) -> None:
        """Begin with none open."""
        super().initialize(*args, **kwargs)
        self.open: Counter[str] = Counter()  # address → connections
        self.most_in_all = min(MOST_IN_ALL, _files_to_have() - _OTHER_FILES)

    def handle_stream(self, stream: IOStream, address: tuple[Any, ...]) -> None:
        """Take a new connection, or close it if there are too many."""
        place = str(address[0])
        too_many = self.open[place] >= MOST_OF_ONE
        if too_many or self.open.total() >= self.most_in_all:
            stream.close()
            logging.getLogger("coursekit.form").warning(
                "Too many connections are open%s; new ones are closed at once.",
                f" from {place}" if too_many else "",
            )
            return
        self.open[place] += 1
        super().handle_stream(stream, address)

    def on_close(self, server_conn: Any) -> None:
        """Take a connection that has ended, in whatever way, off the count."""
        super().on_close(server_conn)
        place = str(server_conn.context.address[0])
        self.open[place] -= 1
        if self.open[place] <= 0:
            del self.open[place]


def _files_to_have() -> int:
    """Return how many files this process may have open, after asking for enough of them."""
    if sys.platform == "win32":
        return _WANTED_FILES
    import resource

    soft, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = _WANTED_FILES if most == resource.RLIM_INFINITY else min(_WANTED_FILES, most)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        with suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))
            return wanted
        return soft
    return _WANTED_FILES
