"""Saved answers taken in: as a file of any name, in a mail, pasted; what the notebook made of them says."""

from __future__ import annotations

import ast
import io
import json
import shutil
import tokenize
from email.message import EmailMessage

import nbformat
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.bank import answer_text, exercises, keys, own_numbers
from coursekit.classroom.bank.answer_text import AnswerText
from coursekit.classroom.bank.notebooks import grade_id
from coursekit.classroom.bench import bench_record
from coursekit.classroom.gradebook.nbgrader_settings import note_course
from coursekit.classroom.handout import assignments
from coursekit.classroom.intake import as_notebook, kept_versions, take_in
from coursekit.classroom.marking import mark_class
from coursekit.classroom.marking.marker import mark
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import load, open_class
from coursekit.classroom.running.plain_value import plain

from . import small
from .conftest import LIMITS
from .test_cli import call
from .test_paper_answers import SLUGS, by_hand

BENCH = """\
bench:
  - {id: gap, say: widest gap, unit: mm, instrument: feeler gauge, resolution: 0.05, low: 0, high: 5}
---

Two sums."""


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    path = tmp_path_factory.mktemp("answers")
    public = small.PUBLIC.replace("---\n\nTwo sums.", BENCH)
    root = small.write(path / "course", public)
    folder = open_class(path / "class", small.students(4), "Evening")
    assignments.hand_out(assignments.assignment(folder, "small", root))
    return path


@pytest.fixture
def work(handed_out, tmp_path):
    shutil.copytree(handed_out, tmp_path / "e")
    note_course(load(tmp_path / "e" / "class"), tmp_path / "e" / "course")
    (tmp_path / "inbox").mkdir()
    return small.opened(tmp_path / "e")


@pytest.fixture
def inbox(tmp_path):
    return tmp_path / "inbox"


def saved(
    work,
    student="bench-03",
    *,
    copy="1",
    at="2026-12-03 18:22 UTC",
    stamp=True,
    readings=(),
    **answers,
):
    """What the answer page saves for a student."""
    check = stamps.stamp(work.folder, student, "small")["check"] if stamp else ""
    said = {
        "area": ["225,0 mm"],
        "double": ["450"],
        "shape": ["square"],
        "why": ["Because.", "[It] is."],
    }
    said |= {k: [v] for k, v in answers.items()}
    working = {"area": ["15 * 15 = 225", "import os; os.remove('x')"]}
    one = AnswerText(
        "small",
        student,
        check,
        at,
        copy,
        said,
        working,
        {"gap": list(readings)} if readings else {},
    )
    return answer_text.written(one)


def taken(work, *paths, **more):
    return take_in.take_in(work.folder, paths, **more)


def put(path, text, encoding="utf-8"):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


def cells(work, student="bench-03"):
    """The answer cells of the notebook that counts."""
    book = nbformat.read(work.folder.submitted(student, "small") / "small.ipynb", as_version=4)
    return {
        grade_id(c): c.source for c in book.cells if grade_id(c) and c.metadata.nbgrader["solution"]
    }


def mail(text="", html="", attached=(), encoding="quoted-printable"):
    message = EmailMessage()
    message["Date"] = "Thu, 03 Dec 2026 19:30:00 +0100"
    message["Subject"] = "Hand-in"
    message.set_content(text, cte=encoding)
    if html:
        message.add_alternative(html, subtype="html")
    for name, data in attached:
        message.add_attachment(data, maintype="application", subtype="octet-stream", filename=name)
    return message.as_bytes()


WAYS = {
    "small-bench-03.txt": lambda t: t,
    "answers": lambda t: t,
    "answers.text": lambda t: t,
    "answers.txt.txt": lambda t: "\ufeff" + t,
    "answers (2).md": lambda t: t.replace("\n", "\r\n"),
    "utf-16.txt": lambda t: t.encode("utf-16"),
    "utf-16 without a mark.txt": lambda t: t.encode("utf-16-le"),
    "a reply.txt": lambda t: "Hello, here it is.\n\n" + "".join(f"> {x}\n" for x in t.splitlines()) + "\nGreetings",
    "quoted-printable.eml": lambda t: mail(t),
    "base64.eml": lambda t: mail(t, encoding="base64"),
    "attached.eml": lambda t: mail("My answers.", attached=[("answers.txt", t.encode())]),
    "html.eml": lambda t: mail("Look at the page.", "<html><body><div>" + "<br>".join(t.splitlines()) + "</div></body></html>"),
    "saved page.html": lambda t: "<!DOCTYPE html><html><head><title>coursekit answers</title></head><body>" + "".join(f"<p>{x}</p>" for x in t.splitlines()) + "</body></html>",
}  # fmt: skip


@pytest.mark.parametrize("name", WAYS)
def test_answers_are_taken_in_whatever_carries_them(work, inbox, name):
    (told, *more) = [
        t for t in taken(work, put(inbox / name, WAYS[name](saved(work)))) if t.what != "passed"
    ]
    assert (told.what, told.student, told.slug, more) == ("taken", "bench-03", "small", [])
    assert "by its stamp; copy 1 saved 2026-12-03 18:22 UTC" in told.why
    assert "changed" not in told.why
    assert cells(work) == {
        "area-answer": "# from the answer page\n# worked: 15 * 15 = 225\n"
        "# worked: import os; os.remove('x')\narea = '225,0 mm'",
        "double-answer": "# from the answer page\ndouble = '450'",
        "shape-answer": "# from the answer page\nshape = 'square'",
        "why": "Because.\n[It] is.",
    }
    (version,) = kept_versions.versions(work.folder, "bench-03", "small")
    assert answer_text.read((version / "answers.txt").read_text()).answers["area"] == ["225,0 mm"]
    assert not (work.folder.submitted("bench-03", "small") / "answers.txt").exists()


def test_pasted_answers(work, monkeypatch):
    from click.testing import CliRunner

    from coursekit.cli import main

    for words in (["--paste"], ["-"]):
        done = CliRunner().invoke(
            main, ["take-in", *words, "--class", str(work.folder.path)], input=saved(work) + "\nBye"
        )
        assert done.exit_code == 0, done.output
    assert "there already: bench-03 small, from what was pasted" in done.output
    done = CliRunner().invoke(main, ["take-in", "-", "--class", str(work.folder.path)], input="Hi")
    assert done.exit_code == 1 and "LEFT: what was pasted" in done.output


def test_marked_like_any_notebook(work, inbox):
    side = work.numbers("bench-03")["side"]
    right = f"{side**2:.2f}".replace(".", ",")
    taken(work, put(inbox / "a.txt", saved(work, area=right, double=f"{2 * side**2}", why="-")))
    mark_class.mark_class(work, limits=LIMITS)
    marks = json.loads((work.folder.autograded("bench-03", "small") / "marks.json").read_text())[
        "marks"
    ]
    assert {m["question"]: m["verdict"] for m in marks} == {
        "area": "right", "double": "right", "shape": "right", "why": "blank",
    }  # fmt: skip


@pytest.mark.parametrize("slug", SLUGS)
def test_right_answers_of_every_exercise_score_full(root, slug):
    public = exercises.load(slug, root)
    private = keys.load(public, root)
    for i in range(4):
        numbers = own_numbers.draw(public, private, b"saved", f"student-{i}")
        right = own_numbers.answers(public, private, numbers)
        typed = {
            q.id: by_hand(q, right[q.id], ",."[i % 2]).split("; ")
            for q in public.graded
            if q.kind != "written"
        }
        one = answer_text.read(answer_text.written(AnswerText(slug, "x", "", answers=typed)))
        values = {}
        for q in public.graded:
            if q.kind != "written":
                space = {}
                exec(as_notebook._cell(q, one), space)
                values[q.id] = plain(space[q.variable])
        marks = mark(public, private, numbers, values)
        assert [m for m in marks if m.verdict not in ("right", "blank")] == []


QUESTION = exercises.parse(small.PUBLIC, "small").graded[0]


@given(st.lists(st.text()), st.lists(st.text(), max_size=4))
def test_nothing_that_was_typed_becomes_code(steps, boxes):
    """A cell is comments and one assignment of a text, by Python's own tokenizer and parser."""
    source = as_notebook._cell(
        QUESTION, AnswerText("small", "x", "", answers={"area": boxes}, working={"area": steps})
    )
    (statement,) = ast.parse(source).body
    assert isinstance(statement, ast.Assign) and isinstance(statement.value, ast.Constant)
    lines = source.splitlines()  # which ends lines where Python and IPython may
    assert all(line.startswith("# ") for line in lines[:-1])
    kinds = {
        t.type
        for t in tokenize.generate_tokens(io.StringIO(source).readline)
        if t.line not in (lines[-1], "")
    }
    assert kinds <= {tokenize.COMMENT, tokenize.NL, tokenize.ENDMARKER}
    assert not any(line.endswith("\\") for line in lines[:-1])


@pytest.mark.parametrize(
    "sign", ["\n", "\r", "\r\n", "\f", "\v", "\x1c", "\x85", "\u2028", "\u2029", "\\", "\x00"]
)
def test_a_step_of_the_way_is_one_comment_line(sign):
    source = as_notebook._cell(
        QUESTION, AnswerText("small", "x", "", working={"area": [f"1{sign}print('x')", f"2{sign}"]})
    )
    assert [line[:10] for line in source.splitlines()] == [
        "# from the",
        "# worked: ",
        "# worked: ",
        "area = Non",
    ]
    assert not any(line.endswith("\\") for line in source.splitlines())


@pytest.mark.parametrize("box", ["-", "–", "—", " - "])
def test_an_empty_box_is_no_answer(box):
    """Programs that correct what is typed make a longer line of a hyphen."""
    source = as_notebook._cell(QUESTION, AnswerText("small", "x", "", answers={"area": [box]}))
    assert source == "# from the answer page\narea = None"


@pytest.mark.parametrize("order", [(1, 2, 3), (3, 1, 2), (2, 3, 1), (3, 2, 1)])
def test_the_latest_copy_counts_in_whatever_order_they_come(work, inbox, order):
    for copy in order:
        text = saved(work, copy=str(copy), at=f"2026-12-03 18:2{copy} UTC", area=f"{copy}")
        told = taken(work, put(inbox / "a.txt", text))[0]
        assert told.what == ("taken" if copy == max(order[: order.index(copy) + 1]) else "older")
    assert cells(work)["area-answer"].endswith("area = '3'")
    assert len(kept_versions.versions(work.folder, "bench-03", "small")) == 3


def test_copies_in_one_folder_and_in_one_message(work, inbox):
    old, new = (saved(work, copy=c, area=c) for c in "12")
    quoted = "".join(f"> {line}\n" for line in old.splitlines())
    told = taken(work, put(inbox / "m.eml", mail(f"{new}\nOn Thursday she wrote:\n{quoted}")))
    assert [(t.what, t.why.split(";")[1]) for t in told] == [("older", " copy 1 saved 2026-12-03 18:22 UTC"), ("taken", " copy 2 saved 2026-12-03 18:22 UTC")]  # fmt: skip
    assert cells(work)["area-answer"].endswith("'2'")


def test_of_two_devices_the_later_to_come_counts(work, inbox):
    """The copies of each device are counted from 1, so a lower number with a later time is news."""
    taken(work, put(inbox / "phone.txt", saved(work, copy="5", area="5")))
    assert taken(work, put(inbox / "laptop.txt", saved(work, copy="1", at="2026-12-04 08:00 UTC", area="1")))[0].what == "taken"  # fmt: skip
    assert cells(work)["area-answer"].endswith("'1'")


def test_an_older_copy_is_told_by_the_numbers_of_both_and_the_list_shows_them(work, inbox):
    taken(work, put(inbox / "b.txt", saved(work, copy="2", at="2026-12-03 18:30 UTC", area="2")))
    (told,) = taken(work, put(inbox / "a.txt", saved(work, area="1")))
    assert told.what == "older" and "; it is copy 1, and copy 2 is there already. If" in told.why
    assert "kept, for" not in told.why
    code, said = call("take-in", "--use", "bench-03", "small", "--class", work.folder.path)
    said = " ".join(said.split())
    assert code == 0 and "copy 2, saved 2026-12-03 18:30 UTC, 4 answers, from b.txt" in said
    assert "copy 1, saved 2026-12-03 18:22 UTC, 4 answers, from a.txt" in said


def test_a_changed_text_and_a_cut_one_are_told(work, inbox):
    text = saved(work)
    (told,) = taken(work, put(inbox / "a.txt", text.replace("225,0", "226,0")))
    assert told.what == "taken" and "changed after it was saved" in told.why
    cut = text[: text.index("[why]")].replace("copy: 1", "copy: 2")
    (told,) = taken(work, put(inbox / "b.txt", cut))
    assert told.what == "older"
    assert "; it is cut off: its end is missing, and the one before it is better" in told.why
    assert told.why.count("cut off") == 1
    assert cells(work)["area-answer"].endswith("'226,0 mm'")
    (told,) = taken(
        work, put(inbox / "c.txt", cut.replace("bench-03", "bench-02")), student="bench-02"
    )
    assert told.what == "taken" and "its end is missing. Ask for it again" in told.why, (
        "nothing better is there"
    )


@pytest.mark.parametrize(
    "line, cure, whose",
    [
        (
            "student: bench-01",
            "stamp is bench-02's, but the name in it is bench-01; say whose it is with "
            "--student bench-02",
            {"student": "bench-02"},
        ),
        (
            "lesson: other",
            "stamp is for small, but the lesson in it is other; say which it is with "
            "--exercise small",
            {"slug": "small"},
        ),
    ],
)
def test_a_head_that_disagrees_with_the_stamp_is_left(work, inbox, line, cure, whose):
    name = line.split(":")[0]
    text = "\n".join(
        line if old.startswith(f"{name}: ") else old
        for old in saved(work, "bench-02", readings=["0.2"]).splitlines()
    )
    (told,) = taken(work, put(inbox / "a.txt", text))
    assert told.what == "left" and cure in told.why
    assert not readings(work)
    told, *_ = taken(work, inbox / "a.txt", **whose)
    assert (told.what, told.student, told.slug) == ("taken", "bench-02", "small")


def test_without_a_stamp_its_own_words_count_least(work, inbox):
    (told,) = taken(work, put(inbox / "a.txt", saved(work, stamp=False, area="1")))
    assert told.what == "taken" and "which anybody can edit" in told.why
    taken(work, put(inbox / "b.txt", saved(work, area="2")))
    (told,) = taken(work, put(inbox / "c.txt", saved(work, stamp=False, copy="9", area="3")))
    assert told.what == "older" and "stronger" in told.why
    assert cells(work)["area-answer"].endswith("'2'")
    check = stamps.stamp(work.folder, "bench-02", "small")["check"]
    forged = saved(work, "bench-02").replace(check, check[::-1])
    (told,) = taken(work, put(inbox / "d.txt", forged))
    assert "which anybody can edit" in told.why, "the stamp is not theirs"
    (told,) = taken(work, put(inbox / "bench-02 x.txt", saved(work)))
    assert (
        told.what == "left" and "its stamp says bench-03, its file name says bench-02" in told.why
    )
    strange = saved(work, stamp=False).replace("lesson: small", "lesson: large")
    (told,) = taken(work, put(inbox / "e.txt", strange))
    assert told.what == "left" and "'large', is not handed out" in told.why


def readings(work):
    return [
        (r.line, r.reading, r.value, r.source) for r in bench_record.readings(work.folder, "small")
    ]


def test_bench_readings_go_into_the_record_once_and_refused_ones_are_told(work, inbox):
    path = put(inbox / "a.txt", saved(work, readings=["0,35", "0.36", "0.4"]))
    told = taken(work, path)
    assert readings(work) == [("gap", 1, 0.35, "answer page")]
    assert [t.what for t in told] == ["taken", "with", "left", "left"]
    assert "1 bench reading recorded" in told[1].why
    assert "must be a whole number of divisions" in told[2].why
    assert "The reading of 'widest gap' must be 1 to 2; got '3'" in told[3].why
    taken(work, path)
    taken(work, put(inbox / "b.txt", saved(work, copy="2", readings=["0.35", "-"])))
    assert len(readings(work)) == 1, "nothing new"
    correction = bench_record.checked(work.folder, work.exercise, "bench-03", "gap", 1, "0.4")
    bench_record.record(work.folder, [correction])
    taken(work, put(inbox / "c.txt", saved(work, copy="3", readings=["0.35", "0.5"])))
    assert [r[:3] for r in readings(work)[1:]] == [("gap", 1, 0.4), ("gap", 2, 0.5)], (
        "a correction stays"
    )
    taken(work, put(inbox / "d.txt", saved(work, copy="2", readings=["0.1"], area="7")))
    assert len(readings(work)) == 3, "an older copy's readings don't count"


@pytest.mark.parametrize("where", ["submit_what_counts", "record"])
def test_killed_on_the_way_the_same_again_ends_the_same(work, inbox, monkeypatch, where):
    path = put(inbox / "a.txt", saved(work, readings=["0.35"]))
    place = kept_versions if where == "submit_what_counts" else bench_record
    with monkeypatch.context() as patch:
        patch.setattr(place, where, lambda *a, **b: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            taken(work, path)
    assert taken(work, path)[0].what == "same"
    assert cells(work)["area-answer"].endswith("area = '225,0 mm'")
    assert [r[:3] for r in readings(work)] == [("gap", 1, 0.35)]
    assert len(kept_versions.versions(work.folder, "bench-03", "small")) == 1


def test_a_question_that_the_lesson_does_not_have_is_told(work, inbox):
    (told,) = taken(work, put(inbox / "a.txt", saved(work, volume="7")))
    assert told.what == "taken" and "no question 'volume'" in told.why


def test_the_command_tells_it_in_80_columns(work, inbox, monkeypatch):
    monkeypatch.chdir(inbox)
    put(inbox / "a" / "answers.txt", saved(work))
    code, said = call("take-in", "a", "--class", work.folder.path)
    assert code == 0 and max(map(len, said.splitlines())) <= 80
    assert " ".join(said.split()) == (
        "taken in: bench-03 small, from a/answers.txt, by its stamp; copy 1 saved 2026-12-03 18:22 UTC "
        "1 taken in"
    )  # fmt: skip
