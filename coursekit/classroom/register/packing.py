"""A class folder packed into one file, to be put away or carried to another machine."""

from __future__ import annotations

import os
import zipfile
from pathlib import Path

from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import ClassError, ClassFolder

_LEFT = {".made/lock"}


def pack(folder: ClassFolder, target: Path) -> int:
    """Write the whole class folder to the zip file `target`; return how many files it holds.

    The gradebook goes in as its database sees it, whole even while another program has it open. The
    file is its owner's alone, for it holds the secret. To open the class again, unpack it anywhere.

    Raises ClassError where the file is there already or would lie inside the class folder.
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
            count = _write(folder, file)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return count


def _write(folder: ClassFolder, file: object) -> int:
    root = folder.path.resolve()
    whole = lock_and_backup.backup(folder)
    count = 0
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:  # type: ignore[call-overload]
        for path in sorted(root.rglob("*")):
            name = path.relative_to(root).as_posix()
            if name in _LEFT or name.endswith(".part") or path.is_symlink() or not path.is_file():
                continue
            source = whole if whole and name == "gradebook.db" else path
            info = zipfile.ZipInfo.from_file(source, f"{root.name}/{name}", strict_timestamps=False)
            info.compress_type = zipfile.ZIP_DEFLATED
            with source.open("rb") as data, packed.open(info, "w") as member:
                while block := data.read(1 << 20):
                    member.write(block)
            count += 1
    return count
