"""The instructor's frame file with each student's own numbers in it: everyone gets a frame that can be cut."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments
from coursekit.classroom.handout.assignments import Assignment
from coursekit.cli import main
from coursekit.sheets import frame_file, fullsize, templates, tiles
from tests.conftest import ROOT
from tests.sheets import paper


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Assignment:
    folder = invented_class.open_demo(tmp_path_factory.mktemp("class"))
    return assignments.assignment(folder, "frame-drawing", ROOT)


def test_the_example_fits_every_student_of_the_demo_class(work: Assignment) -> None:
    data = frame_file.tables(frame_file.EXAMPLE)
    versions = set()
    for student in work.folder.students:
        numbers = work.numbers(student.id)
        own = frame_file.build(frame_file.with_numbers(data, numbers))
        assert own.frame.front_centre == pytest.approx(numbers["front_centre"])
        assert own.pieces["head_tube"].diameter == numbers["head_diameter"]
        assert len(own.trimmed) == 8
        for name in templates.mitered(own):
            templates.draw(own, name)
        assert tiles.grid(own).columns * tiles.grid(own).rows >= 15
        assert len(fullsize.scene(own)) > 100
        assert [found.say for found in own.findings if found.forbids] == []
        versions.add(own.version)
    assert len(versions) == len(work.folder.students)


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["sheets", *words], env={"COURSEKIT_ROOT": str(ROOT)})
    return done.exit_code, done.output


def test_dossier_of_one_student(
    work: Assignment, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("start", "ours.toml")[0] == 0
    code, said = run(
        "dossier",
        "ours.toml",
        "--class",
        str(work.folder.path),
        "--student",
        "bench-03",
        "--no-tiles",
    )
    assert (code, "Dossier: build/ours-bench-03/dossier-a4.pdf" in said) == (0, True), said
    pages = paper.pages((tmp_path / "build/ours-bench-03/dossier-a4.pdf").read_bytes())
    cover = paper.text(pages[0])
    numbers = work.numbers("bench-03")
    assert "bench-03 · Bench 3" in cover
    assert re.search(rf"chainstay {numbers['chainstay']:g} mm", cover)
    assert re.search(rf"front centre {numbers['front_centre']:g} mm", cover)


REFUSED = [
    (("--student", "bench-03"), "A student's numbers must come from a class; got no --class. Name its folder."),
    (("--class", "CLASS", "--student", "bench-99"), "a student must be on the roster; got 'bench-99'"),
    (("--class", "nowhere", "--student", "bench-03"), "nowhere: a class folder must hold class.toml"),
    (("--class", "CLASS", "--student", "bench-03", "--lesson", "no-such"), "exercises/no-such.md: the public half"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "message"), REFUSED)
def test_whose_numbers_must_be_known(
    work: Assignment,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    message: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COURSEKIT_CLASS", raising=False)
    run("start", "ours.toml")
    given = [str(work.folder.path) if w == "CLASS" else w for w in words]
    code, said = run("templates", "ours.toml", *given)
    assert code == 1
    assert message in said
    assert not (tmp_path / "build").exists()
