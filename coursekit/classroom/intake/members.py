"""What an archive may hold: checks of its own list and of its members, before any of it is read."""

from __future__ import annotations

import gzip
import io
import stat
import tarfile
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from typing import BinaryIO

from coursekit.classroom.register.outside_names import Places, key, shown
from coursekit.classroom.register.trees import DEEPEST

MOST_MEMBERS = 5_000
LARGEST_TOTAL = 400_000_000  # bytes, unpacked
LARGEST_LIST = 20_000_000  # bytes of an archive's own list of what it holds
LONGEST_PART = 255  # bytes of a folder's or file's name; no disk allows more
LARGEST_RATIO = 200  # unpacked to packed, of a member of a megabyte or more


class ArchiveError(ValueError):
    """An archive that is not opened; the message says what in it is wrong."""


@dataclass
class Budget:
    """How many files and bytes may still be found in one thing that was given."""

    files: int = MOST_MEMBERS
    bytes: int = LARGEST_TOTAL

    def spend(self, files: int, bytes: int) -> None:
        """Take these away; ArchiveError if there are not so many left."""
        if files > self.files:
            raise ArchiveError(
                f"an archive may hold at most {MOST_MEMBERS} files; this one has {files}. Unpack "
                "it, look at it, take in the folder"
            )
        if bytes > self.bytes:
            raise ArchiveError(
                f"unpacked it may have at most {LARGEST_TOTAL // 10**6} MB; it says "
                f"{bytes / 1e6:.0f} MB"
            )
        self.files -= files
        self.bytes -= bytes


def open_zip(file: BinaryIO) -> zipfile.ZipFile:
    """Return an open zip; ArchiveError if it is cut off, or if its list is far too long.

    The length of the list stands in the zip's last 22 bytes before its comment; for a large zip it
    stands in the record before them (PKWARE's APPNOTE, 4.3.14 to 4.3.16, from memory).
    """
    size = file.seek(0, 2)
    file.seek(max(0, size - 98 - 0xFFFF))
    tail = file.read()
    file.seek(0)
    end = len(tail) - 22
    if tail[end : end + 4] != b"PK\x05\x06" or tail[-2:] != b"\0\0":
        end = tail.rfind(b"PK\x05\x06")
    if end < 0 and file.read(4) == b"PK\x03\x04":
        raise ArchiveError("it is cut off: the zip ends before its list of files. Ask for it again")
    length = tail[end + 12 : end + 16]
    if tail[end - 20 : end - 16] == b"PK\x06\x07":
        length = tail[end - 36 : end - 28]
    if end >= 0 and int.from_bytes(length, "little") > LARGEST_LIST:
        raise ArchiveError(f"its list of files may have at most {LARGEST_LIST // 10**6} MB")
    return zipfile.ZipFile(file)


def unpacked_tar(data: bytes, budget: Budget) -> bytes:
    """Return a tar archive without its gzip; ArchiveError if that is more than honest work has."""
    if not data.startswith(b"\x1f\x8b"):
        return data
    most = min(budget.bytes, max(1_000_000, LARGEST_RATIO * len(data)))
    with gzip.open(io.BytesIO(data)) as packed:
        found = packed.read(most + 1)
    if len(found) > most:
        raise ArchiveError("it unpacks to far more than it holds")
    return found


@dataclass(frozen=True)
class Member:
    """What an archive says of one of its members."""

    name: str
    folder: bool
    odd: bool  # a link, a device or the like
    locked: bool = False
    rooted: bool = False
    size: int = 0
    packed: int = 0

    @classmethod
    def of_zip(cls, info: zipfile.ZipInfo) -> Member:
        """Return what a zip's list says of a member."""
        kind = stat.S_IFMT(info.external_attr >> 16)
        return cls(
            name=info.filename.replace("\\", "/"),
            folder=info.is_dir(),
            odd=kind not in (0, stat.S_IFREG, stat.S_IFDIR),
            locked=bool(info.flag_bits & 0x1),
            rooted="\0" in info.orig_filename,
            size=info.file_size,
            packed=info.compress_size,
        )

    @classmethod
    def of_tar(cls, info: tarfile.TarInfo) -> Member:
        """Return what a tar archive says of a member."""
        name = info.name.removeprefix("./") or "folder"
        odd = not (info.isfile() or info.isdir()) or info.issparse()
        return cls(name, info.isdir(), odd)


def refuse(members: Iterable[Member]) -> None:
    """Raise ArchiveError for the first thing that a student's folder would not hold."""
    places = Places()
    for member in members:
        if why := _fault(member, places):
            raise ArchiveError(f"it is not opened, for '{shown(member.name)[:80]}' in it {why}")


def _fault(member: Member, places: Places) -> str:
    """Return what is wrong with a member, or ""."""
    parts = member.name.rstrip("/").split("/")
    if member.name.startswith("/") or ":" in parts[0] or member.rooted:
        return "has a path from the root of a disk"
    if not all(map(key, parts)):  # "", ".", "..", and what Windows takes for these
        return "leads out of the archive"
    if len(parts) > DEEPEST:
        return f"lies more than {DEEPEST} folders deep"
    if any(len(part.encode("utf-8", "replace")) > LONGEST_PART for part in parts):
        return f"has a name longer than the {LONGEST_PART} bytes of a disk"
    if member.odd:
        return "is a link or a device"
    if member.locked:
        return "is locked with a password"
    if clash := places.clash(parts, folder=member.folder):
        return clash
    if member.size >= 1_000_000 and member.size > LARGEST_RATIO * max(member.packed, 1):
        return "unpacks to far more than it holds"
    return ""
