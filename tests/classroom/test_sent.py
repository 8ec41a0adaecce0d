"""What a class is sent: zips, the stick, start files, nbgrader's exchange."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile

import pytest

from coursekit.classroom.answer_page import pages as answer_pages
from coursekit.classroom.handout import nbgrader_exchange, start_files, zips
from coursekit.classroom.intake.submission import parsed
from coursekit.classroom.register import stamps
from coursekit.classroom.register.class_folder import ClassError

from . import small
from .test_cli import call

OWN = {
    "READ-ME-FIRST.txt", "numbers.json", "pyproject.toml", "small.ipynb", "start-linux.sh",
    "start-mac.command", "start-windows.bat", "start.py", "worksheet.pdf",
}  # fmt: skip
SHARED = {
    "lesson/index.html",
    "lesson/small.html",
    "lesson/_static/look.css",
    "read-the-lesson.html",
}


@pytest.fixture(scope="module")
def sent(tmp_path_factory):
    """A class of three, what it is sent, and the pages that came from a book."""
    path = tmp_path_factory.mktemp("sent")
    work = small.evening(path, 3)
    pages = path / "html"
    (pages / "_static").mkdir(parents=True)
    for name in ("index.html", "small.html", "_static/look.css", "_static/look.css.map"):
        (pages / name).write_text(f"text of {name}")
    answer_pages.make(work, lesson=True)
    return work, zips.make(work, pages), pages


def inside(path):
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        return {i.filename: archive.read(i) for i in archive.infolist()}


def test_each_student_gets_one_zip_with_all_that_is_theirs(sent):
    work, made, _ = sent
    assert [p.name for p in made.zips] == [f"small-bench-0{i}.zip" for i in (1, 2, 3)]
    for student, path in zip(work.folder.students, made.zips, strict=True):
        files = inside(path)
        page = f"small-{student.id}.html"
        assert set(files) == {f"small/{name}" for name in {*OWN, *SHARED, page}}
        assert f"Open  {page}  in your browser" in files["small/READ-ME-FIRST.txt"].decode()
        assert json.loads(files["small/numbers.json"])["numbers"] == work.numbers(student.id)
        stamp = stamps.read(work.folder, parsed(files["small/small.ipynb"]))
        assert stamp == stamps.Stamp(student.id, "small", True)
        assert files["small/worksheet.pdf"].startswith(b"%PDF")
        others = {s.id for s in work.folder.students} - {student.id}
        text = b"".join(data for name, data in files.items() if not name.endswith(".pdf")).decode()
        assert not any(other in text for other in others)
        for secret in ("You went round it", "{side} squared", work.folder.secret.hex(), "Because."):
            assert secret not in text


def test_a_stamp_is_this_class_s_own_for_this_student_alone(sent):
    work, _, _ = sent
    stamp = stamps.stamp(work.folder, "bench-01", "small")
    for change in ({"student": "bench-02"}, {"exercise": "large"}, {"check": "0" * 20}):
        found = stamps.read(work.folder, {"metadata": {"coursekit": {**stamp, **change}}})
        assert found
        assert not found.ours
    for metadata in (None, [], {"coursekit": 3}, {"coursekit": {"student": 3}}, {"coursekit": {}}):
        assert stamps.read(work.folder, {"metadata": metadata}) is None
    long = {"coursekit": {**stamp, "student": "x" * 300}}
    assert stamps.read(work.folder, {"metadata": long}) is None


def test_the_stick_holds_everybody_s_folder_and_the_pages_once(sent):
    work, made, _ = sent
    files = inside(made.stick)
    wanted = {
        f"small/{s.id}/{n}"
        for s in work.folder.students
        for n in {*OWN, "read-the-lesson.html", f"small-{s.id}.html"}
    }
    assert set(files) == wanted | {f"small/{n}" for n in {*SHARED, "READ-ME-FIRST.txt"}}
    assert b'"../lesson/small.html"' in files["small/bench-02/read-the-lesson.html"]
    alone = inside(made.zips[1])
    assert files["small/bench-02/numbers.json"] == alone["small/numbers.json"]


def test_the_same_again_gives_the_same_bytes_and_leaves_nothing_half_done(sent):
    work, made, pages = sent
    before = {p: p.read_bytes() for p in (*made.zips, made.stick)}
    zips.make(work, pages)
    assert {p: p.read_bytes() for p in (*made.zips, made.stick)} == before
    assert set(zips.folder_of(work).iterdir()) == set(before)


def test_without_pages_the_text_does_not_speak_of_them(sent, tmp_path):
    work = small.evening(tmp_path, 1)
    (path,) = zips.make(work, None, stick=False).zips
    files = inside(path)
    assert set(files) == {f"small/{name}" for name in OWN}
    text = files["small/READ-ME-FIRST.txt"].decode("utf-8-sig")
    assert "read-the-lesson" not in text
    assert "answer page" not in text  # none was made here
    assert "The worksheet: always." in text
    assert (
        b"The answer page, the lesson and the worksheet: always."
        in inside(sent[1].zips[0])["small/READ-ME-FIRST.txt"]
    )


def test_the_book_with_the_solutions_is_never_sent(sent, tmp_path):
    work, made, _ = sent
    before = made.zips[0].read_bytes()
    marked = tmp_path / "marked"
    marked.mkdir()
    for name in ("index.html", zips.INSTRUCTOR_MARK):
        (marked / name).write_text("")
    for place, said in (
        (marked, "got the instructor's edition"),
        (marked / "below", "got the instructor's edition"),
        (tmp_path / "no", "got no book"),
    ):
        with pytest.raises(ClassError, match=said):
            zips.make(work, place)
    assert made.zips[0].read_bytes() == before


@pytest.fixture
def unpacked(sent, tmp_path):
    """A student's folder as it is unpacked, with the rights that the zip notes."""
    with zipfile.ZipFile(sent[1].zips[0]) as archive:
        for info in archive.infolist():
            (tmp_path / archive.extract(info, tmp_path)).chmod(info.external_attr >> 16)
    return tmp_path / "small"


def run(folder, *words, path=os.environ["PATH"], home=None):
    around = {"PATH": path, "HOME": str(home or folder)}
    return subprocess.run(
        list(map(str, words)), cwd="/", env=around, capture_output=True, text=True, timeout=1800
    )


def test_the_start_file_finds_all_in_a_python_that_has_it(unpacked):
    done = run(unpacked, sys.executable, unpacked / "start.py", "--check")
    assert (done.returncode, done.stderr) == (0, "")
    for name, version in start_files.pins().items():
        assert f"{name} {version}" in done.stdout


@pytest.mark.skipif(os.name != "posix", reason="a shell script")
@pytest.mark.parametrize("name", start_files.RUNNABLE)
def test_later_starts_use_what_the_first_one_kept_and_no_network(unpacked, tmp_path, name):
    kept = tmp_path / "home" / start_files.HOME / "bin"
    kept.mkdir(parents=True)
    (kept / "python").write_text(f'#!/bin/sh\nexec {sys.executable} "$@"\n')
    (kept / "python").chmod(0o755)
    done = run(unpacked, unpacked / name, "--check", path="/usr/bin:/bin", home=tmp_path / "home")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("All is there: jupyterlab ")


@pytest.mark.skipif(os.name != "posix", reason="a shell script")
def test_without_anything_the_cure_is_told(unpacked, tmp_path):
    tools = tmp_path / "tools"
    tools.mkdir()
    (tools / "dirname").symlink_to("/usr/bin/dirname")
    done = run(unpacked, "/bin/sh", unpacked / "start-linux.sh", path=str(tools))
    assert done.returncode == 1
    assert "https://docs.astral.sh/uv" in done.stderr
    assert "worksheet.pdf asks the same" in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="a shell script")
def test_uv_is_asked_for_the_pinned_versions_outside_the_folder(unpacked, tmp_path):
    tools = tmp_path / "tools"
    tools.mkdir()
    (tools / "uv").write_text('#!/bin/sh\necho "$UV_PROJECT_ENVIRONMENT: $@"\n')
    (tools / "uv").chmod(0o755)
    done = run(unpacked, "/bin/sh", unpacked / "start-linux.sh", path=f"{tools}:/usr/bin:/bin")
    assert f"{unpacked}/{start_files.HOME}: run --project . python start.py" in done.stdout
    for name, version in start_files.pins().items():
        assert f'"{name}=={version}"' in (unpacked / "pyproject.toml").read_text()
    assert (
        b"\r\nuv run --project . python start.py %*\r\n"
        in (unpacked / "start-windows.bat").read_bytes()
    )


def test_the_release_goes_into_an_exchange_where_there_is_one(tmp_path):
    root = tmp_path / "exchange"
    work = small.evening(tmp_path, 2)
    assert not nbgrader_exchange.is_there(work)
    settings = work.folder.path / "class.toml"
    settings.write_text(
        settings.read_text() + f'\n[exchange]\nroot = "{root}"\ncourse = "evening"\n'
    )
    work = small.opened(tmp_path)
    assert not nbgrader_exchange.is_there(work)  # named, but this machine has none
    root.mkdir(mode=0o777)
    root.chmod(0o777)
    assert nbgrader_exchange.is_there(work)
    for _ in range(2):
        nbgrader_exchange.put_release(work)
    out = root / "evening" / "outbound" / "small"
    assert {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()} == {
        "small.ipynb", "READ-ME-FIRST.txt", "numbers/bench-01.json", "numbers/bench-02.json",
    }  # fmt: skip
    text = (out / "numbers" / "bench-02.json").read_text()
    assert json.loads(text)["numbers"] == work.numbers("bench-02")


def test_the_command_says_where_all_is(tmp_path, monkeypatch):
    work = small.evening(tmp_path, 2)
    monkeypatch.chdir(work.root)
    words = ["hand-out", "small", "--class", work.folder.path]
    told = json.loads(call(*words, "--json")[1])
    place = work.folder.path / "to-send" / "small"
    assert told == {
        "exercise": "small",
        "zips": [str(place / f"small-bench-0{i}.zip") for i in (1, 2)],
        "stick": str(place / "small.stick.zip"),
        "pages": None,
        "exchange": None,
    }
    assert call(*words, "--quiet", "--no-stick") == (0, "")
    code, said = call(*words, "--book", tmp_path)
    assert (code, "got no book" in said) == (1, True)
