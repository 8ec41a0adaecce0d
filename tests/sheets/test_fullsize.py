"""The full-size drawing: on paper, in tiles, as SVG and DXF, all the same frame to a hundredth."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import integrate, ndimage

from coursekit.sheets import dxf, flat, frame_file, frame_scene, fullsize, page, scene, svg, tiles
from tests.sheets import builds, paper

HUNDREDTH = 0.01  # mm
OUTLINES = ["head_tube", "seat_tube", "top_tube", "down_tube", "right_chainstay", "right_seatstay"]
NAMES = [
    "学生一号",
    "طالب رقم واحد",
    "Μαθητής Ένα",
    "<b>&'\"]]>",
    "a\x00b\u202ec",
    "W" * 60,
    "{\\P;%%c",
]


@cache
def whole() -> bytes:
    return fullsize.pdf(builds.example(), "roll")


@cache
def tiled(size: page.Paper = "a4") -> bytes:
    return tiles.pdf(builds.example(), size)


@cache
def exchanged() -> Any:
    return ezdxf.read(io.StringIO(dxf.drawing(builds.example())))


# ---- the outlines themselves, against sums of their own -----------------------------------------


def area_of(points: np.ndarray) -> float:
    """Shoelace."""
    x, y = points.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def cut_area(radius: float, into: float, angle_deg: float) -> float:
    """What a miter in the plane takes off a side view, ∫ along dt over the width of the tube.

    The line at sideways t from the axis meets the other tube's flank √(R² − (r² − t²)) / sin θ from
    the crossing; the rest of the saddle is odd in t and goes out.
    """
    reach = integrate.quad(lambda t: np.sqrt(into**2 - radius**2 + t * t), -radius, radius)[0]
    return float(reach / np.sin(np.radians(angle_deg)))


def cross_area(radius: float, into: float) -> float:
    """The same for a tube whose axis stands square to the plane, such as the shell: ∫ √(R² − t²) dt."""
    return float(integrate.quad(lambda t: np.sqrt(into**2 - t * t), -radius, radius)[0])


def wanted_areas() -> dict[str, float]:
    own = builds.example().frame
    joints, axes = own.joints, own.tubes.axes

    def between(name: str, *ends: float) -> float:
        piece = builds.example().pieces[name]
        return piece.diameter * piece.length - sum(ends)

    def miter(name: str) -> float:
        joint = joints[name]
        return cut_area(joint.cut_diameter / 2, joint.into_diameter / 2, joint.angle_deg)

    return {
        "head_tube": axes["head_tube"].diameter * own.head_tube,
        "seat_tube": between("seat_tube", cross_area(14.3, 20.0)),
        "top_tube": between("top_tube", miter("top_tube-seat_tube"), miter("top_tube-head_tube")),
    }


@pytest.mark.parametrize("name", sorted(wanted_areas()))
def test_outline_has_the_area_of_the_tube_less_its_saddles(name: str) -> None:
    got = area_of(np.array(frame_scene.outline(builds.example(), name)))
    assert got == pytest.approx(wanted_areas()[name], rel=2e-6)  # chords of one degree


def test_down_tube_outline_keeps_out_of_shell_and_seat_tube() -> None:
    points = np.array(frame_scene.outline(builds.example(), "down_tube"))
    assert np.hypot(*points.T).min() == pytest.approx(20.0, abs=1e-6)  # stands on the shell
    assert area_of(points) < 31.8 * builds.example().pieces["down_tube"].length


def test_every_outline_is_as_wide_as_its_tube() -> None:
    for name in OUTLINES[:4]:
        piece = builds.example().pieces[name]
        points = np.array(frame_scene.outline(builds.example(), name)) - piece.start[:2]
        x, y = piece.direction[:2]
        aside = points @ np.array([-y, x])
        assert aside.max() - aside.min() == pytest.approx(piece.diameter, abs=1e-5)


# ---- on paper -----------------------------------------------------------------------------------


def outlines_on(on: Any) -> list[np.ndarray]:
    """Closed outlines of a page: 181 points a saddle, 2 a square end, and the way back."""
    return [
        np.array(c["pts"]) * paper.MM
        for c in on.curves
        if c["stroke"] and len(c["pts"]) in (183, 184, 362, 363)
    ]


def bottom_bracket(on: Any) -> np.ndarray:
    """Centre of the shell's circle, the only one of 40 mm."""
    (found,) = [
        c for c in on.curves
        if c["stroke"] and abs((c["x1"] - c["x0"]) * paper.MM - 40) < 0.02
        and abs((c["bottom"] - c["top"]) * paper.MM - 40) < 0.02
    ]  # fmt: skip
    return np.array([found["x0"] + found["x1"], found["top"] + found["bottom"]]) / 2 * paper.MM


def nearest(found: list[np.ndarray], wanted: np.ndarray) -> float:
    """Largest distance of the wanted points from those of the best outline found."""
    alike = [f for f in found if len(wanted) <= len(f) <= len(wanted) + 1]
    return min((float(np.abs(f[: len(wanted)] - wanted).max()) for f in alike), default=np.inf)


def test_outlines_on_the_large_page_are_the_frames() -> None:
    (on,) = paper.pages(whole())
    centre, found = bottom_bracket(on), outlines_on(on)
    assert len(found) == 5  # the head tube is a rectangle of four corners
    for name in OUTLINES[1:]:
        points = np.array(frame_scene.outline(builds.example(), name))
        wanted = centre + points * [1, -1]
        assert nearest(found, wanted) < HUNDREDTH, name


def test_large_page_carries_dimensions_and_title() -> None:
    words = "".join(c["text"] for c in paper.pages(whole())[0].chars)
    for said in ("Example frame", builds.example().version, "scale 1 : 1", "toe to tyre", "425",
                 "595", "1010.1", "72.5°", "swing"):  # fmt: skip
        assert said in words, said


def test_bars_of_the_large_page_are_100_mm() -> None:
    bars = [
        s for s in paper.segments(paper.pages(whole())[0])
        if abs(s.length - 100) < HUNDREDTH and s.thickness > 0.3
    ]  # fmt: skip
    assert sorted(round(abs(s.x1 - s.x0)) for s in bars) == [0, 100]


@pytest.mark.parametrize("size", ["a0", "roll"])
def test_large_page_keeps_its_ink_off_the_edge(size: fullsize.Whole, tmp_path: Path) -> None:
    pdf = fullsize.pdf(builds.example(), size)
    builds.assert_ink_keeps_off_the_edge(pdf, tmp_path, dpi=36)
    (on,) = paper.pages(pdf)
    if size == "a0":
        assert_allclose((on.width * paper.MM, on.height * paper.MM), (1189, 841), atol=HUNDREDTH)


def test_frame_too_large_for_a0_goes_on_a_roll() -> None:
    data = builds.tables()
    data["drawing"]["front_centre"] = 760
    build = frame_file.build(data)
    with pytest.raises(ValueError) as refused:
        fullsize.pdf(build, "a0")
    assert re.fullmatch(
        r"The drawing must fit its paper; got 12\d\d × \d+ mm, and a0 holds 1165 × 817 mm\. "
        r"Take roll, or print tiles\.",
        str(refused.value),
    )
    assert fullsize.pdf(build, "roll").startswith(b"%PDF")


# ---- tiles --------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_outlines_of_the_tiles_lie_where_the_frame_has_them(size: page.Paper) -> None:
    build = builds.example()
    own, sheet = tiles.grid(build, size), paper.pages(tiled(size))[1:]
    parts = tiles.parts(build, size)[1:]
    assert len(sheet) == len(parts)
    seen: set[str] = set()
    for on, part in zip(sheet, parts, strict=True):
        # crosses stand a cell apart, and a page shows half the lap more on every side
        left = own.left + part["column"] * own.across - tiles.LAP / 2
        top = own.top - part["row"] * own.up + tiles.LAP / 2
        corner = np.array([left, -top])  # of the window in the scene, y down
        for name in OUTLINES[1:]:
            wanted = np.array(frame_scene.outline(build, name)) * [1, -1] - corner + tiles.BARE
            found = outlines_on(on)
            if found and nearest(found, wanted) < HUNDREDTH:
                seen.add(name)
    assert seen == set(OUTLINES[1:])


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_crosses_stand_as_far_apart_as_the_tile_says(size: page.Paper) -> None:
    own = tiles.grid(builds.example(), size)
    for on in paper.pages(tiled(size))[1:]:
        text = paper.text(on)
        said = re.search(r"cross to cross ([0-9.]+) × ([0-9.]+) mm", text)
        assert (float(said[1]), float(said[2])) == (own.across, own.up)
        arms = [
            s for s in paper.segments(on) if abs(s.length - 8) < HUNDREDTH and s.thickness < 0.12
        ]
        level = {
            (round((s.x0 + s.x1) / 2, 2), round(s.y0, 2)) for s in arms if abs(s.y0 - s.y1) < 0.001
        }
        upright = {
            (round(s.x0, 2), round((s.y0 + s.y1) / 2, 2)) for s in arms if abs(s.x0 - s.x1) < 0.001
        }
        assert len(level & upright) == 4
        xs, ys = sorted({p[0] for p in level}), sorted({p[1] for p in level})
        assert xs[-1] - xs[0] == pytest.approx(own.across, abs=0.02)
        assert ys[-1] - ys[0] == pytest.approx(own.up, abs=0.02)


def rendered(pdf: bytes, number: int, dpi: int, tmp_path: Path) -> np.ndarray:
    file = tmp_path / f"{len(pdf)}.pdf"
    file.write_bytes(pdf)
    return paper.ink(file, number, dpi)


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_tiles_laid_together_are_the_drawing(size: page.Paper, tmp_path: Path) -> None:
    """By ink: render, cut every tile at its crosses, lay together, compare with the large page."""
    build, dpi = builds.example(), 127  # 5 dots a mm
    own, k = tiles.grid(build, size), 5
    cell = int(own.up * k), int(own.across * k)
    laid = np.full((own.rows * cell[0], own.columns * cell[1]), 255, dtype=np.uint8)
    start = round((tiles.BARE + tiles.LAP / 2) * k)
    for number, part in enumerate(tiles.parts(build, size)[1:], start=2):
        grey = rendered(tiled(size), number, dpi, tmp_path)
        at = part["row"] * cell[0], part["column"] * cell[1]
        laid[at[0] : at[0] + cell[0], at[1] : at[1] + cell[1]] = (
            grey[start : start + cell[0], start : start + cell[1]]
        )  # fmt: skip
    large = rendered(whole(), 1, dpi, tmp_path)
    centre = bottom_bracket(paper.pages(whole())[0])
    corner = np.array([own.left, -own.top]) + centre  # upper left cross on the large page, mm
    column, row = np.round(corner * k).astype(int)
    high, wide = laid.shape
    both = np.full((2, high, wide), 255, dtype=np.uint8)
    both[0] = laid
    top, left = max(0, -row), max(0, -column)
    cut = large[max(0, row) : row + high, max(0, column) : column + wide]
    both[1, top : top + cut.shape[0], left : left + cut.shape[1]] = cut
    marks = np.zeros((high, wide), dtype=bool)  # the crosses and dotted lines of the tiles
    for i in range(own.columns + 1):
        marks[:, max(0, i * cell[1] - 3) : i * cell[1] + 3] = True
        for j in range(own.rows + 1):
            marks[
                max(0, j * cell[0] - 25) : j * cell[0] + 25,
                max(0, i * cell[1] - 25) : i * cell[1] + 25,
            ] = True
    for j in range(own.rows + 1):
        marks[max(0, j * cell[0] - 3) : j * cell[0] + 3] = True
    dark = both < 140
    near = [ndimage.binary_dilation(d, iterations=3) for d in dark]
    assert dark[1].sum() > 20_000
    # of some 100,000 dark dots a few may differ: the renderer ends a dash of a cut arc elsewhere
    assert (dark[0] & ~near[1] & ~marks).sum() < 40
    assert (dark[1] & ~near[0] & ~marks).sum() < 40


@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_tiles_keep_their_ink_off_the_edge(size: page.Paper, tmp_path: Path) -> None:
    builds.assert_ink_keeps_off_the_edge(tiled(size), tmp_path, dpi=60)


def test_key_map_names_every_tile_and_neighbours_agree() -> None:
    first, *rest = paper.pages(tiled())
    names = [p["name"] for p in tiles.parts(builds.example())[1:]]
    text = paper.text(first)
    assert all(n in text for n in names)
    assert f"Print all {len(names)} tiles" in text
    for name, on in zip(names, rest, strict=True):
        assert name in paper.text(on)
    beside = {p["name"]: p["beside"] for p in tiles.parts(builds.example())[1:]}
    for name, around in beside.items():
        for way, back in (("left", "right"), ("above", "below")):
            if around[way]:
                assert beside[around[way]][back] == name


# ---- SVG and DXF --------------------------------------------------------------------------------


def test_svg_is_the_drawing_in_millimetres() -> None:
    text = svg.drawing(builds.example())
    root = ElementTree.fromstring(text)
    left, _, right, top = flat.room(fullsize.scene(builds.example()))
    assert root.attrib["width"] == f"{right - left + 2 * fullsize.EDGE:.3f}mm"
    assert root.attrib["viewBox"].split()[2] == root.attrib["width"].removesuffix("mm")
    ways = [e.attrib["d"] for e in root.iter("{http://www.w3.org/2000/svg}path")]
    corner = np.array([left - fullsize.EDGE, -(top + fullsize.EDGE)])
    for name in OUTLINES:
        wanted = np.array(frame_scene.outline(builds.example(), name)) * [1, -1] - corner
        found = [
            np.array(re.findall(r"-?[0-9.]+", w), dtype=float).reshape(-1, 2)
            for w in ways
            if w.endswith("Z") and "C" not in w and w.count("L") == len(wanted) - 1
        ]
        assert nearest(found, wanted) < HUNDREDTH


def test_dxf_passes_its_audit_and_is_in_millimetres() -> None:
    made = exchanged()
    audit = made.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert made.header["$INSUNITS"] == 4  # DXF reference: 4 is millimetres
    assert {n.upper() for n in scene.LAYERS} <= {layer.dxf.name for layer in made.layers}


def test_dxf_outlines_are_closed_and_have_the_frames_areas() -> None:
    lines = [e for e in exchanged().modelspace().query("LWPOLYLINE") if e.dxf.layer == "OUTLINE"]
    assert len(lines) == len(OUTLINES)
    assert all(e.closed for e in lines)
    areas = [area_of(np.array([p[:2] for p in e.get_points()])) for e in lines]
    for name, wanted in wanted_areas().items():
        assert min(abs(a - wanted) for a in areas) < 2e-6 * wanted, name
    for e in lines:
        points = np.array([p[:2] for p in e.get_points()])
        found = [np.array(frame_scene.outline(builds.example(), n)) for n in OUTLINES]
        assert nearest(found, points) < 1e-5


def test_dxf_dimensions_measure_the_frame() -> None:
    own, pieces = builds.example().frame, builds.example().pieces
    measured = [e.get_measurement() for e in exchanged().modelspace().query("DIMENSION")]
    for wanted in (own.chainstay, own.front_centre, own.wheelbase, own.bb_drop, own.head_tube,
                   own.seat_tube, own.fork_length, own.fork_offset, own.lower_stack, own.stack,
                   own.reach, own.seat_angle_deg, own.head_angle_deg, 15.0, 12.0,
                   pieces["top_tube"].length, pieces["down_tube"].length):  # fmt: skip
        assert min(abs(m - wanted) for m in measured) < 1e-6, wanted
    assert len(measured) == 17


def test_dxf_wheels_and_shell_are_true_arcs() -> None:
    space, own = exchanged().modelspace(), builds.example().frame
    arcs = {
        (round(e.dxf.center.x, 6), round(e.dxf.center.y, 6), e.dxf.radius)
        for e in space.query("ARC")
    }
    wanted = {(round(float(x), 6), round(float(y), 6), 340.0)
              for x, y in (own.points["rear_axle"], own.points["front_axle"])}  # fmt: skip
    assert arcs == wanted
    shell = {e.dxf.radius for e in space.query("CIRCLE") if e.dxf.layer == "OUTLINE"}
    assert shell == {20.0, 17.5}


# ---- all together -------------------------------------------------------------------------------

MAKERS = {
    "roll": lambda b: fullsize.pdf(b, "roll"),
    "tiles": lambda b: tiles.pdf(b),
    "svg": lambda b: svg.drawing(b).encode(),
    "dxf": lambda b: dxf.drawing(b).encode(),
}


@pytest.mark.parametrize("kind", MAKERS)
def test_bytes_are_the_same_again(kind: str) -> None:
    again = frame_file.read(frame_file.EXAMPLE)
    assert MAKERS[kind](again) == MAKERS[kind](builds.example())


def test_another_process_makes_the_same_exchange_file() -> None:
    """Sets come in another order wherever Python's hashes have another seed."""
    program = (
        "from coursekit.sheets import dxf, frame_file as f; print(dxf.drawing(f.read(f.EXAMPLE)))"
    )
    made = {
        subprocess.run(
            [sys.executable, "-c", program],
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("3", "4")
    }
    assert len(made) == 1


@pytest.mark.parametrize("name", NAMES)
def test_any_name_makes_a_drawing(name: str) -> None:
    build = builds.named(name, name)
    ElementTree.fromstring(svg.drawing(build))
    assert ezdxf.read(io.StringIO(dxf.drawing(build))).audit().errors == []
    assert len(paper.pages(MAKERS["roll"](build))) == 1


def test_arc_is_drawn_round_to_a_ten_thousandth() -> None:
    arc = scene.Arc("wheel", (10.0, -4.0), 340.0, -14.0, 66.0)
    start, curves = flat.bends(arc)
    for a, b, c in curves:
        t = np.linspace(0, 1, 50)[:, None]
        p = (
            (1 - t) ** 3 * start
            + 3 * (1 - t) ** 2 * t * np.array(a)
            + 3 * (1 - t) * t**2 * np.array(b)
            + t**3 * np.array(c)
        )
        assert_allclose(np.hypot(*(p - arc.centre).T), 340.0, atol=1e-4)
        start = c
    end = np.radians(66.0)
    assert_allclose(
        start, np.array(arc.centre) + 340 * np.array([np.cos(end), np.sin(end)]), atol=1e-9
    )
