"""Every authoring mistake ends in one message that names file and question."""

from __future__ import annotations

import re

import pytest

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.exercises import AuthoringError

from .small import PRIVATE, PUBLIC, WORKED, write


def prove(root):
    exercise = exercises.load("small", root)
    private = keys.load(exercise, root)
    own_numbers.prove(exercise, private)
    return exercise, private


def test_the_small_exercise_is_sound(tmp_path):
    exercise, private = prove(write(tmp_path))
    assert [q.id for q in exercise.graded] == ["area", "double", "shape", "why"]
    assert exercise.marks == 8
    assert private.worked["area"] == "{side} squared."


SAID = PRIVATE.replace(
    "    return n.side**2", '    """Its {side}, squared."""\n    return n.side**2'
)


def test_a_worked_solution_may_be_its_answer_s_docstring(tmp_path):
    worked = WORKED.replace("## area\n{side} squared.\n\n", "")
    assert prove(write(tmp_path, PUBLIC, SAID, worked))[1].worked["area"] == "Its {side}, squared."


def test_two_worked_solutions_of_a_question_are_refused(tmp_path):
    with pytest.raises(AuthoringError, match=r"'area': it must have one worked solution; got two"):
        prove(write(tmp_path, PUBLIC, SAID))


def public(old, new):
    assert PUBLIC.count(old) >= 1
    return {"public": PUBLIC.replace(old, new, 1)}


def private(old, new):
    assert PRIVATE.count(old) >= 1
    return {"private": PRIVATE.replace(old, new, 1)}


CASES = [
    (public("---\ntitle", "title"), "exercises/small.md: the file must begin with a head between two lines of ---; got none. Add it."),
    (public("title: Small", "title: [Small"), "exercises/small.md: the head must be YAML; got"),
    (public("numbers:", "numbers: 3\nrest:"), "exercises/small.md: `numbers` must be lines of `name: …`; got 3. Indent them."),
    (public("  side:", "  Side:"), "exercises/small.md: a quantity's name must be small letters, digits and _; got 'Side'. Rename it."),
    (public("    unit: mm\n", ""), "exercises/small.md: quantity 'side' must have `say` and `unit`; got"),
    (public("    step: 0.5", "    stop: 0.5"), "exercises/small.md: quantity 'side' must have `from: [a, b, …]` or `low`, `high` and `step`, no value twice; got"),
    (public("    step: 0.5", "    step: 0"), "exercises/small.md: quantity 'side' must have `from: [a, b, …]`"),
    (public("    low: 10\n    high: 30\n    step: 0.5", "    from: [3, 3]"), "no value twice; got"),
    (public("## area", "## Area"), "exercises/small.md, question 'Area': an id must be small letters, digits and -; got 'Area'. Rename it."),
    (public("## area", "## side"), "exercises/small.md, question 'side': its variable must not be called as a quantity or a word of Python is, for the answer would take its place; got 'side'. Rename the question."),
    (public("## area", "## sum"), "question 'sum': its variable must not be called"),
    (public("  side:", "  file:"), "exercises/small.md: a quantity's name must not be a word of Python or of the notebook's first cell; got 'file'. Rename it."),
    (public("## double", "## area"), "exercises/small.md, question 'area': an id must be used once; got it twice. Rename one."),
    (public("tolerance: 1\ngiven: [side]\n\n", "tolerance: 1\ngiven: [side]\n"), "exercises/small.md, question 'area': it must be lines of `name: value`, a blank line, then the text; got"),
    (public("marks: 2\nunit", "mark: 2\nunit"), "exercises/small.md, question 'area': a question's lines must be among bare, finds, given, kind, marks, method_marks, options, set, title, tolerance, unit, entries, read; got mark. Mend the spelling."),
    (public("marks: 2\nunit", "marks: 2\nset: later\nunit"), "exercises/small.md, question 'area': `set` must be graded or practice; got 'later'. Choose one."),
    (public("kind: written", "kind: essay"), "exercises/small.md, question 'why': `kind` must be number, numbers, points, order, choice or written; got 'essay'. Choose one."),
    (public("marks: 2\nunit", "marks: two\nunit"), "exercises/small.md, question 'area': `marks` must be a number from 0 up; got 'two'. Mend it."),
    (public("marks: 2\nunit", "marks: 0\nunit"), "exercises/small.md, question 'area': a graded question must carry marks above 0; got 0. Add `marks`."),
    (public("unit: mm\ntolerance: 1\ngiven", "tolerance: 1\ngiven"), "exercises/small.md, question 'area': a number must have a `unit` and a `tolerance` above 0; got unit '', tolerance 1. Add them."),
    (public("tolerance: 1\ngiven", "tolerance: x%\ngiven"), "exercises/small.md, question 'area': `tolerance` must be a number from 0 up; got 'x%'. Mend it."),
    (public("  round: a circle\n", ""), "exercises/small.md, question 'shape': a choice must offer two options or more. Add `options`."),
    (public("given: [side]", "entries: [a]"), "exercises/small.md, question 'area': a list must name two entries or more. Add `entries`."),
    (public("method_marks: 2", "method_marks: 4"), "exercises/small.md, question 'double': `method_marks` must lie above 0 and not above `marks`; got 4 of 3. Mend it."),
    (public("given: [side]", "given: [edge]"), "exercises/small.md, question 'area': `given` must name quantities of the head; got edge. They are side."),
    (public("---\n\nTwo", "templates:\n  - say: it\n---\n\nTwo"), "exercises/small.md: a template must have say, diameter, into, angle_deg (and may have offset and joint); got {'say': 'it'}. Mend it."),
    (public("---\n\nTwo", "templates:\n  - {say: it, diameter: side, into: side, angle_deg: tilt}\n---\n\nTwo"), "exercises/small.md: a template must be drawn from quantities of the head; got tilt. They are side."),
    (public("---\n\nTwo", "bench:\n  - {id: it}\n---\n\nTwo"), "exercises/small.md: a line of the bench record must have id, instrument, resolution, say, unit (and may have at, high, low, of, readings, role, stage); got {'id': 'it'}. Mend it."),
    ({"private": None}, "solutions/small.md, question 'area': it must have an answer; got none. Add `answer: …` below the heading."),
    ({"worked": None}, "solutions/small.md: the private half of an exercise must be there; got no such file. Write it beside the others."),
    (private('Key("small")', 'Key("other")'), "solutions/small.py: it must make `key = Key('small')`; got"),
    (private("key = Key", "kee = Key"), "solutions/small.py: the file must run; got NameError: name 'key' is not defined. Mend it."),
    (private('@key.answer("area")', '@key.answer("aera")'), "solutions/small.py, question 'aera': the question must stand in exercises/small.md; it does not. Mend the id; there are area, double, shape, why."),
    (private('@key.slip("double")', '@key.slip("treble")'), "solutions/small.py, question 'treble': the question must stand in exercises/small.md; it does not."),
    ({"worked": WORKED.replace("## area", "## aera")}, "solutions/small.md, question 'aera': the question must stand in exercises/small.md; it does not."),
    ({"worked": WORKED.replace("## why\nBecause.\n", "")}, "solutions/small.md, question 'why': a graded question must have a worked solution; got none. Write it under `## why`."),
    (private('@key.answer("shape")\ndef _(n):\n    return "square"\n', ""), "solutions/small.md, question 'shape': it must have an answer; got none. Add `answer: …` below the heading."),
    (private('@key.slip("shape")\ndef a_ring(n):\n    """It has corners."""\n    return "round"\n', ""), "solutions/small.md, question 'shape': it must name a slip or more; got none. Add `slip a-name: …` and, indented below it, the hint."),
    (private('@key.answer("shape")', '@key.answer("area")'), "solutions/small.py, question 'area': it must have one answer; got two. Remove one."),
    (private('    """You went round it."""\n', ""), "solutions/small.py, question 'area': slip 'perimeter' must have a docstring (its hint) and a credit from 0 to below 1; got credit 0.25, hint ''."),
    (private("credit=0.25", "credit=1.0"), "solutions/small.py, question 'area': slip 'perimeter' must have a docstring (its hint) and a credit from 0 to below 1; got credit 1, hint"),
    (private('after=("area",)', 'after=("shape",)'), "solutions/small.py, question 'double': it must build on earlier questions; got 'shape', which comes later. Swap them."),
    (private('after=("area",)', "after=()"), "solutions/small.py, question 'double': a question that builds on earlier ones must have `method_marks` in exercises/small.md, and no other; got after=() and method_marks 2.0. Add or remove one."),
    (private("return 4 * n.side\n", "return n.side * n.side\n"), "solutions/small.py, question 'area': slip 'perimeter' equals the right answer in 200 of 200 draws from exercises/small.md. Change the slip, the tolerance or the ranges."),
    (private("return n.side**2", "return (n.side - 20) ** 0.5"), "solutions/small.py, question 'area': the answer must be a finite number for every sound case; got"),
    (private("return n.side**2", "return 1 / (n.side - n.side)"), "got ZeroDivisionError (float division by zero) with side"),
    (private('return "square"', 'return "oblong"'), "solutions/small.py, question 'shape': the answer must be a finite choice for every sound case; got ValueError ('oblong' is not among the options)"),
    (private("@key.answer(\"area\")", "@key.sound\ndef never(n):\n    return n.side > 99\n\n\n@key.answer(\"area\")"), "solutions/small.py, the key refuses the case in 200 of 200 draws from exercises/small.md. Change the slip, the tolerance or the ranges."),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "message"), CASES, ids=range(len(CASES)))
def test_refused(tmp_path, changes, message):
    with pytest.raises(AuthoringError) as caught:
        prove(write(tmp_path, **changes))
    said = str(caught.value)
    if "must be among" in message:  # the list is a set of words: compare as such
        assert sorted(re.findall(r"\w+", said)) == sorted(re.findall(r"\w+", message))
    else:
        assert message in said


def test_no_public_half(tmp_path):
    write(tmp_path)
    with pytest.raises(
        AuthoringError,
        match=re.escape(
            "exercises/large.md: the public half of an exercise must be there; got no such file. "
            "Write it, or use one of: small."
        ),
    ):
        exercises.load("large", tmp_path)


def test_unknown_names_are_told(tmp_path):
    exercise, _ = prove(write(tmp_path))
    with pytest.raises(
        AuthoringError, match="a question must exist before it is answered; got 'volume'"
    ):
        exercise.question("volume")
    with pytest.raises(
        AuthoringError, match="a quantity must be listed under `numbers`; got 'edge'"
    ):
        exercise.quantity("edge")
