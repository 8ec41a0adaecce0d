"""Pages' cells run in forks of a warm process: what comes out is what a kernel of its own gives."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from coursekit.book import cells

RUN = """
import json, sys
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook
from coursekit.book import cells
from jupyter_cache.executors.utils import single_nb_execution

for way in json.loads(sys.argv[1]):
    notebook = new_notebook(cells=[new_markdown_cell("no code")])
    notebook.cells += [new_code_cell(source) for source in json.loads(sys.argv[2])]
    run = cells.executed if way == "fork" else single_nb_execution
    done = run(notebook, cwd=sys.argv[3], timeout=int(sys.argv[4]), allow_errors=False)
    print(json.dumps({
        "outputs": [[dict(o) for o in c.outputs] for c in notebook.cells if c.cell_type == "code"],
        "counts": [c.execution_count for c in notebook.cells if c.cell_type == "code"],
        "error": done.err and type(done.err).__name__, "told": done.exc_string or "",
        "language": notebook.metadata["language_info"], "seconds": done.time}))
"""
FIGURE = """
import matplotlib.pyplot as plt
from coursekit.figures import house
house.use()
figure, axes = plt.subplots(1, 2, layout="constrained")
axes[0].plot([0, 1, 4], label=r"$\\varphi$")
axes[0].set_title("A long title that pushes the others aside")
axes[1].set_ylabel("wall, mm")
axes[0].legend();
"""
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="pages run in kernels here")


def ran(ways, sources, folder, seconds=60):
    command = [sys.executable, "-c", RUN, json.dumps(ways), json.dumps(sources), str(folder), str(seconds)]  # fmt: skip
    keep = {k: v for k, v in os.environ.items() if k != "MPLBACKEND"}
    done = subprocess.run(command, capture_output=True, text=True, env=keep | {"OPENBLAS_NUM_THREADS": "1"})  # fmt: skip
    assert done.returncode == 0, done.stderr[-3000:]
    return [json.loads(line) for line in done.stdout.splitlines()]


@LINUX
def test_outputs_are_those_of_a_kernel(tmp_path):
    (tmp_path / "beside.py").write_text("value = 41\n")
    sources = [
        "import sympy as sp\nx = sp.symbols('x', positive=True)\nsp.integrate(x * sp.cos(x), x)",
        "from beside import value\nprint('two', value)\nprint('lines')\nvalue + 1",
        FIGURE,
        "from IPython.display import HTML, display\ndisplay(HTML('<b>bold</b>'))\nNone",
        "import sys\nprint('not well', file=sys.stderr)",
        "'figure' in globals() and _",
    ]
    fork, kernel = ran(["fork", "kernel"], sources, tmp_path)
    assert fork["error"] is None and kernel["error"] is None
    assert fork["outputs"] == kernel["outputs"]
    assert fork["counts"] == kernel["counts"] == [1, 2, 3, 4, 5, 6]
    assert fork["language"]["pygments_lexer"] == kernel["language"]["pygments_lexer"]
    assert fork["outputs"][0][0]["data"]["text/latex"] == r"$\displaystyle x \sin{\left(x \right)} + \cos{\left(x \right)}$"  # fmt: skip
    assert fork["outputs"][2][0]["data"]["image/svg+xml"].count("<path") > 20
    assert fork["outputs"][4] == [{"output_type": "stream", "name": "stderr", "text": "not well\n"}]


@LINUX
def test_a_cell_that_fails_ends_its_page_as_in_a_kernel(tmp_path):
    sources = ["print('before')", "1 / 0", "print('after')"]
    fork, kernel = ran(["fork", "kernel"], sources, tmp_path)
    for done in (fork, kernel):
        assert done["error"] == "CellExecutionError"
        assert "division by zero" in done["told"]
        assert [len(o) for o in done["outputs"]] == [1, 1, 0]
        assert done["outputs"][1][0]["ename"] == "ZeroDivisionError"


@LINUX
def test_no_page_sees_what_another_did(tmp_path):
    one, other = ran(["fork", "fork"], ["'left' in globals()", "left = 1"], tmp_path)
    assert one == other | {"seconds": one["seconds"]}
    assert other["outputs"][0][0]["data"] == {"text/plain": "False"}


@LINUX
@pytest.mark.parametrize(
    "source, seconds, said",
    [
        ("while True: pass", 1, "This cell ran too long and was stopped."),
        ("import os; os._exit(3)", 60, "The page's process ended before this cell did."),
    ],
)
def test_a_page_that_does_not_end_well_is_told(tmp_path, source, seconds, said):
    [done] = ran(["fork"], ["1 + 1", source, "2"], tmp_path, seconds)
    assert done["error"] == "CellExecutionError" and said in done["told"]
    assert done["outputs"][0][0]["data"]["text/plain"] == "2" and done["outputs"][2] == []


@pytest.mark.parametrize("left", [None, "", '{"cells": [{"cell_'])
def test_a_page_whose_keeping_was_cut_short_is_run_again(tmp_path, monkeypatch, left):
    """What a stopped build leaves: a note of the page, and of its outputs nothing or the first half."""
    import myst_nb.core.execute.cache as stock
    from jupyter_cache.base import CacheBundleIn
    from nbformat.v4 import new_code_cell, new_notebook

    monkeypatch.setattr(stock, "get_cache", stock.get_cache)
    cells.trust_whole_records()
    notebook = new_notebook(cells=[new_code_cell("1 + 1")])
    kept = stock.get_cache(str(tmp_path))
    record = kept.cache_notebook_bundle(CacheBundleIn(notebook, "page.md"), check_validity=False)
    assert kept.match_cache_notebook(notebook).pk == record.pk
    [outputs] = (tmp_path / "executed").glob("*/base.ipynb")
    if left is None:
        outputs.unlink()
    else:
        outputs.write_text(left)
    with pytest.raises(KeyError, match=r"page\.md"):
        stock.get_cache(str(tmp_path)).match_cache_notebook(notebook)


def test_what_one_process_has_kept_no_other_removes(tmp_path, monkeypatch):
    """Two pages of the same cells may be run at once; the second takes what the first has kept."""
    import myst_nb.core.execute.cache as stock
    from jupyter_cache.base import CacheBundleIn
    from nbformat.v4 import new_code_cell, new_notebook

    monkeypatch.setattr(stock, "get_cache", stock.get_cache)
    cells.trust_whole_records()
    notebook = new_notebook(cells=[new_code_cell("1 + 1")])
    how = {"check_validity": False, "overwrite": True}
    one, two = stock.get_cache(str(tmp_path)), stock.get_cache(str(tmp_path))
    first = one.cache_notebook_bundle(CacheBundleIn(notebook, "page.md"), **how)
    [outputs] = (tmp_path / "executed").glob("*/base.ipynb")
    there = outputs.stat().st_ino
    again = two.cache_notebook_bundle(CacheBundleIn(notebook, "other.md"), **how)
    assert (again.pk, outputs.stat().st_ino) == (first.pk, there)
    outputs.unlink()  # what a stopped build left is written again
    two.cache_notebook_bundle(CacheBundleIn(notebook, "other.md"), **how)
    assert outputs.is_file()


def test_elsewhere_pages_run_in_kernels(monkeypatch):
    import myst_nb.core.execute.cache as stock
    from jupyter_cache.executors import utils

    monkeypatch.setattr(stock, "single_nb_execution", utils.single_nb_execution)
    monkeypatch.setattr(sys, "platform", "darwin")
    assert not cells.use() and stock.single_nb_execution is utils.single_nb_execution
    monkeypatch.setattr(sys, "platform", "linux")
    assert cells.use() and stock.single_nb_execution is cells.executed


@LINUX
def test_a_figure_is_drawn_for_the_page_alone(tmp_path):
    """Matplotlib's own hook for windows would draw each figure once more, in dots."""
    counted = """
from matplotlib.backends.backend_agg import FigureCanvasAgg
drawn = []
stock = FigureCanvasAgg.draw
FigureCanvasAgg.draw = lambda canvas: drawn.append(canvas) or stock(canvas)
"""
    [done] = ran(["fork"], [counted, FIGURE, "len(drawn)"], tmp_path)
    assert "image/svg+xml" in done["outputs"][1][0]["data"]
    assert done["outputs"][2][0]["data"]["text/plain"] == "0"
