"""A control group (cgroup v2), if the system allows one: a hard limit on memory and processes."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

ROOT = Path("/sys/fs/cgroup")
LIBRARIES = 1_000_000_000  # bytes that the warm process itself may take


def open_group(memory: float, processes: float, root: Path = ROOT) -> Path | None:
    """Return a new group with this process in it, or None if the system does not allow one.

    The new group stands beside the one that this process was in, because a group that holds
    processes can't also divide memory among groups below it.
    """
    try:
        parent = _own(root).parent
        given = (parent / "cgroup.subtree_control").read_text(encoding="ascii").split()
        if not {"memory", "pids"} <= set(given):
            return None
        group = parent / f"coursekit-{os.getpid()}"
        group.mkdir()
    except (OSError, ValueError):
        return None
    try:
        (group / "memory.max").write_text(str(int(memory) + LIBRARIES), encoding="ascii")
        (group / "pids.max").write_text(str(int(processes) + 8), encoding="ascii")
        with contextlib.suppress(OSError):
            (group / "memory.swap.max").write_text("0", encoding="ascii")
        (group / "cgroup.procs").write_text(str(os.getpid()), encoding="ascii")
    except OSError:
        close_group(group)
        return None
    return group


def _own(root: Path) -> Path:
    """Return the folder of the group that this process is in; ValueError if there is none."""
    for line in Path("/proc/self/cgroup").read_text(encoding="ascii").splitlines():
        if line.startswith("0::/") and len(line) > len("0::/"):
            return root / line.removeprefix("0::/")
    raise ValueError("This process is in no group of version 2 that lies below another.")


def close_group(group: Path) -> None:
    """Remove the group; call it when its processes have ended."""
    with contextlib.suppress(OSError):
        group.rmdir()
