"""Which class is open, and how a new one begins from a roster."""

from __future__ import annotations

import base64
import json
import os
import stat
from pathlib import Path

import pytest

from coursekit.classroom.register import class_folder, new_place
from coursekit.classroom.register.class_folder import ClassError
from coursekit.desk.pages.classes import as_read, known_classes
from coursekit.desk.state import Kept

from ..classroom import small
from ..classroom.form_client import words
from ..classroom.test_cli import call
from .desk_client import Window, serving_desk, ticket

LIST = "id;name;e-mail;shoe size\na-1;Ann Lee;ann@example.org;38\na-2;Ann Lee;;44\nb-1;Bo Ek;bo at home;41\nTotal;3;;123\n"


@pytest.fixture
def desk(tmp_path):
    with serving_desk(None, small.write(tmp_path / "course")) as desk:
        yield desk


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    (tmp_path / "home").mkdir()
    return tmp_path / "home"


def test_it_is_said_how_a_roster_reads_and_what_was_passed_over():
    read = as_read(LIST.encode(), "list.csv")
    assert [(s.id, s.name, s.mail) for s in read.students] == [
        ("a-1", "Ann Lee", "ann@example.org"), ("a-2", "Ann Lee", ""), ("b-1", "Bo Ek", ""),
    ]  # fmt: skip
    assert read.columns_left_out == ("shoe size",)
    assert [line.partition(":")[0] for line in read.told] == [
        "list.csv, line 4",
        "list.csv, line 5",
    ]
    (twins,) = read.twins
    assert twins.startswith("2 students are called Ann Lee: a-1 and a-2.")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_roster_reads_alike_in_every_encoding_that_a_spreadsheet_saves(encoding):
    read = as_read("id\tname\nj-1\tJörg Öhm\n".encode(encoding), "x")
    assert [s.name for s in read.students] == ["Jörg Öhm"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("name,e-mail\nAnn,a@example.org\n", "must name the columns id and name"),
        ("id,name\n", "must name a student or more"),
        ("id,name\na,Ann\nA,Bo\n", "an id must be used once"),
        ("id,name\n../x,Ann\n", "an id must be letters, digits"),
    ],
)
def test_a_list_that_is_no_roster_is_refused_in_words(desk, text, why):
    status, _, page = Window(desk).send("/classes/new", "/classes/new", text=text)
    assert status == 422
    assert why in words(page)
    assert text.split("\n")[0] in page  # what was pasted is still there


def test_a_new_class_begins_after_yes_and_not_before(desk, home):
    one = Window(desk)
    data = base64.b64encode(LIST.encode("utf-16")).decode()
    status, _, page = one.send("/classes/new", "/classes/new", data=data, name="list.csv")
    assert (status, list(home.iterdir())) == (200, [])
    assert "3 students" in words(page)
    assert "bo at home" in words(page)
    assert "The column shoe size" in words(page)
    fields = ticket(one.page("/classes/new")) | {"data": data, "name": "list.csv"}
    fields |= {"title": "Evening: spring 2027", "yes": "1"}
    status, headers, _ = one.post("/classes/new", fields)
    assert (status, headers["Location"]) == (303, "/")
    path = home / "coursekit classes" / "Evening spring 2027"
    folder = class_folder.load(path)
    assert (folder.title, [s.id for s in folder.students]) == (
        "Evening: spring 2027", ["a-1", "a-2", "b-1"],
    )  # fmt: skip
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o700
    assert "Evening: spring 2027" in words(one.page("/"))
    status, _, page = one.post("/classes/new", fields)  # the post comes twice
    assert status == 422
    assert "is there already" in words(page)


def test_the_desk_s_class_is_the_command_s_class(desk, home, tmp_path):

    one = Window(desk)
    one.send("/classes/new", "/classes/new", text=LIST, title="Evening", yes="1")
    (tmp_path / "list.csv").write_text(LIST)
    path = tmp_path / "Evening"
    call("class", "open", str(path), "--roster", str(tmp_path / "list.csv"), "--title", "Evening")
    by_desk, by_command = small.tree(home / "coursekit classes" / "Evening"), small.tree(path)
    del by_desk["secret"], by_command["secret"]
    assert by_desk == by_command


@pytest.mark.parametrize(
    ("place", "why"),
    [
        ("classes", "must be a whole path"),
        ("~nobody-here/x", "must be a whole path"),
        ("/tmp/a\x07b", "must be a whole path"),
        ("{home}/a-file/below", "is a file"),
        ("{home}/a-class", "must not lie inside another class"),
        ("{home}/a-class/x/../y", "must not lie inside another class"),
    ],
)
def test_a_place_that_cannot_be_is_refused_in_words(home, place, why):
    (home / "a-file").write_text("")
    (home / "a-class").mkdir()
    (home / "a-class" / "class.toml").write_text("")
    with pytest.raises(ClassError, match=why):
        new_place.place_for(place.format(home=home), "Evening")


@pytest.mark.parametrize("title", ["../../etc", "a/b", "..", "con", "x" * 300, "\u202e", "a\0b"])
def test_no_title_leads_out_of_the_place(home, title):
    path = new_place.place_for(str(home), title)
    assert path.parent == home
    path.mkdir()


def test_a_link_that_leads_nowhere_is_there_already(home):
    (home / "Evening").symlink_to(home / "nowhere")
    with pytest.raises(ClassError, match="is there already"):
        new_place.place_for(str(home), "Evening")


def test_classes_are_listed_by_title_with_the_last_first(desk, tmp_path):
    for name in ("early", "late"):
        work = small.evening(tmp_path / name, 2)
        class_folder.write_text(work.folder.path / "class.toml", f'title = "The {name} class"\n')
    one = Window(desk)
    for name in ("early", "late"):
        fields = {"path": str(tmp_path / name / "class")}
        status, headers, _ = one.send("/classes", "/classes", **fields)
        assert (status, headers["Location"]) == (303, "/")
    found = known_classes(Kept.of_this_user(), desk.folder.path)
    assert [(k.title, k.is_open, bool(k.opened)) for k in found] == [
        ("The late class", True, True), ("The early class", False, True),
    ]  # fmt: skip
    page = words(one.page("/classes"))
    assert "The early class" in page
    assert str(tmp_path / "early") in page
    (tmp_path / "early" / "class" / "class.toml").unlink()
    assert [k.title for k in known_classes(Kept.of_this_user(), None)] == ["The late class"]


@pytest.mark.parametrize("path", ["", "classes", "~nobody-here", "/nowhere", "/tmp/a\0b", "/etc"])
def test_a_path_that_is_no_class_is_refused_in_words(desk, path):
    status, _, page = Window(desk).send("/classes", "/classes", path=path)
    assert status == 422
    assert "must" in words(page)
    assert not desk.is_open


def test_what_was_kept_before_times_were_is_still_known(desk):
    kept = Kept.of_this_user()
    facts = json.loads(kept.file.read_text())
    del facts["opened"]
    kept.file.write_text(json.dumps(facts | {"classes": [str(Path.cwd())]}))
    assert Kept.of_this_user().classes == [str(Path.cwd())]
    assert Kept.of_this_user().key == desk.key
