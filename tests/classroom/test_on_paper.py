"""What a question says in the notebook, and what it says on the worksheet and the answer page."""

from __future__ import annotations

import re

import pytest

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.exercises import AuthoringError
from tests.conftest import ROOT

HEAD = """---
title: Rods
numbers:
  rod_length: {say: length of the rod, unit: mm, from: [10, 12]}
---

A rod of `rod_length`.

"""
QUESTION = """## half
title: Half of it
marks: 1
unit: mm
tolerance: 0.1

How long is half of it?

"""


def asked(text: str) -> exercises.Question:
    return exercises.parse(HEAD + QUESTION + text, "rods").question("half")


def test_a_paragraph_for_the_notebook_does_not_stand_on_paper_and_the_other_way_round():
    half = asked(
        "```notebook\nComplete the `line`.\n```\n\n```paper\nWork it out.\n```\n\nGive it in mm.\n"
    )
    assert half.text == "How long is half of it?\n\nComplete the `line`.\n\nGive it in mm."
    assert half.on_paper == "How long is half of it?\n\nWork it out.\n\nGive it in mm."


def test_a_question_without_such_a_paragraph_says_the_same_in_both_places():
    half = asked("Give it in mm.\n")
    assert half.text == half.on_paper == "How long is half of it?\n\nGive it in mm."


def test_the_words_of_a_quantity_stand_on_paper_in_place_of_its_name():
    found = exercises.parse(HEAD + QUESTION + "Half of `rod_length`.\n", "rods")
    assert found.question("half").on_paper.endswith("Half of *length of the rod*.")
    assert found.question("half").text.endswith("Half of `rod_length`.")
    assert found.intro_on_paper == "A rod of *length of the rod*."


def test_code_on_paper_is_refused():
    with pytest.raises(
        AuthoringError,
        match=r"rods.md, question 'half': on paper .* must have no code; got '`None`",
    ):
        asked("Put it in place of `None`.\n")


@pytest.mark.parametrize("slug", exercises.slugs(ROOT))
def test_no_lesson_speaks_of_code_on_paper(slug):
    exercise = exercises.load(slug, ROOT)
    names = [q.name for q in exercise.quantities if "_" in q.name]
    texts = [exercise.intro_on_paper, *(q.on_paper for q in exercise.graded)]
    for text in texts:
        assert not re.search(r"\b(Python|program|notebook|cell|variable|None)\b|`", text), text
        assert not [name for name in names if name in text]
    for question in exercise.graded:
        if question.scaffold:
            assert "```" not in question.text, question.id
