"""What the desk sends of a class: what was made to be looked at, and nothing else of the disk."""

from __future__ import annotations

from urllib.parse import quote

import pytest

from ..classroom import small
from .desk_client import Window, serving_desk, stranger


@pytest.fixture
def desk(tmp_path):
    work = small.evening(tmp_path, 2)
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def put(desk, place, text):
    path = desk.folder.path / place
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text)
    return path


def test_what_was_made_is_shown_or_saved(desk):
    put(desk, "to-print/Größe 1.pdf", "%PDF made up")
    one = Window(desk)
    status, headers, text = one.get("/made/to-print/" + quote("Größe 1.pdf"))
    assert (status, text) == (200, "%PDF made up")
    assert headers["Content-Type"] == "application/pdf"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Disposition"].startswith("inline")
    _, headers, _ = one.get("/made/to-print/" + quote("Größe 1.pdf") + "?save=1")
    assert headers["Content-Disposition"] == "attachment; filename*=UTF-8''Gr%C3%B6%C3%9Fe%201.pdf"


def test_a_made_page_runs_nothing_and_reaches_nothing_of_the_desk(desk):
    put(desk, "feedback/bench-01/small/small.html", "<script>1</script>")
    _, headers, _ = Window(desk).get("/made/feedback/bench-01/small/small.html")
    policy = headers["Content-Security-Policy"]
    assert policy.startswith("sandbox")
    assert "allow-scripts" not in policy
    assert "allow-same-origin" not in policy
    assert "script-src" not in policy.replace("default-src 'none'", "")


@pytest.mark.parametrize(
    "place",
    [
        "secret",
        "roster.csv",
        "gradebook.db",
        "class.toml",
        ".made/desk-job.json",
        "submitted/bench-01/small/small.ipynb",
        "worksheets/../roster.csv",
        "worksheets/%2e%2e/roster.csv",
        "worksheets/..%2froster.csv",
        "worksheets/..%5croster.csv",
        "worksheets//etc/passwd",
        "/etc/passwd",
        "worksheets/%00.pdf",
        "worksheets",
        "worksheets/none.pdf",
        "worksheets/folder.pdf",
        "worksheets/program.exe",
        "worksheets/way-out.pdf",
        "worksheets/out/roster.csv",
    ],
)
def test_nothing_else_of_the_class_or_the_disk_is_sent(desk, place):
    put(desk, "worksheets/folder.pdf/one.txt", "x")
    put(desk, "worksheets/program.exe", "x")
    put(desk, "submitted/bench-01/small/small.ipynb", "x")
    put(desk, ".made/desk-job.json", "{}")
    (desk.folder.path / "worksheets" / "way-out.pdf").symlink_to("../roster.csv")
    (desk.folder.path / "worksheets" / "out").symlink_to("..")
    status, _, text = Window(desk).get(f"/made/{place}")
    assert status == 404
    assert "bench-01" not in text


def test_it_is_sent_to_the_instructor_s_window_alone(desk):
    put(desk, "to-print/a4.pdf", "%PDF made up")
    assert stranger(desk).get("/made/to-print/a4.pdf")[0] == 403
    phone = stranger(desk, phone=True)
    desk.address = "shop.example"
    assert phone.get("/made/to-print/a4.pdf")[0] in (302, 404)
