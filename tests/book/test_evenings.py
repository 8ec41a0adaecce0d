"""The plan of evenings agrees with the lessons' own pages, and is refused where it doesn't."""

from __future__ import annotations

import re
import shutil

import pytest
import yaml

from coursekit.book import evenings, whole
from coursekit.book.lesson import lessons
from coursekit.classroom.bank.exercises import AuthoringError


@pytest.fixture
def course(root, tmp_path):
    for part in ("course", "exercises"):
        shutil.copytree(root / part, tmp_path / part)
    return tmp_path


def changed(course, change):
    path = course / evenings.FILE
    data = yaml.safe_load(path.read_text("utf-8"))
    change(data["evenings"])
    path.write_text(yaml.safe_dump(data, allow_unicode=True), "utf-8")
    return evenings.plan(course)


def test_every_lesson_stands_once_after_what_it_builds_on(root):
    planned = [s for e in evenings.plan(root).evenings for s in e.home if s != "safety"]
    assert sorted(planned) == sorted(lessons(root))
    for slug, before in whole.needs(root).items():
        assert all(planned.index(b) < planned.index(slug) for b in before), slug


def test_minutes_at_home_are_those_of_the_pages(root):
    """Added up here from the pages' own words."""
    for one in evenings.plan(root).evenings:
        minutes = 0
        for slug in one.home:
            text = (root / "course" / f"{slug}.md").read_text("utf-8")
            line = next(x for x in text.splitlines() if "Read in" in x)
            minutes += sum(int(n) for n in re.findall(r"in (\d+)", line))
        assert one.home_minutes == minutes, one.home
    made = evenings.plan(root)
    assert max(e.home_minutes for e in made.evenings) <= 120
    assert sum(e.home_minutes for e in made.evenings) == sum(
        sum(evenings.at_home(s, root)) for s in ("safety", *lessons(root))
    )


def test_a_page_that_takes_longer_changes_the_plan(course):
    before = evenings.plan(course).evenings[1].home_minutes
    page = course / "course" / "frame-drawing.md"
    text = page.read_text("utf-8")
    page.write_text(text.replace("Read in 25 minutes", "Read in 40 minutes"), "utf-8")
    assert evenings.plan(course).evenings[1].home_minutes == before + 15


@pytest.mark.parametrize(
    ("slug", "asked"),
    [("shop-maths", 1), ("sleeve-joint", 2), ("frame-strength", 0.5), ("your-frame", 0)],
)
def test_how_many_evenings_a_lesson_asks_for(root, slug, asked):
    assert evenings.at_the_bench(slug, root) == asked


def test_the_torch_is_in_hand_on_every_evening_and_there_are_enough(root):
    made = evenings.plan(root)
    assert all(0 < e.torch_minutes <= made.share for e in made.evenings)
    assert made.share == 60  # 180 minutes, 2 torches, 6 people
    hours = sum(e.torch_minutes for e in made.evenings) / 60
    assert f"and for {hours:.0f} hours in all" in made.says()
    assert made.says().startswith(f"{len(made.evenings)} evenings of 3 hours")


def test_tubes_are_mitered_after_all_that_decides_their_cuts(root):
    """A frame's tube is sawn when its trims are known, and mitered when it has been squeezed."""
    made = evenings.plan(root).evenings
    day = {slug: n for n, e in enumerate(made) for slug in e.home}
    sawn = next(n for n, e in enumerate(made) if "**sawn to length**" in e.bench)
    mitered = next(n for n, e in enumerate(made) if "main tubes **mitered**" in e.bench)
    assert sawn == day["butt-orientation"]
    assert day["miter-angles"] < sawn < day["oval-tubes"] < mitered < day["fixture-setting"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda e: e[0].update(torch_minutes=0), "from the first evening; got 0 minutes"),
        (lambda e: e[3].update(torch_minutes=75), "got 75 of 60 minutes in evening 4"),
        (lambda e: e.insert(0, e.pop(3)), "got miter-angles before frame-drawing"),
        (lambda e: e[8].update(again=[]), "give sleeve-joint the 2 evenings that its page asks"),
        (lambda e: e[2].update(home=["tube-choice", "oval-tubes"]), "got oval-tubes twice"),
    ],
)
def test_a_plan_that_contradicts_the_lessons_is_refused(course, change, says):
    with pytest.raises(AuthoringError, match=says):
        changed(course, change)


def test_a_lesson_that_the_plan_does_not_name_gets_an_evening(course):
    made = changed(course, lambda e: e[16].update(home=[]))
    assert made.evenings[-1].home == ("braze-ons",)


def test_a_page_without_its_time_is_refused(course):
    page = course / "course" / "tube-choice.md"
    page.write_text(page.read_text("utf-8").replace("Read in", "Takes"), "utf-8")
    with pytest.raises(AuthoringError, match="must say how long it takes"):
        evenings.plan(course)
