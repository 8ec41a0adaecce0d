"""Every number that the page on the whole frame prints: of the example frame, of its walk, of its try-its.

Papers are read off as text where they print a number; sums are written out here, without `closure`.
"""

from __future__ import annotations

import tomllib
from math import atan2, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import pytest

from coursekit import fixture
from coursekit.figures import your_frame
from coursekit.sheets.cut_list import marks
from coursekit.sheets.reference_mark import mark_at
from tests.conftest import ROOT
from tests.sheets import builds

SLUG = "your-frame"
READ = [(627.0, 48.1), (70.0, 107.5), (560.5, 183.9), (518.5, 287.0)]


FILE = tomllib.loads((ROOT / "course" / "worked-frame.toml").read_text(encoding="utf-8"))
DRAWN, TUBES = FILE["drawing"], FILE["tubes"]


@pytest.fixture(scope="module")
def build():
    return builds.example()


def test_the_frame_is_the_one_of_all_lessons(page):
    """What the page takes straight from the file, as the file has it."""
    page.says("a head tube of # mm", DRAWN["head_tube"])
    page.says("the fork's offset, # mm", DRAWN["fork_offset"])
    page.says("the arm leans back at #.#°", DRAWN["head_angle_deg"])
    page.says("on the bought top tube, # mm long", sum(TUBES["top_tube"]["lengths"]))
    page.says("a sleeve bored to #.# mm", FILE["sleeve"]["bore"])
    stay, shell = TUBES["chainstay"], TUBES["shell"]
    page.says("Two chainstays # mm apart and #.# mm thick in a shell faced to # mm: #.# mm left",
              stay["apart_at_shell"], stay["diameter"], shell["faced"],
              (shell["faced"] - stay["apart_at_shell"] - stay["diameter"]) / 2)  # fmt: skip
    seat = TUBES["seat_tube"]
    page.says("Below, the bore is #.# mm", seat["diameter"] - 2 * seat["walls"][0])


def test_the_name_of_the_state(page, build):
    assert f"`{build.version}`" in page.text


def test_two_wheelbases(page, build):
    rear, front = (float(build.frame.points[p][0]) for p in ("rear_axle", "front_axle"))
    assert rear == pytest.approx(-sqrt(DRAWN["chainstay"] ** 2 - DRAWN["bb_drop"] ** 2))
    assert front == pytest.approx(sqrt(DRAWN["front_centre"] ** 2 - DRAWN["bb_drop"] ** 2))
    page.says("#.# + #.# = #.# mm", -rear, front, front - rear)
    page.says("a rail, # mm below the post", FILE["bench"]["rail"])
    s, lean = fixture.settings(build.frame, build.bench.rail), radians(DRAWN["head_angle_deg"])
    again = s.rear_back + s.head_ahead - s.axle_along * cos(lean) + DRAWN["fork_offset"] * sin(lean)
    page.says(r"&= 419.2 + #.# \\ &\quad - #.# \cos 72.5° + 45 \sin 72.5° \\ &= #.#\ \text{mm}",
              s.head_ahead, s.axle_along, again)  # fmt: skip
    page.says("stands ahead, #.# mm, how far up that arm the foot of the front axle lies, #.# mm",
              s.head_ahead, s.axle_along)  # fmt: skip


def test_the_walk(page, build):
    names = ("down tube", "steering axis", "top tube", "seat tube")
    for name, (length, way) in zip(names, READ, strict=True):
        page.says(f"| {name} | #.# | #.#° | #.# | #.# |", length, way,
                  length * cos(radians(way)), length * sin(radians(way)))  # fmt: skip
    x, y = (sum(length * f(radians(way)) for length, way in READ) for f in (cos, sin))
    page.says("| **sum** | | | **#.#** | **#.#** |", x, y)
    page.says("ends #.# mm behind its start", -x)
    page.says("a gap of #.# mm", hypot(x, y))
    assert 0.4 < -y < 0.6  # "half a millimetre below it"
    axes = build.frame.tubes.axes
    for tube, said in (("down_tube", 627.1), ("top_tube", 550.4)):
        assert float(axes[tube].length) == pytest.approx(said, abs=0.05)
    lengths, ways = your_frame.legs(build.frame)
    assert lengths == pytest.approx((627.1, 69.8, 550.4, 518.6), abs=0.05)  # as in the alt text
    assert ways == pytest.approx([way for _, way in READ], abs=0.05)
    page.says("Down tube #.# mm at #.# degrees, steering axis #.# at #.#, top tube #.# at #.#, seat tube #.# at #.#.",
              *(x for leg in zip(lengths, ways, strict=True) for x in leg))  # fmt: skip
    assert hypot(*(axes["top_tube"].end - axes["down_tube"].end)[:2]) == pytest.approx(
        69.8, abs=0.05
    )
    assert hypot(*axes["top_tube"].start[:2]) == pytest.approx(518.6, abs=0.05)
    # "560.5 was read where 550.5 was meant"
    assert pytest.approx(float(axes["top_tube"].length), abs=0.1) == 560.5 - 10


def test_three_legs(page):
    run, rise = 501 * cos(radians(233.13)), 501 * sin(radians(233.13))
    page.says(
        "Runs 300 + 0 − #.# = −#.#; rises 0 + 400 − #.# = −#.#",
        -run,
        -(300 + run),
        -rise,
        -(400 + rise),
    )
    page.says("√(0.36 + 0.64) = #.# mm", hypot(300 + run, 400 + rise))


def test_how_far_it_may_miss(page):
    swing = 0.08 * pi / 180
    page.says("627 · 0.08 / 57.3 is".replace(" is", " = #.## mm"), 627 * swing)
    squares = sum(length**2 for length, _ in READ)
    u = sqrt(4 * 0.5**2 + swing**2 * squares)
    page.says(r"(0.08 / 57.3)^2\, S} = #.#\ \text{mm}", u)
    page.says("about twice that, #.# mm", 2 * 1.7)
    page.says(
        "√(1 + #.##² / 16) = #.## mm", swing * sqrt(squares), sqrt(1 + (swing / 4) ** 2 * squares)
    )
    page.says("the four lengths, #.## mm", sqrt(4 * 0.5**2))


def test_up_and_forward(page):
    page.says("is 8 / 7, #°", degrees(atan2(8, 7)))
    page.says("too long, by #.# mm", hypot(7, 8))


def test_paper_against_paper(page, build):
    cut = build.trimmed["top_tube"]
    found = dict(marks(cut))
    apart, back = found["mark b"] - found["mark a"], [mark_at(cut, e) for e in "ab"]
    page.says(
        "# mm and #.# mm from end a. Between them: #.# mm",
        found["mark a"],
        found["mark b"],
        apart,
    )
    page.says("each mark lies # and # mm short", *back)
    page.says("it is 485.4 + 30 + 35 = #.# mm", apart + sum(back))
    plan = cut.plan
    page.says(
        "#.# + #.# + #.# = 640.0 mm", plan.from_a, 640 - plan.from_a - plan.from_b, plan.from_b
    )
    page.says("110 − #.# = #.# mm of full wall stay at the seat tube, 130 − #.# = #.# mm",
              plan.from_a, 110 - plan.from_a, plan.from_b, 130 - plan.from_b)  # fmt: skip
    heat, again = FILE["bench"]["heat_margin"], 5
    page.says("a saddle #.# mm deep and # mm for the heat, and # mm in hand", cut.piece.a.depth, heat, again)  # fmt: skip
    assert plan.left_a == pytest.approx(cut.piece.a.depth + heat + again)
    one, other = (cut.piece.end(e).joints[0].angle_deg for e in "ab")
    page.says("at the seat tube (#.#°) and in the *obtuse* one at the head tube (#.#°)", one, other)
    a = 14.3 / sin(radians(one)) + 14.3 / tan(radians(one))
    b = 18 / sin(radians(other)) - 14.3 / tan(radians(other))
    page.says("14.3 / sin 76.9° + 14.3 / tan 76.9° = #.# mm", a)
    page.says("18 / sin 76.4° − 14.3 / tan 76.4° = #.# mm", b)
    page.says("550.4 − 18.0 − 15.1 = #.# mm", cut.piece.length - a - b)
    assert cut.piece.lengths[0] == pytest.approx(cut.piece.length - a - b)


def test_small_rooms(page, build):
    tube, sleeve, stay = build.tubes["seat_tube"], build.sleeve, build.tubes["chainstay"]
    assert (tube.diameter, tube.walls[2], sleeve.plug, stay.diameter) == (28.6, 0.7, 28.6, 22.2)
    page.says("28.6 − 2 · 0.7 = #.# mm", 28.6 - 2 * 0.7)
    page.says(
        "a sleeve bored to #.# mm: a gap of #.## mm a side", sleeve.bore, (sleeve.bore - 28.6) / 2
    )
    page.says("the bore is #.# mm", 28.6 - 2 * tube.walls[0])
    page.says("1.5 mm all round is #.# mm wide", 26.8 - 2 * 1.5)
    page.says(
        "in a shell faced to # mm: #.# mm left beside each",
        build.fitted.faced,
        (68 - 40 - 22.2) / 2,
    )
    page.says(
        "and #.# mm at the edges of their saddles",
        34 - build.pieces["right_chainstay"].edge("a")[:, 2].max(),
    )
    page.says("the marks lie at #.# and #.# mm", 85.0, 572.4)
    page.says("#.# + 65 = #.# mm, two more than the drawing", 572.4 - 85.0, 572.4 - 85.0 + 65)


def test_the_record(page):
    page.says("1010.1 was drawn, with a tape known to 0.5 mm: #.# mm", 1011.5 - 1010.1)
    page.says(
        "The difference, #.# mm, is known to 0.5 · √2 = #.# mm", 1011.5 - 1009.0, 0.5 * sqrt(2)
    )
