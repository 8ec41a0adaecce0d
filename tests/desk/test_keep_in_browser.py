"""The pages Now, Classes, Put away and Report in Chromium: keyboard, drop, narrow and wide, axe."""

from __future__ import annotations

import pytest

from coursekit.classroom.gradebook import due
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register import lock_and_backup
from coursekit.classroom.register.class_folder import load
from coursekit.classroom.register.class_toml import when

from ..classroom import small
from ..classroom.conftest import LIMITS
from ..tools import need
from .desk_client import serving_desk

WIDTHS = {1280: 900, 390: 844}
PAGES = ("/", "/classes", "/classes/new", "/put-away", "/put-away/student?student=bench-01",
         "/put-away/erase?student=bench-01", "/report")  # fmt: skip


@pytest.fixture(scope="module")
def browser():
    chromium = need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        one = play.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        yield one
        one.close()


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A class of four: two are marked, one of them slipped, two owe their work."""
    path = tmp_path_factory.mktemp("keep")
    work = small.evening(path, 4)
    due.set_due(work.folder, "small", when("2026-02-04T18:00:00+00:00"))
    work = small.opened(path)
    for student in ("bench-01", "bench-02"):
        small.hand_in(work, student)
    mark_class.mark_class(work, limits=LIMITS)
    lock_and_backup.backup(load(work.folder.path))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(path / "state"))
        with serving_desk(work.folder.path, work.root) as desk:
            yield desk


def opened(browser, desk, width, **how):
    size = {"width": width, "height": WIDTHS[width]}
    page = browser.new_context(viewport=size, **how).new_page()
    page.set_default_timeout(300_000)
    page.goto(f"http://127.0.0.1:{desk.port}/?key={desk.key}")
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_axe_finds_nothing_and_nothing_pushes_the_page_sideways(browser, desk, width, scheme):
    from axe_playwright_python.sync_playwright import Axe

    page = opened(browser, desk, width, bypass_csp=True, color_scheme=scheme)
    home = f"http://127.0.0.1:{desk.port}"

    def look():
        found = Axe().run(page).response["violations"]
        assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found] == [], page.url
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, page.url

    for one in PAGES:
        page.goto(home + one)
        look()
    page.goto(f"{home}/classes/new")
    page.fill("#text", "id,name,shoe\na,Ann\nb,Ann\n")
    page.get_by_role("button", name="See how it reads").click()
    page.wait_for_selector("#title")
    look()
    page.fill("#title", "New")
    page.fill("#place", "nowhere")
    page.get_by_role("button", name="Yes, open the class").click()
    page.wait_for_selector("#error")
    look()
    page.context.close()


def test_the_arrow_keys_go_through_the_class_and_tab_stops_at_it_once(browser, desk):
    page = opened(browser, desk, 390)
    links = page.locator("#grid td a")
    assert links.count() == 4
    stops = [links.nth(n).get_attribute("tabindex") for n in range(4)]
    assert stops == ["0", "-1", "-1", "-1"]
    links.first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.closest('tr').rowIndex") == 3
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    page.wait_for_url("**/work?student=bench-02&lesson=small")
    page.context.close()


def test_a_roster_is_dropped_in_whatever_encoding_and_shown_as_it_reads(browser, desk, tmp_path):
    page = opened(browser, desk, 1280)
    page.goto(f"http://127.0.0.1:{desk.port}/classes/new")
    file = tmp_path / "list.csv"
    file.write_bytes("id;name\nj-1;Jörg Öhm\n".encode("utf-16"))
    page.set_input_files("#file", file)
    page.wait_for_selector("#title")
    assert page.locator("tbody td").first.inner_text() == "Jörg Öhm"
    page.goto(f"http://127.0.0.1:{desk.port}/classes/new")
    page.evaluate(
        """() => {
            const what = new DataTransfer();
            what.items.add(new File(["id,name\\nb,Bo"], "b.csv"));
            document.dispatchEvent(new DragEvent("drop", {dataTransfer: what, cancelable: true}));
        }"""
    )
    page.wait_for_selector("#title")
    assert page.locator("tbody td").first.inner_text() == "Bo"
    page.goto(f"http://127.0.0.1:{desk.port}/classes/new")
    file.write_text("id,name\n" + "x" * 50_000)
    page.set_input_files("#file", file)
    page.wait_for_selector("#refused:visible")
    assert "smaller than 40 kB" in page.locator("#refused").inner_text()
    page.context.close()


def test_a_check_shows_what_came_of_it_by_itself(browser, desk):
    page = opened(browser, desk, 1280)
    page.goto(f"http://127.0.0.1:{desk.port}/put-away")
    page.get_by_role("button", name="Look at the whole class").click()
    page.wait_for_selector("#came")
    assert (
        "look at" in page.locator("#came").inner_text()
        or "whole" in page.locator("#came").inner_text()
    )
    page.context.close()
