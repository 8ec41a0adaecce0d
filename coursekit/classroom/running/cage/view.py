"""What a student's process sees of the disk: Python and its libraries, read-only, and one scratch.

The view is a root folder of its own, made once for each warm process. Each notebook gets a new
scratch folder, empty, limited in size and always at the same place, so that paths tell nothing.
"""

from __future__ import annotations

import os
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path

import coursekit
from coursekit.classroom.running.cage import kernel

SCRATCH = Path("/bench")
_SYSTEM = ("/usr", "/bin", "/sbin", "/lib", "/lib32", "/lib64", "/nix/store", "/gnu/store")
_SETTINGS = (
    "/etc/alternatives",
    "/etc/fonts",
    "/etc/ld.so.cache",
    "/etc/ld.so.conf",
    "/etc/ld.so.conf.d",
    "/etc/localtime",
    "/etc/mime.types",
)
DEVICES = ("/dev/null", "/dev/zero", "/dev/full", "/dev/random", "/dev/urandom")


def readable() -> tuple[Path, ...]:
    """Return the files and folders that a notebook needs; none lies inside another of them."""
    wanted = dict.fromkeys(p for p in _wanted() if p.exists())
    return tuple(p for p in wanted if not any(q in p.parents for q in wanted if not q.is_symlink()))


def _wanted() -> Iterator[Path]:
    yield from (Path(p) for p in (*_SYSTEM, *_SETTINGS))
    for place in _python_places():
        if place not in (Path("/"), Path.home()):
            yield place.resolve()
            yield place


def _python_places() -> Iterator[Path]:
    """Yield the folders of Python, its libraries and this package, and nothing beside them."""
    for prefix in (sys.base_prefix, sys.prefix, sys.exec_prefix):
        yield Path(prefix)
    for name in ("stdlib", "platstdlib", "purelib", "platlib"):
        yield Path(sysconfig.get_path(name))
    yield from (Path(p) for p in sys.path if Path(p).name in ("site-packages", "dist-packages"))
    yield Path(coursekit.__file__).parent


def build(root: Path, home: Path) -> None:
    """Make `root`, an empty folder, the root of the file system, with the view in it.

    `home`, the warm process's own folder, is the one place in it that can be written. Needs a mount
    namespace of its own.
    """
    kernel.mount("none", "/", "", kernel.MS_REC | kernel.MS_PRIVATE)
    kernel.mount("tmpfs", str(root), "tmpfs", kernel.MS_NOSUID | kernel.MS_NODEV, "mode=755")
    for path in readable():
        _show(path, root, read_only=True)
    for device in DEVICES:
        _show(Path(device), root, read_only=False)
    _show(home, root, read_only=False, below=False)
    for name in (SCRATCH, Path("/proc"), Path("/tmp"), Path("/old")):
        _inside(root, name).mkdir(parents=True, exist_ok=True)
    _mount_proc(str(root / "proc"))
    os.chdir(root)
    kernel.pivot_root(".", "old")
    os.chdir("/")
    kernel.unmount("/old")
    Path("/old").rmdir()
    kernel.make_read_only("/", below=False)


def _mount_proc(target: str) -> None:
    """Mount the PID namespace's own /proc, or the old one if the kernel refuses a new one."""
    try:
        flags = kernel.MS_NOSUID | kernel.MS_NODEV | kernel.MS_NOEXEC
        kernel.mount("proc", target, "proc", flags)
    except OSError:
        kernel.mount("/proc", target, "", kernel.MS_BIND | kernel.MS_REC)


def _inside(root: Path, path: Path) -> Path:
    return root / path.relative_to("/")


def _show(path: Path, root: Path, *, read_only: bool, below: bool = True) -> None:
    """Make `path` appear at the same place below `root`; a link appears as a link."""
    target = _inside(root, path)
    target.parent.mkdir(parents=True, exist_ok=True)
    if path.is_symlink():
        if not target.is_symlink():
            target.symlink_to(path.readlink())
        return
    if path.is_dir():
        target.mkdir(exist_ok=True)
    else:
        target.touch()
    kernel.mount(str(path), str(target), "", kernel.MS_BIND | (kernel.MS_REC if below else 0))
    if read_only:
        kernel.make_read_only(str(target))


def fresh_scratch(size: int, owner: int, group: int, home: Path) -> None:
    """Mount an empty folder of at most `size` bytes as the scratch folder; hide `home` and /proc.

    The notebook's process needs a mount namespace of its own.
    """
    flags = kernel.MS_NOSUID | kernel.MS_NODEV
    options = f"size={size},nr_inodes=4096,mode=700,uid={owner},gid={group}"
    kernel.mount("tmpfs", str(SCRATCH), "tmpfs", flags, options)
    for hidden in ("/proc", str(home)):
        # an empty folder is laid over it, because unmounting it would cost milliseconds
        kernel.mount("/tmp", hidden, "", kernel.MS_BIND)
