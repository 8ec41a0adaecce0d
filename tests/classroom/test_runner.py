"""The runner: outputs as a notebook has them, values, limits, refusal, and no trace between two runs."""

from __future__ import annotations

import base64
import os
import signal
import sys
import threading

import nbformat
import pytest

from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.running.cage.layers import Layers, refusal
from coursekit.classroom.running.runner import Limits, NotIsolatedError, RunnerError, Warm, warm
from coursekit.classroom.running.warm_parent import WarmParent
from tests.tools import lack

HANGS = """
while True:
    try:
        for i in iter(int, 1): (lambda: i)()
    except BaseException: pass
"""


def notebook(*cells: str):
    made = [nbformat.v4.new_code_cell(c, id=f"c{i}") for i, c in enumerate(cells)]
    return nbformat.v4.new_notebook(cells=made)


@pytest.fixture(scope="module")
def caged():
    runner = Warm(Limits(cell=60.0, notebook=600.0))
    try:
        runner.run(notebook("1"), [], {})
    except NotIsolatedError as error:
        lack(str(error))
    yield runner
    runner.close()


def test_outputs_are_kept_as_a_notebook_has_them(caged):
    run = caged.run(
        notebook(
            "import sys\nprint('a'); print('b'); print('c', file=sys.stderr)\n1 + 1",
            "import matplotlib.pyplot as plt\nfig, ax = plt.subplots()\nax.plot([1, 2]);",
            "1 / 0",
            "'quiet';",
        ),
        [],
        {},
    )
    assert run.outputs[0] == [
        {"output_type": "stream", "name": "stdout", "text": "a\nb\n"},
        {"output_type": "stream", "name": "stderr", "text": "c\n"},
        {"output_type": "execute_result", "data": {"text/plain": "2"}, "metadata": {}, "execution_count": None},
    ]  # fmt: skip
    (figure,) = run.outputs[1]
    assert base64.b64decode(figure["data"]["image/png"]).startswith(b"\x89PNG\r\n\x1a\n")
    assert run.outputs[2][0]["ename"] == "ZeroDivisionError"
    assert any("1 / 0" in line for line in run.outputs[2][0]["traceback"])
    assert run.outputs[3] == []


def test_a_value_is_read_before_its_cell_runs(caged):
    run = caged.run(notebook("x = 1", "x = 2"), [Probe("c1", "x")], {})
    assert run.values == {"c1": {"is": "int", "value": "1"}}


def test_files_lie_where_the_notebook_runs(caged):
    run = caged.run(notebook("x = open('a.txt').read()", ""), [Probe("c1", "x")], {"a.txt": "é"})
    assert run.values["c1"] == {"is": "text", "value": "é"}


def test_a_temporary_file_can_be_made(caged):
    run = caged.run(
        notebook(
            "import tempfile\nwith tempfile.NamedTemporaryFile() as f: x = f.write(b'12')", ""
        ),
        [Probe("c1", "x")],
        {},
    )
    assert run.values["c1"] == {"is": "int", "value": "2"}


def test_a_library_that_was_not_imported_before_can_be_used_all_the_same(caged):
    parent = WarmParent(())
    runner = Warm(Limits(cell=60.0, notebook=600.0), parent=parent)
    run = runner.run(
        notebook(
            "import sys\nbefore = [m for m in ('matplotlib', 'sympy') if m in sys.modules]",
            "import matplotlib.pyplot as plt\nplt.plot([1, 2]);",
            "import sympy\nx = sympy.Rational(1, 4)",
            "",
        ),
        [Probe("c1", "before"), Probe("c3", "x")],
        {},
    )
    runner.close()
    parent.close()
    assert run.values == {
        "c1": {"is": "list", "value": []},
        "c3": {"is": "float", "value": "0.25"},
    }
    (figure,) = run.outputs[1]  # the figure, and no word on folders or fonts
    assert base64.b64decode(figure["data"]["image/png"]).startswith(b"\x89PNG")


def test_warm_processes_of_one_template_end_each_by_itself(caged):
    parent = WarmParent(())
    first, second = (Warm(Limits(cell=60.0, notebook=600.0), parent=parent) for _ in range(2))
    for runner in (first, second):
        assert runner.run(notebook("x = 1", ""), [Probe("c1", "x")], {}).values
    first.close()
    assert second.run(notebook("x = 2", ""), [Probe("c1", "x")], {}).values["c1"]["value"] == "2"
    parent.close()  # its forks go on without it
    assert second.run(notebook("x = 3", ""), [Probe("c1", "x")], {}).values["c1"]["value"] == "3"
    second.close()


def test_a_warm_process_that_was_killed_is_forked_anew(caged):
    runner = Warm(Limits(cell=60.0, notebook=600.0), parent=(parent := WarmParent(())))
    runner.run(notebook("1"), [], {})
    os.kill(runner._child._pid, signal.SIGKILL)
    assert runner.run(notebook("x = 4", ""), [Probe("c1", "x")], {}).values["c1"]["value"] == "4"
    runner.close()
    parent.close()


def test_a_cell_whose_warm_process_was_killed_runs_once_more(caged):
    """A full machine may have killed it; a cell that always brings it down is left out."""
    with warm(Limits(cell=60.0, notebook=600.0)) as runner:
        runner.run(notebook("1"), [], {})
        kill = threading.Timer(1.0, os.kill, (runner._child._pid, signal.SIGKILL))
        kill.start()
        slow = notebook("import time\ntime.sleep(2)\nx = 6", "")
        run = runner.run(slow, [Probe("c1", "x")], {})
        kill.join()
    assert not run.stopped
    assert run.values["c1"]["value"] == "6"


def test_the_limit_that_was_passed_is_told_even_where_the_warm_process_answers_no_more(monkeypatch):
    monkeypatch.setattr("coursekit.classroom.running.runner._farewell", lambda *_: {})
    with warm(Limits(cell=0.5, notebook=20.0)) as runner:
        run = runner.run(notebook(HANGS, "y = 2", ""), [Probe("c2", "y")], {})
    assert run.stopped == {0: "time"}
    assert run.values["c2"]["value"] == "2"


def test_nothing_of_one_notebook_is_there_in_the_next(caged):
    caged.run(notebook("import numpy\nnumpy.left = left = 1\nopen('left', 'w').close()"), [], {})
    seen = "import os, numpy\nx = [hasattr(numpy, 'left'), 'left' in globals(), bool(os.listdir())]"
    run = caged.run(notebook(seen, ""), [Probe("c1", "x")], {})
    assert [v["value"] for v in run.values["c1"]["value"]] == [False, False, False]


def test_a_notebook_starts_without_history(caged):
    run = caged.run(notebook("x = [len(In), len(Out)]", ""), [Probe("c1", "x")], {})
    assert [v["value"] for v in run.values["c1"]["value"]] == ["2", "0"]


def test_libraries_of_arithmetic_are_held_to_one_thread(caged):
    names = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
    cell = (
        f"import os, threading\nx = [os.environ[n] for n in {names}] + [threading.active_count()]"
    )
    run = caged.run(notebook(cell, ""), [Probe("c1", "x")], {})
    assert [v["value"] for v in run.values["c1"]["value"]] == ["1", "1", "1", "1"]


def test_a_long_recursion_is_told_in_time(caged):
    run = caged.run(notebook("def f(): return f()\nf()"), [], {})
    assert run.outputs[0][0]["ename"] == "RecursionError"


def test_what_is_printed_past_the_limit_is_left_out_with_a_word(caged):
    run = caged.run(notebook("print('x' * 10**6)\nprint('y')"), [], {})
    (stream,) = run.outputs[0]
    assert 200_000 < len(stream["text"]) < 200_200
    assert stream["text"].endswith("the rest has been left out.")


def test_a_cell_that_ends_the_process_is_left_out_and_the_rest_runs(caged):
    run = caged.run(
        notebook("a = 1", "import os; os._exit(0)", "b = a + 1", ""), [Probe("c3", "b")], {}
    )
    assert run.stopped == {1: "exit"}
    assert run.values["c3"] == {"is": "int", "value": "2"}


def test_the_time_of_a_notebook_holds_with_its_restarts():
    with warm(Limits(cell=0.5, notebook=2.5)) as runner:
        run = runner.run(notebook("x = 1", *[HANGS] * 6, ""), [Probe("c7", "x")], {})
    assert 2 <= len(run.stopped) <= 4
    assert set(run.stopped.values()) == {"time"}


def test_a_notebook_is_stopped_though_each_of_its_cells_is_quick_enough():
    work = "import time\nuntil = time.process_time() + 0.6\nwhile time.process_time() < until: pass"
    with warm(Limits(cell=1.0, notebook=2.0)) as runner:
        run = runner.run(notebook(*[work] * 8), [], {})
    assert list(run.stopped.values()) == ["time"]
    assert 2 <= min(run.stopped) <= 5


def test_time_in_which_a_cell_does_not_run_is_not_its_own():
    """It sleeps twice its limit, as a cell does whose machine is busy with something else."""
    with warm(Limits(cell=0.5, notebook=1.0)) as runner:
        run = runner.run(notebook("import time\ntime.sleep(3)\nx = 7", ""), [Probe("c1", "x")], {})
    assert run.stopped == {}
    assert run.values["c1"]["value"] == "7"


def test_a_cell_that_waits_for_ever_is_stopped_from_inside():
    with warm(Limits(cell=0.2, notebook=20.0)) as runner:
        run = runner.run(
            notebook("import time\ntime.sleep(900)", "x = 8", ""), [Probe("c2", "x")], {}
        )
    assert run.outputs[0][0]["ename"] == "CellTimeout"
    assert run.values["c2"]["value"] == "8"


def test_a_cell_that_waits_for_ever_and_hears_nothing_is_stopped_from_outside():
    deaf = "import signal, time\nsignal.pthread_sigmask(signal.SIG_BLOCK, range(1, 65))\ntime.sleep(900)"
    with warm(Limits(cell=0.2, notebook=20.0)) as runner:
        run = runner.run(notebook(deaf, "x = 8", ""), [Probe("c2", "x")], {})
    assert run.stopped == {0: "time"}
    assert run.values["c2"]["value"] == "8"


def test_what_a_cells_children_take_counts_as_its_own(caged):
    """Long before the clock would stop the cell, which only waits: that would be said inside."""
    if not caged.layers.spaces:
        lack("in the weaker cage no process can be started")
    burns = """
import os
for _ in range(8):  # many, so that they get on even where the machine is busy
    if os.fork() == 0:
        while True: pass
os.wait()
"""
    with warm(Limits(cell=1.0, notebook=600.0)) as runner:
        run = runner.run(notebook(burns, "x = 9", ""), [Probe("c2", "x")], {})
    assert run.stopped == {0: "time"}
    assert run.outputs.get(0) is None
    assert run.values["c2"]["value"] == "9"


@pytest.mark.skipif(sys.platform != "linux", reason="the way without a cage differs elsewhere")
def test_without_a_cage_a_machine_is_refused(monkeypatch):
    runner = Warm(isolate=True)
    monkeypatch.setattr(runner, "_mode", "open")  # what a machine without any layer answers
    with pytest.raises(NotIsolatedError, match="--no-sandbox"):
        runner.run(notebook("1"), [], {})


def test_the_refusal_says_what_is_missing_and_the_cure(monkeypatch):
    monkeypatch.setattr(sys, "platform", "linux")
    text = refusal(Layers.none(("own namespaces: Operation not permitted",)))
    for words in ("Landlock", "user.max_user_namespaces", "--no-sandbox", "not permitted"):
        assert words in text


@pytest.mark.parametrize(("platform", "words"), [("darwin", "macOS has no"), ("win32", "no fork")])
def test_other_systems_are_told_plainly(monkeypatch, platform, words):
    monkeypatch.setattr(sys, "platform", platform)
    assert words in refusal(Layers.none())


def test_windows_cannot_run_even_without_a_cage(monkeypatch):
    monkeypatch.setattr(sys, "platform", "win32")
    with pytest.raises(RunnerError, match="no fork"):
        Warm(isolate=False).run(notebook("1"), [], {})


@pytest.mark.parametrize(
    ("facts", "isolated"),
    [
        ({}, False),
        ({"spaces": True}, True),
        ({"landlock": 1}, False),
        ({"calls": True}, False),
        ({"landlock": 1, "calls": True}, True),
        ({"user": "dropped", "group": True}, False),
    ],
)
def test_the_least_that_may_be_called_isolated(facts, isolated):
    assert Layers(**facts).isolated is isolated


@pytest.mark.parametrize("name", ["cell", "notebook", "memory", "processes"])
def test_a_limit_of_nothing_is_refused(name):
    with pytest.raises(ValueError, match=f"above zero; got {name} = 0"):
        Limits(**{name: 0})


def test_a_cell_that_prints_without_end_fills_no_memory(caged):
    """It prints some 400 MB; had the shell kept a copy, the notebook would have been ended."""
    prints = "for _ in range(400): print('x' * 1_000_000)\ny = 3"
    with warm(Limits(cell=60.0, notebook=600.0, memory=2e8)) as runner:
        run = runner.run(notebook(prints, ""), [Probe("c1", "y")], {})
    assert run.stopped == {}
    assert run.values["c1"]["value"] == "3"
