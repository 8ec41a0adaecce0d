"""Reads files that people hand in, loose, in folders, archives and mails, unpacking nothing.

Every file is accounted for: it is found, passed over with the reason (what systems leave behind),
or refused with the reason. An archive is refused as a whole if it holds anything that a student's
folder would not: paths that lead out of it, links, locked members, more files or bytes than honest
work has, or a compression that only a trap has. What its own list says is checked first, and no
member is read beyond the largest size allowed. An archive in an archive is opened, because mail
programs make such, but none inside that one; the limits count over all of them together.
"""

from __future__ import annotations

import io
import tarfile
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from coursekit.classroom.intake import mails
from coursekit.classroom.intake.members import (
    MOST_MEMBERS,
    ArchiveError,
    Budget,
    Member,
    open_zip,
    refuse,
    unpacked_tar,
)
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, open_regular, read_regular
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import has_ending, is_among, shown
from coursekit.classroom.register.trees import DEEPEST, is_folder, walk

LARGEST_CARRIER = 60_000_000  # bytes of a mail, or of an archive that is read whole
MOST_ARCHIVES = 2  # archives within one another
MOST_MAILS = 3  # mails within one another
_ZIPS = (".zip",)
_TARS = (".tar", ".tar.gz", ".tgz")
_ARCHIVES = (".zip", ".tar", ".tgz", ".gz", ".bz2", ".xz", ".7z", ".rar", ".zst")
_MADE_BY = {
    "__MACOSX": "macOS adds it to an archive.",
    ".ipynb_checkpoints": "Jupyter makes it for itself.",
    "__pycache__": "Python makes it for itself.",
    ".venv": "The start files make it.",
    ".git": "A program makes it for itself.",
}
_OF_SYSTEMS = (".DS_Store", "Thumbs.db", "desktop.ini")
_LARGEST = max(LARGEST_NOTEBOOK, 20_000_000)
_OTHER = "only zip and tar.gz archives are opened. Unpack it, look at it, take in the folder"


@dataclass(frozen=True)
class FoundFile:
    """A file that was handed in: its place among the others, when it was changed, how to read it.

    `parts` are the names of the folders, archives and mails that it lies in, and last its own name.
    `read_up_to` returns its content, or None if it can't be read or has more bytes than given.
    `is_message` is set for the words of a mail.
    """

    parts: tuple[str, ...]
    changed: datetime | None
    read_up_to: Callable[[int], bytes | None] = field(compare=False)
    is_message: bool = False

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.parts[-1]

    def read(self) -> bytes | None:
        """Return its content, or None if it can't be read or is too large."""
        return self.read_up_to(_LARGEST)

    def __str__(self) -> str:
        return said(self.parts)


@dataclass(frozen=True)
class Stored:
    """A file that lies at `path` under a name of the kit's own, and how it was given.

    `parts` are the names of the folders that it lay in, and last its own name; `changed` is when it
    was changed, None if that is not known.
    """

    path: Path
    parts: tuple[str, ...]
    changed: datetime | None = None


@dataclass(frozen=True)
class Aside:
    """What is not work: passed over because a system makes it, or `refused`; and how many files."""

    parts: tuple[str, ...]
    why: str
    refused: bool = False
    count: int = 1

    def __str__(self) -> str:
        return said(self.parts)


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
            self._archive, self._path = open_zip(self._file), path
        return self._archive


def files(path: Path, reader: ArchiveReader) -> Iterator[FoundFile | Aside]:
    """Yield every file at `path`: found, or set aside with the reason.

    `path` is a file, an archive, a mail, or a folder of these. Links are not followed.
    """
    if not is_folder(path):
        return stored([Stored(path, (path.name,), _changed_at(path))], reader)
    top = path.resolve().name
    there = ((one, (top, *one.relative_to(path).parts)) for one in walk(path))
    return stored((Stored(one, parts, _changed_at(one)) for one, parts in there), reader)


def stored(some: Iterable[Stored], reader: ArchiveReader) -> Iterator[FoundFile | Aside]:
    """Yield what is in files of one place, under the names they were given, as `files` does."""
    noise: dict[tuple[str, ...], int] = {}
    for one in some:
        above = 0 if len(one.parts) == 1 else 1  # the folder that was given is meant
        if depth := _noise(one.parts[above:]):
            place = one.parts[: above + depth]
            noise[place] = noise.get(place, 0) + 1
            continue
        troubles: list[str] = []
        with one_piece(troubles.append):
            yield from _found(one, reader)
        yield from (Aside(one.parts, why, refused=True) for why in troubles)
    yield from _told_noise(noise)


def _told_noise(noise: dict[tuple[str, ...], int]) -> Iterator[Aside]:
    for parts, count in noise.items():
        why = next((w for name, w in _MADE_BY.items() if is_among(parts[-1], [name])), "")
        yield Aside(parts, why or "A system makes it for itself.", count=count)


def _noise(parts: tuple[str, ...]) -> int:
    """Return how many of the parts lead to what a system or program made for itself, or 0."""
    for depth, name in enumerate(parts, start=1):
        if is_among(name, (*_MADE_BY, *_OF_SYSTEMS)) or name.startswith("._"):
            return depth
    return 0


def is_archive(name: str) -> bool:
    """Whether a name is that of an archive, of whichever kind."""
    return has_ending(name, _ARCHIVES)


def is_opened(name: str) -> bool:
    """Whether a name is that of an archive which is opened."""
    return has_ending(name, (*_ZIPS, *_TARS))


def said(parts: tuple[str, ...]) -> str:
    """Return a path as it is printed, without its middle if it is long."""
    text = shown("/".join(parts))
    return text if len(text) <= 200 else f"{text[:80]} … {text[-80:]}"


def _found(one: Stored, reader: ArchiveReader) -> Iterable[FoundFile | Aside]:
    path, parts = one.path, one.parts
    if path.is_symlink():
        cure = " Name what it points to." if len(parts) == 1 else ""
        return [Aside(parts, f"A link is not followed.{cure}", refused=True)]
    if path.is_dir():
        why = f"A folder is gone into at most {DEEPEST} deep, and where it can be read."
        return [Aside(parts, f"{why} Take in what lies in it by itself.", refused=True)]
    if has_ending(parts[-1], _ZIPS):
        budget = Budget()
        return _opened(parts, lambda: _members(reader.opened, path, parts, budget), budget)
    if not path.is_file():
        return [Aside(parts, "It is no regular file, so it is not opened.", refused=True)]
    loose = FoundFile(parts, one.changed, lambda most: read_regular(path, most))
    return _unfolded(loose, Budget())


def _changed_at(path: Path) -> datetime | None:
    with suppress(OSError, ValueError, OverflowError):
        return datetime.fromtimestamp(path.stat().st_mtime)
    return None


def unfolded(one: FoundFile) -> Iterable[FoundFile | Aside]:
    """Return a file that came alone, or what is in it if it is an archive or a mail."""
    return _unfolded(one, Budget())


def _unfolded(
    one: FoundFile, budget: Budget, archives: int = 0, letters: int = 0
) -> Iterable[FoundFile | Aside]:
    """Return a file, or what is in it; it lies in so many `archives` and `letters` already."""
    if mails.is_mail(one.name):
        if letters == MOST_MAILS:
            return [Aside(one.parts, "Mails within mails are opened 3 deep.", refused=True)]
        return _opened(one.parts, lambda: _of_mail(one, budget), budget, archives, letters + 1)
    if not is_archive(one.name):
        return [one]
    if archives == MOST_ARCHIVES:
        why = (
            "It is an archive in an archive in another. Unpack the outer ones, take in the folder."
        )
        return [Aside(one.parts, why, refused=True)]
    return _opened(one.parts, lambda: _of_archive(one, budget), budget, archives + 1, letters)


def _opened(
    parts: tuple[str, ...],
    inside: Callable[[], Iterator[FoundFile | Aside]],
    budget: Budget,
    archives: int = 1,
    letters: int = 0,
) -> list[FoundFile | Aside]:
    """Return the files in an archive or a mail, or the one reason for which it is refused."""
    try:
        found = list(inside())
    except ArchiveError as error:
        why = str(error)
    except Exception as error:  # however an archive is broken, the rest goes on
        kind = (
            "mail"
            if mails.is_mail(parts[-1])
            else "zip"
            if has_ending(parts[-1], _ZIPS)
            else "archive"
        )
        why = f"the {kind} does not read ({shown(str(error))[:200]}). Ask for it again"
    else:
        if not found:
            return [Aside(parts, "Nothing is in it.", refused=True)]
        return [
            deeper
            for one in found
            for deeper in (
                [one] if isinstance(one, Aside) or one.is_message
                else _unfolded(one, budget, archives, letters)
            )
        ]  # fmt: skip
    return [Aside(parts, f"{why[0].upper()}{why[1:]}.", refused=True)]


def _of_archive(one: FoundFile, budget: Budget) -> Iterator[FoundFile | Aside]:
    if not is_opened(one.name):
        raise ArchiveError(_OTHER)
    data = one.read_up_to(LARGEST_CARRIER)
    if data is None:
        raise ArchiveError("it does not read, or is larger than 60 MB")
    if has_ending(one.name, _ZIPS):
        archive = open_zip(io.BytesIO(data))
        return _members(lambda path: archive, Path(), one.parts, budget)
    return _tarred(one, data, budget)


def _of_mail(one: FoundFile, budget: Budget) -> Iterator[FoundFile | Aside]:
    data = one.read_up_to(LARGEST_CARRIER)
    if data is None:
        raise ArchiveError("it does not read, or is larger than 60 MB")
    when, parts = mails.parts(data)
    budget.spend(len(parts), sum(len(part.data) for part in parts))
    for part in parts:
        reading = _from_memory(part.data)
        yield FoundFile((*one.parts, part.name), when, reading, part.is_message)


def _from_memory(data: bytes) -> Callable[[int], bytes | None]:
    return lambda most: data if len(data) <= most else None


def _members(
    opened: Callable[[Path], zipfile.ZipFile],
    path: Path,
    above: tuple[str, ...],
    budget: Budget,
) -> Iterator[FoundFile | Aside]:
    listed = opened(path).infolist()
    budget.spend(len(listed), sum(info.file_size for info in listed))
    refuse(Member.of_zip(info) for info in listed)
    noise: dict[tuple[str, ...], int] = {}
    for info in listed:
        parts = PurePosixPath(info.filename.replace("\\", "/")).parts
        if info.is_dir():
            continue
        if depth := _noise(parts):
            place = (*above, *parts[:depth])
            noise[place] = noise.get(place, 0) + 1
            continue
        yield FoundFile((*above, *parts), _changed(info), _reader(opened, path, info))
    yield from _told_noise(noise)


def _reader(
    opened: Callable[[Path], zipfile.ZipFile], path: Path, info: zipfile.ZipInfo
) -> Callable[[int], bytes | None]:
    def read(most: int) -> bytes | None:
        data: bytes | None = None
        with one_piece(lambda why: None), opened(path).open(info) as file:
            data = file.read(most + 1)
        return data if data is not None and len(data) <= most else None

    return read


def _changed(info: zipfile.ZipInfo) -> datetime | None:
    try:
        return datetime(*info.date_time)
    except ValueError:
        return None


def _tarred(one: FoundFile, data: bytes, budget: Budget) -> Iterator[FoundFile | Aside]:
    """Yield the files of a tar archive, which is held in memory as a whole."""
    data = unpacked_tar(data, budget)
    with tarfile.open(fileobj=io.BytesIO(data), mode="r:") as archive:
        listed = list(islice(archive, MOST_MEMBERS + 1))
        budget.spend(len(listed), len(data))
        refuse(map(Member.of_tar, listed))
        noise: dict[tuple[str, ...], int] = {}
        for info in listed:
            parts = PurePosixPath(info.name).parts
            if not info.isfile():
                continue
            if depth := _noise(parts):
                place = (*one.parts, *parts[:depth])
                noise[place] = noise.get(place, 0) + 1
                continue
            file = archive.extractfile(info)
            assert file is not None
            changed = None
            with suppress(OSError, ValueError, OverflowError):
                changed = datetime.fromtimestamp(info.mtime)
            yield FoundFile((*one.parts, *parts), changed, _from_memory(file.read()))
        yield from _told_noise(noise)
