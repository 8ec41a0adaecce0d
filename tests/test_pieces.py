"""The tubes of a frame as pieces to cut, judged by the cylinders they must lie on."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from coursekit import frame, miters, pieces
from coursekit.tubes import Butted

USUAL = {
    "seat_angle_deg": 73.0, "head_angle_deg": 72.5, "chainstay": 425.0, "bb_drop": 70.0,
    "wheel_radius": 340.0, "fork_length": 380.0, "fork_offset": 45.0, "lower_stack": 12.0,
    "head_tube": 145.0, "seat_tube": 560.0, "front_centre": 595.0,
}  # fmt: skip


def placed(above_shell: float = 0.0, apart: float = 10.0, **other: float) -> frame.Frame:
    return frame.draw(**(USUAL | other)).place(
        top_tube=frame.TopTube(28.6, 15, below_seat_top=30),
        down_tube=frame.DownTube(31.8, 12, above_shell=above_shell),
        seat_tube=28.6,
        head_tube=36.0,
        shell=40.0,
        chainstay=frame.Chainstay(22.2, 44, 114, above_shell=above_shell),
        seatstay=frame.Seatstay(16, apart, 114, 35),
    )


@cache
def made() -> dict[str, pieces.Piece]:
    return pieces.of_frame(placed(), {"chainstay": 22.0, "seatstay": 28.0})


def distance_to_axis(points: np.ndarray, axis: frame.TubeAxis) -> np.ndarray:
    """From points to the whole line of an axis: the length of a cross product."""
    return np.linalg.norm(np.cross(points - axis.start, axis.direction), axis=1)


@given(
    above=st.floats(-3, 3), apart=st.floats(0, 12), head=st.floats(70, 75), drop=st.floats(50, 80)
)
def test_every_edge_lies_on_its_own_tube_and_on_the_tube_it_meets(
    above: float, apart: float, head: float, drop: float
) -> None:
    """The definition of a saddle, in space: one radius from either axis."""
    whole = placed(above, apart, head_angle_deg=head, bb_drop=drop)
    axes = whole.tubes.axes
    for name, piece in pieces.of_frame(whole, stations=73).items():
        for end in "ab":
            one = piece.end(end)
            edge = piece.edge(end)
            assert_allclose(distance_to_axis(edge, axes[name]), piece.diameter / 2, atol=1e-9)
            if not one.joints:
                continue
            far = np.array([distance_to_axis(edge, axes[m]) for m in one.meets])
            radii = np.array([axes[m].diameter / 2 for m in one.meets])[:, None]
            assert_allclose((far - radii).min(axis=0), 0, atol=1e-9)  # on one, inside of none
            if len(one.meets) == 1:
                assert_allclose(far[0] - radii[0], 0, atol=1e-9)


@pytest.mark.parametrize("name", sorted(made()))
def test_piece_is_as_long_as_the_frame_has_it(name: str) -> None:
    piece, axes = made()[name], placed().tubes.axes
    short = {"chainstay": 22.0, "seatstay": 28.0}.get(name.split("_")[-1], 0.0)
    ends = piece.start, piece.start + piece.length * piece.direction
    assert_allclose(distance_to_axis(np.array(ends), axes[name]), 0, atol=1e-9)
    if piece.b.meets:
        assert distance_to_axis(np.array([ends[1]]), axes[piece.b.meets[0]])[0] < 1e-9
    else:
        assert_allclose(ends[1], axes[name].end - short * axes[name].direction, atol=1e-9)


def test_lengths_are_from_edge_to_edge() -> None:
    for piece in made().values():
        gap = np.linalg.norm(piece.edge("b") - piece.edge("a"), axis=1)
        assert_allclose(piece.lengths, gap, atol=1e-9)
        assert piece.finished >= gap.max() - 1e-9
        span = np.concatenate([piece.edge("a"), piece.edge("b")]) @ piece.direction
        assert_allclose(piece.finished, span.max() - span.min(), atol=1e-9)


# The contract on lines, for every tube of the frame: which way a line faces, in the frame
FACES = {"underside": (1, -1), "upper side": (1, 1), "rear": (0, -1), "front": (0, 1)}


def test_every_tube_has_its_lines_where_the_contract_puts_them() -> None:
    """0° underside or rear, 90° drive side (z > 0), 180° upper side or front, 270° non-drive."""
    assert set(made()) == set(placed().tubes.axes) - {"shell"}
    for name, piece in made().items():
        stands = name in ("head_tube", "seat_tube", "right_seatstay", "left_seatstay")
        wanted = ("rear", "front") if stands else ("underside", "upper side")
        assert piece.lines == (wanted[0], "drive side", wanted[1], "non-drive side"), name
        for end in "ab":
            # points of the cut edge, told from the tube's axis in space
            edge = piece.edge(end)[[0, 90, 180, 270]]
            along = (edge - piece.start) @ piece.direction
            out = (edge - piece.start - along[:, None] * piece.direction) * 2 / piece.diameter
            assert out[1][2] > 0.9, (name, end)
            assert out[3][2] < -0.9, (name, end)
            for line, word in zip((0, 2), wanted, strict=True):
                axis, sign = FACES[word]
                assert out[line][axis] * sign > 0.5, (name, end, word)


def test_lines_count_counter_clockwise_seen_from_behind_or_above() -> None:
    """The rule of `pieces` for those who look along a tube; the eye lies rear of it or above it."""
    for name, piece in made().items():
        stands = name in ("head_tube", "seat_tube", "right_seatstay", "left_seatstay")
        eye = np.array([0.0, 1.0, 0.0] if stands else [-1.0, 0.0, 0.0])
        # toward the eye, counter-clockwise is right-handed
        assert np.cross(piece.zero, piece.ninety) @ eye > 0.5, name


@pytest.mark.parametrize("name", sorted(made()))
def test_joint_of_an_end_has_its_obtuse_line_where_the_two_axes_open(name: str) -> None:
    """Out of the obtuse corner the met tube's axis leans away: told from the axes alone."""
    piece, axes = made()[name], placed().tubes.axes
    for end in "ab":
        one = piece.end(end)
        for met, joint in zip(one.meets, one.joints, strict=False):
            inward = piece.direction if end == "a" else -piece.direction
            turn = np.radians(joint.turned_deg)
            out = np.cos(turn) * piece.zero + np.sin(turn) * piece.ninety
            way = axes[met].direction * np.sign(axes[met].direction @ out)
            assert way @ inward == pytest.approx(
                np.cos(np.radians(180 - joint.angle_deg)), abs=1e-9
            )


def test_finished_length_is_from_long_point_to_long_point() -> None:
    """The down tube of the lessons: 25.4 mm into a 31.8 mm head tube at 62° and a 38.1 mm shell."""
    whole = frame.draw(
        seat_angle_deg=73, head_angle_deg=73, chainstay=425, bb_drop=70, wheel_radius=340,
        fork_length=380, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=560,
        front_centre=600,
    ).place(top_tube=frame.TopTube(25.4, 12, below_seat_top=20), down_tube=frame.DownTube(25.4, 10),
            head_tube=31.8, seat_tube=25.4, shell=38.1)  # fmt: skip
    down = pieces.of_frame(whole)["down_tube"]
    at_head = miters.long_point(25.4, 31.8, whole.joints["down_tube-head_tube"].angle_deg)[1]
    assert down.b.long_point == pytest.approx(at_head, abs=1e-3)
    assert down.a.long_point == pytest.approx(np.sqrt(19.05**2 - 12.7**2), abs=1e-3)
    gaps = np.concatenate([down.edge("a"), down.edge("b")]) @ down.direction
    assert down.finished == pytest.approx(np.ptp(gaps), abs=1e-9)
    assert down.finished == pytest.approx(down.length - down.a.long_point - down.b.long_point)
    assert down.b.short_point - down.b.long_point == down.b.depth == np.ptp(down.b.along)


def test_right_and_left_stay_are_mirror_images() -> None:
    for stay in ("chainstay", "seatstay"):
        right, left = made()[f"right_{stay}"], made()[f"left_{stay}"]
        assert_allclose(left.a.along, right.a.along[::-1], atol=1e-9)
        assert_allclose(left.edge("a")[::-1] * [1, 1, -1], right.edge("a"), atol=1e-9)


def test_down_tube_meets_the_shell_below_and_the_seat_tube_above() -> None:
    down = made()["down_tube"]
    assert down.a.meets == ("shell", "seat_tube")
    assert down.a.touches[0] == 0  # underside: the shell
    assert down.a.touches[180] == 1  # upper side: the seat tube
    angle = placed().joints["down_tube-seat_tube"].angle_deg
    sine, cosine = np.sin(np.radians(angle)), np.cos(np.radians(angle))
    # at the upper side the seat tube's front line cuts the down tube's upper line
    assert down.a.along[180] == pytest.approx((28.6 / 2 + 31.8 / 2 * cosine) / sine, abs=1e-9)


def test_bore_is_the_cut_of_a_thinner_tube() -> None:
    top = made()["top_tube"]
    inside = miters.cut(28.6 - 2 * 0.8, top.a.joints[0])
    # `miters` counts the top tube's lines from the underside the other way round
    assert_allclose(top.bore("a", 0.8), inside.along, atol=1e-9)
    with pytest.raises(ValueError, match="The wall must be less than half the diameter; got 15 mm"):
        top.bore("a", 15)


TUBE = Butted(28.6, (0.8, 0.5, 0.8), (90.0, 40.0, 320.0, 40.0, 110.0))


def test_trimmed_tube_ends_where_the_piece_does() -> None:
    top = made()["top_tube"]
    trimmed = pieces.cut_out(top, TUBE)
    assert trimmed.tube.length == pytest.approx(top.finished, abs=1e-9)
    assert trimmed.crossing("b") - trimmed.crossing("a") == pytest.approx(top.length, abs=1e-9)
    assert trimmed.crossing("a") + top.a.along.min() == pytest.approx(trimmed.plan.from_a)
    assert trimmed.plan.left_a >= top.a.depth + 30
    assert trimmed.plan.left_b >= top.b.depth + 30
    assert_allclose(trimmed.bore("b"), top.bore("b", 0.8))


def test_own_cut_is_kept_and_the_margin_counts() -> None:
    top = made()["top_tube"]
    assert pieces.cut_out(top, TUBE, from_a=31.0).plan.from_a == 31.0
    wide = pieces.cut_out(top, TUBE, margin=10).plan.slack
    assert wide > pieces.cut_out(top, TUBE, margin=30).plan.slack


REFUSED = [
    (lambda: pieces.cut_out(made()["top_tube"], Butted(31.8, TUBE.walls, TUBE.lengths)),
     "The tube must have the diameter of the piece; got 31.8 mm for 28.6 mm. Check the frame's diameters."),
    (lambda: pieces.cut_out(made()["top_tube"], TUBE.cut(0, 100)),
     "The tube must be at least as long as the finished length; got 500 mm for 539.5076 mm, "
     "39.5076 mm missing. Take a longer tube."),
    (lambda: pieces.of_frame(frame.draw(**USUAL)),
     "The tubes must be placed before there are joints; got none. Call place(...) first."),
    (lambda: pieces.of_frame(placed(), {"chainstay": 500}),
     "The stay must be longer than it stops short of the axle; got 500 mm of 426.4387 mm. "
     "Check the frame's stays."),
    (lambda: pieces.of_frame(placed(), {"chainstay": -1}),
     "The length short of the axle must be 0 or more; got -1 mm. Check the sign."),
    (lambda: pieces.of_frame(placed(apart=14)),
     "right seatstay, end a: The joints must catch every line of the tube; got a line at 76° that "
     "passes beside all of them. Add the tube it meets there, or make an offset smaller."),
]  # fmt: skip


@pytest.mark.parametrize(("call", "message"), REFUSED)
def test_refused(call, message) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
