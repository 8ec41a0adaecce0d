"""A thousand notebooks changed at random: none stops the run, and each that counts nothing says why."""

from __future__ import annotations

import copy
import json
import random

import nbformat
import pytest

from coursekit.classroom.bank import notebooks
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake import submission
from coursekit.classroom.marking import mark_class
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.running.runner import Limits, Warm

pytestmark = pytest.mark.slow

SLUG = "miter-angles"
SEED, COUNT, RUN_EVERY = 20260203, 1000, 25
ODD = [
    None, True, -1, 0, 3.5, 1e308, 10**40, "", "\0", "\ud800", "\u202e", "x" * 10_000, "código", [],
    {}, [None], [[]], {"a": {"b": []}}, "code", "markdown", "raw", "heading", ["a\n", "b"], ["a", 1],
]  # fmt: skip
KEYS = [
    "cell_type", "source", "metadata", "outputs", "id", "execution_count", "nbgrader", "grade_id",
    "points", "locked", "solution", "nbformat", "nbformat_minor", "cells", "worksheets", "attachments",
    "schema_version", "kernelspec", "name", "input", "level",
]  # fmt: skip


def somewhere(tree, chance: random.Random):
    """Return a mapping or list within `tree`, never empty, and one of its keys."""
    parent = tree
    while True:
        keys = list(parent) if isinstance(parent, dict) else range(len(parent))
        key = chance.choice(keys)
        inner = parent[key]
        if not isinstance(inner, (dict, list)) or not inner or chance.random() < 0.3:
            return parent, key
        parent = inner


def changed(text: str, chance: random.Random) -> bytes:
    """Return the notebook in `text` after one to six changes of its tree, its text or its bytes."""
    tree = json.loads(text)
    for _ in range(chance.randint(1, 6)):
        _change(tree, chance)
    data = json.dumps(tree, ensure_ascii=chance.random() < 0.8).encode("utf-8", "surrogatepass")
    if chance.random() < 0.2:
        data = _cut(data, chance)
    return data


def _change(tree, chance: random.Random) -> None:
    parent, key = somewhere(tree, chance)
    what = chance.randrange(6)
    if what == 0:
        parent[key] = chance.choice(ODD)
    elif what == 1 and isinstance(parent, dict):
        parent[chance.choice(KEYS)] = copy.deepcopy(chance.choice([*ODD, parent[key]]))
    elif what == 2:
        del parent[key]
    elif what == 3 and isinstance(parent, list):
        parent.insert(chance.randrange(len(parent) + 1), copy.deepcopy(chance.choice(parent)))
    elif what == 4 and isinstance(parent, list):
        chance.shuffle(parent)
    else:
        other, place = somewhere(tree, chance)
        parent[key] = copy.deepcopy(other[place])
    if not tree:
        tree["cells"] = []


def _cut(data: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(data))
    end = min(len(data), start + chance.randint(1, 200))
    middle = chance.choice([b"", b"\0", b"\xff\xfe", b'"', b"}", b"[" * 300, bytes(20)])
    return data[:start] + middle + data[end:]


@pytest.fixture(scope="module")
def work(root, tmp_path_factory):
    folder = invented_class.open_demo(tmp_path_factory.mktemp("fuzz"), 1)
    made = assignments.assignment(folder, SLUG, root)
    assignments.hand_out(made)
    return made


@pytest.fixture(scope="module")
def release(work):
    return nbformat.read(work.folder.release(SLUG) / f"{SLUG}.ipynb", as_version=4)


@pytest.fixture(scope="module")
def mutants(work):
    path = work.folder.bundle("bench-01", SLUG) / f"{SLUG}.ipynb"
    filled = invented_class.filled(
        nbformat.read(path, as_version=4), invented_class.right_cells(work, "bench-01")
    )
    text, chance = nbformat.writes(filled), random.Random(SEED)
    return [changed(text, chance) for _ in range(COUNT)]


def test_every_mutant_is_opened_and_restored_or_told_why_not(work, release, mutants):
    want = [c.id for c in release.cells]
    told = 0
    for number, data in enumerate(mutants):
        notebook = submission.parsed(data)
        if notebook is None:
            told += 1
            continue
        put_right, repairs = notebooks.put_back_in_order(release, notebook)
        assert sorted(c.id for c in put_right.cells if notebooks.grade_id(c)) == sorted(want), (
            number
        )
        nbformat.validate(put_right)
        json.dumps(put_right).encode("utf-8")
        assert all(isinstance(r, str) and "\0" not in r for r in repairs)
    assert 50 < told < COUNT - 200  # both ways are travelled


def test_every_mutant_that_runs_is_marked_with_a_reason(work, release, mutants, tmp_path):
    warm = Warm(Limits(cell=2.0, notebook=10.0))
    ran, full = 0, sum(q.marks for q in work.exercise.graded if q.kind != "written")
    try:
        for number in range(0, COUNT, RUN_EVERY):
            folder = work.folder.submitted("bench-01", SLUG)
            folder.mkdir(parents=True, exist_ok=True)
            (folder / f"{SLUG}.ipynb").write_bytes(mutants[number])
            one, notebook = mark_class.mark_one(
                work, release, submission.Submission.read(work.folder, "bench-01", SLUG), warm
            )
            nbformat.validate(notebook)
            assert [m.question for m in one.marks] == [q.id for q in work.exercise.graded]
            assert all(m.reason and 0 <= m.marks <= m.out_of for m in one.marks), number
            assert one.total <= full
            ran += one.total > 0
    finally:
        warm.close()
    assert ran > 5


def test_no_plain_value_at_all_stops_the_marker(work):
    """Whatever passes the crossing is a value that the marker can read."""
    from coursekit.classroom.running import untrusted

    chance = random.Random(SEED)
    kinds = ["none", "bool", "int", "float", "text", "list", "complex", "other", "right", None, 3]
    says = [*ODD, "1", "-1", "1e999", "nan", "9" * 399, "9" * 5000, "1_0", "٣", "1,5 mm", "quarter"]
    numbers = work.numbers("bench-01")
    for _ in range(COUNT):
        values = {}
        for question in work.exercise.graded:
            inner = [{"is": chance.choice(kinds), "value": chance.choice(says)} for _ in range(5)]
            said = chance.choice([*says, inner, inner])
            values[question.id] = untrusted.value({"is": chance.choice(kinds), "value": said})
        marks = mark(work.exercise, work.key, numbers, values)
        assert all(m.reason and 0 <= m.marks <= m.out_of for m in marks)
        json.dumps([m.given for m in marks], ensure_ascii=False).encode("utf-8")
