"""The bench form in a reader's hands: Chromium without scripts, on a phone and on a desk."""

from __future__ import annotations

import pytest

from coursekit.classroom.bench import bench_record
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.register.phone_code import phone_code, printed

from ..tools import need
from . import small
from .benches import BENCH, BENCHED
from .benches import opened as shop_opened
from .form_client import WIFI, serving

THUMB = 44  # CSS px: target size, WCAG 2.2, success criterion 2.5.5
WIDTHS = {1280: 900, 390: 844}
SIGNED = BENCH.replace("low: 0, high: 5", "low: -5, high: 5")


@pytest.fixture(scope="module")
def browser():
    chromium = need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        one = play.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--disable-gpu", f"--host-resolver-rules=MAP {WIFI} 127.0.0.1"],
            ignore_default_args=["--disable-back-forward-cache"],  # as a reader's own browser
        )  # fmt: skip
        yield one
        one.close()


@pytest.fixture(params=WIDTHS, ids=lambda w: f"{w} px")
def opened(request, browser, tmp_path):
    """The form in a browser without scripts; what it asks for from elsewhere is listed."""
    folder, _ = shop_opened(tmp_path, bench=SIGNED)
    with serving(folder, tmp_path) as form:
        size = {"width": request.param, "height": WIDTHS[request.param]}
        context = browser.new_context(viewport=size, java_script_enabled=False)
        page = context.new_page()
        home = f"http://127.0.0.1:{form.port}/"
        outside, wrong = [], []
        page.on("request", lambda r: r.url.startswith(home) or outside.append(r.url))
        page.on("console", lambda m: m.type == "error" and wrong.append(m.text))
        page.goto(home)
        yield form, page, wrong
        assert outside == []
        context.close()


def fits(page):
    """Nothing pushes the page sideways, and all that is touched is large enough for a thumb."""
    width = page.viewport_size["width"]
    for css in ("fieldset", "input:visible", "select", "textarea", "button", "p", "legend"):
        for box in (e.bounding_box() for e in page.locator(css).all()):
            if box and box["width"]:
                assert box["x"] >= 0, css
                assert box["x"] + box["width"] <= width, css
    for css in (
        'input[type="text"]:visible',
        "select",
        "textarea",
        "button",
        "summary",
        "nav a",
        ".tick",
    ):
        for box in (e.bounding_box() for e in page.locator(css).all()):
            assert box["height"] >= THUMB, css


def test_from_the_first_page_to_a_reading_without_scripts(opened):
    form, page, wrong = opened
    fits(page)
    page.select_option("#student", "bench-02")
    page.select_option("#lesson", "small")
    page.get_by_role("button", name="Open the sheet").click()
    assert page.title() == "Small: bench record · Evening"
    fits(page)
    box = page.get_by_label("Reading 1, mm", exact=True)
    assert box.get_attribute("inputmode") == "decimal"
    box.fill("0,32")
    page.get_by_label("Sign of: Reading 1, mm").select_option("−")
    page.get_by_label("Reading 2, mm", exact=True).fill("0.4")
    page.get_by_label("Typed by (initials)").fill("Ann")
    page.get_by_role("button", name="Record the readings").click()
    fits(page)
    assert page.get_by_role("alert").inner_text() == "Asked back: widest gap."
    page.get_by_role("alert").get_by_role("link").click()
    back = page.locator('[aria-invalid="true"]')
    assert back.input_value() == "0,32"
    said = page.locator(f'[id="{back.get_attribute("aria-describedby")}"]').inner_text()
    assert "The nearest marks are -0.35 and -0.3" in said
    back.fill("0,3")
    page.get_by_role("button", name="Record the readings").click()
    assert page.get_by_role("status").inner_text() == "1 recorded."
    values = {place: r.value for place, r in bench_record.latest(form.folder, "small").items()}
    assert values == {("bench-02", "gap", 1): -0.3, ("bench-02", "gap", 2): 0.4}
    page.reload()
    assert len(bench_record.readings(form.folder)) == 2
    page.get_by_role("link", name="Answers from paper of this sheet").click()
    fits(page)
    assert page.get_by_label("a circle").get_attribute("type") == "radio"
    assert [w for w in wrong if "422" not in w] == []


def test_the_button_is_within_reach_of_the_thumb(opened):
    _, page, _ = opened
    page.goto(page.url + "bench?student=bench-01&lesson=small")
    box = page.get_by_role("button", name="Record the readings").bounding_box()
    height = page.viewport_size["height"]
    assert height / 2 < box["y"] + box["height"] <= height


def test_after_a_post_that_failed_going_back_shows_what_was_typed(opened, monkeypatch):
    form, page, _ = opened
    page.goto(page.url + "bench?student=bench-01&lesson=small")
    page.fill('[id="r.gap.1"]', "0.35")
    with monkeypatch.context() as patch:
        patch.setattr(bench_record, "record", lambda *args: 1 / 0)
        page.get_by_role("button", name="Record the readings").click()
    assert "Something failed here" in page.get_by_role("alert").inner_text()
    page.go_back(wait_until="commit")
    assert page.input_value('[id="r.gap.1"]') == "0.35"
    page.get_by_role("button", name="Record the readings").click()
    assert [r.value for r in bench_record.readings(form.folder)] == [0.35]


@pytest.fixture
def phones(tmp_path):
    work = small.evening(tmp_path, 2, BENCHED)
    with serving(work.folder, tmp_path / "course", phones=True) as form:
        yield form


def test_on_a_phone_from_the_code_to_an_answer_without_scripts(browser, phones):
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, java_script_enabled=False, color_scheme="dark"
    )
    page = context.new_page()
    home = f"http://{WIFI}:{phones.port}"
    page.goto(f"{home}/bench?student=bench-01&lesson=small")
    assert page.url == f"{home}/enter"
    fits(page)
    page.get_by_label("Your own code").fill("00000000")
    page.get_by_role("button", name="Come in").click()
    assert "printed at the top of your worksheet" in page.get_by_role("alert").inner_text()
    page.get_by_label("Your own code").fill(printed(phone_code(phones.folder, "bench-01")).lower())
    page.get_by_role("button", name="Come in").click()
    assert page.title() == "Your lessons · Evening"
    fits(page)
    page.get_by_role("link", name="Answers").click()
    fits(page)
    area = page.get_by_role("group", name="1. area")
    side = phones.view.work("small").numbers("bench-01")["side"]
    assert "What is its area?" in area.inner_text()
    assert f"side of a square: {side:g} mm" in area.inner_text()
    area.get_by_label("Answer", exact=True).fill("100,5")
    page.get_by_role("button", name="Record the answers").click()
    assert page.get_by_role("status").inner_text() == "1 recorded."
    (kept,) = paper_answers.every(phones.folder, "small")
    assert (kept.student, kept.answer) == ("bench-01", "100,5")
    page.goto(f"{home}/answers?student=bench-02&lesson=small")
    assert "one student's code" in page.get_by_role("alert").inner_text()
    fits(page)
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_axe_finds_nothing(browser, tmp_path, phones, width, scheme):
    from axe_playwright_python.sync_playwright import Axe

    folder, _ = shop_opened(tmp_path / "desk", bench=SIGNED)
    with serving(folder, tmp_path / "desk") as form:
        context = browser.new_context(
            viewport={"width": width, "height": WIDTHS[width]},
            bypass_csp=True,
            color_scheme=scheme,
        )
        page = context.new_page()
        home = f"http://127.0.0.1:{form.port}"
        sheet = "student=bench-01&lesson=small"

        def look():
            found = Axe().run(page).response["violations"]
            assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found] == [], page.url

        for url in (
            f"{home}/", f"{home}/sheet?code=x", f"{home}/bench?{sheet}&recorded=2",
            f"{home}/answers?{sheet}&kept=own", f"{home}/nothing",
        ):  # fmt: skip
            page.goto(url)
            look()
        page.goto(f"{home}/bench?{sheet}")
        page.locator("summary").first.click()
        page.fill('[id="r.gap.1"]', "wide")
        page.click("button")
        look()
        shop = f"http://{WIFI}:{phones.port}"
        page.goto(f"{shop}/enter")
        look()
        page.fill("#code", "00000000")
        page.click("button")
        look()
        page.fill("#code", phone_code(phones.folder, "bench-01"))
        page.click("button")
        for path in (
            "/", f"/answers?{sheet}", f"/bench?{sheet}", "/answers?student=bench-02&lesson=small",
        ):  # fmt: skip
            page.goto(shop + path)
            look()
        context.close()
