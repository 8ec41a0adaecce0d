"""Every command as a new user gets it wrong: what it says, how it ends, and that nothing is changed."""

from __future__ import annotations

import zipfile

import pytest

from coursekit.commands import reference

from . import small
from .test_cli import call, main


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A course with a class of two, the small exercise handed out, and files that are wrong."""
    path = tmp_path_factory.mktemp("wrong")
    work = small.evening(path, 2)
    root = work.root
    (root / "e").symlink_to(work.folder.path)
    rosters = {
        "none.csv": b"",
        "columns.csv": b"who,what\n1,2\n",
        "twice.csv": b"id;name\na;x\nb;y\na;z\n",
        "capitals.csv": b"id,name\nann,x\nAnn,y\n",
        "path.csv": b"id,name\n../up,a\n",
        "space.csv": b"id,name\nbench 1,a\n",
        "noid.csv": b"id,name\n,a\n",
        "device.csv": b"id,name\naux,a\n",
        "long.csv": b"id,name\n" + b"a" * 70 + b",a\n",
        "cells.csv": b"id,name\na,b,c\n",
        "quotes.csv": b'id,name\na,"b\n',
        "only-head.csv": b"id,name\n",
        "sheet.xlsx": b"PK\x03\x04",
        "bytes.csv": b"id,name\n\x81\x00\x8d",
    }
    for name, data in rosters.items():
        (root / name).write_bytes(data)
    for name, text in {"lost": None, "new": None, "toml": 'title = "x', "late": 'title="x"\n[late]\nper_day = 200\n',
                       "due": 'title="x"\n[due]\nsmall = "soon"\n', "address": 'gradebook = "mysql://x"'}.items():  # fmt: skip
        folder = root / f"c-{name}"
        call("class", "open", folder, "--roster", _good(root))
        if text is not None:
            (folder / "class.toml").write_text(text)
    (root / "c-lost" / "secret").write_text("no")
    (root / "x.ipynb").write_text("{}")
    (root / "a.rar").write_bytes(b"x")
    (root / "there.zip").write_bytes(b"x")
    with zipfile.ZipFile(root / "up.zip", "w") as packed:
        packed.writestr("../x.ipynb", "{}")
    return root


def _good(root):
    path = root / "good.csv"
    path.write_text("id,name\nbench-01,First\n")
    return path


E = ["--class", "e"]
CASES = [
    (["unroll"], 2, "No such command 'unroll'"),
    (["class", "unroll"], 2, "No such command 'unroll'"),
    (["class", "open"], 2, "Missing argument 'FOLDER'"),
    (["class", "open", "c"], 2, "Missing option '--roster'"),
    (["class", "open", "c", "--roster", "nowhere.csv"], 1, "nowhere.csv: the roster must be there; got no such file."),
    (["class", "open", "c", "--roster", "none.csv"], 1, "the first line must name the columns id and name; got an empty file. Put that line first."),
    (["class", "open", "c", "--roster", "columns.csv"], 1, "got 'who', 'what'. Put that line first."),
    (["class", "open", "c", "--roster", "twice.csv"], 1, "got 'a' in lines 2, 4. Give each student an id of their own."),
    (["class", "open", "c", "--roster", "capitals.csv"], 1, "got 'ann and Ann' in lines 2, 3."),
    (["class", "open", "c", "--roster", "path.csv"], 1, "line 2: an id must be letters, digits, - _ and .; got '../up'. Change it."),
    (["class", "open", "c", "--roster", "space.csv"], 1, "got 'bench 1'. Change it."),
    (["class", "open", "c", "--roster", "noid.csv"], 1, "got ''. Change it."),
    (["class", "open", "c", "--roster", "device.csv"], 1, "keeps for itself; got 'aux'. Change it."),
    (["class", "open", "c", "--roster", "long.csv"], 1, "at most 64 letters; got 70. Shorten it."),
    (["class", "open", "c", "--roster", "cells.csv"], 1, "no more cells than the first one; got 3 for 2."),
    (["class", "open", "c", "--roster", "quotes.csv"], 1, "quotes must come in pairs round a whole cell"),
    (["class", "open", "c", "--roster", "only-head.csv"], 1, "A roster must name a student or more; got none."),
    (["class", "open", "c", "--roster", "sheet.xlsx"], 1, "Save it there as CSV, then name that file."),
    (["class", "open", "c", "--roster", "bytes.csv"], 1, "got bytes that are none. Save it as CSV in UTF-8."),
    (["class", "show"], 2, "Missing option '--class'"),
    (["class", "show", "--class", "nowhere"], 1, "nowhere: a class folder must hold class.toml; it does not. Open one with `coursekit class open`."),
    (["class", "show", "--class", "c-toml"], 1, "the file must be TOML; got"),
    (["class", "show", "--class", "c-late"], 1, "[late] must have per_day and may have most"),
    (["class", "show", "--class", "c-due"], 1, "due of small must be a day, like 3 Dec 2026, 3.12.2026 or 2026-12-03, and may have an hour"),
    (["class", "show", "--class", "c-address"], 1, "must be the address of a PostgreSQL database"),
    (["class", "due", "small", "10.2.26", *E], 1, "The due time of Small must be a day, like 3 Dec 2026, 3.12.2026 or 2026-12-03, and may have an hour, 18:00; got '10.2.26'. Write it so."),
    (["class", "due", "small", "2026-02-30", *E], 1, "got '2026-02-30'. Write it so."),
    (["class", "due", "large", "2026-02-10", *E], 1, "exercises/large.md: the public half of an exercise must be there; got no such file."),
    (["class", "late", "200", *E], 1, "What late work loses a day must be between 0 and 100 %; got '200'. Write it like 10 %."),
    (["class", "late", "ten", *E], 1, "What late work loses a day must be between 0 and 100 %; got 'ten'."),
    (["class", "late", "10", "--most", "-1", *E], 2, "The share must be between 0 and 100 %; got '-1'. Write it like 10 %."),
    (["class", "pack", "there.zip", *E], 1, "the packed class must be a new file; this is there. Name another."),
    (["class", "pack", "e/in.zip", *E], 1, "the packed class must lie outside the class folder; this is inside."),
    (["hand-out", *E], 2, "Missing argument 'LESSON...'"),
    (["hand-out", "large", *E], 1, "Write it, or use one of: small."),
    (["hand-out", "small", "--class", "c-lost"], 1, "the class secret must be there as it was made; it is not. It holds other signs than hexadecimal digits in pairs. Put it back from your copy of the class folder"),
    (["class", "check", "--class", "c-lost"], 1, "the class secret must be there as it was made; it is not."),
    (["hand-out", "small", "--book", "nowhere", *E], 1, "what students get must be the students' book; got no book."),
    (["hand-out", "small", "--paper", "a5", *E], 2, "The paper must be one of a4, us-letter; got 'a5'. Name one of them."),
    (["take-in", *E], 2, "Work must come from a PATH or from --paste; got neither. Name one."),
    (["take-in", "--use", "bench-01", *E], 2, "--use must be followed by STUDENT LESSON and maybe a number; got 'bench-01'."),
    (["take-in", "--use", "bench-01", "small", *E], 1, "bench-01: work on small must have been taken in before a version of it can count; there is none."),
    (["take-in", "nowhere.ipynb", *E], 1, "nowhere.ipynb: what is taken in must be there; got nothing of that name."),
    (["take-in", "x.ipynb", *E], 1, "It does not read as a notebook; which exercise it is cannot be told: neither its cells nor its name say. Say so with --exercise."),
    (["take-in", "x.ipynb", "--exercise", "small", *E], 1, "no stamp of this class, and no student's id or name in its own or its folders' names. Say so with --student."),
    (["take-in", "x.ipynb", "--exercise", "large", *E], 1, "large: an exercise must be handed out before work on it is taken in; the class has small."),
    (["take-in", "x.ipynb", "--student", "bench-99", *E], 1, "a student must be on the roster; got 'bench-99'."),
    (["take-in", "x.ipynb", "--came", "yesterday", *E], 1, "The time it came must be a day"),
    (["take-in", "x.ipynb", "--came", "2026-02-03", "--file-time", *E], 2, "got --came and --file-time. Leave one."),
    (["take-in", "a.rar", *E], 1, "Only zip and tar.gz archives are opened. Unpack it, look at it, take in the folder."),
    (["take-in", "up.zip", *E], 1, "It is not opened, for '../x.ipynb' in it leads out of the archive."),
    (["take-in", "there.zip", *E], 1, "The zip does not read"),
    (["take-in", "good.csv", *E], 1, "It is a spreadsheet, and whose it is cannot be told"),
    (["mark", *E], 2, "Missing argument 'LESSON...'"),
    (["mark", "large", *E], 1, "Write it, or use one of: small."),
    (["mark", "small", "--seconds", "0", *E], 2, "0.0 is not in the range"),
    (["mark", "small", "--workers", "0", *E], 2, "0 is not in the range"),
    (["marks", "smal", *E], 1, "There is no lesson 'smal'. Did you mean small?"),
    (["marks", "large", *E], 1, "Write it, or use one of: small."),
    (["items", "small", "--below", "200", *E], 2, "The share must be between 0 and 100 %; got '200'."),
    (["report", "large", *E], 1, "large: a report must be of an exercise that the class was handed; it has small."),
    (["report", "--whole", "--class", "c-new"], 1, "a report must have something to tell; nothing is handed out yet."),
    (["remind", "--class", "nowhere"], 1, "nowhere: a class folder must hold class.toml"),
    (["student", "rename", "bench-01", "bench-02", *E], 1, "A new id must be free and fit for a file name; got 'bench-02'."),
    (["student", "rename", "bench-99", "x", *E], 1, "a student must be on the roster; got 'bench-99'."),
    (["class", "question", "small", "aera", "--marks", "2", *E], 1, "a question to change must be one of the lesson's; got 'aera'."),
    (["class", "question", "small", "--marks", "2", *E], 2, "A change must name one QUESTION"),
    (["class", "undo", "--redo", *E], 1, "an undo must be the last thing done to be taken back; none is."),
    (["read", "small", "--give", "bench-01", "why", "3", *E], 1, "a score must lie from 0 to 2, the question's marks; got 3."),
    (["student", "rename", "bench-01", "a b", *E], 1, "A new id must be free and fit for a file name; got 'a b'."),
    (["student", "renumber", "bench-01", *E], 2, "Missing argument 'LESSON...'"),
    (["student", "renumber", "bench-99", "small", *E], 1, "a student must be on the roster; got 'bench-99'."),
    (["student", "frame", "bench-01", *E], 2, "Missing argument 'FILE'"),
    (["student", "frame", "bench-01", "nowhere.toml", *E], 1, "nowhere.toml: the frame file must be there"),
    (["student", "frame", "bench-99", "empty.toml", *E], 1, "a student must be on the roster; got 'bench-99'."),
    (["student", "export", "bench-99", "o.zip", *E], 1, "a student must be on the roster; got 'bench-99'."),
    (["student", "export", "bench-01", "there.zip", *E], 1, "the export must be a new file; this is there."),
    (["student", "erase", "bench-99", "--yes", *E], 1, "a student to erase must be here; got 'bench-99', of whom nothing is."),
    (["student", "erase", "bench-01", *E], 1, "Aborted!"),
    (["lesson", "new", "Big Idea"], 1, "A slug must be small letters, digits and -, at most 40; got 'Big Idea'."),
    (["lesson", "new", "small"], 1, "a new lesson must not write over another; this is there."),
    (["lesson", "new", "other", "--after", "nowhere"], 1, "the page to stand before must be there; got 'nowhere', which is not."),
    (["lesson", "check", "large"], 1, "course/large.md: a lesson must have a page; got no such file."),
    (["lesson", "preview", "large"], 1, "course/large.md: a lesson to look at must have a page"),
    (["worksheets", "large", *E], 1, "Write it, or use one of: small."),
    (["completion", "tcsh"], 2, "'tcsh' is not one of 'bash', 'fish', 'zsh'"),
    (["solutions", "--out", "e/hand-out"], 1, "The instructor's edition must have a folder of its own"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "code", "said"), CASES, ids=[" ".join(c[0])[:40] for c in CASES])
def test_what_a_wrong_command_says(place, monkeypatch, words, code, said):
    monkeypatch.chdir(place)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    before = _state(place)
    got, output = call(*words)
    text = " ".join(output.split())
    assert said in text
    assert got == code
    assert "Traceback" not in text
    assert _state(place) == before


def _state(place):
    """Every file but locks and what the kit only remembers: name → content."""
    found = {**small.tree(place), **small.tree(place.parent / "class")}
    return {k: v for k, v in found.items() if not k.endswith((".made/lock", ".known.json"))
            and not k.startswith(".undo/") and "/.undo/" not in k and "backups" not in k and "gradebook" not in k}  # fmt: skip


def test_the_table_is_long_enough_and_names_every_group():
    assert len(CASES) >= 60
    tried = {" ".join(w for w in words[:2] if not w.startswith("-")) for words, _, _ in CASES}
    names = {n.removeprefix("coursekit ") for n, _ in reference.all_commands(main)}
    ours = {n for n in names if n.split()[0] in ("class", "student", "lesson")}
    missing = {n for n in ours if " " in n and n not in tried}
    assert not missing
