"""The desk in a thread of the test's own, and a window of it that says exactly what it is told to."""

from __future__ import annotations

import asyncio
import http.client
import re
import threading
import time
from contextlib import contextmanager
from urllib.parse import urlencode

from coursekit.desk import server
from coursekit.desk.jobs import WORKER
from coursekit.desk.state import new_desk

from ..classroom.form_client import Visitor, fields_of

PATIENCE = 300.0  # seconds; only a job that hangs takes as long


@contextmanager
def serving_desk(path, root):
    """Serve the desk with the class in `path` (None for none) on a free port until the block ends."""
    desk = new_desk(root, port=0)
    desk.worker = WORKER[:-1]  # most tests order no job, so that nothing is loaded ahead
    desk.windows = []  # those that look at it, closed at the end
    up, down = threading.Event(), []

    async def main():
        listening = server.listen(desk)
        desk.open(path)
        down.extend([asyncio.get_running_loop(), asyncio.Event()])
        up.set()
        await down[1].wait()
        await server.close(desk, listening)

    thread = threading.Thread(target=asyncio.run, args=(main(),))
    thread.start()
    assert up.wait(60)
    try:
        yield desk
    finally:
        down[0].call_soon_threadsafe(down[1].set)
        for window in desk.windows:
            window.close()
        thread.join()
        if desk.jobs:
            desk.jobs.wait()


class Window(Visitor):
    """A window of the desk that came in with the key, if `key` is true."""

    def __init__(self, desk, key=True):
        super().__init__(desk)
        desk.windows.append(self)
        if key:
            status, headers, _ = self.get(f"/?{urlencode({'key': desk.key})}")
            assert (status, headers["Location"]) == (302, "/")

    def page(self, address):
        """Return a page's text, after seeing that it is one."""
        self.connection.close()  # the desk may have closed it meanwhile, and this opens another
        status, _, text = self.get(address)
        assert status == 200, text
        return text

    def page_of_sheet(self, name="bench", student="bench-01", lesson="small"):
        """Return the fields that the form's page of a sheet would send, as they stand in it."""
        return super().page(name, student, lesson)

    def send(self, page, action, **said):
        """Post to `action` what a form on `page` would send, with these fields filled in."""
        return self.post(action, ticket(self.page(page)) | said)

    def wait(self, location):
        """Wait until the job that `location` names has ended, and return the page there."""
        job = re.search(r"job=([\w|:=.-]+)", location)[1]
        late = time.monotonic() + PATIENCE
        while self.form.jobs.jobs[job].state in ("waiting", "at work"):
            assert time.monotonic() < late, self.form.jobs.jobs[job]
            time.sleep(0.02)
        self.connection.close()  # the desk may have done so, and the next request opens it again
        return self.page(location)


def stranger(desk, at="", **how):
    """Return a browser that was not let in, or a phone that asks `at` this address.

    `how` is as `Visitor` takes it.
    """
    one = Visitor(desk, **how)
    if at:
        one.host = f"{at}:{desk.port}"
        one.connection = http.client.HTTPConnection(at, desk.port, timeout=300)
    desk.windows.append(one)
    return one


def ticket(text):
    """Return the hidden fields of a page that show that a post comes from it."""
    found = fields_of(text[text.index('<form id="ticket"') :])
    return {name: found[name] for name in ("post", "_xsrf")}
