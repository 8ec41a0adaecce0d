"""What holds on every address of the desk, whatever page it is: who gets in, and what changes."""

from __future__ import annotations

import hashlib
import http.client
from urllib.parse import urlencode

import pytest

from coursekit.classroom.register import class_folder
from coursekit.desk import server

from ..classroom import benches, small
from .desk_client import Window, serving_desk, stranger, ticket

NASTY = "<img src=x onerror=alert(1)>\"'&{{7*7}}"
ABOUT = {"student": "bench-01", "lesson": "small", "question": "why"}
FORM_S_OWN = ("/enter", "/sheet", "/bench", "/answers", "/form.css")
OPEN_TO_ALL = ("/enter", "/desk.css", "/form.css", "/scripts/desk.js", "/work/tex-svg.js")


def address(route):
    """Return an address that the route answers, whether or not there is anything at it."""
    made = route.replace("\\", "")
    for pattern, example in (("(.+)", "to-print/a4.pdf"), ("([a-z-]+.js)", "desk.js")):
        made = made.replace(pattern, example)
    while "(" in made:
        made = made[: made.index("(")] + "x" + made[made.index(")") + 1 :]
    return made


ADDRESSES = tuple(address(route) for route in server.ROUTES)


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        place = tmp_path_factory.mktemp("routes")
        patch.setenv("XDG_STATE_HOME", str(place / "state"))
        work = small.evening(place, 3, benches.BENCHED)
        folder = work.folder
        named = [class_folder.Student(folder.students[0].id, NASTY), *folder.students[1:]]
        class_folder.write_roster(folder.path / "roster.csv", named)
        with serving_desk(folder.path, work.root) as desk:
            yield desk


@pytest.fixture
def own_state(monkeypatch):
    """The state of the fixture above is the module's."""


@pytest.fixture(autouse=True)
def closed(desk):
    """Begin each test as if nobody had come before, because the desk counts who asks how often."""
    desk.gate._buckets.clear()
    yield
    while desk.windows:
        desk.windows.pop().close()


def state(desk):
    """Return a digest of all that the class holds, without what is only remembered."""
    digest = hashlib.sha256()
    for path in sorted(desk.folder.path.rglob("*")):
        if path.is_file() and ".made" not in path.parts:
            digest.update(str(path.relative_to(desk.folder.path)).encode() + path.read_bytes())
    return digest.hexdigest()


@pytest.mark.parametrize("place", ADDRESSES)
def test_to_look_changes_nothing_and_shows_names_as_text(desk, place):
    before, one = state(desk), Window(desk)
    for said in ({}, ABOUT, dict.fromkeys((*ABOUT, "job", "code", "path", "error"), NASTY)):
        status, headers, text = one.get(f"{place}?{urlencode(said)}")
        assert status < 500, (place, said, text)
        assert "<img src=x" not in text
        assert "alert(1)>" not in text
        assert 'alert(1)&gt;"' not in text, "no quotation mark may end an attribute"
        assert "Location" not in headers or headers["Location"].startswith("/")
    assert state(desk) == before


@pytest.mark.parametrize("place", ADDRESSES)
def test_nobody_without_the_key_sees_or_does_anything(desk, place):
    before, one = state(desk), stranger(desk)
    status, _, text = one.get(f"{place}?{urlencode(ABOUT)}")
    assert status in ((200, 302) if place in OPEN_TO_ALL else (403,))
    assert "bench-02" not in text
    assert "onerror=alert" not in text
    status, _, _ = one.post(place, ABOUT)
    assert status in (303, 403, 405) if place == "/enter" else status in (403, 405)
    assert state(desk) == before


@pytest.mark.parametrize("place", ADDRESSES)
def test_a_post_from_elsewhere_does_nothing(desk, place):
    before, one = state(desk), Window(desk)
    fields = ticket(one.page("/classes")) | ABOUT
    for how in (
        {"Origin": "http://elsewhere.example"},
        {"Origin": None},
        {"Origin": "null"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Content_Type": "text/plain"},
        {"Host": "elsewhere.example"},
    ):
        assert one.post(place, fields, **how)[0] in (303, 403, 405, 415, 421), (place, how)
    for lacking in ("post", "_xsrf"):
        if place not in ("/enter", *(p for p in ADDRESSES if p.endswith((".css", ".js")))):
            without = {k: v for k, v in fields.items() if k != lacking}
            assert one.post(place, without)[0] in (403, 405), (place, lacking)
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS"):
        assert one.ask(method, place)[0] == 405
    assert state(desk) == before
    assert not desk.jobs.jobs


@pytest.mark.parametrize("place", ADDRESSES)
def test_a_phone_reaches_no_page_but_the_form_s(desk, place):
    desk.address = "shop.example"
    try:
        phone = stranger(desk, phone=True)
        status, headers, text = phone.get(place)
    finally:
        desk.address = ""
    if place in OPEN_TO_ALL and place != "/enter":
        assert status in (200, 404)
    elif place in FORM_S_OWN or headers.get("Location") == "/enter":
        assert status in (200, 302)
    else:
        assert status in (403, 404)
    assert "bench-02" not in text


def test_a_body_that_is_too_large_is_not_read(desk):
    one = Window(desk)
    fields = ticket(one.page("/classes")) | {"path": "x" * 200_000}
    before = desk.folder.path
    try:
        status = one.post("/classes", fields)[0]
    except (OSError, http.client.HTTPException):
        status = 0  # the connection was closed while it was sent
    assert status in (0, 400, 413), "what was sent may have gone out whole before it was refused"
    assert desk.folder.path == before
