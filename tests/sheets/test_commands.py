"""`coursekit sheets`: what each command writes, says and refuses."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from coursekit.cli import main
from tests.sheets import paper


@pytest.fixture
def here(tmp_path: Path, root: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COURSEKIT_ROOT", str(root))
    assert run("start", "mine.toml").exit_code == 0
    return tmp_path


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["sheets", *arguments])


def test_start_writes_a_frame_file_once(here: Path) -> None:
    again = run("start", "mine.toml")
    assert again.exit_code == 1
    assert "The frame file must be a new one; got mine.toml" in again.output
    assert (here / "mine.toml").read_text(encoding="utf-8").startswith("# A frame to build")
    assert run("start", "--whole", "all.toml").exit_code == 0
    told = run("closure", "all.toml")
    assert told.exit_code == 0
    assert "fork: length, drawing and blades" in told.output


MADE = [
    (("templates", "mine.toml"), "build/mine/templates-a4.pdf", "%PDF", "Wrap templates"),
    (("templates", "mine.toml", "--paper", "us-letter"), "build/mine/templates-us-letter.pdf", "%PDF", "Wrap"),
    (("templates", "mine.toml", "--out", "here.pdf"), "here.pdf", "%PDF", "Wrap templates"),
    (("cut-list", "mine.toml"), "build/mine/cut-list-a4.pdf", "%PDF", "Cut list"),
    (("fixture", "mine.toml", "--paper", "us-letter"), "build/mine/fixture-us-letter.pdf", "%PDF", "Fixture card"),
    (("tacks", "mine.toml"), "build/mine/tacks-a4.pdf", "%PDF", "Tack card"),
    (("alignment", "mine.toml"), "build/mine/alignment-a4.pdf", "%PDF", "Alignment record"),
    (("safety",), "build/safety-a4.pdf", "%PDF", "Safety card"),
    (("cut-list", "mine.toml", "--paper", "a3"), "build/mine/cut-list-a3.pdf", "%PDF", "Cut list"),
    (("alignment", "mine.toml", "--paper", "a0"), "build/mine/alignment-a0.pdf", "%PDF", "Alignment record"),
    (("safety", "--paper", "a2"), "build/safety-a2.pdf", "%PDF", "Safety card"),
    (("dossier", "mine.toml", "--paper", "a1"), "build/mine/dossier-a1.pdf", "%PDF", "Dossier"),
    (("drawing", "mine.toml", "--paper", "a3"), "build/mine/drawing-tiles-a3.pdf", "%PDF", "Full-size drawing"),
    (("drawing", "mine.toml"), "build/mine/drawing-tiles-a4.pdf", "%PDF", "Full-size drawing"),
    (("drawing", "mine.toml", "--as", "roll"), "build/mine/drawing-roll.pdf", "%PDF", "Full-size"),
    (("drawing", "mine.toml", "--as", "a0"), "build/mine/drawing-a0.pdf", "%PDF", "Full-size"),
    (("drawing", "mine.toml", "--as", "svg"), "build/mine/drawing.svg", "<svg", "Full-size"),
    (("drawing", "mine.toml", "--as", "dxf"), "build/mine/drawing.dxf", "  0\nSECTION", "Full-size"),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "path", "begins", "says"), MADE)
def test_what_is_written(
    here: Path, arguments: tuple[str, ...], path: str, begins: str, says: str
) -> None:
    done = run(*arguments)
    assert done.exit_code == 0, done.output
    assert f": {path}" in done.output
    assert done.output.startswith(says)
    assert (here / path).read_bytes().startswith(begins.encode())
    if begins == "%PDF":
        assert len(paper.pages((here / path).read_bytes())) >= 1


def test_mistakes_end_in_one_message(here: Path) -> None:
    gone = run("templates", "none.toml")
    assert gone.exit_code == 1
    assert "none.toml: the frame file must be there" in gone.output
    text = (here / "mine.toml").read_text(encoding="utf-8")
    (here / "mine.toml").write_text(text.replace("bb_drop = 70", "bb_drop = 700"), encoding="utf-8")
    wrong = run("templates", "mine.toml")
    assert wrong.exit_code == 1
    assert "mine.toml, [drawing]: The chainstay must be longer than the drop" in wrong.output
    assert not (here / "build").exists()
    assert run("templates", "mine.toml", "--paper", "b5").exit_code == 2


WRONG = [
    (("templates", "mine.toml", "--out", "."), 1, "--out must name a file; got ., which is a folder. Add a name to it."),
    (("safety", "--out", "."), 1, "--out must name a file; got ., which is a folder."),
    (("templates", "."), 1, "the frame file must be a text file; got"),
    (("drawing", "mine.toml", "--as", "pdf"), 2, "'pdf' is not one of 'a0', 'roll', 'tiles', 'svg', 'dxf'"),
    (("drawing",), 2, "A frame must be given; got neither FRAME nor --student."),
    (("dossier", "mine.toml", "--paper", "b4"), 2, "The paper must be one of a4, us-letter, a3, a2, a1, a0; got 'b4'."),
    (("draw", "mine.toml"), 2, "No such command 'draw'"),
    (("start",), 2, "Missing argument 'FILE'"),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "code", "message"), WRONG)
def test_wrong_words_are_told(
    here: Path, arguments: tuple[str, ...], code: int, message: str
) -> None:
    done = run(*arguments)
    assert done.exit_code == code
    assert message in done.output
    assert "Traceback" not in done.output
    assert not (here / "build").exists()


def test_a_frame_too_long_for_a0_is_told_what_to_take(here: Path) -> None:
    text = (here / "mine.toml").read_text(encoding="utf-8")
    (here / "mine.toml").write_text(
        text.replace("front_centre = 595", "front_centre = 760"), encoding="utf-8"
    )
    done = run("drawing", "mine.toml", "--as", "a0")
    assert done.exit_code == 1
    assert "Take roll, or print tiles." in done.output


def test_cards_of_the_course_need_the_course(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COURSEKIT_ROOT")
    for words in (("safety",), ("dossier", "mine.toml", "--no-tiles")):
        done = run(*words)
        assert done.exit_code == 1
        assert "must be run inside the course's folder" in done.output
