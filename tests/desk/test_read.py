"""The Read page: one question with all answers below each other, and scores that are kept at once."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
import sys

import pytest

from coursekit.classroom.form.pages import FormClass
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.read_only import reading
from coursekit.classroom.gradebook.reader import manual_comments, questions
from coursekit.classroom.marking import mark_class
from coursekit.desk.pages import read

from ..classroom import small
from .desk_client import Window, serving_desk, ticket

SAID = (
    "It has four equal sides.",
    "Because <script>alert(1)</script> & so.",
    "",
    "I counted.",
)
WHY = "/read?lesson=small&question=why"
JSON = {"Accept": "application/json"}


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """A marked class of four, whose sentences are those above; to be copied, not written to."""
    work = small.evening(tmp_path_factory.mktemp("read"), len(SAID))
    for student, said in zip(work.folder.students, SAID, strict=True):
        small.hand_in(work, student.id, {"why": said})
    mark_class.mark_class(work)
    return work


@pytest.fixture
def work(marked, tmp_path):
    shutil.copytree(marked.folder.path.parent, tmp_path / "evening")
    return small.opened(tmp_path / "evening")


@pytest.fixture
def desk(work):
    with serving_desk(work.folder.path, work.root) as desk:
        yield desk


def form_of(text, student):
    """Return what the form below a student's answer would send, without a button pressed."""
    at = text.index(f'name="student" value="{student}"')
    start, end = text.rindex("<form", 0, at), text.index("</form>", at)
    part = text[start:end]
    fields = dict(re.findall(r'name="([\w]+)" value="([^"]*)"', part.partition("<div")[0]))
    fields["comment"] = html.unescape(re.search(r"<textarea[^>]*>\n?([^<]*)<", part)[1])
    return ticket(text) | fields


def give(window, student, how=None, **said):
    return window.post("/read", form_of(window.page(WHY), student) | said, **(how or {}))


def held(work, student):
    """Return a person's score and comment as the gradebook has them, and if somebody must look."""
    with reading(work.folder) as book:
        marks = questions(book, "small", student)[student]["why"]
        return marks.manual, manual_comments(book, "small").get(student, {}).get("why"), marks.waits


def test_the_question_that_waits_is_found_without_being_named(work):
    view = FormClass(work.folder, work.root)
    some = read.entries(view)
    assert [(e.title, e.waiting, e.count) for e in some] == [("Small: why", 3, 4)]
    assert read.chosen(some, "", "") == some[0] == read.chosen(some, "small", "")
    assert read.chosen(some, "small", "area") is None
    assert read.chosen((), "", "") is None


def test_all_answers_stand_below_each_other_with_what_earns_the_marks(desk, work):
    text = Window(desk).page("/read")
    for part in ("Say why.", "What earns the 2 marks", "Because.", "Nothing was written."):
        assert part in text
    places = [text.index(s.name) for s in work.folder.students]
    assert places == sorted(places)
    assert "<script>alert" not in text
    assert "alert(1)" in text
    values = re.findall(r'class="score" name="score" value="([\d.]+)" aria-label="([^"]+)"', text)
    assert values[:5] == [
        *(("0", "0 marks"), ("0.5", "½ mark"), ("1", "1 mark")),
        *(("1.5", "1½ marks"), ("2", "2 marks")),
    ]


def test_names_are_hidden_on_wish_and_the_order_is_not_the_roster_s(desk, work):
    window = Window(desk)
    shown = window.page(WHY)
    status, headers, _ = window.send(WHY, "/read/names", lesson="small", question="why")
    assert (status, headers["Location"]) == (303, WHY)
    window.cookies["desk_names"] = "hidden"
    text = window.page("/read")
    main = text[text.index("<main") :]
    for student in work.folder.students:
        assert student.name not in main
    order = re.findall(r'name="student" value="([\w-]+)"', text)
    assert order != re.findall(r'name="student" value="([\w-]+)"', shown)
    assert sorted(order) == [s.id for s in work.folder.students]
    window.post("/read/names", ticket(text) | {"lesson": "small", "question": "why"})
    window.cookies["desk_names"] = "shown"
    assert work.folder.students[0].name in window.page("/read")


def test_without_a_script_each_answer_is_a_form(desk, work):
    window = Window(desk)
    status, headers, _ = give(window, "bench-01", score="1.5", comment=" Say what is equal. ")
    assert status == 303
    assert re.fullmatch(re.escape(WHY) + "#a[0-9a-f]{12}", headers["Location"])
    assert held(work, "bench-01") == (1.5, "Say what is equal.", False)
    text = window.page(WHY)
    assert headers["Location"].partition("#")[2] in text
    assert 'value="1.5" aria-label="1½ marks" aria-pressed="true"' in text
    assert "1½ of 2" in text
    assert "2 still to read" in text
    # the comment can be picked for another, who keeps it when the score is taken back
    assert "<option>Say what is equal.</option>" in text
    give(window, "bench-02", score="0", earlier="Say what is equal.")
    assert held(work, "bench-02") == (0.0, "Say what is equal.", False)
    give(window, "bench-02", score="none")
    assert held(work, "bench-02") == (None, "Say what is equal.", True)
    give(window, "bench-02", score="keep", comment="Another.")
    assert held(work, "bench-02") == (None, "Another.", True)


def test_a_script_gets_what_stands_now(desk, work):
    window = Window(desk)
    status, _, text = give(window, "bench-01", JSON, score="0.5")
    now = json.loads(text)
    assert status == 200
    assert (now["given"], now["value"], now["waiting"], now["waits"]) == ("½", "0.5", 2, False)
    again = form_of(window.page(WHY), "bench-01")
    assert again["seen"] == now["seen"]


def test_what_another_window_gave_is_not_written_over(desk, work):
    one, two = Window(desk), Window(desk)
    before = form_of(one.page(WHY), "bench-01")
    assert give(two, "bench-01", score="2", comment="Well seen.")[0] == 303
    status, _, text = one.post("/read", before | {"score": "0"}, **JSON)
    now = json.loads(text)
    assert status == 409
    assert now["error"].startswith("This answer has changed since you saw it")
    assert (now["given"], now["comment"]) == ("2", "Well seen.")
    assert held(work, "bench-01") == (2.0, "Well seen.", False)
    status, _, text = one.post("/read", before | {"score": "0"})
    assert status == 409
    assert "This answer has changed since you saw it" in text
    status, _, _ = one.post("/read", before | {"score": "0", "seen": now["seen"]}, **JSON)
    assert (status, held(work, "bench-01")[0]) == (200, 0.0)


def test_what_formgrader_gave_is_not_written_over(desk, work):
    window = Window(desk)
    before = form_of(window.page(WHY), "bench-01")
    with gradebook(work.folder) as book:
        grade = book.find_grade("why", "small", "small", "bench-01")
        grade.manual_score, grade.needs_manual_grade = 1.0, False
        book.db.commit()
    assert window.post("/read", before | {"score": "0"}, **JSON)[0] == 409
    assert held(work, "bench-01")[0] == 1.0


@pytest.mark.parametrize(
    "said",
    [
        {"score": "2.5"}, {"score": "-1"}, {"score": "nan"}, {"score": "inf"}, {"score": "x"},
        {"score": ""}, {"student": "bench-09"}, {"student": ""}, {"question": "area"},
        {"question": ""}, {"lesson": "other"}, {"lesson": "../small"}, {"lesson": ""},
        {"seen": ""}, {"comment": "x" * 2001},
    ],
    ids=str,
)  # fmt: skip
def test_what_can_t_be_is_refused_and_writes_nothing(desk, work, said):
    before = small.rows(work)
    window = Window(desk)
    fields = form_of(window.page(WHY), "bench-01") | {"score": "1"} | said
    status, _, text = window.post("/read", fields, **JSON)
    assert status in (409, 422)
    assert json.loads(text)["error"]
    assert small.rows(work) == before
    assert window.post("/read", fields)[0] in (409, 422)
    assert small.rows(work) == before


def test_a_score_needs_the_page_s_own_token(desk, work):
    window = Window(desk)
    fields = form_of(window.page(WHY), "bench-01") | {"score": "1"}
    assert window.post("/read", fields | {"post": "x"}, **JSON)[0] == 403
    assert Window(desk).post("/read", fields, **JSON)[0] == 403
    assert held(work, "bench-01")[0] is None


def test_the_desk_is_served_before_nbgrader_is_loaded():
    code = "import sys, coursekit.desk.server; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "coursekit.desk.pages.read" in loaded
    for heavy in ("nbgrader", "nbconvert", "matplotlib", "sympy", "sqlalchemy"):
        assert heavy not in loaded
