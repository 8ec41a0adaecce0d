"""What the functions of a key gave for a student's numbers, kept so that none is asked twice.

What a function of a key gives depends on the student's numbers and the earlier answers that it
looks at, and on nothing else, so it can be kept. Drawing numbers, proving them, solving the
exercise and marking it all ask for the same values again and again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

_MOST_CASES = 64  # sets of numbers that are kept, the last ones asked for
_MOST_EACH = 16  # values of one function for the same numbers, by the earlier answers
_MISSING = object()

Numbers = Mapping[str, float]


class EarlierAnswers(Mapping[str, Any]):
    """Earlier answers as a function of a key sees them, with a note of what it has looked at.

    `seen` holds the answers it asked for; `all_seen` is true if it went through all of them or
    counted them.
    """

    def __init__(self, answers: Mapping[str, Any]) -> None:
        self._answers = answers
        self.seen: dict[str, Any] = {}
        self.all_seen = False

    def __getitem__(self, question: str) -> Any:
        self.seen[question] = self._answers.get(question, _MISSING)
        return self._answers[question]

    def __iter__(self) -> Iterator[str]:
        self.all_seen = True
        return iter(self._answers)

    def __len__(self) -> int:
        self.all_seen = True
        return len(self._answers)


@dataclass(frozen=True)
class _Known:
    """A value and the earlier answers it follows from.

    These are the ones in `seen`; if `exactly` is true, there must be no others beside them.
    """

    value: Any
    seen: Mapping[str, Any]
    exactly: bool

    def follows_from(self, earlier: Mapping[str, Any]) -> bool:
        """Whether the function would see the same in `earlier`."""
        if self.exactly and len(earlier) != len(self.seen):
            return False
        return all(_same(earlier.get(id, _MISSING), was) for id, was in self.seen.items())


class Solved:
    """The values that functions gave, by the numbers and by what they saw of earlier answers."""

    def __init__(self) -> None:
        self._cases: OrderedDict[frozenset[tuple[str, float]], dict[Hashable, list[_Known]]] = (
            OrderedDict()
        )

    def value(
        self,
        name: Hashable,
        numbers: Numbers,
        earlier: Mapping[str, Any],
        work_out: Callable[[EarlierAnswers], Any],
    ) -> Any:
        """Return what `work_out` gives for `earlier`, without calling it if that is known already.

        `name` tells the function from all others that are asked about `numbers`. An error is never
        kept.
        """
        kept = self._case(numbers).setdefault(name, [])
        for known in kept:
            if known.follows_from(earlier):
                return known.value
        answers = EarlierAnswers(earlier)
        value = work_out(answers)
        seen = dict(earlier) if answers.all_seen else answers.seen
        kept.append(_Known(value, seen, answers.all_seen))
        del kept[:-_MOST_EACH]
        return value

    def _case(self, numbers: Numbers) -> dict[Hashable, list[_Known]]:
        case = frozenset(numbers.items())
        found = self._cases.setdefault(case, {})
        self._cases.move_to_end(case)
        if len(self._cases) > _MOST_CASES:
            self._cases.popitem(last=False)
        return found


def _same(one: object, other: object) -> bool:
    """Whether two answers are the same in every digit and in sign, even the sign of a zero."""
    return one is other or (one == other and repr(one) == repr(other))
