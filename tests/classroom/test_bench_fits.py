"""What a class's record gives: spread, pulls, lines by reversal; judged by other libraries and by hand."""

from __future__ import annotations

import json
from cmath import exp
from dataclasses import replace
from math import atan, degrees, pi, radians, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from rich.console import Console
from scipy import stats

from coursekit.classroom.bank import exercises
from coursekit.classroom.bank.bench_line import BenchLine
from coursekit.classroom.bench import bench_record, centre_plane, class_fits
from coursekit.classroom.demo import bench_values, invented_class, invented_readings
from coursekit.classroom.handout import assignments
from coursekit.classroom.report import bench_table
from coursekit.cli import main

from .benches import opened

GAP = BenchLine("gap", "widest gap", "mm", "feeler gauge", 0.05)


def test_spread_is_what_an_analysis_of_variance_says():
    """Judge: scipy's pooled scatter and one-way F; unequal numbers of readings.

    The mean size of a group that counts is Snedecor and Cochran's, 6th ed., 10.16 (from memory).
    """
    rng = np.random.default_rng(3)
    groups = [
        list(rng.normal(m, 0.2, n)) for m, n in ((1.0, 2), (1.6, 3), (0.8, 2), (1.2, 5), (2, 1))
    ]
    found = class_fits.spread(GAP, groups)
    within = sum(stats.tvar(g) * (len(g) - 1) for g in groups if len(g) > 1) / (13 - 5)
    between = within * stats.f_oneway(*groups).statistic
    sizes = np.array([len(g) for g in groups])
    each = (13 - (sizes**2).sum() / 13) / 4
    assert found.repeat == pytest.approx(sqrt(within), rel=1e-9)
    assert found.between == pytest.approx(sqrt((between - within) / each), rel=1e-9)
    assert (found.students, found.readings) == (5, 13)
    assert found.mean == pytest.approx(np.mean(np.concatenate(groups)))
    assert found.division == pytest.approx(0.05 / sqrt(12))


def test_spread_of_few_readings():
    assert class_fits.spread(GAP, []) is None
    one = class_fits.spread(GAP, [[1.0]])
    assert (one.repeat, one.between, one.students) == (None, None, 1)
    alone = class_fits.spread(GAP, [[1.0, 1.2]])
    assert (alone.repeat, alone.between) == (pytest.approx(0.2 / sqrt(2)), None)
    singles = class_fits.spread(GAP, [[1.0], [2.0]])
    assert (singles.repeat, singles.between) == (None, None)
    same = class_fits.spread(GAP, [[1.0, 1.4], [1.4, 1.0]])
    assert same.between == 0.0, "a variance is not negative"


TACKS = (
    BenchLine("far", "distance", "mm", "rule", 1, role="lever"),
    BenchLine("one", "one", "mm", "dial", 0.02, role="pull in plane", at=(0.0,)),
    BenchLine("two", "two", "mm", "dial", 0.02, role="pull in plane", at=(0.0, 180.0)),
    BenchLine("side", "side", "mm", "dial", 0.02, role="pull across", at=(0.0, 180.0, 90.0)),
    BenchLine("left", "left", "mm", "dial", 0.02),
)


def pulled(at, first, hold):
    """The tilt as a complex number, by arrows set tip to tail."""
    return sum(first * hold**k * exp(1j * pi * a / 180) for k, a in enumerate(at))


def class_of_tacks(noise=0.0, seed=1):
    rng = np.random.default_rng(seed)
    means = {}
    for i in range(8):
        far = 400.0 + 10 * i
        means[f"s{i}", "far"] = far
        for line in TACKS[1:4]:
            tilt = pulled(line.at, 0.3, 0.55)
            part = tilt.real if line.role == "pull in plane" else tilt.imag
            means[f"s{i}", line.id] = far * tan(radians(part + rng.normal(0, noise)))
    return means


def test_the_model_of_pulls_is_found_again():
    found = class_fits.pull_fit(TACKS, class_of_tacks())
    assert (found.unit, found.records) == ("deg", 24)
    assert found.model.first == pytest.approx(0.3, abs=1e-9)
    assert found.model.hold == pytest.approx(0.55, abs=1e-9)
    noisy = class_fits.pull_fit(TACKS, class_of_tacks(0.01))
    assert noisy.model.hold == pytest.approx(0.55, abs=4 * noisy.model.hold_uncertainty)
    assert 0.005 < noisy.model.scatter < 0.02
    assert 0 < noisy.model.hold_uncertainty < 0.02
    assert not any(r.far for r in noisy.residuals)
    first = noisy.residuals[0]
    assert (first.student, first.at, first.way) == ("s0", (0.0,), "in plane")
    assert first.model == pytest.approx(noisy.model.first)


def test_a_reading_with_a_wrong_sign_stands_out():
    means = class_of_tacks(0.002)
    means["s3", "one"] = -means["s3", "one"]
    found = class_fits.pull_fit(TACKS, means)
    assert [(r.student, r.at, r.way) for r in found.residuals if r.far] == [
        ("s3", (0.0,), "in plane")
    ]


def test_pulls_without_a_distance_stay_in_the_gauges_unit_and_without_enough_there_is_no_fit():
    means = {p: v for p, v in class_of_tacks().items() if p[1] != "far"}
    bare = class_fits.pull_fit(TACKS[1:], means)
    assert (bare.unit, bare.model.hold) == ("mm", pytest.approx(0.55, abs=1e-3))
    assert class_fits.pull_fit(TACKS, means).why.startswith(
        "The records must hold one with two tacks"
    )
    assert class_fits.pull_fit((GAP,), means) is None


def fitted(monkeypatch, tmp_path, lines, means):
    """The fits of a record in which each of these means was read once."""
    folder, exercise = opened(tmp_path)
    rows = [bench_record.Reading(s, "small", id, 1, v, "mm") for (s, id), v in means.items()]
    monkeypatch.setattr(bench_record, "latest", lambda folder, slug: {r.place: r for r in rows})
    people = tuple(replace(folder.students[0], id=s) for s in dict.fromkeys(s for s, _ in means))
    return class_fits.fits(replace(folder, students=people), replace(exercise, bench=lines))


def test_a_student_s_reading_that_gives_no_angle_is_left_out_and_said(monkeypatch, tmp_path):
    means = class_of_tacks()
    without = {place: v for place, v in means.items() if place[0] != "s3"}
    found = fitted(monkeypatch, tmp_path, TACKS, means | {("s3", "far"): 0.0})
    assert found.left == (
        "LEFT: s3 small. The distance to the gauge must be above 0; got 0 mm. Record it again.",
    )
    assert found.pull == class_fits.pull_fit(TACKS, without)
    assert found.as_json()["left"] == found.left
    assert "left" not in fitted(monkeypatch, tmp_path, TACKS, means).as_json()


def test_a_student_whose_heights_fail_is_left_out_and_said(monkeypatch, tmp_path):
    lines = heights(100, 400)
    means = {(s, b.id): 0.5 for s in ("s1", "s2", "s3") for b in lines}
    whole = fitted(monkeypatch, tmp_path, lines, means)
    assert [s.student for s in whole.straight] == ["s1", "s2", "s3"]
    found = fitted(monkeypatch, tmp_path, lines, means | {("s2", "up100"): float("nan")})
    assert [s.student for s in found.straight] == ["s1", "s3"]
    assert [said[:16] for said in found.left] == ["LEFT: s2 small. "]


def heights(*places, stage="", of="seat tube"):
    return tuple(
        BenchLine(f"{side}{at:g}{stage}", "h", "mm", "dial", 0.02, role=f"height drive {side}", at=(at,), of=of, stage=stage)
        for at in places
        for side in ("up", "down")
    )  # fmt: skip


def straight(lines, values, readings=1):
    means = {("s", b.id): v for b, v in zip(lines, values, strict=True)}
    return centre_plane.straightness(lines, means, dict.fromkeys(means, readings))


def test_lines_by_reversal_worked_by_hand():
    """Half differences 0.2 at 100 and 0.5 at 400: a slope of 0.3 in 300, 0.1 at the shell."""
    (two,) = straight(heights(100, 400), [0.7, 0.3, 0.9, -0.1], readings=2)
    assert two.offset == pytest.approx(0.1)
    assert two.angle_deg == pytest.approx(degrees(atan(0.001)))
    one = 0.02 / sqrt(12) / sqrt(2) / sqrt(2)  # of a half difference of means of two readings
    assert two.offset_uncertainty == pytest.approx(one * sqrt(400**2 + 100**2) / 300)
    assert radians(two.angle_deg_uncertainty) == pytest.approx(one * sqrt(2) / 300, rel=1e-4)
    (single,) = straight(heights(100), [0.7, 0.3])
    assert (single.offset, single.angle_deg) == (pytest.approx(0.2), None)
    assert single.offset_uncertainty == pytest.approx(0.02 / sqrt(12) / sqrt(2))
    (three,) = straight(heights(100, 200, 300), [0.3, 0.1, 0.5, 0.1, 0.7, 0.1])
    assert three.offset == pytest.approx(0.0, abs=1e-12)
    assert three.offset_uncertainty == pytest.approx(0.0, abs=1e-12), (
        "from the scatter, and there is none"
    )


def test_readings_that_scatter_more_than_the_division_are_known_less_well():
    lines = heights(100)
    means = {("s", b.id): 0.5 for b in lines}
    for repeat, one in ((0.1, 0.1), (0.001, 0.02 / sqrt(12))):
        some = dict.fromkeys((b.id for b in lines), repeat)
        (found,) = centre_plane.straightness(lines, means, dict.fromkeys(means, 2), some)
        assert found.offset_uncertainty == pytest.approx(one / sqrt(2) / sqrt(2))


def test_a_place_that_was_read_on_one_face_only_does_not_count():
    lines = heights(100, 400)
    means = {("s", b.id): 0.5 for b in lines[:3]}
    (found,) = centre_plane.straightness(lines, means, dict.fromkeys(means, 1))
    assert found.angle_deg is None
    assert centre_plane.straightness(lines, {("s", "up100"): 0.5}, {("s", "up100"): 1}) == ()


def test_before_and_after():
    gauge = BenchLine("o", "o", "mm", "dial", 0.02, role="offset", of="rear end", stage="before")
    lines = (
        *heights(100, stage="before"), *heights(100, stage="after"),
        gauge, replace(gauge, id="p", stage="after"),
    )  # fmt: skip
    found = centre_plane.changes(straight(lines, [0.7, 0.3, 0.3, 0.4, -0.2, 0.5]))
    assert [(c.of, c.at, c.before, c.after, c.verdict) for c in found] == [
        ("seat tube", 100, pytest.approx(0.2), pytest.approx(-0.05), "nearer"),
        ("rear end", 0, -0.2, 0.5, "further off"),
    ]
    assert found[1].uncertainty == pytest.approx(0.02 / sqrt(6))
    assert centre_plane.changes(straight(heights(100, stage="after"), [0.7, 0.3])) == ()
    both = (*heights(100, stage="before"), *heights(100, stage="after"))
    for after, verdict in ((0.68, "no telling"), (0.67, "nearer"), (0.73, "further off")):
        (one,) = centre_plane.changes(straight(both, [0.7, 0.3, after, 0.3]))
        assert one.verdict == verdict, "two standard uncertainties are 0.0115 mm"
    (one,) = centre_plane.changes(straight(both, [0.3, 0.7, 0.3, 0.4]))
    assert (one.before, one.verdict) == (pytest.approx(-0.2), "nearer"), "from the other side"
    apart = (*heights(100, 400, stage="before"), *heights(400, stage="after"))
    (only,) = centre_plane.changes(straight(apart, [0.7, 0.3, 0.9, -0.1, 0.1, 0.0]))
    assert (only.at, only.before, only.after) == (400, pytest.approx(0.5), pytest.approx(0.05))


def test_the_record_as_a_whole_uses_what_stands(tmp_path):
    folder, exercise = opened(tmp_path)

    def type_in(student, line, k, value):
        bench_record.record(folder, [bench_record.Reading(student, "small", line, k, value, "mm")])

    type_in("bench-01", "gap", 1, 4.0)
    type_in("bench-01", "gap", 1, 0.5)
    type_in("bench-01", "gap", 2, 0.7)
    type_in("bench-02", "gap", 1, 1.1)
    type_in("bench-02", "lost", 1, 1.1)
    found = class_fits.fits(folder, exercise)
    (gap,) = found.spreads
    assert (gap.mean, gap.readings, gap.repeat) == (
        pytest.approx(2.3 / 3),
        3,
        pytest.approx(0.2 / sqrt(2)),
    )
    assert (found.pull, found.straight, found.changes) == (None, (), ())


def shown(found):
    console = Console(width=100, record=True, file=open("/dev/null", "w"))  # noqa: PTH123, SIM115
    with console.file:
        console.print(*bench_table.fitted(found), sep="\n\n")
    return console.export_text()


def test_the_demo_class_shows_its_own_model(root, tmp_path, monkeypatch):
    folder = invented_class.open_demo(tmp_path / "demo")
    work = assignments.assignment(folder, "tack-order", root)
    assert len(invented_readings.record(work)) == 12 * 10
    assert invented_readings.record(work) == [], "repeated, nothing is added"
    found = class_fits.fits(folder, work.exercise)
    model = found.pull.model
    assert model.first == pytest.approx(bench_values.FIRST_DEG, abs=4 * model.first_uncertainty)
    assert model.hold == pytest.approx(bench_values.HOLD, abs=4 * model.hold_uncertainty)
    assert {s.line for s in found.spreads} == {b.id for b in work.exercise.bench}
    text = shown(found)
    assert f"{model.hold:.3f}" in text
    assert "Pull of the tacks, 24 records" in text
    monkeypatch.setenv("COURSEKIT_ROOT", str(root))
    done = CliRunner().invoke(
        main, ["bench", "fits", "tack-order", "--class", str(folder.path), "--json"]
    )
    assert json.loads(done.stdout)["pull"]["model"]["hold"] == pytest.approx(model.hold)


@pytest.mark.parametrize("slug", exercises.slugs(Path(__file__).resolve().parents[2]))
def test_every_demo_reading_is_one_that_the_form_would_take(root, tmp_path, slug):
    folder = invented_class.open_demo(tmp_path / "demo")
    work = assignments.assignment(folder, slug, root)
    for one in invented_readings.record(work):
        again = bench_record.checked(
            folder, work.exercise, one.student, one.line, one.reading, one.typed
        )
        assert again.value == one.value


def test_tables_of_lines_and_changes():
    lines = (*heights(100, 400, stage="before"), *heights(100, 400, stage="after"))
    part = straight(lines, [0.7, 0.3, 0.9, -0.1, 0.1, 0.0, 0.1, 0.0])
    found = class_fits.Fits("x", (), None, part, centre_plane.changes(part))
    text = shown(found)
    assert "+0.1000 ±" in text
    assert "nearer" in text
    assert (
        shown(class_fits.Fits("x", (), None, (), ())).strip()
        == "Nothing has been recorded for this lesson yet."
    )
