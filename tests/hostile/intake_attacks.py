"""Attacks on taking in and on all that goes over a class after it, each with what must come of it.

`python -m tests.hostile.intake_attacks` tries them all and prints, for each, expected and got;
`python -m tests.hostile.intake_attacks clock pack` those whose point or name has one of the words.
An attack works on a class of four with one exercise handed out. `bench-02` is honest.
"""

from __future__ import annotations

import gzip
import io
import json
import os
import shutil
import sqlite3
import struct
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import nbformat
from click.testing import CliRunner

from coursekit.classroom.bench import bench_record
from coursekit.classroom.intake import kept_versions, take_in
from coursekit.classroom.register.roster import ClassError
from coursekit.classroom.register.roster import read as read_roster
from coursekit.cli import main
from tests.classroom import small

SLUG = "small"
NOW = datetime.now(UTC)
ESCAPE = "\x1b[2K\x1b[1Ataken in"


class Evening:
    """A class of four, what lies in its inbox, and what the commands say."""

    def __init__(self, path: Path) -> None:
        self.work = small.opened(path)
        self.folder = self.work.folder
        self.inbox = path / "inbox"
        self.inbox.mkdir()
        os.environ["COURSEKIT_ROOT"] = str(self.work.root)

    def notebook(self, student: str = "bench-03", note: str = "", stamped: bool = True) -> bytes:
        """A student's own copy; `note` makes two differ."""
        text = (self.folder.bundle(student, SLUG) / f"{SLUG}.ipynb").read_text()
        found = nbformat.reads(text, as_version=4)
        if note:
            found.cells.append(nbformat.v4.new_markdown_cell(note, id="note"))
        if not stamped:
            del found.metadata["coursekit"]
        return nbformat.writes(found).encode()

    def put(self, name: str, data: bytes, at: datetime | None = None) -> Path:
        path = self.inbox / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        if at:
            os.utime(path, (at.timestamp(), at.timestamp()))
        return path

    def call(self, *words: object) -> tuple[int, str]:
        done = CliRunner().invoke(main, [*map(str, words), "--class", str(self.folder.path)])
        if done.exception and not isinstance(done.exception, SystemExit):
            return -1, f"ended by {type(done.exception).__name__}"
        return done.exit_code, done.output

    def take(self, *paths: Path, **more: object) -> str:
        """What became of the paths: "taken bench-02, left"."""
        told = take_in.take_in(self.folder, paths or (self.inbox,), **more)
        found = [t for t in told if t.what not in ("with", "passed")]
        return ", ".join(sorted(f"{t.what} {t.student}".strip() for t in found))

    def counts(self, student: str = "bench-03") -> str:
        """The note in the notebook that counts for a student."""
        path = self.folder.submitted(student, SLUG) / f"{SLUG}.ipynb"
        return str(nbformat.read(path, as_version=4).cells[-1].source) if path.is_file() else ""

    def stamp(self, student: str = "bench-03") -> str:
        return (self.folder.submitted(student, SLUG) / "timestamp.txt").read_text().strip()

    def kept(self, student: str = "bench-03") -> list[str]:
        place = self.folder.submitted(student, SLUG)
        return sorted(p.relative_to(place).as_posix() for p in place.rglob("*") if p.is_file())


@dataclass(frozen=True)
class Attack:
    """Something hostile: which point it tries, what it does, and what must come of it."""

    point: str
    name: str
    act: Callable[[Evening], str]
    expected: str


ATTACKS: list[Attack] = []


def attack(point: str, expected: str) -> Callable[[Callable[[Evening], str]], None]:
    def note(act: Callable[[Evening], str]) -> None:
        ATTACKS.append(Attack(point, act.__name__.replace("_", " "), act, expected))

    return note


# --- 1: a failure stays with one student ------------------------------------------------------


def zipped(members: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", method) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return data.getvalue()


def hurt(e: Evening, method: int, at: int, name: bytes = b"small.ipynb") -> bytes:
    """A zip whose member is overwritten `at` bytes behind its local name."""
    raw = bytearray(zipped({"small.ipynb": e.notebook("bench-01")}, method))
    start = raw.index(name) + len(name) + at
    raw[start : start + 40] = b"\xff" * 40
    return bytes(raw)


def local_header(e: Evening) -> bytes:
    raw = bytearray(zipped({"small.ipynb": e.notebook("bench-01")}))
    raw[:4] = b"nope"
    return bytes(raw)


def wrong_field(e: Evening, offset: int, form: str, value: int) -> bytes:
    raw = bytearray(zipped({"small.ipynb": e.notebook("bench-01")}))
    struct.pack_into(form, raw, raw.index(b"PK\x01\x02") + offset, value)
    return bytes(raw)


def long_list_of_a_large_zip(e: Evening) -> bytes:
    raw = bytearray(zipped({"small.ipynb": e.notebook("bench-01")}))
    at = raw.index(b"PK\x05\x06")
    size, start = struct.unpack_from("<II", raw, at + 12)
    said = struct.pack("<4sQHHIIQQQQ", b"PK\x06\x06", 44, 45, 45, 0, 0, 1, 1, 3_000_000_000, start)
    where = struct.pack("<4sIQI", b"PK\x06\x07", 0, start + size, 1)
    return bytes(raw[:at] + said + where + raw[at:])


def long_list(e: Evening) -> bytes:
    raw = bytearray(zipped({"small.ipynb": e.notebook("bench-01")}))
    struct.pack_into("<I", raw, raw.index(b"PK\x05\x06") + 12, 3_000_000_000)
    return bytes(raw)


def mixed(e: Evening, **names: str) -> bytes:
    return zipped({"small.ipynb": e.notebook("bench-01"), **dict.fromkeys(names.values(), b"x")})


HURT: dict[str, tuple[Callable[[Evening], bytes], str]] = {
    "deflate is damaged": (lambda e: hurt(e, zipfile.ZIP_DEFLATED, 0), "left, taken bench-02"),
    "LZMA is damaged": (lambda e: hurt(e, zipfile.ZIP_LZMA, 4), "left, taken bench-02"),
    "LZMA has wrong properties": (lambda e: hurt(e, zipfile.ZIP_LZMA, 0), "left, taken bench-02"),
    "bzip2 is damaged": (lambda e: hurt(e, zipfile.ZIP_BZIP2, 8), "left, taken bench-02"),
    "the local header is wrong": (local_header, "left, taken bench-02"),
    "an unknown method": (lambda e: wrong_field(e, 10, "<H", 99), "left, taken bench-02"),
    "the member lies far behind the end": (lambda e: wrong_field(e, 42, "<I", 2**31), "left, taken bench-02"),
    "a checksum that is wrong": (lambda e: wrong_field(e, 16, "<I", 7), "left, taken bench-02"),
    "a list of 3 GB": (long_list, "left, taken bench-02"),
    "a list of 3 GB, said as large zips do": (long_list_of_a_large_zip, "left, taken bench-02"),
    "a file and a folder of one name": (lambda e: mixed(e, a="data", b="data/x"), "left, taken bench-02"),
    "a folder and then a file of one name": (lambda e: mixed(e, a="data/x", b="data"), "left, taken bench-02"),
    "a file and a folder, but for capitals": (lambda e: mixed(e, a="Data", b="data/x"), "left, taken bench-02"),
    "a name of 300 letters": (lambda e: mixed(e, a="n" * 300), "left, taken bench-02"),
    "a name of 250 letters beside good work": (lambda e: mixed(e, a="n" * 250), "left, taken bench-01, taken bench-02"),
    "1,000 folders deep": (lambda e: mixed(e, a="d/" * 1000 + "x"), "left, taken bench-02"),
    "half of a zip": (lambda e: zipped({"small.ipynb": e.notebook("bench-01")})[:-30], "left, taken bench-02"),
}  # fmt: skip


def _hurt(make: Callable[[Evening], bytes]) -> Callable[[Evening], str]:
    def act(e: Evening) -> str:
        e.put("a.zip", make(e))
        e.put("b/small.ipynb", e.notebook("bench-02"))
        return e.take()

    return act


ATTACKS += [
    Attack("one student: take-in", f"a zip: {n}", _hurt(m), x) for n, (m, x) in HURT.items()
]


def _deep(place: Path, count: int = 1000) -> None:
    place.mkdir(parents=True, exist_ok=True)
    home = os.open(".", os.O_RDONLY)
    os.chdir(place)
    try:
        for _ in range(count):
            Path("d").mkdir()
            os.chdir("d")
        Path("x.csv").write_text("1")
    finally:
        os.fchdir(home)
        os.close(home)


@attack("one student: take-in", "left, taken bench-02")
def an_inbox_1000_folders_deep(e):
    e.put("b/small.ipynb", e.notebook("bench-02"))
    _deep(e.inbox / "a")
    return e.take()


@attack("one student: take-in", "left, taken bench-02")
def a_pipe_named_like_a_zip(e):
    os.mkfifo(e.inbox / "a.zip")
    e.put("b/small.ipynb", e.notebook("bench-02"))
    # were it opened, this would wait for good: a writer that ends makes it fail instead
    writer = os.open(e.inbox / "a.zip", os.O_RDWR | os.O_NONBLOCK)
    os.write(writer, b"no zip")
    try:
        return e.take()
    finally:
        os.close(writer)


@attack("one student: take-in", "taken bench-01, taken bench-02")
def a_file_time_that_no_calendar_has(e):
    path = e.put("a.ipynb", e.notebook("bench-01"))
    os.utime(path, (2**38, 2**38))
    e.put("b/small.ipynb", e.notebook("bench-02"))
    return e.take(by_file_time=True)


@attack("one student: take-in", "left bench-01, taken bench-02")
def a_file_lies_where_versions_go(e):
    place = e.folder.path / "taken-in"
    place.mkdir()
    (place / "bench-01").write_text("in the way")
    e.put("a.ipynb", e.notebook("bench-01"))
    e.put("b.ipynb", e.notebook("bench-02"))
    return e.take()


@attack("one student: take-in", "taken bench-01, taken bench-02")
def deep_folders_lay_in_submitted(e):
    small.hand_in(e.work, "bench-01")
    _deep(e.folder.submitted("bench-01", SLUG) / "a")
    e.put("a.ipynb", e.notebook("bench-01", "new"))
    e.put("b.ipynb", e.notebook("bench-02"))
    return e.take()


@attack(
    "one student: take-in", "left, taken bench-02, why: Its list of files may have at most 20 MB"
)
def a_long_list_is_refused_before_it_is_read(e):
    e.put("a.zip", long_list_of_a_large_zip(e))
    e.put("b/small.ipynb", e.notebook("bench-02"))
    told = take_in.take_in(e.folder, [e.inbox])
    why = told[0].why.rstrip(".")
    return f"{', '.join(sorted(f'{t.what} {t.student}'.strip() for t in told))}, why: {why}"


@attack("one student: take-in", "taken bench-01, taken bench-02, theirs is there")
def a_link_lies_where_submitted_work_goes(e):
    theirs = e.inbox.parent / "theirs" / "a" / "b" / "c"
    theirs.mkdir(parents=True)
    (theirs / "x").write_text("x")
    place = e.folder.submitted("bench-01", SLUG)
    place.parent.mkdir(parents=True)
    place.symlink_to(e.inbox.parent / "theirs")
    e.put("a.ipynb", e.notebook("bench-01"))
    e.put("b.ipynb", e.notebook("bench-02"))
    return f"{e.take()}, theirs is {'there' if (theirs / 'x').is_file() else 'gone'}"


@attack("one student: take-in", "taken bench-01, taken bench-02")
def work_of_a_time_that_no_calendar_has_lay_in_submitted(e):
    place = small.hand_in(e.work, "bench-01", stamp="")
    os.utime(place / "small.ipynb", (2**38, 2**38))
    e.put("a.ipynb", e.notebook("bench-01", "new"))
    e.put("b.ipynb", e.notebook("bench-02"))
    return e.take()


@attack("one student: take-in", "taken bench-03")
def a_notebook_with_a_time_of_day_in_its_name(e):
    e.put("small 19:30.ipynb", e.notebook())
    return e.take()


@attack("one student: take-in", "1 list for 60 members")
def a_list_is_read_once_and_not_for_each_member(e):
    seen = []
    real = zipfile.ZipFile._RealGetContents
    members = {f"{i}/small.ipynb": e.notebook("bench-03", f"{i}") for i in range(60)}
    e.put("a.zip", zipped(members))
    zipfile.ZipFile._RealGetContents = lambda self: (seen.append(1), real(self))[1]
    try:
        e.take()
    finally:
        zipfile.ZipFile._RealGetContents = real
    return f"{len(seen)} list for {len(members)} members"


def _tarred(*members: tarfile.TarInfo, packed: bool = True) -> bytes:
    data = io.BytesIO()
    with tarfile.open(fileobj=data, mode="w:gz" if packed else "w") as archive:
        for member in members:
            archive.addfile(member, io.BytesIO(b"\0" * member.size) if member.size else None)
    return data.getvalue()


def _info(name: str, kind: bytes = tarfile.REGTYPE, size: int = 0) -> tarfile.TarInfo:
    info = tarfile.TarInfo(name)
    info.type, info.size, info.linkname = kind, size, "/etc/passwd"
    return info


def _pax(size: int) -> bytes:
    """A gzip of a header that says it has a comment of so many bytes."""
    info = tarfile.TarInfo("x")
    info.type, info.size = b"x", size
    return gzip.compress(info.tobuf(tarfile.USTAR_FORMAT) + b"0" * size)


def _letters(count: int) -> bytes:
    inner = b"Content-Type: text/plain\n\nx"
    for number in range(count):
        head = f'Content-Type: multipart/mixed; boundary="b{number}"\n\n--b{number}\n'
        inner = head.encode() + inner + f"\n--b{number}--\n".encode()
    return inner


def _nested(e: Evening, depth: int) -> bytes:
    data = zipped({"small.ipynb": e.notebook("bench-01")})
    for number in range(depth):
        data = zipped({f"{number}.zip": data})
    return data


CARRIED: dict[str, tuple[str, Callable[[Evening], bytes], str]] = {
    "a tar that leads out": ("a.tar.gz", lambda e: _tarred(_info("../../x.ipynb")), "left"),
    "a tar with a link": ("a.tar.gz", lambda e: _tarred(_info("small.ipynb", tarfile.SYMTYPE)), "left"),
    "a tar with a device": ("a.tar", lambda e: _tarred(_info("x", tarfile.CHRTYPE), packed=False), "left"),
    "a tar of 300 MB in little": ("a.tgz", lambda e: _tarred(_info("x", size=300_000_000)), "left"),
    "a tar's header of 100 MB": ("a.tar.gz", lambda e: _pax(100_000_000), "left"),
    "6,000 files in a tar": ("a.tar.gz", lambda e: _tarred(*(_info(f"{i}") for i in range(6000))), "left"),
    "a tar that is cut off": ("a.tar.gz", lambda e: _tarred(_info("x", size=9999))[:50], "left"),
    "3,000 files in each of two inner zips": ("a.zip", lambda e: zipped({f"{k}.zip": zipped({f"{i}.csv": b"" for i in range(3000)}) for k in "ab"}), "left * 3001"),
    "300 MB in each of two inner zips": ("a.zip", lambda e: zipped({f"{k}.zip": lying(300_000_000) for k in "ab"}), "left * 2"),
    "a zip in a zip": ("a.zip", lambda e: _nested(e, 1), "taken bench-01"),
    "a zip in a zip in a zip": ("a.zip", lambda e: _nested(e, 2), "left"),
    "mails 5,000 deep": ("a.eml", lambda e: _letters(5000), "left"),
    "a mail of 2,000 parts": ("a.eml", lambda e: b'Content-Type: multipart/mixed; boundary="b"\n\n' + b"--b\n\nx\n" * 2000 + b"--b--\n", "left"),
    "a mail whose attachment leads out": ("a.eml", lambda e: b'Content-Disposition: attachment; filename="../../small.ipynb"\n\n' + e.notebook("bench-01"), "taken bench-01"),
    "a mail of no alphabet": ("a.eml", lambda e: b"Content-Type: text/plain; charset=none\n\nx", "left"),
    "a million brackets": ("a.txt", lambda e: b"[" * 1_000_000, "left"),
    "a page a million tags deep": ("a.html", lambda e: b"<html>" + b"<div>" * 300_000, "left"),
    "a line of a million marks": ("a.txt", lambda e: b">" * 1_000_000 + b"\n" + b": " * 400_000, "left"),
    "a million first lines": ("a.txt", lambda e: b"coursekit answers\n" * 100_000, "left"),
    "answers of a million lines": ("a.txt", lambda e: b"coursekit answers\nlesson: small\nstudent: bench-01\n[area]\n" + b"1\n" * 900_000, "taken bench-01"),
}  # fmt: skip


def lying(size: int) -> bytes:
    """A zip whose list says that its member has so many bytes."""
    raw = bytearray(zipped({"x.csv": b"1"}))
    struct.pack_into("<I", raw, raw.index(b"PK\x01\x02") + 24, size)
    return bytes(raw)


def _carried(name: str, make: Callable[[Evening], bytes]) -> Callable[[Evening], str]:
    def act(e: Evening) -> str:
        e.put(name, make(e))
        said = e.take().split(", ")
        return " * ".join([said[0], str(len(said))] if len(said) > 1 else said)

    return act


ATTACKS += [
    Attack("one student: take-in", name, _carried(file, make), expected)
    for name, (file, make, expected) in CARRIED.items()
]


def _steps(*words: str) -> Callable[[Evening, Callable[[Evening], None]], str]:
    def run(e: Evening, between: Callable[[Evening], None]) -> str:
        for student in ("bench-01", "bench-02"):
            small.hand_in(e.work, student)
        for word in words[:-1]:
            e.call(word, SLUG)
        between(e)
        code, said = e.call(words[-1], SLUG)
        told = [line for line in said.splitlines() if line.startswith("LEFT: bench-01 small.")]
        there = (e.folder.autograded("bench-02", SLUG) / "marks.json").is_file()
        page = (e.folder.feedback("bench-02", SLUG) / "small.html").is_file()
        seen = {"mark": there, "feedback": page, "report": "report.pdf" in said}
        done = (seen | {"items": "area" in said})[words[-1]]
        honest = "done" if done else said.splitlines()[-1:]
        return f"exit {code}, {len(told)} line, bench-02 {honest}"

    return run


LEFT = "exit 1, 1 line, bench-02 done"


@attack("one student: mark", LEFT)
def a_folder_lies_where_the_marked_notebook_goes(e):
    def between(e):
        (e.folder.autograded("bench-01", SLUG) / "small.ipynb" / "x").mkdir(parents=True)

    return _steps("mark")(e, between)


@attack("one student: mark", LEFT)
def a_file_lies_where_the_student_s_marked_work_goes(e):
    def between(e):
        place = e.folder.path / "autograded"
        place.mkdir(exist_ok=True)
        (place / "bench-01").write_text("in the way")

    return _steps("mark")(e, between)


@attack("one student: mark", "exit 0, 0 line, bench-02 done")
def folders_1000_deep_were_handed_in(e):
    return _steps("mark")(e, lambda e: _deep(e.folder.submitted("bench-01", SLUG) / "a"))


@attack("one student: mark", "exit 0, 0 line, bench-02 done")
def a_name_of_250_letters_was_handed_in(e):
    def between(e):
        (e.folder.submitted("bench-01", SLUG) / ("n" * 250)).write_text("x")

    return _steps("mark")(e, between)


@attack("one student: mark", "exit 0, 0 line, bench-02 done")
def pipes_were_handed_in(e):
    def between(e):
        place = e.folder.submitted("bench-01", SLUG)
        for name in ("small.ipynb", "timestamp.txt", "x.csv"):
            (place / name).unlink(missing_ok=True)
            os.mkfifo(place / name)

    return _steps("mark")(e, between)


RECORDS = {
    "is cut off": '{"marks": [',
    "is a list": "[]",
    "has a list for a question": '{"marks": [{"question": [], "marks": 1, "out_of": 1, "verdict": "x",'
    ' "reason": "x"}], "repairs": [], "fingerprint": "", "values": {}, "stops": {}, "written": {},'
    ' "limits": {}}',
    "has a number for a reason": '{"marks": [{"question": "area", "marks": 0, "out_of": 2,'
    ' "verdict": "blank", "reason": 7}], "repairs": [], "fingerprint": "", "values": {},'
    ' "stops": {}, "written": {}, "limits": {}}',
    "is 100,000 lists deep": "[" * 100_000,
}


def _record(text: str, *words: str) -> Callable[[Evening], str]:
    def between(e: Evening) -> None:
        (e.folder.autograded("bench-01", SLUG) / "marks.json").write_text(text)

    return lambda e: _steps("mark", *words)(e, between)


SAID = "exit 0, 1 line, bench-02 done"
ATTACKS += [
    Attack(
        f"one student: {word}", f"a record of marking {name}, then {word}", _record(text, word), x
    )
    for name, text in RECORDS.items()
    for word, x in (("items", SAID), ("report", SAID), ("mark", "exit 0, 0 line, bench-02 done"))
    if "deep" not in name or word != "mark"
]


def _no_number(word: str) -> Callable[[Evening], str]:
    def between(e: Evening) -> None:
        with closing(sqlite3.connect(e.folder.path / "gradebook.db")) as book, book:
            book.execute("""
                UPDATE grade SET manual_score = 'good' WHERE id = (
                    SELECT grade.id FROM grade
                    JOIN submitted_notebook ON submitted_notebook.id = grade.notebook_id
                    JOIN submitted_assignment
                        ON submitted_assignment.id = submitted_notebook.assignment_id
                    WHERE submitted_assignment.student_id = 'bench-01' LIMIT 1)
            """)

    return lambda e: _steps("mark", word)(e, between)


ATTACKS += [
    Attack("one student: items", "a mark that is no number", _no_number("items"), SAID),
    Attack(
        "one student: report",
        "a mark that is no number, in the report",
        _no_number("report"),
        "exit 0, 2 line, bench-02 done",  # the standing and the item analysis
    ),
]


@attack("one student: report", "exit 0, 1 line about the bench record, report True")
def a_bench_record_is_damaged_in_both_copies(e):
    one = bench_record.Reading("bench-01", SLUG, "gap", 1, 1.0, "mm")
    bench_record.record(e.folder, [one, replace(one, reading=2)])
    for place in (e.folder.path, e.folder.made):
        file = place / "bench" / f"{SLUG}.csv"
        file.write_text(file.read_text().replace(",gap,", ",gop,", 1))
    code, said = e.call("report")
    lines = [x for x in said.splitlines() if x.startswith(f"LEFT: the bench record of {SLUG}.")]
    return f"exit {code}, {len(lines)} line about the bench record, report {'report.pdf' in said}"


@attack("one student: feedback", LEFT)
def the_marked_notebook_is_damaged(e):
    def between(e):
        (e.folder.autograded("bench-01", SLUG) / "small.ipynb").write_text("{")

    return _steps("mark", "feedback")(e, between)


@attack("one student: feedback", LEFT)
def the_numbers_beside_it_are_damaged(e):
    def between(e):
        (e.folder.autograded("bench-01", SLUG) / "numbers.json").write_text("[]")

    return _steps("mark", "feedback")(e, between)


@attack("one student: feedback", LEFT)
def a_folder_lies_where_the_page_goes(e):
    def between(e):
        (e.folder.feedback("bench-01", SLUG) / "small.html" / "x").mkdir(parents=True)

    return _steps("mark", "feedback")(e, between)


@attack("one student: report", "exit 0, 1 line, bench-02 done")
def the_marked_notebook_is_no_notebook_when_the_report_looks(e):
    def between(e):
        path = e.folder.autograded("bench-01", SLUG) / "small.ipynb"
        path.write_text('{"cells": [{}], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}')
        os.utime(e.folder.submitted("bench-01", SLUG) / "small.ipynb", (2**33, 2**33))

    return _steps("mark", "report")(e, between)


def _packed(e: Evening) -> str:
    target = e.inbox / "packed.zip"
    code, said = e.call("class", "pack", target)
    told = [line for line in said.splitlines() if line.startswith("LEFT: ")]
    if not target.is_file():
        return said
    with zipfile.ZipFile(target) as archive:
        names = archive.namelist()
    whole = any(n.endswith("class/secret") for n in names)
    honest = any(n.endswith("submitted/bench-02/small/small.ipynb") for n in names)
    return f"exit {code}, {len(told)} line, secret {whole}, bench-02 {honest}"


PACKED = "exit 1, 1 line, secret True, bench-02 True"


@attack("one student: pack", PACKED)
def a_name_that_is_no_text_is_packed(e):
    small.hand_in(e.work, "bench-02")
    place = small.hand_in(e.work, "bench-01")
    Path(os.fsdecode(os.fsencode(place) + b"/\xff.csv")).write_text("x")
    return _packed(e)


@attack("one student: pack", PACKED)
def folders_1000_deep_are_packed(e):
    small.hand_in(e.work, "bench-02")
    _deep(small.hand_in(e.work, "bench-01") / "a")
    return _packed(e)


@attack("one student: pack", "exit 0, 0 line, secret True, bench-02 True, notes True")
def a_student_s_file_called_part_is_packed_too(e):
    small.hand_in(e.work, "bench-02")
    (small.hand_in(e.work, "bench-01") / "notes.part").write_text("x")
    said = _packed(e)
    with zipfile.ZipFile(e.inbox / "packed.zip") as archive:
        return f"{said}, notes {any(n.endswith('notes.part') for n in archive.namelist())}"


def _hostile_files(e: Evening, student: str) -> None:
    place = small.hand_in(e.work, student)
    _deep(place / "a")
    Path(os.fsdecode(os.fsencode(place) + b"/\xff.csv")).write_text("x")


@attack("one student: erase", "exit 0, gone True, others True")
def a_student_with_deep_folders_is_erased(e):
    for student in ("bench-01", "bench-02"):
        _hostile_files(e, student)
    code, _ = e.call("student", "erase", "bench-01", "--yes")
    there = [e.folder.submitted(s, SLUG).is_dir() for s in ("bench-01", "bench-02")]
    return f"exit {code}, gone {not there[0]}, others {there[1]}"


@attack("one student: export", "exit 1, 1 line, notebook True, ?.csv True")
def a_student_with_deep_folders_is_exported(e):
    _hostile_files(e, "bench-01")
    code, said = e.call("student", "export", "bench-01", e.inbox / "own.zip")
    told = [line for line in said.splitlines() if line.startswith("LEFT: ")]
    with zipfile.ZipFile(e.inbox / "own.zip") as archive:
        names = archive.namelist()
    there = [f"submitted/small/{name}" in names for name in ("small.ipynb", "?.csv")]
    return f"exit {code}, {len(told)} line, notebook {there[0]}, ?.csv {there[1]}"


# --- 2: disks that ignore capitals ------------------------------------------------------------

FORGED = [
    "TIMESTAMP.TXT", "timestamp.txt.", "timestamp.txt ", "timestamp.txt::$DATA", "ｔimestamp.txt",
    "time\u200bstamp.txt", "TIMEST~1.TXT", "MARKS.JSON", "NUMBERS.json",
]  # fmt: skip


def _forged(name: str) -> Callable[[Evening], str]:
    def act(e: Evening) -> str:
        content = b"2026-01-01 00:00:00 UTC\n"
        e.put("a.zip", zipped({"small.ipynb": e.notebook(), name: content}))
        with_stamp = e.take()
        return f"{with_stamp}: {', '.join(e.kept())}"

    return act


ATTACKS += [
    Attack(
        "capitals",
        f"a zip with {name!r}",
        _forged(name),
        "left: " if ":" in name else "taken bench-03: small.ipynb, timestamp.txt",
    )
    for name in FORGED
]


@attack("capitals", "left")
def a_member_twice_but_for_the_spelling(e):
    e.put(
        "a.zip",
        zipped({"caf\u00e9.csv": b"1", "cafe\u0301.csv": b"2", "small.ipynb": e.notebook()}),
    )
    return e.take()


@attack("capitals", "left")
def a_member_twice_but_for_a_dot(e):
    e.put("a.zip", zipped({"data.csv": b"1", "DATA.csv.": b"2", "small.ipynb": e.notebook()}))
    return e.take()


@attack("capitals", "left, taken bench-03")
def an_archive_in_the_archive_with_a_dot(e):
    """It is one, whatever its name ends in, and it does not read; the rest does."""
    e.put("a.zip", zipped({"in.ZIP.": b"1", "small.ipynb": e.notebook()}))
    return e.take()


@attack("capitals", "small.ipynb, timestamp.txt")
def a_device_of_windows_beside_good_work(e):
    e.put("a.zip", zipped({"con.csv": b"1", "a/NUL": b"2", "small.ipynb": e.notebook()}))
    e.take()
    return ", ".join(e.kept())


@attack("capitals", "[]")
def lookalikes_beside_submitted_work_are_not_marked(e):
    place = small.hand_in(e.work, "bench-01")
    for name in ("TIMESTAMP.TXT", "Marks.JSON", "SMALL.IPYNB", "NUMBERS.JSON"):
        (place / name).write_text("x")
    e.call("mark", SLUG)
    own = {"small.ipynb", "timestamp.txt", "numbers.json", "marks.json"}
    there = {p.name for p in e.folder.autograded("bench-01", SLUG).iterdir()}
    return str(sorted(there - own))


def _ids(*ids: str) -> Callable[[Evening], str]:
    def act(e: Evening) -> str:
        path = e.put("roster.csv", ("id,name\n" + "".join(f"{i},x\n" for i in ids)).encode())
        try:
            return str(len(read_roster(path, fresh=True).students))
        except ClassError as error:
            return "refused" if "must" in str(error) else str(error)

    return act


ATTACKS += [
    Attack("capitals", "ids that differ in capitals", _ids("Bench-1", "bench-1"), "refused"),
    Attack("capitals", "ids that differ in width", _ids("bench-1", "bench-１"), "refused"),
    Attack("capitals", "ids that differ in a long s", _ids("ross", "roſs"), "refused"),
    Attack("capitals", "an id that is a device", _ids("ＣＯＭ1.x"), "refused"),
]


# --- 3: evidence is ranked --------------------------------------------------------------------


def _after_stamped(e: Evening, name: str, by_file_time: bool = False) -> None:
    e.take(e.put("first/x.ipynb", e.notebook(note="stamped"), NOW - timedelta(days=2)))
    shutil.rmtree(e.inbox / "first")
    path = e.put(name, e.notebook(note="foreign", stamped=False), NOW - timedelta(days=1))
    e.take(path.parent if path.parent != e.inbox else path, by_file_time=by_file_time)


@attack("evidence", "stamped")
def an_unstamped_file_in_another_s_folder(e):
    _after_stamped(e, "bench-03/x.ipynb")
    return e.counts()


@attack("evidence", "stamped")
def an_unstamped_file_named_after_another(e):
    _after_stamped(e, "bench-03 small.ipynb")
    return e.counts()


@attack("evidence", "2 kept, older, says --student True")
def weaker_work_is_kept_and_said(e):
    e.take(e.put("x.ipynb", e.notebook(note="stamped")))
    path = e.put("bench-03 y.ipynb", e.notebook(note="foreign", stamped=False))
    said = e.call("take-in", path)[1]
    kept = kept_versions.versions(e.folder, "bench-03", SLUG)
    what = "older" if said.startswith("kept, not newest") else said
    return f"{len(kept)} kept, {what}, says --student {'--student bench-03' in said}"


@attack("evidence", "foreign")
def with_student_weaker_work_counts(e):
    _after_stamped(e, "bench-03 small.ipynb")
    e.take(e.inbox / "bench-03 small.ipynb", student="bench-03")
    return e.counts()


@attack("evidence", "own again")
def a_stamped_one_counts_again_after_that(e):
    _after_stamped(e, "bench-03 small.ipynb")
    e.take(e.inbox / "bench-03 small.ipynb", student="bench-03")
    e.take(e.put("z.ipynb", e.notebook(note="own again")))
    return e.counts()


@attack("evidence", "named")
def a_folder_s_name_after_a_file_s_name(e):
    e.take(e.put("bench-03 a.ipynb", e.notebook(note="named", stamped=False)))
    e.take(e.put("bench-03/b.ipynb", e.notebook(note="folder", stamped=False)).parent)
    return e.counts()


@attack("evidence", "stamped")
def a_numbers_file_after_a_stamp(e):
    e.take(e.put("a.ipynb", e.notebook(note="stamped")))
    e.put("x/a.ipynb", e.notebook(note="foreign", stamped=False))
    e.put("x/numbers.json", json.dumps({"student": "bench-03"}).encode())
    e.take(e.inbox / "x")
    return e.counts()


@attack("evidence", "left")
def archive_and_folder_disagree(e):
    e.put("bench-01.zip", zipped({"bench-03/x.ipynb": e.notebook(stamped=False)}))
    return e.take()


@attack("evidence", "left")
def file_and_folder_disagree(e):
    e.put("bench-01/bench-03 x.ipynb", e.notebook(stamped=False))
    return e.take()


@attack("evidence", "stamped, older bench-03, taken bench-03")
def an_unstamped_twin_of_the_same_minute_blocks_nobody(e):
    e.put("a.ipynb", e.notebook(note="stamped"), NOW)
    e.put("bench-03/b.ipynb", e.notebook(note="foreign", stamped=False), NOW)
    said = e.take()
    return f"{e.counts()}, {said}"


# --- 4: the clock -----------------------------------------------------------------------------


class _Clock(datetime):
    ahead = timedelta()

    @classmethod
    def now(cls, tz=None):
        return datetime.now(tz) + cls.ahead


def _at(e: Evening, days: int, data: bytes, **more: object) -> str:
    """Take work in by a clock that many days ahead."""
    places = [m for n, m in sys.modules.items() if n.startswith("coursekit.classroom.intake.")]
    before = [(m, m.datetime) for m in places if hasattr(m, "datetime")]
    _Clock.ahead = timedelta(days=days)
    try:
        for module, _ in before:
            module.datetime = _Clock
        return e.take(e.put("x.ipynb", data), **more)
    finally:
        for module, real in before:
            module.datetime = real


@attack("clock", "taken bench-03: after")
def work_after_a_clock_400_days_ahead(e):
    _at(e, 400, e.notebook(note="ahead"))
    return f"{_at(e, 0, e.notebook(note='after'))}: {e.counts()}"


@attack("clock", "taken bench-03, taken bench-03: third")
def work_goes_on_in_turn_after_it(e):
    _at(e, 400, e.notebook(note="ahead"))
    said = [_at(e, 0, e.notebook(note=n)) for n in ("second", "third")]
    return f"{', '.join(said)}: {e.counts()}"


@attack("clock", "True")
def late_work_is_judged_by_the_clock_of_now(e):
    _at(e, 400, e.notebook(note="ahead"))
    _at(e, 0, e.notebook(note="after"))
    return str(e.stamp().startswith(f"{NOW:%Y-%m-%d}"))


@attack("clock", "taken bench-03: after")
def came_given_after_a_clock_ahead(e):
    _at(e, 400, e.notebook(note="ahead"))
    said = _at(e, 0, e.notebook(note="after"), came=NOW - timedelta(days=1))
    return f"{said}: {e.counts()}"


@attack("clock", "taken bench-03: after")
def work_by_a_clock_behind(e):
    _at(e, 0, e.notebook(note="before"))
    return f"{_at(e, -400, e.notebook(note='after'))}: {e.counts()}"


@attack("clock", "True: after")
def a_file_s_time_in_the_future_is_clamped(e):
    e.take(
        e.put("x.ipynb", e.notebook(note="future"), NOW + timedelta(days=900)), by_file_time=True
    )
    clamped = e.stamp().startswith(f"{NOW:%Y-%m}")
    e.take(e.put("x.ipynb", e.notebook(note="after")))
    return f"{clamped}: {e.counts()}"


@attack("clock", "taken bench-03: after")
def a_timestamp_of_the_year_9999_lay_in_submitted(e):
    small.hand_in(e.work, "bench-03", stamp="9999-12-31 23:59:59 UTC\n")
    return f"{e.take(e.put('x.ipynb', e.notebook(note='after')))}: {e.counts()}"


# --- 5: the terminal --------------------------------------------------------------------------

SIGNS = {
    "an escape sequence": ESCAPE,
    "the one-byte escape": "\x9b2Ktaken in",
    "a line of its own": "x\ntaken in: bench-01",
    "a turn back to the line's start": "x\rtaken in: bench-01",
    "right to left": "\u202egnp.x",
    "an isolate": "\u2067x\u2069",
    "backspaces": "x\b\b\b",
    "a title for the window": "\x1b]0;x\x07",
}


def printable(said: str) -> str:
    bad = sorted({hex(ord(c)) for c in said if not c.isprintable() and c != "\n"})
    lines = [x for x in said.splitlines() if x.startswith("taken in: bench-01")]
    return f"unprintable {bad}, forged lines {len(lines)}"


CLEAN = "unprintable [], forged lines 0"


def _named(sign: str, how: str) -> Callable[[Evening], str]:
    def act(e: Evening) -> str:
        if how == "in a zip":
            e.put("a.zip", zipped({f"{sign}.ipynb": e.notebook("bench-02")}))
        else:
            e.put(f"{sign}.ipynb", b"{}")
        words = ["--json"] if how == "as JSON" else []
        return printable(e.call("take-in", e.inbox, *words)[1])

    return act


ATTACKS += [
    Attack("terminal", f"{name}, {how}", _named(sign, how), CLEAN)
    for name, sign in SIGNS.items()
    for how in ("of a file", "in a zip", "as JSON")
    if how != "as JSON" or name in ("the one-byte escape", "right to left")
]


@attack("terminal", "left in a line")
def a_name_that_is_no_text(e):
    Path(os.fsdecode(os.fsencode(e.inbox) + b"/\xff.ipynb")).write_text("{}")
    code, said = e.call("take-in", e.inbox)
    return "left in a line" if said.startswith("LEFT: ") and code == 1 else said


@attack("terminal", CLEAN)
def an_exercise_s_folder_with_an_escape(e):
    (e.folder.path / "submitted" / "bench-01" / ESCAPE).mkdir(parents=True)
    return printable(e.call("class", "show")[1])


@attack("terminal", "0 [/bold] [red]x[/red]")
def markup_in_a_title(e):
    (e.folder.path / "class.toml").write_text('title = "[/bold] [red]x[/red]"\n')
    code, said = e.call("class", "show")
    return f"{code} {'[/bold] [red]x[/red]' if '[/bold] [red]x[/red]' in said else said}"


@attack("terminal", CLEAN)
def an_error_that_names_a_path(e):
    return printable(e.call("take-in", e.inbox / f"none{ESCAPE}")[1])


@attack("terminal", CLEAN)
def the_path_of_a_report(e):
    small.hand_in(e.work, "bench-01")
    e.call("mark", SLUG)
    return printable(e.call("report", "--out", e.inbox / f"r{ESCAPE}")[1])


@attack("terminal", CLEAN)
def a_packed_file_s_name(e):
    place = small.hand_in(e.work, "bench-01")
    _deep(place / ESCAPE.replace("/", ""), 60)
    return printable(e.call("class", "pack", e.inbox / "p.zip")[1])


def tried(one: Attack, path: Path, evening: type[Evening] = Evening) -> str:
    """What comes of an attack on the class that lies at `path`."""
    try:
        return one.act(evening(path))
    except Exception as error:
        return f"ended the evening: {type(error).__name__}: {error}"
    finally:
        subprocess.run(["rm", "-rf", path], check=True)  # which goes down 1,000 folders


def table(attacks: list[Attack], words: list[str], evening: type[Evening] = Evening) -> int:
    """Try the attacks that have one of the words and print what came; return how many went wrong."""
    wrong = 0
    tries = [a for a in attacks if not words or any(w in f"{a.point} {a.name}" for w in words)]
    with tempfile.TemporaryDirectory() as place:
        small.evening(Path(place) / "made", 4)
        for number, one in enumerate(tries):
            copy = Path(place) / f"{number}"
            shutil.copytree(Path(place) / "made", copy)
            got = tried(one, copy, evening)
            wrong += got != one.expected
            sign = "ok   " if got == one.expected else "WRONG"
            print(f"{sign} {one.point}: {one.name}", flush=True)
            print(f"      expected {one.expected!r}\n      got      {got[:300]!r}", flush=True)
    print(f"{len(tries)} attacks, {wrong} went wrong")
    return wrong


if __name__ == "__main__":
    raise SystemExit(1 if table(ATTACKS, sys.argv[1:]) else 0)
