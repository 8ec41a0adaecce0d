"""Bench readings as measured minus expected, and the rule by which one is outside."""

from __future__ import annotations

from math import isnan, pi
from random import Random

import pytest

from coursekit.classroom.bank import exercises, keys, lesson_names, own_frame, own_numbers
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bank.exercises import AuthoringError
from coursekit.classroom.bank.expected import expected
from coursekit.classroom.report.measured import FAR, line_measured

from ..conftest import ROOT

TAPE = BenchLine("wheelbase", "wheelbase", "mm", "steel tape", 0.5)
SECRET = bytes(range(32))


def offs(values, line=TAPE, wanted=1000.0):
    names = [f"s{i:02d}" for i in range(len(values))]
    known = {} if wanted is None else dict.fromkeys(names, wanted)
    return line_measured(line, {n: (v,) for n, v in zip(names, values, strict=True)}, known)


def test_the_spread_is_scipy_s_and_the_bound_is_that_of_the_modified_score():
    """Outside source: scipy.stats.median_abs_deviation, scaled to a normal distribution."""
    stats = pytest.importorskip("scipy.stats")
    chance = Random(3)
    values = [1000 + chance.gauss(1.0, 2.0) for _ in range(12)] + [1013.0]
    found = offs(values)
    spread = stats.median_abs_deviation(values, scale="normal")
    assert found.spread == pytest.approx(spread, rel=1e-4)
    middle = sorted(values)[6]
    assert found.middle == pytest.approx(middle - 1000)
    assert {m.student for m in found.outside} == {
        f"s{i:02d}" for i, v in enumerate(values) if abs(v - middle) > FAR * spread
    }
    assert "s12" in {m.student for m in found.outside}


def test_one_wild_reading_of_five_is_found_and_hides_nobody():
    found = offs([1000.0, 1000.5, 999.5, 1000.0, 1060.0])
    assert [(m.student, m.off) for m in found.outside] == [("s04", 60.0)]
    assert found.far(found.outside[0]) > 1
    assert not found.all_off


def test_readings_within_the_division_are_never_outside():
    assert not offs([1000.0, 1000.0, 1000.0, 1000.0, 1000.5, 1000.0]).outside


def test_a_whole_class_that_misses_is_told_apart_from_one_student_who_does():
    found = offs([1004.0, 1004.5, 1003.5, 1004.0, 1004.0, 1012.0])
    assert found.all_off
    assert [m.student for m in found.outside] == ["s05"]
    assert found.middle == 4.0


def test_a_small_class_goes_by_ten_divisions_of_the_instrument():
    found = offs([1004.5, 1005.5, 999.0])
    assert [m.student for m in found.outside] == ["s01"]
    assert found.spread is None
    assert not offs([7.0, 70.0], wanted=None).outside  # nothing says which of two is wrong


def test_where_nothing_is_expected_the_class_s_middle_stands_in():
    found = offs([7.0, 7.5, 6.5, 7.0, 7.0, 25.0], wanted=None)
    assert found.from_class
    assert [(m.student, m.off) for m in found.outside] == [("s05", 18.0)]
    assert not found.all_off
    alone = BenchLine(
        "up", "up", "mm", "dial", 0.02, role="height drive up", at=(100.0,), of="tube"
    )
    assert not offs([7.0, 7.5, 6.5, 7.0, 7.0, 25.0], alone, wanted=None).outside


def test_a_student_without_numbers_keeps_the_reading_unjudged():
    values = {f"s{i}": (1000.0,) for i in range(5)} | {"late": (1700.0,)}
    found = line_measured(TAPE, values, {s: 1000.0 for s in values if s != "late"})
    late = found.students[-1]
    assert (late.student, late.values, late.outside) == ("late", (1700.0,), False)
    assert isnan(late.off)


# what is expected


@pytest.mark.parametrize("slug", exercises.slugs(ROOT))
def test_what_is_expected_can_be_read_on_the_instrument(slug):
    """For some students' own numbers: within what the line calls sensible."""
    exercise = exercises.load(slug, ROOT)
    key = keys.load(exercise, ROOT)
    lines = {line.id: line for line in exercise.bench}
    for student in ("bench-01", "bench-02", "bench-03"):
        numbers = own_numbers.draw(exercise, key, SECRET, student)
        found = expected(exercise, key, numbers)
        assert list(found) == list(key.bench)
        for id, value in found.items():
            assert lines[id].low <= value <= lines[id].high, (student, id, value)


def test_what_is_expected_is_the_student_s_own_frame():
    """Against the frame itself (sheets.frame_facts), not the lessons' calculations."""
    facts = own_frame.facts(own_frame.kinds(ROOT), SECRET, "bench-02")
    for slug, line, value, within in (
        ("frame-drawing", "wheelbase", facts["wheelbase"], 0.2),
        ("frame-drawing", "trail", facts["trail"], 0.2),
        ("frame-drawing", "joint", facts["down_tube.head_tube.angle_deg"], 0.1),
        ("miter-angles", "wrap", pi * facts["down_tube.diameter"], 0.2),
        ("fixture-setting", "rear-back", facts["fixture.rear_back"], 0.1),
        ("your-frame", "wheelbase", facts["wheelbase"], 0.2),
        ("your-frame", "top-mark", facts["top_tube.mark_b"] - facts["top_tube.mark_a"], 0.2),
        ("bottom-bracket-shell", "width", facts["shell.faced"], 0.06),
    ):
        exercise = exercises.load(slug, ROOT)
        key = keys.load(exercise, ROOT)
        drawn = own_numbers.for_frame(exercise, key, SECRET, "bench-02")
        assert not drawn.instead, slug
        found = expected(exercise, key, drawn.numbers)[line]
        assert found == pytest.approx(value, abs=within), (slug, line)


PUBLIC = """\
---
title: T
numbers:
  side: {say: side, unit: mm, from: [10, 20]}
bench:
  - {id: gap, say: gap, unit: mm, instrument: rule, resolution: 0.5}
---

## area
marks: 1
unit: mm
tolerance: 1

What?
"""
PRIVATE = """\
## area
answer: side ** 2
slip doubled: 2 * side
  No.

It is **{answer}**.

## bench
"""


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("gap: area / side", ""),
        ("gop: area", "got 'gop: area'. The lines are gap."),
        ("gap: area\ngap: side", "got 'gap: side'"),
        ("gap", "each line must be `bench-line: expression`"),
        ("gap: nowhere", "a name must be a quantity"),
        ("gap: [side]", "must be one finite number; got [10.0]"),
    ],
)
def test_mistakes_in_what_is_expected_are_named(tmp_path, written, said):
    for folder, text in (("exercises", PUBLIC), ("solutions", PRIVATE + written + "\n")):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "t.md").write_text(text)
    exercise = exercises.load("t", tmp_path)
    assert lesson_names.title("t", tmp_path) == "T"
    try:
        found = expected(exercise, keys.load(exercise, tmp_path), {"side": 10.0})
    except AuthoringError as error:
        assert said
        assert said in str(error)
    else:
        assert not said
        assert found == {"gap": 10.0}
