"""What a student gets holds nothing of the private half of the marked questions."""

from __future__ import annotations

import json
import re

import pytest

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.own_numbers import answers
from coursekit.classroom.handout.assignments import page_name
from tests.conftest import ROOT

STUDENTS = 3


@pytest.fixture(scope="module", params=exercises.slugs(ROOT))
def work(request, handed_out):
    """Each exercise of the course in turn, handed out; the first students are looked at."""
    return handed_out(request.param)


def looked_at(work):
    return work.folder.students[:STUDENTS]


def secrets_of(work):
    """Texts of the private half, of marked questions, that must not be found in a student's files."""
    graded = {q.id for q in work.exercise.graded}
    texts = {"notes": work.key.notes}
    for question in graded:
        texts[f"worked {question}"] = work.key.worked[question]
        for slip in work.key.slips.get(question, ()):
            texts[f"hint {slip.name}"] = slip.hint
            texts[f"name {slip.name}"] = f"slip {slip.name}"
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
        "slip own-tube: tube_diameter",
        ran.key.worked["gap"],
        ran.key.notes,
    ):
        leak.write_text("some text " + secret + " and more")
        with pytest.raises(AssertionError):
            assert_clean(ran, leak)


def test_release_and_bundles_are_clean(work):
    files = text_files(work.folder.release(work.slug))
    for student in looked_at(work):
        files += text_files(work.folder.bundle(student.id, work.slug))
    assert len(files) == 1 + 3 * STUDENTS
    for path in files:
        assert_clean(work, path)


def test_no_right_value_stands_in_a_bundle(work):
    """Of what is the student's own two decimals are looked for, where no given number has the same digits (a mean
    of readings may); of what is the same for all, which has short numbers of its own, five digits or more."""
    looked = 0
    release = work.folder.release(work.slug) / f"{work.slug}.ipynb"
    for student in looked_at(work):
        bundle = text_files(work.folder.bundle(student.id, work.slug))
        own = "".join(p.read_text() for p in bundle if p.suffix == ".json")
        (same,) = [p.read_text() for p in bundle if p.name == release.name]
        assert unstamped(same) == unstamped(release.read_text())
        looked += assert_no_right_value(work, student, own, same)
    assert looked > STUDENTS


def assert_no_right_value(work, student, own, same):
    """Look for the student's right values in their own text and in what is the same for all; count them."""
    looked = 0
    right = answers(work.exercise, work.key, work.numbers(student.id))
    values = work.numbers(student.id).values()
    given = {f"{w:{form}}" for v in values for w in (v, -v) for form in ("g", ".2f")}
    for question in work.exercise.graded:
        value = right.get(question.id)
        for number in value if isinstance(value, tuple) else (value,):
            if isinstance(number, float) and not {f"{number:g}", f"{number:.2f}"} & given:
                looked += 1
                assert not stands(f"{number:.2f}", own), question.id
                long = f"{number:.6g}"
                assert len(long) < 6 or not stands(long, same), question.id
    return looked


def test_an_answer_page_holds_no_right_value(work):
    looked = 0
    for student in looked_at(work):
        own, same = page_of(work, student)
        looked += assert_no_right_value(work, student, own, same)
        right = answers(work.exercise, work.key, work.numbers(student.id))
        planted = " ".join(f"{v:.2f} {v:.6g}" for v in right.values() if isinstance(v, float))
        with pytest.raises(AssertionError):  # a page that held one would be found out
            assert_no_right_value(work, student, f"{own} {planted}", same)
        with pytest.raises(AssertionError):
            assert_no_right_value(work, student, own, f"{same} {planted}")
    assert looked > STUDENTS


def page_of(work, student):
    """The words of a student's answer page, drawing included: what is their own, and what all have."""
    first, *others = [
        words_of(work.folder.bundle(s.id, work.slug) / page_name(work.slug, s.id))
        for s in (student, *work.folder.students)
        if s == student or s.id != student.id
    ]
    shared = set.intersection(*map(set, others))
    own = [line for line in first if line not in shared]
    return "\n".join(own), "\n".join(line for line in first if line in shared)


def words_of(page):
    text = re.sub(r"<(style|script)>.*?</\1>", "", page.read_text(), flags=re.DOTALL)
    return [line.strip() for line in re.sub(r"<[^>]*>", "\n", text).splitlines() if line.strip()]


def unstamped(notebook):
    """A notebook without the stamp that says for whom a copy was made."""
    data = json.loads(notebook)
    data["metadata"].pop("coursekit", None)
    return data


def stands(number, text):
    return re.search(rf"(?<![\d.]){re.escape(number)}", text)


def test_a_bundle_names_no_other_student_and_holds_no_secret(work):
    for student in looked_at(work):
        for path in text_files(work.folder.bundle(student.id, work.slug)):
            text = path.read_text(encoding="utf-8")
            assert work.folder.secret.hex() not in text
            assert set(re.findall(r"bench-\d\d", text)) <= {student.id}
