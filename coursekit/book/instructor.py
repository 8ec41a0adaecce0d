"""The instructor's edition: every lesson with its solutions and notes, and the lessons in numbers.

It is built in a folder of its own, from a copy of the course's text with pages added, and never
touches the students' book. Each page carries a banner, and a marker file in the folder makes
hand-out refuse it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import yaml

from coursekit.book import build, counts
from coursekit.book import printed as to_print
from coursekit.classroom.bank import exercises, keys, own_numbers
from coursekit.classroom.bank.exercises import Exercise, Question
from coursekit.classroom.bank.keys import Key
from coursekit.classroom.handout import worksheets
from coursekit.classroom.handout.zips import INSTRUCTOR_MARK
from coursekit.classroom.register.class_folder import write_bytes, write_text
from coursekit.sheets.text import quantity, unit_sign

BANNER = "Instructor's edition: it holds the solutions. Not for students."
_EXAMPLE = b"instructor's edition"  # the secret from which the example's numbers are drawn
Progress = Callable[[str, float], None]


def make(root: Path, out: Path | None = None, progress: Progress | None = None) -> Path:
    """Build the instructor's edition in `out` (`build/instructor`) and return its first page.

    Raises
    ------
    BookError
        If `out` is the students' book, or lies in a folder of what students get.
    """
    out = (out or root / "build" / "instructor").resolve()
    _refuse(root, out)
    source = out / "source"
    stage(root, source)
    mark(out)
    index = build.build(source, out / "book", progress)
    mark(out)
    return index


def printed(index: Path, paper: str = "a4") -> Path:
    """Return the edition at `index` as one page to print, with every answer shown.

    The marker file is put beside the page.
    """
    page = to_print.make(index, index.parents[2] / "source" / "course", opened=True, paper=paper)
    write_text(page.parent / INSTRUCTOR_MARK, BANNER + "\n")
    return page


def mark(out: Path) -> None:
    """Put the marker file of the instructor's edition into every folder where hand-out may look."""
    for folder in (out, out / "book", out / "book" / "html"):
        write_text(folder / INSTRUCTOR_MARK, BANNER + "\n")


def _refuse(root: Path, out: Path) -> None:
    names = {p.name for p in (out, *out.parents)} & {"hand-out", "to-send", "release", "submitted"}
    pages = out / "html" / "index.html"
    if names or out == root.resolve() / "build" / "book" or pages.is_file():
        raise build.BookError(
            f"The instructor's edition must have a folder of its own; got {out}, which is of the "
            "students' book or of what students get. Name another."
        )


def stage(root: Path, target: Path) -> None:
    """Make `target` a copy of the course at `root`, with the pages of this edition added."""
    wanted: dict[Path, bytes] = {}
    for name in ("course", "exercises", "solutions"):
        for path in sorted((root / name).rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts:
                wanted[target / path.relative_to(root)] = path.read_bytes()
    contents = yaml.safe_load((root / "course" / "_toc.yml").read_text(encoding="utf-8"))
    with_pages = set(_with_solutions(contents, set(exercises.slugs(root))))
    for slug in sorted(with_pages):
        wanted[target / "course" / f"{slug}-solutions.md"] = solutions_page(slug, root).encode()
    wanted[target / "course" / f"{counts.PAGE}.md"] = counts.TEXT.encode()
    last = (contents.get("parts") or [contents])[-1]
    last.setdefault("chapters", []).append({"file": counts.PAGE})
    wanted[target / "course" / "_toc.yml"] = _dumped(contents)
    config = yaml.safe_load((root / "course" / "_config.yml").read_text(encoding="utf-8"))
    wanted[target / "course" / "_config.yml"] = _dumped(_with_banner(config))
    for path in sorted(p for p in target.rglob("*") if p.is_file()) if target.is_dir() else ():
        if path not in wanted:
            path.unlink()
    for path, data in wanted.items():
        write_bytes(path, data)


def _dumped(tree: Any) -> bytes:
    return str(yaml.safe_dump(tree, sort_keys=False, allow_unicode=True)).encode()


def _with_solutions(tree: Any, slugs: set[str]) -> Iterator[str]:
    """Put a page of solutions after each lesson of a table of contents; yield the slugs."""
    for value in tree.values() if isinstance(tree, dict) else ():
        if not isinstance(value, list):
            continue
        for entry in list(value):
            slug = str(entry.get("file", "")) if isinstance(entry, dict) else ""
            if slug in slugs:
                value.insert(value.index(entry) + 1, {"file": f"{slug}-solutions"})
                yield slug
            yield from _with_solutions(entry, slugs)


def _with_banner(config: dict[str, Any]) -> dict[str, Any]:
    settings = config.setdefault("sphinx", {}).setdefault("config", {})
    settings.setdefault("html_theme_options", {})["announcement"] = BANNER
    config["title"] = f"{config.get('title', '')} (instructor's edition)".strip()
    return config


def solutions_page(slug: str, root: Path) -> str:
    """Return a lesson's solutions and notes as Markdown, worked for one example's numbers."""
    exercise = exercises.load(slug, root)
    answers = keys.load(exercise, root)
    numbers = own_numbers.draw(exercise, answers, _EXAMPLE, "example")
    right = own_numbers.answers(exercise, answers, numbers)
    given = "\n".join(
        f"- `{q.name}`, {q.say}: {quantity(numbers[q.name], q.unit)}" for q in exercise.quantities
    )
    parts = [
        f"# {exercise.title}: solutions",
        f":::{{warning}}\n{BANNER}\n:::",
        "Each student has numbers of their own; the answer key has them all. The sums here are "
        "worked for one example:",
        given,
        "## Notes for the session",
        answers.notes,
    ]
    for number, question in enumerate(exercise.graded, start=1):
        parts += _question(exercise, answers, question, number, numbers, right)
    return "\n\n".join(parts) + "\n"


def _question(
    exercise: Exercise,
    answers: Key,
    question: Question,
    number: int,
    numbers: dict[str, float],
    right: dict[str, Any],
) -> list[str]:
    answer = worksheets.shown(question, right[question.id]) if question.id in right else ""
    sign = unit_sign(question.unit) if question.unit != "1" else ""
    unit = sign if sign == "°" else f" {sign}" if sign else ""
    marks = f"{question.marks:g} mark{'' if question.marks == 1 else 's'}"
    parts = [
        f"## {number}. {question.title}",
        _quoted(question.text),
        f"**{answer}{unit}** ({marks})" if answer else f"Marked by hand ({marks}).",
        worksheets.worked(answers, question, numbers, answer),
    ]
    lines = []
    for slip in answers.slips.get(question.id, ()):
        value = answers.slip_value(slip, question, numbers, right)
        lines.append(f"- *{slip.name}*: {worksheets.shown(question, value)}{unit}. {slip.hint}")
    if lines:
        parts.append("Slips that are known:\n\n" + "\n".join(lines))
    return parts


def _quoted(text: str) -> str:
    return "\n".join(f"> {line}".rstrip() for line in text.strip().splitlines())
