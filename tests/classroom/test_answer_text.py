"""The text in which answers travel: written, read again, through mail programs and messengers."""

from __future__ import annotations

import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.bank import answer_text
from coursekit.classroom.bank.answer_text import AnswerText

ONE = AnswerText(
    "miter-angles",
    "bench-03",
    "0f3a",
    "2026-12-03 18:22 UTC",
    "3",
    {"mill-setting": ["28,5"], "gap": ["[light] on both", " flanks"], "phase": ["half"]},
    {"mill-setting": ["90 - 61,5 = 28,5"]},
    {"protractor": ["61,5", "-"]},
)
LINES = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp"), exclude_characters="\ufeff>"),
    min_size=1,
).filter(lambda t: t.strip() and t == t.rstrip() and len(t.splitlines()) == 1)


def test_what_is_written_is_read_again():
    assert answer_text.read(answer_text.written(ONE)) == ONE


@given(st.lists(LINES, min_size=1))
def test_any_words_come_through(lines):
    one = AnswerText("a", "b", "c", answers={"why": lines})
    found = answer_text.read(answer_text.written(one))
    assert found == one


@pytest.mark.parametrize(
    "carried",
    [
        lambda t: "Here are my answers.\n\n" + t + "\nSee you on Thursday, B.",
        lambda t: "".join(f"> > {line}\n" for line in t.splitlines()),
        lambda t: t.replace("\n", "\r\n\r\n"),
        lambda t: "\ufeff" + t.replace(" - ", "\u00a0-  "),
        lambda t: "".join(f"{line}   \n" for line in t.splitlines()),
    ],
)
def test_a_message_spoils_nothing(carried):
    found = answer_text.read(carried(answer_text.written(ONE)))
    assert found.as_saved and found.whole
    assert found.answers == ONE.answers and found.readings == ONE.readings


def test_of_two_in_one_message_the_last_counts():
    new = AnswerText("miter-angles", "bench-03", "0f3a", answers={"gap": ["new"]})
    assert answer_text.read(answer_text.written(ONE) + answer_text.written(new)) == new


def test_an_end_among_the_student_s_words_is_not_the_end():
    one = AnswerText("a", "b", "c", answers={"why": ["So:", "[end 00000000]", "and on."]})
    assert answer_text.read(answer_text.written(one)) == one


def test_a_cut_text_and_a_changed_one_are_told():
    text = answer_text.written(ONE)
    cut = answer_text.read(text[: text.index("[reading")])
    assert not cut.whole and not cut.as_saved and cut.answers == ONE.answers
    changed = answer_text.read(text.replace("28,5\n", "29,5\n", 1))
    assert changed.whole and not changed.as_saved


@pytest.mark.parametrize(
    "text", ["", "Hello", "coursekit answers", "coursekit answers\nlesson: a\n[end 00000000]"]
)
def test_other_texts_are_none(text):
    assert answer_text.read(text) is None


def test_the_check_is_crc_32():
    """The usual check value of this CRC, for "123456789" (from memory), and another program."""
    assert answer_text.check(["123 45", "6789"]) == "cbf43926" == f"{zlib.crc32(b'123456789'):08x}"
