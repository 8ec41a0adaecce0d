"""Landlock: lets this process from now on read some folders, write one, and connect to nothing.

An ordinary user may ask the kernel for it (Linux 5.13 and later), and it can't be taken back. The
numbers are from include/uapi/linux/landlock.h.
"""

from __future__ import annotations

import ctypes
import os
import stat
import struct
from collections.abc import Iterable
from pathlib import Path

from coursekit.classroom.running.cage import kernel

_EXECUTE, _READ_FILE, _READ_DIR = 1 << 0, 1 << 2, 1 << 3
_WRITE_FILE, _TRUNCATE, _IOCTL = 1 << 1, 1 << 14, 1 << 15
_ON_FILES = _EXECUTE | _READ_FILE | _WRITE_FILE | _TRUNCATE | _IOCTL
_READ = _EXECUTE | _READ_FILE | _READ_DIR
# devices, sockets and links to elsewhere are never made, not even in the scratch folder
_SCRATCH = _READ | _WRITE_FILE | _TRUNCATE | sum(1 << n for n in (4, 5, 7, 8, 10, 12, 13))
_BIND_AND_CONNECT_TCP = 0b11
_ABSTRACT_SOCKETS_AND_SIGNALS = 0b11
_NETWORK_SINCE, _SCOPES_SINCE = 4, 6
_RIGHTS = {1: 13, 2: 14, 3: 15, 4: 15, 5: 16}  # version → how many rights on files it knows


def version() -> int:
    """Return the version of Landlock that this kernel offers, 0 for none."""
    try:
        return kernel.call("landlock_create_ruleset", None, 0, 1)
    except (OSError, KeyError):
        return 0


def restrict(read: Iterable[Path], write: Iterable[Path]) -> None:
    """Restrict this process, for good, to reading below `read` and writing below `write`."""
    offered = version()
    known = (1 << _RIGHTS[min(offered, 5)]) - 1
    net = _BIND_AND_CONNECT_TCP if offered >= _NETWORK_SINCE else 0
    scopes = _ABSTRACT_SOCKETS_AND_SIGNALS if offered >= _SCOPES_SINCE else 0
    size = 24 if scopes else 16 if net else 8
    rules = struct.pack("=QQQ", known, net, scopes)[:size]
    ruleset = kernel.call(
        "landlock_create_ruleset", ctypes.create_string_buffer(rules, size), size, 0
    )
    try:
        for path in read:
            _allow(ruleset, path, _READ & known)
        for path in write:
            _allow(ruleset, path, _SCRATCH & known)
        kernel.call("landlock_restrict_self", ruleset, 0)
    finally:
        os.close(ruleset)


def _allow(ruleset: int, path: Path, rights: int) -> None:
    try:
        handle = os.open(path, os.O_PATH | os.O_CLOEXEC)
    except OSError:
        return  # nothing is lost by not opening what is not there
    try:
        if not stat.S_ISDIR(os.fstat(handle).st_mode):
            rights &= _ON_FILES
        rule = struct.pack("=Qi", rights, handle)
        kernel.call(
            "landlock_add_rule", ruleset, 1, ctypes.create_string_buffer(rule, len(rule)), 0
        )
    finally:
        os.close(handle)
