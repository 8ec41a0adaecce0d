"""What a student gets holds nothing of the private half of the marked questions."""

from __future__ import annotations

import re

import pytest

from coursekit.classroom.own_numbers import answers

from .conftest import SLUG

pytestmark = pytest.mark.xdist_group("rails")


def secrets_of(work):
    """Texts of the private half, of marked questions, that must not be found in a student's files."""
    graded = {q.id for q in work.exercise.graded}
    texts = {"notes": work.key.notes}
    for question in graded:
        texts[f"worked {question}"] = work.key.worked[question]
        for slip in work.key.slips.get(question, ()):
            texts[f"hint {slip.name}"] = slip.hint
            texts[f"name {slip.name}"] = slip.sum.__name__
    return texts


def squeezed(text):
    return re.sub(r"[\s\"'\\]+", " ", text)


def assert_clean(work, path):
    text = squeezed(path.read_text(encoding="utf-8", errors="ignore"))
    for what, secret in secrets_of(work).items():
        for line in re.split(r"\n\n|(?<=[.:]) ", secret):
            part = squeezed(line).strip()
            if len(part) > 24 or what.startswith("name"):
                assert not re.search(rf"(?<!\w){re.escape(part)}(?!\w)", text), f"{path}: {what}"
    for mark in ("BEGIN SOLUTION", "HIDDEN TESTS", "coursekit mark"):
        assert mark not in text, f"{path}: {mark}"


def text_files(folder):
    return [
        p
        for p in folder.rglob("*")
        if p.suffix in (".ipynb", ".json", ".html", ".js", ".txt", ".md")
    ]


def test_the_check_would_find_a_leak(ran, tmp_path):
    leak = tmp_path / "leak.txt"
    for secret in (
        ran.key.slips["cutter"][0].hint,
        "def own_tube(n):",
        ran.key.worked["gap"],
        ran.key.notes,
    ):
        leak.write_text("some text " + secret + " and more")
        with pytest.raises(AssertionError):
            assert_clean(ran, leak)


def test_release_and_bundles_are_clean(ran):
    files = text_files(ran.folder.release(SLUG)) + text_files(ran.folder.path / "hand-out")
    assert len(files) == 1 + 2 * 12
    for path in files:
        assert_clean(ran, path)


def test_no_right_value_stands_in_a_bundle(ran):
    for student in ran.folder.students:
        right = answers(ran.exercise, ran.key, ran.numbers(student.id))
        text = "".join(
            p.read_text(encoding="utf-8") for p in text_files(ran.folder.bundle(student.id, SLUG))
        )
        given = {f"{v:g}" for v in ran.numbers(student.id).values()}
        for question in ran.exercise.graded:
            value = right.get(question.id)
            if isinstance(value, float) and f"{value:g}" not in given:
                assert not re.search(rf"(?<![\d.]){re.escape(f'{value:.2f}')}", text), question.id


def test_a_bundle_names_no_other_student_and_holds_no_secret(ran):
    for student in ran.folder.students:
        for path in text_files(ran.folder.bundle(student.id, SLUG)):
            text = path.read_text(encoding="utf-8")
            assert ran.folder.secret.hex() not in text
            assert set(re.findall(r"bench-\d\d", text)) <= {student.id}
