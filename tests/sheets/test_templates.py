"""Wrap templates of a frame: read back from the PDF, wrapped round their tubes, held to the frame."""

from __future__ import annotations

import re
from functools import cache
from math import pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from coursekit.sheets import frame_file, page, templates
from tests.sheets import builds, paper

HUNDREDTH = 0.01  # mm
TUBES = ["seat_tube", "top_tube", "down_tube", "right_chainstay", "left_chainstay",
         "right_seatstay", "left_seatstay"]  # fmt: skip


@cache
def made(size: page.Sheet = "a4") -> bytes:
    return templates.pdf(builds.example(), size)


def page_of(name: str, size: page.Sheet = "a4") -> Any:
    return paper.pages(made(size))[TUBES.index(name)]


def strips_of(on: Any, diameter: float) -> list[Any]:
    found = [f for f in paper.frames(on) if abs(f["width"] * paper.MM - pi * diameter) < HUNDREDTH]
    return sorted(found, key=lambda f: f["top"])


def curves_in(on: Any, frame: Any, thick: bool) -> list[np.ndarray]:
    """Stroked curves of 361 points inside a strip: the outside's edge is the thick one."""
    return [
        np.array(c["pts"]) * paper.MM
        for c in on.curves
        if c["stroke"]
        and len(c["pts"]) == 361
        and (c["linewidth"] > 0.75) == thick
        and frame["top"] - 0.1 < c["top"] < c["bottom"] < frame["bottom"] + 0.1
    ]


def across(on: Any, frame: Any, dashed: bool) -> list[float]:
    """y of the lines right across a strip, from above."""
    wide = frame["width"] * paper.MM
    return sorted(
        s.y0
        for s in paper.segments(on)
        if abs(s.length - wide) < HUNDREDTH
        and abs(s.y0 - s.y1) < HUNDREDTH
        and s.dashed == dashed
        and frame["top"] * paper.MM < s.y0 < frame["bottom"] * paper.MM
    )


def ends_of(name: str) -> list[str]:
    piece = builds.example().pieces[name]
    return [e for e in "ba" if piece.end(e).joints]


@pytest.mark.parametrize("name", TUBES)
def test_wrapped_round_its_tube_the_strip_lies_on_the_tubes_it_meets(name: str) -> None:
    """Wrap the printed side outward, end b up, seam on line 0°; every point of the curve must lie
    one radius from its own axis and on the tube that the frame has there."""
    piece = builds.example().pieces[name]
    axes = builds.example().frame.tubes.axes
    on = page_of(name)
    strips = strips_of(on, piece.diameter)
    ends = ends_of(name)
    assert len(strips) == len(ends)
    for end, frame in zip(ends, strips, strict=True):
        (curve,) = curves_in(on, frame, thick=True)
        (crossing,) = across(on, frame, dashed=True)
        phi = (curve[:, 0] - frame["x0"] * paper.MM) / (piece.diameter / 2)
        up = crossing - curve[:, 1]  # toward end b, since end b is up
        base = piece.start + (piece.length * piece.direction if end == "b" else 0)
        out = np.cos(phi)[:, None] * piece.zero + np.sin(phi)[:, None] * np.cross(
            piece.direction, piece.zero
        )
        points = base + up[:, None] * piece.direction + piece.diameter / 2 * out
        met = [axes[m] for m in piece.end(end).meets]
        off = [
            np.linalg.norm(np.cross(points - m.start, m.direction), axis=1) - m.diameter / 2
            for m in met
        ]
        assert_allclose(np.min(off, axis=0), 0, atol=HUNDREDTH)


@pytest.mark.parametrize("name", TUBES)
def test_both_edges_are_the_pieces_own(name: str) -> None:
    trimmed = builds.example().trimmed[name]
    on = page_of(name)
    for end, frame in zip(ends_of(name), strips_of(on, trimmed.piece.diameter), strict=True):
        (crossing,) = across(on, frame, dashed=True)
        away = -1 if end == "a" else 1
        for thick, wanted in (
            (True, trimmed.piece.end(end).along),
            (False, trimmed.bore(end)),
        ):
            (curve,) = curves_in(on, frame, thick)
            assert_allclose(
                curve[:, 0] - frame["x0"] * paper.MM, trimmed.piece.around, atol=HUNDREDTH
            )
            assert_allclose((curve[:, 1] - crossing) * away, wanted, atol=HUNDREDTH)


@pytest.mark.parametrize("name", ["top_tube", "down_tube"])
def test_distance_between_the_marks_is_the_stated_one(name: str) -> None:
    """Mark to crossing on either strip and the stated distance add up to the tube."""
    piece = builds.example().pieces[name]
    on = page_of(name)
    to_mark = []
    for frame in strips_of(on, piece.diameter):
        (crossing,), (mark,) = across(on, frame, dashed=True), across(on, frame, dashed=False)
        to_mark.append(abs(crossing - mark))
    said = float(re.search(r"mark b to mark a: ([0-9.]+) mm", paper.text(on))[1])
    assert sum(to_mark) + said == pytest.approx(piece.length, abs=0.05 + 2 * HUNDREDTH)


@pytest.mark.parametrize("name", TUBES)
@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_check_bars_are_100_mm_both_ways(name: str, size: page.Sheet) -> None:
    bars = [
        s
        for s in paper.segments(page_of(name, size))
        if abs(s.length - 100) < HUNDREDTH and s.thickness > 0.25 and not s.dashed
    ]
    assert sorted(round(abs(s.x1 - s.x0)) for s in bars) == [0, 100]


@pytest.mark.parametrize("name", TUBES)
def test_quarter_lines_run_through_both_strips(name: str) -> None:
    piece = builds.example().pieces[name]
    on = page_of(name)
    for frame in strips_of(on, piece.diameter):
        tall, left = frame["height"] * paper.MM, frame["x0"] * paper.MM
        lines = sorted(
            s.x0 - left
            for s in paper.segments(on)
            if abs(s.x0 - s.x1) < HUNDREDTH
            and abs(s.length - tall) < HUNDREDTH
            and not s.dashed
            and s.thickness < 0.25
            and abs(s.y0 - frame["top"] * paper.MM) < 0.02
        )
        width = pi * piece.diameter
        assert_allclose(lines, [width / 4, width / 2, 3 * width / 4], atol=HUNDREDTH)
    assert len({round(f["x0"], 3) for f in strips_of(on, piece.diameter)}) == 1


def test_grey_lies_between_the_curve_and_the_edge_at_the_joint() -> None:
    on = page_of("down_tube")
    upper, lower = strips_of(on, 31.8)
    for frame, edge in ((upper, "top"), (lower, "bottom")):
        grey = [
            c
            for c in on.curves
            if c["fill"] and not c["stroke"] and len(c["pts"]) > 361
            and frame["top"] - 0.1 < c["top"] and c["bottom"] < frame["bottom"] + 0.1
        ]  # fmt: skip
        assert len(grey) == 1
        assert abs(grey[0][edge] - frame[edge]) * paper.MM < HUNDREDTH


def test_each_page_says_what_it_is() -> None:
    build = builds.example()
    for name in TUBES:
        text = paper.text(page_of(name))
        piece = build.pieces[name]
        for word in (templates.SAYS[name], "100 %", build.version, "bench-01", "CUT AWAY",
                     f"{piece.blank:.1f} mm", "end b up", "Stop the cutter", "burr off"):  # fmt: skip
            assert word in text, (name, word)
        for word in " ".join(piece.lines).split():  # a thin tube's names break into lines
            assert word in text.split(), (name, word)


def test_on_large_paper_both_ends_are_on_one_strip() -> None:
    piece = builds.example().pieces["top_tube"]
    on = page_of("top_tube", "a1")
    (frame,) = strips_of(on, piece.diameter)
    b, a = across(on, frame, dashed=True)
    assert a - b == pytest.approx(piece.length, abs=HUNDREDTH)
    upper, lower = sorted(curves_in(on, frame, thick=True), key=lambda c: c[0, 1])
    assert_allclose(a - lower[:, 1], piece.a.along, atol=HUNDREDTH)
    assert_allclose(upper[:, 1] - b, piece.b.along, atol=HUNDREDTH)


@pytest.mark.parametrize("size", ["a4", "us-letter", "a1"])
def test_ink_keeps_off_the_edge(size: page.Sheet, tmp_path: Path) -> None:
    builds.assert_ink_keeps_off_the_edge(made(size), tmp_path)


def test_strip_is_whole_on_the_rendered_page(tmp_path: Path) -> None:
    """By ink: the thick curve's pixels lie where the piece has its edge."""
    (tmp_path / "t.pdf").write_bytes(made())
    dpi = 300
    grey = paper.ink(tmp_path / "t.pdf", TUBES.index("top_tube") + 1, dpi)
    piece, on = builds.example().pieces["top_tube"], page_of("top_tube")
    upper, _ = strips_of(on, piece.diameter)
    (crossing,) = across(on, upper, dashed=True)
    for station in range(10, 351, 10):
        if station % 45 == 0:
            continue  # a line of the tube runs there
        x = upper["x0"] * paper.MM + piece.around[station]
        y = crossing + piece.b.along[station]
        column, row = round(x / 25.4 * dpi), round(y / 25.4 * dpi)
        assert grey[row - 2 : row + 3, column].min() < 90


TOO_LARGE = [
    ("head", {"head_tube": {"diameter": 60}, "down_tube": {"diameter": 45}},
     "A wrap template must fit the paper; got 141.4 mm wide for the down tube, and a4 holds 120.0 mm. "
     "Take larger paper."),
]  # fmt: skip


@pytest.mark.parametrize(("case", "change", "message"), TOO_LARGE)
def test_too_wide_for_the_paper(case: str, change: dict[str, Any], message: str) -> None:
    data = builds.tables()
    for tube, own in change.items():
        data["tubes"][tube] |= own
    data["tubes"]["shell"]["diameter"] = 50
    with pytest.raises(ValueError) as refused:
        templates.pdf(frame_file.build(data))
    assert str(refused.value) == message
    assert templates.pdf(frame_file.build(data), "a3").startswith(b"%PDF")


def test_square_tube_has_no_template() -> None:
    with pytest.raises(ValueError, match="got the head tube, which is square at both ends"):
        templates.draw(builds.example(), "head_tube")


def test_bytes_are_the_same_again() -> None:
    assert templates.pdf(frame_file.read(frame_file.EXAMPLE)) == made()
