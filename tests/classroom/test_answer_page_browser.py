"""The answer page in a student's hands: Chromium, from a file, on a phone and on a desk."""

from __future__ import annotations

import contextlib
import dataclasses
import os
import re
import shutil
import signal

import pytest

from coursekit.classroom.answer_page import pages
from coursekit.classroom.bank import answer_text, exercises
from coursekit.classroom.handout import zips
from coursekit.classroom.handout.assignments import page_name

from ..tools import need
from . import small

pytestmark = pytest.mark.slow

PATIENCE = 300_000  # ms until a page that doesn't answer counts as hung, which no test measures
THUMB = 44  # CSS px: target size, WCAG 2.2, success criterion 2.5.5
WIDTHS = {1280: 900, 390: 844}
LESSONS = ["miter-angles", "tack-order", "butt-orientation", "frame-drawing"]
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
STUDENT = "bench-02"


@pytest.fixture(scope="module")
def play():
    need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as one:
        yield one


@pytest.fixture(scope="module")
def browser(play):
    one = play.chromium.launch(executable_path=need("chromium"), args=FLAGS)
    yield one
    one.close()


@pytest.fixture
def sent(handed_out, tmp_path):
    """Return a function that gives a student's page of a lesson, copied to a folder of its own."""

    def of(slug):
        bundle = handed_out(slug).folder.bundle(STUDENT, slug)
        return shutil.copy(bundle / page_name(slug, STUDENT), tmp_path)

    return of


@pytest.fixture
def opened(browser, sent):
    """Return a function that opens a lesson's page; whatever goes wrong in it fails the test."""
    wrong, contexts = [], []

    def of(slug, width=390, **options):
        size = {"width": width, "height": WIDTHS[width]}
        context = browser.new_context(viewport=size, **options)
        contexts.append(context)
        page = context.new_page()
        watch(page, wrong)
        page.goto(f"file://{sent(slug)}")
        return page

    yield of
    for context in contexts:
        context.close()
    assert wrong == []


def watch(page, wrong):
    page.set_default_timeout(PATIENCE)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda m: m.type in ("error", "warning") and wrong.append(m.text))
    page.on("request", lambda r: r.url.startswith(("file:", "blob:")) or wrong.append(r.url))


def question(page, id):
    return page.locator(f"#q-{id}")


def kept(page):
    page.wait_for_function("document.querySelector('#kept').textContent.startsWith('Kept on')")


def saved(page):
    with page.expect_download() as download:
        page.get_by_role("button", name="Save to hand in").click()
    file = download.value
    return file.suggested_filename, answer_text.read(file.path().read_text(encoding="utf-8"))


def fill(page):
    """Fill in a page of miter-angles: numbers, a list, a choice, words, a reading."""
    question(page, "mill-setting").get_by_role("textbox", name="Value").fill("28,5")
    question(page, "cutter").get_by_role("textbox", name="Value").fill("1-3/4 in")
    question(page, "ordinates").get_by_role("textbox", name="φ = 45°").fill("7.25 ")
    page.get_by_label("by 90°, a quarter turn").check()
    question(page, "gap").get_by_label("Your answer").fill("Too deep.\n\n[end 00000000]\nFile.")
    page.get_by_role("group", name="strip round the tube").get_by_label("Reading 2").fill("109,5")


FILLED = {
    "mill-setting": ["28,5"],
    "cutter": ["1-3/4 in"],
    "ordinates": ["-", "7.25", "-", "-", "-"],
    "phase": ["quarter"],
    "gap": ["Too deep.", "[end 00000000]", "File."],
}


def test_what_is_saved_is_what_was_typed(opened, handed_out):
    page = opened("miter-angles")
    fill(page)
    name, text = saved(page)
    assert name == "miter-angles-bench-02-1.txt"
    assert (text.lesson, text.student, text.copy) == ("miter-angles", STUDENT, "1")
    assert (text.whole, text.as_saved) == (True, True)
    assert text.stamp == page.locator("body").get_attribute("data-stamp")
    assert text.answers == FILLED
    assert text.working == {}
    line = next(b for b in handed_out("miter-angles").exercise.bench if "strip" in b.say)
    assert text.readings == {line.id: ["-", "109,5"]}
    assert re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC", text.saved)


def test_the_end_names_what_is_empty_what_cannot_be_read_and_what_is_not_complete(opened):
    page = opened("miter-angles")
    said = page.locator("#open-ones")
    badge = {
        id: question(page, id).locator(".badge").inner_text()
        for id in ("mill-setting", "cutter", "ordinates")
    }
    assert "Can't be read" not in said.inner_text()
    question(page, "mill-setting").get_by_role("textbox", name="Value").fill("about ten")
    question(page, "cutter").get_by_role("textbox", name="Value").fill("1,234")
    question(page, "ordinates").get_by_role("textbox", name="φ = 45°").fill("7.25")
    assert question(page, "cutter").locator("[aria-invalid]").count() == 1
    end = f"Can't be read: {badge['mill-setting']}. Not complete: {badge['ordinates']}."
    assert said.inner_text().endswith(end)
    link = said.get_by_role("link").last
    assert link.get_attribute("href") == "#q-ordinates"
    for box in question(page, "ordinates").get_by_role("textbox").all():
        box.fill("7")
    question(page, "mill-setting").get_by_role("textbox", name="Value").fill("10")
    assert "Can't be read" not in said.inner_text()
    assert "Not complete" not in said.inner_text()


def test_an_order_with_entries_left_is_not_complete(opened):
    page = opened("tack-order")
    part = question(page, "order-four")
    said = page.locator("#open-ones")
    pool = part.locator(".pool button")
    pool.first.click()
    assert said.inner_text().endswith(f"Not complete: {part.locator('.badge').inner_text()}.")
    while pool.and_(page.locator(":visible")).count():
        pool.and_(page.locator(":visible")).first.click()
    assert "Not complete" not in said.inner_text()


@pytest.mark.parametrize("height", [620, 664, 800])
def test_the_calculator_s_deeds_and_the_given_numbers_are_in_sight_on_a_phone(opened, height):
    page = opened("miter-angles")
    page.set_viewport_size({"width": 390, "height": height})
    asked = page.locator(".question", has=page.locator(".given")).locator(".calculate")
    for button in asked.all():
        button.click()
        panel = page.locator("#calculator")
        part = page.locator(f"#{button.locator('xpath=ancestor::section[1]').get_attribute('id')}")
        shown = panel.locator("#calculator-given").inner_text()
        assert part.locator(".given dd").count() > 0
        for value in part.locator(".given dd").all_inner_texts():
            assert value in shown
        for deed in ("#put", "#keep", "#shut", "#calculator-given"):
            box = page.locator(deed).bounding_box()
            assert box["y"] >= 0, deed
            assert box["y"] + box["height"] <= height, deed
        for key in panel.locator("button").all():
            assert round(key.bounding_box()["height"]) >= THUMB
        page.locator("#shut").click()


def test_a_second_save_is_the_next_copy_and_says_what_has_changed(opened):
    page = opened("miter-angles")
    fill(page)
    since = page.locator("#since")
    assert since.inner_text() == "Nothing yet."
    saved(page)
    assert since.inner_text() == "You have changed nothing since."
    question(page, "flank").get_by_role("textbox", name="Value").fill("3")
    assert since.inner_text().startswith("You have changed something since.")
    name, text = saved(page)
    assert name == "miter-angles-bench-02-2.txt"
    assert text.copy == "2"
    assert text.answers["flank"] == ["3"]
    rows = page.locator("#saved li").all_inner_texts()
    assert [row.split(":")[0] for row in rows] == ["Copy 1", "Copy 2"]
    assert name in rows[1]


def test_what_is_typed_is_there_again_after_the_browser_was_killed(play, sent, tmp_path):
    wrong, file = [], f"file://{sent('miter-angles')}"

    def start():
        context = play.chromium.launch_persistent_context(
            tmp_path / "profile",
            executable_path=need("chromium"),
            args=FLAGS,
            accept_downloads=True,
        )
        page = context.new_page()
        watch(page, wrong)
        page.goto(file)
        return context, page

    context, page = start()
    fill(page)
    kept(page)
    lock = (tmp_path / "profile" / "SingletonLock").readlink()  # name of the machine and process
    os.kill(int(lock.name.rpartition("-")[2]), signal.SIGKILL)
    with contextlib.suppress(Exception):  # playwright says that the program has gone
        context.close()
    context, page = start()
    kept(page)
    assert question(page, "gap").get_by_label("Your answer").input_value().startswith("Too deep.")
    assert page.get_by_label("by 90°, a quarter turn").is_checked()
    assert saved(page)[1].answers == FILLED
    page.reload()
    kept(page)
    assert page.locator("#saved li").count() == 1
    context.close()
    assert wrong == []


def test_a_box_says_how_it_was_understood_and_when_it_is_no_number(opened):
    page = opened("miter-angles")
    box = question(page, "cutter").get_by_role("textbox", name="Value")
    says = question(page, "cutter").get_by_role("status")
    for typed, words, odd in (
        ("1-3/4 in", "44.45 mm", None),
        ("44,5", "44.5 mm", None),
        ("wide", "is no number", "true"),
        ("44 kg", "doesn't fit here", "true"),
        ("", "", None),
    ):
        box.fill(typed)
        assert words in says.inner_text()
        assert box.get_attribute("aria-invalid") == odd
    wrong = page.locator("[aria-invalid]").count()
    assert wrong == 0


def test_the_page_does_not_tell_right_from_wrong(opened, handed_out):
    """What it says about the right value it says about any other."""
    page = opened("miter-angles")
    right = 90 - handed_out("miter-angles").numbers(STUDENT)["angle_deg"]
    heard = []
    for value in (right, right + 10):
        question(page, "mill-setting").get_by_role("textbox", name="Value").fill(f"{value:g}")
        heard.append(question(page, "mill-setting").inner_html().replace(f"{value:g}", "…"))
    assert heard[0] == heard[1]


def test_the_calculator_writes_its_step_into_the_working(opened):
    page = opened("miter-angles")
    part = question(page, "mill-setting")
    part.get_by_role("button", name="Calculator").click()
    panel = page.get_by_role("region", name="Calculator")
    keys = panel.get_by_role("group", name="Keys")
    for key in ("9", "0", "minus", "inverse sine", "decimal point", "5", ")"):
        keys.get_by_role("button", name=key, exact=True).click()
    assert panel.get_by_role("status").inner_text() == "90 − asin(.5) = 60"
    panel.get_by_role("button", name="Put into the box").click()
    panel.get_by_role("textbox", name="Calculation").fill("2 × 3,5")
    panel.get_by_role("button", name="Keep the step").click()
    panel.get_by_role("button", name="Close").click()
    assert part.get_by_role("textbox", name="Value").input_value() == "60"
    assert page.evaluate("document.activeElement.id") == "q-mill-setting.1"
    _, text = saved(page)
    assert text.answers == {"mill-setting": ["60"]}
    assert text.working == {"mill-setting": ["90 − asin(.5) = 60", "2 × 3,5 = 7"]}
    part.get_by_role("button", name="Take the last line out").click()
    assert saved(page)[1].working == {"mill-setting": ["90 − asin(.5) = 60"]}


def test_a_list_gets_each_value_into_its_own_box(opened):
    page = opened("miter-angles", 1280)
    part = question(page, "ordinates")
    part.get_by_role("textbox", name="φ = 90°").click()
    panel = page.get_by_role("region", name="Calculator")
    panel.get_by_role("textbox", name="Calculation").fill("√(16) + 1")
    page.keyboard.press("Enter")
    assert saved(page)[1].answers == {"ordinates": ["-", "-", "5", "-", "-"]}


def test_an_order_is_tapped_moved_and_taken_back(opened):
    page = opened("tack-order")
    part = question(page, "order-four")
    for entry in ("90°", "0°", "270°"):
        part.locator(".pool").get_by_role("button", name=entry, exact=True).click()
    assert saved(page)[1].answers == {"order-four": ["90°", "0°", "270°", "-"]}
    part.get_by_role("button", name="0°: up", exact=True).click()
    part.locator(".pool").get_by_role("button", name="180°").click()
    assert saved(page)[1].answers == {"order-four": ["0°", "90°", "270°", "180°"]}
    part.get_by_role("button", name="90°: down", exact=True).press("Enter")
    part.get_by_role("button", name="0°: out of the order", exact=True).press("Enter")
    assert page.evaluate("document.activeElement.dataset.entry") == "0°"
    assert saved(page)[1].answers == {"order-four": ["270°", "90°", "180°", "-"]}


def test_points_have_a_box_for_each_coordinate(opened):
    page = opened("frame-drawing")
    for name, value in (
        ("rear axle, x", "-415"),
        ("rear axle, y", "70"),
        ("top of the seat tube, y", "500"),
    ):
        question(page, "rear").get_by_role("textbox", name=name).fill(value)
    assert saved(page)[1].answers == {"rear": ["-415", "70", "-", "500"]}


def test_the_text_can_be_copied_and_where_it_cannot_it_is_shown(opened):
    page = opened("miter-angles", permissions=["clipboard-read", "clipboard-write"])
    fill(page)
    saved(page)
    page.get_by_role("button", name="Copy to send").click()
    page.wait_for_function("document.querySelector('#told').textContent.includes('copied')")
    copied = answer_text.read(page.evaluate("navigator.clipboard.readText()"))
    assert (copied.answers, copied.copy, copied.as_saved) == (FILLED, "1", True)
    page.evaluate(
        "() => { navigator.clipboard.writeText = () => Promise.reject(new Error('no')); }"
    )
    page.get_by_role("button", name="Copy to send").click()
    shown = page.get_by_label("Your answers as text")
    shown.wait_for()
    assert answer_text.read(shown.input_value()) == copied


def test_without_scripts_the_page_says_so_and_shows_what_there_is_to_read(opened):
    page = opened("miter-angles", java_script_enabled=False)
    assert page.get_by_text("nothing that you type is kept, because scripts don't run").is_visible()
    assert page.get_by_text("How many degrees must it swing to cut the head end?").is_visible()
    for hidden in ("#hand-in", "#calculator", ".bar", ".tools"):
        assert not page.locator(hidden).first.is_visible()
    assert not opened("miter-angles").locator(".no-script").is_visible()


def test_a_question_leads_to_its_heading_in_the_lesson_in_a_zip_and_on_a_stick(browser, tmp_path):
    work = small.evening(tmp_path, 2)
    root = tmp_path / "course"
    text = small.PUBLIC.replace("given: [side]\n", "given: [side]\nread: two-squares\n")
    work = dataclasses.replace(work, exercise=exercises.parse(text, "small"), root=root)
    book = tmp_path / "html"
    book.mkdir()
    for name in ("index.html", "small.html"):
        (book / name).write_text('<!DOCTYPE html><title>Small</title><h2 id="two-squares">Two</h2>')
    pages.make(work, lesson=True)
    sent = zips.make(work, book)
    for archive, place in ((sent.zips[1], "small"), (sent.stick, f"small/{STUDENT}")):
        shutil.unpack_archive(archive, tmp_path / archive.stem)
        page = browser.new_page()
        page.goto(f"file://{tmp_path}/{archive.stem}/{place}/small-{STUDENT}.html")
        page.get_by_role("link", name="Two squares").click()
        page.wait_for_url("**/small/lesson/small.html#two-squares")
        page.close()


@pytest.mark.parametrize("slug", LESSONS)
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_sticks_out_and_all_that_is_touched_fits_a_thumb(opened, slug, width):
    page = opened(slug, width)
    for order in page.locator(".pool button").all()[:2]:
        order.click()
    page.locator(".calculate").first.click()
    page.locator(".write-down").first.click(force=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for css in (
        "button",
        "input:not([type=radio])",
        "select",
        "textarea",
        ".tick",
        ".read a",
        ".bar a",
    ):
        for target in page.locator(f"{css}:visible").all():
            box = target.bounding_box()
            assert round(box["height"]) >= THUMB, (css, target.inner_text())
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= width


@pytest.mark.parametrize("slug", LESSONS)
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(opened, slug, width, scheme):
    from axe_playwright_python.sync_playwright import Axe

    page = opened(slug, width, color_scheme=scheme)
    page.locator("input[data-unit]").first.fill("no number")
    for order in page.locator(".pool button").all()[:2]:
        order.click()
    page.locator(".write-down").first.click()
    assert Axe().run(page).response["violations"] == []
    page.locator(".calculate").first.click()
    assert Axe().run(page).response["violations"] == []


def test_on_paper_boxes_are_lines_and_nothing_is_to_be_pressed(opened):
    page = opened("tack-order", 1280)
    page.emulate_media(media="print")
    for hidden in ("button", "#calculator", ".bar", "#hand-in", ".says"):
        assert not [e for e in page.locator(hidden).all() if e.is_visible()], hidden
    look = page.locator(".line").first.evaluate(
        "e => [getComputedStyle(e).borderTopWidth, getComputedStyle(e).borderBottomStyle]"
    )
    assert look == ["0px", "solid"]
    assert len(page.pdf(format="A4")) > 10_000
