"""The bench form in a thread of the test's own, and a client that says exactly what it is told to."""

from __future__ import annotations

import asyncio
import html
import http.client
import re
import threading
from contextlib import contextmanager
from urllib.parse import urlencode

from coursekit.classroom.form import server
from coursekit.classroom.form.form_state import Form
from coursekit.classroom.form.gate import Gate
from coursekit.classroom.register.phone_code import codes, phone_code, printed

WIFI = "shop.example"  # stands in for this computer's address in the Wi-Fi (RFC 2606)


@contextmanager
def serving(folder, root, phones=False, clock=None):
    """Serve the form on a free port of this computer until the block ends."""
    gate = Gate(codes(folder) if phones else {}, **({"clock": clock} if clock else {}))
    form = Form(folder, root, gate, "", 0)
    up, down = threading.Event(), []

    async def main():
        listening = server.listen(form)
        down.extend([asyncio.get_running_loop(), asyncio.Event()])
        up.set()
        await down[1].wait()
        await server.close(listening)

    thread = threading.Thread(target=asyncio.run, args=(main(),))
    thread.start()
    assert up.wait(20)
    if phones:
        form.address = WIFI  # after it listens, because no network has this name
    try:
        yield form
    finally:
        down[0].call_soon_threadsafe(down[1].set)
        thread.join()


class Visitor:
    """A browser's manners, each of which can be dropped: keeps cookies, sends where it comes from.

    A `phone` knows the form by its name in the Wi-Fi. `source` is the address that it comes from.
    """

    def __init__(self, form, phone=False, source="127.0.0.1"):
        self.form = form
        self.host = f"{WIFI if phone else '127.0.0.1'}:{form.port}"
        self.cookies = {}
        self.connection = http.client.HTTPConnection(
            "127.0.0.1", form.port, timeout=300, source_address=(source, 0)
        )

    def enter(self, student="bench-01"):
        """Come in with this student's code, as it is printed."""
        code = printed(phone_code(self.form.folder, student))
        assert self.post("/enter", {"code": code})[0] == 303
        return self

    def ask(self, method, path, body=None, **headers):
        """Return status, headers and text of one answer; a header set to None is not sent."""
        sent = {"Host": self.host}
        if self.cookies:
            sent["Cookie"] = "; ".join(f"{k}={v}" for k, v in self.cookies.items())
        if body is not None:
            sent["Origin"] = f"http://{self.host}"
            sent["Content-Type"] = "application/x-www-form-urlencoded"
            body = body if isinstance(body, bytes) else urlencode(body, doseq=True).encode()
        sent |= {k.replace("_", "-"): v for k, v in headers.items()}
        if body is not None:
            sent.setdefault("Content-Length", str(len(body)))
        self.connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            if value is not None:
                self.connection.putheader(name, value)
        self.connection.endheaders(body)
        answer = self.connection.getresponse()
        text = answer.read().decode("utf-8", "replace")
        for cookie in answer.headers.get_all("Set-Cookie", []):
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, answer.headers, text

    def get(self, path, **headers):
        return self.ask("GET", path, **headers)

    def post(self, path, fields, **headers):
        return self.ask("POST", path, fields, **headers)

    def page(self, name="bench", student="bench-01", lesson="small"):
        """Return the fields that the page of a sheet would send, as they stand in it."""
        status, _, text = self.get(f"/{name}?{urlencode({'student': student, 'lesson': lesson})}")
        assert status == 200, text
        return fields_of(text)

    def close(self):
        self.connection.close()


def fields_of(text):
    """Return name → value of every box of a page."""
    found = {}
    for tag in re.findall(r"<input [^>]*>", text):
        facts = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if facts.get("type") != "radio" or " checked" in tag:
            found[html.unescape(facts["name"])] = html.unescape(facts.get("value", ""))
    for name, inside in re.findall(r'<select [^>]*name="([^"]*)"[^>]*>(.*?)</select>', text, re.S):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        found[html.unescape(name)] = html.unescape(chosen[1]) if chosen else ""
    for name, inside in re.findall(
        r'<textarea [^>]*name="([^"]*)"[^>]*>\n?(.*?)</textarea>', text, re.S
    ):
        found[html.unescape(name)] = html.unescape(inside)
    return found


def words(text):
    """Return what a reader sees of a page."""
    body = re.sub(r"<[^>]+>", " ", text.partition("<body>")[2])
    return " ".join(html.unescape(body).split())
