"""What every lesson must have before a class sees it, as far as a machine can tell.

`findings` reads a lesson's own files and says in words what is missing. It builds no book and runs
no notebook, so it takes only a second or two. What only a reader can judge is left to a reader.
"""

from __future__ import annotations

from pathlib import Path

from coursekit.book import exercise_rules, page_rules
from coursekit.book.lesson import lessons, read
from coursekit.classroom.bank.exercises import AuthoringError

__all__ = ["findings", "lessons"]


def findings(slug: str, root: Path) -> tuple[str, ...]:
    """Return what is wrong with the lesson, one sentence or two each; empty if it is complete.

    If a file can't be read at all, the search ends there, and that is the only finding.
    """
    try:
        lesson = read(slug, root)
    except AuthoringError as error:
        return (str(error),)
    rules = (*page_rules.RULES, *exercise_rules.RULES)
    return tuple(f"{slug}: {words}" for rule in rules for words in rule(lesson))
