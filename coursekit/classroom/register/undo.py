"""Keeps a class as it was before the last steps, and puts it back.

Nearly every file of a class is replaced as a whole, so a second name for it (a hard link) keeps
what it held, and costs nothing. A file that was kept before under such a name is not linked again,
so a step costs little more than a look at every file. What is written in place is copied: the
records of readings and of answers on paper, the gradebook, and the files that people edit.

    .undo/files/            what the states hold, each file under a name that says which it is
    .undo/begun.json        as it was before the step that was begun last
    .undo/000007.json       as it was before step 7: the step's words, when, path → name of the file
    .undo/000007.redo.json  as it was before step 7 was undone
    .undo/going.json        an undo that has begun; the next one finishes it

A step that changed nothing is none, so what was begun is looked at again before it counts as one.
What another program writes into a kept file
in place, as a notebook editor does, can't be put back; it stays as it is, and the undo says so.
Readings and answers on paper are typed while other work goes on, so they are put back only by
undoing a step that took them in. The secret, backups and locks are never touched.

Nothing of an erased student may survive here, so `forget` is called before one is erased.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassError, ClassFolder, write_text
from coursekit.classroom.register.trees import DEEPEST, remove

PLACE = ".undo"  # in the class folder
KEPT = 3  # steps that can be undone one after the other
_GRADEBOOK = "gradebook.db"
_RECORDS = (("bench",), ("answers",), (".made", "bench"), (".made", "answers"))
_NOT_KEPT = ((PLACE,), ("secret",), (".made", "lock"), (".made", "backups"), (".made", "release"))
_BEGUN, _GOING, _PART = "begun.json", "going.json", ".put.part"
State = dict[str, Any]


@dataclass(frozen=True)
class Step:
    """A step that can be undone, or an undo that can be taken back: its words, and when (UTC)."""

    words: str
    when: datetime


@dataclass(frozen=True)
class Undone:
    """What an undo put back; `left` are files that another program wrote into, left as they are."""

    step: Step
    left: tuple[str, ...] = ()


def why_not(folder: ClassFolder) -> str:
    """Return why steps of this class can't be undone; "" if they can."""
    if folder.gradebook:
        return (
            f"{folder.path}: steps can be undone only where the gradebook lies in the class "
            "folder; this one is on a server. Put a backup of yours back instead."
        )
    place = folder.path / PLACE
    probe, link = place / ".probe.part", place / ".link.part"
    try:
        _made(place / "files")
        probe.write_bytes(b"")
        link.unlink(missing_ok=True)
        os.link(probe, link)
    except OSError:
        return (
            f"{folder.path}: steps can be undone only on a disk that lets a file have two names; "
            "this one does not, like most sticks. Keep a copy of the class folder instead."
        )
    finally:
        with suppress(OSError):
            link.unlink(missing_ok=True)
            probe.unlink(missing_ok=True)
    return ""


def keep_before(folder: ClassFolder, words: str, *, records: bool = False) -> str:
    """Keep the class as it is before a step, which is told in these `words`; return why not, or "".

    `records` says that the step itself takes in readings or answers on paper. Once the step has
    changed something, the oldest one that is kept goes, and so does an undo that could still be
    taken back. Where nothing can be kept, or another process is at work in the class, the step may
    be done all the same.
    """
    if why := why_not(folder):
        return why
    try:
        with lock_and_backup.only_writer(folder):
            _refuse_unfinished(folder)
            _settle(folder)
            _write(folder, _BEGUN, _state_now(folder, words, records=records))
            _prune(folder)
    except (ClassError, OSError) as error:
        return str(error)
    return ""


def last(folder: ClassFolder, *, redo: bool = False) -> Step | None:
    """Return the step that would be undone, or with `redo` the undo that would be taken back."""
    if (begun := _begun(folder)) and _has_changed(folder, begun):
        return None if redo else _step(begun)
    found = _newest(folder, redo)
    return None if found is None else _step(found[1])


def is_unfinished(path: Path) -> bool:
    """Whether an undo of the class in `path` was cut short; `undo` finishes it."""
    return (path / PLACE / _GOING).is_file()


def undo(folder: ClassFolder, *, redo: bool = False) -> Undone:
    """Put the class back as it was before the last step; with `redo`, as before the last undo.

    If an undo was cut short before, this finishes it and does nothing else.

    Raises
    ------
    ClassError
        If there is nothing to undo, if what was kept is damaged, or if the class is being marked.
        Nothing is changed then.
    """
    if folder.gradebook:
        raise ClassError(why_not(folder))
    with lock_and_backup.only_writer(folder):
        lock_and_backup.sweep(folder)
        if not is_unfinished(folder.path):
            _settle(folder)
            found = _newest(folder, redo)
            if found is None:
                raise ClassError(_nothing(folder, redo))
            name, state = found
            _refuse_damaged(folder, state)
            back = _state_now(folder, state["words"], records=state["records"])
            name_of_back = f"{_number(name):06}{'' if redo else '.redo'}.json"
            going = {"to": name, "state": state, "from": name_of_back, "back": back}
            _write(folder, _GOING, going)
        return _finish(folder)


def forget(folder: ClassFolder) -> None:
    """Remove all that is kept, or was half kept, so that nothing of it can come back.

    Call it with the lock held.
    """
    remove(folder.path / PLACE)
    lock_and_backup.sweep(folder)


def _nothing(folder: ClassFolder, redo: bool) -> str:
    if redo:
        return f"{folder.path}: an undo must be the last thing done to be taken back; none is."
    return why_not(folder) or (
        f"{folder.path}: a step must be kept to be undone; none is. Each command that changes the "
        "class keeps it from now on."
    )


def _finish(folder: ClassFolder) -> Undone:
    """Do what the note of an undo that has begun says; every part may be done twice."""
    place = folder.path / PLACE
    going = json.loads((place / _GOING).read_text(encoding="utf-8"))
    left = tuple(_restore(folder, going["state"]))
    _write(folder, going["from"], going["back"])
    (place / going["to"]).unlink(missing_ok=True)
    (place / _GOING).unlink()
    _prune(folder)
    return Undone(_step(going["state"]), left)


def _step(state: State) -> Step:
    return Step(state["words"], datetime.fromisoformat(state["when"]))


# States


def _names(folder: ClassFolder, *, redo: bool = False) -> list[str]:
    """Return the names of the states before steps, or before undos, in the order of the steps."""
    pattern = "??????.redo.json" if redo else "??????.json"
    return sorted(p.name for p in (folder.path / PLACE).glob(pattern))


def _number(name: str) -> int:
    return int(name.partition(".")[0])


def _read(folder: ClassFolder, name: str) -> State:
    found: State = json.loads((folder.path / PLACE / name).read_text(encoding="utf-8"))
    return found


def _begun(folder: ClassFolder) -> State | None:
    return _read(folder, _BEGUN) if (folder.path / PLACE / _BEGUN).is_file() else None


def _has_changed(folder: ClassFolder, state: State) -> bool:
    files, folders = _now(folder, state["records"])
    return files != state["files"] or set(folders) != set(state["folders"])


def _settle(folder: ClassFolder) -> None:
    """Make a step of what was begun, if it has changed anything."""
    if (begun := _begun(folder)) is None:
        return
    steps, undone = _names(folder), _names(folder, redo=True)
    is_one = _has_changed(folder, begun)
    if is_one and not (steps and _read(folder, steps[-1]) == begun):  # a kill may have come between
        number = max(map(_number, (*steps, *undone)), default=0) + 1
        for name in (*undone, *steps[: 1 - KEPT]):
            (folder.path / PLACE / name).unlink()
        _write(folder, f"{number:06}.json", begun)
    (folder.path / PLACE / _BEGUN).unlink()


def _write(folder: ClassFolder, name: str, state: State) -> None:
    write_text(folder.path / PLACE / name, json.dumps(state) + "\n")


def _newest(folder: ClassFolder, redo: bool) -> tuple[str, State] | None:
    names = _names(folder, redo=redo)
    if not names:
        return None
    name = names[0] if redo else names[-1]  # the last step that was undone is the earliest
    return name, _read(folder, name)


def _refuse_unfinished(folder: ClassFolder) -> None:
    if is_unfinished(folder.path):
        raise ClassError(unfinished(folder.path))


def unfinished(path: Path) -> str:
    """Return what to say of a class in which an undo was cut short."""
    return (
        f"{path}: an undo must be finished before anything else; it was cut short. Run "
        "`coursekit class undo`."
    )


def _refuse_damaged(folder: ClassFolder, state: State) -> None:
    files = folder.path / PLACE / "files"
    if missing := [path for path, key in state["files"].items() if not (files / key).is_file()]:
        raise ClassError(
            f"{files}: what was kept must be there to be put back; {missing[0]} is not. Nothing "
            "was undone."
        )


def _prune(folder: ClassFolder) -> None:
    """Remove the files that no state holds any more."""
    place = folder.path / PLACE
    states = [_read(folder, n) for n in (*_names(folder), *_names(folder, redo=True))]
    states += [begun] if (begun := _begun(folder)) else []
    wanted = {key for state in states for key in state["files"].values()}
    for entry in os.scandir(place / "files"):
        if entry.name not in wanted:
            os.unlink(entry.path)  # noqa: PTH108 – there may be thousands


# What a class consists of


def _state_now(folder: ClassFolder, words: str, *, records: bool) -> State:
    """Keep every file as it is now; return the state that holds them."""
    store = _made(folder.path / PLACE / "files")
    part = store.with_name(_PART)
    known = set(os.listdir(store))  # noqa: PTH208 – there may be thousands
    files, folders = _now(folder, records)
    for path, key in files.items():
        if key not in known:
            source = _whole_gradebook(folder) if path == _GRADEBOOK else folder.path / path
            _put(source, store / key, part, link=key[0] == "l")
            known.add(key)
    when = datetime.now(UTC).replace(tzinfo=None).isoformat(timespec="seconds")
    about = {"words": words, "when": when, "records": records}
    return about | {"files": files, "folders": folders}


def _whole_gradebook(folder: ClassFolder) -> Path:
    """Return a copy of the gradebook; of one that is damaged, the file itself."""
    with suppress(sqlite3.DatabaseError):
        return lock_and_backup.backup(folder) or folder.gradebook_file
    return folder.gradebook_file


def _now(folder: ClassFolder, records: bool) -> tuple[dict[str, str], list[str]]:
    """Return path → name under which the file is kept, and the folders, of a class as it is now.

    The name says what is in the file.
    """
    files: dict[str, str] = {}
    folders: list[str] = []
    for parts, path, state in _entries(folder.path):
        recorded = any(parts[: len(one)] == one for one in _RECORDS)
        if recorded and not records:
            continue
        name = "/".join(parts)
        if state is None:
            folders.append(name)
        elif recorded or len(parts) == 1:
            with suppress(FileNotFoundError):
                files[name] = _copy_key(Path(path))
        else:
            files[name] = _link_key(state)
    if folder.gradebook_file.is_file():
        files[_GRADEBOOK] = _copy_key(folder.gradebook_file)
    return files, folders


def _copy_key(path: Path) -> str:
    return f"c{hashlib.sha256(path.read_bytes()).hexdigest()[:40]}"


def _link_key(state: os.stat_result) -> str:
    """Return the name for a file that is linked: it changes whenever something else lies there."""
    return f"l{state.st_ino:x}-{state.st_mtime_ns:x}-{state.st_size:x}"


def _entries(root: Path) -> Iterator[tuple[tuple[str, ...], str, os.stat_result | None]]:
    """Yield parts and path of every folder and file that an undo may touch, with a file's state."""
    waiting: list[tuple[tuple[str, ...], str]] = [((), str(root))]
    while waiting:
        above, place = waiting.pop()
        try:
            entries = list(os.scandir(place))
        except OSError:
            continue
        for entry in entries:
            parts = (*above, entry.name)
            if _is_left_out(parts):
                continue
            if entry.is_dir(follow_symlinks=False):
                if len(parts) <= DEEPEST:
                    yield parts, entry.path, None
                    waiting.append((parts, entry.path))
            elif entry.is_file(follow_symlinks=False):
                with suppress(OSError):
                    yield parts, entry.path, entry.stat(follow_symlinks=False)


def _is_left_out(parts: tuple[str, ...]) -> bool:
    name = parts[-1]
    if parts in _NOT_KEPT or (name.startswith(".") and name.endswith(".part")):
        return True
    if len(parts) == 1:
        return name.startswith(_GRADEBOOK)
    return parts[0] == ".made" and name.endswith((".lock", ".known.json"))


def _made(place: Path) -> Path:
    if not place.is_dir():
        place.parent.mkdir(mode=0o700, exist_ok=True)
        place.mkdir(mode=0o700, exist_ok=True)
    return place


def _put(source: Path, target: Path, part: Path, *, link: bool = False) -> None:
    """Put a file there, copied or linked, as a whole or not at all, by way of `part`."""
    part.unlink(missing_ok=True)
    try:
        if link:
            os.link(source, part)
        else:
            shutil.copy2(source, part)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)  # it stays if both were names of one file already


# Putting back


def _restore(folder: ClassFolder, state: State) -> list[str]:
    """Make the class what `state` says; return the files that can't be put back."""
    root, files, folders = folder.path, dict(state["files"]), set(state["folders"])
    part = root / PLACE / _PART
    book = files.pop(_GRADEBOOK, None)
    now, there = _now(folder, state["records"])
    now.pop(_GRADEBOOK, None)
    for path in now.keys() - files.keys():
        (root / path).unlink(missing_ok=True)
    for path in sorted(set(there) - folders, reverse=True):  # the inner ones first
        with suppress(OSError):  # what can't be kept, like a link, may lie there
            (root / path).rmdir()
    left = []
    for path, key in files.items():
        if now.get(path) == key:
            continue
        kept, target = root / PLACE / "files" / key, root / path
        if key[0] == "l" and _link_key(kept.lstat()) != key:
            left.append(path)
            continue
        target.parent.mkdir(parents=True, exist_ok=True)
        _put(kept, target, part, link=key[0] == "l")
    for path in folders:
        (root / path).mkdir(parents=True, exist_ok=True)
    _restore_gradebook(folder, None if book is None else root / PLACE / "files" / book)
    return left


def _restore_gradebook(folder: ClassFolder, kept: Path | None) -> None:
    if kept is None:
        folder.gradebook_file.unlink(missing_ok=True)
    else:
        lock_and_backup.write_over(folder, kept)


def facts(step: Step | None) -> Mapping[str, str] | None:
    """Return a step as plain data."""
    return None if step is None else {"words": step.words, "when": f"{step.when.isoformat()}Z"}
