"""What people type and read: lessons and students by name, dates, paper and percentages."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursekit.classroom.bank import exercises, lesson_names
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.register import class_toml, dates, names, typed
from coursekit.classroom.register.class_folder import ClassError, Student, open_class
from coursekit.classroom.register.dates import System

from .. import tools

# Lessons


@pytest.mark.parametrize(
    "said", ["miter-angles", "Miter angles", "miter angles", "MITER_ANGLES", " Miter  Angles "]
)
def test_a_lesson_goes_by_its_slug_or_its_title(root, said):
    assert lesson_names.named(said, root) == "miter-angles"


def test_every_lesson_has_the_title_of_its_exercise(root):
    found = lesson_names.titles(root)
    assert found == {slug: exercises.load(slug, root).title for slug in exercises.slugs(root)}
    assert {lesson_names.named(title, root) for title in found.values()} == set(found)


@pytest.mark.parametrize(
    ("said", "meant"),
    [("miter-angel", "miter-angles"), ("Mitre angles", "miter-angles"), ("but finding", "butt-finding"),
     ("Heat and fillers", "heat-and-filler")],
)  # fmt: skip
def test_a_misspelt_lesson_brings_a_question(root, said, meant):
    with pytest.raises(AuthoringError, match=f"^There is no lesson '{said}'. Did you mean {meant}"):
        lesson_names.named(said, root)


def test_what_is_like_no_lesson_brings_the_list(root):
    with pytest.raises(
        AuthoringError, match=r"^exercises/zzz\.md: .* use one of: alignment-checks"
    ):
        lesson_names.named("zzz", root)
    assert lesson_names.named("zzz", root, also=["zzz"]) == "zzz"
    assert lesson_names.named("glossary", root) == "glossary"  # a page without an exercise
    for path in ("../exercises/miter-angles", "/etc/passwd"):
        with pytest.raises(AuthoringError):
            lesson_names.named(path, root)


def test_a_title_is_read_without_the_rest_of_its_file(tmp_path):
    (tmp_path / "exercises").mkdir()
    for slug, head in (
        ("plain", "---\ntitle: Plain one\nnumbers: [\n---\n"),
        ("quoted", '---\nnumbers: {}\ntitle: "Two: quoted"\n---\ntitle: not this\n'),
        ("none", "---\nnumbers: {}\n---\ntitle: not this\n"),
        ("bad", "---\ntitle: {\n---\n"),
    ):
        (tmp_path / "exercises" / f"{slug}.md").write_text(head)
    assert lesson_names.titles(tmp_path) == {
        "plain": "Plain one", "quoted": "Two: quoted", "none": "none", "bad": "bad",
    }  # fmt: skip
    assert lesson_names.title("gone", tmp_path) == "gone"
    (tmp_path / "exercises" / "plain.md").write_text("---\ntitle: Another name\n---\n")
    assert lesson_names.title("plain", tmp_path) == "Another name"


# Students

CLASS = (
    Student("b-01", "Ann Lee"),
    Student("b-02", "Ann Lee"),
    Student("b-03", "Jörg Ek"),
    Student("b-04", "b-04"),
    Student("Ek", "Bo Berg"),
)


@pytest.fixture
def folder(tmp_path):
    return open_class(tmp_path / "class", CLASS)


@pytest.mark.parametrize(
    ("said", "id"),
    [("b-01", "b-01"), ("B-03", "b-03"), ("Jörg Ek", "b-03"), ("jorg ek", "b-03"), ("Ek, Jörg", "b-03"),
     ("Ek", "Ek"), ("bo berg", "Ek"), ("b-04", "b-04")],
)  # fmt: skip
def test_a_student_goes_by_the_id_or_the_whole_name(folder, said, id):
    assert names.student(folder, said).id == id


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("Ann Lee", "A name must be one student's alone; got 'Ann Lee', which 2 are called: b-01, b-02. Name one by the id."),
        ("Jorg Eck", r"must be on the roster; got 'Jorg Eck'. Did you mean b-03 \(Jörg Ek\)\?"),
        ("b-09", "must be on the roster; got 'b-09'.$"),  # any id would be as near
        ("Jörg", "must be on the roster"),
        ("", "must be on the roster; got ''.$"),
        ("zzz", "must be on the roster; got 'zzz'.$"),
    ],
)  # fmt: skip
def test_who_is_not_one_student_is_asked_about(folder, said, why):
    with pytest.raises(ClassError, match=why):
        names.student(folder, said)


def test_only_those_who_share_a_name_are_called_with_their_ids():
    assert names.called(CLASS) == {
        "b-01": "Ann Lee (b-01)", "b-02": "Ann Lee (b-02)", "b-03": "Jörg Ek", "b-04": "b-04", "Ek": "Bo Berg",
    }  # fmt: skip


# Dates

EVENING = datetime(2026, 12, 3, 18, 0)
NIGHT = datetime(2026, 12, 3, 23, 59, 59)


@pytest.mark.parametrize(
    ("said", "when"),
    [
        ("3.12.2026", NIGHT), ("03.12.2026", NIGHT), ("3. 12. 2026", NIGHT), ("2026-12-03", NIGHT),
        ("2026/12/3", NIGHT), ("3 Dec 2026", NIGHT), ("3. Dec. 2026", NIGHT), ("3 december 2026", NIGHT),
        ("3rd of December 2026", NIGHT), ("Dec 3, 2026", NIGHT), ("December 3rd 2026", NIGHT),
        ("Thu 3 Dec 2026", NIGHT), ("thursday, 3.12.2026", NIGHT), ("Thursday, December 3, 2026", NIGHT),
        ("3.12.2026 18:00", EVENING), ("3.12.2026, 18:00", EVENING), ("2026-12-03 18:00", EVENING),
        ("2026-12-03T18:00", EVENING), ("2026-12-03T18:00:00", EVENING), ("3 Dec 2026 at 6 pm", EVENING),
        ("Dec 3, 2026, 6:00 PM", EVENING), ("3 Dec 2026 6:00 p.m.", EVENING), ("Thu 3 Dec 2026, 18:00", EVENING),
        ("3.12.2026 12 am", datetime(2026, 12, 3)), ("3.12.2026 12 pm", datetime(2026, 12, 3, 12)),
        ("25/12/2026", datetime(2026, 12, 25, 23, 59, 59)), ("12/25/2026", datetime(2026, 12, 25, 23, 59, 59)),
        ("12/12/2026", datetime(2026, 12, 12, 23, 59, 59)), ("29.2.2028", datetime(2028, 2, 29, 23, 59, 59)),
    ],
)  # fmt: skip
def test_a_date_is_read_as_it_was_meant(said, when):
    assert dates.read(said) == when.astimezone()


def test_a_zone_that_is_named_counts():
    assert dates.read("2026-12-03T18:00+02:00") == datetime(2026, 12, 3, 16, tzinfo=UTC)
    assert dates.read("2026-12-03 18:00Z") == datetime(2026, 12, 3, 18, tzinfo=UTC)


def test_a_date_that_reads_two_ways_is_the_systems_or_refused():
    for said in ("12/3/2026", "12-3-2026"):
        assert dates.read(said, system=System("mdy")) == NIGHT.astimezone()
        assert dates.read(said, system=System("dmy")).date() == date(2026, 3, 12)
        for other in (System(), System("ymd")):
            with pytest.raises(
                ClassError, match=f"^The day must be readable in one way; got '{said}'"
            ):
                dates.read(said, "The day", other)
    assert dates.read("12.3.2026", system=System("mdy")).date() == date(2026, 3, 12)


@pytest.mark.parametrize(
    "said",
    ["", "soon", "next week", "10.2.26", "2/3/26", "3 Dec", "3.12.", "31.2.2026", "2026-02-30", "30/2/2026",
     "3.13.2026", "32 Dec 2026", "3 Foo 2026", "3 Ju 2026", "3 J 2026", "12:30", "18:00", "3.12.2026 25:00",
     "3.12.2026 18:60", "3.12.2026 18", "3.12.2026 13 pm", "3.12.2026 0 am", "3.12.2026 6 xm", "3.12/2026",
     "3.12.0026", "3.12.9999", "1 May 1066", "20261203", "3.12.2026 18:00 extra", "٣.١٢.٢٠٢٦x"],
)  # fmt: skip
def test_what_is_no_date_is_refused(said):
    with pytest.raises(
        ClassError, match=r"^The day must be a day, like 3 Dec 2026, 3\.12\.2026 or 2026-12-03"
    ):
        dates.read(said, "The day")


def test_a_weekday_that_is_another_days_is_refused():
    with pytest.raises(
        ClassError, match="must be that of its date; got 'Wed 3 Dec 2026', but that day is Thu"
    ):
        dates.read("Wed 3 Dec 2026")


SYSTEMS = [
    System(),
    System("dmy"),
    System("dmy", dotted=True),
    System("mdy", halves=True),
    System("ymd"),
]
MOMENTS = st.datetimes(datetime(1991, 1, 1), datetime(8999, 1, 1)).map(
    lambda t: t.replace(second=0, microsecond=0, tzinfo=UTC)
)


@given(MOMENTS, st.sampled_from(SYSTEMS))
def test_what_is_shown_can_be_typed_in_again(moment, system):
    for other in SYSTEMS:  # whichever system reads it
        assert dates.read(dates.shown(moment, system), system=other) == moment
        day = dates.shown_day(moment.date(), system)
        assert dates.read(day, system=other).date() == moment.date()


@given(st.text(max_size=40) | st.from_regex(r"\d{1,4}[./ -]\d{1,2}[./ -]\d{1,4} ?.{0,8}"))
def test_whatever_is_typed_is_a_time_or_refused(text):
    try:
        found = dates.read(text)
    except ClassError:
        return
    assert found.tzinfo and dates.read(dates.shown(found)) == found.replace(second=0, microsecond=0)


def test_a_system_s_own_words(monkeypatch):
    moment = EVENING.astimezone()
    assert dates.shown(moment, System()) == "Thu 3 Dec 2026, 18:00"
    assert dates.shown(moment, System("mdy", halves=True)) == "Thu Dec 3, 2026, 6:00 PM"
    assert dates.shown(moment, System("dmy", dotted=True)) == "Thu 3. Dec 2026, 18:00"
    assert dates.shown(moment, System("ymd")) == "Thu 2026-12-03, 18:00"
    assert [dates.short(moment, s) for s in SYSTEMS] == [
        "3 Dec 18:00", "3 Dec 18:00", "3. Dec 18:00", "Dec 3 6:00 PM", "12-03 18:00",
    ]  # fmt: skip
    naive = moment.astimezone(UTC).replace(tzinfo=None)
    assert dates.shown(naive, System()) == "Thu 3 Dec 2026, 18:00"


ASKED = """
import json
from datetime import UTC, datetime
from coursekit.classroom.register import dates
dates.use_systems()
moment = datetime(2026, 12, 3, 17, 0, tzinfo=UTC)
print(json.dumps([dates.shown(moment), dates.read("12/3/2026").isoformat(), dates.read(dates.shown(moment)) == moment]))
"""
# as the systems' own `date` writes days and months; the order is that of each country
REAL = {
    "de_DE": ["Do 3. Dez 2026, 18:00", "2026-03-12T23:59:59+01:00", True],
    "en_GB": ["Thu 3 Dec 2026, 18:00", "2026-03-12T23:59:59+01:00", True],
    "en_US": ["Thu Dec 3, 2026, 6:00 PM", "2026-12-03T23:59:59+01:00", True],
    "fr_FR": ["jeu. 3 déc. 2026, 18:00", "2026-03-12T23:59:59+01:00", True],
}


@pytest.mark.parametrize("language", REAL)
def test_a_real_system(language, tmp_path):
    if not Path("/usr/share/i18n/locales", language).is_file():
        tools.lack("the sources of locales are not installed (Debian: locales)")
    made = tmp_path / f"{language}.UTF-8"
    subprocess.run([tools.need("localedef"), "-i", language, "-f", "UTF-8", made], check=True)
    env = os.environ | {"LOCPATH": str(tmp_path), "LC_ALL": made.name, "TZ": "CET-1"}
    done = subprocess.run([sys.executable, "-c", ASKED], env=env, capture_output=True, check=True)
    assert json.loads(done.stdout) == REAL[language]


def test_a_language_that_is_not_installed_is_the_kit_s_own():
    env = os.environ | {"LC_ALL": "xx_XX.UTF-8", "TZ": "UTC0"}
    asked = ASKED.replace("12/3/2026", "3/12/2026").replace('"3/12/2026"', '"13/12/2026"')
    done = subprocess.run([sys.executable, "-c", asked], env=env, capture_output=True, check=True)
    assert json.loads(done.stdout)[0] == "Thu 3 Dec 2026, 17:00"


def test_a_class_file_reads_alike_everywhere(monkeypatch):
    monkeypatch.setattr(dates, "of_system", lambda: System("mdy"))
    assert class_toml.when("3.12.2026 18:00") == EVENING.astimezone()
    assert class_toml.when(date(2026, 12, 3)) == NIGHT.astimezone()
    with pytest.raises(ClassError, match="readable in one way"):
        class_toml.when("12/3/2026")
    for bad in (7, None, date(1066, 1, 1)):
        with pytest.raises(ClassError, match=r"^due must be a day"):
            class_toml.when(bad, "due")


# Paper and percentages


@pytest.mark.parametrize(
    ("said", "size"),
    [("A4", "a4"), ("a4", "a4"), ("DIN A4", "a4"), ("Letter", "us-letter"), ("letter", "us-letter"),
     ("us-letter", "us-letter"), ("US Letter", "us-letter"), ("usletter", "us-letter")],
)  # fmt: skip
def test_paper_by_its_usual_names(said, size):
    assert typed.paper(said) == size


def test_paper_that_is_not_offered_is_refused():
    assert typed.paper("A3", ("a4", "a3")) == "a3"
    for bad in ("A3", "legal", "", "4"):
        with pytest.raises(ValueError, match=f"must be one of a4, us-letter; got '{bad}'"):
            typed.paper(bad)


@pytest.mark.parametrize(
    ("said", "share"),
    [("10", 10), ("10%", 10), ("10 %", 10), (" 10\u00a0% ", 10), ("7,5 %", 7.5), ("7.5", 7.5), ("0", 0),
     ("100 per cent", 100), ("10 percent", 10)],
)  # fmt: skip
def test_percentages(said, share):
    assert typed.per_cent(said) == share


@pytest.mark.parametrize(
    "said", ["", "%", "ten", "-1", "101", "1e1", "10 %%", "1.2.3", "nan", "inf"]
)
def test_what_is_no_percentage_is_refused(said):
    with pytest.raises(
        ValueError, match=r"^The loss must be between 0 and 100 %; got '.*'\. Write it like 10 %\.$"
    ):
        typed.per_cent(said, "The loss")
