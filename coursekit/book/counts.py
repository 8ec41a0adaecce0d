"""How much each lesson holds, counted in its own files: for the instructor and the author."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from coursekit.book import page_rules
from coursekit.book.lesson import read

PAGE = "lesson-counts"
TEXT = """# The lessons in numbers

*How much is in each lesson, for the student and for you?*

All of this is counted in the lessons' own files whenever this edition is built. The minutes are for
reading the page once. The slips are the known mistakes at the marked questions. The outside checks
are the tests that hold the kit to the sources this lesson cites.

```{lesson-counts}
```
"""


def counts(slug: str, root: Path) -> dict[str, str]:
    """Return what is counted of the lesson `slug`, and how much of it there is.

    Raises
    ------
    AuthoringError
        If a file of the lesson is missing or wrong.
    """
    lesson = read(slug, root)
    page, exercise = lesson.page, lesson.exercise
    slips = sum(len(lesson.key.slips.get(q.id, ())) for q in exercise.graded)
    drawing = find_spec(f"coursekit.sheets.drawings.{slug.replace('-', '_')}")
    return {
        "lines": f"{page.lines}",
        "minutes": f"{page_rules.minutes(page):.0f}",
        "figures": f"{len(page.figures)}",
        "sliders": f"{len(page.of('slider'))}",
        "cards": f"{len(exercise.practice)}",
        "questions": f"{len(exercise.graded)}",
        "slips": f"{slips}",
        "marks": f"{exercise.marks:g}",
        "bench lines": f"{len(exercise.bench)}",
        "own drawing": "yes" if drawing else "no",
        "outside checks": f"{len(page_rules.outside_checks(lesson))}",
    }
