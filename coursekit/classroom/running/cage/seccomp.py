"""A filter in the kernel that refuses the calls no lesson needs: sockets, tracing, mounts, keys."""

from __future__ import annotations

import ctypes
import errno
import os
import platform
import struct

from coursekit.classroom.running.cage import kernel

# name → number on x86-64 and on 64-bit ARM, or -1 if that machine has no such call
REFUSED: dict[str, tuple[int, int]] = {
    # network, also by way of io_uring; a pair of sockets reaches nobody, but its buffers are the
    # kernel's memory, which no limit of a process counts
    "socket": (41, 198),
    "socketpair": (53, 199),
    "io_uring_setup": (425, 425),
    "io_uring_enter": (426, 426),
    "io_uring_register": (427, 427),
    # other processes
    "ptrace": (101, 117),
    "process_vm_readv": (310, 270),
    "process_vm_writev": (311, 271),
    "pidfd_getfd": (438, 438),
    "process_madvise": (440, 440),
    "kcmp": (312, 272),
    # namespaces, mounts, files by handle
    "unshare": (272, 97),
    "setns": (308, 268),
    "mount": (165, 40),
    "umount2": (166, 39),
    "pivot_root": (155, 41),
    "chroot": (161, 51),
    "open_tree": (428, 428),
    "move_mount": (429, 429),
    "fsopen": (430, 430),
    "fsconfig": (431, 431),
    "fsmount": (432, 432),
    "fspick": (433, 433),
    "mount_setattr": (442, 442),
    "name_to_handle_at": (303, 264),
    "open_by_handle_at": (304, 265),
    "fanotify_init": (300, 262),
    "quotactl": (179, 60),
    # memory and messages that outlive a process or are not counted as its own
    "memfd_create": (319, 279),
    "memfd_secret": (447, 447),
    "shmget": (29, 194),
    "semget": (64, 190),
    "msgget": (68, 186),
    "mq_open": (240, 180),
    # the kernel's own business: keys, modules, clocks, host name
    "keyctl": (250, 219),
    "add_key": (248, 217),
    "request_key": (249, 218),
    "bpf": (321, 280),
    "userfaultfd": (323, 282),
    "perf_event_open": (298, 241),
    "kexec_load": (246, 104),
    "kexec_file_load": (320, 294),
    "init_module": (175, 105),
    "finit_module": (313, 273),
    "delete_module": (176, 106),
    "swapon": (167, 224),
    "swapoff": (168, 225),
    "reboot": (169, 142),
    "syslog": (103, 116),
    "acct": (163, 89),
    "personality": (135, 92),
    "settimeofday": (164, 170),
    "clock_settime": (227, 112),
    "adjtimex": (159, 171),
    "sethostname": (170, 161),
    "setdomainname": (171, 162),
    "vhangup": (153, 58),
    "iopl": (172, -1),
    "ioperm": (173, -1),
}
# starting processes and sending signals: refused where no PID namespace keeps them in
CLONE, CLONE3 = (56, 220), (435, 435)
FORKS = {"fork": (57, -1), "vfork": (58, -1)}
# these may reach the process itself, by its number or by 0
TO_A_PROCESS = {
    "kill": (62, 129),
    "tgkill": (234, 131),
    "prlimit64": (302, 261),
    "sched_setaffinity": (203, 122),
}
# these may not be used at all there: they reach other processes of the same user
TO_OTHERS = {
    "setpriority": (141, 140),
    "ioprio_set": (251, 30),
    "sched_setscheduler": (144, 119),
    "sched_setparam": (142, 118),
    "sched_setattr": (314, 274),
    "migrate_pages": (256, 238),
    "move_pages": (279, 239),
    "tkill": (200, 130),
    "pidfd_send_signal": (424, 424),
    "rt_sigqueueinfo": (129, 138),
    "rt_tgsigqueueinfo": (297, 240),
}
FCNTL = (72, 25)
_ARCHITECTURES = (0xC000003E, 0xC00000B7)  # AUDIT_ARCH_X86_64, AUDIT_ARCH_AARCH64
_X32 = 0x40000000  # calls of the x32 interface on x86-64 begin here
_NAMESPACES = 0x7E020000  # every CLONE_NEW… flag that clone takes
_THREAD = 0x00010000  # CLONE_THREAD

_LOAD, _EQUAL, _AT_LEAST, _ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_NUMBER, _ARCH, _ARGUMENT_0, _ARGUMENT_1 = 0, 4, 16, 24
_SET_OWNER = (8, 15)  # F_SETOWN, F_SETOWN_EX: have the kernel signal another process
_ALLOW, _KILL, _ERROR = 0x7FFF0000, 0x80000000, 0x00050000
_PR_SET_SECCOMP, _FILTER_MODE = 22, 2

Step = tuple[int, int, int, int]


def program(machine: int, own_processes: bool, pid: int) -> bytes:
    """Return the filter as the kernel reads it.

    With `own_processes` the student's code may start processes and signal them, because a PID
    namespace keeps them in. Without, it may start only threads, and it may signal or limit only
    itself, the process `pid`.
    """
    refuse, unknown = _ERROR | errno.EPERM, _ERROR | errno.ENOSYS
    steps: list[Step] = [
        (_LOAD, 0, 0, _ARCH),
        (_EQUAL, 1, 0, _ARCHITECTURES[machine]),
        (_RETURN, 0, 0, _KILL),
        (_LOAD, 0, 0, _NUMBER),
        (_AT_LEAST, 0, 1, _X32),
        (_RETURN, 0, 0, _KILL),
    ]
    groups = [REFUSED] if own_processes else [REFUSED, FORKS, TO_OTHERS]
    for numbers in (n[machine] for group in groups for n in group.values()):
        if numbers >= 0:
            steps += [(_EQUAL, 0, 1, numbers), (_RETURN, 0, 0, refuse)]
    # clone3 keeps its flags in memory, where no filter can look; if it is not there, the C library
    # uses clone instead
    steps += [(_EQUAL, 0, 1, CLONE3[machine]), (_RETURN, 0, 0, unknown)]
    steps += _clone(CLONE[machine], own_processes, refuse)
    if not own_processes:
        for number in (n[machine] for n in TO_A_PROCESS.values()):
            steps += _argument(number, _ARGUMENT_0, (0, pid), (_ALLOW, refuse))
        steps += _argument(FCNTL[machine], _ARGUMENT_1, _SET_OWNER, (refuse, _ALLOW))
    steps.append((_RETURN, 0, 0, _ALLOW))
    return b"".join(struct.pack("=HBBI", *step) for step in steps)


def _clone(number: int, own_processes: bool, refuse: int) -> list[Step]:
    always = (_AT_LEAST, 0, 1, 0)
    return [
        (_EQUAL, 0, 5, number),
        (_LOAD, 0, 0, _ARGUMENT_0),
        (_ANY_BIT, 2, 0, _NAMESPACES),
        always if own_processes else (_ANY_BIT, 0, 1, _THREAD),
        (_RETURN, 0, 0, _ALLOW),
        (_RETURN, 0, 0, refuse),
    ]


def _argument(
    number: int, place: int, two: tuple[int, int], answers: tuple[int, int]
) -> list[Step]:
    """Return the steps that answer call `number` by its argument at `place`.

    The answer is `answers[0]` if the argument is one of `two`, and `answers[1]` if it is not.
    """
    return [
        (_EQUAL, 0, 5, number),
        (_LOAD, 0, 0, place),
        (_EQUAL, 1, 0, two[0]),
        (_EQUAL, 0, 1, two[1]),
        (_RETURN, 0, 0, answers[0]),
        (_RETURN, 0, 0, answers[1]),
    ]


def install(own_processes: bool) -> None:
    """Put the filter on this process and all that it will start; call no_new_privileges first."""
    code = program(kernel.MACHINES[platform.machine()], own_processes, os.getpid())
    held = ctypes.create_string_buffer(code, len(code))
    head = struct.pack("=HxxxxxxQ", len(code) // 8, ctypes.addressof(held))
    kernel.call(
        "prctl", _PR_SET_SECCOMP, _FILTER_MODE, ctypes.create_string_buffer(head, len(head)), 0, 0
    )
