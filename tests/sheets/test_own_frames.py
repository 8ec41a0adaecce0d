"""The paper of a student's own frame: everyone has one that can be built, and gets it whole."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments, frames
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.classroom.students import own_frames
from coursekit.cli import main
from coursekit.sheets import frame_facts, frame_file, fullsize, templates, tiles
from coursekit.sheets.build import Build
from tests.conftest import ROOT
from tests.sheets import paper


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    return invented_class.open_demo(tmp_path_factory.mktemp("class"))


def frame_of(folder: ClassFolder, student: str) -> Build:
    return frames.of_student(folder, student, "your-frame", ROOT)


def test_every_student_of_the_demo_class_has_a_frame_of_their_own(folder: ClassFolder) -> None:
    versions = set()
    for student in folder.students:
        own = frame_of(folder, student.id)
        assert len(own.trimmed) == 8
        for name in templates.mitered(own):
            templates.draw(own, name)
        assert tiles.grid(own).columns * tiles.grid(own).rows >= 12
        assert len(fullsize.scene(own)) > 100
        assert [found.say for found in own.findings if found.forbids] == []
        versions.add(own.version)
    assert len(versions) == len(folder.students)


def test_its_numbers_are_those_of_the_lesson(folder: ClassFolder) -> None:
    work = assignments.assignment(folder, "your-frame", ROOT)
    for student in folder.students[:4]:
        known = frame_facts.facts(frame_of(folder, student.id))
        for quantity in (q for q in work.exercise.quantities if q.fact):
            given = work.numbers(student.id)[quantity.name]
            assert given == frame_facts.given(known, quantity.fact), quantity.name


def test_a_real_frame_takes_the_place_of_the_drawn_one(tmp_path: Path) -> None:
    folder = invented_class.open_demo(tmp_path / "class")
    list(own_frames.put(folder, "bench-03", frame_file.EXAMPLE, ROOT))
    real = frame_file.read(frame_file.EXAMPLE)
    assert frame_of(folder, "bench-03").version == real.version
    assert frame_of(folder, "bench-03").builder == "bench-03 · Bench 3"
    assert frame_of(folder, "bench-04").version != real.version


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["sheets", *words], env={"COURSEKIT_ROOT": str(ROOT)})
    return done.exit_code, done.output


@pytest.mark.parametrize(("given", "where"), [(["ours.toml"], "ours-bench-03"), ([], "bench-03")])
def test_dossier_of_one_student(
    folder: ClassFolder,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    given: list[str],
    where: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("start", "ours.toml")[0] == 0
    words = ("--class", str(folder.path), "--student", "bench-03", "--no-tiles")
    code, said = run("dossier", *given, *words)
    assert (code, f"Dossier: build/{where}/dossier-a4.pdf" in said) == (0, True), said
    pages = paper.pages((tmp_path / f"build/{where}/dossier-a4.pdf").read_bytes())
    cover, own = paper.text(pages[0]), frame_of(folder, "bench-03")
    assert "bench-03 · Bench 3" in cover
    assert own.version in cover
    for say, value in (
        ("chainstay", own.frame.chainstay),
        ("front centre", own.frame.front_centre),
    ):
        assert re.search(rf"{say} {value:g} mm", cover)


REFUSED = [
    (("--student", "bench-03"), "A student's frame must come from a class; got no --class. Name its folder."),
    (("--class", "CLASS", "--student", "bench-99"), "a student must be on the roster; got 'bench-99'"),
    (("--class", "nowhere", "--student", "bench-03"), "nowhere: a class folder must hold class.toml"),
    (("--class", "CLASS", "--student", "bench-03", "--lesson", "no-such"), "exercises/no-such.md: the public half"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "message"), REFUSED)
def test_whose_frame_it_is_must_be_known(
    folder: ClassFolder,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    message: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_CLASS", raising=False)
    run("start", "ours.toml")
    given = [str(folder.path) if w == "CLASS" else w for w in words]
    code, said = run("templates", "ours.toml", *given)
    assert code == 1
    assert message in said
    assert not (tmp_path / "build").exists()


def test_a_frame_or_a_student_must_be_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, said = run("templates")
    assert (code, "A frame must be given; got neither FRAME nor --student." in said) == (2, True)
