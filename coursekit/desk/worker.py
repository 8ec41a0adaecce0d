"""The process beside the desk that runs its jobs, one after the other.

It reads an order a line on its input and writes a line for each step, as JSON. What a library
prints goes to its error stream, so that it can't be taken for an answer. When the desk ends, the
input ends, and the worker goes when the job at hand is done.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import threading
import time
import traceback
from pathlib import Path
from typing import Any, TextIO

from coursekit import light_start

NOTE = "desk-job.json"
AHEAD = "--ahead"  # load what most jobs need while nobody waits for it


def note_of(folder: Path) -> Path:
    """Return the file that names the job at hand, for whoever starts the desk after a crash."""
    return folder / ".made" / NOTE


def main() -> None:
    """Run orders until there are no more."""
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    if hasattr(os, "nice"):
        os.nice(5)  # the pages come first
    light_start.imports()
    light_start.one_thread()
    if AHEAD in sys.argv[1:]:
        threading.Thread(target=_load, daemon=True).start()
    for line in sys.stdin:
        _answer(json.loads(line), out)


def _load() -> None:
    """Import what most jobs need, while nobody waits for it."""
    import nbgrader.api  # noqa: F401
    import typst  # noqa: F401


def _answer(order: dict[str, Any], out: TextIO) -> None:
    from coursekit.classroom.register import class_folder
    from coursekit.desk.tasks import keep_before, task

    def say(**facts: object) -> None:
        with contextlib.suppress(OSError):  # the desk has ended; the job goes on to its end
            out.write(json.dumps({"job": order["job"]} | facts) + "\n")
            out.flush()

    def tell(words: str, done: int, of: int) -> None:
        say(now=words, done=done, of=of)

    note = note_of(Path(order["class"]))
    try:
        run = task(order["task"])
        folder = class_folder.load(Path(order["class"]))
        note.parent.mkdir(exist_ok=True)
        note.write_text(json.dumps({"words": order["words"], "began": time.time()}), "utf-8")
        keep_before(order["task"], folder, order["words"])
        say(result=run(folder, Path(order["root"]), order["said"], tell))
    except (ValueError, FileNotFoundError) as error:
        say(failed=str(error))
    except Exception as error:
        traceback.print_exc()
        say(failed=f"Something in the kit failed: {type(error).__name__}: {error}")
    with contextlib.suppress(OSError):
        note.unlink(missing_ok=True)


if __name__ == "__main__":
    main()
