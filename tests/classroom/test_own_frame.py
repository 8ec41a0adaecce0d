"""One frame a student: drawn whole, the same in every lesson, and a real one in its place."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from datetime import UTC, datetime

import pytest

from coursekit.book import worked_frame
from coursekit.classroom.bank import exercises, keys, own_frame, own_numbers
from coursekit.classroom.demo import invented_class
from coursekit.classroom.gradebook import due
from coursekit.classroom.handout import assignments, given_away
from coursekit.classroom.register import real_frames
from coursekit.classroom.register.class_folder import load, open_class
from coursekit.classroom.students import own_frames, rename
from coursekit.sheets import frame_facts, frame_file
from coursekit.sheets.frame_facts import NoFactError

from . import small

SECRET = b"tests of own frames"
KINDS = """
[every.drawing]
seat_angle_deg = 73
[every.bench]
crank = { of = [165, 170] }
[one.drawing]
chainstay = { low = 410, high = 411, step = 0.5 }
[other.drawing]
chainstay = 450
"""
FRAMED = small.PUBLIC.replace(
    "    unit: mm\n    low: 10\n    high: 30\n    step: 0.5\n",
    "    unit: mm\n    from: frame.down_tube.diameter\n    practice: [1, 2]\n",
    1,
)


@pytest.fixture(scope="module")
def text(root):
    return own_frame.kinds(root)


def test_a_kind_lies_over_what_all_share_and_ranges_are_drawn():
    seen = Counter()
    for i in range(200):
        made = own_frame.tables(KINDS, b"s", f"bench-{i}", 0)
        assert made["drawing"]["seat_angle_deg"] == 73
        assert made["bench"]["crank"] in (165, 170)
        seen[made["name"], made["drawing"]["chainstay"]] += 1
    assert set(seen) == {("one frame", c) for c in (410, 410.5, 411)} | {("other frame", 450)}
    assert 60 < seen["other frame", 450] < 140


def test_a_frame_is_the_same_again_and_another_for_another_secret_or_student(text):
    one = own_frame.facts(text, SECRET, "bench-01")
    own_frame._found.cache_clear()
    assert own_frame.facts(text, SECRET, "bench-01") == one
    assert own_frame.facts(text, SECRET, "bench-02") != one
    assert own_frame.facts(text, b"other", "bench-01") != one


@pytest.mark.parametrize("students", [60, pytest.param(1000, marks=pytest.mark.slow)])
def test_frames_can_be_cut_and_no_two_are_alike(text, students):
    drawn = [own_frame.draw(text, SECRET, f"bench-{i:04d}") for i in range(students)]
    assert len({tuple(frame_facts.facts(b).items()) for b in drawn}) == students
    shares = Counter(b.name for b in drawn)
    assert len(shares) == len(tomllib.loads(text)) - 1
    assert min(shares.values()) > 0.03 * students
    for build in drawn:
        for trimmed in build.trimmed.values():
            assert trimmed.plan.from_a >= 0 and trimmed.plan.from_b >= 0


def test_nobody_has_the_frame_of_the_lessons(text):
    """One draw in some hundreds would be; fewer kinds and ranges than those make it one in three."""
    worked = tomllib.loads(frame_file.EXAMPLE.read_text())["drawing"]
    near = text.split("[touring.")[0]
    for name in ("seat_angle_deg", "head_angle_deg"):
        near = re.sub(rf"^{name} = .*$", f"{name} = {worked[name]}", near, flags=re.M)
    lengths = [own_frame.facts(near, SECRET, f"bench-{i:02d}")["front_centre"] for i in range(30)]
    off = [abs(length - worked["front_centre"]) for length in lengths]
    assert 5 < min(off) < 12


@pytest.mark.parametrize("students", [20, pytest.param(1000, marks=pytest.mark.slow)])
def test_a_number_that_two_lessons_share_is_one_number(root, text, students):
    lessons = [exercises.load(slug, root) for slug in exercises.slugs(root)]
    framed = [(e, keys.load(e, root)) for e in lessons if e.frames]
    assert framed
    for i in range(students):
        name = f"bench-{i:04d}"
        known = own_frame.facts(text, SECRET, name)
        for exercise, key in framed:
            drawn = own_numbers.for_frame(exercise, key, SECRET, name)
            for q in exercise.quantities:
                if q.fact and not drawn.instead:
                    assert drawn.numbers[q.name] == frame_facts.given(known, q.fact), q.name


def test_the_room_for_the_bead_is_the_one_of_the_frame_file(text):
    assert worked_frame.facts()["down_tube.above_head_bottom"] == pytest.approx(
        tomllib.loads(frame_file.EXAMPLE.read_text())["tubes"]["down_tube"]["above_head_bottom"]
    )
    for i in range(20):
        room = own_frame.facts(text, SECRET, f"bench-{i:02d}")["down_tube.above_head_bottom"]
        assert 8 <= round(room, 6) <= 14 and room == pytest.approx(round(room))


def test_a_name_that_no_number_has_is_told_with_the_nearest(text):
    known = own_frame.facts(text, SECRET, "bench-01")
    with pytest.raises(NoFactError, match=r"got 'down_tube.diametre'. Did you mean down_tube.dia"):
        frame_facts.fact(known, "down_tube.diametre")


@pytest.mark.parametrize(
    ("kinds", "said"),
    [
        ("x = [", "the file must be TOML"),
        ("", "the file must have a table for each kind"),
        ("[every.drawing]\nchainstay = 410", "the file must have a table for each kind"),
        ("[one.drawing]\nchainstay = { of = [] }", "one.drawing|a range must have low"),
        ("[one.drawing]\nchainstay = 410", "frames that can be built; got none in"),
    ],
)
def test_ranges_that_give_no_frame_are_told(kinds, said):
    with pytest.raises(exercises.AuthoringError, match=said):
        own_frame.draw(kinds, SECRET, "bench-01")


# A student's real frame


@pytest.fixture
def framed(tmp_path, root):
    course = small.write(tmp_path / "course", public=FRAMED)
    (course / own_frame.FILE).write_text(own_frame.kinds(root))
    folder = open_class(tmp_path / "class", invented_class.students(2), "Evening")
    real = tmp_path / "my-frame.toml"
    tables = frame_file.EXAMPLE.read_text()
    real.write_text(tables.replace("diameter = 31.8", "diameter = 33.3"))
    return course, folder, real


def side(course, folder, student):
    return assignments.assignment(load(folder.path), "small", course).numbers(student)["side"]


def test_a_real_frame_takes_the_place_of_the_drawn_one(framed):
    course, folder, real = framed
    drawn = {s: side(course, folder, s) for s in ("bench-01", "bench-02")}
    said = list(own_frames.put(folder, "bench-01", real, course))
    assert said == ["Bench 1 builds 'Example frame' from now on."]
    assert side(course, folder, "bench-01") == 33.3
    assert side(course, folder, "bench-02") == drawn["bench-02"]
    rename.rename(folder, "bench-01", "bench-77")
    assert side(course, folder, "bench-77") == 33.3


def test_what_is_handed_out_keeps_its_numbers(framed):
    course, folder, real = framed
    before = side(course, folder, "bench-01")
    assignments.hand_out(assignments.assignment(folder, "small", course))
    said = list(own_frames.put(folder, "bench-01", real, course))
    assert said[1] == "Handed out already, so with the numbers of before: small."
    assert side(course, folder, "bench-01") == before
    assert real_frames.turn(folder, "bench-01", "another") == 1
    list(own_frames.put(folder, "bench-01", real, course))  # the same once more
    assert real_frames.turn(folder, "bench-01", "another") == 1


def test_a_frame_that_the_key_refuses_gets_a_case_and_says_so(framed):
    course, folder, real = framed
    private = course / "solutions" / "small.py"
    private.write_text(
        private.read_text() + "\n\n@key.sound\ndef no(n):\n    return n.side != 33.3\n"
    )
    said = list(own_frames.put(folder, "bench-01", real, course))
    assert said[-1] == "small: it gets a case of its own, because the key refuses the case."
    work = assignments.assignment(load(folder.path), "small", course)
    assert work.numbers("bench-01")["side"] != 33.3
    assert "another frame, drawn for this lesson alone" in work.numbers_text("bench-01")


def test_a_frame_without_a_number_that_is_asked_for_gets_a_case_and_says_so(root):
    """A frame with no sleeve, in the lesson on sleeves."""
    exercise = exercises.load("sleeve-joint", root)
    key = keys.load(exercise, root)
    own = frame_facts.facts(frame_file.read(frame_file.EXAMPLE))
    bare = {name: v for name, v in own.items() if not name.startswith("sleeve.")}
    drawn = own_numbers.for_frame(exercise, key, SECRET, "bench-01", bare)
    assert drawn.instead == "the frame has no sleeve.plug"
    whole = own_numbers.for_frame(exercise, key, SECRET, "bench-01", own)
    assert whole.instead == "" and whole.numbers["tube"] == own["sleeve.plug"]


def test_a_frame_that_cannot_be_cut_is_refused(framed):
    course, folder, real = framed
    real.write_text(real.read_text().replace("[120, 40, 340, 40, 170]", "[60, 40, 340, 40, 60]"))
    with pytest.raises(ValueError, match="the frame must be one that can be built; got down tube"):
        list(own_frames.put(folder, "bench-01", real, course))
    assert not (folder.path / "frames").exists()


# What a lesson gives away of another


def test_hand_out_warns_of_an_answer_that_is_not_due(framed):
    course, folder, _ = framed
    earlier = small.PUBLIC.replace("title: Small", "title: Earlier").replace(
        "## double\nmarks: 3\n", "## double\nfinds: frame.down_tube.diameter\nmarks: 3\n"
    )
    (course / "exercises" / "earlier.md").write_text(earlier)

    def said():
        work = assignments.assignment(load(folder.path), "small", course)
        return given_away.given_away(work, course)

    assert said() == [
        "It gives 'side of a square', which 'double' of earlier asks for and which is not due yet."
    ]
    due.set_due(folder, "earlier", datetime(2999, 1, 1, tzinfo=UTC))
    assert len(said()) == 1
    due.set_due(folder, "earlier", datetime(2001, 1, 1, tzinfo=UTC))
    assert said() == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "frame.down_tube.diameter",
            "frame.down_tube.diametre",
            r"Did you mean frame\.down_tube\.d",
        ),
        ("frame.down_tube.diameter", "down_tube.diameter", "must name a number of the frame"),
        (
            "## double\n",
            "## double\nfinds: frame.nothing\n",
            r"question 'double'.*got 'frame\.noth",
        ),
    ],
)
def test_a_name_of_no_number_is_told_to_the_author(framed, old, new, said):
    course, _, _ = framed
    path = course / "exercises" / "small.md"
    path.write_text(path.read_text().replace(old, new))
    with pytest.raises(exercises.AuthoringError, match=said):
        exercises.load("small", course)
