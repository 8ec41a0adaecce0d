"""Takes in what students hand in, in files, folders or zips; keeps each version and submits one.

Whatever is wrong with one piece of it, the rest is taken in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import nbformat

from coursekit.classroom.bank.notebooks import NUMBERS_FILE, grade_id
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE
from coursekit.classroom.intake import kept_versions
from coursekit.classroom.intake.archives import ArchiveError, ArchiveReader, FoundFile, files
from coursekit.classroom.intake.owner import AS_YOU_SAY, Owner, OwnerClues, find_owner, strength
from coursekit.classroom.intake.submission import LARGEST_FILES, MOST_FILES, parsed
from coursekit.classroom.register import former_ids, lock_and_backup
from coursekit.classroom.register.class_folder import RECORD, ClassError, ClassFolder
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import fitting, has_ending, is_among, key, shown

_ENDS = (".ipynb", ".ipynb.txt", ".ipynb.json")  # some mail programs and browsers add the last
_BUNDLED = """
READ-ME-FIRST.txt pyproject.toml uv.lock worksheet.pdf read-the-lesson.html
start.py start-windows.bat start-mac.command start-linux.sh
"""
_LEFT_BY_SYSTEMS = ".DS_Store Thumbs.db desktop.ini"
_OURS = {NUMBERS_FILE, STAMP_FILE, RECORD, *_BUNDLED.split(), *_LEFT_BY_SYSTEMS.split()}


@dataclass(frozen=True)
class Taken:
    """What became of one file.

    `what` is "taken", "older" (kept, but another version counts), "same" (it was there already) or
    "left" (not taken); `why` says it in words.
    """

    source: str
    what: str
    student: str = ""
    slug: str = ""
    why: str = ""


@dataclass(frozen=True)
class _Incoming:
    found: FoundFile
    data: bytes
    owner: Owner
    others: Mapping[str, bytes]
    left: Sequence[str]  # names of files beside it that are not kept

    @property
    def pair(self) -> tuple[str, str]:
        return self.owner.student, self.owner.slug


def take_in(
    folder: ClassFolder,
    paths: Iterable[Path],
    *,
    student: str = "",
    slug: str = "",
    came: datetime | None = None,
    by_file_time: bool = False,
) -> list[Taken]:
    """Return what became of every notebook and archive at `paths`, in their order.

    `student` and `slug` say whose work it is and on what, and overrule what the files say. `came`
    is when it came (with its zone), by default now; with `by_file_time` the file's own time counts.
    Raises ClassError for a path that is not there, for an unknown student or exercise, or if the
    class is being marked.
    """
    clues = owner_clues(folder)
    if student:
        folder.student(student)
    if slug and slug not in clues.cells:
        raise ClassError(
            f"{slug}: an exercise must be handed out before work on it is taken in; the class has "
            f"{', '.join(sorted(clues.cells)) or 'none'}. Run `coursekit hand-out` first."
        )
    told: list[Taken] = []
    incoming: list[_Incoming] = []
    with ArchiveReader() as reader:
        for path in paths:
            if not path.exists() and not path.is_symlink():
                raise ClassError(
                    f"{path}: what is taken in must be there; got nothing of that name."
                )
            found, left = _gather(clues, path, student, slug, reader)
            incoming += found
            told += left
    with lock_and_backup.only_writer(folder):
        for group in _grouped(incoming):
            troubles: list[str] = []
            with one_piece(troubles.append):
                told += _kept(folder, group, came, by_file_time)
            for why in troubles:
                told += [Taken(str(one.found), "left", *one.pair, why=why) for one in group]
    return told


def owner_clues(folder: ClassFolder) -> OwnerClues:
    """Return what the class recognises work by."""
    cells = {}
    for path in sorted((folder.path / "release").glob("*/*.ipynb")):
        notebook = nbformat.reads(path.read_text(encoding="utf-8"), as_version=4)
        cells[path.parent.name] = frozenset(id for c in notebook.cells if (id := grade_id(c)))
    return OwnerClues(folder, cells, former_ids.former_ids(folder))


def _gather(
    clues: OwnerClues, path: Path, student: str, slug: str, reader: ArchiveReader
) -> tuple[list[_Incoming], list[Taken]]:
    """Return the work at `path` whose owner is known, and what is not taken and why."""
    everything = list(files(path, reader))
    refused = [e for e in everything if isinstance(e, ArchiveError)]
    told = [Taken(str(e).split(":")[0], "left", why=str(e)) for e in refused]
    found = _Found([f for f in everything if isinstance(f, FoundFile)])
    if not found.notebooks and not refused:
        told.append(Taken(shown(path.name), "left", why="There is no notebook in it."))
    incoming = []
    for one in found.notebooks:
        troubles: list[str] = []
        with one_piece(troubles.append):
            incoming.append(_incoming(clues, one, found, student, slug))
        told += [Taken(str(one), "left", why=why) for why in troubles]
    return incoming, told


class _Found:
    """The files that lie at one place: the notebooks, and what lies at and below each folder."""

    def __init__(self, there: Sequence[FoundFile]) -> None:
        self.notebooks = [f for f in there if _is_notebook(f)]
        self._below: dict[tuple[str, ...], list[FoundFile]] = {}
        self._numbers: dict[tuple[str, ...], bytes | None] = {}
        for one in there:
            for end in range(len(one.parts)):
                self._below.setdefault(one.parts[:end], []).append(one)

    def numbers(self, one: FoundFile) -> bytes | None:
        """Return the numbers file that lies beside a notebook, read once for each folder."""
        home = one.parts[:-1]
        if home not in self._numbers:
            near = [f for f in self._beside(home) if key(f.name) == NUMBERS_FILE]
            self._numbers[home] = near[0].read() if near else None
        return self._numbers[home]

    def _beside(self, home: tuple[str, ...]) -> list[FoundFile]:
        return [f for f in self._below[home] if len(f.parts) == len(home) + 1]

    def companions(self, one: FoundFile) -> tuple[dict[str, bytes], list[str]]:
        """Return the files that came with a notebook, and the names of those that are not kept.

        Files come with it only if it lies in a zip or in its bundle and is the only notebook in its
        folder; they are the others in and below that folder.
        """
        home = one.parts[:-1]
        mates = [f for f in self._below[home] if f is not one]
        bundle = any(is_among(f.name, _OURS - {STAMP_FILE}) for f in self._beside(home))
        zipped = any(has_ending(part, (".zip",)) for part in home)
        if any(map(_is_notebook, mates)) or not (bundle or zipped):
            return {}, []
        inner = {f.parts[len(home) :]: f for f in mates}
        kept, left = fitting(inner, (*_OURS, "lesson"))
        taken: dict[str, bytes] = {}
        room = LARGEST_FILES
        for parts in kept:
            data = inner[parts].read() if len(taken) < MOST_FILES else None
            if data is not None and len(data) <= room:
                taken["/".join(parts)] = data
                room -= len(data)
        return taken, ["/".join(parts) for parts in left]


def _is_notebook(one: FoundFile) -> bool:
    return has_ending(one.name, _ENDS)


def _incoming(
    clues: OwnerClues, one: FoundFile, found: _Found, student: str, slug: str
) -> _Incoming:
    """Return a notebook as its student's work; ArchiveError if nothing tells whose it is."""
    data = one.read()
    if data is None:
        raise ArchiveError("It does not read, or is larger than 20 MB.")
    owner = find_owner(clues, parsed(data) or {}, one.parts, found.numbers(one), student, slug)
    if owner.trouble:
        raise ArchiveError(f"{owner.trouble[0].upper()}{owner.trouble[1:]}.")
    return _Incoming(one, data, owner, *found.companions(one))


def _grouped(incoming: Iterable[_Incoming]) -> Iterable[list[_Incoming]]:
    """Return groups of what came from one student for one exercise, in the order found."""
    groups: dict[tuple[str, str], list[_Incoming]] = {}
    for one in incoming:
        groups.setdefault(one.pair, []).append(one)
    return groups.values()


def _kept(
    folder: ClassFolder, group: list[_Incoming], came: datetime | None, by_file_time: bool
) -> list[Taken]:
    """Keep what came from a student for an exercise; return what became of it.

    Work with the weakest evidence is kept first, and of equal evidence the oldest first.
    """
    student, slug = group[0].pair
    told: list[Taken] = []
    kept: list[tuple[Taken, Path]] = []
    kept_versions.keep_what_was_put_there(folder, student, slug)
    for alike in _by_strength(group):
        if why := _no_order(alike):
            told += [Taken(str(p.found), "left", *p.pair, why=why) for p in alike]
        else:
            alike.sort(key=lambda p: p.found.changed or datetime.min)
            kept += [_keep(folder, one, came, by_file_time) for one in alike]
    if not kept:
        return told
    counts = kept_versions.submit_what_counts(folder, student, slug)
    return told + [_said(taken, version, counts) for taken, version in kept]


def _by_strength(group: Iterable[_Incoming]) -> list[list[_Incoming]]:
    """Return what came, grouped by how strong its evidence is, the weakest first."""
    parted: dict[int, list[_Incoming]] = {}
    for one in group:
        parted.setdefault(strength(one.owner.by), []).append(one)
    return [parted[level] for level in sorted(parted)]


def _no_order(group: Iterable[_Incoming]) -> str:
    """Return why it can't be told which of several different files is the newest, or ""."""
    different = {p.data: p for p in group}
    times = [p.found.changed for p in different.values()]
    if len(different) == 1 or (None not in times and len(set(times)) == len(times)):
        return ""
    names = " and ".join(str(p.found) for p in different.values())
    return f"{names} differ, and nothing says which is the newer. Take in the one that counts."


def _said(taken: Taken, version: Path, counts: Path) -> Taken:
    """Return what became of a file, changed to "older" if another version than its own counts."""
    if taken.what != "taken" or version == counts:
        return taken
    if kept_versions.evidence(version) >= kept_versions.evidence(counts):
        return replace(taken, what="older", why=f"{taken.why}; kept, for a newer one counts")
    by = kept_versions.origin(counts).get("by", "")
    why = (
        f"{taken.why}; kept, for the work that counts is theirs by {by}, which is stronger. If "
        f"this one should count, take it in with --student {taken.student}"
    )
    return replace(taken, what="older", why=why)


def _keep(
    folder: ClassFolder, one: _Incoming, came: datetime | None, by_file_time: bool
) -> tuple[Taken, Path]:
    """Keep what came as a version of its own, unless the same file is kept already.

    A file that was kept on weaker evidence is kept once more, with the time at which it first came.
    """
    student, slug = one.pair
    source, by = str(one.found), one.owner.by
    why = f"by {by}" if by != AS_YOU_SAY else by
    if one.left:
        why += f"; not kept, for such names do not lie on every disk: {_few(one.left)}"
    moment = came or (_local(one.found.changed) if by_file_time else None)
    there = kept_versions.same(folder, one.pair, one.data)
    if there and max(map(kept_versions.evidence, there)) >= strength(by):
        when = kept_versions.came_of(there[0])
        said = f"the same file was taken in before, {when:%Y-%m-%d %H:%M} UTC"
        return Taken(source, "same", student, slug, said), there[0]
    if there:
        moment = kept_versions.came_of(there[0]).replace(tzinfo=UTC)
    version = kept_versions.write(
        folder, one.pair, one.data, one.others, source, by, moment, at_the_end=bool(there)
    )
    return Taken(source, "taken", student, slug, why), version


def _few(names: Sequence[str]) -> str:
    """Return the first few names, so that the line stays short enough to be read."""
    found = [f"'{shown(name)[:80]}'" for name in names]
    return ", ".join(found[:3]) + (f" and {len(found) - 3} more" if found[3:] else "")


def _local(changed: datetime | None) -> datetime | None:
    """Return a file's time with its zone, or None if it is not a valid time."""
    with suppress(OverflowError, OSError, ValueError):
        return changed.astimezone() if changed else None
    return None
