"""The desk's page of the bench: readings beside what the frames give, and phones in the shop."""

from __future__ import annotations

import pytest

from coursekit.classroom.bench import bench_record
from coursekit.classroom.form import server as form_server
from coursekit.classroom.register import phone_code
from coursekit.desk.pages.at_the_bench import facts, lessons

from ..classroom import benches, small
from ..classroom.form_client import words
from .desk_client import Window, serving_desk, stranger


def typed(folder, exercise, student, line, *texts):
    some = [
        bench_record.checked(folder, exercise, student, line, k, text)
        for k, text in enumerate(texts, 1)
    ]
    bench_record.record(folder, some)


@pytest.fixture
def desk(tmp_path):
    work = small.evening(tmp_path, 3, benches.BENCHED)
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def test_readings_stand_beside_what_they_are_compared_with(desk):
    exercise = desk.view.exercise("small")
    for student, gap in (("bench-01", "0.3"), ("bench-02", "0.5"), ("bench-03", "0.4")):
        typed(desk.folder, exercise, student, "gap", gap, gap)
    assert lessons(desk.view) == [("small", exercise.title)]
    found = facts(desk.view, "small")
    column = [line[0] for line in found.lines].index("widest gap")
    assert found.lines[column][1:] == ("mm", "off the middle of the class")
    cells = {row.name: row.cells[column] for row in found.rows}
    assert [(c.value, c.off) for c in cells.values()][:3] == [
        ("0.3", "−0.1"),
        ("0.5", "+0.1"),
        ("0.4", "0"),
    ]
    text = words(Window(desk).page("/at-the-bench"))
    assert "off the middle of the class" in text


def test_a_name_leads_to_the_student_s_own_sheet_and_back(desk):
    one = Window(desk)
    text = one.page("/at-the-bench")
    assert "/bench?student=bench-01&amp;lesson=small" in text
    fields = one.page_of_sheet()
    status, headers, _ = one.post("/bench", fields | {"r.gap.1": "0.35"})
    assert status == 303
    assert bench_record.latest(desk.folder, "small")["bench-01", "gap", 1].value == 0.35
    assert 'href="/at-the-bench"' in one.page(headers["Location"])
    assert "0.35" in one.page("/at-the-bench")


def test_a_lesson_that_is_not_there_is_said(desk):
    assert "There is no such lesson" in Window(desk).page("/at-the-bench?lesson=../../etc")


def test_phones_come_in_when_the_instructor_says_so_and_see_the_form_alone(desk, monkeypatch):
    monkeypatch.setattr(form_server, "wifi_address", lambda: "127.0.0.2")
    benches.on_paper(desk.folder, "bench-01")
    one = Window(desk)
    code = phone_code.printed(phone_code.phone_code(desk.folder, "bench-01"))
    assert code not in one.page("/at-the-bench")
    status, headers, _ = one.send("/at-the-bench", "/at-the-bench/phones", phones="in")
    assert (status, headers["Location"]) == (303, "/at-the-bench")
    text = one.page("/at-the-bench")
    assert f"http://127.0.0.2:{desk.port}/" in text
    assert code in text
    assert "<svg" in text
    phone = stranger(desk, at="127.0.0.2")
    assert phone.post("/enter", {"code": code})[0] == 303
    assert "Your lessons" in phone.get("/")[2]
    for page in ("/at-the-bench", "/classes", "/jobs", "/made/to-print/a4.pdf", "/mark"):
        assert phone.get(page)[0] == 404, page
    one.send("/at-the-bench", "/at-the-bench/phones", phones="out")
    assert desk.address == ""
    assert not desk.gate.codes
    with pytest.raises(OSError):
        stranger(desk, at="127.0.0.2").get("/")


def test_without_a_network_the_page_says_what_to_do(desk, monkeypatch):
    monkeypatch.setattr(form_server, "wifi_address", lambda: "")
    one = Window(desk)
    status, _, text = one.send("/at-the-bench", "/at-the-bench/phones", phones="in")
    assert status == 422
    assert "Join the Wi-Fi" in words(text)
    status, _, text = one.send(
        "/at-the-bench", "/at-the-bench/phones", phones="in", address="203.0.113.9"
    )
    assert status == 422
    assert "must have a port of its own" in words(text)
    assert desk.address == ""


def test_a_stranger_lets_nobody_in(desk):
    assert stranger(desk).post("/at-the-bench/phones", {"phones": "in"})[0] == 403
    assert desk.phones is None
