"""Every page of the book at a desk and on a phone, light and dark: at home, in bounds, readable by all."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[2]
SCREENS = [(width, scheme) for width in (390, 1280) for scheme in ("light", "dark")]
BEYOND = "document.documentElement.scrollWidth"
OPEN = "document.querySelectorAll('details').forEach(d => { d.open = true })"
# dark differs from light in its colours alone, which saves half the time
RULES = {"light": {}, "dark": {"runOnly": ["color-contrast", "link-in-text-block"]}}
WIDEST = """width => [...document.querySelectorAll('article *')]
  .filter(e => e.getBoundingClientRect().right > width + 1 && !e.closest('.pst-scrollable-table-container, mjx-container, pre'))
  .map(e => e.outerHTML.slice(0, 90)).slice(0, 3)"""


def pages():
    """All pages of the book's table of contents, and those that the builder adds."""
    toc = yaml.safe_load((ROOT / "course" / "_toc.yml").read_text("utf-8"))
    files = [c["file"] for part in toc["parts"] for c in part["chapters"]]
    return (toc["root"], *files, "search", "genindex")


def faults(seen, width, scheme):
    """What a reader would stumble over on an open page: outside requests, errors, overflow, barriers."""
    from axe_playwright_python.sync_playwright import Axe

    page = seen.page
    page.wait_for_function("!window.MathJax || MathJax.startup?.promise !== undefined")
    page.evaluate("window.MathJax ? MathJax.startup.promise : null")
    page.evaluate(OPEN)
    yield from (f"request: {address}" for address in seen.outside)
    yield from (f"error: {error}" for error in seen.errors)
    if (reach := page.evaluate(BEYOND)) > width:
        yield f"{reach} px wide: {page.evaluate(WIDEST, width)}"
    for found in Axe().run(page, options=RULES[scheme]).response["violations"]:
        if found["impact"] in ("serious", "critical"):
            yield f"{found['id']}: {[n['html'][:120] for n in found['nodes']][:3]}"


def stumbles(visit, book, names, width, scheme):
    """Page → its faults, of the pages that have any."""
    found = {}
    for name in names:
        seen = visit(f"{book.as_uri()}/{name}.html", width, color_scheme=scheme)
        assert seen.requests, name
        if told := list(faults(seen, width, scheme)):
            found[name] = told
        seen.page.close()
    return found


def test_nobody_stumbles_over_a_few_pages_on_a_phone(visit, book):
    assert not stumbles(visit, book, ("intro", "miter-angles", "glossary", "search"), 390, "light")


@pytest.mark.slow
@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_nobody_stumbles(visit, book, width, scheme):
    assert not stumbles(visit, book, pages(), width, scheme)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_a_reader_would_stumble_over_is_found(visit, tmp_path, scheme):
    """The same search on a page that has each of the faults."""
    bad = tmp_path / "bad.html"
    bad.write_text(
        "<!doctype html><html lang=en><title>Bad</title><body><main><h1>Bad</h1><article>"
        "<script>undefinedThing()</script><img src=https://example.org/a.png>"
        "<p style='width:2000px;color:#999;background:#aaa'>grey on grey</p></article></main>",
        encoding="utf-8",
    )
    seen = visit(bad.as_uri(), 390, color_scheme=scheme)
    told = " ".join(faults(seen, 390, scheme))
    wanted = ["request: https://example.org", "undefinedThing", "px wide", "color-contrast"]
    for words in wanted + ["image-alt"] * (scheme == "light"):
        assert words in told, words
