"""One class in which every attack of the tables is handed in by a student, marked in one run."""

from __future__ import annotations

import contextlib
import os
import pickle
import socket
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path

import nbformat
import pytest

from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook.opener import gradebook
from coursekit.classroom.gradebook.reader import scores
from coursekit.classroom.handout import assignments
from coursekit.classroom.marking import mark_class
from coursekit.classroom.register.class_folder import (
    Student,
    load,
    open_class,
    write_text,
)
from coursekit.classroom.register.secret import make_secret
from coursekit.classroom.running.cage.layers import Layers, layers
from coursekit.classroom.running.limits import Limits
from tests.tools import lack

from . import attacks, files

SLUG = "miter-angles"
FIRST = "mill-setting"
CANARY = "canary-4711-of-the-instructor"
SLEEP = f"86400.{os.getpid()}"
LIMITS = Limits(
    cell=1.0, notebook=10.0, memory=6e8, scratch=2e7, file=1e7, output=4e6, processes=40
)
HONEST = ("honest-1", "honest-2", "honest-3")


@pytest.fixture(scope="session")
def found() -> Layers:
    """The layers that hold on this machine; a test that needs them is skipped where none do."""
    holds = layers()
    if not holds.isolated:
        lack("this machine cannot cage a notebook: " + "; ".join(holds.missing))
    return holds


class Ears:
    """Listens at every address that an attack calls."""

    def __init__(self, folder: Path) -> None:
        self.heard: list[bytes] = []
        self.abstract = f"coursekit-{os.getpid()}"
        self.tcp = socket.create_server(("127.0.0.1", 0))
        self.udp = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.udp.bind(("127.0.0.1", 0))
        self.unix, self.hidden = socket.socket(socket.AF_UNIX), socket.socket(socket.AF_UNIX)
        self.unix.bind(str(folder / "ear"))
        (folder / "ear").chmod(0o777)
        self.hidden.bind("\0" + self.abstract)
        self._all = [self.tcp, self.unix, self.hidden]
        for one in self._all[1:]:
            one.listen()
        self._threads = [threading.Thread(target=self._accept, args=(e,)) for e in self._all]
        self._threads.append(threading.Thread(target=self._receive))
        for thread in self._threads:
            thread.start()

    def _accept(self, ear: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while True:
                link, _ = ear.accept()
                self.heard.append(b"connected")
                link.close()

    def _receive(self) -> None:
        while (data := self.udp.recv(100)) != b"close":
            self.heard.append(data)

    def close(self) -> None:
        port = self.udp.getsockname()
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as last:
            last.sendto(b"close", port)
        for ear in self._all:
            ear.shutdown(socket.SHUT_RDWR)
            ear.close()
        for thread in self._threads:
            thread.join()
        self.udp.close()


@dataclass(frozen=True)
class Marked:
    """The class after the run: marks, outputs and reasons by student."""

    work: assignments.Assignment
    scores: dict[str, dict[str, float]]
    heard: list[bytes]
    before: dict[Path, bytes]
    folder: Path

    def printed(self, student: str) -> str:
        """All that the student's marked notebook shows."""
        path = self.work.folder.autograded(student, SLUG) / f"{SLUG}.ipynb"
        notebook = nbformat.read(path, as_version=4)
        return "\n".join(str(o) for c in notebook.cells for o in c.get("outputs", ()))

    def mark(self, student: str, question: str = FIRST):
        """The record of one question's mark."""
        record = mark_class.recorded(self.work.folder, student, SLUG)
        return next(m for m in record.marks if m.question == question)

    def machine_marks(self) -> dict[str, float]:
        return {q.id: q.marks for q in self.work.exercise.graded if q.kind != "written"}


def names(prefix: str, table: dict) -> dict[str, str]:
    """Return student id → name of the attack."""
    return {f"{prefix}-{i:02d}": name for i, name in enumerate(table, start=1)}


FORGERS, TRIERS = names("forger", attacks.FORGE), names("trier", attacks.TRY)
BREAKERS, FILERS = names("breaker", attacks.BREAK), names("filer", files.FILES)


@pytest.fixture(scope="session")
def marked(root, once, found) -> Marked:
    """The class, marked once."""
    place = once("hostile", lambda folder: _mark(folder, root))
    work = assignments.assignment(load(place / "class"), SLUG, root)
    with gradebook(work.folder) as book:
        got = scores(book, SLUG)
    heard, before = pickle.loads((place / "noted").read_bytes())
    return Marked(work, got, heard, before, place)


def _mark(place: Path, root: Path) -> None:
    """Hand the class out and in below `place`, mark it, and note what was heard and what was there before."""
    work = _class(place / "class", root)
    home = place / "home"
    home.mkdir()
    (home / "canary.txt").write_text(CANARY)
    (place / "tmp").mkdir()
    ears = Ears(place)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CANARY", CANARY)
        patch.setenv("HOME", str(home))
        patch.setattr(tempfile, "tempdir", str(place / "tmp"))
        try:
            _hand_in(work, _words(work, root, home, ears, place))
            with gradebook(work.folder):
                before = _tree(work.folder.path)
            mark_class.mark_class(work, limits=LIMITS, workers=2)
        finally:
            ears.close()
    (place / "noted").write_bytes(pickle.dumps((ears.heard, before)))


def _class(path: Path, root: Path) -> assignments.Assignment:
    ids = [HONEST[0], *FORGERS, *TRIERS, HONEST[1], *BREAKERS, *FILERS, HONEST[2]]
    path.mkdir()
    make_secret(path / "secret", invented_class.SECRET)
    open_class(path, [Student(i, i) for i in ids], "Hostile")
    work = assignments.assignment(load(path), SLUG, root)
    assignments.hand_out(work)
    return work


def _words(work, root, home, ears, place) -> dict[str, str]:
    return {
        "@CLASS@": str(work.folder.path),
        "@ROOT@": str(root),
        "@HOME@": str(home),
        "@CANARY@": CANARY,
        "@PORT@": str(ears.tcp.getsockname()[1]),
        "@UDP@": str(ears.udp.getsockname()[1]),
        "@UNIX@": str(place / "ear"),
        "@ABSTRACT@": ears.abstract,
        "@PID@": str(os.getpid()),
        "@SLEEP@": SLEEP,
    }


def _put(text: str, words: dict[str, str]) -> str:
    for word, stands_for in words.items():
        text = text.replace(word, stands_for)
    return text


def _hand_in(work: assignments.Assignment, words: dict[str, str]) -> None:
    for student in HONEST:
        extra = 'left = "LEFT-BY-ANOTHER"' if student == HONEST[0] else ""
        _submit(work, student, invented_class.right_cells(work, student), extra)
    for student, name in FORGERS.items():
        first, _, second = _put(attacks.FORGE[name], words).partition("#---\n")
        path = _submit(work, student, {FIRST: first} | ({"cutter": second} if second else {}))
        for file, text in attacks.BESIDE.get(name, {}).items():
            write_text(path.parent / file, text)
    for student, name in TRIERS.items():
        extra = attacks.ATTEMPT + _put(attacks.TRY[name], words)
        _submit(work, student, invented_class.right_cells(work, student), extra)
    for student, name in BREAKERS.items():
        cell = _put(attacks.BREAK[name].cell, words)
        _submit(work, student, invented_class.right_cells(work, student) | {FIRST: cell})
    for student, name in FILERS.items():
        path = _submit(work, student, invented_class.right_cells(work, student))
        text = path.read_text()
        path.unlink()
        files.FILES[name][0](path, text, work.folder.path)


def _submit(work, student: str, cells: dict[str, str], extra: str = "") -> Path:
    name = f"{SLUG}.ipynb"
    text = (work.folder.bundle(student, SLUG) / name).read_text(encoding="utf-8")
    notebook = invented_class.filled(nbformat.reads(text, as_version=4), cells)
    if extra:
        notebook.cells.insert(0, nbformat.v4.new_code_cell(extra, id="extra"))
    path = work.folder.submitted(student, SLUG) / name
    write_text(path, nbformat.writes(notebook))
    write_text(path.parent / "timestamp.txt", "2026-02-03 19:30:00 UTC\n")
    return path


def _tree(folder: Path) -> dict[Path, bytes]:
    """Return what an attack must leave as it is: everything but what the marking itself writes."""
    return {
        p: p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and not p.is_symlink() and ".db" not in p.name and p.stat().st_size < 10**7
    }
