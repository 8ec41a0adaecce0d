"""One notebook of an exercise: in the cage, without it, and in one warm shell that never forks."""

from __future__ import annotations

import signal

import nbformat
import pytest

from coursekit.classroom import demo, handout, marking, notebooks
from coursekit.classroom.runner import NotIsolatedError, Warm
from coursekit.classroom.template import LIBRARIES
from tests.tools import lack

pytestmark = pytest.mark.xdist_group("bench-runner")
SLUG = "miter-angles"


@pytest.fixture(scope="module")
def work(root, tmp_path_factory):
    folder = demo.open_demo(tmp_path_factory.mktemp("bench"), 1)
    made = handout.assignment(folder, SLUG, root)
    handout.hand_out(made)
    path = folder.bundle("bench-01", SLUG) / f"{SLUG}.ipynb"
    filled = demo.filled(nbformat.read(path, as_version=4), demo.right_cells(made, "bench-01"))
    target = folder.submitted("bench-01", SLUG) / f"{SLUG}.ipynb"
    target.parent.mkdir(parents=True)
    nbformat.write(filled, target)
    return made


@pytest.fixture(scope="module")
def notebook(work):
    return nbformat.read(work.folder.submitted("bench-01", SLUG) / f"{SLUG}.ipynb", as_version=4)


def run_with(benchmark, work, notebook, **how):
    files = {notebooks.NUMBERS_FILE: work.numbers_text("bench-01")}
    probes = notebooks.probes(work.exercise)
    runner = Warm(**how)
    try:
        runner.run(notebook, probes, files)
    except NotIsolatedError as error:
        lack(str(error))
    run = benchmark(runner.run, notebook, probes, files)
    runner.close()
    assert len(run.values) == len(probes)


@pytest.mark.benchmark(group="one notebook")
def test_in_the_cage(benchmark, work, notebook):
    run_with(benchmark, work, notebook)


@pytest.mark.benchmark(group="one notebook")
def test_in_the_weaker_cage(benchmark, work, notebook):
    run_with(benchmark, work, notebook, spaces=False)


@pytest.mark.benchmark(group="one notebook")
def test_without_a_cage(benchmark, work, notebook):
    run_with(benchmark, work, notebook, isolate=False)


@pytest.mark.benchmark(group="one notebook")
def test_in_the_cage_and_marked(benchmark, work):
    release = nbformat.read(work.folder.release(SLUG) / f"{SLUG}.ipynb", as_version=4)
    runner = Warm()
    one, _ = benchmark(marking.mark_one, work, release, "bench-01", runner)
    runner.close()
    assert one.total > 0


@pytest.mark.benchmark(group="one notebook")
def test_floor_one_warm_shell_without_fork_or_marking(
    benchmark, work, notebook, tmp_path, monkeypatch
):
    """The floor: cells run in this very process, one after another, nothing apart, nothing marked."""
    from coursekit.classroom.warm import shell_with

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MPLBACKEND", "module://matplotlib_inline.backend_inline")
    (tmp_path / notebooks.NUMBERS_FILE).write_text(work.numbers_text("bench-01"))
    old = signal.signal(signal.SIGALRM, lambda *_: None)
    shell = shell_with(sorted(LIBRARIES))
    cells = [c.source for c in notebook.cells if c.cell_type == "code"]
    benchmark(lambda: [shell.run(source, 10.0) for source in cells])
    signal.signal(signal.SIGALRM, old)
    assert shell.user_ns["cutter"] > 0
