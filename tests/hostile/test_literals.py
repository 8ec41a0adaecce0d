"""Answers that are read without being run: exactly as a run reads them, or not at all."""

from __future__ import annotations

import random

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


SEED, COUNT = 17, 4000
ODD = "\n\r\t\x0b\x0c\x1c\x85\u2028\ufeff\u00a0 '\"#\\=,;:()[]{}%!?>.-+_0123eEjxXoObn1A\u202eéｘ"
BEGINNINGS = [t for t in (*READ.values(), "x = 1011,9", "x = 1011,09", "# x = 3") if len(t) < 200]


def changed(chance: random.Random) -> str:
    """One of the texts with one to four signs put in, taken out or replaced."""
    text = chance.choice(BEGINNINGS)
    for _ in range(chance.randint(1, 4)):
        at, gone = chance.randrange(len(text) + 1), chance.randrange(2)
        text = text[:at] + chance.choice(["", *ODD]) + text[at + gone :]
    return text


def test_texts_changed_at_random_are_read_as_they_run_or_not_at_all(caged):
    chance = random.Random(SEED)
    texts = {changed(chance) for _ in range(COUNT)}
    told = {}
    for text in sorted(texts):
        found = cell_text.literal(text, "x")
        if found is not None or cell_text.says_nothing(text):
            told[text] = found or cell_text.NOT_GIVEN
    assert 300 < len(told) < len(texts) - 300
    cells = []
    for number, text in enumerate(told):
        for id, source in (("before", "x = None"), ("text", text), ("read", "")):
            cells.append(nbformat.v4.new_code_cell(source, id=f"{id}-{number}"))
    probes = [Probe(f"read-{number}", "x") for number in range(len(told))]
    ran = caged.run(nbformat.v4.new_notebook(cells=cells), probes, {})
    for number, (text, found) in enumerate(told.items()):
        assert ran.values[f"read-{number}"] == found, repr(text)
        assert ran.outputs[3 * number + 1] == [], repr(text)
