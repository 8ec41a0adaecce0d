"""What every lesson's page and its sources must have; each rule yields in words what is wrong."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from coursekit.book import slider
from coursekit.book.lesson import FIRST, LAST, Lesson
from coursekit.book.page import OPENING, Block, LessonPage
from coursekit.classroom.bank.exercises import AuthoringError

AFTER = (LAST, "At the bench", "Practice cards", "Your own numbers", "Sources", "What comes next")
WORDS_A_MINUTE = 150
LINES, LINES_AT_MOST = 400, 600
FIGURES, ALT = 4, 60
_CITED = re.compile(r"\{cite(?::\w+)?\}`([^`]+)`")


def _length(lesson: Lesson) -> Iterator[str]:
    lines = lesson.page.lines
    said = any(re.match(r"over \d+ lines: .{40,}", c) for c in lesson.page.comments)
    if lines > LINES_AT_MOST or (lines > LINES and not said):
        yield (
            f"a page must have {LINES} lines or fewer, or say why not, and never more than "
            f"{LINES_AT_MOST}; got {lines}. Move code to coursekit/figures, cut what is said "
            f"twice, or give the reason in a comment: % over {LINES} lines: …"
        )


def _opening(lesson: Lesson) -> Iterator[str]:
    head = lesson.page.sections[OPENING]
    if not lesson.page.title:
        yield (
            "a page must begin with its title; got none. Write it as the one heading with a "
            "single #."
        )
    if not re.search(r"^\*[^*\n]+\?\*$", head, re.MULTILINE):
        yield "below the title must stand the shop's question in italics; got none. Write *…?*."
    able = head.partition("**After this you can**")[2]
    verbs = re.findall(r"^- \*\*[a-z]", able, re.MULTILINE)
    if not 2 <= len(verbs) <= 4:
        yield (
            "*After this you can* must list two to four things, each with a verb in bold; got "
            f"{len(verbs)}. Write - **verb** what."
        )


def minutes(page: LessonPage) -> float:
    """Return the minutes a page takes to read: one for 150 words, two figures or one slider."""
    return page.words / WORDS_A_MINUTE + len(page.figures) / 2 + len(page.of("slider"))


def _minutes(lesson: Lesson) -> Iterator[str]:
    stated = re.search(r"Read in (\d+) minutes; work in (\d+) more", lesson.page.sections[OPENING])
    if not stated:
        yield "a page must state its time; got none. Write: Read in … minutes; work in … more."
        return
    counted = minutes(lesson.page)
    if abs(int(stated[1]) - counted) > max(3.0, counted / 5):
        yield (
            f"the minutes to read must be honest; got {stated[1]} where words, figures and sliders "
            f"make {counted:.0f}. Change the number or the page."
        )


def _sections(lesson: Lesson) -> Iterator[str]:
    titles = list(lesson.page.sections)[1:]
    wanted = [FIRST, *AFTER]
    if missing := [t for t in wanted if t not in titles]:
        yield (
            f"a page must have the sections {', '.join(wanted)}; {', '.join(missing)} not found. "
            "Add it."
        )
        return
    if titles[0] != FIRST or tuple(titles[-len(AFTER) :]) != AFTER:
        yield (
            f"a page must begin with {FIRST} and end with {', '.join(AFTER)}; got {titles[0]} and "
            f"{', '.join(titles[-len(AFTER) :])}. Put them in this order."
        )
    for title in wanted:
        if title != "Practice cards" and not _said(lesson.page, title):
            yield f"the section {title} must say something; it is empty. Write it."


def _said(page: LessonPage, section: str) -> bool:
    return len(page.sections[section].split()) > 8 or any(b.section == section for b in page.blocks)


def _try_its(lesson: Lesson) -> Iterator[str]:
    page = lesson.page
    for block, following in zip(page.blocks, [*page.blocks[1:], None], strict=True):
        if _is_try_it(block) and not (following and following.name == "dropdown"):
            yield (
                f"line {block.line}: a try-it must have its solution in a dropdown inside it; "
                "got none. Add :::{dropdown} Solution."
            )
    tried = {b.section for b in page.blocks if _is_try_it(b)}
    for title in lesson.ideas:
        if title not in tried:
            yield (
                f"each idea must have a try-it of its own; '{title}' has none. Add one right "
                "after it."
            )


def _is_try_it(block: Block) -> bool:
    return block.name == "admonition" and block.argument.startswith("Try it")


def _figures(lesson: Lesson) -> Iterator[str]:
    page = lesson.page
    if len(page.figures) < FIGURES:
        yield (
            f"a page must have {FIGURES} figures or more; got {len(page.figures)}. Draw what the "
            "text says."
        )
    for block in page.of("code-cell"):
        where = f"line {block.line}: "
        figure = (block.options.get("mystnb") or {}).get("figure") or {}
        if block.alt is None and block.text.rstrip().endswith(";"):
            yield (
                f"{where}a drawn figure must have an alt text; got none. Write mystnb, image, alt."
            )
        elif block.alt is not None and len(block.alt) < ALT:
            yield (
                f"{where}an alt text must say what is drawn; got '{block.alt}'. Write what the "
                "eye sees."
            )
        if block.alt is not None and not (figure.get("name") and figure.get("caption")):
            yield f"{where}a figure must have a name and a caption. Add them under mystnb, figure."


def _sliders(lesson: Lesson) -> Iterator[str]:
    named = [b.argument for b in lesson.page.of("slider")]
    if not [n for n in named if n.startswith(f"{lesson.slug}/")]:
        yield (
            "a page must have a slider figure of its own; got none. Write one in "
            "coursekit/book/sliders."
        )
    for name in named:
        try:
            slider.slider(name)
        except AuthoringError as error:
            yield str(error)


def _derivation(lesson: Lesson) -> Iterator[str]:
    """Require that a page with a numbered equation derives it and asserts that the kit agrees."""
    code = [b.text for b in lesson.page.of("code-cell") if "remove-cell" not in b.tags]
    if not any("label" in b.options for b in lesson.page.of("math")):
        return
    if not any(re.search(r"^import sympy", c, re.MULTILINE) for c in code):
        yield (
            "a numbered equation must be derived by sympy in the page; got no cell that imports "
            "it. Derive it."
        )
    if not any(re.search(r"^\s*assert ", c, re.MULTILINE) for c in code):
        yield (
            "the derivation must be asserted equal to coursekit where the reader sees it; got no "
            "assert."
        )
    if "In words" not in "".join(lesson.page.sections.values()):
        yield "a formula must also be said in words; found no 'In words'. Say it after the formula."


def _cautions(lesson: Lesson) -> Iterator[str]:
    boxes = [b.text for name in ("danger", "warning") for b in lesson.page.of(name)]
    if not any("{doc}`safety`" in text for text in boxes):
        yield (
            "a page must hold a caution that leads to {doc}`safety`; got none. Add a warning, "
            "first where it is hot."
        )
    if not lesson.exercise.cautions:
        yield (
            "the exercise must name its cautions for the worksheet; got none. Add `cautions:` to "
            "its head."
        )


# Sources


def _sources(lesson: Lesson) -> Iterator[str]:
    text = lesson.page.sections.get("Sources", "")
    listed = (lesson.root / "course" / "sources.md").read_text(encoding="utf-8")
    entries = judges(lesson.root)
    for name in sorted(_cited(lesson)):
        if name not in entries:
            yield f"a cited source must stand in course/references.bib; '{name}' does not. Add it."
        elif f"`{name}`" not in listed:
            yield (
                f"a cited source must stand in course/sources.md; '{name}' does not. Say there "
                "what it was used for."
            )
    checks = outside_checks(lesson)
    if missing := sorted(c for c in checks if not _exists(lesson.root, c)):
        yield (
            "a check named in course/references.bib must exist; tests/sources has no "
            f"{', '.join(missing)}."
        )
    if len(checks) < 2:
        yield (
            "the sources of a page must name two checks from outside or more; those cited lead "
            f"to {', '.join(sorted(checks)) or 'none'}. Cite the source and give its entry "
            f"`judge = {{test_….py}}`."
        )
    if "common practice, no source" not in " ".join(text.split()):
        yield "the sources must say what common practice, no source, means. Say it."


def _cited(lesson: Lesson) -> set[str]:
    groups = _CITED.findall(lesson.page.sections.get("Sources", ""))
    return {name.strip() for group in groups for name in group.split(",")}


def outside_checks(lesson: Lesson) -> set[str]:
    """Return the files in tests/sources that check the kit against what the page cites."""
    entries = judges(lesson.root)
    return {file for name in _cited(lesson) for file in entries.get(name, ())}


def judges(root: Path) -> dict[str, tuple[str, ...]]:
    """Return source of the book → the files in tests/sources that check the kit against it."""
    text = (root / "course" / "references.bib").read_text(encoding="utf-8")
    found = {}
    for name, body in re.findall(r"^@\w+\{([\w-]+),\n(.*?)^\}", text, re.DOTALL | re.MULTILINE):
        files = re.search(r"^ *judge *= *\{([^}]*)\}", body, re.MULTILINE)
        found[name] = tuple(f.strip() for f in files[1].split(",")) if files else ()
    return found


def _exists(root: Path, check: str) -> bool:
    folder = root / "tests" / "sources"
    return not folder.is_dir() or (folder / check).is_file()


RULES = (
    _length,
    _opening,
    _minutes,
    _sections,
    _try_its,
    _figures,
    _sliders,
    _derivation,
    _cautions,
    _sources,
)
