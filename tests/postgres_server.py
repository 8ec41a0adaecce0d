"""A PostgreSQL server of the tests' own: from the package pgserver, else from the system's programs."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from .tools import lack


class Debian:
    """A server made by the programs of Debian's package `postgresql`, on a socket of its own."""

    def __init__(self, programs: Path) -> None:
        self._programs = programs
        self._place = Path(tempfile.mkdtemp(prefix="pg-"))
        if os.geteuid() == 0:  # the server refuses to be run by root
            shutil.chown(self._place, "nobody")
        self._call("initdb", "--auth=trust", "--username=postgres", "-D", self._place / "data")
        options = f"-c listen_addresses='' -k {self._place}"
        self._call(
            "pg_ctl",
            "-w",
            "-D",
            self._place / "data",
            "-o",
            options,
            "-l",
            self._place / "log",
            "start",
        )

    def _call(self, program: str, *words: object) -> None:
        as_user = ["runuser", "-u", "nobody", "--"] if os.geteuid() == 0 else []
        command = [*as_user, str(self._programs / program), *map(str, words)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd="/", timeout=1800)

    def psql(self, command: str) -> None:
        """Run one SQL command."""
        self._call("psql", "-q", "-h", self._place, "-U", "postgres", "-c", command)

    def get_uri(self, database: str) -> str:
        """Return the address of a database."""
        return f"postgresql://postgres@/{database}?host={self._place}"

    def cleanup(self) -> None:
        """Stop the server and remove what it kept."""
        self._call("pg_ctl", "-m", "immediate", "-D", self._place / "data", "stop")
        shutil.rmtree(self._place)


@contextmanager
def server(place: Path) -> Iterator[object]:
    """Yield a running server; the test is skipped where there is none to be had."""
    programs = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # pgserver asks for a run-time folder; /tmp will do
            import pgserver
    except ImportError:
        if not programs:
            lack("neither the package pgserver nor Debian's postgresql is installed")
        running = Debian(programs[-1].parent)
    else:
        running = pgserver.get_server(place, cleanup_mode="delete")
    try:
        yield running
    finally:
        running.cleanup()
