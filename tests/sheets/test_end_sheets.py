"""Paper for rear end and fork: templates read back from the PDF and measured, views, cards, files."""

from __future__ import annotations

import io
from functools import cache
from math import pi
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from matplotlib.path import Path as Outline
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from coursekit.sheets import (
    cards,
    cut_list,
    dossier,
    dxf,
    end_cards,
    end_scene,
    end_templates,
    end_words,
    frame_file,
    fullsize,
    svg,
    templates,
    tiles,
)
from coursekit.sheets.end_shapes import FRONT, SIDE, seen
from coursekit.sheets.scene import Path as Path_
from coursekit.sheets.scene import Stroke, Words
from tests import frames_with_ends
from tests.conftest import ROOT
from tests.frames_with_ends import NAMES, whole
from tests.sheets import builds, paper

FLATS = {  # pages of templates beyond those of the main triangle
    "road": ["chainstays", "seatstays", "bridges", "fork blades"],
    "touring": ["chainstays", "seatstays", "bridges", "fork blades"],
    "trail": ["chainstays", "seatstays", "mono-tube", "fork blades"],
    "step_through": ["chainstays", "seatstays", "bridges", "fork blades"],
}
HUNDREDTH = 0.01


@cache
def sheets_of(name: str) -> bytes:
    return templates.pdf(whole(name))


def page_of(name: str, title: str) -> Any:
    (found,) = [p for p in paper.pages(sheets_of(name)) if f"Templates: {title}" in paper.text(p)]
    return found


@cache
def parts(name: str) -> list[dict[str, Any]]:
    return end_templates.parts(whole(name))


def flats(name: str, title: str) -> list[dict[str, Any]]:
    (part,) = [p for p in parts(name) if p["title"] == f"Templates: {title}"]
    return [flat for row in part["rows"] for flat in row]


def area(points: Any) -> float:
    x, y = np.array(points).T
    return float(abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2)


def length(points: NDArray[Any]) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@pytest.mark.parametrize("name", NAMES)
def test_every_end_has_its_page(name: str) -> None:
    text = [paper.text(p) for p in paper.pages(sheets_of(name))]
    got = [t.split("Templates: ")[1].split("\n")[0] for t in text if "Templates: " in t]
    assert got == FLATS[name]
    assert all("100 mm" in t and whole(name).version in t for t in text)


def thick(page: Any) -> list[NDArray[Any]]:
    """The thick curves of a page, mm."""
    return [
        np.array(c["pts"]) * paper.MM
        for c in page.curves
        if c["stroke"] and not c["fill"] and len(c["pts"]) == 361 and c["linewidth"] > 0.75
    ]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("title", ["chainstays", "seatstays", "fork blades"])
def test_a_template_keeps_every_length_of_the_cut_end(name: str, title: str) -> None:
    """On paper the cut is as long as in space, and so is every line from it to the base ring."""
    cuts = dict(end_words.groups(whole(name)))[title]
    printed = [length(curve) for curve in thick(page_of(name, title))]
    wanted = [length(cut.a.edge) for cut in cuts if cut.a.meets]
    wanted += [length(cut.b.edge) for cut in cuts if end_templates.slots_of(whole(name), cut)]
    assert sorted(printed) == pytest.approx(sorted(wanted), abs=0.02)
    for flat in flats(name, title):
        cut = next(c for c in cuts if flat["say"].startswith(end_words.said(c.stay.name) + ","))
        end = cut.a if flat["end"] == "a" else cut.b
        # the base ring lies square to the axis, so a line's own length says how far from the end
        for line in flat["lines"]:
            k = int(line["deg"])
            on_paper = np.hypot(*np.subtract(line["start"], line["end"]))
            slope = _slope(cut, end, k)
            along = on_paper * slope + end.along[k]
            assert along == pytest.approx(_ring(flat, cut, end), abs=0.02)


def _slope(cut: Any, end: Any, deg: int) -> float:
    """The share of a line's length that runs along the axis."""
    s = end.along[deg] + np.array([1.0, 2.0])
    at = cut.stay.surface(s if end.end == "a" else cut.stay.length - s, float(deg))
    return float(1.0 / np.linalg.norm(at[1] - at[0]))


def _ring(flat: dict[str, Any], cut: Any, end: Any) -> float:
    line = next(one for one in flat["lines"] if one["deg"] == 180)
    on_paper = np.hypot(*np.subtract(line["start"], line["end"]))
    return float(on_paper * _slope(cut, end, 180) + end.along[180])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("title", ["chainstays", "seatstays", "fork blades"])
def test_the_left_paper_is_the_right_ones_mirror_image(name: str, title: str) -> None:
    for end in "ab":
        own = [f for f in flats(name, title) if f["end"] == end]
        if not own:
            continue
        right, left = own
        assert "non-drive side" not in right["say"]
        assert "non-drive side" in left["say"]
        for part in ("edges", "slots", "away"):
            for one, other in zip(right[part], left[part], strict=True):
                mirrored = np.array(one) * [-1, 1] + [right["width"], 0]
                far, _ = cKDTree(other).query(mirrored)
                assert far.max() < HUNDREDTH or part == "slots"
        names = {line["deg"]: line["name"] for line in right["lines"]}
        assert names == {line["deg"]: line["name"] for line in left["lines"]}


@pytest.mark.parametrize("name", ["road", "touring", "step_through"])
def test_a_bridges_strip_is_once_round_and_as_long_as_the_bridge(name: str) -> None:
    rear = whole(name).ends.rear
    assert rear is not None
    for flat, one in zip(flats(name, "bridges"), rear.bridges.values(), strict=True):
        assert flat["width"] == pytest.approx(pi * one.cut.stay.taper.widths[0])
        low, high = (np.array(e) for e in flat["edges"])
        lengths = np.sort(low[:, 1] - high[:, 1])
        assert lengths == pytest.approx(np.sort(one.cut.lengths), abs=1e-3)


def test_a_slot_is_as_wide_and_deep_as_its_plate_wants() -> None:
    for flat in flats("road", "chainstays"):
        if flat["end"] != "b":
            continue
        whole_slot = list(flat["slots"])
        tall = [np.ptp(np.array(s)[:, 1]) for s in whole_slot]
        assert max(tall) == pytest.approx(12, abs=0.4)  # the paper of a cone leans
        wide = sum(length(np.array(s)[:9]) for s in whole_slot)
        plate = end_templates.slots_of(whole("road"), whole("road").ends.rear.chainstay)[0][1]
        assert wide == pytest.approx(2 * plate, abs=0.02)


@pytest.mark.parametrize("title", FLATS["road"])
def test_check_bars_are_100_mm_both_ways(title: str) -> None:
    lines = paper.segments(page_of("road", title))
    level = [s for s in lines if abs(s.length - 100) < HUNDREDTH and abs(s.y0 - s.y1) < HUNDREDTH]
    upright = [s for s in lines if abs(s.length - 100) < HUNDREDTH and abs(s.x0 - s.x1) < HUNDREDTH]
    assert level
    assert upright


@pytest.mark.parametrize("name", NAMES)
def test_views_are_the_tubes_silhouettes(name: str) -> None:
    """Points all over a tube, seen from the side or the front, fill the outline and stay in it."""
    for one, cut in end_words.tubes(whole(name)).items():
        if "bridge" in one:
            continue
        view = FRONT if one.endswith("_blade") else SIDE
        shape = np.array(seen(cut, view))
        stay = cut.stay
        share, line = np.meshgrid(np.linspace(0, 1, 300), np.arange(0, 360, 5))
        low, high = (np.interp(line, e.around_deg, e.along) for e in (cut.a, cut.b))
        s = low + share * (stay.length - high - low)
        points = (stay.surface(s, line) @ view.T)[..., [0, 2]].reshape(-1, 2)
        closed = np.concatenate([shape, shape[:1]])
        inside = Outline(closed).contains_points(points)
        steps = np.linspace(0, 1, 60)[:, None, None]
        edge = (closed[:-1] + steps * np.diff(closed, axis=0)).reshape(-1, 2)
        over, _ = cKDTree(edge).query(points[~inside])
        assert over.max(initial=0.0) < 0.05  # a tenth of the line that is drawn
        away, _ = cKDTree(points).query(edge)
        assert away.max() < 1.6


@pytest.mark.parametrize("name", NAMES)
def test_dxf_and_svg_carry_the_views(name: str) -> None:
    own = whole(name)
    made = ezdxf.read(io.StringIO(dxf.drawing(own)))
    assert not made.audit().has_errors
    sizes = [round(d.get_measurement(), 1) for d in made.modelspace().query("DIMENSION") if d.dimtype & 7 == 0]  # fmt: skip
    rear, front = own.ends.rear, own.ends.front
    assert rear is not None
    assert front is not None
    for wanted in (rear.end.spacing, float(own.frame.fork_length), float(front.fork.dropout.spacing)):  # fmt: skip
        assert round(wanted, 1) in sizes
    closed = made.modelspace().query("LWPOLYLINE[layer=='OUTLINE']")
    areas = [area([(p[0], p[1]) for p in one.get_points()]) for one in closed]
    for cut in (rear.chainstay, front.right):
        view = area(seen(cut, SIDE))
        assert any(abs(one - view) < 0.01 for one in areas)
    drawn = svg.drawing(own)
    assert "Rear end from above" in drawn
    assert "Fork from the drive side and from the front" in drawn


def test_a_frame_without_ends_has_no_views() -> None:
    assert "Rear end from above" not in svg.drawing(builds.example())


@pytest.mark.parametrize("name", NAMES)
def test_cut_list_marks_saws_and_bends_where_they_are(name: str) -> None:
    own = whole(name)
    for one, cut in end_words.tubes(own).items():
        _, bought = end_cards.to_cut(own, one)
        if bought is None:
            continue
        marks = end_cards.cut_marks(cut, bought)
        ends = [at for what, at in marks if what in ("saw", "end")]
        assert ends[1] - ends[0] == pytest.approx(cut.finished, abs=1e-6)
        bends = [at for what, at in marks if what == "bend"]
        arcs = [np.radians(b.angle_deg) * b.radius for b in cut.stay.line.bends]
        assert np.diff(bends)[::2] == pytest.approx(arcs)
        for bend, at in zip(cut.stay.line.bends, bends[::2], strict=True):
            assert at - bought.from_a == pytest.approx(bend.at - cut.a.along.min())


@pytest.mark.parametrize("name", NAMES)
def test_cards_name_every_part_of_the_ends(name: str) -> None:
    own = whole(name)
    say = {k: "\n".join(map(paper.text, paper.pages(cards.pdf(own, k)))) for k in cards.MAKERS}  # type: ignore[arg-type]
    tubes = {end_words.said(n).split(",")[0] for n in end_words.tubes(own)}
    for tube in tubes:
        assert tube in say["cut-list"]
    rear, front = own.ends.rear, own.ends.front
    assert rear is not None
    assert front is not None
    assert f"{rear.end.spacing:.1f} mm" in say["fixture"]
    assert f"{float(front.fork.axle_drop):.1f} mm" in say["fixture"]
    for joint in end_cards.joints(own):
        assert joint["say"].split(",")[0] in say["tacks"]
    assert "dropouts’ faces, behind the axle" in say["alignment"]
    assert ("hanger to rim" in say["alignment"]) == (rear.end.dropout.hanger is not None)
    assert "A fork that fails throws its rider" in say["alignment"]
    assert f"{front.steerer.needed:.1f} mm are needed" in say["cut-list"]


def test_cards_of_a_frame_without_ends_say_nothing_of_them() -> None:
    own = builds.example()
    say = {k: "\n".join(map(paper.text, paper.pages(cards.pdf(own, k)))) for k in cards.MAKERS}  # type: ignore[arg-type]
    assert "dropouts’ faces" not in say["alignment"]
    assert "fork blade" not in say["tacks"] + say["cut-list"] + say["fixture"]


@pytest.mark.parametrize("name", NAMES)
def test_the_dossier_is_whole_and_keeps_off_the_edge(name: str, tmp_path: Path) -> None:
    made = dossier.pdf(whole(name), ROOT, with_tiles=False)
    text = "\n".join(map(paper.text, paper.pages(made)))
    for title in (*FLATS[name], "Cut list", "Fixture card", "Tack card", "Alignment record"):
        assert title in text
    builds.assert_ink_keeps_off_the_edge(templates.pdf(whole(name)), tmp_path)


def test_the_large_page_gives_the_ends_a_page_of_their_own(tmp_path: Path) -> None:
    pages = paper.pages(fullsize.pdf(whole("road"), "a0"))
    assert len(pages) == 2
    assert "Rear end from above" in paper.text(pages[1])
    assert len(paper.pages(fullsize.pdf(builds.example(), "a0"))) == 1
    assert len(paper.pages(fullsize.pdf(whole("road"), "roll"))) == 1
    builds.assert_ink_keeps_off_the_edge(fullsize.pdf(whole("road"), "a0"), tmp_path, 36)


@pytest.mark.parametrize(
    "make", [templates.pdf, lambda b: dxf.drawing(b).encode(), lambda b: svg.drawing(b).encode(), cut_list.part]
)  # fmt: skip
def test_the_same_again(make: Any) -> None:
    assert make(whole("trail")) == make(whole("trail"))


def test_tiles_hold_the_views() -> None:
    own = tiles.parts(whole("step_through"))
    plain = tiles.parts(builds.example())
    assert len(own) > len(plain)


def test_the_whole_example_can_be_built() -> None:
    own = frame_file.read(frame_file.WHOLE_EXAMPLE)
    assert [f.say for f in own.findings if f.forbids] == []
    assert own.ends.rear is not None
    assert own.ends.front is not None


def test_the_fork_is_seen_from_the_front() -> None:
    """Whoever stands before a bicycle has its drive side on the left; from above it lies below."""
    front = whole("road").ends.front
    assert front is not None
    assert max(x for x, _ in seen(front.right, FRONT)) < 0
    drawn = end_scene.below(whole("road"), [Stroke("axis", (0, 0), (1, 0))])
    (word,) = [w for w in drawn if isinstance(w, Words) and w.text == "drive side" and w.anchor == "end"]  # fmt: skip
    right = [max(x for x, _ in p.points) for p in drawn if isinstance(p, Path_)]
    assert word.at[0] < max(right) - 100


def test_the_rake_on_the_plate_by_hand() -> None:
    """Beyond the bend the upper side is a straight line: its height at the last place, by the tip."""
    front = whole("road").ends.front
    assert front is not None
    (part,) = [p for p in parts("road") if p["title"] == "Templates: fork blades"]
    told = {f[0]: float(f[1].split()[0]) for f in part["facts"] if "raked" in f[0]}
    assert len(told) == 3
    bend, turn = front.fork.bend, np.radians(front.fork.bend.angle_deg)
    at = max(int(k.split(":")[1].split()[0]) for k in told)
    tip = front.blade.width_at(front.blade.length) / 2
    top = front.blade.width_at(0.0) / 2
    # the upper side at the tip, and its slope there: the bend's, less the taper's
    x, y = bend.drop - tip * np.sin(turn), bend.offset + tip * np.cos(turn)
    thin = front.blade.width_at(front.blade.length - 1) / 2 - tip
    high = y - (x - at) * np.tan(turn - np.arctan(thin)) - top
    assert max(told.values()) == pytest.approx(high, abs=0.06)


@pytest.mark.parametrize("builder", ["W" * 60, "#panic() $x$ @ref <b>", "Ученик Первый"])
def test_any_name_prints_on_the_templates_of_the_ends(builder: str, tmp_path: Path) -> None:
    own = frames_with_ends.broken("step_through", {"builder": builder})
    made = templates.pdf(own)
    assert len(paper.pages(made)) == len(paper.pages(sheets_of("step_through")))
    builds.assert_ink_keeps_off_the_edge(made, tmp_path)
