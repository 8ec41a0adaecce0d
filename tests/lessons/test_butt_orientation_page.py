"""Every number that the page on butt orientation prints of the worked frame's down tube and of its try-its.

Saddles, windows and masses are worked here again from circles and plain sums; only the bending is the
kit's `statics`, which tests/sources/test_pynite_hit.py judges on this very frame. The frame itself is
read from its file.
"""

from __future__ import annotations

import tomllib
from math import pi

import numpy as np
import pytest

from coursekit import butts
from coursekit.book import worked_frame
from coursekit.figures import butt_orientation as draw
from coursekit.figures._hit import FORCE, Rig, hit
from coursekit.tubes import Butted

SLUG = "butt-orientation"
OURS = worked_frame.build()
WRITTEN = tomllib.loads((worked_frame.project.root() / worked_frame.FILE).read_text())
TUBE = WRITTEN["tubes"]["down_tube"]
SIZE, (THICK, THIN, _) = TUBE["diameter"], TUBE["walls"]
(SHORT, *_, LONG), COMES = TUBE["lengths"], sum(TUBE["lengths"])
MARGIN = WRITTEN["bench"]["heat_margin"]
HEAD_TUBE, SHELL_TUBE, SEAT_TUBE = (
    WRITTEN["tubes"][name]["diameter"] for name in ("head_tube", "shell", "seat_tube")
)


def saddle(r, big, angle_deg):
    """Nearest and furthest point of a cut from the other tube's axis, by a sum over the circumference."""
    phi, angle = np.linspace(0, 2 * pi, 100_001), np.radians(angle_deg)
    along = np.sqrt(big**2 - (r * np.sin(phi)) ** 2) / np.sin(angle)
    along += r * np.cos(phi) / np.tan(angle)
    return along.min(), along.max()


def foot(r, shell, seat, angle_deg):
    """The same at the shell, a square joint, where the tube meets the seat tube on its upper side as well."""
    phi, angle = np.linspace(0, 2 * pi, 100_001), np.radians(angle_deg)
    along = np.sqrt(shell**2 - (r * np.cos(phi)) ** 2)
    inside = np.maximum(seat**2 - (r * np.sin(phi)) ** 2, 0)
    other = np.sqrt(inside) / np.sin(angle) + r * np.cos(phi) / np.tan(angle)
    along = np.where((inside > 0) & (np.cos(phi) > 0), np.maximum(along, other), along)
    return along.min(), along.max()


def gram(diameter, wall):
    """A millimetre of tube: two circles."""
    return pi / 4 * (diameter**2 - (diameter - 2 * wall) ** 2) * 0.00785


def modulus(diameter, wall):
    return pi * (diameter**4 - (diameter - 2 * wall) ** 4) / 32 / diameter


def window(off, room_head, room_shell):
    """Least and most off the head end, of all cuts a tenth of a millimetre apart that both ends bear."""
    tries = np.arange(0, round(10 * off) + 1) / 10
    good = tries[(tries <= room_head + 1e-9) & (off - tries <= room_shell + 1e-9)]
    return (good.min(), good.max()) if good.size else ()


AXIS = OURS.frame.tubes.axes["down_tube"]
AXES = float(np.linalg.norm(np.subtract(AXIS.end, AXIS.start)))
RISE = np.degrees(np.arctan2(AXIS.end[1], AXIS.end[0]))
SEAT_ANGLE, HEAD_ANGLE = (WRITTEN["drawing"][f"{t}_angle_deg"] for t in ("seat", "head"))
HEAD = saddle(SIZE / 2, HEAD_TUBE / 2, 180 - HEAD_ANGLE - RISE)
SHELL = foot(SIZE / 2, SHELL_TUBE / 2, SEAT_TUBE / 2, 180 - SEAT_ANGLE - RISE)
DEPTH_HEAD, DEPTH_SHELL = np.ptp(HEAD), np.ptp(SHELL)
NEED_HEAD, NEED_SHELL = DEPTH_HEAD + MARGIN, DEPTH_SHELL + MARGIN
FINISHED = AXES - HEAD[0] - SHELL[0]
OFF = round(COMES - FINISHED, 1)
ROOM_HEAD, ROOM_SHELL = LONG - round(NEED_HEAD, 1), SHORT - round(NEED_SHELL, 1)
STOP = 85 + 15
RESERVE = 1 + 1 + 3  # saw, file, a spoiled miter; common practice, no source
RIG = Rig(OURS.frame, OURS.tubes, SHELL[0])
CUT = OURS.trimmed["down_tube"].tube
SPARE = SHORT - round(NEED_HEAD, 1)
TURNED = Butted(SIZE, (THICK, THIN, THICK), TUBE["lengths"][::-1]).cut(
    COMES - FINISHED - SPARE, SPARE
)


@pytest.fixture(scope="module")
def made():
    return hit(RIG, CUT)


@pytest.fixture(scope="module")
def ends(made):
    """Bending at the head and at the far end of both tubes, N·m."""
    return {t: made.bending(t, [0, made.length(t)]) for t in ("down_tube", "top_tube")}


def test_the_numbers_of_the_frame_are_those_of_its_file(page):
    page.says("Our tube is # mm long and #.# mm across", COMES, SIZE)
    page.says("miter lesson: #.# mm from axis to axis", AXES)
    page.says("asks for a margin of # mm", MARGIN)
    page.says("At the shell the long point is #.# mm from the axis, on the underside. The short point is #.# mm from it",
              *SHELL)  # fmt: skip
    page.says("At the head tube they are #.# mm and #.# mm from the axis", *HEAD)


def test_the_tube_in_the_hand(page):
    short, one, belly, other, long = TUBE["lengths"]
    page.says("a short butt of # mm, a taper of #, a belly of #, a taper of # and a long butt of #. In all # mm",
              short, one, belly, other, long, COMES)  # fmt: skip
    page.says("Thick wall #.# mm, thin wall #.# mm", THICK, THIN)
    page.says(f"its wall drawn {draw.THICKER:g} times too thick")
    assert TUBE["walls"][0] == TUBE["walls"][2]


def test_the_lever(page, made):
    lever = (made.nodes["head_down_tube"] - made.nodes["front_axle"])[1]
    page.says("a level push of # N", FORCE)
    page.says("The axle is # mm below the joint", lever)
    page.says(
        r"#\ \text{N} \cdot #.###\ \text{m} = #\ \text{N·m}",
        FORCE,
        lever / 1000,
        FORCE * lever / 1000,
    )
    page.says("An arrow of # N pushes the front axle back. The height from the axle to the joint of the down tube is # mm",
              FORCE, lever)  # fmt: skip
    assert made.length("down_tube") == pytest.approx(AXES)


def test_the_bending(page, made, ends):
    (head, shell), (top, seat) = ends["down_tube"], ends["top_tube"]
    page.says(
        "tallest at the head tube, # newton metres on the down tube and # on the top tube",
        head,
        top,
    )
    page.says(
        "on the other side of the tube, to # at the shell and # at the seat tube", -shell, -seat
    )
    page.says("bent hardest at the head as well, # against # N·m", top, -seat)
    for high, low in ends.values():
        assert 1.9 < high / -low < 2.3  # "about twice as hard"
        assert high / (high - low) == pytest.approx(2 / 3, abs=0.03)  # "two thirds of the way"
    thins = COMES - OFF - CUT.lengths[4] + SHELL[0]  # from the shell's axis
    page.says("#.# mm from the head tube's axis, where its wall will begin to thin: #.# − (#.# + #.#) · #.# / #.# = #.# N·m",
              AXES - thins, head, head, -shell, AXES - thins, AXES, made.bending("down_tube", AXES - thins)[0])  # fmt: skip
    printed = 113.4 - (113.4 + 52.5) * 145.8 / 627.1
    assert round(printed, 1) == round(made.bending("down_tube", AXES - thins)[0], 1)
    page.says("72 − (72 + 36) · 90 / 540 = 72 − # = # N·m", 108 * 90 / 540, 72 - 108 * 90 / 540)
    page.says("two thirds of 540 mm, # mm from the head tube", 540 * 72 / 108)


def stress(tube, place):
    """Bending over section modulus, the wall read off the tube's marks by interpolation."""
    x = np.r_[0, np.cumsum(tube.lengths)]
    wall = np.interp(AXES - SHELL[0] - place, x, np.repeat(tube.walls, 2))
    return abs(hit(RIG, tube).bending("down_tube", place)) / modulus(tube.diameter, wall)


def test_how_hard_both_ways_work_the_steel(page):
    place = np.arange(HEAD[0], AXES - SHELL[0], 0.05)
    long, short = stress(CUT, place), stress(TURNED, place)
    unit, far = long[0], place > 150
    page.says(
        "the {term}`section modulus`, is #.## of the butt's",
        modulus(SIZE, THIN) / modulus(SIZE, THICK),
    )
    page.says("It starts at # and falls to #.## while the wall is thick, climbs in the taper to #.##, # mm from",
              1, long[place < 160].min() / unit, long[far].max() / unit, place[far][long[far].argmax()])  # fmt: skip
    page.says("at #.##, but its taper comes earlier, and it climbs to #.##, # mm from the head tube's axis",
              short[0] / unit, short.max() / unit, place[short.argmax()])  # fmt: skip
    assert long.max() == unit
    for one in (long, short):
        assert one[-1] / unit == pytest.approx(0.45, abs=0.02)  # "rise to about 0.45 at the shell"
        assert place[one[place < 500].argmin()] / AXES == pytest.approx(2 / 3, abs=0.03)
    page.says("has fallen far enough: #.##, less than at the joint itself", long[far].max() / unit)
    page.says("it begins too early: #.##, in wall of 0.6 mm", short.max() / unit)
    spare = SPARE - RESERVE
    kept = Butted(SIZE, TURNED.walls, TUBE["lengths"][::-1]).cut(COMES - FINISHED - spare, spare)
    page.says(
        "still #.## with that butt left # mm longer", stress(kept, place).max() / unit, RESERVE
    )
    plain = stress(Butted(SIZE, (THIN, THIN, THIN), (0.0, 0.0, FINISHED, 0.0, 0.0)), place)
    page.says("A plain tube of 0.6 mm would stand at #.##, at the joint", plain.max() / unit)
    assert plain.argmax() == 0


def test_needs(page):
    known = worked_frame.facts()
    for end, own in (("head_tube", HEAD), ("shell", SHELL)):
        places = (known[f"down_tube.{end}.long_point"], known[f"down_tube.{end}.short_point"])
        assert places == pytest.approx(own, abs=1e-3)
    page.says(
        "Need: #.# − #.# + # = **#.# mm**. - At the head tube", *SHELL[::-1], MARGIN, NEED_SHELL
    )
    page.says("Need: #.# − #.# + # = **#.# mm**. ```{code-cell}", *HEAD[::-1], MARGIN, NEED_HEAD)
    page.says("the cut is #.# mm deep. A hatched margin of # mm follows. Both together, #.# mm, are the need",
              DEPTH_HEAD, MARGIN, NEED_HEAD)  # fmt: skip
    page.says("18.0 − 10.5 + 26 = #.# mm, counted from the long point. Not # mm: the first 10.5 mm",
              18 - 10.5 + 26, 18 + 26)  # fmt: skip


def test_lengths(page):
    page.says("finished: #.## − #.## − #.## = **#.# mm**", AXES, SHELL[0], HEAD[0], FINISHED)
    page.says("to come off: # − #.# = **#.# mm**", COMES, FINISHED, OFF)
    page.says("From axis to axis #.# mm. The finished tube from long point to long point, #.# mm, stops #.# mm short of the shell's axis and #.# mm short of the head tube's",
              AXES, FINISHED, SHELL[0], HEAD[0])  # fmt: skip
    page.says("sticks out on both sides; #.# mm must come off", OFF)
    page.says("the tube is #.# mm too long", AXES - FINISHED)
    page.says(
        "#.## − #.## − #.## = #.# mm, the tube is too short",
        AXES,
        SHELL[1],
        HEAD[1],
        AXES - SHELL[1] - HEAD[1],
    )
    assert (
        CUT.length == pytest.approx(FINISHED, abs=0.001) == TURNED.length
    )  # to a degree round the cut


def test_the_window(page):
    least, most = window(OFF, ROOM_HEAD, ROOM_SHELL)
    page.says("shell end 120 − #.# = #.# mm - head end 170 − #.# = #.# mm",
              NEED_SHELL, ROOM_SHELL, NEED_HEAD, ROOM_HEAD)  # fmt: skip
    page.says("at least #.# − #.# = **#.# mm**. It is at most the head end's room, #.# mm",
              OFF, ROOM_SHELL, least, ROOM_HEAD)  # fmt: skip
    page.says("never more than all of it, **#.# mm**", most)
    page.says(
        "can spare from 0 to #.# mm. The shell end allows #.# to #.# mm", ROOM_HEAD, least, OFF
    )
    page.says("where both bars overlap, #.# to #.# mm", least, most)
    page.says("to_come_off, room_head, room_shell = #.#, #.#, #.#", OFF, ROOM_HEAD, ROOM_SHELL)
    page.says("draw.window(#.#, #.#, #.#)", OFF, ROOM_HEAD, ROOM_SHELL)
    assert butts.window(OFF, ROOM_HEAD, ROOM_SHELL) == pytest.approx((least, most))
    low, high = window(40, 75, 25)
    page.says("To come off: # mm. Rooms: 120 − 45 = # mm and 60 − 35 = # mm. At least 40 − 25 = # mm, at most # mm",
              610 - 570, 120 - 45, 60 - 35, low, high)  # fmt: skip


def test_which_end_to_spend(page):
    least, most = window(OFF, ROOM_HEAD, ROOM_SHELL)
    assert SHORT - OFF + least == pytest.approx(round(NEED_SHELL, 1))  # "just its need"
    tries = np.arange(0, round(10 * OFF) + 1) / 10  # off the head end
    shell, head = ROOM_SHELL - (OFF - tries), ROOM_HEAD - tries  # in hand at each end
    off = tries[np.minimum(shell, head) >= RESERVE - 1e-9].min()
    page.says(
        "a *reserve* of # mm at each end beyond its need: 1 for the saw, 1 for the file, and 3",
        RESERVE,
    )
    page.says("gives #.# − # = #.# mm, and the rest, #.# − #.# = #.# mm, comes off the head end",
              ROOM_SHELL, RESERVE, OFF - off, OFF, OFF - off, off)  # fmt: skip
    page.says("#.# mm off the shell end, #.# mm off the head end, which is # mm inside the lower edge",
              OFF - off, off, off - least)  # fmt: skip
    page.says("Left are 120 − #.# = #.# mm and 170 − #.# = #.# mm of butt, with # mm in hand at the shell and #.# mm at the head",
              OFF - off, SHORT - OFF + off, off, LONG - off,
              SHORT - OFF + off - NEED_SHELL, LONG - off - NEED_HEAD)  # fmt: skip
    page.says("The cut list's cut, #.# mm, still lies in it", off)
    assert least < off < LONG - STOP
    plan = OURS.trimmed["down_tube"].plan  # the cut list's
    assert (plan.from_b, plan.from_a) == pytest.approx((off, OFF - off), abs=0.05)
    page.says("#.# mm off the head end: 170 − #.# = #.# mm are left there, and # mm at the shell",
              most, most, LONG - most, SHORT)  # fmt: skip
    page.says("with #.# mm in hand at the head", LONG - most - NEED_HEAD)
    assert LONG - most < SHORT  # "the shorter butt is at the head tube"


def test_weights(page):
    butt, belly = gram(SIZE, THICK), gram(SIZE, THIN)
    page.says("π · (31.8 − 0.9) · 0.9 · 0.00785 = #.### g", butt)
    page.says("π · (31.8 − 0.6) · 0.6 · 0.00785 = #.### g", belly)
    page.says("#.# · #.### = #.# g", OFF, butt, OFF * butt)
    assert OURS.tubes["down_tube"].mass() - CUT.mass() == pytest.approx(OFF * butt, rel=1e-3)
    page.says(
        "10 · (#.### − #.###) = #.# g lighter, and 10 mm less in hand",
        butt,
        belly,
        10 * (butt - belly),
    )
    page.says(
        "π · 27.8 · 0.8 · 0.00785 = #.### g a millimetre, #.# g in all",
        gram(28.6, 0.8),
        40 * gram(28.6, 0.8),
    )
    page.says("It says # g. What do you do", 40 * gram(28.6, 0.9))
    page.says("At # g the wall would be 0.9 mm", 40 * gram(28.6, 0.9))


def test_the_cable_stop(page):
    least, most = window(OFF, LONG - STOP, ROOM_SHELL)
    page.says("85 + 15 = # mm, more than the joint's #.# mm", STOP, NEED_HEAD)
    page.says("shrinks to 170 − 100 = # mm, and the window to #.# … # mm", LONG - STOP, least, most)
    shell = OFF - most
    page.says("# mm off the head end, #.# − # = #.# mm off the shell end", most, OFF, most, shell)
    page.says("There 120 − #.# = #.# mm of butt is left for a need of #.# mm: #.# mm in hand",
              shell, SHORT - shell, NEED_SHELL, SHORT - shell - round(NEED_SHELL, 1))  # fmt: skip


def test_empty_windows(page):
    made = [(595, SHORT, LONG), (650, 40, 150), (690, 70, 90)]
    ours = [(length - round(FINISHED, 1), head - round(NEED_HEAD, 1), shell - round(NEED_SHELL, 1))
            for length, shell, head in made]  # fmt: skip
    assert not any(window(*own) for own in ours[1:])
    for (length, shell, head), own in zip(made, ours, strict=True):
        drawn = ", ".join(f"{v:.1f}" for v in own)
        assert f'("{length} long,\\n{shell:g} + {head:g}", {drawn})' in page.text
    (short, *_), (_, _, butt), (off, head, shell) = ours
    page.says("points to the left, minus #.# mm", -short)
    page.says("The shell end's room is below zero, minus #.# mm", -butt)
    page.says(
        "with butts of 70 and 90. #.# mm must come off, and both ends together spare #.#",
        off,
        head + shell,
    )
    page.says("The tube is #.# mm too short before anything is cut", -short)
    page.says("needs #.# mm and has 40, so #.# mm are missing", NEED_SHELL, -butt)
    page.says("#.# mm must go, and both ends together can spare #.#, so #.# mm are missing",
              off, head + shell, off - head - shell)  # fmt: skip
    page.says("*#.# mm of butt are missing*", off - head - shell)
    assert 40 - NEED_HEAD < 40 - NEED_SHELL  # "the head end needs even more"


def test_the_bargain_bin(page):
    off, head, shell = 600 - 570, 50 - 45, 50 - 35
    page.says("# mm to come off; the rooms are # and # mm, # mm together. It doesn't: # mm of butt are missing",
              off, head, shell, head + shell, off - head - shell)  # fmt: skip
    assert not window(off, head, shell)
    assert window(590 - 570, head, shell) == (head, head)  # "would fit, with nothing in hand"


def test_twice_the_hit_doubles_the_bending_and_leaves_all_else(page, made, ends):
    twice = hit(RIG, CUT, 2 * FORCE)
    page.says(
        "for # N in place of # N. What becomes of the # N·m", 2 * FORCE, FORCE, ends["down_tube"][0]
    )
    page.says("# N·m. All of the bending doubles together", twice.bending("down_tube", 0)[0])
    place = np.linspace(0, made.length("down_tube"), 13)
    assert twice.bending("down_tube", place) == pytest.approx(2 * made.bending("down_tube", place))
    turned, hard = (hit(RIG, TURNED, f).bending("down_tube", place) for f in (FORCE, 2 * FORCE))
    assert hard == pytest.approx(2 * turned)  # so both ratios stay
