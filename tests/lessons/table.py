"""The table of lessons in DEVELOPERS.md, made from the lessons themselves.

    uv run python -m tests.lessons.table      writes it

What is counted: lines and minutes of the page, its figures and sliders; practice cards; marked questions and
their known slips; marks; lines of the bench record and whether the worksheet draws the student's own
case; files of tests/sources that the sources cited on the page name as their judges.
"""

from __future__ import annotations

import re
from pathlib import Path

from coursekit.book import page_rules
from coursekit.book.lesson import lessons, read

ROOT = Path(__file__).resolve().parents[2]
BEGIN, END = "<!-- lessons: made by tests.lessons.table -->", "<!-- end of lessons -->"
HEAD = (
    "lesson", "lines", "minutes", "figures", "sliders", "cards", "questions", "slips", "marks",
    "bench lines", "own drawing", "outside checks",
)  # fmt: skip


def row(slug: str, root: Path) -> tuple[str, ...]:
    """One lesson's cells."""
    lesson = read(slug, root)
    page, exercise = lesson.page, lesson.exercise
    entries = page_rules.judges(root)
    cited = {
        name.strip()
        for group in re.findall(r"\{cite(?::\w+)?\}`([^`]+)`", page.sections.get("Sources", ""))
        for name in group.split(",")
    }
    judges = {file for name in cited for file in entries.get(name, ())}
    drawing = root / "coursekit" / "sheets" / "drawings" / f"{slug.replace('-', '_')}.py"
    counts = (
        page.lines, round(page_rules.minutes(page)), len(page.figures), len(page.of("slider")),
        len(exercise.practice), len(exercise.graded),
        sum(len(lesson.key.slips.get(q.id, ())) for q in exercise.graded),
        f"{exercise.marks:g}", len(exercise.bench), "yes" if drawing.is_file() else "no", len(judges),
    )  # fmt: skip
    return (f"`{slug}`", *(str(c) for c in counts))


def table(root: Path = ROOT) -> str:
    """The whole table as Markdown."""
    rows = [HEAD, tuple("---" for _ in HEAD), *(row(s, root) for s in lessons(root))]
    return "\n".join("| " + " | ".join(r) + " |" for r in rows)


def inserted(text: str, made: str) -> str:
    """The guide's text with the table between its two marks."""
    before, _, rest = text.partition(BEGIN)
    after = rest.partition(END)[2]
    return f"{before}{BEGIN}\n{made}\n{END}{after}"


if __name__ == "__main__":
    guide = ROOT / "DEVELOPERS.md"
    guide.write_text(inserted(guide.read_text("utf-8"), table()), "utf-8")
