"""Which layers of the cage hold on this machine, and what that means in words."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Layers:
    """The layers that hold; `missing` says why a stronger cage could not be built.

    `spaces` means own namespaces for files, processes, network, messages and host name. `user` is
    "dropped" (another user, who owns nothing), "namespace" (the same user without any rights, in a
    user namespace) or "kept". `landlock` is its version, 0 for none. `calls` means the filter of
    kernel calls, and `group` a control group that limits memory and processes.
    """

    spaces: bool = False
    user: str = "kept"
    landlock: int = 0
    calls: bool = False
    group: bool = False
    missing: tuple[str, ...] = ()

    @classmethod
    def none(cls, missing: tuple[str, ...] = ()) -> Layers:
        """Return the layers of no cage at all."""
        return cls(missing=missing)

    @property
    def isolated(self) -> bool:
        """Whether enough holds for a notebook to be called isolated.

        That means: only a chosen few files can be read and one folder written, no network address
        can be reached, no process outside can be inspected or signalled, and no program started
        inside gets more rights. Namespaces give that; so does Landlock (files) together with the
        filter of calls (sockets, tracing, new processes, signals).
        """
        return self.spaces or (self.landlock > 0 and self.calls)

    def lines(self) -> list[str]:
        """Return what holds and what does not, a line each, for the terminal."""
        user = {"dropped": "another, who owns nothing", "namespace": "yours, without any rights"}
        return [
            f"own view of files, processes and network: {_yes(self.spaces)}",
            f"user: {user.get(self.user, 'yours')}",
            f"Landlock: {f'version {self.landlock}' if self.landlock else 'no'}",
            f"filter of kernel calls: {_yes(self.calls)}",
            f"control group for memory: {_yes(self.group)}",
            *(f"not possible here: {reason}" for reason in self.missing),
        ]


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"


def layers() -> Layers:
    """Return the layers that hold on this machine, found by building a cage and trying it."""
    if sys.platform == "win32":
        return Layers.none((WINDOWS,))
    with tempfile.TemporaryDirectory(prefix="coursekit-run-") as home:
        answer = subprocess.run(
            [
                sys.executable,
                "-I",
                "-m",
                "coursekit.classroom.running.warm_process",
                "layers",
                home,
            ],
            capture_output=True,
            text=True,
            check=False,
        )
    try:
        return from_json(json.loads(answer.stdout))
    except (ValueError, TypeError):
        return Layers.none((f"the trial ended without an answer: {answer.stderr[-300:]}",))


def to_json(found: Layers) -> dict[str, Any]:
    """Return `found` as a mapping that JSON can hold."""
    return asdict(found)


def from_json(facts: dict[str, Any]) -> Layers:
    """Return the layers that `to_json` was given."""
    return Layers(**{**facts, "missing": tuple(facts["missing"])})


WINDOWS = (
    "Windows has no fork, which the warm process needs to run each notebook apart. Install WSL "
    "(`wsl --install`) and run the same command inside it"
)
_MACOS = (
    "macOS has no namespaces, no Landlock and no seccomp. Mark in a Linux machine or container, or "
    "give --no-sandbox"
)
_LINUX = (
    "Any one of these is enough: Linux 5.13 or later with Landlock (`cat /sys/kernel/security/lsm` "
    "names it) and seccomp; or user namespaces (`sysctl -w user.max_user_namespaces=15000`; on "
    "Debian before 11 `sysctl -w kernel.unprivileged_userns_clone=1`; on Ubuntu from 24.04 "
    "`sysctl -w kernel.apparmor_restrict_unprivileged_userns=0`). In a container, run it with "
    "`--security-opt seccomp=unconfined`, or on the host"
)
NO_SANDBOX = (
    "NO SANDBOX: every notebook runs with your own rights. A student's code can read your files, "
    "the solutions and the gradebook, change or delete them, and use your network. Do this only "
    "with notebooks that you have read, or on a machine that holds nothing else."
)


def refusal(found: Layers) -> str:
    """Return the message that says why notebooks can't be run here, and the cure."""
    cure = {"win32": WINDOWS, "darwin": _MACOS}.get(sys.platform, _LINUX)
    tried = "".join(f"\n  tried {reason}" for reason in found.missing)
    return (
        "Students' notebooks must run where they can read and harm nothing; this machine offers no "
        f"such place. {cure}; --no-sandbox runs them without, with your own rights.{tried}"
    )


if __name__ == "__main__":
    print("\n".join(layers().lines()))
