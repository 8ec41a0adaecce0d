"""What the report says of a class's bench record, in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coursekit.classroom.bench.centre_plane import Change, Straightness
from coursekit.classroom.bench.class_fits import Fits, PullFit, Residual
from coursekit.classroom.demo import invented_class, invented_readings
from coursekit.classroom.handout import assignments
from coursekit.classroom.report import bench_sentences, class_facts, whole_report
from coursekit.tacks import Model

NAMES = {"bench-01": "Ash", "bench-02": "Birch"}
MODEL = Model(0.2812, 0.5934, 0.0123, 0.031, -0.4, 0.042, 20.0)
FAR = Residual("bench-02", (0.0, 180.0), "across", 0.31, 0.02, True)
NOTHING = Fits("any", (), None, (), ())


def test_the_model_of_pulls_is_told_with_what_is_far_off():
    fit = PullFit("deg", 24, MODEL, (replace(FAR, student="bench-01", far=False), FAR))
    model, far = bench_sentences.sentences(replace(NOTHING, pull=fit), NAMES)
    assert model == (
        "The model of pulls, fitted to 24 records of tacks: the first tack pulls 0.281 ± 0.012°, each "
        "further one 0.593 ± 0.031 times the one before; readings scatter about it by 0.042°. A model, not a law."
    )
    assert far == (
        "Birch read +0.31° across after 2 tacks where the model has +0.02°: look at that reading again "
        "before you doubt either."
    )


def test_no_fit_is_told_with_its_reason():
    fit = PullFit("deg", 1, None, why="Two tacks are needed.")
    (said,) = bench_sentences.sentences(replace(NOTHING, pull=fit), NAMES)
    assert said == "The model of pulls could not be fitted. Two tacks are needed."


@pytest.mark.parametrize(
    ("verdict", "end"),
    [
        ("nearer", "setting brought it nearer to the centre plane."),
        ("further off", "setting took it further off."),
        ("no telling", "whether setting helped can't be told from these readings."),
    ],
)
def test_what_setting_did_stands_for_where_the_part_is(verdict, end):
    straight = Straightness("bench-01", "seat tube", "after", 0.0, 0.1234, 0.021, -0.05, 0.011)
    change = Change("bench-01", "seat tube", 300.0, 0.82, -0.12, 0.03, verdict)
    (said,) = bench_sentences.sentences(
        replace(NOTHING, straight=(straight,), changes=(change,)), NAMES
    )
    assert said == (
        f"Ash, seat tube at 300 mm: +0.82 mm before, −0.12 mm after, the change known to 0.03 mm: {end}"
    )
    (alone,) = bench_sentences.sentences(replace(NOTHING, straight=(straight,)), NAMES)
    assert alone == (
        "Ash, seat tube after: +0.123 ± 0.021 mm off the centre plane at 0 mm, leaning −0.050 ± 0.011°, "
        "positive to the drive side."
    )
    assert not bench_sentences.sentences(replace(NOTHING, straight=(straight,)), {})


def test_page_and_pdf_tell_it(root, tmp_path):
    folder = invented_class.open_demo(tmp_path / "demo")
    work = assignments.assignment(folder, "tack-order", root)
    assignments.hand_out(work)
    invented_readings.record(work)
    facts = class_facts.gather(folder, root, names=False)
    page = whole_report.html(facts, named=False)
    assert "The bench record, taken together" in page
    assert "The model of pulls, fitted to 24 records of tacks" in page
    assert not [s.name for s in folder.students if s.name in page]
    assert whole_report.pdf(facts, named=False).startswith(b"%PDF")
