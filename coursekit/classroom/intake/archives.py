"""Files that people hand in, read with care: loose, in folders, in zips; nothing is unpacked.

A zip is refused whole where anything in it is not what a student's folder would hold: paths that
lead out of it, links, locked members, archives in the archive, more files or bytes than work has,
or a compression that only a trap has. What its own list says is checked first, what comes out is
held to it.
"""

from __future__ import annotations

import stat
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath

from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular

MOST_MEMBERS = 5_000
LARGEST_TOTAL = 400_000_000  # bytes, unpacked
LARGEST_RATIO = 200  # unpacked to packed, of a member of a megabyte or more
_ARCHIVES = {".zip", ".tar", ".tgz", ".gz", ".bz2", ".xz", ".7z", ".rar", ".zst"}
_NOISE = {"__MACOSX", ".ipynb_checkpoints", "__pycache__", ".venv", ".git"}
_LARGEST = max(LARGEST_NOTEBOOK, 20_000_000)


class ArchiveError(ValueError):
    """An archive that is not opened; the message says what in it is wrong."""


@dataclass(frozen=True)
class FoundFile:
    """A file that was handed in: its place among the others, when it was changed, how to read it.

    `parts` are the names of the folders it lies in, the archive's own among them, and last its
    name.
    """

    parts: tuple[str, ...]
    changed: datetime | None
    read: Callable[[], bytes | None]

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.parts[-1]

    def __str__(self) -> str:
        return "/".join(self.parts)


def files(path: Path) -> Iterator[FoundFile | ArchiveError]:
    """Yield every file at `path`, a file, a zip or a folder of such; an error for each refused one.

    Links are not followed. Files that systems leave behind are passed over.
    """
    if path.is_symlink():
        yield ArchiveError(f"{path.name}: a link is not followed. Name what it points to.")
    elif path.is_dir():
        yield from _in_folder(path, (path.resolve().name,))
    elif path.suffix.lower() in _ARCHIVES:
        yield from _opened(path, ())
    elif path.is_file():
        yield _loose(path, ())


def _in_folder(folder: Path, above: tuple[str, ...]) -> Iterator[FoundFile | ArchiveError]:
    for path in sorted(folder.iterdir()):
        if path.name in _NOISE or path.name.startswith("._"):
            continue
        if path.is_symlink():
            yield ArchiveError(f"{'/'.join((*above, path.name))}: a link is not followed.")
        elif path.is_dir():
            yield from _in_folder(path, (*above, path.name))
        elif path.suffix.lower() in _ARCHIVES:
            yield from _opened(path, above)
        elif path.is_file():
            yield _loose(path, above)


def _loose(path: Path, above: tuple[str, ...]) -> FoundFile:
    changed = datetime.fromtimestamp(path.stat().st_mtime)
    return FoundFile((*above, path.name), changed, lambda: read_regular(path, _LARGEST))


def _opened(path: Path, above: tuple[str, ...]) -> list[FoundFile | ArchiveError]:
    """Return the files in an archive, or the one error that it is refused with."""
    name = "/".join((*above, path.name))
    try:
        if path.suffix.lower() != ".zip":
            raise ArchiveError(
                "only zip archives are opened. Unpack it, look at it, take in the folder"
            )
        return list(_members(path, (*above, path.name)))
    except ArchiveError as error:
        return [ArchiveError(f"{name}: {error}.")]
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        return [ArchiveError(f"{name}: the zip does not read ({error}). Ask for it again.")]


def _members(path: Path, above: tuple[str, ...]) -> Iterator[FoundFile]:
    with zipfile.ZipFile(path) as archive:
        listed = archive.infolist()
    _refuse(listed)
    for info in listed:
        parts = PurePosixPath(info.filename.replace("\\", "/")).parts
        if info.is_dir() or _NOISE & set(parts) or parts[-1].startswith("._"):
            continue
        yield FoundFile((*above, *parts), _changed(info), _reader(path, info))


def _refuse(listed: list[zipfile.ZipInfo]) -> None:
    """Raise ArchiveError for the first thing that an honest folder would not hold."""
    if len(listed) > MOST_MEMBERS:
        raise ArchiveError(
            f"an archive may hold at most {MOST_MEMBERS} files; this one has {len(listed)}. Unpack "
            "it, look at it, take in the folder"
        )
    total = sum(info.file_size for info in listed)
    if total > LARGEST_TOTAL:
        raise ArchiveError(
            f"unpacked it may have at most {LARGEST_TOTAL // 10**6} MB; it says "
            f"{total / 1e6:.0f} MB"
        )
    seen: set[str] = set()
    for info in listed:
        if why := _fault(info, seen):
            shown = "".join(c if c.isprintable() else "?" for c in info.filename)[:80]
            raise ArchiveError(f"it is not opened, for '{shown}' in it {why}")


def _fault(info: zipfile.ZipInfo, seen: set[str]) -> str:
    """Return what is wrong with a member, "" for nothing."""
    name = info.filename.replace("\\", "/")
    parts = name.rstrip("/").split("/")
    kind = stat.S_IFMT(info.external_attr >> 16)
    folded = name.casefold()
    twice = folded in seen
    seen.add(folded)
    if name.startswith("/") or ":" in parts[0] or "\0" in info.orig_filename:
        return "has a path from the root of a disk"
    if ".." in parts or "" in parts or "." in parts:
        return "leads out of the archive"
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
        return "is a link or a device"
    if info.flag_bits & 0x1:
        return "is locked with a password"
    if twice:
        return "is there twice"
    if PurePosixPath(name).suffix.lower() in _ARCHIVES:
        return "is an archive itself; unpack the outer one and take in the folder"
    if info.file_size >= 1_000_000 and info.file_size > LARGEST_RATIO * max(info.compress_size, 1):
        return "unpacks to far more than it holds"
    return ""


def _changed(info: zipfile.ZipInfo) -> datetime | None:
    try:
        return datetime(*info.date_time)
    except ValueError:
        return None


def _reader(path: Path, info: zipfile.ZipInfo) -> Callable[[], bytes | None]:
    def read() -> bytes | None:
        try:
            with zipfile.ZipFile(path) as archive, archive.open(info) as file:
                data = file.read(_LARGEST + 1)
        except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError, EOFError):
            return None
        return data if len(data) <= _LARGEST else None

    return read
