"""The commands, in the words of a person who types and reads them."""

from __future__ import annotations

import json
import os
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from click.shell_completion import ShellComplete

from coursekit.classroom.gradebook import due
from coursekit.classroom.handout import assignments, zips
from coursekit.classroom.intake import kept_versions
from coursekit.classroom.register import class_folder, class_toml, roster
from coursekit.classroom.register.class_folder import Student, load
from coursekit.classroom.report import feedback, item_analysis, items_table, overview, reminders
from coursekit.cli import main

from . import small
from .test_cli import call

NOW = datetime(2026, 11, 30, 12, 0, tzinfo=UTC)


@pytest.fixture
def here(evening, monkeypatch):
    """A marked class of five, in whose course the user stands, with the class named once for all."""
    monkeypatch.chdir(evening.root)
    monkeypatch.delenv("COURSEKIT_ROOT", raising=False)
    monkeypatch.setenv("COURSEKIT_CLASS", str(evening.folder.path))
    return evening


def rename_all(work, *names):
    """Give the students these names, in the roster's order; return the class opened again."""
    students = [replace(s, name=n) for s, n in zip(work.folder.students, names, strict=True)]
    class_folder.write_roster(work.folder.path / "roster.csv", students)
    return small.opened(work.folder.path.parent)


NAMES = ("Ann Lee", "Bo Berg", "Ann Lee", "Jörg Ek", "Cy Dahl")

# A lesson by its title


@pytest.mark.parametrize("said", ["small", "Small", "SMALL"])
def test_every_command_takes_a_lesson_by_its_title(here, said):
    for words in (
        ["marks", said], ["items", said], ["mark", said, "--quiet"], ["answers", "show", said],
        ["answers", "blank", said], ["take-in", "--use", "bench-01", said], ["worksheets", said, "--student", "Bench 1"],
        ["hand-out", said, "--no-pages", "--quiet"], ["class", "due", said, "2999-12-3"], ["feedback", said, "--quiet"],
        ["report", said, "--json"], ["student", "renumber", "Bench 5", said],
    ):  # fmt: skip
        if words[0] == "take-in":
            kept_versions.keep_what_was_put_there(here.folder, "bench-01", "small")
        code, told = call(*words)
        assert code == 0, (words, told)


def test_a_misspelt_lesson_is_asked_about_wherever_it_stands(here, tmp_path):
    asked = "There is no lesson 'smal'. Did you mean small?"
    (tmp_path / "r.csv").write_text("student,lesson,question,answer\nbench-05,smal,area,4\n")
    for words in (
        ["marks", "smal"], ["mark", "small", "smal"], ["class", "due", "smal", "3.12.2999"], ["report", "smal"],
        ["take-in", "x", "--exercise", "smal"], ["take-in", "--use", "bench-01", "smal"],
        ["bench", "show", "smal"], ["lesson", "check", "smal"], ["lesson", "preview", "smal"],
        ["worksheets", "smal"], ["hand-out", "smal"], ["answers", "take-in", tmp_path / "r.csv"],
        ["answers", "take-in", tmp_path / "r.csv", "--lesson", "smal"],
    ):  # fmt: skip
        code, told = call(*words)
        assert (code, asked in " ".join(told.split())) == (1, True), (words, told)


def test_tab_completes_lessons_wherever_one_is_asked_for(here):
    def completed(*words):
        shell = ShellComplete(main, {}, "coursekit", "_COURSEKIT_COMPLETE")
        return [one.value for one in shell.get_completions(list(words), "sm")]

    for words in (["mark"], ["mark", "small"], ["class", "due"], ["bench", "show"], ["take-in", "--exercise"],
                  ["sheets", "cut-list", "--lesson"]):  # fmt: skip
        assert completed(*words) == ["small"], words


# Due times, and what late work loses


def test_a_due_time_as_it_is_written_and_as_it_was_read(here):
    assert call("class", "due", "Small", "3.12.2999") == (
        0, "Small is due on Tue 3 Dec 2999, 23:59.\n",
    )  # fmt: skip
    for words in (["3.12.2999", "18:00"], ["3", "Dec", "2999", "6", "pm"], ["Dec 3, 2999 18:00"]):
        told = "Small is due on Tue 3 Dec 2999, 18:00.\n"
        assert call("class", "due", "small", *words) == (0, told)
    assert call("class", "due") == (0, told)
    code, told = call("class", "due", "small", "12/3/2999")
    assert (code, "which is Tue 12 Mar 2999 or Tue 3 Dec 2999" in told) == (1, True)
    found = json.loads(call("class", "due", "--json")[1])["small"]
    assert datetime.fromisoformat(found) == datetime(2999, 12, 3, 18).astimezone()


def test_a_due_time_that_is_over_is_questioned(here):
    code, told = call("class", "due", "small", "3.12.2020")
    assert code == 1
    assert told.startswith(
        "Error: The due time of Small must be yet to come; got Thu 3 Dec 2020, 23:59, which was "
    )
    assert told.endswith("Add --past if it is meant.\n")
    assert load(here.folder.path).due == {}
    assert call("class", "due", "small", "3.12.2020", "--past")[0] == 0
    assert load(here.folder.path).due["small"].year == 2020
    assert call("class", "due", "small", "never") == (0, "Small has no due time.\n")
    assert call("class", "due") == (0, "No lesson has a due time.\n")


def test_last_year_s_date_brings_the_question_whether_this_year_was_meant():
    def asked(moment):
        return due.is_over("Small", moment, NOW)

    assert asked(NOW + timedelta(seconds=1)) == ""
    assert asked(datetime(2025, 12, 3, 18, tzinfo=UTC)).endswith(
        "which was 361 days ago. Did you mean 2026?"
    )
    assert asked(datetime(2025, 11, 3, 18, tzinfo=UTC)).endswith("which was 391 days ago.")
    assert asked(datetime(2026, 1, 15, 18, tzinfo=UTC)).endswith("days ago. Did you mean 2027?")
    assert asked(datetime(2024, 2, 29, 18, tzinfo=UTC)).endswith("days ago.")  # no such day since
    assert asked(NOW - timedelta(hours=3)).endswith("which was today.")
    assert asked(NOW - timedelta(hours=30)).endswith("which was 1 day ago.")


@pytest.mark.parametrize(
    "words", [["10", "--most", "50"], ["10%", "--most", "50%"], ["10", "%", "--most", "50", "%"], ["10 %", "--most", "50 %"]]
)  # fmt: skip
def test_what_late_work_loses_as_it_is_written(here, words):
    assert call("class", "late", *words)[0] == 0
    assert load(here.folder.path).late == class_toml.Late(10, 50, 0)


# Who is reminded


def test_remind_says_which_lessons_are_never_overdue(here):
    nothing = "No lesson has a due date. `coursekit class due` sets one.\n"
    assert call("remind") == (0, nothing)
    call("class", "due", "small", "3.12.2020", "--past")
    code, told = call("remind")
    assert (code, told.startswith("Bench 5,\nthis is still missing from you:\n- Small, was due on Thu 3 Dec 2020, 23:59\n")) == (0, True)  # fmt: skip
    found = overview.overview(load(here.folder.path))
    other = replace(found.lessons[0], slug="large", due=None)
    both = replace(found, lessons=(*found.lessons, other))
    assert reminders.without_date(found, here.root) == ""
    assert reminders.without_date(both, here.root) == "Handed out without a due date, so never overdue: large."  # fmt: skip
    assert reminders.without_date(replace(found, lessons=(other,)), here.root) == ""


def test_nobody_owes_anything_only_where_something_is_out(here, tmp_path):
    small.hand_in(here, "bench-05")
    assert call("remind", "--all-open") == (0, "Nobody owes anything.\n")
    class_folder.open_class(tmp_path / "new", [Student("a", "Ann")])
    assert call("remind", "--all-open", "--class", tmp_path / "new") == (
        0, "Nothing is handed out yet.\n",
    )  # fmt: skip


def test_two_of_one_name_get_two_greetings(here):
    work = rename_all(here, "Ann Lee", "Bo Berg", "Cy Dahl", "Ann Lee", "Ann Lee")
    for student in ("bench-04",):
        (work.folder.submitted(student, "small") / "small.ipynb").unlink()
        (work.folder.submitted(student, "small") / "timestamp.txt").unlink()
    told = call("remind", "--all-open")[1]
    greetings = [line for line in told.splitlines() if line.endswith(",")]
    assert greetings == ["Ann Lee (bench-04),", "Ann Lee (bench-05),"]
    told = call("remind", "--all-open", "--ids")[1]
    assert [line for line in told.splitlines() if line.endswith(",")] == ["bench-04,", "bench-05,"]


# Feedback on newer work


def newer(work, student, **cells):
    """Hand in other work than was marked, later than the marking."""
    place = small.hand_in(work, student, cells)
    later = time.time() + 60
    os.utime(place / "small.ipynb", (later, later))


def test_no_feedback_about_older_work_than_lies_there(here, tmp_path):
    work = rename_all(here, *NAMES)
    students = [replace(s, mail=f"{s.id}@example.org") for s in work.folder.students]
    class_folder.write_roster(work.folder.path / "roster.csv", students)
    assert call("feedback", "small", "--quiet")[0] == 0
    pages = {s: work.folder.feedback(s, "small") / "small.html" for s in ("bench-01", "bench-02")}
    before = {s: p.read_bytes() for s, p in pages.items()}
    newer(work, "bench-02", area="area = side ** 2")
    code, told = call("feedback", "small", "--mail", tmp_path / "drafts")
    assert code == 1
    assert "LEFT: bench-02 small. Feedback must be about the newest work; Bo Berg has handed in newer work that is not marked. Mark first: `coursekit mark small`." in told  # fmt: skip
    assert "3 pages in" in told
    assert sorted(p.name for p in (tmp_path / "drafts").iterdir()) == [
        f"small-feedback-bench-{n}.eml" for n in ("01", "03", "04")
    ]
    assert {s: p.read_bytes() for s, p in pages.items()} == before
    assert call("mark", "small", "--quiet")[0] == 0
    code, told = call("feedback", "small", "--mail", tmp_path / "drafts")
    assert (code, "4 pages in" in told, len(list((tmp_path / "drafts").iterdir()))) == (0, True, 4)
    assert pages["bench-02"].read_bytes() != before["bench-02"]


def test_the_same_work_with_a_newer_date_is_no_newer_work(here):
    place = here.folder.submitted("bench-02", "small") / "small.ipynb"
    later = time.time() + 60
    os.utime(place, (later, later))
    assert call("feedback", "small", "--quiet") == (0, "")
    feedback.refuse_older(here.folder, "small", "bench-05")  # who has handed in nothing


# Blanks to fill in


@pytest.mark.parametrize("kind", ["answers", "bench"])
def test_a_blank_is_never_written_over_what_is_filled_in(here, tmp_path, kind):
    if kind == "bench":
        head = "bench:\n  - id: gap\n    say: the gap\n    unit: mm\n    instrument: feeler\n    resolution: 0.05\n    readings: 1\n---\n\nTwo"
        text = small.PUBLIC.replace("---\n\nTwo", head)
        (here.root / "exercises" / "small.md").write_text(text)
    file = tmp_path / "blank.csv"
    assert call(kind, "blank", "small", "--out", file) == (0, f"Written to {file}\n")
    blank = file.read_bytes()
    assert call(kind, "blank", "small", "--out", file)[0] == 0
    file.write_bytes(
        blank.replace(b",\n", b",\r\n")
    )  # as a spreadsheet saves what was only looked at
    assert call(kind, "blank", "small", "--out", file)[0] == 0
    assert file.read_bytes() == blank
    rows = blank.decode("utf-8-sig").splitlines()
    column = rows[0].split(",").index({"answers": "answer", "bench": "value"}[kind])
    by = rows[0].split(",").index("by")
    for place, said in ((column, "0.4"), (by, "AL")):
        cells = rows[1].split(",")
        cells[place] = said
        filled = "\n".join([rows[0], ",".join(cells), *rows[2:]]).encode()
        file.write_bytes(filled)
        code, told = call(kind, "blank", "small", "--out", file)
        assert (code, "a blank must not be written over one that is filled in; it is there. Name another file" in told) == (1, True)  # fmt: skip
        assert file.read_bytes() == filled
    file.write_text("something else altogether")
    code, told = call(kind, "blank", "small", "--out", file)
    assert (code, "must not be written over another file" in told) == (1, True)
    assert file.read_text() == "something else altogether"


# Students by name


def test_erase_looks_before_it_asks(here):
    rename_all(here, *NAMES)
    before = small.tree(here.folder.path)
    code, told = call("student", "erase", "nobody")
    assert (code, "for good?" in told) == (1, False)
    assert "a student to erase must be here; got 'nobody', of whom nothing is." in told
    code, told = call("student", "erase", "Ann Lee")
    assert (code, "for good?" in told, "bench-01, bench-03. Name one by the id." in told) == (
        1,
        False,
        True,
    )
    code, told = call("student", "erase", "Bo Berg")  # nobody says yes
    assert (code, "Erase Bo Berg (bench-02) from" in told) == (1, True)
    assert small.tree(here.folder.path) == before
    students = [s for s in load(here.folder.path).students if s.id != "bench-02"]
    class_folder.write_roster(here.folder.path / "roster.csv", students)
    code, told = call("student", "erase", "bench-02")  # no longer on the roster, with work here
    assert (code, "Erase bench-02 from" in told) == (1, True)
    assert call("student", "erase", "bench-02", "--yes")[0] == 0


def test_a_student_is_named_wherever_an_id_is_wanted(here, tmp_path):
    rename_all(here, *NAMES)
    text = (here.folder.bundle("bench-05", "small") / "small.ipynb").read_bytes()
    (tmp_path / "work.ipynb").write_bytes(text)
    code, told = call(
        "take-in", tmp_path / "work.ipynb", "--student", "cy dahl", "--exercise", "Small"
    )
    assert (code, "taken in: bench-05 small" in told) == (0, True)
    assert call("take-in", "--use", "Cy Dahl", "Small")[0] == 0
    assert call("student", "export", "Dahl, Cy", tmp_path / "o.zip")[0] == 0
    (tmp_path / "a.csv").write_text("student,lesson,question,answer\nJorg Ek,SMALL,area,4\n")
    code, told = call("answers", "take-in", tmp_path / "a.csv", "--replace", "Jörg Ek")
    assert (code, "1 answer recorded" in told) == (0, True)
    assert call("student", "rename", "Bo Berg", "bb") == (
        0, "bench-02 is now bb. Hand out and print again, so that paper and files say so.\n",
    )  # fmt: skip
    code, told = call("take-in", tmp_path / "work.ipynb", "--student", "Ann Lee")
    assert (code, "which 2 are called: bench-01, bench-03" in told) == (1, True)


def test_when_work_came_as_it_is_written(here, tmp_path):
    text = (here.folder.bundle("bench-05", "small") / "small.ipynb").read_bytes()
    (tmp_path / "work.ipynb").write_bytes(text)
    code, told = call("take-in", tmp_path / "work.ipynb", "--came", "3.2.2026 19:30")
    assert (code, told.splitlines()[0]) == (0, "It counts as come on Tue 3 Feb 2026, 19:30.")
    assert " 1  Tue 3 Feb 2026, 19:30, " in call("take-in", "--use", "bench-05", "small")[1]
    code, told = call("take-in", tmp_path / "work.ipynb")
    assert "the same was taken in before, Tue 3 Feb 2026, 19:30" in " ".join(told.split())


# For one student, and for several lessons


def test_hand_out_for_one_student_leaves_everybody_else_s_as_it_is(here, tmp_path):
    rename_all(here, *NAMES)
    assert call("hand-out", "small", "--no-pages", "--quiet")[0] == 0
    folder = here.folder.path
    before = small.tree(folder)
    for student in ("bench-02", "bench-04"):
        zips.zip_of(here, student).unlink()
        for path in here.folder.bundle(student, "small").iterdir():
            path.unlink()
    code, told = call("hand-out", "small", "--no-pages", "--student", "Bo Berg", "--json")
    assert (code, [p.rsplit("/", 1)[-1] for p in json.loads(told)["zips"]]) == (
        0,
        ["small-bench-02.zip"],
    )
    assert json.loads(told)["stick"] is None
    after = small.tree(folder)
    gone = {name for name in before if name not in after}
    assert gone and all("bench-04" in name for name in gone)
    changed = {n for n in after if after[n] != before.get(n) and not n.startswith(".undo/")}
    assert changed <= {".made/small.known.json", ".made/lock"}
    code, told = call(
        "hand-out", "small", "--no-pages", "--student", "Jörg Ek", "--student", "bench-02"
    )
    assert (code, "The file for a USB stick is as it was: " in told) == (0, True)
    after = {name for name in small.tree(folder) if not name.startswith(".undo/")}
    assert after == {name for name in before if not name.startswith(".undo/")}
    code, told = call("hand-out", "small", "--no-pages", "--student", "Ann Lee")
    assert (code, "which 2 are called" in told) == (1, True)


def test_worksheets_of_one_student_and_of_several_lessons(here):
    other = (
        (here.root / "exercises" / "small.md")
        .read_text()
        .replace("title: Small", "title: Other one")
    )
    (here.root / "exercises" / "other.md").write_text(other)
    for half in (".md", ".py"):
        text = (here.root / "solutions" / f"small{half}").read_text()
        (here.root / "solutions" / f"other{half}").write_text(
            text.replace('Key("small")', 'Key("other")')
        )
    code, told = call("worksheets", "small", "Other one", "--student", "bench-02", "--paper", "A4")
    out = here.folder.path / "worksheets"
    wanted = [out / slug / "a4" / "bench-02.pdf" for slug in ("small", "other")]
    assert code == 0
    assert sorted(p for p in here.folder.path.rglob("*.pdf")) == sorted(wanted)
    named = [line for line in told.splitlines() if line.startswith("Worksheets: ")]
    assert named == [f"Worksheets: {p}" for p in wanted]
    alone = wanted[0].read_bytes()
    code, told = call("worksheets", "small", "other", "--paper", "Letter")
    sets = [out / slug / "us-letter" / "class.pdf" for slug in ("small", "other")]
    assert code == 0
    assert [line for line in told.splitlines() if line.startswith("Class set: ")] == [
        f"Class set: {p}" for p in sets
    ]
    keys = [str(here.folder.path / "answer-key" / slug) for slug in ("small", "other")]
    assert all(f"Answer key (instructor only): {key}" in told for key in keys)
    assert wanted[0].read_bytes() == alone, "another paper lies in another folder"
    code, told = call("worksheets", "small", "--paper", "A4")
    assert wanted[0].read_bytes() == alone, "a student's sheet is the same in the class's"


def test_a_part_of_a_class_is_in_the_roster_s_order(here):
    part = assignments.for_students(here, ["bench-04", "Bench 1", "bench-04"])
    assert [s.id for s in part.folder.students] == ["bench-01", "bench-04"]
    assert [s.id for s in here.folder.students] == [f"bench-0{n}" for n in range(1, 6)]


# Rosters from a spreadsheet


@pytest.mark.parametrize(
    "row",
    ["Summe,,,12", "Total,,,12", "Gesamt:,5,,", "average,3.4,,", ",Total,,12", "5,Total,,", "Σ,,,12", "Durchschnitt,,,3", "TOTAL,5,,", "Total,9 students,,12"],
)  # fmt: skip
def test_a_row_of_sums_is_no_student(tmp_path, row):
    path = tmp_path / "r.csv"
    path.write_text(f"id,name,e-mail,points\ns1,Ann,,3\n{row}\ns2,Bo,,4\n", encoding="utf-8")
    found = roster.read(path, fresh=True)
    assert [s.id for s in found.students] == ["s1", "s2"]
    (told,) = found.told
    word = next(cell for cell in row.split(",") if cell and not cell[0].isdigit())
    assert told == f"{path}, line 3: a line must be a student; got '{word}', which a spreadsheet writes below its list. It is left out."  # fmt: skip


@pytest.mark.parametrize(
    ("row", "name"),
    [("s3,Total,,", "Total"), ("total,Ann Total,,", "Ann Total"), ("3,Bo Sum,,", "Bo Sum"), ("3,Total,t@example.org,", "Total"),
     ("max,,,", "max"), ("3,Max,,", "Max"), ("total,4th,,", "4th")],
)  # fmt: skip
def test_a_student_with_such_a_name_stays_one(tmp_path, row, name):
    path = tmp_path / "r.csv"
    path.write_text(f"id,name,e-mail,points\ns1,Ann,,3\n{row}\n", encoding="utf-8")
    found = roster.read(path, fresh=True)
    assert ([s.name for s in found.students], found.told) == (["Ann", name], ())


def test_who_is_in_a_class_already_stays_there_whatever_the_name(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("id,name\nSumme,Summe\n")
    assert [s.id for s in roster.read(path).students] == ["Summe"]


def test_opening_a_class_says_which_row_it_left_out(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "r.csv").write_text("id,name,points\ns1,Ann,3\nTotal,,3\n")
    code, told = call("class", "open", "c", "--roster", "r.csv")
    assert (code, "1 student, in c" in told, "got 'Total'" in told) == (0, True, True)
    assert [s.id for s in load(tmp_path / "c").students] == ["s1"]


# How each question did


def test_items_fits_a_screen_and_speaks_of_titles_names_and_words(here, monkeypatch):
    work = rename_all(here, *NAMES)
    monkeypatch.setenv("COLUMNS", "80")
    code, told = call("items", "small", "--below", "90 %")
    assert code == 0
    assert max(map(len, told.splitlines())) <= 80
    assert "You went round it." in told  # a slip's hint, which bench-02 gets
    assert "Missing: Cy Dahl." in told
    for key in ("perimeter", "doubled-side", "bench-02", "bench-04", "bench-05"):
        assert key not in told
    assert "most lost at “" in told  # a title, in quotes
    assert "Ann Lee (bench-03)" in told  # there are two of that name
    rows = told.split("students")[0]
    found = item_analysis.analyse(work)
    for item in found.items:
        assert item.title in rows
    (line,) = [part for part in told.splitlines() if part.startswith(" Jörg Ek")]
    assert "%" in line


def test_a_slip_without_a_hint_goes_by_its_name():
    def words(hint):
        return items_table._in_words(item_analysis.SlipCount("half-angle", 1, hint))

    assert words("") == "half angle"
    assert words("You halved it. That is for two.") == "You halved it."
    assert words("You took 2.5 mm: too much.\nIt is less.") == "You took 2.5 mm: too much."
