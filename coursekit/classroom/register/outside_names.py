"""Names that come from outside: how to compare them, which a disk accepts, and how to print them.

Whoever hands work in chooses what its files are called. A Windows or Mac disk or a USB stick may
take `TIMESTAMP.TXT`, `timestamp.txt.` and `timestamp.txt` for one file, so wherever something
depends on a name, names are compared by their `key`. A terminal obeys control characters, which no
name needs, so whatever is printed goes through `shown` or `shown_lines`.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from functools import lru_cache

LONGEST_NAME = 200  # bytes; disks allow 255, but the name of a half-written file is longer
LONGEST_PATH = 800  # bytes of all the folders and the name
# names that Windows keeps for devices, with any ending
DEVICES = frozenset(
    {"con", "prn", "aux", "nul"} | {f"{d}{i}" for d in ("com", "lpt") for i in range(10)}
)
_SHORT = re.compile(r"(.{1,6})~\d+(\..{0,3})?")  # Windows' own short name of a longer one


def key(name: str) -> str:
    """Return the plain form of `name`: equal keys may be one file on some disk.

    Capitals, forms of the same letter, characters that take no space, trailing dots and a stream's
    name after a colon do not count.

    >>> key("TIMESTAMP.TXT. "), key("timestamp.txt::$DATA"), key("ｔime\u200bstamp.txt")
    ('timestamp.txt', 'timestamp.txt', 'timestamp.txt')
    """
    return _plain(name.split(":")[0])


@lru_cache(maxsize=1024)  # one name is held against some hundred others
def _plain(name: str) -> str:
    plain = unicodedata.normalize("NFKC", name)
    plain = unicodedata.normalize("NFKC", plain.casefold())
    plain = "".join(c for c in plain if unicodedata.category(c) not in ("Cf", "Cc"))
    return plain.rstrip(". ")


def has_ending(name: str, endings: tuple[str, ...]) -> bool:
    """Whether a disk could take `name` for a file with one of these endings.

    >>> has_ending("Small 19:30.IPYNB", (".ipynb",)), has_ending("a.zip::$DATA", (".zip",))
    (True, True)
    """
    return _plain(name).endswith(endings) or key(name).endswith(endings)


def is_among(name: str, kept: Iterable[str]) -> bool:
    """Whether a disk could take `name` for one of the names `kept`, by a short name too.

    >>> is_among("TIMEST~1.TXT", ["timestamp.txt"]), is_among("times.txt", ["timestamp.txt"])
    (True, False)
    """
    found, keys = key(name), {key(k) for k in kept}
    short = _SHORT.fullmatch(found)
    return found in keys or bool(short and any(k.startswith(short[1]) for k in keys))


def fits(parts: Sequence[str]) -> bool:
    """Whether every disk can store this path, below a folder of ours, under just this name."""
    path = "/".join(parts)
    return (
        len(path.encode("utf-8", "replace")) <= LONGEST_PATH
        and shown(path) == path
        and all(map(_fits, parts))
    )


def _fits(name: str) -> bool:
    return (
        len(name.encode("utf-8", "replace")) <= LONGEST_NAME
        and not set(name) & set('<>:"|?*\\/')
        and name == name.rstrip(". ")
        and bool(key(name))
        and key(name).split(".")[0] not in DEVICES
    )


class Places:
    """The files of one folder: each name once, and none that is both a file and a folder."""

    def __init__(self) -> None:
        self._files: set[str] = set()
        self._folders: set[str] = set()

    def clash(self, parts: Sequence[str], *, folder: bool = False) -> str:
        """Add a path; return in words why it cannot lie beside the others, or "" if it can."""
        keys = [key(part) for part in parts]
        above = {"/".join(keys[:n]) for n in range(1, len(keys))}
        own = "/".join(keys)
        if own in self._files and not folder:
            return "is there twice"
        if above & self._files or (own in self._files if folder else own in self._folders):
            return "is a file and a folder at once"
        self._folders |= above | ({own} if folder else set())
        self._files |= set() if folder else {own}
        return ""


Parts = tuple[str, ...]


def fitting(paths: Iterable[Parts], ours: Iterable[str]) -> tuple[list[Parts], list[Parts]]:
    """Return which of the paths can lie beside our own files on every disk, and which cannot.

    Paths that begin with exactly one of the names in `ours` are our own files and are in neither.
    """
    ours, places = set(ours), Places()
    kept: list[Parts] = []
    left: list[Parts] = []
    for parts in paths:
        if parts[0] in ours:
            continue
        good = fits(parts) and not is_among(parts[0], ours) and not places.clash(parts)
        (kept if good else left).append(parts)
    return kept, left


def shown(text: str) -> str:
    r"""Return `text` as one line with a ? for each character that a terminal would obey.

    These are the escape character, ends of lines, characters that turn the direction of writing,
    and halves of characters.

    >>> shown("a\x1b[2Jb\nc\u202ed")
    'a?[2Jb?c?d'
    """
    return "".join(c if _prints(c) else "?" for c in text)


def shown_lines(text: str) -> str:
    """Return `text` as `shown` does, but with its lines and tabs as they are."""
    return "".join(c if _prints(c) or c in "\n\t" else "?" for c in text)


def _prints(sign: str) -> bool:
    return sign.isprintable() or unicodedata.category(sign) == "Zs"
