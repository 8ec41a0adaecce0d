"""The class secret: it is written whole or not at all, and refused if it is not as it was made.

Every own number is drawn from it. If it were empty, anybody could work out the numbers, and with
another secret every student would be marked by numbers that nobody was given.
"""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

from coursekit.classroom.register.roster import ClassError

SECRET_FILE = "secret"
LENGTH = 32  # bytes
_FEWEST_DIFFERENT = 8  # 32 random bytes hold about 30 different ones; a failing disk leaves zeros


def make_secret(path: Path, secret: bytes) -> None:
    """Write `secret` to `path` in one step, readable by its owner alone from the first byte on.

    Raises FileExistsError if something is there already, because a secret is never written over.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secret.hex() + "\n")
            file.flush()
            os.fsync(file.fileno())
        _name_it(part, path)
    finally:
        part.unlink(missing_ok=True)


def _name_it(part: Path, path: Path) -> None:
    """Give a file that is written whole its name, which must be free."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:  # a disk that has no hard links, such as a USB stick
        if os.path.lexists(path):
            raise FileExistsError(f"{path}: there is a secret already.") from None
        part.rename(path)


def read_secret(path: Path) -> bytes:
    """Return the secret in `path`; ClassError if it is not one that `make_secret` wrote."""
    try:
        state = path.lstat()
        if stat.S_ISREG(state.st_mode) and state.st_size <= 4 * LENGTH:
            text = path.read_bytes().strip()
        else:
            text = b""
    except OSError as error:
        raise _refused(path, f"It can't be read: {error.strerror}") from None
    secret = b""
    with suppress(ValueError):
        secret = bytes.fromhex(text.decode("ascii"))
    if why := _fault(state, text, secret):
        raise _refused(path, why)
    return secret


def _fault(state: os.stat_result, text: bytes, secret: bytes) -> str:
    """Return in words what is wrong with a secret, or "" if it is as it was made."""
    if not stat.S_ISREG(state.st_mode):
        return "It is a link, a folder or a device, not a file"
    if state.st_size > 4 * LENGTH:
        return f"It is too long: {state.st_size} bytes"
    if not text:
        return "It is empty"
    if not secret:
        return "It holds other signs than hexadecimal digits in pairs"
    if len(secret) != LENGTH:
        return f"It has {len(text)} digits, not {2 * LENGTH}"
    if len(set(secret)) < _FEWEST_DIFFERENT:
        return "It repeats the same few digits"
    return ""


def _refused(path: Path, why: str) -> ClassError:
    return ClassError(
        f"{path}: the class secret must be there as it was made; it is not. {why}. Put it back "
        "from your copy of the class folder: without it every student would get other numbers. "
        "Only if nothing has been handed out yet, delete it and run `coursekit class open` again."
    )


def to_owner_alone(folder: Path) -> None:
    """Let only its owner into a class folder and to its secret.

    Packing or copying a folder often loses its access rights, so they are set again.
    """
    if os.name != "posix":
        return
    secret = folder / SECRET_FILE
    with suppress(OSError):
        if folder.stat().st_mode & 0o077:
            folder.chmod(0o700)
        if secret.lstat().st_mode & 0o077 and not secret.is_symlink():
            secret.chmod(0o600)
