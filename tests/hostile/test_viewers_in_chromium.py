"""A submission that attacks wherever it can, in the real browser of the instructor who looks at it.

Every attack of the tables sets the page's title and calls a server of the test's own. The first test
shows that they do so in this browser where nothing is cleaned; in the others nothing may happen.
"""

from __future__ import annotations

import json
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import nbformat
import pytest

from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import Student, open_class, write_text
from coursekit.classroom.report import class_facts, class_report, feedback, whole_report
from coursekit.classroom.report.class_page import class_page
from tests.classroom import benches, form_client, formgrader_server, small
from tests.classroom.test_feedback_pages import FLAGS
from tests.tools import need

from . import viewers
from .viewer_attacks import formgraders_page

pytestmark = pytest.mark.slow
MATHJAX = "https://cdnjs.cloudflare.com/"  # formgrader's own page asks for it there
STUDENT = "bench-01"
NAME = f'<img src=x onerror="{viewers.DO}">'

IS_ON_TOP = """e => {
    e.scrollIntoView({block: 'center'});
    const b = e.getBoundingClientRect();
    return document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2) === e;
}"""


class Canary:
    """A server that notes whoever calls it, and the attacks as they call it."""

    def __init__(self) -> None:
        heard: list[str] = []

        class Answer(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                heard.append(self.path)
                self.send_response(204)
                self.end_headers()

            def do_POST(self) -> None:
                self.do_GET()

            def log_message(self, *_: object) -> None:
                pass

        self.heard = heard
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Answer)
        self.address = f"127.0.0.1:{self.server.server_port}"

    def aimed(self, text: str) -> str:
        """Return an attack that calls here."""
        call = f"{viewers.DO};fetch('http://{self.address}/ran')"
        return text.replace(viewers.DO, call).replace("example.com", self.address)


@pytest.fixture
def canary():
    one = Canary()
    thread = threading.Thread(target=one.server.serve_forever)
    thread.start()
    yield one
    one.server.shutdown()
    thread.join()
    one.server.server_close()


@pytest.fixture
def browser():
    from playwright.sync_api import expect, sync_playwright

    chromium = need("chromium")
    expect.set_options(timeout=600_000)
    with sync_playwright() as play:
        one = play.chromium.launch(executable_path=chromium, args=FLAGS)
        yield one
        one.close()


@contextmanager
def looking(browser, size=(1280, 900)):
    """A page of the browser, and the addresses that it asks for or is sent to."""
    page = browser.new_page(viewport={"width": size[0], "height": size[1]})
    page.set_default_timeout(600_000)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.route(f"{MATHJAX}**", lambda route: route.abort())
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
    try:
        yield page, asked
    finally:
        page.close()


def displays(canary: Canary) -> list[str]:
    """The code of a cell for each thing that a student could show."""
    shown = [{"text/html": text} for text in viewers.HTML.values()]
    shown += [{"image/svg+xml": viewers.drawing(inner)} for inner in viewers.DRAWINGS.values()]
    shown += [{"text/html": viewers.drawing(inner)} for inner in viewers.DRAWINGS.values()]
    shown += [output["data"] for output in viewers.OUTPUTS.values() if "data" in output]
    cells = [
        f"from IPython.display import display\ndisplay({canary.aimed(json.dumps(data))}, raw=True)"
        for data in shown
    ]
    said = canary.aimed(viewers.HTML["picture that fails"])
    cells += [
        f"print({canary.aimed(viewers.HTML['script'])!r})",
        f"raise type({said!r}, (Exception,), {{}})({said!r})",
        f"class A:\n    def _repr_html_(self):\n        return {said!r}\n\nA()",
    ]
    return cells


def hand_in(work, canary: Canary) -> nbformat.NotebookNode:
    """Hand in right answers with every attack, written or shown, in a cell of its own."""
    place = small.hand_in(work, STUDENT, {"why": canary.aimed("\n\n".join(SHORT))})
    path = place / "small.ipynb"
    notebook = nbformat.read(path, as_version=4)
    for text in viewers.MARKDOWN.values():
        notebook.cells.append(nbformat.v4.new_markdown_cell(canary.aimed(text)))
    notebook.cells.append(nbformat.v4.new_raw_cell(canary.aimed(viewers.HTML["script"])))
    for code in displays(canary):
        notebook.cells.append(nbformat.v4.new_code_cell(code))
    write_text(path, nbformat.writes(notebook))
    (place / "evil.html").write_text(canary.aimed(viewers.HTML["script"]))
    return notebook


SHORT = [
    viewers.MARKDOWN[name] for name in ("script block", "picture that fails", "style", "refresh")
]


@pytest.fixture
def work(tmp_path, canary):
    """A class of two whose first student attacks, marked by the kit."""
    small.evening(tmp_path, 2)
    open_class(tmp_path / "class", [Student(STUDENT, NAME), Student("bench-02", "bench-02")])
    made = small.opened(tmp_path)
    hand_in(made, canary)
    small.hand_in(made, "bench-02")
    mark_class.mark_class(made)
    return made


def touch(page) -> None:
    """Click and cross everything of a student's in the page, short of following an honest link."""
    page.evaluate(
        """() => {
            const all = '.rendered_html *, .output_area *, .input_area *, main *';
            const kept = 'a[href^=http], a[href^="#"], .nbgrader_cell .panel-heading';
            for (const e of document.querySelectorAll(all))
                for (const what of e.closest(kept) ? ['mouseover'] : ['mouseover', 'click'])
                    e.dispatchEvent(new MouseEvent(what, {bubbles: true, cancelable: true}));
        }"""
    )
    page.wait_for_timeout(1_000)


def test_the_attacks_act_where_nothing_is_cleaned(canary, browser, tmp_path):
    for name in ("script", "picture that fails", "drawing", "end of the page"):
        canary.heard.clear()
        cell = nbformat.v4.new_code_cell("x = 1")
        data = {"text/html": canary.aimed(viewers.HTML[name])}
        cell.outputs = [nbformat.v4.new_output("display_data", data)]
        place = tmp_path / "page.html"
        place.write_text(formgraders_page(nbformat.v4.new_notebook(cells=[cell])))
        with looking(browser) as (page, _):
            page.goto(place.as_uri())
            page.wait_for_function("document.title === 'taken'")
            page.wait_for_timeout(500)
        assert "/ran" in canary.heard, name


def test_nothing_of_a_students_acts_in_formgrader(work, canary, browser, tmp_path):
    from playwright.sync_api import expect

    before = small.rows(work)
    with gradebook(work.folder) as book:
        id = book.find_submission_notebook("small", "small", STUDENT).id
    with (
        formgrader_server.serving(work, tmp_path) as (address, token),
        looking(browser) as (page, asked),
    ):
        page.goto(f"{address}/formgrader/manage_assignments?token={token}")
        expect(page.locator("tr", has_text="small").locator("td.num-submissions")).to_have_text("2")
        own = f"{address}/formgrader/submissions/{id}/"
        page.goto(own)
        page.wait_for_timeout(1_000)
        assert (page.title(), page.url, canary.heard) == ("small", own, [])
        expect(page.locator("body")).to_contain_text("ipt>document.title")  # it is there to read
        page.wait_for_function(
            "() => [...document.querySelectorAll('input.score')].length === 4 &&"
            " [...document.querySelectorAll('input.score')]"
            ".filter(box => parseFloat(box.placeholder) > 0).length >= 3"
        )
        touch(page)
        assert page.title() == "small"
        assert page.url == own
        for box in page.locator("input.score").all():
            assert box.evaluate(IS_ON_TOP)
        assert (
            page.locator("iframe, object, embed, form, base, meta[http-equiv=refresh i]").count()
            == 0
        )
        strange = (
            "e => e.filter(a => !/^(https?:|#)/i.test(a.getAttribute('href'))).map(a => a.href)"
        )
        links = page.locator("#notebook-container a[href]")
        assert links.evaluate_all(strange) == []
        box = page.locator("input.score").last
        box.fill("1.5")
        box.dispatch_event("change")
        with gradebook(work.folder) as book:
            while book.find_grade("why", "small", "small", STUDENT).manual_score != 1.5:
                page.wait_for_timeout(300)
                book.db.expire_all()
        page.reload()
        page.wait_for_function(
            "() => [...document.querySelectorAll('input.score')].at(-1)?.value === '1.5'"
        )
        assert [url for url in asked if not url.startswith((address, MATHJAX, "data:"))] == []
    assert canary.heard == []
    changed = {row[:2] for row in set(small.rows(work)) ^ set(before)}
    assert changed == {(STUDENT, "why")}


def test_the_pages_own_policy_holds_scripts_that_were_not_cleaned(work, canary, browser, tmp_path):
    """As if cleaning had missed them; but a policy allows what refreshes, hides or ends a page."""
    path = work.folder.autograded(STUDENT, "small") / "small.ipynb"
    notebook = nbformat.read(path, as_version=4)
    for name, text in (*viewers.MARKDOWN.items(), *viewers.HTML.items()):
        if name not in ("refresh", "style", "end of the page", "script that stays open"):
            cell = nbformat.v4.new_code_cell("x = 1")
            data = {"text/html": canary.aimed(text)}
            cell.outputs = [nbformat.v4.new_output("display_data", data)]
            notebook.cells.append(cell)
    write_text(path, nbformat.writes(notebook))
    with gradebook(work.folder) as book:
        id = book.find_submission_notebook("small", "small", STUDENT).id
    with (
        formgrader_server.serving(work, tmp_path) as (address, token),
        looking(browser) as (page, _),
    ):
        page.goto(f"{address}/formgrader/submissions/{id}/?token={token}")
        page.wait_for_function("() => document.querySelectorAll('input.score').length >= 4")
        page.wait_for_timeout(2_000)
        assert page.title() == "small"
        for box in page.locator("input.score").all()[:4]:
            assert box.evaluate(IS_ON_TOP)
    assert canary.heard == []  # what the policy blocks is asked for, but never sent


def test_nothing_of_a_students_acts_in_feedback_or_report(work, canary, browser, tmp_path):
    page_of = feedback.give_feedback(work.folder, "small", root=work.root)[0]
    facts = class_facts.gather(work.folder, work.root)
    report, whole = tmp_path / "report.html", tmp_path / "whole.html"
    report.write_text(class_report.html(class_page(work.folder, work.root)), encoding="utf-8")
    whole.write_text(whole_report.html(facts), encoding="utf-8")
    for place in (page_of, report, whole):
        with looking(browser) as (page, asked):
            page.goto(place.as_uri())
            title = page.title()
            page.wait_for_timeout(1_000)
            touch(page)
            assert page.title() == title != "taken"
            assert page.url.split("#")[0] == place.as_uri()
            assert page.locator("iframe, object, embed, form, base").count() == 0
            strange = """e => e.map(a => a.getAttribute('href') || a.getAttribute('xlink:href'))
                .filter(address => address && !/^(https?:|#)/i.test(address))"""
            assert page.locator("a").evaluate_all(strange) == []
            assert {url.split(":")[0] for url in asked} <= {"file", "data"}
    assert canary.heard == []


def test_nothing_of_a_students_acts_in_the_form(canary, browser, tmp_path):
    """With scripts on: what was typed comes back as text, whoever typed it."""
    folder, _ = benches.opened(tmp_path)
    attack = canary.aimed(viewers.HTML["picture that fails"])
    with (
        form_client.serving(folder, tmp_path) as form,
        looking(browser, (390, 800)) as (page, asked),
    ):
        home = f"http://127.0.0.1:{form.port}/"
        page.goto(f"{home}bench?student=bench-01&lesson=small")
        for box in page.locator('input[type="text"]:visible').all():
            box.fill(attack)
        page.get_by_role("button", name="Record the readings").click()
        page.get_by_role("alert").wait_for()
        page.wait_for_timeout(1_000)
        assert "taken" not in page.title()
        assert "onerror" in page.content()  # it came back
        assert page.locator("main img, form img").count() == 0
        assert [url for url in asked if not url.startswith(home)] == []
    assert canary.heard == []
