"""A class folder packed into one file, to be put away or carried to another machine."""

from __future__ import annotations

import os
import zipfile
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

from coursekit.classroom.register import lock_and_backup, undo
from coursekit.classroom.register.class_folder import ClassError, ClassFolder
from coursekit.classroom.register.former_ids import BY_STUDENT
from coursekit.classroom.register.one_piece import one_piece
from coursekit.classroom.register.outside_names import shown
from coursekit.classroom.register.trees import TOO_DEEP, is_folder, walk

Tell = Callable[[str], object]

_LEFT = {".made/lock"}


def pack(folder: ClassFolder, target: Path, tell: Tell = lambda why: None) -> int:
    """Write the whole class folder to the zip file `target`; return how many files it holds.

    The gradebook goes in as a whole, even while another program has it open. What is kept to undo
    steps is left out. Only its owner can read the file, because it holds the secret. To open the
    class again, unpack it anywhere.

    A student's file that cannot be packed is left out, and `tell` is called with which and why.

    Raises ClassError if `target` exists already or would lie inside the class folder.
    """
    target = target.resolve()
    if target.exists():
        raise ClassError(
            f"{target}: the packed class must be a new file; this is there. Name another."
        )
    if target.is_relative_to(folder.path.resolve()):
        raise ClassError(
            f"{target}: the packed class must lie outside the class folder; this is inside. Name "
            "another place."
        )
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    try:
        with lock_and_backup.only_writer(folder), os.fdopen(handle, "wb") as file:
            count = _write(folder, file, tell)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return count


def _write(folder: ClassFolder, file: object, tell: Tell) -> int:
    root = folder.path.resolve()
    whole = lock_and_backup.backup(folder)
    count = 0
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:  # type: ignore[call-overload]
        for path in walk(root):
            parts = path.relative_to(root).parts
            name = "/".join(parts)
            if (
                name in _LEFT
                or parts[0] == undo.PLACE
                or (path.name.startswith(".") and path.name.endswith(".part"))
            ):
                continue
            said = shown(name)

            def left(why: str, said: str = said) -> None:
                tell(f"{said}: {why}")

            # only a file that a student put there may be left out; any other failure ends it
            with one_piece(left) if parts[0] in BY_STUDENT else nullcontext():
                source = whole if whole and name == "gradebook.db" else path
                count += _pack_one(packed, source, f"{root.name}/{name}")
    return count


def _pack_one(packed: zipfile.ZipFile, source: Path, name: str) -> bool:
    """Put one file into the zip; return whether it is one. ClassError for a folder too deep."""
    if is_folder(source):
        raise ClassError(TOO_DEEP)
    if source.is_symlink() or not source.is_file():
        return False
    info = zipfile.ZipInfo.from_file(source, name, strict_timestamps=False)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.filename.encode()  # a name that is not valid text fails here, before anything is written
    with source.open("rb") as data, packed.open(info, "w") as member:
        while block := data.read(1 << 20):
            member.write(block)
    return True
