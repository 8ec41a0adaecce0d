"""Answers that are read without being run: exactly as a run reads them, or not at all."""

from __future__ import annotations

import nbformat
import pytest

from coursekit.classroom.bank.notebooks import Probe
from coursekit.classroom.running import cell_text
from coursekit.classroom.running.runner import Limits, NotIsolatedError, Warm
from coursekit.classroom.running.warm_parent import WarmParent
from tests.tools import lack

from .literals import READ, RUN


@pytest.fixture(scope="module")
def caged():
    parent = WarmParent(())
    runner = Warm(Limits(cell=60.0, notebook=600.0), parent=parent)
    try:
        runner.run(nbformat.v4.new_notebook(), [], {})
    except NotIsolatedError as error:
        lack(str(error))
    yield runner
    runner.close()
    parent.close()


@pytest.mark.parametrize("name", READ)
def test_what_is_read_is_what_a_run_brings_back(caged, name):
    cells = [nbformat.v4.new_code_cell(text, id=id) for id, text in (("a", READ[name]), ("b", ""))]
    ran = caged.run(nbformat.v4.new_notebook(cells=cells), [Probe("b", "x")], {})
    assert cell_text.literal(READ[name], "x") == ran.values["b"]
    assert ran.outputs == {0: [], 1: []}


@pytest.mark.parametrize("name", RUN)
def test_what_needs_running_is_not_read(name):
    assert cell_text.literal(RUN[name], "x") is None
    assert not cell_text.says_nothing(RUN[name])
    assert cell_text.with_comma(RUN[name], "x") == ""


@pytest.mark.parametrize("text", ["", "\n", "# a note", "  # set in\n\n# -*- coding: rot13 -*-\n"])
def test_notes_say_nothing(caged, text):
    cells = [nbformat.v4.new_code_cell(text, id="a"), nbformat.v4.new_code_cell("", id="b")]
    ran = caged.run(nbformat.v4.new_notebook(cells=cells), [Probe("b", "x")], {})
    assert cell_text.says_nothing(text)
    assert ran.values["b"] == {"is": "none"}
    assert ran.outputs == {0: [], 1: []}
