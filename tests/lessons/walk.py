"""Walk through an exercise as a student does, in a real JupyterLab, from hand-out to feedback.

    uv run python -m tests.lessons.walk tack-order      pictures go to build/walk/tack-order

A class of the demo is opened, the exercise handed out, one student's bundle copied to a home of its own,
the notebook opened in JupyterLab by headless Chromium, run blank, filled in by typing, run, saved, handed in,
marked by `coursekit mark` and fed back.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

import numpy as np

from coursekit.classroom.bank import own_numbers
from coursekit.classroom.bank.closeness import pairs
from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.handout.assignments import Assignment
from coursekit.classroom.marking import mark_class
from coursekit.classroom.report import feedback

ROOT = Path(__file__).resolve().parents[2]
STUDENT = "bench-03"
PATIENCE = 600_000  # ms
PANEL = ".jp-WindowedPanel-outer"
STATE = ".jp-Notebook-ExecutionIndicator"
ALL_RAN = "() => ![...document.querySelectorAll('.jp-InputArea-prompt')].some(p => p.innerText.includes('*'))"
FAILED = '.jp-OutputArea-output[data-mime-type="application/vnd.jupyter.error"]'
WARNED = '.jp-OutputArea-output[data-mime-type="application/vnd.jupyter.stderr"]'


@contextmanager
def lab(home: Path) -> Iterator[str]:
    """Serve `home` by JupyterLab with nobody's settings; yield its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    own = {name: str(home.parent / name.lower()) for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "IPYTHONDIR", "JUPYTER_RUNTIME_DIR")}  # fmt: skip
    command = [
        sys.executable, "-m", "jupyter", "lab", "--no-browser", "--allow-root", f"--port={port}",
        "--IdentityProvider.token=", f"--ServerApp.root_dir={home}",
    ]  # fmt: skip
    with (home.parent / "lab.log").open("w") as log:
        server = subprocess.Popen(
            command, env={**os.environ, **own}, stdout=log, stderr=log, start_new_session=True
        )
    try:
        address = f"http://127.0.0.1:{port}"
        _wait_for(f"{address}/api/status", server)
        yield address
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        server.wait(30)


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    for _ in range(1200):
        assert server.poll() is None, "JupyterLab did not start"
        try:
            urlopen(address, timeout=5).close()
            return
        except (URLError, OSError):
            time.sleep(0.5)
    raise AssertionError("JupyterLab did not answer")


class Desk:
    """A notebook open in JupyterLab, and what a student does with it."""

    def __init__(self, page: Any, address: str, slug: str, pictures: Path | None) -> None:
        self.page, self.pictures, self.taken = page, pictures, 0
        page.set_default_timeout(PATIENCE)
        page.goto(f"{address}/lab/tree/{slug}/{slug}.ipynb?reset")
        page.wait_for_selector(".jp-Notebook .jp-Cell")
        self.rest()
        for no in page.locator(
            ".jp-toast-button:has-text('No'), .jp-Dialog button:has-text('No')"
        ).all():
            no.click()

    def rest(self) -> None:
        """Wait until the kernel has nothing to do."""
        self.page.wait_for_timeout(700)
        self.page.wait_for_function(ALL_RAN)
        self.page.wait_for_selector(f"{STATE}[data-status=idle]", state="attached")
        self.page.wait_for_timeout(700)

    def state(self) -> str:
        """What JupyterLab says of the kernel, and in any dialog."""
        said = [str(e.get_attribute("data-status")) for e in self.page.locator(STATE).all()]
        return ", ".join(said + self.page.locator(".jp-Dialog-content").all_inner_texts())

    def picture(self) -> None:
        """Keep a picture of what is to be seen."""
        if self.pictures:
            self.taken += 1
            self.page.screenshot(path=self.pictures / f"{self.taken:02d}.png")

    def run_all(self) -> None:
        """Choose *Restart Kernel and Run All Cells* in the menu *Run*."""
        self.page.keyboard.press("Escape")
        self.page.click(".lm-MenuBar-item:has-text('Run')")
        self.page.click(".lm-Menu-item:has-text('Restart Kernel and Run All Cells')")
        self.page.click(".jp-Dialog button.jp-mod-accept")
        self.rest()

    def screens(self) -> Iterator[None]:
        """Scroll through the notebook, screen by screen."""
        panel = self.page.locator(PANEL).first
        panel.evaluate("e => { e.scrollTop = 0 }")
        while True:
            self.page.wait_for_timeout(150)
            yield
            before = panel.evaluate("e => e.scrollTop")
            panel.evaluate("e => { e.scrollTop += 0.8 * e.clientHeight }")
            self.page.wait_for_timeout(60)
            if panel.evaluate("e => e.scrollTop") <= before:
                return

    def troubles(self) -> list[str]:
        """What went wrong in the cells, from top to bottom."""
        told = []
        for _ in self.screens():
            for output in self.page.locator(f"{FAILED}, {WARNED}").all():
                told.append(output.inner_text())
        return told

    def type(self, name: str, value: str) -> None:
        """Put `value` in place of None in the line `name = None`, and run the cell."""
        for _ in self.screens():
            for cell in self.page.locator(".jp-CodeCell .cm-content").all():
                line = cell.locator(".cm-line").filter(
                    has_text=re.compile(rf"^\s*{name} = (None|.*# put your own)")
                )
                if line.count():
                    line.first.click()
                    self.page.keyboard.press("End")
                    self.page.keyboard.press("Shift+Home")
                    self.page.keyboard.type(f"{name} = {value}")
                    self.page.keyboard.press("Shift+Enter")
                    return
        raise AssertionError(f"no cell asks for {name}")

    def save(self) -> None:
        """Press Ctrl and S, and see that nothing is left to save."""
        self.page.keyboard.press("Control+s")
        self.page.wait_for_selector(".jp-mod-dirty", state="detached")


def right_lines(work: Assignment, student: str) -> dict[str, str]:
    """Return variable → what to type for a right answer; a scaffold's missing lines from its solution.

    A line of a scaffold that says "put your own" takes the last answer before it that has as many values.
    """
    found = own_numbers.answers(work.exercise, work.key, work.numbers(student))
    lines: dict[str, str] = {}
    for question in work.exercise.graded:
        if question.scaffold:
            for name, zeros in re.findall(
                r"^(\w+) = \[(.*)\]  # put your own", question.scaffold, re.M
            ):
                before = [
                    q.id for q in work.exercise.graded[: work.exercise.graded.index(question)]
                ]
                own = [found[id] for id in before if np.size(found[id]) == len(zeros.split(","))]
                lines[name] = repr(list(own[-1]))
            said = re.search(
                r"The (?:missing )?lines?(?: of the program)? (?:is|are)\s+(.+)",
                work.key.worked[question.id],
                re.S,
            )
            missing = re.findall(r"`(\w+) = ([^`]+)`", said[1] if said else "")
            assert missing, question.id
            lines |= dict(missing)
        elif question.kind != "written":
            value = found[question.id]
            lists = pairs(value) if question.kind == "points" else value
            lines[question.variable] = repr(list(lists) if isinstance(value, tuple) else value)
    return lines


def walk(
    work: Assignment, browser: Any, lines: Mapping[str, str], pictures: Path | None = None
) -> list[str]:
    """Do the student's part with the given lines; return the troubles seen on the way.

    Where JupyterLab itself does not come to rest, all is begun again with another server, once.
    """
    from playwright.sync_api import TimeoutError as TooLong

    try:
        return _walked(work, browser, lines, pictures, work.folder.path.parent / "home")
    except TooLong as error:
        print(f"begun again: {error}", file=sys.stderr)
        return _walked(work, browser, lines, pictures, work.folder.path.parent / "second-home")


def _walked(
    work: Assignment, browser: Any, lines: Mapping[str, str], pictures: Path | None, home: Path
) -> list[str]:
    slug = work.slug
    shutil.copytree(work.folder.bundle(STUDENT, slug), home / slug)
    with lab(home) as address:
        page = browser.new_page(viewport={"width": 1200, "height": 1000})
        desk = Desk(page, address, slug, pictures)
        desk.picture()
        try:
            troubles = _done(desk, lines)
        except Exception as error:
            error.add_note(f"JupyterLab said: {desk.state()}")
            raise
        finally:
            page.close()
    work.folder.submitted(STUDENT, slug).mkdir(parents=True)
    shutil.copy(home / slug / f"{slug}.ipynb", work.folder.submitted(STUDENT, slug))
    return troubles


def _done(desk: Desk, lines: Mapping[str, str]) -> list[str]:
    """Run blank, fill in, run, look through, save; return the troubles."""
    desk.run_all()
    troubles = desk.troubles()
    for name, value in lines.items():
        desk.type(name, value)
    desk.run_all()
    troubles += desk.troubles()
    for _ in desk.screens():
        desk.page.wait_for_timeout(400)  # cells are drawn as they come into sight
        desk.picture()
    desk.save()
    return troubles


def main(slug: str) -> int:
    """Walk through one exercise, keep the pictures, print the marks; 1 where anything went wrong."""
    from playwright.sync_api import sync_playwright

    place = ROOT / "build" / "walk" / slug
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir(parents=True)
    work = assignments.assignment(invented_class.open_demo(place / "class"), slug, ROOT)
    assignments.hand_out(work)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        troubles = walk(work, browser, right_lines(work, STUDENT), place)
        mark_class.mark_class(work)
        told = place / "feedback.html"
        told.write_text(feedback.page(work.folder, work.exercise, STUDENT), encoding="utf-8")
        page = browser.new_page(viewport={"width": 390, "height": 900})
        page.goto(told.as_uri())
        page.screenshot(path=place / "feedback.png", full_page=True)
        browser.close()
    marks = mark_class.recorded(work.folder, STUDENT, slug).marks
    for m in marks:
        print(f"{m.question:18} {m.verdict:8} {m.marks:g} of {m.out_of:g}")
    print(*troubles, sep="\n")
    return int(bool(troubles) or any(m.verdict not in ("right", "blank") for m in marks))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
