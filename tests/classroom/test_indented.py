"""JSON in lines is what Python's own writer makes."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.bank.json_lines import indented

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


@given(JSON, st.booleans())
def test_the_same_as_pythons_own(tree, sort):
    assert indented(tree, sort=sort) == json.dumps(
        tree, indent=1, sort_keys=sort, ensure_ascii=False
    )


def test_tuples_and_nothing():
    for tree in ((), [], {}, (1, (2, [])), {"a": ()}):
        assert indented(tree) == json.dumps(tree, indent=1)
