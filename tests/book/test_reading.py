"""The book in a reader's hands: Chromium, no network, keyboard alone, phone and desk."""

from __future__ import annotations

import re
from math import pi, radians, tan

import pytest

SLUG = "miter-angles"
PAGES = ("intro", "safety", "notation", SLUG, "glossary", "sources", "search", "genindex")


@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.slow)])
def address(request, book, served):
    """The two ways to read the book: from its folder and from a server on this machine."""
    start = book.as_uri() if request.param == "file" else served
    return lambda page: f"{start}/{page}.html"


def settled(page):
    """Wait until the mathematics is set."""
    page.wait_for_function("!window.MathJax || MathJax.startup?.promise !== undefined")
    page.evaluate("window.MathJax ? MathJax.startup.promise : null")
    return page


def tab_to(page, css):
    """Press Tab, and nothing else, until the element has the focus."""
    for _ in range(400):
        page.keyboard.press("Tab")
        if page.evaluate("css => document.activeElement.matches(css)", css):
            return
    raise AssertionError(f"{css} can't be reached with Tab")


def given(page, card):
    texts = page.locator(f"#card-{card} [data-given]").all_inner_texts()
    return [float(re.match(r"[\d.]+", text)[0]) for text in texts]


def told(page, card):
    return page.locator(f"#card-{card} output").inner_text()


# Nothing from outside, nothing broken


def test_no_request_leaves_and_no_error_shows(visit, address):
    for name in PAGES:
        seen = visit(address(name))
        settled(seen.page)
        seen.page.wait_for_timeout(200)
        assert seen.requests and not seen.outside, name
        # A page from a folder can't fetch its search index as a server's page can; not ours to mend.
        assert not seen.errors, (name, seen.errors)


def test_all_mathematics_is_set(visit, address):
    page = settled(visit(address(SLUG)).page)
    assert page.locator("mjx-container").count() >= 4
    assert page.evaluate(
        "[...document.querySelectorAll('.math')].every(m => m.querySelector('mjx-container'))"
    )
    words = page.locator("article").inner_text()
    assert not re.search(r"\$|\\\(|\\\[|\\frac|mjx-merror", words)
    assert page.locator("mjx-merror, [data-mjx-error]").count() == 0


# Practice cards by keyboard alone


def test_a_right_answer(visit, address):
    page = settled(visit(address(SLUG)).page)
    tab_to(page, "#card-practice-strip-answer")
    (tube,) = given(page, "practice-strip")
    page.keyboard.type(f"{pi * tube:.1f} mm".replace(".", ","))
    page.keyboard.press("Enter")
    assert told(page, "practice-strip").startswith("Right.")


def test_a_slip_names_itself_and_other_numbers_follow(visit, book):
    page = settled(visit(f"{book.as_uri()}/{SLUG}.html").page)
    tab_to(page, "#card-practice-swing-answer")
    (angle,) = given(page, "practice-swing")
    page.keyboard.type(f"{angle:g}°")
    page.keyboard.press("Enter")
    assert told(page, "practice-swing") == (
        "Not yet. This is the angle between the tubes. The scale counts from square: "
        "90° less that angle."
    )
    tab_to(page, "#card-practice-swing [data-do=others]")
    page.keyboard.press("Enter")
    (new,) = given(page, "practice-swing")
    assert new != angle
    assert page.evaluate("document.activeElement.id") == "card-practice-swing-answer"
    page.keyboard.type(f"{90 - new:g} degrees")
    page.keyboard.press("Enter")
    assert told(page, "practice-swing").startswith("Right.")


def test_each_set_of_numbers_is_marked_by_its_own_answer(visit, book):
    page = settled(visit(f"{book.as_uri()}/{SLUG}.html").page)
    seen = set()
    for _ in range(12):
        (length,) = given(page, "practice-throw")
        seen.add(length)
        page.fill("#card-practice-throw-answer", f"{length * tan(radians(0.5)):.2f}")
        page.press("#card-practice-throw-answer", "Enter")
        assert told(page, "practice-throw").startswith("Right.")
        page.click("#card-practice-throw [data-do=others]")
    assert len(seen) >= 10


def test_what_is_no_answer_is_told_kindly(visit, book):
    page = settled(visit(f"{book.as_uri()}/{SLUG}.html").page)
    for typed, answer in (
        ("", "Write a number first."),
        ("about ten", "Write one number"),
        ("1.234,5", "Write one decimal point or comma only"),
        ("12 in", "The answer is wanted in mm; you wrote “in”."),
        ("−3", "Not yet. Read the idea above"),
        ("99999", "Not yet. Read the idea above"),
    ):
        page.fill("#card-practice-strip-answer", typed)
        page.press("#card-practice-strip-answer", "Enter")
        assert told(page, "practice-strip").startswith(answer), typed


def test_the_edges_of_the_tolerance(visit, book):
    page = settled(visit(f"{book.as_uri()}/{SLUG}.html").page)
    (tube,) = given(page, "practice-strip")
    for error, right in ((0.299, True), (-0.299, True), (0.301, False), (-0.301, False)):
        page.fill("#card-practice-strip-answer", f"{pi * tube + error:.4f}")
        page.press("#card-practice-strip-answer", "Enter")
        assert told(page, "practice-strip").startswith("Right.") is right, error


def test_the_answer_is_shown_after_two_misses_only(visit, book):
    page = settled(visit(f"{book.as_uri()}/{SLUG}.html").page)
    show = page.locator("#card-practice-strip [data-do=show]")
    for _ in range(2):
        assert not show.is_visible()
        page.fill("#card-practice-strip-answer", "1")
        page.press("#card-practice-strip-answer", "Enter")
    show.click()
    (tube,) = given(page, "practice-strip")
    said = float(re.search(r"The answer is ([\d.]+) mm", told(page, "practice-strip"))[1])
    assert said == pytest.approx(pi * tube, abs=0.006)


# The slider by keyboard alone


def test_the_slider_moves_by_keyboard(visit, address):
    page = settled(visit(address(SLUG)).page)
    tab_to(page, ".ck-slider input[type=range]")
    output = page.locator(".ck-slider output")
    shown = "[...document.querySelectorAll('.ck-slider g[data-state]')].filter(g => g.getBoundingClientRect().width > 0).map(g => Number(g.dataset.state))"
    assert output.inner_text().startswith("Included angle 59°")
    before = page.evaluate(shown)
    page.keyboard.press("ArrowRight")
    assert output.inner_text().startswith("Included angle 60°")
    assert page.evaluate(shown) == [before[0] + 1]
    page.keyboard.press("End")
    assert output.inner_text().startswith(
        "Included angle 90°; obtuse side 18.0 mm, acute side 18.0"
    )
    page.keyboard.press("Home")
    assert output.inner_text().startswith("Included angle 50°")
    assert page.evaluate(shown) == [0]
    assert (
        page.locator(".ck-slider input")
        .get_attribute("aria-valuetext")
        .startswith("Included angle 50°")
    )


# Without script, on paper, in the dark, for everyone


def test_without_a_script_figure_and_questions_are_there(visit, book):
    page = visit(f"{book.as_uri()}/{SLUG}.html", java_script_enabled=False).page
    assert page.locator(".ck-slider svg").is_visible()
    assert page.locator(".ck-slider g[data-state]:not([display])").count() == 1
    assert page.locator("#card-practice-strip [data-given]").is_visible()
    assert not page.locator("#card-practice-strip button[type=submit]").is_visible()
    assert "on paper" in page.locator("#card-practice-strip noscript").inner_text()


def test_on_paper_there_is_a_line_to_write_on(visit, book):
    page = settled(visit(f"{book.as_uri()}/{SLUG}.html").page)
    page.emulate_media(media="print")
    assert page.locator("#card-practice-strip .ck-print-line").is_visible()
    assert not page.locator("#card-practice-strip button[type=submit]").is_visible()
    assert page.locator(".ck-slider svg").is_visible()
    assert not page.locator(".ck-slider input").is_visible()
    assert not page.locator(".bd-sidebar-primary").is_visible()


def test_first_paint_does_not_wait_for_mathematics(visit, book):
    """The words of a page show before the two megabytes of MathJax are read."""
    page = visit(f"{book.as_uri()}/{SLUG}.html", 390).page
    kinds = page.evaluate(
        "[...document.scripts].filter(s => s.src.includes('mathjax')).map(s => s.async || s.defer)"
    )
    assert kinds == [True]
