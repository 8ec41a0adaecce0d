"""Every command prints outside names as signs that a terminal only shows; the walk takes them all.

A terminal obeys the sequences of ECMA-48 (from memory) and turns the direction of writing at the
signs of UAX #9 (from memory). What a name may not send to it is judged by Python's own
`str.isprintable`, which knows Unicode's categories.
"""

from __future__ import annotations

import io
import logging
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from rich.text import Text

from coursekit.classroom.bank import exercises
from coursekit.classroom.bench import bench_record, csv_cells
from coursekit.classroom.handout import assignments
from coursekit.classroom.paper import paper_answers
from coursekit.classroom.register.class_folder import load
from coursekit.cli import main
from coursekit.commands import common
from coursekit.sheets import frame_file
from tests.classroom import benches, small

ESCAPE = "\x1b[2K\x1b[1A\x9b2K"
BIDI = "\u202egnp\u2067z\u2069\u200f"
LINES = "a\nLEFT: all\rb\x85c\u2028d"
HOSTILE = f"{ESCAPE}{BIDI}{LINES}\x07\x08\udcff"  # what a disk and a command line can hold
IN_TEXT = HOSTILE.replace("\udcff", "\x00")  # what a file in UTF-8 can hold
IN_CSV = IN_TEXT.replace("\x00", "").replace("\r", "").replace("\n", "")
CLASS = ["--class", "{class}"]
SMALL = ["small", *CLASS]
# how each command is run on the class of hostile names; None where that would build or serve
WORKS: dict[str, list[str] | None] = {
    "demo": None,
    "book": None,
    "solutions": None,
    "lesson preview": None,
    "bench form": None,
    "desk": None,
    "bench codes": CLASS,
    "cage": [],
    "completion": ["bash"],
    "lesson new": None,
    "lesson check": ["small"],
    "class open": ["{class}", "--roster", "{roster}"],
    "class show": CLASS,
    "class check": CLASS,
    "class due": ["small", "2026-02-03 19:30", "--past", *CLASS],
    "class late": ["10", "--most", "50", *CLASS],
    "class question": ["small", "area", "--tolerance", "1.2", *CLASS],
    "class undo": CLASS,
    "class pack": ["{out}/packed {name}.zip", *CLASS],
    "hand-out": [*SMALL, "--mail", "{out}/mails {name}", "--as-site", "{out}/web {name}"],
    "take-in": ["{inbox}", *CLASS],
    "mark": [*SMALL, "--no-sandbox"],
    "read": [*SMALL, "--all"],
    "feedback": SMALL,
    "marks": SMALL,
    "items": SMALL,
    "report": ["--out", "{out}/report {name}", *CLASS],
    "remind": ["--all-open", *CLASS],
    "worksheets": SMALL,
    "student rename": ["bench-04", "bench-04b", *CLASS],
    "student renumber": ["bench-03", "small", "--even-so", *CLASS],
    "student frame": ["bench-03", "{frame}", *CLASS],
    "student export": ["bench-02", "{out}/export {name}.zip", *CLASS],
    "student erase": ["bench-02", *CLASS],
    "bench take-in": ["{readings}", *CLASS],
    "bench show": SMALL,
    "bench fits": SMALL,
    "bench blank": SMALL,
    "bench export": CLASS,
    "answers take-in": ["{answers}", *CLASS],
    "answers show": SMALL,
    "answers hand-in": SMALL,
    "answers blank": SMALL,
}


def leaves(group: click.Group, above: str = "") -> dict[str, click.Command]:
    """Every command that does something: its words → itself."""
    found = {}
    for name, command in group.commands.items():
        words = f"{above} {name}".strip()
        found |= leaves(command, words) if isinstance(command, click.Group) else {words: command}
    return found


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # some of the names are places to write to


LEAVES = leaves(main)
FRAME = {words for words in LEAVES if words.startswith("sheets ")}  # they read no class's names


def unprintable(said: str) -> set[str]:
    return {hex(ord(c)) for c in said if not c.isprintable() and c not in "\n\t"}


@pytest.fixture(scope="module")
def evening(tmp_path_factory):
    """A class whose title, names, files, readings and answers all hold what a terminal obeys."""
    path = tmp_path_factory.mktemp("names")
    small.evening(path, 4)
    small.write(path / "course", small.PUBLIC.replace("---\n\nTwo sums.\n", benches.BENCH))
    names = "".join(f'bench-0{i},"{IN_CSV}{i}"\n' for i in range(1, 5))
    for roster in (path / "class" / "roster.csv", path / "roster.csv"):
        roster.write_text(f"id,name\n{names}", encoding="utf-8")
    title = "".join(f"\\u{ord(c):04x}" for c in IN_TEXT)
    (path / "class" / "class.toml").write_text(f'title = "{title}"\n')
    work = small.opened(path)
    assignments.hand_out(work)
    for student in ("bench-01", "bench-02"):
        (small.hand_in(work, student) / f"{HOSTILE}.csv").write_text("x")
    (path / "inbox" / HOSTILE).mkdir(parents=True)
    (path / "inbox" / HOSTILE / f"{HOSTILE}.ipynb").write_text("{}")
    (path / "inbox" / f"{HOSTILE}.zip").write_text("no zip")
    (path / "out").mkdir()
    frame = frame_file.EXAMPLE.read_text(encoding="utf-8")
    name = "".join(f"\\u{ord(c):04x}" for c in IN_TEXT)
    named = re.sub(r'(?m)^name = ".*"$', lambda _: f'name = "{name}"', frame)
    (path / "frame.toml").write_text(named, encoding="utf-8")
    reading = bench_record.Reading("bench-01", "small", "gap", 1, 1.0, "mm")
    bench_record.record(work.folder, [replace(reading, by=IN_TEXT, source=IN_TEXT)])
    row = (IN_CSV, "small", "gap", "1", IN_CSV)
    text = csv_cells.csv_text(("student", "lesson", "line", "reading", "value"), [row])
    (path / "readings.csv").write_text(text, encoding="utf-8")
    text = csv_cells.csv_text(("student", "lesson", "question", "answer"), [(*row[:3], IN_CSV)])
    (path / "answers.csv").write_text(text, encoding="utf-8")
    answer = paper_answers.PaperAnswer("bench-03", "small", "why", IN_TEXT, by=IN_TEXT)
    paper_answers.record(work.folder, [answer])
    return path


def call(path: Path, words: str, more: list[str]):
    """Run a command, in the order given, on the class below `path`."""
    places = {name: str(path / name) for name in ("class", "inbox", "out")}
    places |= {name: str(path / f"{name}.csv") for name in ("roster", "readings", "answers")}
    places["frame"] = str(path / "frame.toml")
    said = [one.format(**places, name=HOSTILE) for one in more]
    return CliRunner().invoke(
        main, [*words.split(), *said], env={"COURSEKIT_ROOT": str(path / "course")}, input="y\n"
    )


def printable_only(words: str, done) -> str:
    """Return what a command said, once it is sure that it ended by itself and gives no orders."""
    ended = done.exception is None or isinstance(done.exception, SystemExit)
    forged = [line for line in done.output.splitlines() if line.startswith("LEFT: all")]
    assert ended, f"{words}: {done.exception!r}"
    assert unprintable(done.output) == set(), words
    assert forged == [], words
    return done.output


def test_the_walk_knows_every_command():
    assert set(LEAVES) == set(WORKS) | FRAME
    assert len(FRAME) < len(WORKS)


def test_commands_that_work_print_hostile_names_as_they_may(evening):
    """One after another, as in an evening, each on what the one before it left."""
    shown = {}
    for words, more in WORKS.items():
        if more is not None:
            shown[words] = printable_only(words, call(evening, words, more))
    named = {w for w, said in shown.items() if "[2K?[1A" in said}
    assert named >= {
        "class show",
        "class open",
        "take-in",
        "report",
        "bench take-in",
        "student export",
    }, "the names were really there"
    assert "bench-02" not in (evening / "class" / "roster.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize("words", LEAVES)
def test_what_was_typed_comes_back_as_it_may(evening, words):
    """Each argument, and an option and a word that the command doesn't have, is hostile once."""
    arguments = [p for p in LEAVES[words].params if isinstance(p, click.Argument)]
    class_too = ["--class", f"{{class}}{HOSTILE}"]
    for more in (
        [HOSTILE] * len(arguments),  # none of them: it would begin, so it is passed over
        [*[HOSTILE] * len(arguments), *class_too],
        [HOSTILE] * (len(arguments) + 1),
        [f"--{HOSTILE}"],
    ):
        if more:
            printable_only(words, call(evening, words, more))


@pytest.mark.parametrize("words", [HOSTILE, f"--{HOSTILE}", f"class {ESCAPE}", f"-{ESCAPE}"])
def test_a_command_that_is_not_there(evening, words):
    assert "No such" in printable_only(words, call(evening, "", words.split(" ")))


def test_texts_that_come_as_no_string():
    said = io.StringIO()
    console = common._PlainConsole(file=said, highlight=False)
    console.print(Text(HOSTILE), Path(HOSTILE), [HOSTILE])
    assert unprintable(said.getvalue()) == set()
    assert "?" in said.getvalue()


def test_a_question():
    @click.command()
    def asking():
        common.ask(HOSTILE)

    printable_only("ask", CliRunner().invoke(asking, input="y\n"))


def test_progress_bars(monkeypatch):
    said = io.StringIO()
    monkeypatch.setattr(common, "console", common._PlainConsole(file=said, width=400))
    with common.bar(HOSTILE, 2) as step:
        step(HOSTILE)
    with common.share_bar(HOSTILE) as tell:
        tell(HOSTILE, 0.5)
    assert unprintable(said.getvalue()) == set()


def crash(what: str) -> str:
    """What a program of its own says on the terminal, which does `what` with a hostile name."""
    code = f"from coursekit.commands.common import print_safely; print_safely(); name = {HOSTILE!r}; {what}"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        env=os.environ | {"PYTHONUTF8": "1"},
        check=False,
    )
    return done.stderr.decode("utf-8", "surrogateescape")


@pytest.mark.parametrize(
    "what",
    [
        "raise KeyError(chr(27)) from OSError(name)",
        "import logging; logging.getLogger('coursekit.form').error('failed at %s', name)",
        "import logging\ntry: raise OSError(name)\n"
        "except OSError: logging.getLogger('coursekit.form').error('It failed', exc_info=True)",
    ],
)
def test_logs_and_tracebacks(what):
    said = crash(what)
    assert said.startswith(("Traceback", "failed at", "It failed", "OSError"))
    assert "?[2K?[1A" in said
    assert unprintable(said) == set()


def test_the_command_holds_logs_and_tracebacks_to_it(monkeypatch):
    monkeypatch.setattr(sys, "excepthook", sys.__excepthook__)
    monkeypatch.setattr(logging.lastResort, "formatter", None)
    CliRunner().invoke(main, ["completion", "bash"])
    assert sys.excepthook is common._told_crash
    assert isinstance(logging.lastResort.formatter, common._PlainFormatter)


def test_the_class_is_as_hostile_as_it_says(evening):
    folder = load(evening / "class")
    assert ESCAPE in folder.title
    assert "[2K" in folder.student("bench-01").name, "the roster's reader takes the rest out itself"
    assert exercises.load("small", evening / "course").bench
