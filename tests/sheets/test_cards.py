"""Cards for the bench carry the frame's own numbers, room to write, and their marks in place."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from coursekit import alignment, dropouts, fixture, tacks
from coursekit.sheets import (
    alignment_card,
    cards,
    cut_list,
    fixture_card,
    frame_file,
    safety_card,
    tack_card,
    templates,
)
from coursekit.sheets.build import SAYS
from tests.sheets import builds, paper

HUNDREDTH = 0.01  # mm
KINDS: tuple[cards.Kind, ...] = ("cut-list", "fixture", "tacks", "alignment")


@cache
def made(kind: cards.Kind, size: Any = "a4") -> bytes:
    return cards.pdf(builds.example(), kind, size)


def text_of(kind: cards.Kind, size: Any = "a4") -> str:
    return "\n".join(paper.text(on) for on in paper.pages(made(kind, size)))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("size", ["a4", "us-letter"])
def test_card_is_whole_and_keeps_off_the_edge(kind: cards.Kind, size: Any, tmp_path: Path) -> None:
    builds.assert_ink_keeps_off_the_edge(made(kind, size), tmp_path)
    pages = paper.pages(made(kind, size))
    assert len(pages) <= (2 if kind == "cut-list" and size == "us-letter" else 1)
    assert builds.example().version in text_of(kind, size)
    assert "bench-01" in text_of(kind, size)


@pytest.mark.parametrize("kind", ["fixture", "tacks", "alignment"])
def test_boxes_are_large_enough_to_write_in(kind: cards.Kind) -> None:
    (on,) = paper.pages(made(kind))
    large = [b for b in paper.boxes(on) if b[0] > 6]
    assert len(large) >= 20
    assert min(w for w, _, _ in large) >= 22
    assert min(h for _, h, _ in large) >= 7.3


# ---- cut list -----------------------------------------------------------------------------------


def test_cut_list_marks_add_up_to_the_piece() -> None:
    for name, cut in builds.example().trimmed.items():
        found = cut_list.marks(cut)
        ends = [at for what, at in found if what in ("saw", "end")]
        assert ends[1] - ends[0] == pytest.approx(cut.piece.finished, abs=1e-9), name
        assert [at for _, at in found] == sorted(at for _, at in found)
        marks = dict(found)
        if "mark a" in marks and "mark b" in marks:
            to_a = marks["mark a"] - cut.crossing("a")
            to_b = cut.crossing("b") - marks["mark b"]
            assert marks["mark b"] - marks["mark a"] == pytest.approx(
                cut.piece.length - to_a - to_b, abs=1e-9
            )


def test_a_tube_that_keeps_its_end_has_no_saw_mark_there() -> None:
    seat = builds.example().trimmed["seat_tube"]
    assert cut_list.marks(seat)[-1][0] == "end"
    assert "saw" in [what for what, _ in cut_list.marks(seat)]


def test_marks_are_drawn_where_their_numbers_say() -> None:
    """Every number stands beside an upright line; bar and lines are 1 : 4 of the tube."""
    scale = float(cut_list.part(builds.example())["scale"])
    (on,) = paper.pages(made("cut-list"))
    bars = {
        name: [
            f for f in paper.frames(on)
            if abs(f["width"] * paper.MM - cut.bought.length / scale) < HUNDREDTH
        ]
        for name, cut in builds.example().trimmed.items()
    }  # fmt: skip
    assert scale == 4
    upright = [s for s in paper.segments(on) if abs(s.x0 - s.x1) < 0.001]
    for name, cut in builds.example().trimmed.items():
        assert bars[name], name
        for what, at in cut_list.marks(cut):
            assert any(
                abs(s.x0 - f["x0"] * paper.MM - at / scale) < HUNDREDTH
                and min(s.y0, s.y1) < f["top"] * paper.MM < max(s.y0, s.y1)
                for s in upright
                for f in bars[name]
            ), (name, what, at)
        text = text_of("cut-list")
        for _, at in cut_list.marks(cut):
            assert f"{at:.1f}" in text


def test_numbers_on_a_bar_do_not_overlap() -> None:
    for tube in cut_list.part(builds.example())["tubes"]:
        by_level: dict[int, list[float]] = {}
        for mark in tube["marks"]:
            by_level.setdefault(mark["level"], []).append(mark["at"])
        for level in by_level.values():
            assert (np.diff(level) >= cut_list.APART).all()


def test_cut_list_says_butts_window_and_sleeve() -> None:
    text = " ".join(text_of("cut-list").split())
    plan = builds.example().trimmed["down_tube"].plan
    assert f"{plan.from_a:.1f} mm off end a, {plan.from_b:.1f} mm off end b" in text
    assert f"from {plan.least_from_a:.1f} to {plan.most_from_a:.1f} mm" in text
    # the saddle, 21.9 mm deep, and 30 mm of margin
    assert f"butt left {plan.left_b:.1f} mm, needed 51.9 mm, {plan.left_b - 51.9:.1f} mm in" in text
    assert "each butt keeps 5 mm in hand beyond its need: 1 for the saw, 1 for the file" in text
    over = "sleeve over the seat tube 31.8 outside, bored to 28.8 for the tube's 28.6: 0.10 mm gap"
    assert over in text.replace("’", "'")
    # a ring by hand: π · mean diameter · gap · lap · 1.5 for filler lost
    assert f"filler {np.pi * 28.7 * 0.1 * 20 * 1.5:.0f} mm" in text
    assert "40 × 3.1, 69 mm long, faced square to 68 mm" in text
    plug = builds.tables() | {"sleeve": {"plug": 27.0, "bore": 27.2, "lap": 30}}
    shown = cut_list.part(frame_file.build(plug))
    assert shown["sleeve_at"] == "in"
    assert shown["sleeve"].startswith("turned to 27 for a bore of 27.2: 0.10 mm gap a side")


def test_cut_list_says_every_set_up_of_the_mill() -> None:
    """Angle and distance of two axes, by vectors of the frame: no step is shared with the joints."""
    text = " ".join(text_of("cut-list").split())
    axes = builds.example().frame.tubes.axes

    def swing(one: str, other: str) -> float:
        return 90 - np.degrees(np.arccos(abs(axes[one].direction @ axes[other].direction)))

    seat = swing("down_tube", "seat_tube")
    assert seat > 20
    assert (
        f"to bottom-bracket shell, swing 0.0° from square; to seat tube, swing {seat:.1f}°" in text
    )
    stay, tube = axes["right_seatstay"], axes["seat_tube"]
    normal = np.cross(stay.direction, tube.direction)
    apart = abs((stay.start - tube.start) @ normal / np.linalg.norm(normal))
    assert apart > 3
    swung = swing("right_seatstay", "seat_tube")
    assert f"swing {swung:.1f}° from square, axis {apart:.1f} mm beside the cutter" in text


def test_templates_say_every_swing_too() -> None:
    facts = templates.draw(builds.example(), "down_tube").facts
    said = [value for name, value in facts if name.startswith("swing at a")]
    assert len(said) == 2 and len(set(said)) == 2


def test_cut_list_without_a_sleeve_says_none() -> None:
    data = {k: v for k, v in builds.tables().items() if k != "sleeve"}
    pdf = cards.pdf(frame_file.build(data), "cut-list")
    assert "sleeve" not in "".join(paper.text(on) for on in paper.pages(pdf))


# ---- fixture ------------------------------------------------------------------------------------


def test_fixture_card_gives_the_settings() -> None:
    text, own = text_of("fixture"), builds.example().frame
    s = fixture.settings(own, builds.example().bench.rail)
    for value in (s.rear_back, s.rear_up, s.head_ahead, s.low_face, s.high_face, s.square,
                  s.axle_along, s.axle_ahead, own.wheelbase, own.front_centre, own.head_tube,
                  *s.cone_tips(36 - 2.2, 60)):  # fmt: skip
        assert f"{float(value):.1f} mm" in text
    assert "73.00°" in text
    assert "72.50°" in text


def test_slip_columns_are_what_the_wrong_setting_makes() -> None:
    """Against the frame that the fixture's wrong reading really builds."""
    from dataclasses import replace

    own, rail = builds.example().frame, builds.example().bench.rail
    s = fixture.settings(own, rail)
    rows = {r["say"]: r for r in fixture_card.part(builds.example())["rows"]}
    for name, step in (("rear_back", 1.0), ("head_angle_deg", 0.1), ("low_face", 1.0)):
        wrong = fixture.built(own, replace(s, **{name: getattr(s, name) + step}), rail)
        row = rows[fixture_card.SAYS[name]]
        for of in ("wheelbase", "trail"):
            change = float(getattr(wrong, of) - getattr(own, of))
            assert float(row[of].replace("−", "-")) == pytest.approx(change, abs=0.011)


def test_rail_moves_the_crossing() -> None:
    data = builds.tables()
    data["bench"]["rail"] = 100
    build = frame_file.build(data)
    text = paper.text(paper.pages(cards.pdf(build, "fixture"))[0])
    assert f"{float(fixture.settings(build.frame, 100).head_ahead):.1f} mm" in text
    assert "the rail lies 100 mm below it" in text


# ---- tacks --------------------------------------------------------------------------------------


def test_ring_numbers_stand_at_their_angles() -> None:
    (on,) = paper.pages(made("tacks"))
    discs = [c for c in on.curves if c["fill"] and abs((c["x1"] - c["x0"]) * paper.MM - 5.6) < 0.02]
    spots = sorted(
        ((c["x0"] + c["x1"]) / 2 * paper.MM, (c["top"] + c["bottom"]) / 2 * paper.MM) for c in discs
    )
    assert len(spots) == 4
    centre = np.mean(spots, axis=0)
    order = tacks.best([0, 90, 180, 270]).angles_deg
    digits = {c["text"]: ((c["x0"] + c["x1"]) / 2 * paper.MM, (c["top"] + c["bottom"]) / 2 * paper.MM)
              for c in on.chars if c["text"] in "1234" and c["non_stroking_color"] in ((1,), (1.0,), 1, [1], (1, 1, 1))}  # fmt: skip
    for number, angle in enumerate(order, start=1):
        x, y = digits[str(number)]
        # seen from behind: 0° below, 90° to the right
        at = np.degrees(np.arctan2(x - centre[0], y - centre[1])) % 360
        assert abs((at - angle + 180) % 360 - 180) < 6
    words = on.extract_words(keep_blank_chars=True)
    beside = {w["text"].strip(): np.array([(w["x0"] + w["x1"]) / 2, (w["top"] + w["bottom"]) / 2]) * paper.MM
              - centre for w in words}  # fmt: skip
    assert beside["underside (rear)"][1] > 15
    assert beside["upper side (front)"][1] < -15
    assert beside["drive side"][0] > 15
    assert beside["non-drive"][0] < -15


def test_tack_card_names_every_joint_in_order_and_what_is_left() -> None:
    text = text_of("tacks")
    order = tack_card.part(builds.example())["joints"]
    said = [f"{SAYS[cut]} to {SAYS[into]}" for cut, into in tacks.JOINTS]
    assert [joint["say"] for joint in order] == said
    assert set(builds.example().frame.joints) - {"down_tube-seat_tube"} == {
        f"{cut}-{into}" for cut, into in tacks.JOINTS
    }
    places = [text.index(s) for s in said if "shell" not in s and "stay" not in s]
    assert places == sorted(places)
    best = float(np.hypot(*tacks.pull([0, 180, 90, 270])))
    assert f"{best:.2f} of the" in text.replace("\n", " ")
    assert f"{float(np.hypot(*tacks.pull([0, 90, 180, 270]))):.2f}" in text
    length = builds.example().pieces["top_tube"].length
    assert f"{length * np.tan(np.radians(0.1)):.1f} mm at the far end" in text
    assert len(paper.boxes(paper.pages(made("tacks"))[0])) == 9 * 4 * 2


def test_other_tacks_other_order() -> None:
    data = builds.tables()
    data["bench"] |= {"tacks_deg": [0, 60, 120, 180, 240, 300], "tack_hold": 0.5}
    order = tacks.best([0, 60, 120, 180, 240, 300], hold=0.5).angles_deg
    text = paper.text(paper.pages(cards.pdf(frame_file.build(data), "tacks"))[0])
    for number, angle in enumerate(order, start=1):
        assert f"tack {number} ({angle:g}°)" in text.replace("\n", " ") or f"{angle:g}°" in text


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"tack_hold": 1.5}, "The hold must lie between 0 and 1; got 1.5."),
        ({"tacks_deg": list(range(0, 360, 30))}, "The order must hold at most 9 tacks; got 12."),
        ({"cone_deg": 0}, "The cone's angle must lie between 0° and 180°; got 0°."),
        ({"rail": -5}, "The rail must be 0 or more; got -5 mm."),
        ({"crank": -170}, "The crank must be 0 or more; got -170 mm."),
        ({"heat_margin": -1}, "head tube: The heat margin must be 0 or more; got -1 mm."),
        ({"spacing": -130}, "The spacing must be greater than 0; got -130 mm."),
    ],
)
def test_absurd_bench_numbers_are_refused(change: dict[str, Any], message: str) -> None:
    from coursekit.sheets import fullsize

    data = builds.tables()
    data["bench"] |= change
    with pytest.raises(ValueError) as refused:
        build = frame_file.build(data)
        for kind in KINDS:
            cards.pdf(build, kind)
        fullsize.scene(build)
    assert str(refused.value).startswith(message)


# ---- alignment ----------------------------------------------------------------------------------


def test_places_lie_on_their_tubes_and_are_enough_for_a_line() -> None:
    build = builds.example()
    for name, count in alignment_card.ALONG:
        places = alignment_card.places(build, name, count)
        assert places == sorted(set(places))
        assert 0 < places[0] < places[-1] < build.pieces[name].length
        x = np.array(places)
        found = alignment.line(
            x, 50 + 0.01 * x, 50 - 0.01 * x
        )  # enough readings for an uncertainty
        assert found.angle_deg == pytest.approx(np.degrees(np.arctan(0.01)))
        for place in places:
            assert f"at {place:g} mm" in text_of("alignment")


def test_string_gap_is_the_one_of_a_straight_frame() -> None:
    """By similar triangles on points of the drawing: axle, seat tube's axis, middle of the head tube."""
    build = builds.example()
    near, far = alignment_card.string_at(build)
    p = build.frame.points
    axle, head = np.array(p["rear_axle"]), (np.array(p["head_low"]) + np.array(p["head_high"])) / 2
    on_seat = axle + near / far * (head - axle)
    top = np.array(p["seat_top"])
    assert (
        abs(on_seat[0] * top[1] - on_seat[1] * top[0]) < 1e-6 * top[1]
    )  # on the line from the shell
    assert far == pytest.approx(np.linalg.norm(head - axle))
    gap = float(dropouts.string_gap(130, 28.6, 36, near, far))
    assert gap == pytest.approx(65 + (18 - 65) * near / far - 14.3)
    assert f"by {gap:.1f} mm on either side" in text_of("alignment").replace("\n", " ")


# ---- safety -------------------------------------------------------------------------------------


def test_safety_card_is_the_courses_page(root: Path, tmp_path: Path) -> None:
    for size in ("a4", "us-letter"):
        pdf = cards.safety(root, size)
        (on,) = paper.pages(pdf)
        builds.assert_ink_keeps_off_the_edge(pdf, tmp_path)
        text = re.sub(r"\W+", "", on.extract_text(use_text_flow=True))
        page = (root / "course" / "safety.md").read_text(encoding="utf-8")
        page = re.sub(r"\{cite\}`[^`]*`|\{term\}|```\{danger\}", "", page.split("## Never", 1)[1])
        sentences = [re.sub(r"\W+", "", s) for s in re.split(r"[.:!?]\s|\n- |\n\n|\n: ", page)]
        missing = [s for s in sentences if s and s not in text]
        assert missing == []
    assert "{" not in paper.text(on)


def test_safety_card_without_a_course(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError, match="must come from the course's own page"):
        safety_card.part(tmp_path)


@pytest.mark.parametrize("kind", KINDS)
def test_bytes_are_the_same_again(kind: cards.Kind) -> None:
    assert cards.pdf(frame_file.read(frame_file.EXAMPLE), kind) == made(kind)
