"""Keeps what need not be worked out again: that an exercise is sound, and each student's numbers.

Both follow from the two halves of the exercise, the class secret and the code of this kit. They are
kept in the class folder together with a seal, a digest of all of these and of the numbers
themselves. If any of them changes, the exercise is proved again and the numbers are drawn again.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict
from functools import cache
from pathlib import Path

import numpy as np

import coursekit
from coursekit.classroom.bank import own_frame
from coursekit.classroom.bank.own_numbers import Drawn
from coursekit.classroom.register import class_questions
from coursekit.classroom.register.class_folder import ClassFolder, write_text


def numbers(folder: ClassFolder, slug: str, root: Path) -> dict[str, Drawn] | None:
    """Return own numbers as far as they are known, by the name that they were drawn under.

    Returns None if the exercise, as it is now, has not been proved sound in this class.
    """
    try:
        kept = json.loads(_file(folder, slug).read_text(encoding="utf-8"))
        drawn, seal = kept["numbers"], kept["seal"]
        if not hmac.compare_digest(seal, _seal(folder, slug, root, drawn)):
            return None
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return {name: Drawn(**one) for name, one in drawn.items()}


def keep(folder: ClassFolder, slug: str, root: Path, drawn: Mapping[str, Drawn]) -> None:
    """Keep that the exercise is sound as it is now, and the numbers `drawn` for it."""
    plain = {name: asdict(one) for name, one in drawn.items()}
    seal = _seal(folder, slug, root, plain)
    text = json.dumps({"numbers": plain, "seal": seal}, ensure_ascii=False, sort_keys=True)
    with suppress(OSError):  # in a class folder that is read-only this costs only time
        write_text(_file(folder, slug), text + "\n")


def is_proved(folder: ClassFolder, slug: str, root: Path) -> bool:
    """Whether what the class changes of the exercise has been proved sound, as it all is now."""
    try:
        kept = _changes_file(folder, slug).read_text(encoding="utf-8")
    except (OSError, ValueError):
        return False
    return hmac.compare_digest(kept.encode(), _seal_of_changes(folder, slug, root).encode())


def keep_proved(folder: ClassFolder, slug: str, root: Path) -> None:
    """Keep that what the class changes of the exercise is sound."""
    with suppress(OSError):
        write_text(_changes_file(folder, slug), _seal_of_changes(folder, slug, root))


def _changes_file(folder: ClassFolder, slug: str) -> Path:
    return folder.made / f"{slug}.changed"


def _seal_of_changes(folder: ClassFolder, slug: str, root: Path) -> str:
    changes = class_questions.digest(folder.questions.get(slug, {}))
    people = [folder.drawn_as(s.id, slug) for s in folder.students]
    return _seal(folder, slug, root, {"changes": changes, "people": people})


def _file(folder: ClassFolder, slug: str) -> Path:
    return folder.made / f"{slug}.known.json"


def _seal(folder: ClassFolder, slug: str, root: Path, drawn: Mapping[str, object]) -> str:
    seal = hmac.new(folder.secret, _code(), hashlib.sha256)
    solutions = root / "solutions"
    own = (root / "exercises" / f"{slug}.md", root / own_frame.FILE, solutions / f"{slug}.md")
    for path in (*filter(Path.is_file, own), *sorted(solutions.glob("*.py"))):
        seal.update(path.name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    seal.update(json.dumps(drawn, sort_keys=True).encode())
    return seal.hexdigest()


@cache
def _code() -> bytes:
    """Return a digest of all code that draws and proves: this package, Python and numpy."""
    code = hashlib.sha256(f"{sys.version} {np.__version__}".encode())
    package = Path(coursekit.__file__).parent
    for path in sorted(package.rglob("*.py")):
        name = path.relative_to(package).as_posix().encode()
        code.update(name + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return code.digest()
