"""Loads the private half of an exercise: answers, slips, carry-forward chains, worked solutions.

`solutions/<slug>.py` makes one `Key` named `key` and hangs functions on it; `solutions/<slug>.md`
holds the worked solution of each question under the same `## question-id` headings, and the notes
for the instructor under `## notes`. Neither is ever copied into anything a student gets.
"""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

from coursekit.classroom.bank.answer_key import Answer as Answer
from coursekit.classroom.bank.answer_key import Key as Key
from coursekit.classroom.bank.answer_key import Slip as Slip
from coursekit.classroom.bank.answer_key import Value as Value
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, Question


def load(exercise: Exercise, root: Path) -> Key:
    """Return the private half of `exercise`, checked against the public half.

    Raises AuthoringError for a missing file, an unknown question, a question without answer,
    without slips or without worked solution, and a chain that runs backwards.
    """
    folder = root / "solutions"
    for name in (f"{exercise.slug}.py", f"{exercise.slug}.md"):
        if not (folder / name).is_file():
            raise AuthoringError(
                f"solutions/{name}: the private half of an exercise must be there; got no such "
                "file. Write it beside the others."
            )
    key = _run(folder / f"{exercise.slug}.py", exercise.slug)
    _read_worked(key, exercise, (folder / f"{exercise.slug}.md").read_text(encoding="utf-8"))
    _check(key, exercise)
    return key


def _run(path: Path, slug: str) -> Key:
    spec = importlib.util.spec_from_file_location(f"_key_{slug.replace('-', '_')}", path)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    keep, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    try:
        spec.loader.exec_module(module)
    except AuthoringError:
        raise
    except Exception as error:
        raise AuthoringError(
            f"solutions/{slug}.py: the file must run; got {type(error).__name__}: {error}. Mend it."
        ) from error
    finally:
        sys.dont_write_bytecode = keep
    key = getattr(module, "key", None)
    if not isinstance(key, Key) or key.slug != slug:
        raise AuthoringError(
            f"solutions/{slug}.py: it must make `key = Key({slug!r})`; got {key!r}. Add that line."
        )
    return key


def _read_worked(key: Key, exercise: Exercise, text: str) -> None:
    pieces = re.split(r"^## +(\S+) *$", text, flags=re.MULTILINE)
    for id, block in zip(pieces[1::2], pieces[2::2], strict=True):
        if id == "notes":
            key.notes = block.strip()
        else:
            _known(exercise, id, f"solutions/{exercise.slug}.md")
            if id in key.worked:
                raise AuthoringError(
                    f"solutions/{exercise.slug}.md, question '{id}': it must have one worked "
                    "solution; got two, here and in the docstring of its answer. Remove one."
                )
            key.worked[id] = block.strip()


def _known(exercise: Exercise, id: str, source: str) -> Question:
    for question in exercise.questions:
        if question.id == id:
            return question
    raise AuthoringError(
        f"{source}, question '{id}': the question must stand in {exercise.source}; it does not. "
        f"Mend the id; there are {', '.join(q.id for q in exercise.questions)}."
    )


def _check(key: Key, exercise: Exercise) -> None:
    order = [q.id for q in exercise.questions]
    for name in key.made_names():
        exercise.quantity(name)
    for id in (*key.answers, *key.slips, *key.measures):
        _known(exercise, id, key.source)
    for question in exercise.questions:
        where = f"{key.source}, question '{question.id}'"
        if question.graded and not key.worked.get(question.id):
            raise AuthoringError(
                f"solutions/{exercise.slug}.md, question '{question.id}': a graded question must "
                f"have a worked solution; got none. Write it under `## {question.id}`."
            )
        if question.kind == "written":
            continue
        if question.id not in key.answers:
            raise AuthoringError(
                f'{where}: it must have an answer; got none. Add @key.answer("{question.id}").'
            )
        if not key.slips.get(question.id):
            raise AuthoringError(
                f'{where}: it must name a slip or more; got none. Add @key.slip("{question.id}").'
            )
        _check_measure(key, question, where)
        _check_chain(key.answers[question.id], question, order, exercise, where)


def _check_measure(key: Key, question: Question, where: str) -> None:
    if (question.kind == "order") != (question.id in key.measures):
        raise AuthoringError(
            f"{where}: an order must have a measure, and no other kind may; got kind "
            f"{question.kind}. "
            f'Add or remove @key.score("{question.id}").'
        )
    if question.kind == "order" and any(slip.credit for slip in key.slips[question.id]):
        raise AuthoringError(
            f"{where}: a slip of an order must not have a credit, for the measure gives its marks; "
            "got one. Take it out."
        )


def _check_chain(
    answer: Answer, question: Question, order: list[str], exercise: Exercise, where: str
) -> None:
    for id in answer.after:
        _known(exercise, id, where.split(",")[0])
        if order.index(id) >= order.index(question.id):
            raise AuthoringError(
                f"{where}: it must build on earlier questions; got '{id}', which comes later. Swap "
                "them."
            )
    if bool(answer.after) != (question.method_marks is not None):
        raise AuthoringError(
            f"{where}: a question that builds on earlier ones must have `method_marks` in "
            f"{exercise.source}, and no other; got after={answer.after!r} and "
            f"method_marks {question.method_marks}. Add or remove one."
        )
