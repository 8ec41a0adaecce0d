"""Chromium with a profile of its own, which a test may kill and start again.

It has the same few actions as `tests.firefox.Firefox`, so one test can go through both; `page` is
playwright's page, for all else.

    with Chromium(tmp_path / "profile") as browser:
        browser.open(tmp_path / "page.html")
        browser.type("#box", "28,5")
        browser.kill()  # SIGKILL, at once
        browser.start()
"""

from __future__ import annotations

import contextlib
import os
import signal
import time
from pathlib import Path
from typing import Any

from tests.tools import need

FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
PATIENCE = 300.0  # s until a browser that does not answer counts as hung, which no test measures


class Chromium:
    """One Chromium on one profile, from disk, with the page that it shows."""

    def __init__(self, profile: Path, downloads: Path | None = None, **options: Any) -> None:
        self.program = need("chromium")
        from playwright.sync_api import sync_playwright

        self.profile, self.downloads, self.options = profile, downloads, options
        self.errors: list[str] = []
        self._playwright = sync_playwright().start()
        self._context = None
        try:
            self.start()
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Chromium:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def start(self) -> None:
        """Start the program with its profile, also after `kill`."""
        assert self._context is None, "Chromium runs already"
        self._context = self._playwright.chromium.launch_persistent_context(
            self.profile, executable_path=self.program, args=FLAGS, **self.options
        )
        self._context.set_default_timeout(PATIENCE * 1000)
        self.page = self._context.pages[0]
        self._watch()

    def _watch(self) -> None:
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", lambda m: m.type == "error" and self.errors.append(m.text))
        if self.downloads:
            folder = self.downloads
            self.page.on("download", lambda one: one.save_as(folder / one.suggested_filename))

    def open(self, page: Path | str) -> None:
        """Open a page from disk, or an address, and wait until it has loaded."""
        self.page.goto(page.as_uri() if isinstance(page, Path) else page)

    def evaluate(self, script: str, argument: object = None) -> Any:
        """Return what `script` gives in the page: an expression, or a function of `argument`."""
        return self.page.evaluate(script, argument)

    def click(self, selector: str) -> None:
        """Click the middle of the first element that fits `selector`."""
        self.page.locator(selector).first.click()

    def type(self, selector: str, text: str) -> None:
        """Click into an element and type `text`, key by key."""
        self.click(selector)
        self.page.keyboard.type(text)

    def wait_for(self, script: str, argument: object = None) -> Any:
        """Ask until `script` gives something true, and return it."""
        late = time.monotonic() + PATIENCE
        while not (value := self.page.evaluate(script, argument)):
            assert time.monotonic() < late, f"This never came true: {script}"
            self.page.wait_for_timeout(20)
        return value

    def saved(self, name: str) -> Path:
        """Wait until a file was downloaded completely, and return where it is."""
        assert self.downloads, "Chromium was given no folder for what is saved"
        late = time.monotonic() + PATIENCE
        while not (self.downloads / name).exists():
            assert time.monotonic() < late, f"{name} was never saved"
            self.page.wait_for_timeout(20)
        return self.downloads / name

    def new_tab(self) -> Any:
        """Open another tab, go to it, and return the one left, for `to_tab`."""
        assert self._context
        left, self.page = self.page, self._context.new_page()
        self._watch()
        return left

    def to_tab(self, tab: Any) -> Any:
        """Go to a tab, and return the one left."""
        left, self.page = self.page, tab
        tab.bring_to_front()
        return left

    def kill(self) -> None:
        """Kill the program at once, as an empty battery would; its other processes end with it."""
        assert self._context, "Chromium does not run"
        lock = (self.profile / "SingletonLock").readlink()  # name of the machine and process
        os.kill(int(lock.name.rpartition("-")[2]), signal.SIGKILL)
        self._left()

    def stop(self) -> None:
        """Close it as a person does."""
        self._left()

    def close(self) -> None:
        """End it; it can't be started again."""
        if self._context:
            self._left()
        self._playwright.stop()

    def _left(self) -> None:
        assert self._context
        with contextlib.suppress(Exception):  # playwright says that the program has gone
            self._context.close()
        self._context = None
