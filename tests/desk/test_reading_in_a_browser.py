"""The Read page in Chromium: a key gives a score, keeps it, and goes on to the next answer."""

from __future__ import annotations

import pytest

from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import manual_comments, questions
from coursekit.classroom.marking import mark_class

from ..classroom import small
from .desk_client import serving_desk
from .looks import LOOKS, finds_nothing, opened

WHY = "/read?lesson=small&question=why"


@pytest.fixture(scope="module")
def work(tmp_path_factory):
    """A marked class of nine, each with a sentence to read."""
    work = small.evening(tmp_path_factory.mktemp("nine"), 9)
    for student in work.folder.students:
        small.hand_in(work, student.id, {"why": f"Because of {student.id}."})
    mark_class.mark_class(work)
    return work


@pytest.fixture(scope="module")
def desk(work, tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        with serving_desk(work.folder.path, work.root) as desk:
            yield desk


@pytest.fixture
def page(browser, desk):
    with opened(browser, desk) as page:
        yield page


@pytest.fixture(autouse=True)
def unread(work):
    """Take back whatever the test before gave."""
    from coursekit.classroom.marking import by_hand

    for student in work.folder.students:
        by_hand.give(work, student.id, "why", None, "")


def given(work):
    with reading(work.folder) as book:
        return [held["why"].manual for _, held in sorted(questions(book, "small").items())]


def said(work):
    with reading(work.folder) as book:
        return {
            who: some["why"] for who, some in manual_comments(book, "small").items() if some["why"]
        }


def go(page, address):
    page.goto(page.home + address)


def kept(page, count):
    """Wait until nothing is on its way, and as many scores are shown as kept."""
    page.wait_for_function(
        """count => {
            const said = [...document.querySelectorAll(".kept")].map(one => one.textContent);
            return !said.includes("…") && said.filter(one => / of 2$/.test(one)).length === count;
        }""",
        arg=count,
    )


def test_nine_answers_take_nine_keys(page, work):
    go(page, "/read")
    keys = ["2", "1", ".", "0", "2", "2", "1", "h", "2"]
    for key in keys:
        page.keyboard.press(key)
    kept(page, 9)
    assert given(work) == [2, 1, 0.5, 0, 2, 2, 1, 0.5, 2]
    assert page.locator("#left").inner_text() == "All of them are read."
    assert page.locator("a[aria-current] + [data-count]").inner_text() == "9 read"
    assert page.evaluate("document.activeElement.id") == "next"


def test_a_score_that_the_question_has_not_is_no_key(page, work):
    go(page, WHY)
    page.keyboard.press("3")
    page.keyboard.press("1")
    kept(page, 1)
    assert given(work)[0] == 1


def test_a_key_typed_into_a_comment_is_text(page, work):
    go(page, WHY)
    page.keyboard.press("c")
    page.keyboard.type("2 u 0.")
    page.keyboard.press("Escape")  # which keeps the comment, too
    page.wait_for_function("document.querySelector('.kept').textContent === 'The comment is kept.'")
    assert (given(work)[0], said(work)) == (None, {"bench-01": "2 u 0."})
    page.keyboard.press("1")
    kept(page, 1)
    assert (given(work)[0], said(work)) == (1, {"bench-01": "2 u 0."})


def test_a_comment_of_another_answer_is_picked(page, work):
    go(page, WHY)
    page.locator("textarea").nth(0).fill("Name the sides.")
    page.locator("textarea").nth(1).focus()
    page.wait_for_function(
        "document.querySelectorAll('.answer')[1].querySelector('option + option')"
    )
    page.locator("select").nth(1).select_option("Name the sides.")
    page.wait_for_function(
        "document.querySelectorAll('.kept')[1].textContent === 'The comment is kept.'"
    )
    assert said(work) == {"bench-01": "Name the sides.", "bench-02": "Name the sides."}


def test_the_last_scores_are_taken_back_one_by_one(page, work):
    go(page, WHY)
    for key in "21":
        page.keyboard.press(key)
    kept(page, 2)
    page.keyboard.press("u")
    kept(page, 1)
    assert given(work)[:2] == [2, None]
    page.locator("#undo").click()
    kept(page, 0)
    assert given(work)[:2] == [None, None]
    assert page.locator("#left").inner_text() == "9 still to read"
    assert not page.locator("#undo").is_visible()


def test_what_was_given_elsewhere_is_shown_and_stays_until_it_is_given_again(page, work):
    from coursekit.classroom.marking import by_hand

    go(page, WHY)
    by_hand.give(work, "bench-01", "why", 2.0, "From elsewhere.")
    page.keyboard.press("0")
    page.wait_for_function(
        "document.querySelector('.kept').textContent.startsWith('This answer has changed')"
    )
    assert given(work)[0] == 2
    first = page.locator(".answer").first
    assert first.locator("[aria-pressed]").get_attribute("value") == "2"
    first.focus()
    page.keyboard.press("0")
    kept(page, 1)
    assert given(work)[0] == 0


def test_without_scripts_it_works_the_same(browser, desk, work):
    with opened(browser, desk, java_script_enabled=False) as page:
        go(page, WHY)
        page.get_by_role("button", name="1½ marks").nth(2).click()
        assert given(work)[2] == 1.5
        assert "#a" in page.url


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_axe_finds_nothing(browser, desk, width, scheme):
    with opened(browser, desk, width, scheme) as page:
        go(page, WHY)
        page.keyboard.press("2")
        kept(page, 1)
        finds_nothing(page)
