"""Firefox from Debian, driven from a test: open a page from disk, click, type, kill, open again.

It needs no driver. Firefox itself speaks WebDriver BiDi (a W3C draft, https://w3c.github.io/webdriver-bidi/)
over a web socket, and Tornado, which the kit stands on anyway, has a client for that.

    from tests.firefox import Firefox

    with Firefox(tmp_path / "profile", downloads=tmp_path / "saved") as firefox:
        firefox.open(tmp_path / "miter-angles-bench-03.html")
        firefox.type("#mill-setting", "28,5")
        firefox.wait_for("document.querySelector('#kept-at').textContent")  # the keys were worked off
        firefox.kill()  # SIGKILL to every process of it, at once
        firefox.start()  # the same profile again, so what the page kept is still there
        firefox.open(tmp_path / "miter-angles-bench-03.html")
        assert firefox.evaluate("document.querySelector('#mill-setting').value") == "28,5"
        firefox.click("#save")
        print(firefox.saved("miter-angles-bench-03.txt").read_text(encoding="utf-8"))
        assert firefox.errors == []  # what the pages' scripts threw or wrote to console.error

`evaluate` takes what playwright's `page.evaluate` takes: an expression, or a function and one
argument that JSON can carry; a promise is waited for, and what it rejects with is raised. A test
without Firefox is skipped, or fails where nothing may be missing (`tests/tools.py`).
"""

from __future__ import annotations

import asyncio
import base64
import contextlib
import json
import os
import re
import signal
import subprocess
import threading
import time
from collections.abc import Coroutine
from itertools import count
from pathlib import Path
from types import TracebackType
from typing import Any

from tornado.websocket import WebSocketClientConnection, websocket_connect

from tests.tools import need

LARGEST = 100_000_000  # bytes of one message
PATIENCE = 300.0  # s until a browser that does not answer counts as hung, which no test measures
_LISTENING = re.compile(r"WebDriver BiDi listening on (ws://\S+)")
# A new profile asks, reports and updates nothing, and a download goes where it is told without asking.
_PREFERENCES = {
    "app.update.enabled": False,
    "browser.aboutwelcome.enabled": False,
    "browser.download.always_ask_before_handling_new_types": False,
    "browser.download.alwaysOpenPanel": False,
    "browser.download.folderList": 2,
    "browser.download.useDownloadDir": True,
    "browser.sessionstore.resume_from_crash": False,
    "browser.shell.checkDefaultBrowser": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "dom.disable_beforeunload": True,
    "toolkit.startup.max_resumed_crashes": -1,
}


class Firefox:
    """One Firefox with a profile of its own, on the first page that it shows."""

    def __init__(
        self,
        profile: Path,
        downloads: Path | None = None,
        preferences: dict[str, str | int | bool] | None = None,
    ) -> None:
        self.program = need("firefox-esr")
        self.profile, self.downloads = profile, downloads
        self.errors: list[str] = []
        profile.mkdir(parents=True, exist_ok=True)
        wanted = _PREFERENCES | (preferences or {})
        if downloads:
            downloads.mkdir(parents=True, exist_ok=True)
            wanted["browser.download.dir"] = str(downloads)
        (profile / "user.js").write_text(
            "".join(f"user_pref({json.dumps(n)}, {json.dumps(v)});\n" for n, v in wanted.items())
        )
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._thread.start()
        self._process: subprocess.Popen[str] | None = None
        self._socket: WebSocketClientConnection | None = None
        try:
            self.start()
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Firefox:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()

    def start(self) -> None:
        """Start the program with its profile, also after `kill`."""
        assert self._process is None, "Firefox runs already"
        self._process = subprocess.Popen(
            [
                self.program,
                "--headless",
                "--no-remote",
                "--profile",
                str(self.profile),
                "--remote-debugging-port",
                "0",
                "about:blank",
            ],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
            env={**os.environ, "MOZ_CRASHREPORTER_DISABLE": "1", "HOME": str(self.profile)},
        )
        address = self._address(self._process)
        self._numbers = count(1)
        self._waiting: dict[int, asyncio.Future[dict]] = {}
        self._await(self._connect(f"{address}/session"))
        self._send("session.new", capabilities={})
        self._send("session.subscribe", events=["log.entryAdded"])
        self._page = self._send("browsingContext.getTree")["contexts"][0]["context"]

    def open(self, page: Path | str) -> None:
        """Open a page from disk, or an address, and wait until it has loaded."""
        address = page.as_uri() if isinstance(page, Path) else page
        self._send("browsingContext.navigate", context=self._page, url=address, wait="complete")

    def evaluate(self, script: str, argument: object = None) -> object:
        """Return what `script` gives in the page: an expression, or a function of `argument`."""
        return self._evaluate(script, argument, gesture=True)

    def click(self, selector: str) -> None:
        """Click the middle of the first element that fits `selector`, as a finger or mouse would.

        A page may still move while it is drawn anew, so an element that has left the window is
        brought back and aimed at again.
        """
        late = time.monotonic() + PATIENCE
        while True:
            try:
                self._act("pointer", self._aimed_at(selector))
                return
            except RuntimeError as moved:
                if "out of bounds" not in str(moved) or time.monotonic() > late:
                    raise
                time.sleep(0.05)

    def _aimed_at(self, selector: str) -> list[dict]:
        middle = {"type": "element", "element": self._element(selector)}
        return [
            {"type": "pointerMove", "x": 0, "y": 0, "origin": middle},
            {"type": "pointerDown", "button": 0},
            {"type": "pointerUp", "button": 0},
        ]

    def type(self, selector: str, text: str) -> None:
        """Click into an element and type `text`, key by key."""
        self.click(selector)
        self.press(*text)

    def press(self, *keys: str) -> None:
        """Press keys one after the other; "\\ue004" is Tab and "\\ue007" Enter (WebDriver 17.4.2)."""
        self._act(
            "key", [{"type": way, "value": key} for key in keys for way in ("keyDown", "keyUp")]
        )

    def wait_for(self, script: str, argument: object = None) -> object:
        """Ask until `script` gives something true, and return it."""
        late = time.monotonic() + PATIENCE
        while not (value := self._evaluate(script, argument, gesture=False)):
            assert time.monotonic() < late, f"This never came true: {script}"
            time.sleep(0.02)
        return value

    def saved(self, name: str) -> Path:
        """Wait until a file was downloaded completely, and return where it is."""
        assert self.downloads, "Firefox was given no folder for what is saved"
        path, late = self.downloads / name, time.monotonic() + PATIENCE
        while (
            not path.exists() or path.with_name(f"{name}.part").exists() or not path.stat().st_size
        ):
            assert time.monotonic() < late, f"{name} was never saved"
            time.sleep(0.02)
        return path

    def new_tab(self) -> str:
        """Open another tab, go to it, and return the name of the one left, for `to_tab`."""
        left = self._page
        self._page = self._send("browsingContext.create", type="tab")["context"]
        return left

    def to_tab(self, tab: str) -> str:
        """Go to a tab, and return the name of the one left."""
        left, self._page = self._page, tab
        self._send("browsingContext.activate", context=tab)
        return left

    def size(self, width: int, height: int) -> None:
        """Make the page as wide and high as a screen."""
        self._send(
            "browsingContext.setViewport",
            context=self._page,
            viewport={"width": width, "height": height},
        )

    def screenshot(self, path: Path) -> None:
        """Write a PNG of the whole page."""
        taken = self._send(
            "browsingContext.captureScreenshot", context=self._page, origin="document"
        )
        path.write_bytes(base64.b64decode(taken["data"]))

    def kill(self) -> None:
        """Kill every process of it at once, as an empty battery would."""
        assert self._process, "Firefox does not run"
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._ended()

    def stop(self) -> None:
        """Close it as a person does, with time to put everything away."""
        assert self._process, "Firefox does not run"
        self._send("browser.close")
        self._process.wait(PATIENCE)
        self._ended()

    def close(self) -> None:
        """End it, whatever it does; it can't be started again."""
        if self._process:
            self.kill()
        if self._loop.is_running():
            self._loop.call_soon_threadsafe(self._loop.stop)
            self._thread.join()
            self._loop.close()

    def _ended(self) -> None:
        assert self._process
        self._process.wait()
        if self._socket:
            self._await(self._left(self._socket))
        self._drain.join()
        self._process.stderr.close()  # type: ignore[union-attr]
        self._process = self._socket = None

    def _address(self, process: subprocess.Popen[str]) -> str:
        """Return where Firefox listens, which it says on its error output, and read on after that."""
        said = []
        assert process.stderr
        for line in process.stderr:
            said.append(line)
            if found := _LISTENING.search(line):
                break
        self._drain = threading.Thread(target=process.stderr.read, daemon=True)
        self._drain.start()
        assert said and found, f"Firefox did not start: {''.join(said)}"
        return found[1]

    async def _connect(self, address: str) -> None:
        self._socket = await websocket_connect(address, max_message_size=LARGEST)
        self._listener = asyncio.ensure_future(self._listen(self._socket))

    async def _listen(self, socket: WebSocketClientConnection) -> None:
        while (message := await socket.read_message()) is not None:
            told = json.loads(message)
            if told.get("id") in self._waiting:
                self._waiting.pop(told["id"]).set_result(told)
            elif told.get("method") == "log.entryAdded" and told["params"]["level"] == "error":
                self.errors.append(told["params"]["text"])
        for future in self._waiting.values():
            if not future.done():
                future.set_result(
                    {"type": "error", "error": "gone", "message": "Firefox has ended."}
                )

    async def _left(self, socket: WebSocketClientConnection) -> None:
        socket.close()
        await self._listener

    def _send(self, method: str, **params: object) -> dict:
        told = self._await(self._ask(method, params))
        if told["type"] == "error":
            raise RuntimeError(f"{method}: {told['error']}: {told['message']}")
        return told["result"]

    async def _ask(self, method: str, params: dict) -> dict:
        assert self._socket, "Firefox does not run"
        number = next(self._numbers)
        answer = self._waiting[number] = self._loop.create_future()
        await self._socket.write_message(
            json.dumps({"id": number, "method": method, "params": params})
        )
        return await answer

    def _await(self, work: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(PATIENCE)

    def _evaluate(self, script: str, argument: object, gesture: bool) -> object:
        body = (
            f"async (text) => {{ const it = ({script});"
            ' const value = typeof it === "function" ? await it(JSON.parse(text)) : await it;'
            " return JSON.stringify(value === undefined ? null : value); }"
        )
        told = self._call(body, [{"type": "string", "value": json.dumps(argument)}], gesture)
        return json.loads(told["value"])

    def _element(self, selector: str) -> dict:
        body = '(s) => { const one = document.querySelector(s); one?.scrollIntoView({block: "center"}); return one; }'
        found = self._call(body, [{"type": "string", "value": selector}], False)
        assert found["type"] == "node", f"Nothing on the page fits {selector}"
        return {"sharedId": found["sharedId"]}

    def _call(self, body: str, arguments: list[dict], gesture: bool) -> dict:
        told = self._send(
            "script.callFunction",
            functionDeclaration=body,
            arguments=arguments,
            awaitPromise=True,
            target={"context": self._page},
            userActivation=gesture,
        )
        if told["type"] == "exception":
            raise RuntimeError(told["exceptionDetails"]["text"])
        return told["result"]

    def _act(self, kind: str, actions: list[dict]) -> None:
        self._send(
            "input.performActions",
            context=self._page,
            actions=[{"type": kind, "id": kind, "actions": actions}],
        )
