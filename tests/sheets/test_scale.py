"""The printed template is true to size: check bars, strip and curve, read back from the PDF."""

from __future__ import annotations

from math import cos, pi, radians, sin
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from coursekit import miters
from coursekit.sheets import page, strip, worksheet
from coursekit.sheets.strip import StripJoint
from tests.sheets import builds, paper
from tests.sheets.conftest import STUDENTS, Made

HUNDREDTH = 0.01  # mm; a printer holds about 0.1
PAPERS = ("a4", "us-letter")
CASES = [(p, i) for p in PAPERS for i in range(len(STUDENTS))]


def template_page(made: Made, size: str, student: int) -> Any:
    sheet = paper.pages(made.pdf(size).read_bytes())
    return sheet[3 * student + 2]


def read_back(on: Any, width: float) -> np.ndarray:
    """Return the curve as (around, along) from frame and dashed line, as a reader would measure it."""
    (frame,) = [f for f in paper.frames(on) if abs(f["width"] * paper.MM - width) < HUNDREDTH]
    (crossing,) = [
        s
        for s in paper.segments(on)
        if s.dashed and abs(s.length - width) < HUNDREDTH and abs(s.y0 - s.y1) < HUNDREDTH
    ]
    curve = paper.polyline(on, 361)
    return np.stack([curve[:, 0] - frame["x0"] * paper.MM, crossing.y0 - curve[:, 1]], axis=1)


@pytest.mark.parametrize("size", PAPERS)
def test_page_has_the_size_of_its_paper(made: Made, size: str) -> None:
    # ISO 216 A4, 210 x 297 mm; US Letter, 8 1/2 x 11 in
    wanted = {"a4": (210.0, 297.0), "us-letter": (8.5 * 25.4, 11 * 25.4)}[size]
    for sheet in paper.pages(made.pdf(size).read_bytes()):
        assert_allclose((sheet.width * paper.MM, sheet.height * paper.MM), wanted, atol=HUNDREDTH)


@pytest.mark.parametrize(("size", "student"), CASES)
def test_check_bars_are_100_mm_both_ways(made: Made, size: str, student: int) -> None:
    bars = [
        s
        for s in paper.segments(template_page(made, size, student))
        if abs(s.length - 100) < HUNDREDTH and not s.dashed
    ]
    assert len(bars) == 2
    assert sorted(round(abs(s.x1 - s.x0)) for s in bars) == [0, 100]
    assert sorted(round(abs(s.y1 - s.y0)) for s in bars) == [0, 100]


@pytest.mark.parametrize("size", PAPERS)
def test_check_bars_carry_a_mark_every_10_mm(made: Made, size: str) -> None:
    found = paper.segments(template_page(made, size, 0))
    for bar in (s for s in found if abs(s.length - 100) < HUNDREDTH and not s.dashed):
        upright = abs(bar.x0 - bar.x1) < HUNDREDTH
        marks = [
            s.y0 - bar.y0 if upright else s.x0 - bar.x0
            for s in found
            if s.length < 4 and abs(s.x0 - bar.x0 if upright else s.y0 - bar.y0) < HUNDREDTH
        ]
        assert_allclose(sorted(marks), np.arange(0, 101, 10), atol=HUNDREDTH)


@pytest.mark.parametrize(("size", "student"), CASES)
def test_curve_is_the_saddle(made: Made, size: str, student: int) -> None:
    n = made.numbers[STUDENTS[student][0]]
    curve = read_back(template_page(made, size, student), pi * n["tube_diameter"])
    around, along = miters.saddle(n["tube_diameter"], n["head_diameter"], n["angle_deg"])
    assert_allclose(curve[:, 0], around, atol=HUNDREDTH)
    # the strip starts on the underside, which lies in the acute corner: half a turn on
    assert_allclose(curve[:-1, 1], np.roll(along[:-1], 180), atol=HUNDREDTH)


@pytest.mark.parametrize(("size", "student"), CASES)
def test_wrapped_round_the_tube_the_curve_lies_on_the_head_tube(
    made: Made, size: str, student: int
) -> None:
    """Definition of the cut: every point of it is one radius from the axis of the tube joined to."""
    n = made.numbers[STUDENTS[student][0]]
    r, big_r, theta = n["tube_diameter"] / 2, n["head_diameter"] / 2, radians(n["angle_deg"])
    curve = read_back(template_page(made, size, student), 2 * pi * r)
    phi = pi + curve[:, 0] / r  # the strip starts on the underside, in the acute corner
    # x along the cut tube, y into its obtuse corner, z out of the plane of both axes
    points = np.stack([curve[:, 1], r * np.cos(phi), r * np.sin(phi)], axis=1)
    other_axis = np.array([cos(theta), -sin(theta), 0.0])
    distance = np.linalg.norm(np.cross(points, other_axis), axis=1)
    assert_allclose(distance, big_r, atol=HUNDREDTH)


@pytest.mark.parametrize("size", PAPERS)
def test_centre_lines_stand_at_the_quarters(made: Made, size: str) -> None:
    n = made.numbers["bench-01"]
    on = template_page(made, size, 0)
    width = pi * n["tube_diameter"]
    (frame,) = [f for f in paper.frames(on) if abs(f["width"] * paper.MM - width) < HUNDREDTH]
    tall, left = frame["height"] * paper.MM, frame["x0"] * paper.MM
    lines = sorted(
        s.x0 - left
        for s in paper.segments(on)
        if abs(s.x0 - s.x1) < HUNDREDTH and abs(s.length - tall) < HUNDREDTH and not s.dashed
    )
    assert_allclose(lines, [width / 4, width / 2, 3 * width / 4], atol=HUNDREDTH)


def test_grey_side_is_the_side_toward_the_joint(made: Made) -> None:
    on = template_page(made, "a4", 0)
    (grey,) = [c for c in on.curves if c["fill"] and len(c["pts"]) == 361 + 2 + 1]
    curve = paper.polyline(on, 361)
    ys = np.array(grey["pts"])[:, 1] * paper.MM
    n = made.numbers["bench-01"]
    (frame,) = [
        f for f in paper.frames(on) if abs(f["width"] * paper.MM - pi * n["tube_diameter"]) < 0.01
    ]
    assert abs(ys.max() - frame["bottom"] * paper.MM) < HUNDREDTH  # to the edge past the axes …
    assert abs(ys.min() - curve[:, 1].min()) < HUNDREDTH  # … from the deepest point of the cut on


def test_offset_joint_passes_the_other_axis_on_its_90_degree_side() -> None:
    """Wrap the drawing with its printed side out and look at the solid that comes of it.

    Held with its far end up, the tube shows the page's right hand to the right, which is
    counter-clockwise seen from the far end; the flank at φ = 90° is where the offset goes.
    """
    r, big_r, offset, theta = 9.5, 20.0, 8.0, radians(72)
    drawing = strip.draw(StripJoint("stay", 2 * r, 2 * big_r, 72.0, offset=offset), "a4")
    x, y = np.array(drawing.curve).T
    far_end_up = drawing.crossing > y.max()
    away = np.array([0.0, 0.0, 1.0])  # from the joint to the far end
    obtuse = np.array([1.0, 0.0, 0.0])
    ninety = np.cross(away, obtuse)  # a quarter turn counter-clockwise, seen from the far end
    # the seam lies on the underside, and the down tube has its obtuse corner at the head tube above
    phi = radians(180) + (x if far_end_up else -x) / r
    along = np.abs(drawing.crossing - y)
    points = (
        along[:, None] * away
        + r * np.cos(phi)[:, None] * obtuse
        + (r * np.sin(phi) + offset)[:, None] * ninety
    )
    other_axis = cos(theta) * away - sin(theta) * obtuse
    distance = np.linalg.norm(np.cross(points, other_axis), axis=1)
    assert_allclose(distance, big_r, atol=1e-3)


@given(st.floats(16, 62), st.floats(0, 20), st.floats(35, 90), st.sampled_from(PAPERS))
@settings(deadline=None, max_examples=60)
def test_whatever_is_drawn_stays_inside_its_strip(
    diameter: float, wider: float, angle_deg: float, size: page.Paper
) -> None:
    joint = StripJoint("tube", diameter, diameter + 1 + wider, angle_deg)
    try:
        drawing = strip.draw(joint, size)
    except ValueError as error:
        assert str(error).startswith("A wrap template must fit the paper")
        return
    curve = np.array(drawing.curve)
    assert curve.min() >= 0
    assert curve[:, 0].max() <= drawing.width + 1e-3
    assert curve[:, 1].min() >= strip.SKIRT - 1e-3
    assert curve[:, 1].max() <= drawing.height - strip.BEYOND + 1e-3
    assert (
        0 < drawing.crossing <= drawing.height - strip.BEYOND + 1e-9
    )  # sums of the same, in other order
    room = page.size(size)[0] - 2 * page.MARGIN - strip.BESIDE
    assert drawing.below == (drawing.width > room)
    assert drawing.width <= page.size(size)[0] - 2 * strip.EDGE


@pytest.mark.parametrize("angle_deg", [60.0, 120.0])
def test_lines_are_named_after_the_corners_they_lie_in(angle_deg: float) -> None:
    """The obtuse line is the short one, whichever of the two angles is given."""
    joint = StripJoint("tube", 28.6, 36.0, angle_deg)
    named = {line.corner: k for k, line in enumerate(joint.lines[:4])}
    _, y = np.array(strip.draw(joint, "a4").curve).T
    depth = -y[::90]  # up the page is away from the joint
    assert depth[named["acute"]] == max(depth)
    assert depth[named["obtuse"]] < depth[named["acute"]]
    assert [line.corner for line in joint.lines] == ["acute", "flank", "obtuse", "flank", "acute"]


def test_square_joint_has_no_corners() -> None:
    lines = StripJoint("tube", 28.6, 36.0, 90.0, joint="seat tube to shell").lines
    assert [line.corner for line in lines] == [""] * 5
    assert [line.place for line in lines[:4]] == ["rear", "drive side", "front", "non-drive side"]


@pytest.mark.parametrize("joint", sorted(strip.JOINTS))
def test_strip_of_a_joint_alone_is_that_of_the_frame(joint: str) -> None:
    """Lines, way round and curve against the piece of the example frame, worn with its far end up."""
    cut, _, met = (word.replace(" ", "_") for word in joint.partition(" to "))
    build = builds.example()
    piece, found = build.pieces[cut], build.frame.joints[f"{cut}-{met}"]
    end = "a" if float(found.inward @ piece.direction) > 0 else "b"
    into = float(found.into_diameter)
    diameter = min(piece.diameter, into)  # the down tube is wider than the seat tube
    one = StripJoint(cut, diameter, into, float(found.angle_deg), joint=joint)
    far_end_up = piece.direction if end == "a" else -piece.direction
    for k, line in enumerate(one.lines):
        turn = radians(line.deg)
        out = cos(turn) * piece.zero + sin(turn) * piece.ninety
        worn = cos(pi * k / 2) * piece.zero + sin(pi * k / 2) * np.cross(far_end_up, piece.zero)
        assert_allclose(out, worn, atol=1e-9)
        assert line.place == piece.lines[line.deg % 360 // 90]
    drawing = strip.draw(one, "a4")
    x, y = np.array(drawing.curve).T
    around = (np.cos(x / diameter * 2)[:, None] * piece.zero
              + np.sin(x / diameter * 2)[:, None] * np.cross(far_end_up, piece.zero))  # fmt: skip
    edge = (
        np.asarray(found.at) + (drawing.crossing - y)[:, None] * far_end_up + diameter / 2 * around
    )
    axis = build.frame.tubes.axes[met]
    off = np.linalg.norm(np.cross(edge - axis.start, axis.direction), axis=1)
    assert_allclose(off, axis.diameter / 2, atol=1e-3)


def test_a_strip_too_long_or_too_high_is_refused() -> None:
    with pytest.raises(
        ValueError, match=r"got a strip 238\.8 mm long for 'mast', and a4 holds 196"
    ):
        strip.draw(StripJoint("mast", 76.0, 80.0, 60.0), "a4")
    with pytest.raises(ValueError, match="mm high for 'flat stay', and a page leaves 120"):
        strip.draw(StripJoint("flat stay", 40.0, 48.0, 20.0), "us-letter")


@pytest.mark.parametrize("size", PAPERS)
@pytest.mark.parametrize("angle_deg", [45.0, 60.0, 90.0])
def test_the_widest_strip_has_a_page_with_both_bars(
    size: page.Paper, angle_deg: float, tmp_path: Path
) -> None:
    """A tube of 60 mm, no narrower than any in a frame: common practice, no source."""
    bench = (worksheet.BenchLine("wrap", "mm", "rule", 0.5, 2),)
    task = worksheet.SheetQuestion("One", "How long?", "number", 2, "mm")
    body = worksheet.Body("one", "One", "Cut it.", (task,), bench)
    joint = StripJoint("wide tube", 60.0, 70.0, angle_deg)
    pdf = worksheet.pdf(body, [worksheet.Copy("s-1", "s-1", (), (joint,))], size)
    sheet = paper.pages(pdf)
    (at,) = [i for i, on in enumerate(sheet) if any(len(c["pts"]) == 361 for c in on.curves)]
    bars = [
        s
        for s in paper.segments(sheet[at])
        if abs(s.length - 100) < HUNDREDTH and s.thickness > 0.25 and not s.dashed
    ]
    assert sorted(round(abs(s.x1 - s.x0)) for s in bars) == [0, 100]
    builds.assert_ink_keeps_off_the_edge(pdf, tmp_path)


def test_two_templates_and_a_long_bench_record_keep_the_backs_free() -> None:
    bench = tuple(worksheet.BenchLine(f"line {i}", "mm", "rule", 0.5, 3) for i in range(9))
    task = worksheet.SheetQuestion("One", "How long?", "number", 2, "mm")
    body = worksheet.Body("two", "Two", "Cut both.", (task,), bench)
    joints = (StripJoint("first", 28.6, 36.0, 60.0), StripJoint("second", 31.8, 38.1, 75.0))
    sheet = paper.pages(
        worksheet.pdf(body, [worksheet.Copy("s-1", "s-1", (), joints)], "us-letter", two_sided=True)
    )
    drawn = [i for i, on in enumerate(sheet) if any(len(c["pts"]) == 361 for c in on.curves)]
    assert len(drawn) == 2
    for i in drawn:
        assert i % 2 == 0
        assert_bare(sheet[i + 1])
    assert sum("Bench record" in on.extract_text() for on in sheet) == 1


def assert_bare(back: Any) -> None:
    assert [*back.chars, *back.lines, *back.curves, *back.rects] == []
