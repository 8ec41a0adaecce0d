"""Marks a class in forks of itself, which a test may kill: imports are done once, so a kill falls
into the work. Notebooks are run in this process, so that nearly all of the time is writing.

Reads `go CLASS COURSE` lines; answers each by the fork's pid, then by how the fork ended.
"""

from __future__ import annotations

import io
import os
import sys
from contextlib import redirect_stdout
from pathlib import Path

import sqlalchemy.orm  # noqa: F401

from coursekit.classroom import handout, marking
from coursekit.classroom.classes import load
from coursekit.classroom.plain import plain
from coursekit.classroom.runner import Limits, Run


class Here:
    """Stands in for the warm process: the cells of these notebooks are the test's own."""

    def __init__(self, limits):
        self.limits = limits or Limits()

    def run(self, notebook, probes, files):
        wanted = {p.cell: p.variable for p in probes}
        scope, run = {}, Run()
        os.chdir("/")
        for index, cell in enumerate(notebook.cells):
            if cell.id in wanted:
                run.values[cell.id] = plain(scope.get(wanted[cell.id]))
            if cell.cell_type == "code":
                run.outputs[index] = self.outputs(cell, scope, files)
        return run

    def outputs(self, cell, scope, files):
        said = io.StringIO()
        scope["open"] = lambda name, **_: io.StringIO(files[name])
        try:
            with redirect_stdout(said):
                exec(cell.source, scope)
        except Exception as error:
            name, text = type(error).__name__, str(error)
            return [{"output_type": "error", "ename": name, "evalue": text, "traceback": []}]
        return [{"output_type": "stream", "name": "stdout", "text": said.getvalue()}]

    def close(self):
        pass


def main():
    marking.Warm = Here
    for line in sys.stdin:
        _, folder, course = line.split()
        pid = os.fork()
        if pid == 0:
            os.setsid()
            code = 1
            try:
                work = handout.assignment(load(Path(folder)), "small", Path(course))
                marking.mark_class(work, workers=1)
                code = 0
            finally:
                os._exit(code)
        print(pid, flush=True)
        print(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), flush=True)


if __name__ == "__main__":
    main()
