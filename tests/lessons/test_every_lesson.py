"""The house's rules hold for every lesson of the book, and each rule can be broken."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from coursekit.book import lesson, lesson_rules, page_rules
from coursekit.book import page as pages

ROOT = Path(__file__).resolve().parents[2]
SLUG = "frame-drawing"
PAGE, EXERCISE = f"course/{SLUG}.md", f"exercises/{SLUG}.md"
KEY, WORKED = f"solutions/{SLUG}.py", f"solutions/{SLUG}.md"


@pytest.mark.parametrize("slug", lesson_rules.lessons(ROOT))
def test_a_lesson_is_whole(slug):
    found = lesson_rules.findings(slug, ROOT)
    assert not found, "\n".join(found)


def test_every_exercise_has_its_lesson_in_the_book():
    exercises = {p.stem for p in (ROOT / "exercises").glob("*.md")}
    assert set(lesson_rules.lessons(ROOT)) == exercises


# Each rule, broken


@pytest.fixture
def copy(tmp_path):
    """A copy of the course that a test may spoil; the tests stand beside it as they are."""
    for folder in ("course", "exercises", "solutions"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    (tmp_path / "tests").symlink_to(ROOT / "tests")
    return tmp_path


def spoil(course, name, pattern, new, count=1):
    path = course / name
    text, times = re.subn(pattern, new, path.read_text("utf-8"), count=count, flags=re.M | re.S)
    assert times, f"{name} holds no {pattern!r}"
    path.write_text(text, encoding="utf-8")


BREAKS = {
    "no reason for its length": (PAGE, r"^% over 400 lines.*?\n\n", "", "400 lines or fewer, or say why"),
    "far too long": (PAGE, r"\Z", "\nmore\n" * 300, "never more than 600"),
    "no title": (PAGE, r"^# Frame drawing$", "", "must begin with its title"),
    "no question": (PAGE, r"^\*Can I .*?\*$", "", "the shop's question in italics"),
    "one verb": (PAGE, r"^- \*\*(draw|start|say)\*\*.*?\n(?=- |\n)", "", "two to four things", 0),
    "no minutes": (PAGE, r"Read in 25 minutes", "Read it", "must state its time"),
    "wrong minutes": (PAGE, r"Read in 25", "Read in 9", "must be honest; got 9"),
    "no bench": (PAGE, r"^## At the bench$", "## Elsewhere", "At the bench not found"),
    "another order": (PAGE, r"^## Sources$(.*?)^## What comes next$(.*)",
                      r"## What comes next\n\2\n## Sources\1", "end with Common mistakes"),
    "nothing next": (PAGE, r"(?<=^## What comes next$).*", "\n", "What comes next must say something"),
    "no try-it": (PAGE, r"^```\{admonition\} Try it · Four.*?^```$", "", "'Toe clearance' has none"),
    "no solution": (PAGE, r"^:::\{dropdown\} Solution\n(89 .*?)^:::$", r"\1", "its solution in a dropdown"),
    "few figures": (PAGE, r"^  image: \{alt: .*?\n  figure:.*?\n", "", "4 figures or more; got 0", 0),
    "no alt text": (PAGE, r"^mystnb:\n  image: .*?\n  figure: .*?\n", "", "must have an alt text; got none"),
    "poor alt text": (PAGE, r'alt: "A flat right.*?"', 'alt: "A triangle."', "got 'A triangle.'"),
    "no caption": (PAGE, r", caption: \"Trail along.*?\"", "", "a name and a caption"),
    "no slider": (PAGE, r"^```\{slider\}.*?^```$", "", "a slider figure of its own"),
    "no such slider": (PAGE, r"frame-drawing/head-angle", "frame-drawing/colour", "frame-drawing/colour"),
    "no sympy": (PAGE, r"^import sympy", "import simpy", "derived by sympy"),
    "no assertion": (PAGE, r"^    assert abs", "    print", "asserted equal to coursekit"),
    "no words": (PAGE, r"In words", "So", "also be said in words", 0),
    "no caution": (PAGE, r"See \{doc\}`safety`\.", "", "a caution that leads to {doc}`safety`"),
    "unknown source": (PAGE, r"\{cite:t\}`meijaard`", "{cite:t}`nobody`", "'nobody' does not. Add it"),
    "source not listed": ("course/sources.md", r"\{cite\}`moore`", "", "course/sources.md; 'moore' does not"),
    "one check": ("course/references.bib", r",\n  judge = \{test_(moore|meij)\w+.py\}", "", "two checks", 0),
    "no such check": ("course/references.bib", r"test_cfr_1512", "test_nothing", "has no test_nothing.py"),
    "practice not told": (PAGE, r"marked \*common practice, no source\*", "marked so", "what common practice"),
    "no caution on paper": (EXERCISE, r"^cautions:\n.*?(?=^---$)", "", "cautions for the worksheet"),
    "no bench record": (EXERCISE, r"^bench:\n.*?(?=^cautions:)", "", "must have a bench record"),
    "one reading": (EXERCISE, r"(resolution: 0.5)", r"\1\n    readings: 1", "take two readings"),
    "wrong anchor": (EXERCISE, r"read: toe-clearance", "read: toes", "got 'toes'"),
    "no Python": (EXERCISE, r"trail_here = None.*?$", "trail_here = 0", "a piece of Python to complete"),
    "no timing": (WORKED, r"three hours", "an evening", "the timing of three hours"),
    "nothing goes wrong": (WORKED, r"goes wrong", "happens", "what students get wrong"),
    "no answer worked": (WORKED, r"(?<=The reach, and).*?\{answer\} mm", "", "'top-tube-level': the worked"),
    "nothing earns the marks": (WORKED, r"1 mark for .*?1 for", "It", "must say what earns its marks"),
    "no worked solution": (WORKED, r"^## trail$", "## notes-on-trail", "notes-on-trail"),
    "broken key": (KEY, r"\A", "import nothing_of_the_kind\n", "the file must run"),
}  # fmt: skip


@pytest.mark.parametrize("name", BREAKS)
def test_a_broken_rule_is_found(copy, name):
    file, pattern, new, words, *count = BREAKS[name]
    spoil(copy, file, pattern, new, *count or [1])
    if name == "no bench record":  # nor may the key say what its readings should come to
        spoil(copy, WORKED, r"^## bench\n.*?(?=^## notes)", "", 1)
    if file.startswith("course/"):  # the exercise's rules take a second and read nothing of it
        found = [f for rule in page_rules.RULES for f in rule(lesson.read(SLUG, copy))]
    else:
        found = lesson_rules.findings(SLUG, copy)
    assert any(words in f for f in found), found


@pytest.mark.parametrize(
    ("kind", "words"),
    [("written", "a question to reflect on"), ("chain", "a chain"), ("choice", "a choice or an order"),
     ("marked", "six marked questions"), ("practice", "six practice questions")],
)  # fmt: skip
def test_an_exercise_that_lacks_a_kind_is_found(kind, words):
    """The same rules on an exercise whose questions were taken away in memory."""
    from dataclasses import replace

    from coursekit.book import exercise_rules

    whole = lesson.read(SLUG, ROOT)
    keep = {
        "written": lambda q: q.kind != "written",
        "chain": lambda q: q.method_marks is None,
        "choice": lambda q: q.kind not in ("choice", "order"),
        "marked": lambda q: (
            not q.graded or q.id in ("rear", "trail-table", "steeper", "does-not-close")
        ),
        "practice": lambda q: q.graded,
    }[kind]
    left = tuple(q for q in whole.exercise.questions if keep(q))
    broken = replace(whole, exercise=replace(whole.exercise, questions=left))
    assert any(words in f for f in exercise_rules._exercise(broken))
    assert not list(exercise_rules._exercise(whole))


def test_a_lesson_without_slips_drawing_or_tests_is_found(copy):
    from dataclasses import replace

    from coursekit.book import exercise_rules

    whole = lesson.read(SLUG, ROOT)
    whole.key.slips["trail"] = whole.key.slips["trail"][:1]
    assert any("'trail': it must name two slips" in f for f in exercise_rules._exercise(whole))
    stranger = replace(whole, slug="no-lesson")
    assert any("neither drawing nor template" in f for f in exercise_rules._paper(stranger))
    told = list(exercise_rules._tests(stranger))
    assert "tests/lessons/test_no_lesson.py" in told[0]
    assert "coursekit.figures.no_lesson" in told[1]


def test_a_page_without_cards_is_found(copy):
    spoil(copy, PAGE, r"^```\{practice\} frame-drawing\n```$", "")
    assert any("must show its practice cards" in f for f in lesson_rules.findings(SLUG, copy))


def test_a_missing_page_is_the_only_finding(copy):
    (copy / PAGE).unlink()
    (told,) = lesson_rules.findings(SLUG, copy)
    assert told == f"{PAGE}: a lesson must have a page; got no such file. Write it."


# Reading a page


TEXT = """---
kernelspec: {name: python3}
---

# Saws

Three words here.

(second-way)=
## Which one, now?

```{admonition} Try it · Two
:class: tip

Ask twice.

:::{dropdown} Solution
It is 31.8 mm.
:::
```

```{code-cell} ipython3
---
tags: [remove-input]
mystnb:
  image: {alt: "A saw seen from the side."}
  figure: {name: fig-saw, caption: "One saw."}
---
draw.saw();
```

```python
# no heading
## nor this
```
"""


def test_a_page_is_taken_apart():
    page = pages.read(TEXT)
    assert page.title == "Saws"
    assert list(page.sections) == ["", "Which one, now?"]
    assert page.anchors == {"saws", "second-way", "which-one-now"}
    assert [b.name for b in page.blocks] == ["admonition", "dropdown", "code-cell"]
    assert [b.line for b in page.blocks] == [12, 17, 22]
    assert page.blocks[0].text.split() == ["Ask", "twice."]
    assert page.figures[0].alt == "A saw seen from the side."
    assert page.words == 3 + 2 + 4 + 2  # the page, try-it, solution, caption


def test_minutes_are_words_figures_and_sliders():
    page = pages.read(TEXT + "word " * 1489 + "\n\n```{slider} a/b\n```\n")
    assert page_rules.minutes(page) == pytest.approx(10 + 0.5 + 1)


def test_the_bibliography_is_in_balance():
    """Each entry is closed before the next one begins, and nothing is closed twice."""
    depth = 0
    for number, line in enumerate(
        (ROOT / "course" / "references.bib").read_text("utf-8").splitlines(), 1
    ):
        assert not line.startswith("@") or depth == 0, f"line {number} begins inside an entry"
        depth += line.count("{") - line.count("}")
        assert depth >= 0, f"line {number} closes what was not open"
    assert depth == 0


def test_a_question_that_speaks_of_the_notebook_on_paper_is_found():
    from dataclasses import replace

    from coursekit.book import exercise_rules

    whole = lesson.read(SLUG, ROOT)
    (trail,) = [q for q in whole.exercise.graded if q.id == "trail"]
    spoken = replace(trail, on_paper="Complete the small program.")
    assert any("got 'program'" in f for f in exercise_rules._question(whole, spoken))
    assert not list(exercise_rules._question(whole, trail))
