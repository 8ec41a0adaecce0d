"""Takes in what students hand in, in any wrapping: each version kept, the newest one submitted.

`taken-in/<student>/<exercise>/<time>-<turn>-<digest>/` holds a version as it came, for ever;
nothing there is written twice. `submitted/<student>/<exercise>/` is a copy of the newest.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import nbformat

from coursekit.classroom.bank.notebooks import NUMBERS_FILE, grade_id
from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.intake.archives import ArchiveError, FoundFile, files
from coursekit.classroom.intake.owner import Owner, OwnerClues, find_owner
from coursekit.classroom.intake.safe_reading import read_regular
from coursekit.classroom.intake.submission import LARGEST_FILES, MOST_FILES, parsed
from coursekit.classroom.register import former_ids, lock_and_backup
from coursekit.classroom.register.class_folder import (
    ClassError,
    ClassFolder,
    write_bytes,
    write_text,
)

ORIGIN = "origin.json"
_ENDS = (".ipynb", ".ipynb.txt", ".ipynb.json")  # some mail programs and browsers add the last
_BUNDLED = """
READ-ME-FIRST.txt pyproject.toml uv.lock worksheet.pdf read-the-lesson.html
start.py start-windows.bat start-mac.command start-linux.sh
"""
_LEFT_BY_SYSTEMS = ".DS_Store Thumbs.db desktop.ini"
_OURS = {NUMBERS_FILE, STAMP_FILE, *_BUNDLED.split(), *_LEFT_BY_SYSTEMS.split()}


@dataclass(frozen=True)
class Taken:
    """What became of one file: `what` is taken, older, same or left; `why` says it in words."""

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

    `student` and `slug` say whose work it is and on what, where the files don't. `came` is when it
    came (with its zone), now unless given; with `by_file_time` the file's own time counts. Raises
    ClassError for a path that is not there, an unknown student or exercise, or where a marking is
    at work.
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
    for path in paths:
        if not path.exists() and not path.is_symlink():
            raise ClassError(f"{path}: what is taken in must be there; got nothing of that name.")
        _gather(clues, path, student, slug, incoming, told)
    with lock_and_backup.only_writer(folder):
        for group in _grouped(incoming):
            told += _kept(folder, group, came, by_file_time)
    return told


def owner_clues(folder: ClassFolder) -> OwnerClues:
    """Return what the class can tell work by."""
    cells = {}
    for path in sorted((folder.path / "release").glob("*/*.ipynb")):
        notebook = nbformat.reads(path.read_text(encoding="utf-8"), as_version=4)
        cells[path.parent.name] = frozenset(id for c in notebook.cells if (id := grade_id(c)))
    return OwnerClues(folder, cells, former_ids.former_ids(folder))


def _gather(
    clues: OwnerClues,
    path: Path,
    student: str,
    slug: str,
    incoming: list[_Incoming],
    told: list[Taken],
) -> None:
    """Sort what lies at `path` into work whose owner is known, and what is left and why."""
    everything = list(files(path))
    refused = [e for e in everything if isinstance(e, ArchiveError)]
    told += [Taken(str(e).split(":")[0], "left", why=str(e)) for e in refused]
    there = [f for f in everything if isinstance(f, FoundFile)]
    notebooks = [f for f in there if f.name.lower().endswith(_ENDS)]
    if not notebooks and len(there) == len(everything):
        told.append(Taken(path.name, "left", why="There is no notebook in it."))
    for one in notebooks:
        data = one.read()
        if data is None:
            told.append(Taken(str(one), "left", why="It does not read, or is larger than 20 MB."))
            continue
        near = [f for f in there if f.parts[:-1] == one.parts[:-1] and f.name == NUMBERS_FILE]
        beside = near[0].read() if near else None
        owner = find_owner(clues, parsed(data) or {}, one.parts, beside, student, slug)
        if owner.trouble:
            told.append(
                Taken(str(one), "left", why=f"{owner.trouble[0].upper()}{owner.trouble[1:]}.")
            )
        else:
            others = _companions(one, there, notebooks, path)
            incoming.append(_Incoming(one, data, owner, others))


def _companions(
    one: FoundFile, there: Sequence[FoundFile], notebooks: Sequence[FoundFile], path: Path
) -> dict[str, bytes]:
    """Return the files that came with a notebook: in its folder of an archive or of its bundle."""
    home = one.parts[:-1]
    mates = [f for f in there if f.parts[: len(home)] == home and f is not one]
    alone = not any(f in notebooks for f in mates)
    bundle = any(f.parts[:-1] == home and f.name in _OURS - {STAMP_FILE} for f in mates)
    zipped = any(part.lower().endswith(".zip") for part in home)
    if not (alone and (bundle or zipped)):
        return {}
    taken: dict[str, bytes] = {}
    room = LARGEST_FILES
    for mate in mates:
        inner = mate.parts[len(home) :]
        if inner[0] in _OURS or inner[0] == "lesson" or len(taken) >= MOST_FILES:
            continue
        data = mate.read()
        if data is not None and len(data) <= room:
            taken["/".join(inner)] = data
            room -= len(data)
    return taken


def _grouped(incoming: Iterable[_Incoming]) -> Iterable[list[_Incoming]]:
    """Yield what came from each student for each exercise together, in the order found."""
    groups: dict[tuple[str, str], list[_Incoming]] = {}
    for one in incoming:
        groups.setdefault(one.pair, []).append(one)
    return groups.values()


def _kept(
    folder: ClassFolder, group: list[_Incoming], came: datetime | None, by_file_time: bool
) -> list[Taken]:
    """Keep what came from a student for an exercise, the oldest first; return what became of it."""
    different = {p.data: p for p in group}
    if len(different) > 1:
        times = [p.found.changed for p in different.values()]
        if None in times or len(set(times)) < len(times):
            names = " and ".join(str(p.found) for p in different.values())
            why = (
                f"{names} differ, and nothing says which is the newer. Take in the one that counts."
            )
            return [Taken(str(p.found), "left", *p.pair, why=why) for p in group]
        group = sorted(group, key=lambda p: p.found.changed or datetime.min)
    student, slug = group[0].pair
    _keep_what_was_put_there(folder, student, slug)
    kept = [_keep(folder, one, came, by_file_time) for one in group]
    newest = _submit_newest(folder, student, slug)
    return [
        replace(taken, what="older", why=f"{taken.why}; kept, for a newer one counts")
        if taken.what == "taken" and version != newest
        else taken
        for taken, version in kept
    ]


def submit(
    folder: ClassFolder, student: str, slug: str, data: bytes, came: datetime, source: str, by: str
) -> Path:
    """Keep a notebook that was made here as the newest version, submit it, return its folder.

    `came` is when the work came (with its zone), which may be before other versions did: what is
    late is judged by it. What lies in `submitted` is kept as a version first. Call it with the lock
    held.
    """
    _keep_what_was_put_there(folder, student, slug)
    now = datetime.now(UTC)
    if before := versions(folder, student, slug):
        now = max(now, came_of(before[-1]).replace(tzinfo=UTC) + timedelta(seconds=1))
    _write(folder, (student, slug), data, {}, now, source, by, came)
    return _submit_newest(folder, student, slug)


def origin(version: Path) -> dict[str, str]:
    """Return where a version came from: `source`, `by` and `taken_in`; empty where that is lost."""
    try:
        found = json.loads((version / ORIGIN).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def versions(folder: ClassFolder, student: str, slug: str) -> list[Path]:
    """Return the folders of all versions that a student has handed in, the oldest first."""
    place = folder.path / "taken-in" / student / slug
    return sorted(p for p in place.iterdir() if p.is_dir()) if place.is_dir() else []


def _keep(
    folder: ClassFolder, one: _Incoming, came: datetime | None, by_file_time: bool
) -> tuple[Taken, Path]:
    """Keep what came as a version of its own, unless that very file is kept already."""
    student, slug = one.pair
    source = str(one.found)
    why = f"by {one.owner.by}" if one.owner.by != "as you say" else one.owner.by
    for version in versions(folder, student, slug):
        if read_regular(version / f"{slug}.ipynb", len(one.data)) == one.data:
            said = f"the same file was taken in before, {came_of(version):%Y-%m-%d %H:%M} UTC"
            return Taken(source, "same", student, slug, said), version
    changed = one.found.changed
    moment = came or (changed.astimezone() if by_file_time and changed else datetime.now(UTC))
    version = _write(folder, one.pair, one.data, one.others, moment, source, one.owner.by)
    return Taken(source, "taken", student, slug, why), version


def _write(
    folder: ClassFolder,
    pair: tuple[str, str],
    data: bytes,
    others: Mapping[str, bytes],
    moment: datetime,
    source: str,
    by: str,
    came: datetime | None = None,
) -> Path:
    """Write a version, all of it or nothing, and return its folder.

    Versions are in order of `moment`; `came` is the time that the work counts from, `moment` unless
    given.
    """
    student, slug = pair
    moment = moment.astimezone(UTC)
    turn = len(versions(folder, student, slug)) + 1
    name = f"{moment:%Y%m%dT%H%M%SZ}-{turn:03d}-{hashlib.sha256(data).hexdigest()[:8]}"
    part = folder.made / "incoming" / f"{student}-{slug}"
    shutil.rmtree(part, ignore_errors=True)
    write_bytes(part / f"{slug}.ipynb", data)
    for inner, content in others.items():
        write_bytes(part / "files" / inner, content)
    counts = (came or moment).astimezone(UTC)
    write_text(part / STAMP_FILE, f"{counts:%Y-%m-%d %H:%M:%S} UTC\n")
    facts = {"source": source, "by": by, "taken_in": f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"}
    write_text(part / ORIGIN, json.dumps(facts, indent=1, ensure_ascii=False) + "\n")
    target = folder.path / "taken-in" / student / slug / name
    target.parent.mkdir(parents=True, exist_ok=True)
    part.rename(target)
    return target


def came_of(version: Path) -> datetime:
    """Return when a version came, UTC without zone."""
    return datetime.strptime(version.name.split("-")[0], "%Y%m%dT%H%M%SZ")


def _keep_what_was_put_there(folder: ClassFolder, student: str, slug: str) -> None:
    """Keep work that was put into `submitted` by hand, or by nbgrader, as a version."""
    place = folder.submitted(student, slug)
    notebook = place / f"{slug}.ipynb"
    data = read_regular(notebook, 20_000_000)
    if data is None or any(
        read_regular(v / f"{slug}.ipynb", len(data)) == data
        for v in versions(folder, student, slug)
    ):
        return
    stamp = (read_regular(place / STAMP_FILE, 200) or b"").decode("utf-8", "replace")
    moment = time_of(stamp)
    when = moment.replace(tzinfo=UTC) if moment else _changed(notebook)
    others = {
        p.relative_to(place).as_posix(): content
        for p in sorted(place.rglob("*"))
        if p.name not in (notebook.name, STAMP_FILE)
        and (content := read_regular(p, LARGEST_FILES)) is not None
    }
    _write(folder, (student, slug), data, others, when, str(notebook), "it lay in submitted")


def _changed(path: Path) -> datetime:
    return datetime.fromtimestamp(path.stat().st_mtime, UTC)


def _submit_newest(folder: ClassFolder, student: str, slug: str) -> Path:
    """Make `submitted` the newest version, where it is not; return that version."""
    newest = versions(folder, student, slug)[-1]
    place = folder.submitted(student, slug)
    wanted = _files_of(newest, slug)
    if (
        place.is_dir()
        and {
            p.relative_to(place).as_posix(): read_regular(p, 40_000_000)
            for p in place.rglob("*")
            if not p.is_dir()
        }
        == wanted
    ):
        return newest
    part = folder.made / "incoming" / f"{student}-{slug}"
    old = folder.made / "incoming" / f"{student}-{slug}-old"
    for waste in (part, old):
        shutil.rmtree(waste, ignore_errors=True)
    for name, data in wanted.items():
        write_bytes(part / name, data)
    place.parent.mkdir(parents=True, exist_ok=True)
    if place.exists():
        place.rename(old)
    part.rename(place)
    shutil.rmtree(old, ignore_errors=True)
    return newest


def _files_of(version: Path, slug: str) -> dict[str, bytes]:
    """Return what `submitted` holds of a version: notebook, time, other files."""
    names = [f"{slug}.ipynb", STAMP_FILE]
    found = {name: (version / name).read_bytes() for name in names}
    extra = version / "files"
    for path in sorted(extra.rglob("*")) if extra.is_dir() else ():
        if path.is_file() and (name := path.relative_to(extra).as_posix()) not in found:
            found[name] = path.read_bytes()
    return found
