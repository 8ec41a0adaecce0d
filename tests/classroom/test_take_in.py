"""Work as it really comes in: renamed, zipped, forwarded, doubled; and what is refused."""

from __future__ import annotations

import json
import os
import shutil
import stat
import struct
import zipfile
from datetime import UTC, datetime, timedelta

import nbformat
import pytest

from coursekit.classroom.handout import zips
from coursekit.classroom.intake import archives, kept_versions, take_in
from coursekit.classroom.register.class_folder import ClassError
from coursekit.classroom.register.class_toml import when
from coursekit.classroom.students import rename

from . import small
from .test_cli import call

EVENING = when("2026-02-03T19:30:00+00:00")


@pytest.fixture(scope="module")
def handed_out(tmp_path_factory):
    path = tmp_path_factory.mktemp("handed-out")
    work = small.evening(path, 4)
    zips.make(work, None)
    return path


@pytest.fixture
def work(handed_out, tmp_path):
    """A class of four with the exercise handed out; what comes in lies in `inbox`."""
    shutil.copytree(handed_out, tmp_path / "e")
    (tmp_path / "inbox").mkdir()
    return small.opened(tmp_path / "e")


@pytest.fixture
def inbox(tmp_path):
    return tmp_path / "inbox"


def notebook(work, student="bench-03", note="", stamped=True) -> bytes:
    """A student's own copy with a cell added, so that two differ."""
    text = (work.folder.bundle(student, "small") / "small.ipynb").read_text()
    found = nbformat.reads(text, as_version=4)
    if note:
        found.cells.append(nbformat.v4.new_markdown_cell(note, id="note"))
    if not stamped:
        del found.metadata["coursekit"]
    return nbformat.writes(found).encode()


def put(path, data, at=None):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    if at:
        os.utime(path, (at.timestamp(), at.timestamp()))
    return path


def zipped(path, members):
    path.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def taken(work, *paths, **more):
    """What became of the work; what came with it, and what systems made, is in test_messy."""
    told = take_in.take_in(work.folder, paths, **{"came": EVENING, **more})
    return [t for t in told if t.what not in ("with", "passed")]


def one(work, *paths, **more):
    (found,) = taken(work, *paths, **more)
    return found


NAMES = [
    "small.ipynb", "bench-03 miter angles (2).ipynb", "Re_ small.ipynb", "homework final FINAL.ipynb",
    "SMALL.IPYNB", "Untitled.ipynb.txt", "übung 3.ipynb", "small.ipynb.json",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_stamp_tells_whose_it_is_whatever_the_file_is_called(work, inbox, name):
    data = notebook(work)
    found = one(work, put(inbox / name, data))
    assert (found.what, found.student, found.slug) == ("taken", "bench-03", "small")
    assert "stamp" in found.why
    place = work.folder.submitted("bench-03", "small")
    assert small.tree(place) == {
        "small.ipynb": data, "timestamp.txt": b"2026-02-03 19:30:00 UTC\n"
    }  # fmt: skip


BY_NAME = [
    ("bench-03 small.ipynb", "file name"),
    ("small_BENCH-03_v2.ipynb", "file name"),
    ("Bench 3 - the sums.ipynb", "file name"),
    ("from bench-03/x.ipynb", "folder"),
    ("Bench 3_4711_file/evening/x.ipynb", "folder"),
]


@pytest.mark.parametrize(("name", "by"), BY_NAME)
def test_without_a_stamp_the_name_tells(work, inbox, name, by):
    put(inbox / name, notebook(work, stamped=False))
    found = one(work, inbox)
    assert (found.what, found.student) == ("taken", "bench-03")
    assert by in found.why


def test_the_numbers_file_speaks_last_and_it_is_said(work, inbox):
    put(inbox / "x" / "a.ipynb", notebook(work, stamped=False))
    put(inbox / "x" / "numbers.json", work.numbers_text("bench-02").encode())
    found = one(work, inbox)
    assert (found.what, found.student) == ("taken", "bench-02")
    assert "which anybody can edit" in found.why
    # it never speaks against a name or a stamp
    put(inbox / "x" / "a.ipynb", notebook(work, "bench-04"))
    assert one(work, inbox).student == "bench-04"


def test_a_forged_stamp_counts_for_nothing(work, inbox):
    text = (
        notebook(work, "bench-03")
        .decode()
        .replace('"student": "bench-03"', '"student": "bench-01"')
    )
    found = one(work, put(inbox / "small.ipynb", text.encode()))
    assert found.what == "left"
    assert "no stamp of this class" in found.why


LEFT = {
    "a copy of another's": ("bench-02 small.ipynb", {}, "its stamp says bench-03, its file name says bench-02"),
    "two ids in the name": ("bench-01 and bench-02.ipynb", {"stamped": False}, "its file name says bench-01, its file name says bench-02"),
    "nothing speaks": ("small.ipynb", {"stamped": False}, "no stamp of this class, and no student's id"),
}  # fmt: skip


@pytest.mark.parametrize("case", LEFT)
def test_what_cannot_be_told_is_left_and_said(work, inbox, case):
    name, how, why = LEFT[case]
    before = small.tree(work.folder.path)
    path = put(inbox / name, notebook(work, **how))
    found = one(work, path)
    assert found.what == "left"
    assert why in found.why
    assert "--student" in found.why
    after = small.tree(work.folder.path)
    after.pop(".made/lock", None)
    before.pop(".made/lock", None)
    assert after == before
    assert one(work, path, student="bench-02").student == "bench-02"


def test_a_notebook_of_something_else_is_left(work, inbox):
    other = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1")])
    path = put(inbox / "bench-01.ipynb", nbformat.writes(other).encode())
    found = one(work, path)
    assert (found.what, "which exercise it is cannot be told" in found.why.lower()) == (
        "left",
        True,
    )
    assert one(work, path, slug="small").what == "taken"
    assert one(work, put(inbox / "bench-02 small.ipynb", b"{ broken")).what == "taken"
    assert one(work, put(inbox / "thing.ipynb", b"{ broken")).what == "left"


def test_every_version_is_kept_and_the_newest_is_submitted(work, inbox):
    for day, note in ((1, "first"), (3, "third"), (2, "second")):
        put(inbox / "small.ipynb", notebook(work, note=note))
        found = one(work, inbox, came=EVENING + timedelta(days=day))
        assert found.what == ("older" if note == "second" else "taken")
    kept = kept_versions.versions(work.folder, "bench-03", "small")
    notes = [nbformat.read(v / "small.ipynb", as_version=4).cells[-1].source for v in kept]
    assert notes == ["first", "second", "third"]
    place = work.folder.submitted("bench-03", "small")
    assert nbformat.read(place / "small.ipynb", as_version=4).cells[-1].source == "third"
    assert (place / "timestamp.txt").read_text() == "2026-02-06 19:30:00 UTC\n"
    before = small.tree(work.folder.path / "taken-in")
    found = one(work, put(inbox / "small.ipynb", notebook(work, note="first")))
    assert found.what == "same"
    assert small.tree(work.folder.path / "taken-in") == before
    shutil.rmtree(place)  # lost: the same again puts it back
    one(work, inbox)
    assert nbformat.read(place / "small.ipynb", as_version=4).cells[-1].source == "third"


def test_work_that_lay_in_submitted_is_kept_before_it_is_replaced(work, inbox):
    place = work.folder.submitted("bench-03", "small")
    put(place / "small.ipynb", notebook(work, note="by hand"))
    put(place / "timestamp.txt", b"2026-02-02 10:00:00 UTC\n")
    put(place / "trace.csv", b"1,2\n")
    one(work, put(inbox / "small.ipynb", notebook(work, note="new")))
    first, second = kept_versions.versions(work.folder, "bench-03", "small")
    assert first.name.startswith("20260202T100000Z-001-")
    assert (first / "files" / "trace.csv").read_bytes() == b"1,2\n"
    assert second.name.startswith("20260203T193000Z-002-")
    assert sorted(small.tree(place)) == ["small.ipynb", "timestamp.txt"]


def test_two_of_one_student_at_once(work, inbox):
    put(inbox / "small.ipynb", notebook(work, note="old"), EVENING)
    put(inbox / "small (2).ipynb", notebook(work, note="new"), EVENING + timedelta(hours=1))
    assert [t.what for t in taken(work, inbox)] == ["older", "taken"]
    assert len(kept_versions.versions(work.folder, "bench-03", "small")) == 2
    put(inbox / "small.ipynb", notebook(work, note="a"), EVENING)
    put(inbox / "small (2).ipynb", notebook(work, note="b"), EVENING)
    found = taken(work, inbox)
    assert {t.what for t in found} == {"left"}
    assert "nothing says which is the newer" in found[0].why
    assert len(kept_versions.versions(work.folder, "bench-03", "small")) == 2


def test_the_file_s_own_time_counts_where_it_is_asked_for(work, inbox):
    put(inbox / "small.ipynb", notebook(work), EVENING)
    taken(work, inbox, came=None, by_file_time=True)
    (version,) = kept_versions.versions(work.folder, "bench-03", "small")
    assert kept_versions.came_of(version) == EVENING.astimezone(UTC).replace(tzinfo=None)


def test_a_zip_of_the_whole_bundle_brings_the_work_and_not_our_files(work, inbox):
    sent = zips.zip_of(work, "bench-02")
    with zipfile.ZipFile(sent) as archive:
        members = {n: archive.read(n) for n in archive.namelist()}
    members["small/small.ipynb"] = notebook(work, "bench-02", "mine")
    members["small/photo.png"] = b"\x89PNG"
    members["small/uv.lock"] = b"x"
    members["small/lesson/index.html"] = b"x"
    members["small/.ipynb_checkpoints/small-checkpoint.ipynb"] = notebook(work, "bench-02", "old")
    members["__MACOSX/small/._small.ipynb"] = b"x"
    found = one(work, zipped(inbox / "Fwd_ homework.zip", members))
    assert (found.what, found.student) == ("taken", "bench-02")
    assert sorted(small.tree(work.folder.submitted("bench-02", "small"))) == [
        "photo.png", "small.ipynb", "timestamp.txt",
    ]  # fmt: skip


def test_a_class_s_folder_of_zips_folders_and_loose_files(work, inbox):
    zipped(inbox / "a.zip", {"deep/down/x.ipynb": notebook(work, "bench-01")})
    put(inbox / "b" / "small.ipynb", notebook(work, "bench-02"))
    put(inbox / "c.ipynb", notebook(work, "bench-03"))
    put(inbox / "notes.txt", b"not work")
    (inbox / "link.ipynb").symlink_to(work.folder.path / "secret")
    found = taken(work, inbox)
    assert sorted((t.what, t.student) for t in found) == [
        ("left", ""), ("left", ""), ("taken", "bench-01"), ("taken", "bench-02"), ("taken", "bench-03"),
    ]  # fmt: skip
    assert {t.source: t.why.split(".")[0] for t in found if t.what == "left"} == {
        "inbox/link.ipynb": "A link is not followed",
        "inbox/notes.txt": "It is a document, and whose it is cannot be told: no student's id or "
        "name in its own or its folders' names",
    }
    assert not (work.folder.submitted("bench-03", "small") / "notes.txt").exists()


def test_a_former_id_still_tells_whose_it_is(work, inbox):
    data = notebook(work, "bench-03")
    for old, new in (("bench-03", "ada"), ("ada", "berta")):
        rename.rename(small.opened(work.root.parent).folder, old, new)
    renamed = small.opened(work.root.parent)
    assert one(renamed, put(inbox / "x.ipynb", data)).student == "berta"
    assert one(renamed, put(inbox / "bench-03 x.ipynb", data)).student == "berta"


def raw_zip(path, name, data=b"x", *, mode=0o100644, locked=False, size=None):
    """Write a zip that Python's own writer would not: locked, lying or leading out."""
    info = zipfile.ZipInfo("placeholder")
    info.filename, info.external_attr, info.create_system = name, mode << 16, 3
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(info, data)
    raw = bytearray(path.read_bytes())
    central = raw.index(b"PK\x01\x02")
    if locked:
        for at in (6, central + 8):
            raw[at] |= 1
    if size:
        struct.pack_into("<I", raw, central + 24, size)
    path.write_bytes(raw)
    return path


UNSAFE = {
    "up": (lambda p: raw_zip(p, "../../up.ipynb"), "leads out of the archive"),
    "up with back strokes": (lambda p: raw_zip(p, "a\\..\\..\\up.ipynb"), "leads out of the archive"),
    "root": (lambda p: raw_zip(p, "/etc/up.ipynb"), "has a path from the root of a disk"),
    "drive": (lambda p: raw_zip(p, "C:/up.ipynb"), "has a path from the root of a disk"),
    "link": (lambda p: raw_zip(p, "a.ipynb", b"/etc/passwd", mode=stat.S_IFLNK | 0o777), "is a link or a device"),
    "pipe": (lambda p: raw_zip(p, "a.ipynb", mode=stat.S_IFIFO | 0o666), "is a link or a device"),
    "locked": (lambda p: raw_zip(p, "a.ipynb", locked=True), "is locked with a password"),
    "ratio": (lambda p: zipped(p, {"a.ipynb": b"\0" * 5_000_000}), "unpacks to far more than it holds"),
    "size": (lambda p: raw_zip(p, "a.ipynb", size=500_000_000), "it says 500 MB"),
    "count": (lambda p: zipped(p, {f"{i}": b"" for i in range(5_001)}), "at most 5000 files; this one has 5001"),
    "nested": (lambda p: zipped(p, {"in.zip": b"PK"}), "The zip does not read"),
    "broken": (lambda p: put(p, b"no zip at all"), "The zip does not read"),
    "cut off": (lambda p: put(p, b"PK\x03\x04 no zip"), "It is cut off: the zip ends before"),
    "same name in capitals": (lambda p: zipped(p, {"a.ipynb": b"1", "A.ipynb": b"2"}), "is there twice"),
}  # fmt: skip


@pytest.mark.parametrize("case", UNSAFE)
def test_an_unsafe_archive_is_refused_whole(work, inbox, case):
    make, why = UNSAFE[case]
    path = make(inbox / "bench-01 small.zip")
    put(inbox / "good" / "small.ipynb", notebook(work, "bench-02"))
    bad, good = sorted(taken(work, inbox), key=lambda t: t.what)
    assert (bad.what, good.what) == ("left", "taken")
    assert why in bad.why
    assert path.exists()
    assert not work.folder.submitted("bench-01", "small").exists()


def test_other_archives_are_not_opened(work, inbox):
    for name in ("a.tar.xz", "a.7z", "a.rar"):
        found = one(work, put(inbox / name, b"x"))
        assert (found.what, "Only zip and tar.gz archives are opened" in found.why) == (
            "left",
            True,
        )


def test_a_member_that_lies_about_its_size_is_held_to_the_limit(work, inbox, monkeypatch):
    monkeypatch.setattr(archives, "_LARGEST", 1000)
    path = zipped(inbox / "a.zip", {"small.ipynb": os.urandom(5000)})
    assert "does not read, or is larger" in one(work, path).why


def test_what_is_not_there_or_not_known_is_refused(work, inbox):
    for words, said in (
        ({}, "what is taken in must be there"),
        ({"student": "nobody"}, "a student must be on the roster"),
        ({"slug": "large"}, "must be handed out before work on it is taken in"),
    ):
        with pytest.raises(ClassError, match=said):
            taken(work, inbox / "none", **words)


def test_the_command_says_what_it_did_and_its_exit_code_what_it_left(work, inbox, monkeypatch):
    monkeypatch.chdir(inbox)
    put(inbox / "a" / "small.ipynb", notebook(work))
    words = ["take-in", "a", "--class", work.folder.path]
    code, said = call(*words, "--came", "2026-02-03T19:30+00:00")
    assert code == 0
    came = datetime(2026, 2, 3, 19, 30, tzinfo=UTC).astimezone()
    assert said == (
        f"It counts as come on {came:%a} {came.day} Feb 2026, {came:%H:%M}.\n"
        "taken in: bench-03 small, from a/small.ipynb, by its stamp; it has no answers\n1 taken in\n"
    )  # fmt: skip
    put(inbox / "a" / "b.ipynb", notebook(work, stamped=False))
    code, said = call(*words, "--json")
    assert code == 1
    assert [t["what"] for t in json.loads(said)] == ["left", "same"]
    code, said = call(*words, "--quiet")
    assert (code, [line[:5] for line in said.splitlines()]) == (1, ["LEFT:", "    s", "    -"])
    assert max(map(len, said.splitlines())) <= 80
    assert call(*words, "--came", "soon")[0] == 1
    assert call(*words, "--came", "2026-02-03", "--file-time")[0] == 2
    code, said = call("class", "show", "--class", work.folder.path, "--json")
    place = json.loads(said)["lessons"][0]["students"]["bench-03"]
    assert (place["state"], place["came"]) == ("to mark", "2026-02-03T19:30:00Z")
    assert datetime.fromisoformat(place["came"])
