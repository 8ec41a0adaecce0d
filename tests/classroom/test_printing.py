"""What is to be printed is counted before it is written, in one place for every command."""

from __future__ import annotations

import io
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

from coursekit.classroom.demo import invented_class
from coursekit.classroom.handout import assignments, printing
from coursekit.classroom.register import paper_places
from coursekit.classroom.register.class_folder import ClassError
from coursekit.cli import main
from coursekit.sheets import page
from tests.conftest import ROOT
from tests.sheets import paper

from . import small

ALL = ["worksheets", "blank", "key"]


@pytest.fixture
def work(tmp_path: Path) -> assignments.Assignment:
    return small.evening(tmp_path, 3)


def plan(work, kinds=ALL, **more):
    return printing.plan(work.folder, work.root, kinds, [work.slug], **more)


def files(work):
    return {p.relative_to(work.folder.path).as_posix() for p in work.folder.path.rglob("*.pdf")}


def bookmarks(path: Path) -> list[str]:
    return [o[1] for o in pdfplumber.open(io.BytesIO(path.read_bytes())).doc.get_outlines()]


def test_a_plan_counts_what_will_be_written_and_writes_nothing(work) -> None:
    before = files(work)
    made = plan(work)
    assert files(work) == before
    assert [d.student for d in made.documents] == ["bench-01", "bench-02", "bench-03", "", ""]
    done = printing.write(made, work.folder.path)
    for document, path in zip(made.documents, done.files, strict=True):
        assert document.sides == document.sheets == len(paper.pages(path.read_bytes()))
    assert made.sheets == sum(d.sides for d in made.documents)
    assert made.lines()[-1] == f"In all {made.sheets} sheets of A4, printed on one side."
    assert made.facts()[0]["title"] == "Small · bench-01 · Bench 1"


def test_what_was_counted_is_not_set_again(work, monkeypatch) -> None:
    made = plan(work)
    monkeypatch.setattr(page, "_set", lambda *what: pytest.fail("set again"))
    printing.write(made, work.folder.path)
    assert [d.pdf for d in plan(work).documents] == [d.pdf for d in made.documents]
    page.forget()
    with pytest.raises(pytest.fail.Exception):
        plan(work)


def test_paper_sizes_and_large_print_lie_apart(work) -> None:
    for how in (printing.How(), printing.How("us-letter"), printing.How(large=True)):
        printing.write(plan(work, how=how), work.folder.path)
    home = work.folder.path / "worksheets" / "small"
    assert {p.name for p in home.iterdir()} == {"a4", "us-letter", "a4-large"}
    wide = {p.name: paper.pages((p / "class.pdf").read_bytes())[0].width for p in home.iterdir()}
    assert wide["us-letter"] == pytest.approx(8.5 * 72, abs=0.5)  # 8 1/2 in
    assert wide["a4"] == pytest.approx(210 / paper.MM, abs=0.5)
    keys = {p.name for p in (work.folder.path / "answer-key").iterdir()}
    assert keys == {"small-a4.pdf", "small-us-letter.pdf"}


def test_some_students_get_theirs_and_the_class_set_stays(work) -> None:
    done = printing.write(plan(work, students=["bench-03", "bench-01"]), work.folder.path)
    assert [p.stem for p in done.files] == ["bench-01", "bench-03", "blank", "small-a4"]
    assert done.sets == ()
    assert printing.write(plan(work), work.folder.path).sets[0].name == "class.pdf"
    with pytest.raises(ClassError, match="nobody"):
        plan(work, students=["nobody"])


def test_a_pile_has_every_document_on_sheets_of_its_own(work) -> None:
    for two_sided in (False, True):
        how = printing.How(two_sided=two_sided)
        made = plan(work, ["worksheets", "key"], how=how)
        assert [d.kind for d in made.documents] == [*["worksheets"] * 3, "key"]
        done = printing.write(made, work.folder.path, pile=True)
        assert done.pile == work.folder.path / "to-print" / f"{how.name}.pdf"
        assert bookmarks(done.pile) == [d.title for d in made.documents]
        pages = paper.pages(done.pile.read_bytes())
        if not two_sided:
            assert len(pages) == made.sides == made.sheets
            assert all(on.chars for on in pages)
        else:
            assert len(pages) == 2 * made.sheets
        again = printing.write(plan(work, ["worksheets"], how=how), work.folder.path, pile=True)
        assert len(bookmarks(again.pile)) == 3


def test_the_paper_of_students_own_frames(tmp_path: Path) -> None:
    folder = invented_class.open_demo(tmp_path)
    made = printing.plan(folder, ROOT, ["cut-list", "tacks"], [], ["bench-02"], printing.How("a3"))
    assert [(d.kind, d.student, d.sheets) for d in made.documents] == [
        ("cut-list", "bench-02", 1),
        ("tacks", "bench-02", 1),
    ]
    done = printing.write(made, folder.path)
    assert [p.relative_to(folder.path).as_posix() for p in done.files] == [
        "frame-paper/bench-02/cut-list-a3.pdf",
        "frame-paper/bench-02/tacks-a3.pdf",
    ]
    with pytest.raises(ValueError, match="A paper must be a4 or us-letter; got 'a3'"):
        printing.plan(folder, ROOT, ["blank"], ["shop-maths"], how=printing.How("a3"))


def test_progress_is_told_by_the_count(work) -> None:
    told = []
    made = plan(work, tell=lambda words, done, of: told.append((words, done, of)))
    assert [(done, of) for _, done, of in told] == [(i, 5) for i in range(1, 6)]
    assert told[0][0] == "Small · bench-01 · Bench 1"
    told.clear()
    printing.write(made, work.folder.path, lambda *said: told.append(said), pile=True)
    assert [said[1:] for said in told] == [(i, 7) for i in range(1, 8)]


def test_who_has_a_worksheet_is_found_on_every_paper_and_where_it_lay_before(work) -> None:
    assert paper_places.printed(work.folder, "small") == frozenset()
    how = printing.How("us-letter", large=True)
    printing.write(plan(work, ["worksheets"], students=["bench-02"], how=how), work.folder.path)
    home = work.folder.path / "worksheets" / "small"
    for before in (home / "bench-01.pdf", home / "large" / "bench-03.pdf", home / "class.pdf"):
        before.parent.mkdir(exist_ok=True)
        before.write_bytes(b"%PDF")
    assert paper_places.printed(work.folder, "small") == {"bench-01", "bench-02", "bench-03"}
    assert paper_places.own_worksheets(work.folder, "bench-03") == [home / "large" / "bench-03.pdf"]


def test_the_command_says_how_many_sheets_before_it_says_where(work, monkeypatch) -> None:
    monkeypatch.setenv("COURSEKIT_ROOT", str(work.root))
    on = ["--class", str(work.folder.path)]
    said = CliRunner().invoke(main, ["worksheets", "small", *on, "--two-sided", "--worked-key"])
    assert said.exit_code == 0, said.output
    lines = said.output.splitlines()
    counted = next(i for i, line in enumerate(lines) if "In all " in line)
    assert lines[counted].endswith("sheets of A4, printed on both sides.")
    where = next(i for i, line in enumerate(lines) if line.startswith("Class set: "))
    assert counted < where
    assert (work.folder.path / "worksheets/small/a4-two-sided/class.pdf").is_file()
    assert (work.folder.path / "answer-key/small-a4-worked.pdf").is_file()
