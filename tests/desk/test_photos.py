"""Photos stand beside the boxes to type into, and open as pictures or not at all."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from urllib.parse import urlencode

import pytest

from coursekit.classroom.intake import for_the_eye
from coursekit.classroom.paper import paper_answers
from coursekit.desk.pages import photos

from ..classroom import small
from ..classroom.form_client import fields_of, words
from .desk_client import Window, serving_desk, ticket

JPEG = b"\xff\xd8\xff\xe0" + bytes(40)
NOON = datetime(2026, 2, 3, 12, tzinfo=UTC)
SHEET = {"student": "bench-02", "lesson": "small"}


@pytest.fixture
def work(tmp_path):
    return small.evening(tmp_path, 3)


@pytest.fixture
def window(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield Window(desk)


def keep(work, name, data=JPEG, student="bench-02", slug="small"):
    assert for_the_eye.keep(work.folder, student, slug, name, data, NOON)
    return next(p for p in photos.photos(work.folder, student, slug or "small") if p.name == name)


def typed(text, **more):
    """Return what the form beside the photo would send."""
    form = text[text.index('<form method="post" action="/photos">') :].partition("</form>")[0]
    found = {name: v for name, v in fields_of(form).items() if not name.startswith("s.")}
    return found | {f"a.{question}.0": v for question, v in more.items()}


def page(window, at="photos", **more):
    return window.page(f"/{at}?{urlencode(SHEET | more)}")


def address(photo, **more):
    return f"/photo?{urlencode(SHEET | {'photo': photo.id} | more)}"


def test_the_photo_stands_beside_the_boxes_of_its_sheet_and_what_is_typed_is_handed_in(
    window, work
):
    photo = keep(work, "a.jpg")
    text = page(window)
    assert f'src="{address(photo)}"'.replace("&", "&amp;") in text
    fields = typed(text, area="100", double="200", shape="square", why="So it is.")
    status, headers, _ = window.post("/photos", fields)
    assert status == 303
    assert photo.id in headers["Location"]  # the same photo stays
    assert "4 recorded." in words(window.page(headers["Location"]))
    found = paper_answers.latest(work.folder, "small")["bench-02"]
    assert found["double"].answer == "200"
    assert (work.folder.submitted("bench-02", "small") / "small.ipynb").is_file()


def test_done_with_this_one_brings_the_next_and_takes_it_off_the_list(window, work):
    one, two = keep(work, "a.jpg"), keep(work, "b.jpg", JPEG + b"2")
    assert "2 photos to type in" in words(window.page("/"))
    assert "a.jpg, 1 of 2." in words(page(window))
    said = SHEET | {"photo": one.id, "done": "1", "page": "photos"}
    _, headers, _ = window.post("/photos/done", ticket(page(window)) | said)
    assert "b.jpg, 2 of 2." in words(window.page(headers["Location"]))
    assert "1 photo to type in" in words(window.page("/"))
    # recording and being done with it is one button
    window.post("/photos", typed(page(window, photo=two.id), area="1") | {"done": "1"})
    assert "to type in" not in words(window.page("/"))
    # a slip of the hand is taken back
    window.post("/photos/done", ticket(page(window)) | said | {"done": "0"})
    assert "1 photo to type in" in words(window.page("/"))


def test_what_is_asked_back_keeps_the_photo_and_what_was_typed(window, work):
    photo = keep(work, "a.jpg")
    bad = typed(page(window), shape="triangle", why="Kept.") | {"done": "1"}
    status, _, text = window.post("/photos", bad)
    assert status == 422
    assert "Please look again at" in words(text)
    assert photo.id in text
    assert "1 photo to type in" in words(window.page("/"))  # not done


def test_a_notebook_gives_way_to_paper_only_when_it_is_said(window, work):
    small.hand_in(work, "bench-02")
    before = (work.folder.submitted("bench-02", "small") / "small.ipynb").read_bytes()
    keep(work, "a.jpg")
    _, headers, _ = window.post("/photos", typed(page(window), area="100"))
    text = window.page(headers["Location"])
    assert "has handed in a notebook, and paper does not take its place unasked." in words(text)
    assert "coursekit" not in words(text)
    path = work.folder.submitted("bench-02", "small") / "small.ipynb"
    assert path.read_bytes() == before
    status, headers, _ = window.post("/photos/hand-in", ticket(text) | SHEET | {"kept": "own"})
    assert status == 303
    window.wait(headers["Location"])
    assert b"100" in path.read_bytes()
    assert path.read_bytes() != before


def test_a_photo_of_no_lesson_asks_for_it_first(window, work):
    photo = keep(work, "a.jpg", slug="")
    link = re.search(r'href="(/photos\?[^"]+)"', window.page("/drop"))[1].replace("&amp;", "&")
    text = window.page(link)
    assert "does not say which lesson" in words(text)
    assert photo.id in text
    assert 'name="a.area.0"' in page(window, photo=photo.id)


def test_readings_are_typed_from_the_photo_as_well(window, work):
    photo = keep(work, "a.jpg")
    text = page(window, "photos/bench", photo=photo.id)
    assert "This lesson has nothing to measure." in words(text)
    assert photo.id in text


KINDS = {
    "a.jpg": (JPEG, "image/jpeg"), "a.png": (b"\x89PNG\r\n\x1a\n" + bytes(9), "image/png"),
    "lies.jpg": (b"<script>alert(1)</script>", ""), "svg.png": (b"<svg onload='x'/>", ""),
    "a.heic": (b"\0\0\0\x18ftypheic" + bytes(9), ""), "a.pdf": (b"%PDF-1.7", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", KINDS)
def test_only_pictures_open_and_nothing_in_them_can_act(window, work, name):
    data, kind = KINDS[name]
    photo = keep(work, name, data)
    status, headers, _ = window.get(address(photo))
    assert (status, headers["Content-Type"]) == (200, kind or "application/octet-stream")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in headers["Content-Security-Policy"]
    assert headers["Content-Disposition"].startswith("inline" if kind else "attachment")
    text = page(window)
    if not kind:
        assert "can't be shown here" in words(text)
        assert f"{address(photo)}&save=1".replace("&", "&amp;") in text
    assert window.get(address(photo, save=1))[1]["Content-Disposition"].startswith("attachment")


def test_a_name_with_markup_in_it_is_text(window, work):
    keep(work, "a'&amp;b.jpg")
    text = page(window)
    assert "a'&amp;b.jpg" not in text
    assert "a&#39;&amp;amp;b.jpg" in text


def test_nothing_but_that_student_s_photos_can_be_asked_for(window, work):
    photo = keep(work, "a.jpg")
    other = keep(work, "b.jpg", JPEG + b"b", "bench-01")
    for said in (
        {"photo": "../../../secret"}, {"photo": other.id}, {"student": "bench-01"},
        {"student": "../bench-02"}, {"lesson": "../small"}, {"lesson": "/etc"}, {"photo": ""},
    ):  # fmt: skip
        status, _, text = window.get(f"/photo?{urlencode(SHEET | {'photo': photo.id} | said)}")
        assert status == 404, said
        assert "class.toml" not in text
    said = SHEET | {"photo": other.id, "done": "1"}
    assert window.send("/photos?" + urlencode(SHEET), "/photos/done", **said)[0] == 404
    link = work.folder.path / "to-look-at/bench-02/small/20260203T120000Z-00000000-link.jpg"
    link.symlink_to(work.folder.path / "secret")
    (found,) = [p for p in photos.photos(work.folder, "bench-02", "small") if p.name == "link.jpg"]
    assert window.get(address(found))[0] == 404
