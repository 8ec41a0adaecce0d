"""What a notebook's own process does to itself, for good, before any of the student's code runs."""

from __future__ import annotations

import contextlib
import os
import resource
from collections.abc import Sequence
from pathlib import Path

from coursekit.classroom.running.cage import kernel, landlock, seccomp, view
from coursekit.classroom.running.limits import Limits

_FILES_OPEN = 256
# Without the filter of calls each open file may be a socket. Its buffers, about 200 kB, are the
# kernel's, so they count as no process's memory.
_FILES_OPEN_UNFILTERED = 64


def limit(limits: Limits, *, count_processes: bool, filtered: bool) -> None:
    """Set the kernel's limits for this process and for everything that it starts."""
    bounds = {
        resource.RLIMIT_AS: _taken() + int(limits.memory),
        resource.RLIMIT_FSIZE: int(limits.file),
        resource.RLIMIT_CPU: int(limits.notebook) + 2,
        resource.RLIMIT_NOFILE: _FILES_OPEN if filtered else _FILES_OPEN_UNFILTERED,
        resource.RLIMIT_CORE: 0,
    }
    if count_processes:
        bounds[resource.RLIMIT_NPROC] = int(limits.processes)
    for what, value in bounds.items():
        with contextlib.suppress(OSError, ValueError):
            _, most = resource.getrlimit(what)
            value = value if most == resource.RLIM_INFINITY else min(value, most)
            resource.setrlimit(what, (value, value))


def _taken() -> int:
    """Return the bytes of address space that the warm process's libraries already take."""
    with contextlib.suppress(OSError):
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
        return pages * resource.getpagesize()
    return 1 << 30


def become(user: int | None) -> None:
    """Become `user` and its group, if given, and give up an administrator's rights for good."""
    if user is not None:
        os.setgroups([])
        os.setresgid(user, user, user)
        os.setresuid(user, user, user)
    kernel.no_new_privileges()
    kernel.drop_capabilities()


def shut(
    scratch: Path, read: Sequence[Path], *, own_processes: bool, rules: bool, calls: bool
) -> None:
    """Shut the rest of the machine out: Landlock with `rules`, the filter of calls with `calls`."""
    if rules:
        landlock.restrict([*read], [scratch, *(Path(d) for d in view.DEVICES)])
    if calls:
        seccomp.install(own_processes)


def close_all_but(*keep: int) -> None:
    """Close every open file that this process inherited from the warm one, except `keep`."""
    null = os.open(os.devnull, os.O_RDWR)
    for standard in (0, 1, 2):
        os.dup2(null, standard)
    low = 3
    for handle in sorted(keep):
        os.closerange(low, handle)
        low = handle + 1
    os.closerange(low, _most_open())


def _most_open() -> int:
    most = resource.getrlimit(resource.RLIMIT_NOFILE)[1]
    return 1 << 16 if most == resource.RLIM_INFINITY else min(most, 1 << 20)
