"""Where the course's own folders are: `course/`, `exercises/`, `solutions/` and `build/`."""

from __future__ import annotations

import os
from pathlib import Path


def root(start: Path | str | None = None) -> Path:
    """Return the folder that holds `course/` and `exercises/`.

    The environment's `COURSEKIT_ROOT` goes first; otherwise the search runs from `start` upwards.

    Parameters
    ----------
    start : Path or str, optional
        Where to look; the folder you stand in unless you say otherwise.

    Returns
    -------
    Path
        The course's folder.

    Raises
    ------
    FileNotFoundError
        "The command must be run inside the course's folder, the one with course/ and exercises/; …"
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
