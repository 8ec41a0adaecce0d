"""Build times, weights of pages and time to first paint of the book: `python -m tests.benchmarks.book`.

The book is built cold in a folder of its own, then again with nothing changed, then with one word changed on
one page. A page's weight is that of its own file and, once, of all that it loads; first paint is the
browser's own `first-contentful-paint` at 390 px, from files, with every outside address cut off, the
median of five openings each with an empty cache, beside them the time until the formulas are set.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from coursekit import project
from coursekit.book.build import build
from coursekit.book.lesson import lessons

OPENINGS = 5
PAINT = "performance.getEntriesByName('first-contentful-paint').map(e => e.startTime)[0]"
ARGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--allow-file-access-from-files"]  # fmt: skip


def builds(root: Path, place: Path) -> Path:
    """Print the three build times of a copy of the course; return the folder of the pages."""
    for name in ("course", "exercises", "solutions"):
        shutil.copytree(root / name, place / name)
    index = _timed("cold", place)
    _timed("nothing changed", place)
    page = place / "course" / "tube-choice.md"
    page.write_text(page.read_text("utf-8").replace("Two tubes", "Two tubes,", 1) + "\n", "utf-8")
    _timed("one page changed", place)
    return index.parent


def _timed(what: str, place: Path) -> Path:
    start = time.perf_counter()
    index = build(place, place / "book")
    print(
        f"| the book of {len(lessons(place))} lessons, {what} | {time.perf_counter() - start:.1f} s |",
        flush=True,
    )
    return index


def weights_and_paint(pages: Path, slugs: tuple[str, ...]) -> None:
    """Print of each page: its own weight, that of all it loads, first paint, formulas set."""
    from playwright.sync_api import sync_playwright

    print(
        "| page | own kB | all kB | first paint ms | formulas set ms |\n| --- | --- | --- | --- | --- |"
    )
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGS)
        for slug in ("intro", *slugs):
            found = [_opened(browser, pages / f"{slug}.html") for _ in range(OPENINGS)]
            own = (pages / f"{slug}.html").stat().st_size / 1000
            loaded = sum(Path(p).stat().st_size for p in found[0][2]) / 1000
            paint, done = (statistics.median(f[k] for f in found) for k in (0, 1))
            print(f"| {slug} | {own:.0f} | {loaded:.0f} | {paint:.0f} | {done:.0f} |", flush=True)
        browser.close()


def _opened(browser: object, page: Path) -> tuple[float, float, set[str]]:
    context = browser.new_context(viewport={"width": 390, "height": 844})  # type: ignore[attr-defined]
    context.route(lambda url: url.startswith("http"), lambda route: route.abort())
    tab, files = context.new_page(), set()
    tab.on(
        "request", lambda r: files.add(r.url.removeprefix("file://").split("?")[0].split("#")[0])
    )
    start = time.perf_counter()
    tab.goto(page.as_uri())
    tab.evaluate("window.MathJax && MathJax.startup ? MathJax.startup.promise : null")
    done = 1000 * (time.perf_counter() - start)
    tab.wait_for_function(f"{PAINT} > 0")
    paint = float(tab.evaluate(PAINT))
    context.close()
    return paint, done, {f for f in files if Path(f).is_file()}


def main() -> int:
    """Build, look, print."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        weights_and_paint(builds(project.root(), place), lessons(place))
    return 0


if __name__ == "__main__":
    sys.exit(main())
