"""Runs the cells of the book's pages in forks of one warm process, without a kernel for each page.

Starting a kernel and its imports takes longer than the cells of a page. The outputs are the same;
`tests/book/test_cells.py` runs a page both ways. It is safe to fork such a process only on Linux,
so pages run in kernels everywhere else.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import json
import os
import pkgutil
import shutil
import sys
import time
import traceback
from functools import cache
from pathlib import Path
from typing import Any

from coursekit.classroom.register.lock_and_backup import held
from coursekit.classroom.running import cell_clock, warm_parent

_LONGEST_WRITE = 600.0  # seconds that a process waits for the others to write their outputs

_FIRST = """
import io
import matplotlib.pyplot as plt
import sympy
figure, axes = plt.subplots(layout="constrained")
axes.plot([0, 1], label=r"$\\varphi_1$")
axes.set_title(r"First figure, $\\frac{x^2}{\\sqrt{y}}$")
axes.legend()
figure.savefig(io.BytesIO(), format="svg")
x = sympy.symbols("x", positive=True)
sympy.lambdify(x, x)
sympy.simplify(sympy.sqrt(x**2 - x) / sympy.integrate(x * sympy.sin(x), (x, 0, x)));
"""
_LANGUAGE = {
    "name": "python",
    "file_extension": ".py",
    "mimetype": "text/x-python",
    "codemirror_mode": {"name": "ipython", "version": 3},
    "nbconvert_exporter": "python",
    "pygments_lexer": "ipython3",
}


def use() -> bool:
    """Make myst-nb run pages in forks of this process; return False if this system can't."""
    if sys.platform != "linux":
        return False
    import myst_nb.core.execute.cache as stock

    stock.single_nb_execution = executed
    return True


def trust_whole_records() -> None:
    """Make myst-nb use a page's entry in the cache only if the outputs are really there.

    jupyter-cache notes a page first and writes its outputs afterwards. A build that is stopped
    between the two leaves a note without outputs, on which every later build would fail. Of two
    processes that run the same cells at once, the second would remove what the first has written
    while somebody reads it; here it takes the first one's, which is the same.
    """
    import myst_nb.core.execute.cache as stock
    from jupyter_cache.cache.main import JupyterCacheBase

    class Cache(JupyterCacheBase):  # type: ignore[misc]
        """jupyter-cache's own cache, except that a note without outputs does not count."""

        def match_cache_notebook(self, nb: Any) -> Any:
            found = super().match_cache_notebook(nb)
            try:
                self.get_cache_bundle(found.pk)
            except Exception as error:
                raise KeyError(f"the outputs of {found.uri} are not whole") from error
            return found

        def cache_notebook_bundle(self, bundle: Any, *how: Any, **more: Any) -> Any:
            with held(Path(self.path) / "one-writer.lock", _LONGEST_WRITE):
                try:
                    return self.match_cache_notebook(bundle.nb)
                except KeyError:
                    _, key = self.create_hashed_notebook(bundle.nb)
                    half = self._get_notebook_path_cache(key).parent
                    shutil.rmtree(half, ignore_errors=True)
                    return super().cache_notebook_bundle(bundle, *how, **more)

    stock.get_cache = Cache


def warm(kept: str) -> None:
    """Import what pages use and make the cache of outputs in `kept`, once for all processes."""
    from jupyter_cache import get_cache

    _ = get_cache(kept).db  # the first access makes its tables
    _shell()


@cache
def _shell() -> Any:
    """Return the shell with which every fork begins, its libraries imported and used once."""
    os.environ["MPLBACKEND"] = warm_parent.BACKEND
    from coursekit import figures
    from coursekit.classroom.running import cell_shell

    shell = cell_shell.make()
    for found in pkgutil.iter_modules(figures.__path__, f"{figures.__name__}."):
        importlib.import_module(found.name)
    from matplotlib import pyplot

    pyplot.draw_all = _lay_out
    shell.run(_FIRST, 0)
    shell.reset(new_session=True)  # type: ignore[no-untyped-call]
    gc.freeze()
    return shell


def _lay_out(force: bool = False) -> None:
    """Lay the open figures out; pyplot's own function would also paint them, for no window.

    It is called after each cell, before the figures are shown. In a kernel, figures are laid out
    twice, and the second time starts from the first, so this first one is needed for equal figures.
    """
    from matplotlib._pylab_helpers import Gcf

    for manager in Gcf.get_all_fig_managers():
        figure = manager.canvas.figure
        if (force or figure.stale) and figure.axes and (engine := figure.get_layout_engine()):
            with contextlib.suppress(ValueError):  # as pyplot does when it paints
                engine.execute(figure)


def executed(
    notebook: Any,
    cwd: str | None = None,
    timeout: int | None = None,
    allow_errors: bool = False,
    **_: Any,
) -> Any:
    """Run a notebook's cells in order in a fork and put their outputs in, as jupyter-cache asks.

    Parameters
    ----------
    notebook : NotebookNode
        Changed in place.
    cwd : str, optional
        Folder in which the cells run.
    timeout : int, optional
        Seconds that a cell may take.
    allow_errors : bool
        Whether the cells after one that failed are run.
    **_
        Other arguments of the function that this replaces; none of them changes an output.

    Returns
    -------
    ExecutionResult
        jupyter-cache's own; its `err` holds the failure of a cell, if there was one.
    """
    from jupyter_cache.executors.utils import ExecutionResult
    from nbclient.exceptions import CellExecutionError
    from nbformat import from_dict

    start, error, told = time.perf_counter(), None, None
    cells = [c for c in notebook.cells if c.cell_type == "code"]
    ran = _in_fork([str(c.source) for c in cells], cwd or ".", float(timeout or 0), allow_errors)
    for count, (cell, outputs) in enumerate(zip(cells, ran, strict=False), 1):
        cell.execution_count = count
        cell.outputs = [from_dict(o) for o in outputs]
    notebook.metadata["language_info"] = _LANGUAGE | {"version": sys.version.split()[0]}
    if (failure := _failure(ran, len(cells))) and not allow_errors:
        place, message = failure
        try:
            raise CellExecutionError.from_cell_and_msg(cells[place], message)
        except CellExecutionError as raised:
            error, told = raised, traceback.format_exc()
    return ExecutionResult(notebook, cwd, time.perf_counter() - start, error, told)


def _failure(ran: list[Any], count: int) -> tuple[int, dict[str, Any]] | None:
    """Return which cell failed first and what it said; None if all went well."""
    for place, outputs in enumerate(ran):
        for one in outputs:
            if one["output_type"] == "error":
                return place, one
    if len(ran) == count:
        return None
    said = "The page's process ended before this cell did."
    return len(ran), {"ename": "RuntimeError", "evalue": said, "traceback": [said]}


def _in_fork(sources: list[str], cwd: str, seconds: float, go_on: bool) -> list[Any]:
    """Return the outputs of each cell, up to where the fork got."""
    shell = _shell()
    sys.stdout.flush()
    sys.stderr.flush()
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        with contextlib.suppress(BaseException):
            os.close(read)
            _run(shell, sources, cwd, seconds, go_on, write)
        os._exit(0)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as lines:
        ran = [json.loads(line) for line in lines if line.endswith("\n")]
    os.waitpid(child, 0)
    return ran


def _run(shell: Any, sources: list[str], cwd: str, seconds: float, go_on: bool, write: int) -> None:
    os.chdir(cwd)
    sys.path.insert(0, "")
    cell_clock.get_ready()
    with os.fdopen(write, "w", encoding="utf-8") as pipe:
        for source in sources:
            outputs = shell.run(source, seconds)
            pipe.write(json.dumps(outputs) + "\n")
            pipe.flush()
            if not go_on and any(o["output_type"] == "error" for o in outputs):
                return
