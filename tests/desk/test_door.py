"""Who gets in to the desk: whoever started it, and nobody else."""

from __future__ import annotations

import json
import os
import stat

import pytest

from coursekit.desk import server
from coursekit.desk.state import Kept

from ..classroom import small
from .desk_client import Window, serving_desk, stranger, ticket


@pytest.fixture
def desk(tmp_path):
    work = small.evening(tmp_path, 2)
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def test_without_the_key_every_page_is_shut_on_this_computer_too(desk):
    one = stranger(desk)
    for page in server.ROUTES:
        if "(" in page or page.endswith(("css", "js")):
            continue
        desk.gate._buckets.clear()  # or it would shut out so many requests, whatever they ask
        status, _, text = one.get(page.replace("\\", ""))
        assert status == 403 or page == "/enter", page
        assert "bench-01" not in text
        assert 'id="week"' not in text, page
        status, _, _ = one.post(page, {"job": "x"})
        assert status in (403, 405) or page == "/enter", page
    assert one.get("/?key=" + "x" * 32)[0] == 403


def test_the_key_lets_a_window_in_and_does_not_stay_in_the_address(desk):
    one = Window(desk)
    assert "Bench 1" in one.page("/") or "bench-01" in one.page("/")
    status, headers, _ = one.get(f"/?key={desk.key}")
    assert (status, headers["Location"]) == (302, "/")


def test_a_phone_sees_no_page_of_the_desk(desk):
    phone = stranger(desk, phone=True)
    desk.address = "shop.example"
    for page in ("/", "/classes", "/jobs", "/jobs/stop"):
        status, headers, _ = phone.get(page)
        assert status in (302, 404), page
        assert headers.get("Location", "/enter") == "/enter"


def test_a_post_must_come_from_the_desk_s_own_page(desk):
    one = Window(desk)
    fields = ticket(one.page("/classes")) | {"path": "/"}
    other = Window(desk)
    assert other.post("/classes", fields)[0] == 403
    assert one.post("/classes", fields, Origin="http://elsewhere.example")[0] == 403
    assert one.post("/classes", fields | {"post": "x"})[0] == 403
    assert one.post("/classes", fields, Host="elsewhere.example")[0] == 421
    assert one.post("/classes", fields)[0] == 422


def test_what_the_desk_keeps_is_its_user_s_alone(desk):
    kept = Kept.of_this_user()
    assert json.loads(kept.file.read_text())["key"] == desk.key
    if os.name == "posix":
        assert stat.S_IMODE(kept.file.stat().st_mode) == 0o600


def test_a_window_goes_on_after_the_desk_was_started_again(tmp_path):
    work = small.evening(tmp_path, 2)
    with serving_desk(work.folder.path, work.root) as desk:
        one = Window(desk)
        cookies = one.cookies
    with serving_desk(work.folder.path, work.root) as again:
        two = Window(again, key=False)
        two.cookies = cookies
        assert "Now" in two.page("/")


def test_no_page_may_load_anything_from_outside(desk):
    _, headers, text = Window(desk).get("/")
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "http" not in policy
    assert "unsafe" not in policy
    assert "http" not in text.replace("http-equiv", "")
