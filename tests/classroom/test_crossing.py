"""What crosses from a student's process is made anew, bounded, and never raises."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.running import untrusted
from coursekit.classroom.running.plain_value import LONGEST_LIST, LONGEST_TEXT, MOST_DIGITS, plain

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(), inner, max_size=5),
    max_leaves=20,
)
KINDS = ["none", "bool", "int", "float", "text", "list", "complex", "other"]
NEAR_VALUE = st.fixed_dictionaries({"is": st.sampled_from(KINDS) | JSON, "value": JSON})
NEAR_OUTPUT = st.fixed_dictionaries(
    {
        "output_type": st.sampled_from(["stream", "error", "display_data", "execute_result"]) | JSON,
        "name": JSON, "text": JSON, "ename": JSON, "evalue": JSON, "traceback": JSON,
        "data": st.dictionaries(st.sampled_from(["text/plain", "image/png", "x/y"]) | st.text(), JSON),
    }
)  # fmt: skip
NEAR_EVENT = st.fixed_dictionaries(
    {
        "event": st.sampled_from(["start", "value", "done", "end"]) | JSON,
        "cell": st.integers(-2, 12) | JSON,
        "value": NEAR_VALUE | JSON,
        "outputs": st.lists(NEAR_OUTPUT | JSON, max_size=4) | JSON,
    }
)


def well_formed(value) -> bool:
    kind, said = value["is"], value.get("value")
    if kind in ("none", "complex"):
        return set(value) == {"is"}
    if kind == "list":
        return len(said) <= 2 * LONGEST_LIST and all(i == {"is": "list"} or scalar(i) for i in said)
    return scalar(value)


def scalar(value) -> bool:
    kind, said = value["is"], value.get("value")
    return {
        "none": lambda: said is None,
        "complex": lambda: said is None,
        "bool": lambda: isinstance(said, bool),
        "int": lambda: len(said) <= MOST_DIGITS + 1 and isinstance(int(said), int),
        "float": lambda: isinstance(float(said), float),
        "text": lambda: len(said) <= LONGEST_TEXT and "\0" not in said and said.encode(),
        "other": lambda: len(said) <= 60,
    }[kind]() is not False


@given(NEAR_VALUE | JSON)
def test_any_value_is_made_well_formed(found):
    assert well_formed(untrusted.value(found))


@given(st.lists(NEAR_EVENT | JSON, max_size=6), st.binary(max_size=40))
def test_any_line_is_an_event_or_nothing(found, rubbish):
    data = b"\n".join(json.dumps(f).encode() for f in found) + b"\n" + rubbish
    for event in untrusted.events(data, 10):
        assert event["event"] == "end" or 0 <= event["cell"] < 10
        if event["event"] == "value":
            assert well_formed(event["value"])
            json.dumps(event["value"], ensure_ascii=False).encode("utf-8")
        if event["event"] == "done":
            assert untrusted.outputs(event["outputs"]) == event["outputs"]  # nothing left to mend


@given(st.lists(NEAR_OUTPUT, max_size=4))
def test_outputs_that_cross_are_outputs_of_a_notebook(found):
    """Judge: the published schema of notebook format 4.5, as nbformat carries it."""
    import nbformat

    made = untrusted.outputs(found)
    for number, output in enumerate(made):
        if output["output_type"] == "execute_result":
            output["execution_count"] = number
    cell = nbformat.v4.new_code_cell("", outputs=[nbformat.from_dict(o) for o in made])
    nbformat.validate(nbformat.v4.new_notebook(cells=[cell]))
    json.dumps(made, ensure_ascii=False).encode("utf-8")  # no half of a character is left


VALUES = [
    None, True, 0, -(10**300), 1.5, float("nan"), -0.0, "31,5 mm", "", [1, 2.5, None], (1, "a"), 1j,
    [[1], 2], list(range(LONGEST_LIST + 1)), [(i, i) for i in range(LONGEST_LIST)], 10**5000, {"a": 1}, object(), b"1",
]  # fmt: skip


@pytest.mark.parametrize("value", VALUES, ids=lambda v: type(v).__name__)
def test_an_honest_value_crosses_as_it_is(value):
    told = plain(value)
    assert untrusted.value(json.loads(json.dumps(told))) == told


def test_a_text_is_cut_and_cleaned():
    told = untrusted.value({"is": "text", "value": "\ud800a\0" + "b" * 500})
    assert told["value"].startswith("?a\ufffdbb")
    assert len(told["value"]) == LONGEST_TEXT


def test_a_bool_is_no_cell():
    assert list(untrusted.events(b'{"event": "start", "cell": true}', 5)) == []


def test_a_line_too_deep_or_too_long_is_left_out():
    deep = b"[" * 100_000
    long = b'"' + b"x" * untrusted.LONGEST_LINE + b'"'
    good = b'{"event": "start", "cell": 1}'
    assert list(untrusted.events(b"\n".join([deep, long, good]), 5)) == [
        {"event": "start", "cell": 1}
    ]
