"""Loads the private half of an exercise: answers, slips, carry-forward chains, worked solutions.

`solutions/<slug>.md` has the questions under the same `## question-id` headings: first the answer
and the slips as expressions, then a blank line, then the worked solution. Under `## bench` stands
what a reading of the bench record should come to, and under `## notes` the notes for the
instructor. Whatever takes more than one expression is a function in `solutions/<slug>.py`, which
makes one `Key` named `key`; a lesson without such a function has no such file. Neither file is ever
copied into anything a student gets.
"""

from __future__ import annotations

import importlib.util
import re
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coursekit.classroom.bank.answer_key import Answer as Answer
from coursekit.classroom.bank.answer_key import Key as Key
from coursekit.classroom.bank.answer_key import Slip as Slip
from coursekit.classroom.bank.answer_key import Value as Value
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, Question
from coursekit.classroom.bank.expected import read_bench
from coursekit.classroom.bank.expression_words import Words, own_words
from coursekit.classroom.bank.expressions import Expression
from coursekit.classroom.bank.solution_text import WrittenAnswer, read


def load(exercise: Exercise, root: Path) -> Key:
    """Return the private half of `exercise`, checked against the public half.

    Raises AuthoringError for a missing file, an unknown question, a question without answer,
    without slips or without worked solution, and a chain that runs backwards.
    """
    folder = root / "solutions"
    written, python = (folder / f"{exercise.slug}.{ending}" for ending in ("md", "py"))
    if not written.is_file():
        raise AuthoringError(
            f"solutions/{exercise.slug}.md: the private half of an exercise must be there; got no "
            "such file. Write it beside the others."
        )
    key, own = _run(python, exercise.slug) if python.is_file() else (Key(exercise.slug), {})
    _read(key, exercise, written.read_text(encoding="utf-8"), own)
    _check(key, exercise)
    return key


def _run(path: Path, slug: str) -> tuple[Key, dict[str, Any]]:
    """Return the key that the file makes, and its own functions and constants for expressions."""
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
    key = getattr(module, "key", Key(slug))
    if not isinstance(key, Key) or key.slug != slug:
        raise AuthoringError(
            f"solutions/{slug}.py: it must make `key = Key({slug!r})`; got {key!r}. Add that line."
        )
    return key, own_words(module)


def _read(key: Key, exercise: Exercise, text: str, own: Mapping[str, Any]) -> None:
    """Put the answers, slips and worked solutions of `solutions/<slug>.md` into `key`."""
    words = Words(
        tuple(q.name for q in exercise.quantities), tuple(q.id for q in exercise.questions), own
    )
    pieces = re.split(r"^## +(\S+) *$", text, flags=re.MULTILINE)
    for id, block in zip(pieces[1::2], pieces[2::2], strict=True):
        if id == "notes":
            key.notes = block.strip()
            continue
        if id == "bench":
            key.bench = read_bench(block, exercise, words, key.written_in)
            continue
        question = _known(exercise, id, key.written_in)
        where = f"{key.written_in}, question '{id}'"
        written = read(block, where)
        _put_answer(key, question, written, words, where)
        for slip in written.slips:
            sum = _sum(slip.text, question, words, f"{where}, slip '{slip.name}'")
            key.slips.setdefault(id, []).append(Slip(slip.name, sum, slip.hint, slip.credit))
        if written.worked:
            if id in key.worked:
                raise AuthoringError(
                    f"{where}: it must have one worked solution; got two, here and in the "
                    "docstring of its answer. Remove one."
                )
            key.worked[id] = written.worked


def _put_answer(
    key: Key, question: Question, written: WrittenAnswer, words: Words, where: str
) -> None:
    if unknown := [id for id in written.after if id not in words.questions]:
        raise AuthoringError(
            f"{where}: `after:` must name earlier questions; got '{unknown[0]}'. "
            f"There are {', '.join(words.questions)}."
        )
    if not written.answer:
        if written.after:
            raise AuthoringError(
                f"{where}: `after:` must stand beside an `answer:`; got none. Add it, or say "
                "`after=` where the answer is."
            )
        return
    if question.id in key.answers:
        raise AuthoringError(
            f"{where}: it must have one answer; got two, here and in {key.home(question.id)}. "
            "Remove one."
        )
    sum = _sum(written.answer, question, words, f"{where}, answer")
    named = {*written.after, *sum.after}
    after = tuple(id for id in words.questions if id in named)
    key.answers[question.id] = Answer(sum, after)


def _sum(text: str, question: Question, words: Words, where: str) -> Expression:
    """Return `text` as an expression; the id of a choice's option stands for itself."""
    named = text in (question.options or {})
    return Expression(repr(text) if named else text, question.id, words, where)


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
        where = f"{key.written_in}, question '{question.id}'"
        if question.graded and not key.worked.get(question.id):
            raise AuthoringError(
                f"{where}: a graded question must have a worked solution; got none. Write it under "
                f"`## {question.id}`."
            )
        if question.kind == "written":
            continue
        if question.id not in key.answers:
            raise AuthoringError(
                f"{where}: it must have an answer; got none. Add `answer: …` below the heading."
            )
        if not key.slips.get(question.id):
            raise AuthoringError(
                f"{where}: it must name a slip or more; got none. Add `slip a-name: …` and, "
                "indented below it, the hint."
            )
        names = [slip.name for slip in key.slips[question.id]]
        if twice := [name for name in names if names.count(name) > 1]:
            raise AuthoringError(
                f"{where}: a slip's name must be used once, for the class's report; got "
                f"'{twice[0]}' twice. Rename one."
            )
        where = f"{key.home(question.id)}, question '{question.id}'"
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
