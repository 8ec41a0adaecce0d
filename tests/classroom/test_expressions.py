"""Answers and slips written as expressions in the Markdown half, and what a builder gets told about them."""

from __future__ import annotations

import itertools
import math
from types import SimpleNamespace

import pytest
from simpleeval import IterableTooLong

from coursekit import materials, miters, tubes
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.bank.expression_words import Words
from coursekit.classroom.bank.expressions import Expression
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.running.plain_value import plain

from .small import PRIVATE, PUBLIC, write

WORKED = """\
# Small: worked solutions

## area
answer: side**2
slip perimeter (credit 0.25): 4 * side
  You went
  round it.

{side} squared.

## double
answer: twice(area)
slip doubled-side: 4 * side**2
  You doubled the side.

Twice that.

## shape
answer: square
slip a-ring: round
  It has corners.

A square.

## why
Because.
"""
OWN = """\
MORE = 2.0


def twice(value):
    return MORE * value


def edges(n, count=4):
    return [n.side] * int(count)


def scaled(factor, n):
    return factor * n.side


def from_area(earlier):
    return earlier["area"] + MORE
"""


def loaded(tmp_path, worked=WORKED, private=OWN):
    root = write(tmp_path, PUBLIC, private, worked)
    exercise = exercises.load("small", root)
    key = keys.load(exercise, root)
    own_numbers.prove(exercise, key)
    return exercise, key


def changed(old, new):
    assert WORKED.count(old) == 1
    return WORKED.replace(old, new)


def test_a_key_of_expressions_marks_as_its_functions_would(tmp_path):
    exercise, key = loaded(tmp_path)
    numbers = {"side": 12.5}
    assert own_numbers.answers(exercise, key, numbers) == {
        "area": 156.25,
        "double": 312.5,
        "shape": "square",
    }
    assert key.answers["double"].after == ("area",)
    assert key.worked["area"] == "{side} squared."
    sent = {"area": plain(50.0), "double": plain(100.0), "shape": plain("round")}
    found = {m.question: m for m in mark(exercise, key, numbers, sent)}
    assert (found["area"].slip, found["area"].marks, found["area"].hint) == (
        "perimeter",
        0.5,
        "You went round it.",
    )
    assert (found["double"].verdict, found["double"].marks) == ("carried", 2.0)
    assert found["shape"].slip == "a-ring"


def test_a_key_may_be_expressions_alone(tmp_path):
    exercise, key = loaded(tmp_path, changed("twice(area)", "2 * area"), private=None)
    assert own_numbers.answers(exercise, key, {"side": 10.0})["double"] == 200.0


def test_what_comes_after_is_told_apart_from_what_is_named(tmp_path):
    hidden = changed("answer: twice(area)", "answer: from_area()\nafter: area")
    exercise, key = loaded(tmp_path, hidden)
    assert key.answers["double"].after == ("area",)
    assert key.value(exercise.question("double"), {"side": 10.0}, {"area": 7.0}) == 9.0


def test_a_long_answer_goes_on_below(tmp_path):
    exercise, key = loaded(tmp_path, changed("answer: side**2", "answer:\n  side\n  * side"))
    assert key.value(exercise.question("area"), {"side": 11.0}) == 121.0


WORDS = Words(("angle_deg", "diameter", "wall"), ("area", "phase", "asked", "later-on"), {})
NUMBERS = {"angle_deg": 60.0, "diameter": 28.6, "wall": 0.9}


def worth(text, words=WORDS):
    expression = Expression(text, "asked", words, "file, question 'asked', answer")
    return expression(SimpleNamespace(**NUMBERS), {"area": 3.0, "phase": (1.0, -2.0)})


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("90 - angle_deg", 30.0),
        ("sin(radians(angle_deg))", math.sin(math.radians(60.0))),
        ("-diameter**2 / 4", -(28.6**2) / 4),
        ("10**3 % 7", 6.0),
        ("area + phase[1]", 1.0),
        ("phase[::-1]", (-2.0, 1.0)),
        ("[area * k for k in range(3) if k != 1]", [0.0, 6.0]),
        ("sum(abs(p) for p in phase)", 3.0),
        ("mean([area, angle_deg])", 31.5),
        ('"thin" if wall < 1 <= area else "thick"', "thin"),
        ("area and not wall > 1 or 7", True),
        ("miters.mill_setting_deg(angle_deg)", miters.mill_setting_deg(60.0)),
        ("tubes.Round(diameter, wall).bore", tubes.Round(28.6, 0.9).bore),
        ("tubes.Butted(diameter, (wall, 0.6, wall), (70, 40, 300, 40, 90)).mass()",
         tubes.Butted(28.6, (0.9, 0.6, 0.9), (70, 40, 300, 40, 90)).mass()),
        ("min(pi, materials.STEEL_4130.density)", min(math.pi, materials.STEEL_4130.density)),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_worth_what_python_finds(text, value):
    assert worth(text) == value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("90 - angel_deg", "a name must be a quantity, an earlier question, a constant or a module of the craft; got 'angel_deg'. The nearest are angle_deg."),
        ("later_on + 1", "it must build on earlier questions; got 'later_on'. Swap them."),
        ("asked", "it must build on earlier questions; got 'asked'."),
        ("sin", "got the function 'sin'. Call it: sin(…)."),
        ("sen(angle_deg)", "a function must be one of mathematics, of the lesson's Python file or of a module; got 'sen'. The nearest are sin"),
        ("miters.mill_seting_deg(angle_deg)", "what stands after a dot must be a public name of the craft; got 'mill_seting_deg'. The nearest are mill_setting_deg"),
        ("classroom.bank", "got 'classroom'"),
        ("90 - ", "an answer or a slip must be one expression, like `90 - angle_deg`; got invalid syntax. Mend it."),
        ("x = 3", "must be one expression"),
        ("1; 2", "must be one expression"),
        ("(" * 300 + ")" * 300, "an expression must have at most 400 characters; got 600. Write it as a function"),
        ("lambda: 3", "an expression must be made of names, numbers, words in quotes, arithmetic, comparisons, calls, lists and `a if … else b`; got Lambda. Write it as a function"),
        ("{'a': 1}", "got Dict"),
        ("hypot(*phase)", "got Starred"),
        ("f'{wall}'", "got JoinedStr"),
        ("(y := 3)", "got NamedExpr"),
        ("1 << 4000000", "got LShift"),
        ("b'x'", "got Constant"),
        ("1j", "got Constant"),
        ("__import__('os').system('true')", "got '__import__'"),
        ("open('x')", "got 'open'"),
        ("eval('1')", "got 'eval'"),
        ("().__class__.__bases__[0].__subclasses__()", "what stands after a dot must be a public name of the craft; got '__"),
        ("miters.saddle.__globals__", "got '__globals__'"),
        ("miters.np", "got 'np'"),
        ("tubes.annotations", "got 'annotations'"),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_refused_when_it_is_read(text, said):
    with pytest.raises(AuthoringError) as caught:
        worth(text)
    assert str(caught.value).startswith(f"file, question 'asked', answer `{text}`: ")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("9**9**9**9", OverflowError),
        ("[0] * 4000000", IterableTooLong),
        ("'a' * 4000000", IterableTooLong),
        ("'%0999999999d' % 1", TypeError),
        ("range(4000000)", ValueError),
        ("[a for a in range(999) for b in range(999)]", IterableTooLong),
        ("phase.index", TypeError),
        ("'x'.join", TypeError),
        ("(3).real", TypeError),
        ("miters.saddle(diameter, 36, 60)[1].tobytes()", TypeError),
        ("phase[5]", IndexError),
        ("diameter / (area - 3)", ZeroDivisionError),
        ("miters.mill_setting_deg(200)", ValueError),
    ],
    ids=itertools.count(),
)
def test_stopped_when_it_is_worked_out(text, error):
    with pytest.raises(error):
        worth(text)


def test_what_cannot_be_worked_out_is_told_with_the_expression(tmp_path):
    with pytest.raises(AuthoringError) as caught:
        loaded(tmp_path, changed("answer: side**2", "answer: 1 / (side - side)"))
    assert str(caught.value).startswith(
        "solutions/small.md, question 'area': the answer `1 / (side - side)` must be a finite "
        "number for every sound case; got ZeroDivisionError (float division by zero) with side "
    )


def test_functions_of_the_lesson_are_given_the_numbers(tmp_path):
    for text, value in [
        ("sum(edges()) + 7", 47.0),
        ("len(edges(3)) + MORE", 5.0),
        ("scaled(1.5)", 15.0),
        ("edges(count=2)[1]", 10.0),
    ]:
        exercise, key = loaded(tmp_path, changed("answer: side**2", f"answer: {text}"))
        assert key.value(exercise.question("area"), {"side": 10.0}) == value


TWICE = "it must have one answer; got two, here and in solutions/small.py. Remove one."


@pytest.mark.parametrize(
    ("worked", "private", "said"),
    [
        (WORKED, PRIVATE, TWICE),
        (changed("answer: side**2", "answer: side**2\nanswer: side"), OWN, "it must have one answer; got two. Remove one."),
        (WORKED + "\n\n## area\nanswer: side\n", OWN, "question 'area': it must have one answer; got two, here and in solutions/small.md. Remove one."),
        (changed("slip doubled-side:", "slip doubled-side: side\n  No.\nslip doubled-side:"), OWN, "question 'double': a slip's name must be used once, for the class's report; got 'doubled-side' twice. Rename one."),
        (changed("  You went\n  round it.\n", ""), OWN, "slip 'perimeter' must have an expression, a hint indented below it, and a credit from 0 to below 1; got '4 * side', '', credit 0.25. Mend it."),
        (changed("credit 0.25", "credit 1"), OWN, "credit from 0 to below 1; got '4 * side', 'You went round it.', credit 1."),
        (changed("credit 0.25", "credit half"), OWN, "credit half"),
        (changed("slip perimeter (credit 0.25): 4 * side", "slip perimeter: 4 * sid"), OWN, "question 'area', slip 'perimeter' `4 * sid`: a name must be"),
        (changed("  round it.", "round it."), OWN, "a line above the blank line must begin with `answer:`, `after:` or `slip a-name:`, and a hint must be indented; got 'round it.'."),
        (changed("answer: twice(area)", "after: area"), OWN, "`after:` must stand beside an `answer:`; got none."),
        (changed("answer: twice(area)", "answer: from_area()\nafter: aera"), OWN, "`after:` must name earlier questions; got 'aera'. There are area, double, shape, why."),
        (changed("answer: twice(area)", "answer: from_area()\nafter: shape"), OWN, "it must build on earlier questions; got 'shape', which comes later."),
        (changed("answer: twice(area)", "answer: 2 * side**2"), OWN, "must have `method_marks` in exercises/small.md, and no other; got after=()"),
        (changed("answer: side**2", "anwser: side**2"), OWN, "question 'area': it must have an answer; got none. Add `answer: …` below the heading."),
        (changed("answer: square", "answer: oblong"), OWN, "question 'shape', answer `oblong`: a name must be"),
        (changed("4 * side\n", "side * side\n"), OWN, "solutions/small.md, question 'area': slip 'perimeter' equals the right answer in 200 of 200 draws"),
        (changed("twice(area)", "area(2)"), OWN + "\n\ndef area(n, times):\n    return 1.0\n", "a function must not be called like a quantity or a question; got 'area'. Rename it"),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_refused(tmp_path, worked, private, said):
    with pytest.raises(AuthoringError) as caught:
        loaded(tmp_path, worked, private)
    assert "solutions/small.md" in str(caught.value)
    assert said in str(caught.value)


# Readings in series

SERIES = """\
  wall_{at}:
    at: 10..30 step 10
    say: wall at {at}
    unit: mm
    low: 1
    high: 2
    step: 0.5
    practice: {at: [10, 30], from: [3, 4]}
"""


def series(old="", new=""):
    assert old in SERIES
    text = PUBLIC.replace("---\n\nTwo", SERIES.replace(old, new, 1) + "---\n\nTwo")
    return exercises.parse(text, "small")


def test_a_series_is_so_many_quantities():
    found = {q.name: q for q in series().quantities}
    assert list(found) == ["side", "wall_10", "wall_20", "wall_30"]
    assert found["wall_20"].say == "wall at 20"
    assert found["wall_20"].values == (1.0, 1.5, 2.0)
    assert [found[f"wall_{x}"].practice for x in (10, 20, 30)] == [(3.0, 4.0), (), (3.0, 4.0)]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("    at: 10..30 step 10\n", "", "exercises/small.md: series 'wall_{at}' must have `at` as a list or as `10..180 step 10`, no place twice and at most 100; got None. Mend it."),
        ("10..30 step 10", "[1, 1]", "no place twice and at most 100; got [1, 1]"),
        ("10..30 step 10", "10..30", "got '10..30'"),
        ("10..30 step 10", "10..30 step 0", "got '10..30 step 0'"),
        ("10..30 step 10", "1..300 step 1", "at most 100; got '1..300 step 1'"),
        ("say: wall at {at}", "say: wall", "must say with {at} where each reading is taken; got"),
        ("[10, 30]", "[10, 40]", "`practice` must keep to places of the series; got 40. They are 10, 20, 30."),
        ("  wall_{at}:", "  wall_20:\n    {say: a, unit: mm, from: [1]}\n  wall_{at}:", "a quantity must be listed once; got 'wall_20' twice. Take one out."),
        ("step: 0.5", "step: 0", "quantity 'wall_10' must have"),
    ],
    ids=itertools.count(),
)  # fmt: skip
def test_a_series_that_cannot_be_is_refused(old, new, said):
    with pytest.raises(AuthoringError) as caught:
        series(old, new)
    assert said in str(caught.value)
