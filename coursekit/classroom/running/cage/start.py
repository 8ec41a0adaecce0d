"""Builds the cage round a warm process, and proves it by trying to get out before it is used."""

from __future__ import annotations

import contextlib
import os
import platform
import signal
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from coursekit.classroom.running.cage import kernel, landlock, locks, view
from coursekit.classroom.running.cage.layers import Layers
from coursekit.classroom.running.limits import Limits

_FIRST_USER = 2_000_000_000  # added to a pid it gives each warm process a user who owns nothing
_NOBODY = 65534
HOST_NAME = "bench"  # what a notebook finds the machine called
_SPACES = kernel.NEW_MOUNTS | kernel.NEW_NET | kernel.NEW_IPC | kernel.NEW_UTS


@dataclass(frozen=True)
class Cage:
    """How notebooks are locked in.

    `spaces` means namespaces of their own, `user_space` that a user namespace gives the right to
    make them, `rules` Landlock and `calls` the filter of kernel calls. `user` is the user that a
    notebook becomes, None to stay the same. `read` are the files and folders that it may read, and
    `own_pids` is the open file of the warm process's own PID namespace.
    """

    home: Path
    spaces: bool = False
    user_space: bool = False
    user: int | None = None
    rules: bool = False
    calls: bool = False
    own_pids: int = field(default=-1, compare=False)
    read: tuple[Path, ...] = ()

    def fork(self) -> int:
        """Return what os.fork does; with `spaces` the child is the first of a new PID namespace."""
        if not self.spaces:
            return os.fork()
        kernel.unshare(kernel.NEW_PIDS)
        child = os.fork()
        if child:
            kernel.enter(self.own_pids, kernel.NEW_PIDS)
        return child

    def lock(self, scratch: Path, limits: Limits) -> None:
        """Lock this process in; `scratch` becomes its working folder."""
        owner = os.getuid() if self.user is None else self.user
        group = os.getgid() if self.user is None else self.user
        counted = self.user is not None or self._counted_apart()
        locks.limit(limits, count_processes=counted, filtered=self.calls)
        if self.spaces:
            kernel.unshare(kernel.NEW_MOUNTS | kernel.NEW_IPC)
            view.fresh_scratch(int(limits.scratch), owner, group, self.home)
        os.chdir(scratch)
        if self.rules or self.calls or self.spaces:
            locks.become(self.user)
            locks.shut(
                scratch, self.read, own_processes=self.spaces, rules=self.rules, calls=self.calls
            )

    def _counted_apart(self) -> bool:
        """Whether the kernel counts the processes of a user namespace by themselves."""
        release = tuple(int(n) for n in platform.release().split("-")[0].split(".")[:2])
        return self.user_space and release >= (5, 14)

    def layers(self, missing: tuple[str, ...]) -> Layers:
        """Return the layers of this cage; `missing` says why stronger ones can't be built."""
        user = "dropped" if self.user is not None else "namespace" if self.user_space else "kept"
        rules = landlock.version() if self.rules else 0
        return Layers(self.spaces, user, rules, self.calls, missing=missing)

    def new_scratch(self) -> Path:
        """Return the scratch folder of the next notebook, empty."""
        if self.spaces:
            return view.SCRATCH
        scratch = Path(tempfile.mkdtemp(prefix="bench-", dir=self.home))
        if self.user is not None:
            self.home.chmod(0o711)  # that user may pass through the folder but not list it
            os.chown(scratch, self.user, self.user)
        return scratch


def enter(home: Path, mode: str, alive: int = -1) -> tuple[Cage, Layers]:
    """Return the strongest cage that holds here, built round this process, and its layers.

    `mode` is "spaces" (any cage, the strongest that holds), "rules" (one without namespaces) or
    "open" (none). The process must have one thread. `home` is its own folder, empty and writable.
    If namespaces are made, this process forks, and the caller's code goes on in the child, which is
    the first process of the new PID namespace. The parent only waits for it. It alone keeps the
    file `alive` open, so that file closes when everything in the namespace has ended.
    """
    if mode == "open" or not kernel.known():
        if kernel.known():
            kernel.adopt_orphans()
        return Cage(home), Layers.none()
    missing: list[str] = []
    with tempfile.NamedTemporaryFile(prefix="coursekit-sentinel-") as sentinel:
        os.fchmod(sentinel.fileno(), 0o644)
        for plan in (p for p in _plans(home) if mode == "spaces" or not p.spaces):
            trouble = _tried(plan, Path(sentinel.name))
            if not trouble:
                break
            missing.append(trouble)
        else:
            return Cage(home), Layers.none(tuple(missing))
    return _built(plan, alive), plan.layers(tuple(missing))


def _plans(home: Path) -> list[Cage]:
    """Return the cages to try, the strongest first."""
    rules = landlock.version() > 0
    users: list[int | None] = [None]
    if os.geteuid() == 0:
        users = [_FIRST_USER + os.getpid(), _NOBODY, None]
    base = Cage(home, rules=rules, calls=True, read=view.readable())
    plans = [replace(base, spaces=True, user=u) for u in users if os.geteuid() == 0]
    plans.append(replace(base, spaces=True, user_space=True))
    plans += [replace(p, calls=False) for p in plans]
    plans += [replace(base, user=u) for u in users if rules]
    return plans


def _built(plan: Cage, alive: int = -1) -> Cage:
    """Build `plan` round this process and return it, with its open files filled in."""
    if not plan.spaces:
        kernel.adopt_orphans()
        return plan
    _leave(plan.user_space)
    _go_on_as_first_process(alive)
    root = plan.home / "root"
    root.mkdir(exist_ok=True)
    view.build(root, plan.home)
    return replace(plan, own_pids=os.open("/proc/self/ns/pid", os.O_RDONLY | os.O_CLOEXEC))


def _leave(user_space: bool) -> None:
    user, group = os.getuid(), os.getgid()
    kernel.unshare(_SPACES | kernel.NEW_PIDS | (kernel.NEW_USER if user_space else 0))
    if user_space:
        Path("/proc/self/setgroups").write_text("deny", encoding="ascii")
        Path("/proc/self/uid_map").write_text(f"{user} {user} 1", encoding="ascii")
        Path("/proc/self/gid_map").write_text(f"{group} {group} 1", encoding="ascii")
    kernel.set_host_name(HOST_NAME)


def _go_on_as_first_process(alive: int) -> None:
    """Fork; the child returns, and the parent waits for it and exits with the same code."""
    child = os.fork()
    if child == 0:
        kernel.die_with_parent(signal.SIGKILL)
        if alive >= 0:
            os.close(alive)
        return
    _close_all_but(*(h for h in (alive,) if h >= 0))
    status = os.waitpid(child, 0)[1]
    os._exit(os.waitstatus_to_exitcode(status) & 0xFF)


def _close_all_but(*keep: int) -> None:
    with contextlib.suppress(OSError):
        locks.close_all_but(*keep)


def _tried(plan: Cage, sentinel: Path) -> str:
    """Return "" if the cage of `plan` can be built here and holds, else what is wrong with it."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        said = "ended without a word"
        try:
            os.close(reader)
            said = _proved(plan, sentinel, writer)
        except BaseException as error:
            said = f"{type(error).__name__}: {error}"
        finally:
            if said != "asked":
                os.write(writer, said.encode()[:500])
            os._exit(0)
    os.close(writer)
    with os.fdopen(reader, "rb") as file:
        text = file.read(500).decode(errors="replace")
    os.waitpid(child, 0)
    return "" if text == "holds" else f"{_name(plan)}: {text or 'ended without a word'}"


def _name(plan: Cage) -> str:
    parts = ["own namespaces" if plan.spaces else "Landlock and seccomp only"]
    parts += ["by a user namespace"] if plan.user_space else []
    parts += [f"as user {plan.user}"] if plan.user is not None else []
    return ", ".join(parts)


def _proved(plan: Cage, sentinel: Path, writer: int) -> str:
    """Return "asked" once a process locked in by `plan` has written its findings to `writer`."""
    cage = _built(plan)
    child = cage.fork()
    if child == 0:
        os.write(writer, _inside(cage, sentinel).encode()[:500])
        os._exit(0)
    os.waitpid(child, 0)
    return "asked"


def _inside(cage: Cage, sentinel: Path) -> str:
    try:
        scratch = cage.new_scratch()
        cage.lock(scratch, Limits())
        (scratch / "mine").write_text("1", encoding="ascii")
        Path(os.__file__).read_bytes()
        return _way_out(sentinel) or "holds"
    except BaseException as error:
        return f"{type(error).__name__}: {error}"


def _way_out(sentinel: Path) -> str:
    """Return the first thing that this process can do and a caged one must not, or ""."""
    import socket

    ways: dict[str, Callable[[], object]] = {
        "a file of another's can be read": sentinel.read_bytes,
        "a file can be written outside": lambda: sentinel.with_suffix(".x").write_bytes(b""),
        "the folder /tmp can be listed": lambda: next(Path("/tmp").iterdir()),
        "a network address can be reached": lambda: socket.create_connection(("127.0.0.1", 9), 0.2),
    }
    for say, way in ways.items():
        try:
            way()
        except (OSError, StopIteration):
            continue
        return say
    return ""
