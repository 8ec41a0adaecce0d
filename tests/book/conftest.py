"""The book, built once, and a browser that may not leave the machine."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from filelock import FileLock

from coursekit.book.build import build
from tests.tools import need

CHROMIUM = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def book(root) -> Path:
    """Folder of the built pages; a book of which nothing has changed is not built again."""
    place = root / "build" / "book-for-tests"
    place.parent.mkdir(exist_ok=True)
    with FileLock(f"{place}.lock"):  # one worker builds it, the others wait
        return build(root, place).parent


@pytest.fixture(scope="session")
def served(book) -> Iterator[str]:
    """Address of the same pages, from a server on this machine."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_):
            pass

    server = http.server.ThreadingHTTPServer(
        ("127.0.0.1", 0), functools.partial(Quiet, directory=str(book))
    )
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture(scope="module")
def chromium():
    """A headless Chromium; closed after each module, for a process drives one browser's loop at a time."""
    path = need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=CHROMIUM)
        yield browser
        browser.close()


@dataclass
class Visit:
    """A page and what happened while it was open."""

    page: object
    errors: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)

    @property
    def outside(self) -> list[str]:
        """Requests that went neither to a file nor to this machine."""
        near = ("file:", "data:", "blob:", "http://127.0.0.1:")
        return [address for address in self.requests if not address.startswith(near)]


@pytest.fixture
def visit(chromium):
    """Return a function that opens an address; every request is recorded, outside ones are cut off."""
    contexts = []

    def open_(address: str, width: int = 1280, **options) -> Visit:
        context = chromium.new_context(viewport={"width": width, "height": 900}, **options)
        context.set_default_timeout(600_000)  # ms; a busy machine is no mistake
        contexts.append(context)
        context.route(
            lambda url: url.startswith("http") and "//127.0.0.1:" not in url, lambda r: r.abort()
        )
        visit = Visit(context.new_page())
        visit.page.on("request", lambda request: visit.requests.append(request.url))
        visit.page.on("pageerror", lambda error: visit.errors.append(str(error)))
        visit.page.on(
            "console", lambda m: visit.errors.append(m.text) if m.type == "error" else None
        )
        visit.page.goto(address)
        return visit

    yield open_
    for context in contexts:
        context.close()
