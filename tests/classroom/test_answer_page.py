"""The answer page as a file: what stands in it, what it may load, whose it is."""

from __future__ import annotations

import dataclasses
import hashlib
import re
from base64 import b64encode
from html.parser import HTMLParser

import pytest

from coursekit.classroom.answer_page import pages
from coursekit.classroom.bank import exercises
from coursekit.classroom.demo.invented_class import students
from coursekit.classroom.handout import assignments
from coursekit.classroom.handout.assignments import page_name
from coursekit.classroom.register.class_folder import Student, open_class
from coursekit.sheets import text
from tests.conftest import ROOT

from . import small

VOID = {"meta", "input", "br", "hr", "link", "img", "path", "line", "rect", "circle", "polyline"}
EVERY_KIND = small.PUBLIC + """
## places
unit: mm
tolerance: 1
marks: 2
kind: points
entries: [foot, "top & tip"]
given: [side]

Where are they?

## steps
kind: order
marks: 2
entries: [saw, file <b>, braze]

In what order?

## both
unit: deg
tolerance: 1
marks: 2
entries: [left, right]

```notebook
Complete the `line`.
```

Both angles?

```python
both = [None, None]
```
"""  # fmt: skip


class Read(HTMLParser):
    """A page taken apart: its elements with their attributes, and the text of each kind of element."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[str] = []
        self.words: dict[str, list[str]] = {}
        self.said: list[str] = []
        self.feed(source)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.inside.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.inside.pop() == tag

    def handle_data(self, data):
        tag = self.inside[-1] if self.inside else ""
        self.words.setdefault(tag, []).append(data)
        if tag not in ("style", "script"):
            self.said.append(data)

    def of(self, tag):
        return [attributes for name, attributes in self.elements if name == tag]

    def text(self):
        return " ".join(" ".join(self.said).split())


@pytest.fixture(scope="module", params=exercises.slugs(ROOT))
def made(request, handed_out):
    """Each lesson's page of one student, and the exercise."""
    work = handed_out(request.param)
    student = work.folder.students[1]
    path = work.folder.bundle(student.id, work.slug) / page_name(work.slug, student.id)
    return work, student, path


def pages_of(tmp_path, public=EVERY_KIND, names=None, **how):
    root = small.write(tmp_path / "course", public)
    key = root / "solutions" / "small.md"
    key.write_text(small.WORKED)
    exercise = exercises.load("small", root)
    folder = open_class(tmp_path / "class", names or students(2), "Evening")
    work = assignments.Assignment(folder, exercise, small_key(exercise))
    made = pages.make(work, **{"lesson": True, **how})
    return work, made


def small_key(exercise):
    """A key that draws numbers for the exercise and is never asked for an answer."""

    class Key:
        slug = "small"
        makers = ()
        slips = {q.id: () for q in exercise.questions}  # noqa: RUF012

        @staticmethod
        def is_sound(numbers):
            return True

        @staticmethod
        def value(question, numbers, found):
            return 0.0 if question.kind == "number" else ""

        @staticmethod
        def share(question, numbers, order):
            return 1.0, ""

    return Key()


def test_every_lesson_s_page_is_one_light_file_that_nothing_else_belongs_to(made):
    _, _, path = made
    assert 20_000 < path.stat().st_size <= pages.LARGEST
    source = path.read_text(encoding="utf-8")
    page = Read(source)
    assert page.inside == []
    assert (
        not page.of("link")
        + page.of("img")
        + page.of("iframe")
        + page.of("object")
        + page.of("base")
    )
    for tag, attributes in page.elements:
        assert (
            not {"src", "srcset", "action", "style", "background", "poster"} & attributes.keys()
        ), tag
        assert not [name for name in attributes if name.startswith("on")], tag
    for link in page.of("a"):
        assert re.fullmatch(r"#[a-z-]+|read-the-lesson\.html#[a-z0-9-]+", link["href"] or "")
    assert not re.search(r"@import|url\(", "".join(page.words["style"]))
    addresses = set(re.findall(r"\w+://[^\s\"'<>]+", source))
    assert addresses <= {"http://www.w3.org/2000/svg"}  # a name, which nothing is fetched from


def test_a_page_may_load_nothing_and_run_only_its_own(made):
    """Content Security Policy Level 3, 2.3.1: a hash is of the element's text, in base64."""
    page = Read(made[2].read_text(encoding="utf-8"))
    (policy,) = [m["content"] for m in page.of("meta") if m.get("http-equiv")]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules == {
        "default-src": "'none'", "connect-src": "'none'", "base-uri": "'none'", "form-action": "'none'",
        "style-src": hashed(page.words["style"]), "script-src": hashed(page.words["script"]),
    }  # fmt: skip
    assert len(page.of("script")) == len(page.of("style")) == 1


def hashed(words):
    digest = hashlib.sha256("".join(words).encode()).digest()
    return f"'sha256-{b64encode(digest).decode()}'"


def test_a_page_says_what_the_worksheet_says(made):
    work, student, path = made
    page = Read(path.read_text(encoding="utf-8"))
    said = page.text()
    assert student.id in said
    assert student.name in said
    for quantity in work.exercise.quantities:
        assert quantity.say in said
        assert text.quantity(work.numbers(student.id)[quantity.name], quantity.unit) in said
    for question in work.exercise.graded:
        assert question.title in said
        assert question.id in [s.get("data-id") for s in page.of("section")]
        for option in (question.options or {}).values():
            assert option in said
    for caution in work.exercise.cautions:
        assert caution in said
    for line in work.exercise.bench:
        assert f"{line.say} {line.instrument}, to" in said
    assert said.count("Your own numbers") == 1
    assert len(page.of("svg")) == (work.slug != "miter-angles")
    assert ("Your worksheet has the wrap template" in said) == (work.slug == "miter-angles")


def test_a_page_speaks_of_no_code(made):
    work, _, path = made
    said = Read(path.read_text(encoding="utf-8")).text()
    assert not re.search(r"\b(Python|None|notebook|program)\b|`|\*\*", said)
    names = [q.name for q in work.exercise.quantities if "_" in q.name]
    assert not [name for name in names if name in said]


def test_every_box_has_its_label_its_unit_and_an_id_of_its_own(made):
    work, _, path = made
    page = Read(path.read_text(encoding="utf-8"))
    ids = [a["id"] for _, a in page.elements if "id" in a]
    assert len(ids) == len(set(ids))
    labelled = {label["for"] for label in page.of("label")}
    inputs = [a for tag, a in page.elements if tag in ("input", "select", "textarea")]
    assert {a["id"] for a in inputs} == labelled
    for _, attributes in page.elements:
        for name in ("aria-labelledby", "aria-describedby"):
            assert set((attributes.get(name) or "").split()) <= set(ids)
    units = [a["data-unit"] for a in inputs if "data-unit" in a]
    assert units == [u for q in work.exercise.graded for u in units_of(q)] + [
        line.unit for line in work.exercise.bench for _ in range(line.readings)
    ]
    chosen = [
        (a["name"].removeprefix("q-"), a["value"]) for a in inputs if a.get("type") == "radio"
    ]
    assert chosen == [(q.id, id) for q in work.exercise.graded for id in q.options or ()]
    pool = [b["data-entry"] for b in page.of("button") if "data-entry" in b]
    assert pool == [e for q in work.exercise.graded if q.kind == "order" for e in q.entries]


def units_of(question):
    boxes = {"number": 1, "numbers": len(question.entries), "points": 2 * len(question.entries)}
    return [question.unit] * boxes.get(question.kind, 0)


def test_the_same_again_writes_nothing(handed_out):
    work = handed_out("miter-angles")
    folder = work.folder.path
    before = {p: p.stat().st_mtime_ns for p in folder.rglob("*.html")}
    assert len(before) == 7
    pages.make(work, lesson=True)
    assert {p: p.stat().st_mtime_ns for p in folder.rglob("*.html")} == before


def test_every_kind_of_question_has_its_boxes(tmp_path):
    _, (path, _) = pages_of(tmp_path)
    page = Read(path.read_text(encoding="utf-8"))
    said = page.text()
    for words in (
        "foot, x",
        "foot, y",
        "top & tip, x",
        "left , in degrees",
        "file <b>",
        "Both angles?",
    ):
        assert words in said
    assert "Complete the" not in said
    assert [a["id"] for a in page.of("input") if a.get("data-unit") == "mm"] == [
        *(f"q-{id}" for id in ("area.1", "double.1", "places.1", "places.2", "places.3", "places.4"))
    ]  # fmt: skip
    assert [a["id"] for a in page.of("textarea")].count("q-why.1") == 1
    (steps,) = [a for a in page.of("section") if a.get("data-id") == "steps"]
    assert steps["data-kind"] == "order"


def test_what_a_student_is_called_stays_words(tmp_path):
    names = [
        Student("bench-01", '</title><script>"Bad" & Co</script>'),
        Student("bench-02", "Bench 2"),
    ]
    _, (path, _) = pages_of(tmp_path, names=names)
    source = path.read_text(encoding="utf-8")
    assert source.count("<script>") == source.count("</title>") == 1
    assert '</title><script>"Bad" & Co</script> (bench-01)' in Read(source).text()


def test_each_page_is_its_student_s_own(tmp_path):
    work, made = pages_of(tmp_path)
    first, second = (path.read_text(encoding="utf-8") for path in made)
    (body,) = Read(second).of("body")
    assert body["data-student"] == "bench-02"
    assert body["data-lesson"] == "small"
    assert "bench-02" not in first
    assert Read(first).of("body")[0]["data-stamp"] != body["data-stamp"]
    assert "\ue000" not in first
    assert f"{work.numbers('bench-02')['side']:g} mm" in second


def test_the_page_of_a_former_id_is_taken_away(tmp_path):
    work, (path, _) = pages_of(tmp_path)
    old = path.with_name("small-bench-99.html")
    old.write_text("old")
    pages.make(work, lesson=True)
    assert path.is_file()
    assert not old.exists()


def test_without_the_lesson_there_is_no_link_that_leads_nowhere(tmp_path):
    read = small.PUBLIC.replace("given: [side]\n", "given: [side]\nread: two-squares\n")
    work, (path, _) = pages_of(tmp_path, read, lesson=False)
    page = Read(path.read_text(encoding="utf-8"))
    assert "In the lesson: Two squares" in page.text()
    assert not [link for link in page.of("a") if "two-squares" in link["href"]]
    at = dataclasses.replace(
        work, folder=dataclasses.replace(work.folder, book="https://a.example/")
    )
    pages.make(at, lesson=False)
    links = [link["href"] for link in Read(path.read_text(encoding="utf-8")).of("a")]
    assert "https://a.example/small.html#two-squares" in links
    _, (path, _) = pages_of(tmp_path, read)
    assert "read-the-lesson.html#two-squares" in path.read_text(encoding="utf-8")
