"""Linux kernel calls that Python 3.11 does not offer: namespaces, mounts, rights, prctl."""

from __future__ import annotations

import ctypes
import os
import platform
import struct
import sys

# name → number on x86-64 and on 64-bit ARM (linux: arch/x86/entry/syscalls/syscall_64.tbl and
# include/uapi/asm-generic/unistd.h)
NUMBERS: dict[str, tuple[int, int]] = {
    "mount": (165, 40),
    "umount2": (166, 39),
    "pivot_root": (155, 41),
    "unshare": (272, 97),
    "setns": (308, 268),
    "capset": (126, 91),
    "sethostname": (170, 161),
    "prctl": (157, 167),
    "mount_setattr": (442, 442),
    "landlock_create_ruleset": (444, 444),
    "landlock_add_rule": (445, 445),
    "landlock_restrict_self": (446, 446),
}
MACHINES = {"x86_64": 0, "aarch64": 1}

NEW_MOUNTS, NEW_UTS, NEW_IPC = 0x00020000, 0x04000000, 0x08000000
NEW_USER, NEW_PIDS, NEW_NET = 0x10000000, 0x20000000, 0x40000000

MS_RDONLY, MS_NOSUID, MS_NODEV, MS_NOEXEC = 1, 2, 4, 8
MS_BIND, MS_REC, MS_PRIVATE = 0x1000, 0x4000, 0x40000
MNT_DETACH = 2
_AT_RECURSIVE, _AT_FDCWD = 0x8000, -100

_PR_SET_PDEATHSIG, _PR_CAPBSET_DROP, _PR_SET_CHILD_SUBREAPER = 1, 24, 36
_PR_SET_NO_NEW_PRIVS, _PR_CAP_AMBIENT, _PR_CAP_AMBIENT_CLEAR_ALL = 38, 47, 4
_CAPABILITY_VERSION_3 = 0x20080522
_MOST_CAPABILITIES = 64


def known() -> bool:
    """Whether the numbers of the kernel calls are known here for this machine."""
    return (
        sys.platform == "linux"
        and platform.machine() in MACHINES
        and sys.maxsize > 2**32
        and sys.byteorder == "little"
    )


_libc: ctypes.CDLL | None = None


def call(name: str, *args: int | bytes | ctypes.Array[ctypes.c_char] | None) -> int:
    """Return what the kernel call `name` returns; OSError if it fails."""
    global _libc
    if _libc is None:
        _libc = ctypes.CDLL(None, use_errno=True)
        _libc.syscall.restype = ctypes.c_long
    number = NUMBERS[name][MACHINES[platform.machine()]]
    wide = [ctypes.c_long(a) if isinstance(a, int) else a for a in args]
    result = int(_libc.syscall(ctypes.c_long(number), *wide))
    if result < 0:
        error = ctypes.get_errno()
        raise OSError(error, f"{name}: {os.strerror(error)}")
    return result


def unshare(flags: int) -> None:
    """Leave the namespaces in `flags` for new ones.

    A new PID namespace takes in only children that are forked from now on, not this process.
    """
    call("unshare", flags)


def enter(namespace: int, kind: int) -> None:
    """Enter the namespace that the open file `namespace` stands for; `kind` is its NEW_ flag."""
    call("setns", namespace, kind)


def mount(source: str, target: str, kind: str, flags: int, options: str = "") -> None:
    """Mount `source` of `kind` at `target`."""
    call("mount", source.encode(), target.encode(), kind.encode(), flags, options.encode())


def unmount(target: str) -> None:
    """Take the mount at `target` out of sight now, and away as soon as nothing uses it."""
    call("umount2", target.encode(), MNT_DETACH)


def pivot_root(new: str, old: str) -> None:
    """Make `new` the root folder and put the present root at `old`."""
    call("pivot_root", new.encode(), old.encode())


def set_host_name(name: str) -> None:
    """Give the machine another name; this process needs a UTS namespace of its own."""
    call("sethostname", name.encode(), len(name))


def make_read_only(target: str, *, below: bool = True) -> None:
    """Make the mount at `target` read-only and without set-uid; `below`, mounts in it as well."""
    attributes = struct.pack("=QQQQ", MS_RDONLY | MS_NOSUID, 0, 0, 0)
    call(
        "mount_setattr",
        _AT_FDCWD,
        target.encode(),
        _AT_RECURSIVE if below else 0,
        ctypes.create_string_buffer(attributes, len(attributes)),
        len(attributes),
    )


def die_with_parent(signal: int) -> None:
    """Have the kernel send `signal` to this process when its parent ends."""
    call("prctl", _PR_SET_PDEATHSIG, signal, 0, 0, 0)


def adopt_orphans() -> None:
    """Make this process the parent of every descendant whose own parent has ended."""
    call("prctl", _PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)


def no_new_privileges() -> None:
    """Let no program that this process starts have more rights than it has itself."""
    call("prctl", _PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)


def drop_capabilities() -> None:
    """Give up every right of an administrator, for good."""
    call("prctl", _PR_CAP_AMBIENT, _PR_CAP_AMBIENT_CLEAR_ALL, 0, 0, 0)
    for capability in range(_MOST_CAPABILITIES):
        try:
            call("prctl", _PR_CAPBSET_DROP, capability, 0, 0, 0)
        except OSError:
            break  # the kernel has no more of them, or does not let this process drop any
    header = struct.pack("=Ii", _CAPABILITY_VERSION_3, 0)
    none = struct.pack("=6I", 0, 0, 0, 0, 0, 0)
    call(
        "capset",
        ctypes.create_string_buffer(header, len(header)),
        ctypes.create_string_buffer(none, len(none)),
    )
