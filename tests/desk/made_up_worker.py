"""A worker with jobs that end when the test says so. Run it as the desk runs its own worker."""

from __future__ import annotations

import os
import sys
import time
import types
from pathlib import Path

from coursekit.desk import worker


def run(folder, root, said, tell):
    """Say that it has begun, and do what was asked once the file `until` is there."""
    (folder.path / f"began-{said['name']}").touch()
    tell("has begun", 1, 3)
    print("a library that prints")
    while not Path(said["until"]).exists():
        time.sleep(0.01)
    if said.get("ends") == "dies":
        os._exit(3)
    if said.get("ends") == "refuses":
        raise ValueError("The tube must be cut; got no tube. Cut it.")
    if said.get("ends") == "breaks":
        raise KeyError("of the kit")
    return {"name": said["name"]}


if __name__ == "__main__":
    made_up = types.ModuleType("coursekit.desk.tasks.made_up")
    made_up.run = run
    sys.modules["coursekit.desk.tasks.made_up"] = made_up
    worker.main()
