"""Where the folder of a new class is made: a name for it, and what is said against the place."""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.register.outside_names import fits, key, shown

_SIGNS = "-_.,() "
_LONGEST_NAME = 80  # letters


def usual() -> Path:
    """Return where classes are made if nobody says otherwise."""
    return Path.home() / "coursekit classes"


def folder_name(title: str) -> str:
    """Return a name for the folder of a class, which every disk takes.

    >>> folder_name("Evening class: spring/summer 2027?"), folder_name(" Con. "), folder_name("…")
    ('Evening class spring summer 2027', 'class con', 'class')
    """
    plain = unicodedata.normalize("NFC", title)
    kept = "".join(c if c.isalnum() or c in _SIGNS else " " for c in plain)
    name = " ".join(kept.split())[:_LONGEST_NAME].strip("-_., ")
    return name if name and fits((name,)) else f"class {key(name)}".strip()


def folder_typed(text: str, otherwise: Path) -> Path:
    """Return the folder whose whole path was typed; `otherwise` if nothing was.

    It need not be there, but it must be possible to make it. Raises ClassError if it isn't.
    """
    typed = text.strip()
    try:
        path = Path(typed).expanduser() if typed else otherwise
    except RuntimeError:  # no such user
        path = Path(typed)
    if shown(typed) != typed or not path.is_absolute():
        raise ClassError(
            f"A place must be a whole path, such as {otherwise}; got '{shown(typed)}'. Write it so."
        )
    path = Path(os.path.normpath(path))
    above = next(p for p in (path, *path.parents) if p.exists())
    if not above.is_dir() or not os.access(above, os.W_OK):
        raise ClassError(
            f"A place must be one where you may write; got {path}, and {above} is "
            f"{'not yours to write in' if above.is_dir() else 'a file'}. Name another."
        )
    return path


def place_for(within: str, title: str) -> Path:
    """Return the folder, not there yet, of a new class with this title, made `within` a folder.

    Raises ClassError if it can't be made there.
    """
    parent = folder_typed(within, usual())
    if inside := next((p for p in (parent, *parent.parents) if (p / "class.toml").exists()), None):
        raise ClassError(
            f"A new class must not lie inside another class; got {parent}, and {inside} is one. "
            "Name another place."
        )
    path = parent / folder_name(title)
    if os.path.lexists(path):
        raise ClassError(
            f"A new class must have a folder of its own; {path} is there already. Give the class "
            "another title, or open the one that is there."
        )
    return path
