"""The desk in a browser: let in with the key, at the widths and in the colours that tests look at."""

from __future__ import annotations

from contextlib import contextmanager
from itertools import product

HEIGHTS = {1280: 900, 390: 844}
LOOKS = tuple(product(HEIGHTS, ("light", "dark")))


@contextmanager
def opened(browser, desk, width=1280, scheme="light", **more):
    """Open a page of the desk; what it loads from elsewhere, and errors of scripts, fail at the end."""
    size = {"width": width, "height": HEIGHTS[width]}
    # without the policy's bypass axe could not get into the page
    context = browser.new_context(viewport=size, color_scheme=scheme, bypass_csp=True, **more)
    page = context.new_page()
    page.set_default_timeout(300_000)
    page.home = f"http://127.0.0.1:{desk.port}"
    outside, wrong = [], []
    page.on("request", lambda r: r.url.startswith(page.home) or outside.append(r.url))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(f"{page.home}/?key={desk.key}")
    yield page
    context.close()
    assert (outside, wrong) == ([], [])


def finds_nothing(page):
    """See that axe-core finds nothing on a page, and that nothing pushes it sideways."""
    from axe_playwright_python.sync_playwright import Axe

    page.wait_for_load_state()  # a page that is still coming lacks what its links lead to
    found = Axe().run(page).response["violations"]
    told = [(v["id"], [n["html"] for n in v["nodes"]]) for v in found]
    assert not told, f"{page.url}: {told}"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), page.url
