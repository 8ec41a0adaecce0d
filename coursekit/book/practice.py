"""Practice cards: the bank's practice questions, with numbers, answers and hints in the page.

Nothing of a graded question goes into a card. It holds its practice question's own text, answer,
slips and hints, and numbers that no student gets in a graded question.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.exercises import AuthoringError, Exercise, Question
from coursekit.classroom.bank.keys import Key
from coursekit.sheets.text import number, unit_after

SETS = 12
NO_BREAK = "\xa0"
_SEED = b"practice cards"
_DRAWS_PER_SET = 10


@dataclass(frozen=True)
class Miss:
    """The wrong value that a slip leads to, and how near to it an answer counts as that slip."""

    value: float | str
    tolerance: float


@dataclass(frozen=True)
class NumberSet:
    """One set of numbers of a card; `misses` are in the order of the card's hints."""

    given: tuple[str, ...]
    answer: float | str
    tolerance: float
    misses: tuple[Miss, ...]


@dataclass(frozen=True)
class Card:
    """One practice question: words for its given numbers, hints for its slips, sets of numbers."""

    question: Question
    say: tuple[str, ...]
    hints: tuple[str, ...]
    sets: tuple[NumberSet, ...]


def cards(slug: str, root: Path) -> tuple[Card, ...]:
    """Return the practice cards of `slug`, in the order of the bank.

    Raises
    ------
    AuthoringError
        If the lesson has no practice question, if a given number has no `practice` values of its
        own, or if fewer than ten different sets can be drawn.
    """
    exercise = exercises.load(slug, root)
    key = keys.load(exercise, root)
    if not exercise.practice:
        raise AuthoringError(
            f"{exercise.source}: practice cards must have questions; got none. "
            "Add questions with `set: practice`."
        )
    drawn = tuple(_draws(_on_practice_values(exercise), key))
    return tuple(
        _card(question, exercise, key, drawn[i * SETS :] + drawn[: i * SETS])
        for i, question in enumerate(exercise.practice)
    )


def _on_practice_values(exercise: Exercise) -> Exercise:
    """Return the practice questions alone, with every quantity drawn from its `practice` values."""
    for question in exercise.practice:
        for name in question.given:
            if not (exercise.quantity(name).practice or exercise.quantity(name).fact):
                raise AuthoringError(
                    f"{exercise.source}, question '{question.id}': a given number must have values "
                    f"kept for practice; '{name}' has none. Add `practice` to it in the head."
                )
    own = tuple(
        replace(q, values=q.practice, fact="") if q.practice else q for q in exercise.quantities
    )
    return replace(exercise, quantities=own, questions=exercise.practice)


def _draws(exercise: Exercise, key: Key) -> list[dict[str, float]]:
    """Return sound draws, the same at each build and enough for cards with different numbers."""
    names = (f"set-{i}" for i in range(SETS * _DRAWS_PER_SET))
    return [own_numbers.draw(exercise, key, _SEED, name) for name in names]


def _card(
    question: Question, exercise: Exercise, key: Key, drawn: tuple[dict[str, float], ...]
) -> Card:
    if question.kind not in ("number", "choice"):
        raise AuthoringError(
            f"{exercise.source}, question '{question.id}': a practice card must ask for one number "
            f"or one choice; got {question.kind}. Change its kind."
        )
    different: dict[tuple[float, ...], dict[str, float]] = {}
    for numbers in drawn:
        different.setdefault(tuple(numbers[name] for name in question.given), numbers)
    if len(different) < 10 and question.kind == "number":
        raise AuthoringError(
            f"{exercise.source}, question '{question.id}': a practice card must have ten "
            f"different sets of numbers; got {len(different)}. Widen `practice` of "
            f"{', '.join(question.given)}."
        )
    chosen = list(different.values())[:SETS]
    return Card(
        question,
        say=tuple(_say(exercise.quantity(name).say) for name in question.given),
        hints=tuple(slip.hint for slip in key.slips[question.id]),
        sets=tuple(_set(question, exercise, key, numbers) for numbers in chosen),
    )


def _set(question: Question, exercise: Exercise, key: Key, numbers: dict[str, float]) -> NumberSet:
    answer = key.value(question, numbers)
    wrong = [key.slip_value(slip, question, numbers) for slip in key.slips[question.id]]
    return NumberSet(
        given=tuple(
            f"{number(numbers[name])}{unit_after(exercise.quantity(name).unit, NO_BREAK)}"
            for name in question.given
        ),
        answer=_plain(answer),
        tolerance=_allowance(question, answer),
        misses=tuple(Miss(_plain(value), _allowance(question, value)) for value in wrong),
    )


def _say(words: str) -> str:
    """Return a quantity's words for a card, without "your" because nobody owns its numbers.

    >>> _say("wall of your down tube")
    'Wall of the down tube'
    """
    words = f" {words}".replace(" your ", " the ").strip()
    return words[0].upper() + words[1:]


def _plain(value: Any) -> float | str:
    return value if isinstance(value, str) else round(float(value), 6)


def _allowance(question: Question, value: Any) -> float:
    return 0.0 if isinstance(value, str) else round(question.allowance(float(value)), 6)


def script_safe_json(card: Card) -> str:
    """Return the card's data as JSON that may stand inside an HTML `<script>` element.

    `<`, `>` and `&` are written as escapes, so that no text of a hint can end the element.
    """
    data = {
        "unit": card.question.unit,
        "kind": card.question.kind,
        "hints": card.hints,
        "sets": [
            {
                "given": n.given,
                "answer": n.answer,
                "tolerance": n.tolerance,
                "misses": [[m.value, m.tolerance] for m in n.misses],
            }
            for n in card.sets
        ],
    }
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    for sign, escape in (("<", "\\u003c"), (">", "\\u003e"), ("&", "\\u0026")):
        text = text.replace(sign, escape)
    return text
