"""Work: all of one student's work on one lesson, as text, with what came of it."""

from __future__ import annotations

import json
import re
from urllib.parse import urlencode

import pytest

from coursekit.classroom.bench import bench_record
from coursekit.classroom.intake import take_in
from coursekit.classroom.marking.mark_class import mark_class
from coursekit.classroom.register.class_toml import when
from coursekit.classroom.report import feedback
from coursekit.desk.pages import work as page

from ..classroom import small
from ..classroom.form_client import words
from ..classroom.test_take_in import notebook
from .desk_client import Window, serving_desk, ticket

ASK = "/work?" + urlencode({"student": "bench-02", "lesson": "small"})
BENCH = """
  - id: gap
    say: gap at the square
    unit: mm
    instrument: feeler gauge
    resolution: 0.05
    readings: 2
    low: 0
    high: 5
"""


@pytest.fixture
def work(tmp_path):
    public = small.PUBLIC.replace("\n---\n\nTwo", f"\nbench:{BENCH.rstrip()}\n---\n\nTwo")
    return small.evening(tmp_path, 3, public)


@pytest.fixture
def window(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield Window(desk)


def marked(work, **cells):
    small.hand_in(work, "bench-02", cells)
    mark_class(work)


def test_what_was_handed_in_stands_beside_marks_reasons_and_the_value(window, work):
    side = work.numbers("bench-02")["side"]
    marked(work, area=f"area = {4 * side}", why="I <b>guess</b> <script>alert(1)</script>.")
    text = window.page(ASK)
    seen = words(text)
    assert "and marked. Something waits for you to read." in seen
    assert re.search(rf"(?<!= ){4 * side} mm", seen), "a plain value is shown as one, not as code"
    assert "0.5 of 2" in seen
    assert "You went round it." in seen
    assert re.search(r"Read as [\d.]+ mm \.", seen)
    assert "Waits for you to read it." in seen
    assert "I <b>guess</b> <script>alert(1)</script>." in seen  # as text
    assert "<script>alert" not in text
    assert "<b>guess" not in text
    for place in ("/mark?", "/read?", "/print?", "/photos?"):
        assert f'href="{place}student=bench-02&amp;lesson=small"' in text


def test_work_that_is_not_marked_is_shown_all_the_same(window, work):
    assert "Nothing was handed in." in words(window.page(ASK))
    small.hand_in(work, "bench-02", {"area": "area = 3 * 4"})
    seen = words(window.page(ASK))
    assert "and not marked yet." in seen
    assert "area = 3 * 4" in seen


def test_work_that_cannot_be_read_says_why(window, work):
    place = small.hand_in(work, "bench-02")
    (place / "small.ipynb").write_text("{")
    assert "The file is not a notebook that can be read." in words(window.page(ASK))
    (place / "small.ipynb").unlink()
    (place / "other.ipynb").write_text("{}")
    assert "There is no small.ipynb" in words(window.page(ASK))
    (place / "other.ipynb").unlink()
    (place / "small.ipynb").symlink_to(work.folder.path / "secret")
    seen = window.page(ASK)
    assert work.folder.secret.hex() not in seen


def test_a_version_is_let_count_and_only_the_one_that_was_shown(window, work, tmp_path):
    for note, at in (("one", "2026-02-03T19:00+00:00"), ("two", "2026-02-03T20:00+00:00")):
        file = tmp_path / f"{note}.ipynb"
        file.write_bytes(notebook(work, "bench-02", note))
        take_in.take_in(work.folder, [file], came=when(at))
    path = work.folder.submitted("bench-02", "small") / "small.ipynb"
    assert b"two" in path.read_bytes()
    text = window.page(ASK)
    assert text.count("Let this one count</button>") == 1
    form = re.search(r'<form method="post" action="/work/use">(.*?)</form>', text, re.S)[1]
    said = dict(re.findall(r'name="(student|lesson|number|mark)" value="([^"]*)"', form))
    assert said["number"] == "1"
    # an older one has come in meanwhile, so the numbers have moved
    file = tmp_path / "zero.ipynb"
    file.write_bytes(notebook(work, "bench-02", "zero"))
    take_in.take_in(work.folder, [file], came=when("2026-02-03T18:00+00:00"))
    status, headers, _ = window.post("/work/use", ticket(text) | said)
    assert status == 303
    seen = words(window.wait(headers["Location"]))
    assert "The list of versions has changed since this page was shown" in seen
    assert b"two" in path.read_bytes()
    text = window.page(ASK)
    forms = re.findall(r'<form method="post" action="/work/use">(.*?)</form>', text, re.S)
    (form,) = [f for f in forms if "one.ipynb" in f]
    said = dict(re.findall(r'name="(student|lesson|number|mark)" value="([^"]*)"', form))
    _, headers, _ = window.post("/work/use", ticket(text) | said)
    assert "job=" in headers["Location"]
    seen = words(window.wait(headers["Location"]))
    assert b"one" in path.read_bytes()
    assert "It was chosen." in seen or "it was chosen." in seen


def test_bench_readings_numbers_and_files(window, work):
    marked(work)
    feedback.give_feedback(work.folder, "small", root=work.root)
    for k, value in ((1, "0.25"), (2, "0.30")):
        one = bench_record.checked(work.folder, work.exercise, "bench-02", "gap", k, value)
        bench_record.record(work.folder, [one])
    text = window.page(ASK)
    seen = words(text)
    assert "gap at the square 0.25 mm, 0.3 mm – –" in seen
    side = work.numbers("bench-02")["side"]
    assert f"side of a square {side:g} mm" in seen
    link = re.search(r'href="(/work/file\?[^"]+name=feedback)"', text)[1].replace("&amp;", "&")
    status, headers, text = window.get(link)
    assert status == 200
    assert headers["Content-Type"].startswith("text/html")
    policy = headers["Content-Security-Policy"]
    assert "sandbox" in policy
    assert "allow-same-origin" not in policy
    link = link.replace("feedback", "notebook")
    status, headers, _ = window.get(link)
    assert (status, headers["Content-Type"]) == (200, "application/octet-stream")
    assert headers["Content-Disposition"] == "attachment; filename*=UTF-8''small.ipynb"


def test_what_is_expected_of_a_reading_stands_beside_it(window, work):
    key = (work.root / "solutions" / "small.md").read_text() + "\n## bench\ngap: side\n"
    (work.root / "solutions" / "small.md").write_text(key)
    side = work.numbers("bench-02")["side"]
    one = bench_record.checked(work.folder, work.exercise, "bench-02", "gap", 1, "2")
    bench_record.record(work.folder, [one])
    seen = words(window.page(ASK))
    assert f"gap at the square 2 mm {side:g} mm −{side - 2:g} mm" in seen


def test_no_address_leads_to_another_file(window, work):
    marked(work)
    for said in (
        {"name": "../../secret"}, {"name": ""}, {"student": "../x"}, {"lesson": "../.."},
        {"lesson": "small/../../.."}, {"name": "worksheet"},
    ):  # fmt: skip
        ask = {"student": "bench-02", "lesson": "small", "name": "notebook"} | said
        status, _, text = window.get(f"/work/file?{urlencode(ask)}")
        assert status == 404, said
        assert "title =" not in text
    path = work.folder.submitted("bench-02", "small") / "small.ipynb"
    path.unlink()
    path.symlink_to(work.folder.path / "class.toml")
    ask = {"student": "bench-02", "lesson": "small", "name": "notebook"}
    assert window.get(f"/work/file?{urlencode(ask)}")[0] == 404


def test_somebody_who_is_not_there_is_asked_again(window):
    for ask in ("/work", "/work?student=x&lesson=small", "/work?student=bench-02&lesson=../x"):
        status, _, text = window.get(ask)
        assert status == (200 if ask == "/work" else 404)
        assert "Show it" in words(text)
    fields = ticket(window.page("/work")) | {"student": "x", "lesson": "small", "number": "1"}
    assert window.post("/work/use", fields)[0] == 400


def test_answers_of_a_page_that_was_filled_in_are_shown_by_their_boxes(work):
    from coursekit.classroom.form.pages import FormClass
    from coursekit.classroom.paper import as_notebook, paper_answers

    some = {"area": "100", "shape": "square", "why": "Because *it* is."}
    paper_answers.record(
        work.folder,
        [
            paper_answers.checked(work.folder, work.exercise, "bench-02", q, a)
            for q, a in some.items()
        ],
    )
    as_notebook.hand_in(work)
    found = page.facts(FormClass(work.folder, work.root), "bench-02", "small")
    by = {one.title: one for one in found.answers}
    assert [one.boxes for one in by.values()] == [(("", "100 mm"),), (), (("", "a square"),), ()]
    assert [one.text for one in by.values()][3] == "Because *it* is."
    assert json.dumps([one.text for one in by.values()][:3]) == '["", "", ""]'
