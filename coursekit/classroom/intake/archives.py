"""Reads files that people hand in, loose, in folders or in zips, without unpacking anything.

A zip is refused as a whole if it holds anything that a student's folder would not: paths that lead
out of it, links, locked members, archives in the archive, more files or bytes than honest work has,
or a compression that only a trap has. What its own list says is checked first, and no member is
read beyond the largest size allowed.
"""

from __future__ import annotations

import stat
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, open_regular, read_regular
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import Places, has_ending, is_among, key, shown
from coursekit.classroom.register.trees import DEEPEST, is_folder, walk

MOST_MEMBERS = 5_000
LARGEST_TOTAL = 400_000_000  # bytes, unpacked
LARGEST_LIST = 20_000_000  # bytes of an archive's own list of what it holds
LONGEST_PART = 255  # bytes of a folder's or file's name; no disk allows more
LARGEST_RATIO = 200  # unpacked to packed, of a member of a megabyte or more
_ARCHIVES = (".zip", ".tar", ".tgz", ".gz", ".bz2", ".xz", ".7z", ".rar", ".zst")
_NOISE = {"__MACOSX", ".ipynb_checkpoints", "__pycache__", ".venv", ".git"}
_LARGEST = max(LARGEST_NOTEBOOK, 20_000_000)


class ArchiveError(ValueError):
    """An archive that is not opened; the message says what in it is wrong."""


@dataclass(frozen=True)
class FoundFile:
    """A file that was handed in: its place among the others, when it was changed, how to read it.

    `parts` are the names of the folders and the archive that it lies in, and last its own name.
    """

    parts: tuple[str, ...]
    changed: datetime | None
    read: Callable[[], bytes | None]

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.parts[-1]

    def __str__(self) -> str:
        return _said(self.parts)


class ArchiveReader:
    """Reads members of archives; the last archive stays open, so that its list is read once."""

    def __init__(self) -> None:
        self._path: Path | None = None
        self._archive: zipfile.ZipFile | None = None
        self._file: BinaryIO | None = None

    def __enter__(self) -> ArchiveReader:
        return self

    def __exit__(self, *error: object) -> None:
        for one in (self._archive, self._file):
            if one is not None:
                one.close()
        self._path = self._archive = self._file = None

    def opened(self, path: Path) -> zipfile.ZipFile:
        """Return the zip at `path`; ArchiveError if its list is far too long for honest work."""
        if self._archive is None or self._path != path:
            self.__exit__()
            self._file = open_regular(path)
            if self._file is None:
                raise ArchiveError("it is no regular file, so it is not opened")
            _refuse_list(self._file)
            self._archive, self._path = zipfile.ZipFile(self._file), path
        return self._archive

    def read(self, path: Path, info: zipfile.ZipInfo) -> bytes | None:
        """Return a member's content, or None if it can't be read or is too large."""
        data: bytes | None = None
        with one_piece(lambda why: None), self.opened(path).open(info) as file:
            data = file.read(_LARGEST + 1)
        return data if data is not None and len(data) <= _LARGEST else None


def _refuse_list(file: BinaryIO) -> None:
    """Refuse a zip whose list of files is far too long for honest work, before the list is read.

    The length of the list stands in the zip's last 22 bytes before its comment; for a large zip it
    stands in the record before them (PKWARE's APPNOTE, 4.3.14 to 4.3.16, from memory).
    """
    size = file.seek(0, 2)
    file.seek(max(0, size - 98 - 0xFFFF))
    tail = file.read()
    end = len(tail) - 22
    if tail[end : end + 4] != b"PK\x05\x06" or tail[-2:] != b"\0\0":
        end = tail.rfind(b"PK\x05\x06")
    length = tail[end + 12 : end + 16]
    if tail[end - 20 : end - 16] == b"PK\x06\x07":
        length = tail[end - 36 : end - 28]
    if end >= 0 and int.from_bytes(length, "little") > LARGEST_LIST:
        raise ArchiveError(f"its list of files may have at most {LARGEST_LIST // 10**6} MB")


def files(path: Path, reader: ArchiveReader) -> Iterator[FoundFile | ArchiveError]:
    """Yield every file at `path`, and an error for each one that is refused.

    `path` is a file, a zip, or a folder of these. Links are not followed. Files that operating
    systems and programs leave behind are passed over.
    """
    folder = is_folder(path)
    top = (path.resolve().name,) if folder else ()
    for one in walk(path, _is_noise):
        inside = one.relative_to(path).parts if folder else (path.name,)
        parts = (*top, *inside)
        troubles: list[str] = []
        with one_piece(troubles.append):
            yield from _found(one, parts, reader)
        yield from (ArchiveError(f"{_said(parts)}: {why}") for why in troubles)


def _is_noise(name: str) -> bool:
    return is_among(name, _NOISE) or name.startswith("._")


def _is_archive(name: str) -> bool:
    return has_ending(name, _ARCHIVES)


def _said(parts: tuple[str, ...]) -> str:
    """Return a path as it is printed, without its middle if it is long."""
    text = shown("/".join(parts))
    return text if len(text) <= 200 else f"{text[:80]} … {text[-80:]}"


def _found(
    path: Path, parts: tuple[str, ...], reader: ArchiveReader
) -> list[FoundFile | ArchiveError]:
    if path.is_symlink():
        cure = " Name what it points to." if len(parts) == 1 else ""
        return [ArchiveError(f"{_said(parts)}: a link is not followed.{cure}")]
    if path.is_dir():
        why = f"a folder is gone into at most {DEEPEST} deep, and where it can be read"
        return [ArchiveError(f"{_said(parts)}: {why}. Take in what lies in it by itself.")]
    if _is_archive(path.name):
        return _opened(path, parts, reader)
    return [_loose(path, parts)] if path.is_file() else []


def _loose(path: Path, parts: tuple[str, ...]) -> FoundFile:
    changed = None
    with suppress(OSError, ValueError, OverflowError):
        changed = datetime.fromtimestamp(path.stat().st_mtime)
    return FoundFile(parts, changed, lambda: read_regular(path, _LARGEST))


def _opened(
    path: Path, parts: tuple[str, ...], reader: ArchiveReader
) -> list[FoundFile | ArchiveError]:
    """Return the files in an archive, or the one error with which it is refused."""
    try:
        if not has_ending(path.name, (".zip",)):
            raise ArchiveError(
                "only zip archives are opened. Unpack it, look at it, take in the folder"
            )
        return list(_members(path, parts, reader))
    except ArchiveError as error:
        return [ArchiveError(f"{_said(parts)}: {error}.")]
    except Exception as error:  # however an archive is broken, the rest goes on
        why = f"the zip does not read ({shown(str(error))[:200]}). Ask for it again."
        return [ArchiveError(f"{_said(parts)}: {why}")]


def _members(path: Path, above: tuple[str, ...], reader: ArchiveReader) -> Iterator[FoundFile]:
    listed = reader.opened(path).infolist()
    _refuse(listed)
    for info in listed:
        parts = PurePosixPath(info.filename.replace("\\", "/")).parts
        if info.is_dir() or any(map(_is_noise, parts)):
            continue
        yield FoundFile((*above, *parts), _changed(info), _reader(reader, path, info))


def _refuse(listed: list[zipfile.ZipInfo]) -> None:
    """Raise ArchiveError for the first thing that a student's folder would not hold."""
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
    places = Places()
    for info in listed:
        if why := _fault(info, places):
            name = shown(info.filename)[:80]
            raise ArchiveError(f"it is not opened, for '{name}' in it {why}")


def _fault(info: zipfile.ZipInfo, places: Places) -> str:
    """Return what is wrong with a member, or ""."""
    name = info.filename.replace("\\", "/")
    parts = name.rstrip("/").split("/")
    kind = stat.S_IFMT(info.external_attr >> 16)
    if name.startswith("/") or ":" in parts[0] or "\0" in info.orig_filename:
        return "has a path from the root of a disk"
    if not all(map(key, parts)):  # "", ".", "..", and what Windows takes for these
        return "leads out of the archive"
    if len(parts) > DEEPEST:
        return f"lies more than {DEEPEST} folders deep"
    if any(len(part.encode("utf-8", "replace")) > LONGEST_PART for part in parts):
        return f"has a name longer than the {LONGEST_PART} bytes of a disk"
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
        return "is a link or a device"
    if info.flag_bits & 0x1:
        return "is locked with a password"
    if clash := places.clash(parts, folder=info.is_dir()):
        return clash
    if _is_archive(parts[-1]):
        return "is an archive itself; unpack the outer one and take in the folder"
    if info.file_size >= 1_000_000 and info.file_size > LARGEST_RATIO * max(info.compress_size, 1):
        return "unpacks to far more than it holds"
    return ""


def _changed(info: zipfile.ZipInfo) -> datetime | None:
    try:
        return datetime(*info.date_time)
    except ValueError:
        return None


def _reader(reader: ArchiveReader, path: Path, info: zipfile.ZipInfo) -> Callable[[], bytes | None]:
    return lambda: reader.read(path, info)
