"""The roster of the open class, changed at the desk."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.register import class_folder, undo
from coursekit.desk import lesson_choice

from ..classroom import small
from ..classroom.form_client import words
from .desk_client import Window, serving_desk, ticket

PAGE = "/put-away/roster"
ROOT = Path(__file__).parents[2]


@pytest.fixture
def work(tmp_path):
    work = small.evening(tmp_path, 3)
    ids = [s.id for s in work.folder.students]
    people = [class_folder.Student(id, f"Name {n}", f"{n}@example.org") for n, id in enumerate(ids)]
    class_folder.write_roster(work.folder.path / "roster.csv", people)
    return work


@pytest.fixture
def window(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield Window(desk)


def lines_of(work):
    return [(s.id, s.name, s.mail) for s in class_folder.load(work.folder.path).students]


def keep(window, lines):
    fields = ticket(window.page(PAGE))
    columns = {name: [line[n] for line in lines] for n, name in enumerate(("id", "name", "mail"))}
    return window.post(PAGE, fields | columns)


def kept(window, lines):
    status, headers, text = keep(window, lines)
    assert status == 303, words(text)
    return words(window.wait(headers["Location"]))


def test_who_joins_late_is_in_the_class_until_that_is_undone(window, work):
    before = lines_of(work)
    text = kept(window, [*before, ("bench-09", "Late Comer", ""), ("", "", "")])
    assert "Late Comer has no lesson yet" in text
    assert lines_of(work) == [*before, ("bench-09", "Late Comer", "")]
    assert "Late Comer" in window.page("/")
    undo.undo(class_folder.load(work.folder.path))
    assert lines_of(work) == before


def test_the_strip_of_a_job_that_has_ended_is_taken_off_and_leads_back(window, work):
    kept(window, [*lines_of(work), ("bench-09", "Late Comer", "")])
    (job,) = re.findall(r'data-job="([^"]+)"', window.page("/print"))
    fields = ticket(window.page("/print")) | {"job": job}
    for came, back in (
        ("/print?job=1", "/print?job=1"),
        ("//elsewhere.example/x", "/elsewhere.example/x"),
    ):
        status, headers, _ = window.post("/jobs/seen", fields, Referer=f"http://127.0.0.1{came}")
        assert (status, headers["Location"]) == (303, back)
        fields = ticket(window.page("/print")) | {"job": job}
    assert "data-job" not in window.page("/print")


def test_lessons_that_are_out_are_offered_first(work):
    out, rest = "Handed out", "Not handed out yet"
    view = FormClass(work.folder, work.root)
    assert lesson_choice.groups(view) == ((out, (("small", "Small"),)),)
    real = FormClass(work.folder, ROOT)
    ((what, some),) = lesson_choice.groups(real)
    assert (what, some[:2]) == (
        rest,
        (("shop-maths", "Shop maths"), ("frame-drawing", "Frame drawing")),
    )


def test_names_and_addresses_are_mended_and_taken_away(window, work):
    ids = [id for id, _, _ in lines_of(work)]
    wanted = [(ids[0], "Ann Lee", ""), (ids[1], "Name 1", ""), (ids[2], "Name 2", "")]
    assert "The roster is changed." in kept(window, wanted)
    assert lines_of(work) == wanted


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (("bench 9", "A", ""), "an id must be letters"),
        (("", "A", ""), "an id must be letters"),
        (("BENCH-01", "A", ""), "bench-01"),
        (("class", "A", ""), "class"),
        (("bench-09", "A", "no address"), "no address"),
    ],
)
def test_a_line_that_is_no_student_is_refused_and_stays_typed(window, work, line, why):
    before = lines_of(work)
    status, _, text = keep(window, [*before, line])
    assert status == 422
    assert why in words(text)
    assert f'value="{line[1]}"' in text
    assert lines_of(work) == before


def test_nothing_changed_and_ids_that_changed_are_refused(window, work):
    before = lines_of(work)
    status, _, text = keep(window, before)
    assert (status, "got the roster as it is" in words(text)) == (422, True)
    assert keep(window, before[1:])[0] == 400
    assert keep(window, [("other", *before[0][1:]), *before[1:]])[0] == 400
    assert lines_of(work) == before
