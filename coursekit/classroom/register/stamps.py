"""Whose copy a notebook is: a stamp in its metadata, and a check that only this class can make.

The stamp is a claim like a name on a sheet of paper: it says for whom the copy was made, not who
filled it in. Own numbers never come from it; they are drawn from the roster's id.
"""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass
from typing import Any

from coursekit.classroom.register.class_folder import ClassFolder

KEY = "coursekit"  # in the notebook's metadata


@dataclass(frozen=True)
class Stamp:
    """What a notebook's stamp says: student, exercise, and whether this class made it."""

    student: str
    slug: str
    ours: bool


def stamp(folder: ClassFolder, student: str, slug: str) -> dict[str, str]:
    """Return the stamp of a student's copy of an exercise."""
    return {"student": student, "exercise": slug, "check": _check(folder.secret, student, slug)}


def read(folder: ClassFolder, notebook: Any) -> Stamp | None:
    """Return the stamp of a notebook of any origin, or None if it has none that can be read."""
    metadata = notebook.get("metadata") if isinstance(notebook, dict) else None
    found = metadata.get(KEY) if isinstance(metadata, dict) else None
    if not isinstance(found, dict):
        return None
    parts = [found.get(k) for k in ("student", "exercise", "check")]
    if not all(isinstance(p, str) and len(p) <= 200 for p in parts):
        return None
    student, slug, check = map(str, parts)
    right = _check(folder.secret, student, slug)
    return Stamp(
        student, slug, hmac.compare_digest(check.encode("utf-8", "replace"), right.encode())
    )


def _check(secret: bytes, student: str, slug: str) -> str:
    # Own numbers are drawn with the same secret. Their messages begin with an id, which is never
    # empty, so no stamp can be one of theirs.
    message = "\0".join(("", "identity", student, slug)).encode("utf-8", "replace")
    return hmac.new(secret, message, hashlib.sha256).hexdigest()[:20]
