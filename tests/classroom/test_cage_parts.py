"""Parts of the cage against the kernel's own headers, and the control group against a folder."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from coursekit.classroom.running.cage import cgroup, kernel, landlock, seccomp
from tests.tools import lack

# Linux user-space headers (Debian linux-libc-dev): the kernel's own lists of call numbers
HEADERS = (
    Path("/usr/include/x86_64-linux-gnu/asm/unistd_64.h"),
    Path("/usr/include/asm-generic/unistd.h"),
)
CALLS = {
    **kernel.NUMBERS,
    **seccomp.REFUSED,
    **seccomp.FORKS,
    **seccomp.TO_A_PROCESS,
    **seccomp.TO_OTHERS,
    "fcntl": seccomp.FCNTL,
    "clone": seccomp.CLONE,
    "clone3": seccomp.CLONE3,
}


@pytest.mark.parametrize("machine", [0, 1], ids=["x86_64", "aarch64"])
def test_numbers_of_kernel_calls_are_those_of_the_headers(machine):
    if not HEADERS[machine].exists():
        lack(f"{HEADERS[machine]} is not installed (linux-libc-dev)")
    text = HEADERS[machine].read_text()
    published = {n: int(v) for n, v in re.findall(r"#define __NR(?:3264)?_(\w+)\s+(\d+)", text)}
    known = {name: pair[machine] for name, pair in CALLS.items()}
    new = {n for n in known if n not in published and known[n] > 440}  # headers may be older
    for name, number in known.items():
        if name not in new:
            assert published.get(name, -1) == number, name


def runs(code: bytes, number: int, argument: int, arch: int) -> int:
    """Return what the filter answers: a reader of classic BPF's five steps, as seccomp(2) tells them."""
    import struct

    steps = list(struct.iter_unpack("=HBBI", code))
    data = {0: number, 4: arch, 16: argument, 24: argument}
    at, held = 0, 0
    while True:
        what, yes, no, value = steps[at]
        at += 1
        if what == 0x20:
            held = data[value]
        elif what == 0x06:
            return value
        else:
            holds = {0x15: held == value, 0x35: held >= value, 0x45: bool(held & value)}[what]
            at += yes if holds else no


X86, ARM, ALLOW, KILL = 0xC000003E, 0xC00000B7, 0x7FFF0000, 0x80000000
EPERM, ENOSYS = 0x00050001, 0x00050026


@pytest.mark.parametrize(
    ("own", "number", "argument", "answer"),
    [
        (True, 0, 0, ALLOW),  # read
        (True, 41, 2, EPERM),  # socket
        (True, 101, 0, EPERM),  # ptrace
        (True, 57, 0, ALLOW),  # fork
        (False, 57, 0, EPERM),
        (True, 56, 17, ALLOW),  # clone, a process
        (False, 56, 17, EPERM),
        (False, 56, 0x3D0F00, ALLOW),  # clone, the flags of pthread_create
        (True, 56, 0x10000000 | 17, EPERM),  # clone into a new user namespace
        (False, 56, 0x10000000 | 0x3D0F00, EPERM),
        (True, 435, 0, ENOSYS),  # clone3
        (True, 62, 1, ALLOW),  # kill
        (False, 62, 1, EPERM),
        (False, 62, 4711, ALLOW),  # kill itself
        (False, 234, 4711, ALLOW),  # tgkill within itself
        (False, 200, 4711, EPERM),  # tkill
        (False, 62, 0xFFFFFFFF, EPERM),  # kill everything
        (False, 302, 0, ALLOW),  # prlimit of itself
        (False, 302, 99, EPERM),
        (True, 302, 99, ALLOW),  # in a PID namespace there is no other
        (False, 72, 4, ALLOW),  # fcntl: F_SETFL
        (False, 72, 8, EPERM),  # fcntl: F_SETOWN
        (True, 0x40000000 | 1, 0, KILL),  # the 32-bit interface
    ],
)
def test_the_filter_answers_each_call(own, number, argument, answer):
    assert runs(seccomp.program(0, own, 4711), number, argument, X86) == answer


def test_the_filter_kills_calls_of_another_machine():
    assert runs(seccomp.program(0, True, 1), 0, 0, ARM) == KILL
    assert runs(seccomp.program(1, True, 1), 198, 0, ARM) == EPERM  # socket on 64-bit ARM
    assert runs(seccomp.program(1, True, 1), 0, 0, X86) == KILL


def test_landlock_is_off_where_there_is_no_linux(monkeypatch):
    monkeypatch.setattr(kernel, "NUMBERS", {})
    assert landlock.version() == 0


def group_below(root: Path, controllers: str) -> Path:
    own = root / "user.slice/session"
    own.mkdir(parents=True)
    (root / "user.slice/cgroup.subtree_control").write_text(controllers)
    return own


def test_a_group_handed_down_bounds_memory_and_processes(tmp_path, monkeypatch):
    """Against a plain folder: files and words as cgroup v2's documentation (admin-guide) has them."""
    own = group_below(tmp_path, "cpu memory pids\n")
    monkeypatch.setattr(cgroup, "_own", lambda root: own)
    group = cgroup.open_group(1e9, 64, tmp_path)
    assert group is not None
    assert group.parent == own.parent
    assert (group / "memory.max").read_text() == str(10**9 + cgroup.LIBRARIES)
    assert (group / "pids.max").read_text() == "72"
    assert (group / "cgroup.procs").read_text() == str(os.getpid())


@pytest.mark.parametrize("controllers", ["", "cpu io", "memory"])
def test_no_group_where_none_is_handed_down(tmp_path, monkeypatch, controllers):
    own = group_below(tmp_path, controllers)
    monkeypatch.setattr(cgroup, "_own", lambda root: own)
    assert cgroup.open_group(1e9, 64, tmp_path) is None
    assert not list(own.parent.glob("coursekit-*"))
