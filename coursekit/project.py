"""Where the course's own folders are: `course/`, `exercises/`, `solutions/` and `build/`."""

from __future__ import annotations

import os
from pathlib import Path


def root(start: Path | str | None = None) -> Path:
    """Return the folder that holds `course/` and `exercises/`.

    It is looked for from `start` (the folder you stand in) upwards; the environment's
    `COURSEKIT_ROOT` goes first. Raises FileNotFoundError where neither leads to one.
    """
    if start is None and (named := os.environ.get("COURSEKIT_ROOT")):
        start = named
    here = Path(start or Path.cwd()).resolve()
    for folder in (here, *here.parents):
        if (folder / "course" / "_toc.yml").is_file() and (folder / "exercises").is_dir():
            return folder
    raise FileNotFoundError(
        "The command must be run inside the course's folder, the one with course/ and exercises/; "
        f"got {here}. Change to it, or name it in COURSEKIT_ROOT."
    )
