"""Marks a class in forks of itself, which a test may kill: imports are done once, so a kill falls
into the work. Notebooks are run in this process, so that nearly all of the time is writing.

Reads `go CLASS COURSE N` lines; answers each by the fork's pid, then by how the fork ended and how
many calls its marking made. With N above 0 the fork kills itself at its N-th call of any function,
Python's or C's: before a write, a rename, a commit, or anywhere between. `warm CLASS COURSE 0` marks
in this process, so that the forks find everything imported and prepared.
"""

from __future__ import annotations

import io
import os
import signal
import sys
import traceback
from contextlib import redirect_stdout
from functools import partial
from pathlib import Path

import alembic.script  # noqa: F401
import nbgrader.api
import nbgrader.apps
import nbgrader.preprocessors  # noqa: F401

from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import load
from coursekit.classroom.running.plain_value import plain
from coursekit.classroom.running.runner import Limits, Run


class Here:
    """Runs notebooks in this process: their cells are the test's own."""

    limits = Limits()

    def runs(self, tasks):
        for task in tasks:
            yield task, self.run(task.notebook, task.probes, task.files)

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


def main():
    for line in sys.stdin:
        word, folder, course, last = line.split()
        if word == "warm":
            mark_class.mark_class(opened(folder, course), place=Here())
            print("warm", flush=True)
            continue
        reader, writer = os.pipe()
        pid = os.fork()
        if pid == 0:
            os.setsid()
            code = 1
            try:
                work = opened(folder, course)
                calls = counted(partial(mark_class.mark_class, work, place=Here()), int(last))
                os.write(writer, str(calls).encode())
                code = 0
            except BaseException:
                traceback.print_exc()
                sys.stderr.flush()
            finally:
                os._exit(code)
        os.close(writer)
        print(pid, flush=True)
        calls = os.read(reader, 20).decode() or "0"
        os.close(reader)
        print(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), calls, flush=True)


def opened(folder, course):
    return assignments.assignment(load(Path(folder)), "small", Path(course))


def counted(work, last):
    """Return how many calls `work` makes; at the `last`, this process is killed."""
    made = 0

    def count(frame, event, what):
        nonlocal made
        if event in ("call", "c_call"):
            made += 1
            if made == last:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.setprofile(count)
    try:
        work()
    finally:
        sys.setprofile(None)
    return made


if __name__ == "__main__":
    main()
