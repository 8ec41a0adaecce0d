"""All attacks that can be listed, with what must come of each and what came.

`uv run --group dev python -m tests.hostile`, or with words, those that have one of them in their name.
"""

from __future__ import annotations

import subprocess
import sys

LISTS = ("intake_attacks", "class_attacks", "viewer_attacks", "idle_attacks")

if __name__ == "__main__":
    ended = [
        subprocess.run([sys.executable, "-m", f"tests.hostile.{name}", *sys.argv[1:]]).returncode
        for name in LISTS
    ]
    raise SystemExit(any(ended))
