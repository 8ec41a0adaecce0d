"""Drop, photos and work in a real browser: what scripts send, turn and set, and who can use it."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from urllib.parse import urlencode

import pytest
from axe_playwright_python.sync_playwright import Axe

from coursekit.classroom.handout.assignments import assignment
from coursekit.classroom.intake import for_the_eye
from coursekit.classroom.marking.mark_class import mark_class
from coursekit.classroom.report import feedback
from coursekit.desk.pages import drop as page

from ..chromium import Chromium
from ..classroom import small
from ..classroom.test_take_in import notebook
from .desk_client import serving_desk

pytestmark = pytest.mark.slow
DROP = """async ([files, text]) => {
  const data = new DataTransfer();
  for (const [name, bytes] of files) data.items.add(new File([new Uint8Array(bytes)], name, {lastModified: 1760000000000}));
  if (text) data.setData("text/plain", text);
  document.dispatchEvent(new DragEvent("dragover", {bubbles: true, dataTransfer: data, cancelable: true}));
  document.dispatchEvent(new DragEvent("drop", {bubbles: true, dataTransfer: data, cancelable: true}));
}"""


@pytest.fixture
def work(tmp_path):
    return small.evening(tmp_path, 3)


@pytest.fixture
def browser(work, tmp_path):
    with (
        serving_desk(work.folder.path, work.root) as desk,
        Chromium(tmp_path / "profile") as browser,
    ):
        browser.desk = f"http://127.0.0.1:{desk.port}"
        browser.open(f"{browser.desk}/?{urlencode({'key': desk.key})}")
        yield browser
        assert [e for e in browser.errors if "404" not in e] == []  # there is no icon


def go(browser, address):
    browser.open(browser.desk + address)


def came(browser, text):
    ask = "text => document.body && document.body.innerText.includes(text)"
    browser.page.wait_for_function(ask, arg=text)


def clean(browser):
    """Assert that axe-core finds nothing and nothing is wider than the page, at both widths."""
    for width in (1280, 390):
        browser.page.set_viewport_size({"width": width, "height": 844})
        found = Axe().run(browser.page)
        assert found.violations_count == 0, found.generate_report()
        assert browser.evaluate("document.documentElement.scrollWidth <= innerWidth")
    browser.page.set_viewport_size({"width": 1280, "height": 844})


def photo(width=60, height=80):
    from PIL import Image

    data = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(data, "JPEG")
    return data.getvalue()


def test_what_is_dropped_chosen_and_pasted_is_taken_in(browser, work, tmp_path):
    go(browser, "/drop")
    files = [["miter.ipynb", list(notebook(work, "bench-03"))], ["IMG_1.jpg", list(photo())]]
    browser.evaluate(DROP, [files, ""])
    came(browser, "Bench 3 · Small: taken in.")
    came(browser, "It is a photo, and whose it is cannot be told")
    browser.wait_for("document.querySelector('img.glance').naturalWidth === 60")
    clean(browser)
    browser.page.get_by_label("Whose it is").select_option(label="Bench 2")
    browser.page.get_by_role("button", name="Take it in: IMG_1.jpg").click()
    came(browser, "Bench 2: 1 photo")
    assert not browser.evaluate("document.body.innerText.includes('Unclear')")

    folder = tmp_path / "Bench 1"
    folder.mkdir()
    (folder / "homework.ipynb").write_bytes(notebook(work, "bench-01", stamped=False))
    browser.page.set_input_files("#folder", folder)
    came(browser, "Bench 1 · Small: taken in. Known by its folder's name")

    browser.type("#pasted", "Hello, see you on Thursday.")
    browser.page.get_by_role("button", name="Take it in", exact=True).click()
    came(browser, "what was pasted")
    browser.page.get_by_role("button", name="Set aside: what was pasted").click()
    came(browser, "Set aside: 1")
    browser.evaluate(DROP, [[], "And one more"])
    came(browser, "no notebook, no saved answers")


def test_a_file_that_is_too_large_is_said_and_the_others_go(browser, work, monkeypatch):
    monkeypatch.setitem(page._LIMITS, "file", 10)
    go(browser, "/drop")
    browser.evaluate(DROP, [[["a.bin", [0] * 11], ["b.bin", [1]]], ""])
    came(browser, "a.bin: It is too large, so it was not sent.")
    came(browser, "Unclear")
    assert "b.bin" in browser.evaluate("document.body.innerText")


def test_a_photo_is_turned_and_enlarged_beside_its_boxes(browser, work):
    when = datetime(2026, 2, 3, tzinfo=UTC)
    for name in ("a.jpg", "b.jpg"):
        data = photo(60, 80 if name == "a.jpg" else 90)
        for_the_eye.keep(work.folder, "bench-02", "small", name, data, when)
    go(browser, "/photos?student=bench-02&lesson=small")
    clean(browser)
    places = "[...document.querySelectorAll('.frame, .beside form[action=\"/photos\"]')].map(e => e.getBoundingClientRect())"
    frame, boxes = browser.evaluate(f"{places}.map(r => [r.left, r.right, r.top, r.bottom])")
    assert frame[1] <= boxes[0]  # beside
    box = "(() => {const r = document.querySelector('.frame img').getBoundingClientRect(); return [r.width, r.height]})()"
    wide, high = browser.evaluate(box)
    assert high / wide == pytest.approx(80 / 60, rel=0.01)
    browser.page.get_by_role("button", name="Turn right").click()
    turned, low = browser.evaluate(box)
    assert low / turned == pytest.approx(60 / 80, rel=0.01)
    assert turned == pytest.approx(wide, rel=0.01)
    browser.page.get_by_role("button", name="Larger").click()
    assert browser.evaluate(box)[0] == pytest.approx(1.4 * wide, rel=0.01)
    browser.page.set_viewport_size({"width": 390, "height": 844})
    frame, boxes = browser.evaluate(f"{places}.map(r => [r.left, r.right, r.top, r.bottom])")
    assert frame[3] <= boxes[2]  # above
    browser.page.locator("[name='a.why.0']").focus()
    browser.page.keyboard.type("Because.")
    high = browser.evaluate("document.querySelector('.frame').getBoundingClientRect().bottom")
    assert browser.evaluate("document.activeElement.getBoundingClientRect().top") >= high
    browser.page.get_by_role("button", name="Record, and done with this photo").click()
    came(browser, "1 recorded.")
    came(browser, "b.jpg, 2 of 2.")


def test_work_and_its_feedback_page_where_scripts_set_formulas_and_nothing_else(browser, work):
    small.hand_in(work, "bench-02", {"why": "It is $x^2$ <script>parent.evil = 1</script>."})
    mark_class(assignment(work.folder, "small", work.root))
    feedback.give_feedback(work.folder, "small", root=work.root)
    go(browser, "/work?student=bench-02&lesson=small")
    assert "It is $x^2$ <script>" in browser.evaluate("document.body.innerText")
    clean(browser)
    go(browser, "/work/file?student=bench-02&lesson=small&name=feedback")
    browser.wait_for("document.querySelectorAll('mjx-container').length > 0")
    assert browser.evaluate("origin") == "null"  # it has no part in the desk
    asked = "fetch('/jobs').then(() => 'there', () => 'refused')"
    assert browser.evaluate(asked) == "refused"
    browser.errors.clear()  # the browser says so too
