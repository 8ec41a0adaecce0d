"""Every number that the page on butt orientation prints of its own tube and of its try-its.

Saddles, windows and masses are worked here again from circles and plain sums; only the bending is the
kit's `statics`, which tests/sources/test_pynite_hit.py judges on this very frame.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from coursekit import butts, miters
from coursekit.figures import butt_orientation as draw
from coursekit.figures._hit import EAR_SHELL, FORCE, hit
from coursekit.tubes import Butted

SLUG = "butt-orientation"
LONG, SHORT, COMES, AXES, MARGIN = 104.0, 55.0, 598.0, 585.0, 28.0


def saddle(r, big, angle_deg):
    """Nearest and furthest point of a cut from the other tube's axis, by a sum over the circumference."""
    phi, angle = np.linspace(0, 2 * pi, 100_001), np.radians(angle_deg)
    along = np.sqrt(big**2 - (r * np.sin(phi)) ** 2) / np.sin(angle)
    along += r * np.cos(phi) / np.tan(angle)
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


HEAD, SHELL = saddle(12.7, 15.9, 62), saddle(12.7, 19.05, 90)
NEED_HEAD, NEED_SHELL = np.ptp(HEAD) + MARGIN, np.ptp(SHELL) + MARGIN
FINISHED = AXES - round(HEAD[0], 1) - round(SHELL[0], 1)
OFF = COMES - FINISHED
ROOM_HEAD, ROOM_SHELL = LONG - round(NEED_HEAD, 1), SHORT - round(NEED_SHELL, 1)


@pytest.fixture(scope="module")
def made():
    return hit(draw.FINISHED)


@pytest.fixture(scope="module")
def ends(made):
    """Bending at the head and at the far end of both tubes, N·m."""
    return {t: made.bending(t, [0, made.length(t)]) for t in ("down_tube", "top_tube")}


def test_the_tube_in_the_hand(page):
    short, one, belly, other, long = draw.OURS.lengths
    page.says("a short butt of # mm, a taper of #, a belly of #, a taper of # and a long butt of #. In all # mm",
              short, one, belly, other, long, sum(draw.OURS.lengths))  # fmt: skip
    page.says("Thick wall #.# mm, thin wall #.# mm", *draw.OURS.walls[:2])
    page.says("Our tube is # mm long and #.# mm across", COMES, draw.OURS.diameter)
    page.says(f"its wall drawn {draw.THICKER:g} times too thick")
    assert (short, long, sum(draw.OURS.lengths)) == (SHORT, LONG, COMES)
    assert draw.OURS.walls[0] == draw.OURS.walls[2]


def test_the_lever(page, made):
    lever = (made.nodes["head_down_tube"] - made.nodes["front_axle"])[1]
    page.says("a level push of # N", FORCE)
    page.says("The axle is # mm below the joint", lever)
    page.says(
        r"#\ \text{N} \cdot #.###\ \text{m} = #\ \text{N·m}", FORCE, lever / 1000, FORCE * 0.37
    )
    page.says("An arrow of # N pushes the front axle back. The height from the axle to the joint of the down tube is # mm",
              FORCE, lever)  # fmt: skip
    page.says("# mm from axis to axis", made.length("down_tube"))


def test_the_bending(page, made, ends):
    (head, shell), (top, seat) = ends["down_tube"], ends["top_tube"]
    page.says("tallest at the head tube, # newton metres", head)
    assert round(top) == round(head)  # "on both"
    page.says(
        "on the other side of the tube, to # at the shell and # at the seat tube", -shell, -seat
    )
    page.says("bent hardest at the head as well, # against # N·m", top, -seat)
    for high, low in ends.values():
        assert 1.9 < high / -low < 2.3  # "about twice as hard"
        assert high / (high - low) == pytest.approx(2 / 3, abs=0.03)  # "two thirds of the way"
    page.says("90 − (90 + 46) · 124 / 585 = # N·m", made.bending("down_tube", 124)[0])
    assert round(90 - (90 + 46) * 124 / 585) == round(made.bending("down_tube", 124)[0])
    page.says("72 − (72 + 36) · 90 / 540 = 72 − # = # N·m", 108 * 90 / 540, 72 - 108 * 90 / 540)
    page.says("two thirds of 540 mm, # mm from the head tube", 540 * 72 / 108)


def stress(tube, place):
    """Bending over section modulus, the wall read off the tube's marks by interpolation."""
    x = np.r_[0, np.cumsum(tube.lengths)]
    wall = np.interp(AXES - EAR_SHELL - place, x, np.repeat(tube.walls, 2))
    return abs(hit(tube).bending("down_tube", place)) / modulus(tube.diameter, wall)


def test_how_hard_both_ways_work_the_steel(page):
    place = np.arange(round(HEAD[0], 1), AXES - EAR_SHELL, 0.05)
    long, short = stress(draw.FINISHED, place), stress(draw.TURNED, place)
    unit = long[0]
    at_long, at_short = place[long.argmax()], place[short.argmax()]
    page.says(
        "the {term}`section modulus`, is #.## of the butt's",
        modulus(25.4, 0.6) / modulus(25.4, 0.9),
    )
    page.says("It falls to #.#, climbs in the taper and peaks at #.##, # mm from the head tube",
              long[place < 110].min() / unit, long.max() / unit, at_long)  # fmt: skip
    page.says("it peaks at #.##, # mm from the head tube", short.max() / unit, at_short)
    page.says("rise to #.# at the shell", long[-1] / unit)
    page.says("has fallen far enough: #.##, about as hard", long.max() / unit)
    page.says("it begins too early: #.##, in wall of 0.6 mm", short.max() / unit)
    page.says("For our tube # mm from the head tube, where its thin wall will begin", at_long)
    plain = stress(Butted(25.4, (0.6, 0.6, 0.6), (0.0, 0.0, 561.2, 0.0, 0.0)), place)
    page.says("A plain tube of 0.6 mm would stand at #.##, at the joint", plain.max() / unit)
    assert plain.argmax() == 0


def test_needs(page):
    for into, angle, own in ((31.8, 62.0, HEAD), (38.1, 90.0, SHELL)):
        along = miters.saddle(25.4, into, angle)[1]
        assert (along.min(), along.max()) == pytest.approx(own, abs=1e-3)
    assert butts.keep(np.ptp(HEAD), MARGIN) == NEED_HEAD
    page.says("At our head tube that is #.# − #.# = #.# mm", HEAD[1], HEAD[0], np.ptp(HEAD))
    page.says("at the shell #.## − #.# = #.# mm", SHELL[1], SHELL[0], np.ptp(SHELL))
    page.says("head end #.# + 28 = **#.# mm** - shell end #.# + 28 = **#.# mm**",
              np.ptp(HEAD), NEED_HEAD, np.ptp(SHELL), NEED_SHELL)  # fmt: skip
    page.says("the cut is #.# mm deep. A hatched margin of # mm follows. Both together, #.# mm, are the need",
              np.ptp(HEAD), MARGIN, NEED_HEAD)  # fmt: skip
    page.says("18.0 − 10.5 + 26 = #.# mm, counted from the ears. Not # mm: the first 10.5 mm",
              18 - 10.5 + 26, 18 + 26)  # fmt: skip


def test_lengths(page):
    page.says("finished: 585 − #.# − #.# = **#.# mm**", HEAD[0], SHELL[0], FINISHED)
    page.says("to come off: 598 − #.# = **#.# mm**", FINISHED, OFF)
    page.says("from ears to ears, #.# mm, stops #.# mm short of the shell's axis and #.# mm short of the head tube's",
              FINISHED, SHELL[0], HEAD[0])  # fmt: skip
    page.says("sticks out on both sides; #.# mm must come off", OFF)
    page.says("the tube is #.# mm too long", AXES - FINISHED)
    page.says("585 − 24.8 − 19.05 = #.# mm, the tube is too short", AXES - 24.8 - 19.05)
    assert draw.FINISHED.length == pytest.approx(FINISHED) == draw.TURNED.length


def test_the_window(page):
    least, most = window(OFF, ROOM_HEAD, ROOM_SHELL)
    page.says("head end 104 − #.# = #.# mm - shell end 55 − #.# = #.# mm",
              NEED_HEAD, ROOM_HEAD, NEED_SHELL, ROOM_SHELL)  # fmt: skip
    page.says(
        "at least 36.8 − 22.1 = **#.# mm**. It is at most the head end's room, #.# mm",
        least,
        ROOM_HEAD,
    )
    page.says("never more than all of it, **#.# mm**", most)
    page.says(
        "can spare from 0 to #.# mm. The shell end allows #.# to #.# mm", ROOM_HEAD, least, OFF
    )
    page.says("where both bars overlap, #.# to #.# mm", least, most)
    page.says("to_come_off, room_head, room_shell = #.#, #.#, #.#", OFF, ROOM_HEAD, ROOM_SHELL)
    page.says("draw.window(#.#, #.#, #.#)", OFF, ROOM_HEAD, ROOM_SHELL)
    assert butts.window(OFF, ROOM_HEAD, ROOM_SHELL) == pytest.approx((least, most))
    plan = butts.plan(draw.OURS, FINISHED, round(NEED_SHELL, 1), round(NEED_HEAD, 1))
    assert (plan.from_b, plan.most_from_a) == pytest.approx((most, ROOM_SHELL))  # end a: the shell
    low, high = window(40, 75, 25)
    page.says("To come off: # mm. Rooms: 120 − 45 = # mm and 60 − 35 = # mm. At least 40 − 25 = # mm, at most # mm",
              610 - 570, 120 - 45, 60 - 35, low, high)  # fmt: skip


def test_which_end_to_spend(page):
    least, _ = window(OFF, ROOM_HEAD, ROOM_SHELL)
    page.says("the other #.# mm off the head end. Left are 104 − 31.8 = #.# mm and 55 − 5 = # mm of butt",
              OFF - 5, LONG - 31.8, SHORT - 5)  # fmt: skip
    page.says("#.# mm off the head end, #.# mm off the shell end: #.# mm and #.# mm left",
              least, OFF - least, LONG - least, SHORT - OFF + least)  # fmt: skip
    assert SHORT - OFF + least == pytest.approx(round(NEED_SHELL, 1))  # "just its need"
    assert [draw.FINISHED.lengths[i] for i in (0, 4)] == pytest.approx([SHORT - 5, LONG - 31.8])


def test_weights(page):
    butt, belly = gram(25.4, 0.9), gram(25.4, 0.6)
    page.says("π · (25.4 − 0.9) · 0.9 · 0.00785 = #.### g", butt)
    page.says("π · (25.4 − 0.6) · 0.6 · 0.00785 = #.### g", belly)
    page.says("36.8 · 0.544 = #.# g", OFF * butt)
    assert draw.OURS.mass() - draw.FINISHED.mass() == pytest.approx(OFF * butt)
    page.says(
        "10 · (#.### − #.###) = #.# g lighter, and 10 mm less in hand",
        butt,
        belly,
        10 * (butt - belly),
    )
    longer = Butted(25.4, draw.OURS.walls, (55.0, 42.0, 365.0, 42.0, 104.0)).cut(5.0, 41.8)
    assert draw.FINISHED.mass() - longer.mass() == pytest.approx(10 * (butt - belly))
    page.says(
        "π · 27.8 · 0.8 · 0.00785 = #.### g a millimetre, #.# g in all",
        gram(28.6, 0.8),
        40 * gram(28.6, 0.8),
    )
    page.says("It says # g. What do you do", 40 * gram(28.6, 0.9))
    page.says("At # g the wall would be 0.9 mm", 40 * gram(28.6, 0.9))


def test_the_cable_stop(page):
    need = 63 + 15
    least, most = window(OFF, LONG - need, ROOM_SHELL)
    page.says("63 + 15 = # mm, more than the joint's #.# mm", need, NEED_HEAD)
    page.says("shrinks to 104 − 78 = # mm, and the window to #.# … # mm", LONG - need, least, most)
    shell = OFF - most
    page.says("# mm off the head end, 36.8 − 26 = #.# mm off the shell end", most, shell)
    page.says("There 55 − 10.8 = #.# mm of butt is left for a need of #.# mm: #.# mm in hand",
              SHORT - shell, NEED_SHELL, SHORT - shell - round(NEED_SHELL, 1))  # fmt: skip


def test_empty_windows(page):
    rooms = [(LONG, SHORT), (110, 30), (70, 50)]
    ours = [(length - FINISHED, head - round(NEED_HEAD, 1), shell - round(NEED_SHELL, 1))
            for length, (head, shell) in zip((550, 590, 640), rooms, strict=True)]  # fmt: skip
    assert [case[1:] for case in draw.EMPTY] == [pytest.approx(own) for own in ours]
    for (words, *_), length, ends in zip(draw.EMPTY, (550, 590, 640), rooms, strict=True):
        assert words == f"{length} long,\n{ends[0]:g} + {ends[1]:g}"
    assert not any(window(*own) for own in ours[1:])
    (short, *_), (_, _, butt), (off, head, shell) = ours
    page.says("points to the left, minus #.# mm", -short)
    page.says("The shell end's room is below nothing, minus #.# mm", -butt)
    page.says(
        "with butts of 70 and 50. #.# mm must come off, and both ends together spare #.#",
        off,
        head + shell,
    )
    page.says("Less than nothing must come off: #.# mm are missing", -short)
    page.says("needs #.# mm and has 30: #.# mm are missing", NEED_SHELL, -butt)
    page.says("#.# mm must go, and both ends together can spare #.#: #.# mm are missing",
              off, head + shell, off - head - shell)  # fmt: skip
    page.says("*#.# mm of butt are missing*", off - head - shell)
    assert 30 - NEED_HEAD < 30 - NEED_SHELL  # "the head end needs even more"


def test_the_bargain_bin(page):
    off, head, shell = 600 - 570, 50 - 45, 50 - 35
    page.says("# mm to come off; the rooms are # and # mm, # mm together. It doesn't: # mm of butt are missing",
              off, head, shell, head + shell, off - head - shell)  # fmt: skip
    assert not window(off, head, shell)
    assert window(590 - 570, head, shell) == (head, head)  # "would fit, with nothing in hand"


def test_twice_the_hit_doubles_the_bending_and_leaves_all_else(page, made, ends):
    twice = hit(draw.FINISHED, 2 * FORCE)
    page.says(
        "for # N in place of # N. What becomes of the # N·m", 2 * FORCE, FORCE, ends["down_tube"][0]
    )
    page.says("# N·m. All of the bending doubles together", twice.bending("down_tube", 0)[0])
    place = np.linspace(0, made.length("down_tube"), 13)
    assert twice.bending("down_tube", place) == pytest.approx(2 * made.bending("down_tube", place))
    turned, hard = (hit(draw.TURNED, f).bending("down_tube", place) for f in (FORCE, 2 * FORCE))
    assert hard == pytest.approx(2 * turned)  # so both ratios stay
