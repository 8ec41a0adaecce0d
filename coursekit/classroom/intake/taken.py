"""What became of each file that was given: a line of the list that taking in returns."""

from __future__ import annotations

from dataclasses import dataclass, field

from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.intake.archives import Aside


@dataclass(frozen=True)
class Taken:
    """What became of one file, or of `count` files that lie together.

    `what` is "taken", "older" (kept, but another version counts), "same" (it was there already),
    "with" (it came with a notebook and lies beside it), "kept" (with the student, to be looked at),
    "passed" (a system or this kit made it) or "left" (not taken); `why` says it in words. `given`
    is the work itself where nothing tells whose it is.

    What is left `asks` for "owner", whose it is, or for "order", which of several counts, or for
    nothing that a word of the instructor could mend. `among` are the students between whom it can't
    be told.
    """

    source: str
    what: str
    student: str = ""
    slug: str = ""
    why: str = ""
    count: int = 1
    given: bytes | AnswerText | None = field(default=None, repr=False, compare=False)
    asks: str = field(default="", compare=False)
    among: tuple[str, ...] = field(default=(), compare=False)

    def as_json(self) -> dict[str, str | int]:
        """Return the same as plain texts and a number, without the work itself."""
        names = ("source", "what", "student", "slug", "why", "count")
        return {name: getattr(self, name) for name in names}


def aside(one: Aside) -> Taken:
    """Return the line of what was set aside where it was found."""
    return Taken(str(one), "left" if one.refused else "passed", why=one.why, count=one.count)
