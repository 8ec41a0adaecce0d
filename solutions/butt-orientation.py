"""Answers and slips of `butt-orientation`. Instructor only."""

from functools import cache
from math import pi

import numpy as np

from coursekit import butts, miters
from coursekit.classroom.bank.keys import Key
from coursekit.tubes import Round

key = Key("butt-orientation")

CLEAN = 5.0  # mm off each end at least, as the question says
BOSS_REACH = 15.0  # mm of full wall past the middle of the cable stop, as the question says


# Sound cases


@key.sound
def both_ends_have_a_say(n):
    """The window is open, and neither end can take all of the cut or leave it all to the other."""
    least, most = window_of(n)
    return (
        to_come_off(n) >= 15
        and least >= 4
        and most - least >= CLEAN + 6
        and abs(to_come_off(n) - rooms(n)[0]) >= CLEAN + 3
    )


@key.sound
def the_long_butt_stays_the_longer(n):
    """The head end keeps the longer butt after the cuts, as the first answer says."""
    head, shell = long_first(to_come_off(n), rooms(n)[0])
    return n.long_butt - head >= n.short_butt - shell + 3


@key.sound
def the_cable_stop_narrows_the_window(n):
    """It asks for more than the joint does, and leaves a cut to be made at both ends."""
    least, most = window_of(n)
    room = n.long_butt - n.boss_place - BOSS_REACH
    return n.boss_place + BOSS_REACH > needs(n)[0] + 5 and least + 2 <= room <= most - CLEAN - 4


@key.sound
def the_second_tube_misses_clearly_and_in_one_way(n):
    """It lacks 8 to 45 mm of length or 36 to 80 mm of butt, and each butt covers its own joint."""
    missing = short_of(n, finished(n), needs(n))
    span = (8, 45) if second_is_too_short(n) else (36, 80)
    return n.second_butt >= max(needs(n)) + 3 and span[0] <= missing <= span[1]


@key.sound
def ears_and_valleys_are_those_of_a_cut(n):
    """The places at both ends are what tubes of these sizes give, as a depth gauge reads them."""
    ear, valley = saddles(n.tube_diameter)
    at_head = np.hypot(ear - n.ear_head, valley - n.valley_head).min() < 1.5
    flat = n.valley_shell - square_depth(n.tube_diameter, 2 * n.valley_shell)
    return bool(at_head) and abs(flat - n.ear_shell) < 1.5


@cache
def saddles(diameter):
    """Ears and deepest points, mm from the axis, at head tubes of 34 to 40 mm and 55° to 68°."""
    into, angle_deg = np.meshgrid(np.arange(34.0, 40.1, 1.0), np.arange(55.0, 68.1, 0.5))
    _, along = miters.saddle(diameter, into, angle_deg)
    return along.min(axis=-1), along.max(axis=-1)


def square_depth(diameter, into):
    """Depth of a square saddle."""
    return float(np.ptp(miters.saddle(diameter, into, 90.0)[1]))


# The student's own tube; the head end is end a


def needs(n):
    """Full wall that head and shell end need, from the ears."""
    depths = n.valley_head - n.ear_head, n.valley_shell - n.ear_shell
    return tuple(butts.keep(depth, n.heat_margin) for depth in depths)


def finished(n):
    """Length from ears to ears."""
    return n.centre_length - n.ear_head - n.ear_shell


def to_come_off(n):
    """Both cuts together."""
    return n.tube_length - finished(n)


def rooms(n):
    """What head and shell end can spare."""
    head, shell = needs(n)
    return n.long_butt - head, n.short_butt - shell


def window_of(n):
    """Least and most off the head end."""
    return butts.window(to_come_off(n), *rooms(n))


def grams(n, length, wall):
    """Mass of a piece of plain wall, g."""
    return Round(n.tube_diameter, wall).grams_per_metre() * length / 1000


def long_first(excess, room_head, clean=CLEAN):
    """Cuts at head and shell end that use up the long butt first and leave `clean` to the other."""
    head = min(excess - clean, room_head)
    return head, excess - head


# The second tube


def second_is_too_short(n):
    """Whether it is shorter than the finished tube."""
    return n.second_length < finished(n)


def short_of(n, length, needed):
    """By how much the window of the second tube is empty, mm; negative where it is open."""
    spare = (n.second_butt - need for need in needed)
    least, most = butts.window(n.second_length - length, *spare)
    return least - most


# Why at the head tube?


@key.answer("why-head")
def _(n):
    return "bent"


@key.slip("why-head")
def hotter_there(n):
    """Both joints get hot; that is why both have a butt and a margin.

    It says nothing about which of the two should be the longer.
    """
    return "hot"


@key.slip("why-head")
def lighter_there(n):
    """Turned end for end a tube weighs the same.

    Look at the drawing of the bending again: at which end is it tallest?
    """
    return "light"


# Along the tube


@key.answer("moment-there")
def _(n):
    return float(np.interp(n.long_butt, [0, n.centre_length], [n.moment_head, -n.moment_shell]))


@key.slip("moment-there")
def both_the_same_way(n):
    """You drew both ends to the same side.

    The shell bends the tube the other way round, so its number gets a minus.
    """
    return float(np.interp(n.long_butt, [0, n.centre_length], [n.moment_head, n.moment_shell]))


@key.slip("moment-there")
def from_the_wrong_end(n):
    """You started at the shell. The distance is counted from the head tube."""
    return float(np.interp(n.long_butt, [0, n.centre_length], [-n.moment_shell, n.moment_head]))


@key.slip("moment-there")
def down_to_nothing(n):
    """You let the bending fall to nothing at the shell.

    It passes nothing on the way and ends on the other side.
    """
    return float(np.interp(n.long_butt, [0, n.centre_length], [n.moment_head, 0.0]))


# What each joint needs


@key.answer("needs")
def _(n):
    return needs(n)


@key.slip("needs")
def saddle_forgotten(n):
    """You forgot the saddle.

    The ears reach past the joint on both flanks; behind the deepest point of the cut the wall must
    still go on.
    """
    return n.heat_margin, n.heat_margin


@key.slip("needs")
def from_the_axis(n):
    """You counted from the other tube's axis.

    The need starts at the ears of your own tube: take their place off first.
    """
    return n.valley_head + n.heat_margin, n.valley_shell + n.heat_margin


@key.slip("needs")
def margin_forgotten(n):
    """That is the depth of the cut alone.

    The wall must be full for some way past it, where it gets hot.
    """
    return n.valley_head - n.ear_head, n.valley_shell - n.ear_shell


@key.slip("needs")
def ends_swapped(n):
    """Your two numbers are in the wrong order: head end first."""
    head, shell = needs(n)
    return shell, head


# Two lengths


def both_lengths(n, length):
    """A finished length, and what must come off for it."""
    return length, n.tube_length - length


@key.answer("lengths")
def _(n):
    return both_lengths(n, finished(n))


@key.slip("lengths")
def axis_to_axis(n):
    """That is the length from axis to axis.

    The tube begins at its ears, not in the middle of the head tube.
    """
    return both_lengths(n, n.centre_length)


@key.slip("lengths")
def to_the_deepest_points(n):
    """You measured to the deepest points of both cuts.

    A tube sawn to that length has no ears left.
    """
    return both_lengths(n, n.centre_length - n.valley_head - n.valley_shell)


@key.slip("lengths")
def one_end_only(n):
    """You took off the place of the ears at one end only. Both ends have ears."""
    return both_lengths(n, n.centre_length - n.ear_head)


# What each end can spare


@key.answer("rooms", after=("needs",))
def _(n, earlier):
    head, shell = earlier["needs"]
    return n.long_butt - head, n.short_butt - shell


@key.slip("rooms")
def taper_counted_as_butt(n, earlier):
    """You counted the taper as butt.

    In the taper the wall is already thinner: only the butt is full wall.
    """
    head, shell = earlier["needs"]
    return n.long_butt + n.long_taper - head, n.short_butt + n.short_taper - shell


@key.slip("rooms")
def butts_swapped(n, earlier):
    """You gave the short butt to the head tube. The long one goes there."""
    head, shell = earlier["needs"]
    return n.short_butt - head, n.long_butt - shell


@key.slip("rooms")
def whole_butts(n):
    """You would cut both butts away altogether. Leave each joint what it needs."""
    return n.long_butt, n.short_butt


# The window


@key.answer("window", after=("lengths", "rooms"))
def _(n, earlier):
    return butts.window(earlier["lengths"][1], *earlier["rooms"])


@key.slip("window")
def window_of_the_other_end(n, earlier):
    """That is the window for the shell end. The question is about the cut at the head end."""
    head, shell = earlier["rooms"]
    return butts.window(earlier["lengths"][1], shell, head)


@key.slip("window")
def room_alone(n, earlier):
    """You looked at the head end alone.

    What you don't take there must come off the other end, and that one can spare only so much.
    """
    return 0.0, earlier["rooms"][0]


@key.slip("window")
def max_for_min(n, earlier):
    """You took the larger of the two. Both are limits from above, so the smaller one rules."""
    least, _ = butts.window(earlier["lengths"][1], *earlier["rooms"])
    return least, max(earlier["lengths"][1], earlier["rooms"][0])


# Where you cut


@key.answer("trims", after=("lengths", "window"))
def _(n, earlier):
    return long_first(earlier["lengths"][1], earlier["window"][1])


@key.slip("trims")
def trims_swapped(n, earlier):
    """Your two cuts are swapped. The list is head end first."""
    head, shell = long_first(earlier["lengths"][1], earlier["window"][1])
    return shell, head


@key.slip("trims")
def all_off_the_head_end(n, earlier):
    """You left the shell end as it came. At least 5 mm come off there too, for clean metal."""
    return long_first(earlier["lengths"][1], earlier["window"][1], clean=0.0)


@key.slip("trims")
def half_and_half(n, earlier):
    """You halved it.

    That may lie inside the window, but the question spends the long butt first.
    """
    half = earlier["lengths"][1] / 2
    return half, half


@key.slip("trims")
def short_first(n, earlier):
    """You spent the short butt first. Begin at the other edge of the window."""
    least = earlier["window"][0]
    return least, earlier["lengths"][1] - least


# On the scale


@key.answer("offcuts", after=("lengths",))
def _(n, earlier):
    return grams(n, earlier["lengths"][1], n.butt_wall)


@key.slip("offcuts")
def wall_of_the_belly(n, earlier):
    """You took the belly's wall. Both cuts lie in the butts."""
    return grams(n, earlier["lengths"][1], n.belly_wall)


@key.slip("offcuts")
def radius_for_diameter(n, earlier):
    """You took the radius where the diameter belongs, so it came out at half."""
    return grams(n, earlier["lengths"][1], n.butt_wall) / 2


@key.slip("offcuts")
def solid_bar(n, earlier):
    """That is a solid bar. A tube has metal only in its wall: once round, times the wall."""
    return pi / 4 * n.tube_diameter**2 * earlier["lengths"][1] * 0.00785


# A cable stop


@key.answer("boss", after=("lengths",))
def _(n, earlier):
    return long_first(earlier["lengths"][1], n.long_butt - n.boss_place - BOSS_REACH)


@key.slip("boss")
def as_if_it_were_not_there(n, earlier):
    """You cut as if the cable stop weren't there.

    It needs more butt than the joint does, and the larger need rules.
    """
    return long_first(earlier["lengths"][1], rooms(n)[0])


@key.slip("boss")
def margin_of_the_joint(n, earlier):
    """You gave the cable stop the margin of a joint.

    It is a small part and gets less heat: 15 mm past its middle were asked.
    """
    return long_first(earlier["lengths"][1], n.long_butt - n.boss_place - n.heat_margin)


@key.slip("boss")
def boss_trims_swapped(n, earlier):
    """Your two cuts are swapped. The list is head end first, and there the cable stop is."""
    head, shell = long_first(earlier["lengths"][1], n.long_butt - n.boss_place - BOSS_REACH)
    return shell, head


# A second tube


@key.answer("second-tube")
def _(n):
    return "longer-tube" if second_is_too_short(n) else "longer-butts"


@key.slip("second-tube")
def taken_for_good(n):
    """Work out what must come off it, as for the first tube: is that less than nothing, or more
    than its two butts can spare?
    """
    return "fits"


@key.slip("second-tube")
def turning_helps(n):
    """Its two butts are equal. Turned end for end it is the same tube."""
    return "turned"


@key.slip("second-tube")
def the_other_cure(n):
    """You name the cure for another complaint.

    A longer tube with the same butts only makes you saw off more; longer butts don't lengthen a
    tube. Which of the two is missing here?
    """
    return "longer-butts" if second_is_too_short(n) else "longer-tube"


# How much is missing?


@key.answer("missing", after=("needs", "lengths"))
def _(n, earlier):
    return short_of(n, earlier["lengths"][0], earlier["needs"])


@key.slip("missing")
def from_axis_to_axis(n, earlier):
    """You compared with the length from axis to axis.

    The finished tube is shorter: ears to ears.
    """
    return short_of(n, n.centre_length, earlier["needs"])


@key.slip("missing")
def butts_mixed_up(n, earlier):
    """If a tube is too short, its butts have nothing to do with it; if too much must come off, they
    spare a part of that. You did it the other way about.
    """
    excess = n.second_length - earlier["lengths"][0]
    spare = 2 * n.second_butt - sum(earlier["needs"])
    return spare - excess if excess < 0 else excess


# Practice cards


@key.answer("practice-need")
def _(n):
    return butts.keep(n.valley_head - n.ear_head, n.heat_margin)


@key.slip("practice-need")
def margin_alone(n):
    """This is the margin alone. Add the depth of the cut, deepest point less ears."""
    return n.heat_margin


@key.slip("practice-need")
def axis_for_ears(n):
    """You began at the other tube's axis. Begin at the ears."""
    return n.valley_head + n.heat_margin


@key.answer("practice-finished")
def _(n):
    return finished(n)


@key.slip("practice-finished")
def as_on_the_drawing(n):
    """This is the length on the drawing. Take off what lies between each axis and the ears."""
    return n.centre_length


@key.slip("practice-finished")
def ears_added(n):
    """You added. The tube ends before it reaches either axis, so take off."""
    return n.centre_length + n.ear_head + n.ear_shell


@key.answer("practice-off")
def _(n):
    return to_come_off(n)


@key.slip("practice-off")
def off_the_drawing(n):
    """You took the drawing's length for the finished one.

    The ears stop short of both axes, so more comes off.
    """
    return n.tube_length - n.centre_length


@key.slip("practice-off")
def head_end_only(n):
    """You let the ears stop short at the head tube only. They do so at the shell too."""
    return n.tube_length - n.centre_length + n.ear_head


@key.answer("practice-room")
def _(n):
    return rooms(n)[1]


@key.slip("practice-room")
def with_the_taper(n):
    """You counted the taper. Full wall stops where the taper starts."""
    return rooms(n)[1] + n.short_taper


@key.slip("practice-room")
def saddle_left_out(n):
    """You kept the margin but not the depth of the cut."""
    return n.short_butt - n.heat_margin


CUT_LONG = 20.0  # mm off the long end on the card


@key.answer("practice-left")
def _(n):
    return n.long_butt - CUT_LONG - (n.valley_head - n.ear_head)


@key.slip("practice-left")
def no_miter(n):
    """This is what the saw leaves. The miter then goes deeper, by its depth."""
    return n.long_butt - CUT_LONG


@key.slip("practice-left")
def taper_with_it(n):
    """You counted the taper too. It isn't full wall."""
    return n.long_butt + n.long_taper - CUT_LONG - (n.valley_head - n.ear_head)


@key.slip("practice-left")
def deepest_from_axis(n):
    """You took off the distance from the axis.

    The tube begins at its ears: the depth of the cut is the difference of the two places.
    """
    return n.long_butt - CUT_LONG - n.valley_head


@key.answer("practice-moment")
def _(n):
    return 0.75 * n.moment_head - 0.25 * n.moment_shell


@key.slip("practice-moment")
def no_minus(n):
    """You forgot that the shell bends it the other way round: its part is taken off."""
    return 0.75 * n.moment_head + 0.25 * n.moment_shell


@key.slip("practice-moment")
def three_quarters_of_the_way(n):
    """You counted from the shell.

    One quarter of the way from the head tube is still near the head tube.
    """
    return 0.25 * n.moment_head - 0.75 * n.moment_shell


@key.answer("practice-gram")
def _(n):
    return grams(n, 10.0, n.butt_wall)


@key.slip("practice-gram")
def half_round(n):
    """Half of it. Once round is pi times the diameter, not the radius."""
    return grams(n, 10.0, n.butt_wall) / 2


@key.slip("practice-gram")
def one_millimetre(n):
    """This is one millimetre. Ten were asked."""
    return grams(n, 1.0, n.butt_wall)


@key.answer("practice-equal")
def _(n):
    return 2 * (n.second_butt - needs(n)[1])


@key.slip("practice-equal")
def one_of_the_two(n):
    """This is one end. There are two."""
    return n.second_butt - needs(n)[1]


@key.slip("practice-equal")
def depth_left_out(n):
    """You kept the margin behind the ears. It must lie behind the deepest point of the cut."""
    return 2 * (n.second_butt - n.heat_margin)


@key.answer("practice-why")
def _(n):
    return "same"


@key.slip("practice-why")
def longer_is_heavier(n):
    """A millimetre of butt weighs the same at both ends, and the same length comes off in all."""
    return "lighter"


@key.slip("practice-why")
def short_weighs_less(n):
    """The walls are equal, so a millimetre weighs the same wherever it is sawn off."""
    return "heavier"
