"""The commands, as a user types them."""

from __future__ import annotations

import json
import stat

import pytest
from click.testing import CliRunner

from coursekit import project
from coursekit.classroom.register import class_folder
from coursekit.cli import main

from .small import write


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A course with one small exercise, and a roster; the user stands in its folder."""
    write(tmp_path)
    (tmp_path / "roster.csv").write_text("id,name\nbench-01,First\nbench-02,Second\n")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    return tmp_path


def call(*words):
    done = CliRunner().invoke(main, [str(w) for w in words])
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.output


def test_a_class_from_roster_to_marks(here):
    assert call("class", "open", "evening", "--roster", "roster.csv", "--title", "Evening") == (
        0,
        "Evening: 2 students, in evening\n",
    )
    code, said = call("hand-out", "small", "--class", "evening")
    assert (code, "The notebooks are in evening/hand-out" in said) == (0, True)
    bundle = here / "evening" / "hand-out" / "bench-01" / "small"
    own = ["numbers.json", "small-bench-01.html", "small.ipynb"]
    assert sorted(p.name for p in bundle.iterdir()) == own
    submitted = here / "evening" / "submitted" / "bench-01" / "small"
    submitted.mkdir(parents=True)
    notebook = json.loads((bundle / "small.ipynb").read_text(encoding="utf-8"))
    ids = {c["metadata"].get("nbgrader", {}).get("grade_id"): c for c in notebook["cells"]}
    ids["why"]["source"] = "Because both sides are as long."
    (submitted / "small.ipynb").write_text(json.dumps(notebook), encoding="utf-8")
    assert call("feedback", "small", "--class", "evening") == (
        0,
        "Nothing of small is marked yet. Mark it first: `coursekit mark small`.\n",
    )
    photo = here / "bench-02 small.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0 a photo")
    code, said = call("take-in", photo.name, "--class", "evening")
    assert (code, "a photo, kept in to-look-at/bench-02/small" in " ".join(said.split())) == (
        0,
        True,
    )
    code, said = call("mark", "small", "--class", "evening")
    assert code == 0
    assert "bench-02" in said
    assert "not handed in; 1 photo to look at" in said
    assert "1 answer waits for you to read it: `coursekit read small`, or open formgrader." in said
    code, said = call("feedback", "small", "--class", "evening")
    assert (code, "1 page in evening/feedback" in said) == (0, True)
    assert call("marks", "small", "--class", "evening")[0] == 0
    code, said = call("remind", "--class", "evening")
    assert (code, said) == (0, "No lesson has a due date. `coursekit class due` sets one.\n")
    assert call("class", "due", "small", "2999-02-03", "--class", "evening")[0] == 0
    assert call("remind", "--class", "evening") == (0, "Nothing is overdue.\n")


def test_the_secret_is_for_its_owner_alone(here):
    call("class", "open", "evening", "--roster", "roster.csv")
    secret = here / "evening" / "secret"
    assert stat.S_IMODE(secret.stat().st_mode) == 0o600
    assert len(bytes.fromhex(secret.read_text())) == 32
    before = secret.read_text()
    call("class", "open", "evening", "--roster", "roster.csv")
    assert secret.read_text() == before


REFUSED = [
    (["hand-out", "small", "--class", "nowhere"], "nowhere: a class folder must hold class.toml; it does not. Open one with `coursekit class open`."),
    (["class", "open", "c", "--roster", "none.csv"], "none.csv: the roster must be there; got no such file. Write `id,name` lines."),
    (["class", "open", "c", "--roster", "empty.csv"], "A roster must name a student or more; got none. Add a line `id,name`."),
    (["class", "open", "c", "--roster", "columns.csv"], "columns.csv: the first line must name the columns id and name; got 'who', 'what'. Put that line first."),
    (["class", "open", "c", "--roster", "twice.csv"], "twice.csv: an id must be used once, capitals or not; got 'bench-01' in lines 2, 3. Give each student an id of their own."),
    (["class", "open", "c", "--roster", "path.csv"], "path.csv, line 2: an id must be letters, digits, - _ and .; got '../up'. Change it."),
    (["hand-out", "large", "--class", "evening"], "exercises/large.md: the public half of an exercise must be there; got no such file. Write it, or use one of: small."),
    (["mark", "small", "--class", "lost"], "lost/secret: the class secret must be there as it was made; it is not."),
    (["mark", "small"], "Missing option '--class'"),
    (["worksheets", "small", "--class", "evening", "--paper", "a5"], "The paper must be one of a4, us-letter; got 'a5'. Name one of them."),
    (["mark", "small", "--class", "evening", "--seconds", "0"], "0 is not in the range"),
    (["unroll"], "No such command 'unroll'"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "message"), REFUSED, ids=range(len(REFUSED)))
def test_refused(here, words, message):
    call("class", "open", "evening", "--roster", "roster.csv")
    call("class", "open", "lost", "--roster", "roster.csv")
    (here / "lost" / "secret").write_text("not a secret")
    (here / "empty.csv").write_text("id,name\n")
    (here / "columns.csv").write_text("who,what\n")
    (here / "twice.csv").write_text("id,name\nbench-01,a\nbench-01,b\n")
    (here / "path.csv").write_text("id,name\n../up,a\n")
    code, said = call(*words)
    assert code != 0
    assert " ".join(message.split()) in " ".join(said.split())
    assert "Traceback" not in said


def test_outside_a_course_the_cure_is_told(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    code, said = call("demo")
    assert code == 1
    assert "The command must be run inside the course's folder" in " ".join(said.split())


def test_the_root_is_found_from_below_and_by_name(here, monkeypatch, tmp_path_factory):
    assert project.root(here / "exercises") == here
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    monkeypatch.setenv("COURSEKIT_ROOT", str(here))
    assert project.root() == here


def test_a_roster_from_a_spreadsheet(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_bytes("\ufeffid,name\r\nbench-01,Ærøskøbing 王\r\nbench-02,\r\n".encode())
    assert class_folder.read_roster(path) == (
        class_folder.Student("bench-01", "Ærøskøbing 王"),
        class_folder.Student("bench-02", "bench-02"),
    )


def test_the_cage_is_told():
    code, said = call("cage")
    assert code == 0
    assert "Landlock" in said


def test_no_sandbox_says_loudly_what_it_means(here):
    call("class", "open", "evening", "--roster", "roster.csv")
    call("hand-out", "small", "--class", "evening")
    folder = here / "evening" / "submitted" / "bench-01" / "small"
    folder.mkdir(parents=True)
    bundle = here / "evening" / "hand-out" / "bench-01" / "small"
    (folder / "small.ipynb").write_bytes((bundle / "small.ipynb").read_bytes())
    code, said = call("mark", "small", "--class", "evening", "--no-sandbox", "--quiet")
    assert code == 0
    assert "NO SANDBOX: every notebook runs with your own rights." in said
    code, said = call(
        "mark", "small", "--class", "evening", "--no-sandbox", "--scheduler", "tcp://127.0.0.1:1"
    )
    assert code == 2
    assert "got --no-sandbox with --scheduler" in " ".join(said.split())


def test_marks_and_pages_as_json_and_without_a_word(here):
    """What another program reads is JSON alone, and --quiet says nothing at all."""
    call("class", "open", "evening", "--roster", "roster.csv", "--title", "Evening")
    call("hand-out", "small", "--class", "evening")
    bundle = here / "evening" / "hand-out" / "bench-01" / "small"
    submitted = here / "evening" / "submitted" / "bench-01" / "small"
    submitted.mkdir(parents=True)
    (submitted / "small.ipynb").write_bytes((bundle / "small.ipynb").read_bytes())
    code, said = call("mark", "small", "--class", "evening", "--json")
    data = json.loads(said)
    assert code == 0
    assert (data["class"], data["exercise"], data["out_of"]) == ("Evening", "small", 8)
    one, two = data["students"]
    assert two == {"id": "bench-02", "name": "Second", "handed_in": False}
    assert (one["what"], one["marks"], one["late_penalty"], one["came"]) == ("marked", 0, 0, None)
    assert [(q["id"], q["verdict"], q["out_of"]) for q in one["questions"]] == [
        ("area", "blank", 2), ("double", "blank", 3), ("shape", "blank", 1), ("why", "blank", 2),
    ]  # fmt: skip
    again = json.loads(call("mark", "small", "--class", "evening", "--json")[1])
    assert again["students"][0].pop("what") == "unchanged"
    del one["what"]
    assert again == data == json.loads(call("marks", "small", "--class", "evening", "--json")[1])
    pages = json.loads(call("feedback", "small", "--class", "evening", "--json")[1])
    page = "evening/feedback/bench-01/small/small.html"
    assert pages == {
        "exercise": "small", "pages": [{"id": "bench-01", "page": page, "what": "made"}],
    }  # fmt: skip
    for words in (["mark"], ["feedback"], ["marks"]):
        assert call(*words, "small", "--class", "evening", "--quiet") == (0, "")
