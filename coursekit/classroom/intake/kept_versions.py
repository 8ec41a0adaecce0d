"""Every version that a student handed in, as it came, and the one of them that is submitted.

`taken-in/<student>/<exercise>/<time>-<turn>-<digest>/` holds one version, and nothing there is ever
written over. `submitted/<student>/<exercise>/` is a copy of the version that counts, which
`which_counts.standing` decides. Saved answers lie beside the notebook that was made of them, in
`answers.txt`.

Versions are sorted by the time in their name, and those with the same time by their turn. A clock
can be wrong, so no time is later than the present, and work that comes now is sorted after
everything that came before. When the work came, and whether it is late, is decided by its timestamp
file alone.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from coursekit.classroom.gradebook.stamp_file import STAMP_FILE, time_of
from coursekit.classroom.intake import which_counts, worth
from coursekit.classroom.intake.safe_reading import LARGEST_NOTEBOOK, read_regular
from coursekit.classroom.intake.submission import LARGEST_FILES
from coursekit.classroom.intake.which_counts import ORIGIN as ORIGIN
from coursekit.classroom.intake.which_counts import facts_of, turn_of
from coursekit.classroom.intake.which_counts import origin as origin
from coursekit.classroom.register.class_folder import ClassFolder, write_bytes, write_text
from coursekit.classroom.register.outside_names import fitting, is_among, shown
from coursekit.classroom.register.trees import is_folder, remove, walk

ANSWERS = "answers.txt"
_NAME = re.compile(r"(\d{8}T\d{6}Z)-(\d+)-[0-9a-f]{8}")


def submit(
    folder: ClassFolder, student: str, slug: str, data: bytes, came: datetime, source: str, by: str
) -> Path:
    """Keep a notebook that was made here as the newest version, submit it, return its folder.

    `came` is when the work came (with its zone), and it decides whether the work is late. It may be
    earlier than that of other versions, and the notebook counts even if it has fewer answers than
    those. What lies in `submitted` is first kept as a version. Call this with the lock held.
    """
    keep_what_was_put_there(folder, student, slug)
    made = write(folder, (student, slug), data, {}, source, by, came, at_the_end=True)
    if which_counts.standing(folder, slug, versions(folder, student, slug)).counts != made:
        which_counts.choose(versions(folder, student, slug), made)
    return submit_what_counts(folder, student, slug)


def versions(folder: ClassFolder, student: str, slug: str) -> list[Path]:
    """Return the folders of all versions that a student has handed in, the oldest first."""
    place = folder.path / "taken-in" / student / slug
    found = place.iterdir() if is_folder(place) else ()
    return sorted((p for p in found if _NAME.fullmatch(p.name) and is_folder(p)), key=_order)


def _order(version: Path) -> tuple[str, int]:
    return version.name.split("-")[0], turn_of(version)


def came_of(version: Path) -> datetime:
    """Return when a version came, UTC without zone."""
    stamp = (read_regular(version / STAMP_FILE, 200) or b"").decode("utf-8", "replace")
    return time_of(stamp) or _time_in(version.name)


def _time_in(name: str) -> datetime:
    return datetime.strptime(name.split("-")[0], "%Y%m%dT%H%M%SZ")


def same(folder: ClassFolder, pair: tuple[str, str], data: bytes) -> list[Path]:
    """Return the versions that hold this very notebook, the oldest first."""
    student, slug = pair
    return [
        version
        for version in versions(folder, student, slug)
        if version.name.endswith(_digest(data))
        and read_regular(version / f"{slug}.ipynb", len(data)) == data
    ]


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:8]


def write(
    folder: ClassFolder,
    pair: tuple[str, str],
    data: bytes,
    others: Mapping[str, bytes],
    source: str,
    by: str,
    came: datetime | None = None,
    *,
    at_the_end: bool = False,
    answers: str = "",
    facts: Mapping[str, str] | None = None,
) -> Path:
    """Write a version as a whole or not at all, and return its folder.

    `came` is when the work came, by default now. With `at_the_end` the version is sorted after all
    others, whatever `came` is. `answers` is the text that the notebook was made of, if it was, and
    `facts` is what `which_counts.facts_of` says of the version.
    """
    student, slug = pair
    now = datetime.now(UTC)
    came = min((came or now).astimezone(UTC), now)
    before = versions(folder, student, slug)
    turn = 1 + max((turn_of(v) for v in before), default=0)
    place = _place(before, came, now, at_the_end)
    name = f"{place:%Y%m%dT%H%M%SZ}-{turn:03d}-{_digest(data)}"
    part = folder.made / "incoming" / f"{student}-{slug}"
    remove(part)
    write_bytes(part / f"{slug}.ipynb", data)
    for inner, content in others.items():
        write_bytes(part / "files" / inner, content)
    write_text(part / STAMP_FILE, f"{came:%Y-%m-%d %H:%M:%S} UTC\n")
    if answers:
        write_text(part / ANSWERS, answers)
    told = {"source": shown(source), "by": by, "taken_in": f"{now:%Y-%m-%dT%H:%M:%SZ}"}
    told |= facts or facts_of(worth.of_notebook(folder, slug, data))
    write_text(part / ORIGIN, json.dumps(told, indent=1, ensure_ascii=False) + "\n")
    target = folder.path / "taken-in" / student / slug / name
    target.parent.mkdir(parents=True, exist_ok=True)
    part.rename(target)
    return target


def _place(before: list[Path], came: datetime, now: datetime, at_the_end: bool) -> datetime:
    """Return the time by which a new version is sorted.

    It is `came`, unless the work comes now or is to be sorted `at_the_end`, or the newest version
    lies in the future because the clock was ahead. Then it is the later of now and that version's
    time. Versions with the same time are sorted by their turn.
    """
    newest = _time_in(before[-1].name).replace(tzinfo=UTC) if before else came
    if at_the_end or came == now or newest > now:
        return max(now, newest)
    return came


def keep_what_was_put_there(folder: ClassFolder, student: str, slug: str) -> None:
    """Keep work that was put into `submitted` by hand, or by nbgrader, as a version."""
    place = folder.submitted(student, slug)
    notebook = place / f"{slug}.ipynb"
    data = read_regular(notebook, LARGEST_NOTEBOOK)
    if data is None or same(folder, (student, slug), data):
        return
    stamp = (read_regular(place / STAMP_FILE, 200) or b"").decode("utf-8", "replace")
    moment = time_of(stamp)
    when = moment.replace(tzinfo=UTC) if moment else _changed(notebook)
    there = [p.relative_to(place).parts for p in walk(place)]
    others = {}
    for parts in fitting(there, (notebook.name, STAMP_FILE))[0]:
        content = read_regular(place.joinpath(*parts), LARGEST_FILES)
        if content is not None:
            others["/".join(parts)] = content
    write(folder, (student, slug), data, others, str(notebook), "it lay in submitted", when)


def _changed(path: Path) -> datetime | None:
    """Return when a file was last changed, or None if that is not a valid time."""
    with suppress(OSError, ValueError, OverflowError):
        return datetime.fromtimestamp(path.stat().st_mtime, UTC)
    return None


def submit_what_counts(folder: ClassFolder, student: str, slug: str) -> Path:
    """Make `submitted` a copy of the version that counts, if it is not; return that version."""
    kept = versions(folder, student, slug)
    version = which_counts.standing(folder, slug, kept).counts
    place = folder.submitted(student, slug)
    wanted = _files_of(version, slug)
    if is_folder(place) and _content(place) == wanted:
        return version
    part = folder.made / "incoming" / f"{student}-{slug}"
    old = folder.made / "incoming" / f"{student}-{slug}-old"
    for waste in (part, old):
        remove(waste)
    for name, data in wanted.items():
        write_bytes(part / name, data)
    place.parent.mkdir(parents=True, exist_ok=True)
    if place.exists():
        place.rename(old)
    part.rename(place)
    remove(old)
    return version


def _content(place: Path) -> dict[str, bytes | None]:
    """Return name → content for what lies in a folder; None for what is not a file or too large."""
    return {p.relative_to(place).as_posix(): read_regular(p, 40_000_000) for p in walk(place)}


def _files_of(version: Path, slug: str) -> dict[str, bytes]:
    """Return what `submitted` must hold for a version: notebook, timestamp file, other files."""
    names = (f"{slug}.ipynb", STAMP_FILE)
    found = {name: (version / name).read_bytes() for name in names}
    extra = version / "files"
    for path in walk(extra) if is_folder(extra) else ():
        parts = path.relative_to(extra).parts
        if path.is_file() and not is_among(parts[0], names):
            found["/".join(parts)] = path.read_bytes()
    return found
