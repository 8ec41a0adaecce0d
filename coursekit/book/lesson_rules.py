"""What every lesson must have before a class sees it: the house's rules for page, exercise and paper.

`findings` reads a lesson's own files and says, in words, what is missing. It builds no book and runs no
notebook, so it takes a second or two. What only a reader can judge, it leaves to the reader.
"""

from __future__ import annotations

from pathlib import Path

from coursekit.book import exercise_rules, page_rules
from coursekit.book.lesson import lessons, read
from coursekit.classroom.bank.exercises import AuthoringError

__all__ = ["findings", "lessons"]


def findings(slug: str, root: Path) -> tuple[str, ...]:
    """Return what is wrong with the lesson, one sentence or two each; nothing where it is whole.

    A file that can't be read at all ends the search: it is then the only finding.
    """
    try:
        lesson = read(slug, root)
    except AuthoringError as error:
        return (str(error),)
    rules = (*page_rules.RULES, *exercise_rules.RULES)
    return tuple(f"{slug}: {words}" for rule in rules for words in rule(lesson))
