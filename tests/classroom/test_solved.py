"""Each function of a key is asked once for a case, and again where it would see something else."""

from __future__ import annotations

from collections import Counter
from math import copysign, inf

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.solved import Solved
from coursekit.classroom.marking import marker
from coursekit.classroom.running.plain_value import plain

from . import small


@pytest.fixture
def counted():
    """Memory, and a function that counts how often it is worked out."""
    solved, calls = Solved(), []

    def ask(numbers, earlier, function, name="f"):
        def work_out(answers):
            calls.append(name)
            return function(numbers, answers)

        return solved.value(name, numbers, earlier, work_out)

    ask.calls = calls
    return ask


def test_the_same_numbers_are_worked_out_once_in_any_order(counted):
    assert counted({"a": 1.0, "b": 2.0}, {}, lambda n, e: n["a"]) == 1
    assert counted({"b": 2.0, "a": 1.0}, {}, lambda n, e: n["a"]) == 1
    assert counted.calls == ["f"]
    assert counted({"a": 3.0, "b": 2.0}, {}, lambda n, e: n["a"]) == 3


def test_an_earlier_answer_that_is_not_looked_at_changes_nothing(counted):
    def look(n, e):
        return e["one"]

    for other in (5.0, 6.0, 7.0):
        assert counted({}, {"one": 2.0, "other": other}, look) == 2
    assert counted.calls == ["f"]
    assert counted({}, {"one": 2.5, "other": 5.0}, look) == 2.5
    assert counted({}, {"one": 2.0}, look) == 2  # both stay known
    assert counted.calls == ["f", "f"]


def test_zero_keeps_its_sign(counted):
    def look(n, e):
        return copysign(inf, e["one"])

    assert counted({}, {"one": 0.0}, look) == inf
    assert counted({}, {"one": -0.0}, look) == -inf


@pytest.mark.parametrize(
    "look", [lambda n, e: sum(e.values()), lambda n, e: len(e), lambda n, e: "b" in e]
)
def test_an_answer_that_was_not_there_yet_is_seen_when_it_is(counted, look):
    first = counted({}, {"a": 1.0}, look)
    assert counted({}, {"a": 1.0, "b": 1.0}, look) != first
    assert counted({}, {"a": 1.0}, look) == first
    assert counted.calls == ["f", "f"]


def test_an_error_is_not_kept(counted):
    for value in (None, 4.0):
        earlier = {} if value is None else {"one": value}
        if value is None:
            with pytest.raises(KeyError):
                counted({}, earlier, lambda n, e: e["one"])
        else:
            assert counted({}, earlier, lambda n, e: e["one"]) == 4


def test_old_cases_are_forgotten(counted):
    for i in range(1000):
        counted({"a": float(i)}, {}, lambda n, e: 0)
    counted({"a": 999.0}, {}, lambda n, e: 0)
    assert len(counted.calls) == 1000
    counted({"a": 0.0}, {}, lambda n, e: 0)
    assert len(counted.calls) == 1001


# the whole way: draw, prove, solve, mark


COUNTING = small.PRIVATE.replace(
    "key = Key", "from collections import Counter\n\nasked = Counter()\nkey = Key", 1
)
for _name, _line in (
    ("area", "    return n.side**2\n"),
    ("perimeter", "    return 4 * n.side\n"),
    ("double", '    return 2 * earlier["area"]\n'),
    ("doubled side", "    return 4 * n.side**2\n"),
):
    assert COUNTING.count(_line) == 1
    COUNTING = COUNTING.replace(_line, f"    asked[{_name!r}] += 1\n{_line}")


@pytest.fixture
def opened(tmp_path):
    exercise = exercises.load("small", small.write(tmp_path, private=COUNTING))
    key = keys.load(exercise, tmp_path)
    asked: Counter[str] = key.answers["area"].sum.__globals__["asked"]
    return exercise, key, asked


def test_a_draw_is_solved_once_however_often_it_is_marked(opened):
    exercise, key, asked = opened
    numbers = own_numbers.draw(exercise, key, b"s", "bench-01")
    once = dict.fromkeys(("area", "perimeter", "double", "doubled side"), 1)
    assert asked == once
    own_numbers.answers(exercise, key, numbers)
    assert own_numbers.fault(exercise, key, numbers) == ""
    right = numbers["side"] ** 2
    for area in (right, 4 * numbers["side"], right / 3):
        values = {"area": plain(area), "double": plain(2 * right), "shape": plain("square")}
        marks = marker.mark(exercise, key, numbers, values)
        assert marks[0].verdict == {right: "right", right / 3: "wrong"}.get(area, "slip")
        assert marks[1].verdict == "right"
    assert asked == once


def test_a_value_carried_on_is_worked_out_from_the_students_own(opened):
    exercise, key, asked = opened
    numbers = own_numbers.draw(exercise, key, b"s", "bench-01")
    for area in (700.5, 300.25):
        values = {"area": plain(area), "double": plain(2 * area)}
        assert marker.mark(exercise, key, numbers, values)[1].verdict == "carried"
    assert asked["double"] == 3
    assert asked["area"] == 1
