"""One notebook: in the cage, without it, and in one warm shell that never forks.

Each exercise of the course, solved, and the first once more with a figure in a cell of its own.
"""

from __future__ import annotations

import signal

import nbformat
import pytest

from coursekit.classroom.bank import exercises, notebooks
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake import first_look
from coursekit.classroom.intake.submission import Submission
from coursekit.classroom.marking import mark_class
from coursekit.classroom.running.runner import NotIsolatedError, Warm
from coursekit.classroom.running.warm_parent import LIBRARIES, WarmParent
from tests.conftest import ROOT
from tests.tools import lack

SLUGS = exercises.slugs(ROOT)
FIGURE = """
import numpy as np
import matplotlib.pyplot as plt
turn = np.radians(np.arange(0, 361, 2))
figure, axes = plt.subplots(figsize=(6, 3))
axes.plot(turn, np.cos(turn), label="edge")
axes.set_xlabel("around the tube, rad")
axes.legend();
"""


@pytest.fixture(scope="module", params=[*SLUGS, f"{SLUGS[0]} and a figure"])
def work(request, root, tmp_path_factory):
    slug, _, figure = request.param.partition(" and ")
    folder = invented_class.open_demo(tmp_path_factory.mktemp("bench"), 1)
    made = assignments.assignment(folder, slug, root)
    assignments.hand_out(made)
    path = folder.bundle("bench-01", slug) / f"{slug}.ipynb"
    filled = invented_class.filled(
        nbformat.read(path, as_version=4), invented_class.right_cells(made, "bench-01")
    )
    if figure:
        filled.cells.append(nbformat.v4.new_code_cell(FIGURE, id="figure"))
    target = folder.submitted("bench-01", slug) / f"{slug}.ipynb"
    target.parent.mkdir(parents=True)
    nbformat.write(filled, target)
    return made


@pytest.fixture(scope="module")
def notebook(work):
    path = work.folder.submitted("bench-01", work.slug) / f"{work.slug}.ipynb"
    return nbformat.read(path, as_version=4)


@pytest.fixture
def parent(work):
    """The warm parent as the command starts it for this work."""
    made = WarmParent(first_look.new_work(work.folder, [work.slug]).libraries)
    yield made
    made.close()


def run_with(benchmark, work, notebook, parent, **how):
    files = {notebooks.NUMBERS_FILE: work.numbers_text("bench-01")}
    probes = notebooks.probes(work.exercise)
    runner = Warm(parent=parent, **how)
    try:
        runner.run(notebook, probes, files)
    except NotIsolatedError as error:
        lack(str(error))
    run = benchmark(runner.run, notebook, probes, files)
    runner.close()
    assert len(run.values) == len(probes)


@pytest.mark.benchmark(group="one notebook")
def test_in_the_cage(benchmark, work, notebook, parent):
    run_with(benchmark, work, notebook, parent)


@pytest.mark.benchmark(group="one notebook")
def test_in_the_weaker_cage(benchmark, work, notebook, parent):
    run_with(benchmark, work, notebook, parent, spaces=False)


@pytest.mark.benchmark(group="one notebook")
def test_without_a_cage(benchmark, work, notebook, parent):
    run_with(benchmark, work, notebook, parent, isolate=False)


@pytest.mark.benchmark(group="one notebook")
def test_in_the_cage_and_marked(benchmark, work, parent):
    release = nbformat.read(work.folder.release(work.slug) / f"{work.slug}.ipynb", as_version=4)
    runner = Warm(parent=parent)
    handed_in = Submission.read(work.folder, "bench-01", work.slug)
    one, _ = benchmark(mark_class.mark_one, work, release, handed_in, runner)
    runner.close()
    assert one.total > 0


@pytest.mark.benchmark(group="one notebook")
def test_floor_one_warm_shell_without_fork_or_marking(
    benchmark, work, notebook, tmp_path, monkeypatch
):
    """The floor: cells run in this very process, one after another, nothing apart, nothing marked."""
    from coursekit.classroom.running.warm_process import shell_with

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MPLBACKEND", "module://matplotlib_inline.backend_inline")
    (tmp_path / notebooks.NUMBERS_FILE).write_text(work.numbers_text("bench-01"))
    old = signal.signal(signal.SIGALRM, lambda *_: None)
    shell = shell_with(sorted(LIBRARIES))
    cells = [c.source for c in notebook.cells if c.cell_type == "code"]
    benchmark(lambda: [shell.run(source, 10.0) for source in cells])
    signal.signal(signal.SIGALRM, old)
    assert all(p.variable in shell.user_ns for p in notebooks.probes(work.exercise))
