"""The key of an exercise: right answers, slips, measures, and the numbers that it makes.

The decorators in `solutions/<slug>.py` fill it, and it then gives the answers for any student's
numbers. What a function gave once is kept, so it isn't worked out again for the same numbers.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isfinite
from random import Random
from types import SimpleNamespace
from typing import Any

import numpy as np

from coursekit.classroom.bank.exercises import AuthoringError, Question
from coursekit.classroom.bank.expressions import Expression
from coursekit.classroom.bank.orders import ordered
from coursekit.classroom.bank.solved import Solved

# a number; a list of numbers, or points laid out flat (x, y, x, y …); labels in order; a word
Value = float | tuple[float, ...] | tuple[str, ...] | str
Sum = Callable[..., Any]


@dataclass(frozen=True)
class Slip:
    """A typical mistake: its name, the calculation that makes it, the hint, its share of marks."""

    name: str
    sum: Sum
    hint: str
    credit: float


@dataclass(frozen=True)
class Answer:
    """The right calculation of one question, and the earlier answers that it builds on."""

    sum: Sum
    after: tuple[str, ...]


@dataclass
class Key:
    """What `solutions/<slug>.py` fills in. Every function takes the student's numbers `n`.

    `n` has one attribute for each quantity. The function of a question that builds on earlier ones
    (`after=…`) takes a second argument, a mapping from question id to the earlier answer.
    """

    slug: str
    answers: dict[str, Answer] = field(default_factory=dict)
    slips: dict[str, list[Slip]] = field(default_factory=dict)
    measures: dict[str, Sum] = field(default_factory=dict)
    makers: dict[tuple[str, ...], Sum] = field(default_factory=dict)
    conditions: list[Sum] = field(default_factory=list)
    worked: dict[str, str] = field(default_factory=dict)
    bench: dict[str, Expression] = field(default_factory=dict)
    notes: str = ""
    _solved: Solved = field(default_factory=Solved, repr=False, compare=False)

    @property
    def source(self) -> str:
        """The file this key is written in, as a reader names it."""
        return f"solutions/{self.slug}.py"

    @property
    def written_in(self) -> str:
        """The file with the answers and slips that are expressions, as a reader names it."""
        return f"solutions/{self.slug}.md"

    @property
    def files(self) -> str:
        """The file or files that the answers stand in."""
        found = {self._file(answer.sum) for answer in self.answers.values()}
        return " and ".join(sorted(found))

    def home(self, question: str) -> str:
        """Return the file in which the answer of `question` stands."""
        return self._file(self.answers[question].sum)

    def answer(self, question: str, after: tuple[str, ...] = ()) -> Callable[[Sum], Sum]:
        """Mark a function as the right answer of `question`.

        Its docstring, if it has one, is the worked solution, which must then not be written again
        in `solutions/<slug>.md`.
        """

        def keep(sum: Sum) -> Sum:
            if question in self.answers:
                raise AuthoringError(
                    f"{self.source}, question '{question}': it must have one answer; got two. "
                    "Remove one."
                )
            self.answers[question] = Answer(sum, tuple(after))
            if worked := inspect.getdoc(sum):
                self.worked[question] = worked
            return sum

        return keep

    def slip(self, question: str, credit: float = 0.0) -> Callable[[Sum], Sum]:
        """Mark a function as a typical mistake at `question`; its docstring is the hint.

        `credit` is the share of the marks that the slip still earns, from 0 to below 1.
        """

        def keep(sum: Sum) -> Sum:
            hint = inspect.getdoc(sum) or ""
            name = sum.__name__.strip("_").replace("_", "-")
            if not hint or not 0 <= credit < 1:
                raise AuthoringError(
                    f"{self.source}, question '{question}': slip '{name}' must have a docstring "
                    f"(its hint) and a credit from 0 to below 1; got credit {credit:g}, hint "
                    f"{hint!r}."
                )
            hint = re.sub(r"\s+", " ", hint)
            self.slips.setdefault(question, []).append(Slip(name, sum, hint, credit))
            return sum

        return keep

    def score(self, question: str) -> Callable[[Sum], Sum]:
        """Mark a function as the measure of an order: how good any order of the labels is.

        It takes `n` and the order, a tuple of labels, and returns the share of the marks from 0 to
        1, or that share and the reason for the student, in words. The right answer must earn 1.
        """

        def keep(sum: Sum) -> Sum:
            if question in self.measures:
                raise AuthoringError(
                    f"{self.source}, question '{question}': it must have one measure; got two. "
                    "Remove one."
                )
            self.measures[question] = sum
            return sum

        return keep

    def makes(self, *names: str) -> Callable[[Sum], Sum]:
        """Mark a function as the maker of the quantities `names`: readings that belong together.

        It takes `n`, the drawn numbers and what earlier makers made, and `chance`, a
        `random.Random` of the student's own, and returns one value a name. `n.frame` has every
        number of the student's frame by its name, for what no question may give away; it is empty
        where the exercise has nothing of a frame. Each value is rounded to the nearest value of its
        quantity's range. A maker is frozen once a class has been handed the
        exercise, because changing it changes the students' numbers.
        """

        def keep(sum: Sum) -> Sum:
            if not names or len(set(names)) < len(names) or self.made_names() & set(names):
                raise AuthoringError(
                    f"{self.source}: a maker must name the quantities it makes, each once and made "
                    f"nowhere else; got {', '.join(names) or 'none'}. Mend the list."
                )
            self.makers[names] = sum
            return sum

        return keep

    def made_names(self) -> set[str]:
        """Return the names of the quantities that the key makes."""
        return {name for names in self.makers for name in names}

    def made(
        self,
        names: tuple[str, ...],
        numbers: Mapping[str, float],
        chance: Random,
        frame: Mapping[str, float] | None = None,
    ) -> tuple[float, ...]:
        """Return the values that the maker of `names` gives, not yet rounded."""
        try:
            raw = self.makers[names](SimpleNamespace(**numbers, frame=frame or {}), chance)
            values = tuple(float(v) for v in raw)
            if len(values) != len(names) or not all(map(isfinite, values)):
                raise ValueError(f"{values!r} is not one finite number for each")
            return values
        except Exception as error:
            raise AuthoringError(
                f"{self.source}, the maker of {', '.join(names)}: it must give one finite number "
                f"for each; got {type(error).__name__} ({error}). Mend it."
            ) from error

    def sound(self, condition: Sum) -> Sum:
        """Mark a function that says whether numbers make a case that can be built and marked."""
        self.conditions.append(condition)
        return condition

    def value(
        self,
        question: Question,
        numbers: Mapping[str, float],
        earlier: Mapping[str, Value] | None = None,
    ) -> Value:
        """Return the right answer of `question` for `numbers`, on top of `earlier` answers."""
        return self._evaluate(self.answers[question.id].sum, "answer", question, numbers, earlier)

    def slip_value(
        self,
        slip: Slip,
        question: Question,
        numbers: Mapping[str, float],
        earlier: Mapping[str, Value] | None = None,
    ) -> Value:
        """Return the value that `slip` leads to."""
        return self._evaluate(slip.sum, f"slip '{slip.name}'", question, numbers, earlier)

    def share(
        self, question: Question, numbers: Mapping[str, float], order: tuple[str, ...]
    ) -> tuple[float, str]:
        """Return what share of the marks `order` earns by the key's measure, and why in words."""
        measure = self.measures[question.id]

        def work_out(_: object) -> tuple[float, str]:
            raw = measure(SimpleNamespace(**numbers), order)
            share, reason = raw if isinstance(raw, tuple) else (raw, "")
            if not 0 <= float(share) <= 1 + 1e-9:
                raise ValueError(f"{share!r} is not a share from 0 to 1")
            return min(float(share), 1.0), str(reason)

        try:
            found: tuple[float, str] = self._solved.value((measure, order), numbers, {}, work_out)
            return found
        except Exception as error:
            raise self._failed(measure, "the measure", "share", question, numbers, error) from error

    def _evaluate(
        self,
        sum: Sum,
        what: str,
        question: Question,
        numbers: Mapping[str, float],
        earlier: Mapping[str, Value] | None,
    ) -> Value:
        def work_out(answers: Mapping[str, Value]) -> Value:
            n = SimpleNamespace(**numbers)
            return _plain(sum(n, answers) if _wants_earlier(sum) else sum(n), question)

        name = (sum, question.kind, question.entries, tuple(question.options or ()))
        try:
            value: Value = self._solved.value(name, numbers, earlier or {}, work_out)
            return value
        except Exception as error:
            kind = f"finite {question.kind}"
            raise self._failed(sum, f"the {what}", kind, question, numbers, error) from error

    def _file(self, sum: Sum) -> str:
        return self.written_in if isinstance(sum, Expression) else self.source

    def _failed(
        self,
        sum: Sum,
        what: str,
        kind: str,
        question: Question,
        numbers: Mapping[str, float],
        error: Exception,
    ) -> AuthoringError:
        case = ", ".join(f"{k} {v:g}" for k, v in numbers.items())
        if isinstance(sum, Expression):
            what += f" `{sum.text}`"
        return AuthoringError(
            f"{self._file(sum)}, question '{question.id}': {what} must be a {kind} for every sound "
            f"case; got {type(error).__name__} ({error}) with {case}. Mend the sum, narrow the "
            "ranges, or refuse the case in @key.sound."
        )

    def is_sound(self, numbers: Mapping[str, float]) -> bool:
        """Whether every `@key.sound` condition accepts `numbers`."""
        return all(self._holds(condition, numbers) for condition in self.conditions)

    def _holds(self, condition: Sum, numbers: Mapping[str, float]) -> bool:
        def work_out(_: object) -> bool:
            return bool(condition(SimpleNamespace(**numbers)))

        return bool(self._solved.value(condition, numbers, {}, work_out))


@cache
def _wants_earlier(sum: Sum) -> bool:
    """Whether a function takes the earlier answers beside the numbers."""
    return len(inspect.signature(sum).parameters) > 1


def _plain(raw: Any, question: Question) -> Value:
    """Return a key's own value as a float, a tuple of floats or labels, or an option's id."""
    if question.kind == "choice":
        if raw not in (question.options or {}):
            raise ValueError(f"'{raw}' is not among the options")
        return str(raw)
    if question.kind == "number" and type(raw) is float and isfinite(raw):
        return raw
    if question.kind == "order":
        return ordered(question.entries, tuple(raw))
    count = len(question.entries)
    wanted = {"numbers": (count,), "points": (count, 2)}.get(question.kind, ())
    values = np.asarray(raw, dtype=float)
    if values.shape != wanted or not np.isfinite(values).all():
        raise ValueError(f"{raw!r} is not {wanted or 'one'} finite number(s)")
    return tuple(values.ravel().tolist()) if wanted else float(values)
