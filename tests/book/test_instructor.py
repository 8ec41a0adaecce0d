"""The instructor's edition: what it holds, and that students can't get it."""

from __future__ import annotations

import html
import re
import shutil

import click
import pytest
import yaml
from click.shell_completion import ShellComplete

from coursekit import cli
from coursekit.book import build, instructor
from coursekit.book.build import BookError
from coursekit.classroom.handout import zips
from coursekit.classroom.register.class_folder import ClassError
from coursekit.commands import reference
from tests.classroom import small
from tests.classroom.test_cli import call


@pytest.fixture(scope="module")
def course(root, tmp_path_factory):
    """A course of one small lesson with the book's own settings."""
    place = small.write(tmp_path_factory.mktemp("course"))
    shutil.copy(root / "course" / "_config.yml", place / "course")
    for name in ("references.bib", "commands.md"):
        shutil.copy(root / "course" / name, place / "course")
    (place / "course" / "_toc.yml").write_text(
        "format: jb-book\nroot: intro\nparts:\n  - caption: One\n    chapters:\n      - file: small\n      - file: commands\n"
    )
    (place / "course" / "intro.md").write_text("# Start\n\nRead on.\n")
    (place / "course" / "small.md").write_text("# Small\n\nA square has four sides.\n")
    with (place / "solutions" / "small.md").open("a") as file:
        file.write("\n## notes\n- **At the bench.** Draw one on the wall.\n")
    return place


@pytest.fixture(scope="module")
def edition(course):
    return instructor.make(course).parent


SECRETS = ("You went round it.", "Draw one on the wall.", "squared.", "perimeter")


def test_every_page_carries_the_banner_and_the_solutions_are_worked(edition):
    pages = [p for p in edition.glob("*.html") if p.name not in ("genindex.html", "search.html")]
    assert {p.name for p in pages} == {
        *("index.html", "intro.html", "small.html", "small-solutions.html", "commands.html"),
        "lesson-counts.html",
    }
    for page in pages:
        if page.name != "index.html":  # it only leads on to the first page
            assert instructor.BANNER in page.read_text()
    text = (edition / "small-solutions.html").read_text()
    for words in SECRETS:
        assert words in text
    assert "{side}" not in text
    assert "small-solutions.html" in (edition / "small.html").read_text()


def test_a_page_has_the_lessons_in_numbers(edition):
    text = (edition / "lesson-counts.html").read_text()
    rows = [
        [html.unescape(re.sub(r"<[^>]+>", "", cell)).strip() for cell in cells]
        for row in re.findall(r"<tr.*?</tr>", text, re.DOTALL)
        if (cells := re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL))
    ]
    small_one = dict(zip(*rows, strict=True))
    assert small_one["lesson"] == "Small"
    assert (small_one["lines"], small_one["questions"], small_one["marks"]) == ("3", "4", "8")
    assert (small_one["slips"], small_one["cards"], small_one["own drawing"]) == ("3", "0", "no")


def test_the_students_book_of_the_same_course_holds_none_of_it(course, edition):
    pages = build.build(course).parent
    assert (pages / "small.html").is_file()
    assert not (pages / "lesson-counts.html").exists()
    for path in pages.rglob("*"):
        if path.is_file() and path.suffix in (".html", ".js", ".txt", ".md"):
            text = path.read_text()
            assert not [s for s in (*SECRETS, instructor.BANNER) if s in text], path
    zips.refuse_solutions(pages)  # it takes this one
    with pytest.raises(BookError, match="must have a folder of its own"):
        instructor.make(course, course / "build" / "book")


def test_hand_out_refuses_the_edition_in_any_place(edition, tmp_path):
    moved = tmp_path / "moved"
    shutil.copytree(edition, moved)
    (moved / zips.INSTRUCTOR_MARK).unlink()
    for place in (edition, moved, edition.parent, edition.parents[1]):
        with pytest.raises(ClassError, match="got the instructor's edition"):
            zips.refuse_solutions(place)


def test_the_command_of_hand_out_refuses_it_too(course, edition, tmp_path, monkeypatch):
    monkeypatch.chdir(course)
    (tmp_path / "roster.csv").write_text("id,name\nbench-01,One\n")
    call("class", "open", tmp_path / "c", "--roster", tmp_path / "roster.csv")
    code, said = call("hand-out", "small", "--class", tmp_path / "c", "--book", edition)
    assert (code, "got the instructor's edition" in " ".join(said.split())) == (1, True)
    assert not list((tmp_path / "c").rglob("*.zip"))


@pytest.mark.parametrize("name", ["build/book", "c/hand-out/x", "c/to-send", "c/release/small"])
def test_it_is_not_built_where_students_things_lie(course, name):
    with pytest.raises(BookError, match="must have a folder of its own"):
        instructor.make(course, course / name)
    assert not (course / name / "source").exists()


def test_the_copy_is_made_anew_where_the_course_has_changed(course, tmp_path):
    instructor.stage(course, tmp_path)
    first = {p: p.stat().st_mtime_ns for p in tmp_path.rglob("*") if p.is_file()}
    (tmp_path / "course" / "gone.md").write_text("# Gone\n")
    instructor.stage(course, tmp_path)
    assert {p: p.stat().st_mtime_ns for p in tmp_path.rglob("*") if p.is_file()} == first
    contents = yaml.safe_load((tmp_path / "course" / "_toc.yml").read_text())
    assert contents["parts"][0]["chapters"] == [
        {"file": "small"},
        {"file": "small-solutions"},
        {"file": "commands"},
        {"file": "lesson-counts"},
    ]


def test_the_page_on_the_commands_is_the_commands_own(edition):
    text = html.unescape(re.sub(r"<[^>]+>", "", (edition / "commands.html").read_text()))
    text = " ".join(text.translate(str.maketrans("’‘“”", "''\"\"")).split())
    found = list(reference.all_commands(cli.main))
    assert len(found) >= 30
    for name, command in found:
        if not isinstance(command, click.Group):
            assert reference.usage(name, command) in text
            assert command.help
        for words in reference.paragraphs(command):
            assert " ".join(words.replace("`", "").split()) in text
        for written, _ in (
            [] if isinstance(command, click.Group) else reference.options(name, command)
        ):
            assert " ".join(written.split()) in text


READS = {
    "class show", "class due", "marks", "items", "report", "remind", "cage", "lesson check",
    "bench show", "answers show",
}  # fmt: skip


def test_what_reads_prints_json_and_what_is_asked_has_help():
    found = {n.removeprefix("coursekit "): c for n, c in reference.all_commands(cli.main)}
    for name in READS & set(found):
        assert "--json" in {o for p in found[name].params for o in p.opts}, name
    assert len(READS & set(found)) >= 8
    for name, command in found.items():
        assert command.help, name
        for param in command.params:
            if isinstance(param, click.Option):
                assert param.help, f"{name} {param.name}"


def test_the_shell_completes_commands_options_and_lessons(course, monkeypatch):
    monkeypatch.chdir(course)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)

    def completed(*words):
        args, last = list(words[:-1]), words[-1]
        completer = ShellComplete(cli.main, {}, "coursekit", "_COURSEKIT_COMPLETE")
        return [item.value for item in completer.get_completions(args, last)]

    assert {"mark", "marks"} <= set(completed("ma"))
    assert completed("class", "sh") == ["show"]
    assert completed("hand-out", "--no-s") == ["--no-stick"]
    assert completed("mark", "") == ["small"]
    code, said = call("completion", "bash")
    assert (code, "_COURSEKIT_COMPLETE=bash_complete" in said) == (0, True)
    assert call("completion", "tcsh")[0] == 2
