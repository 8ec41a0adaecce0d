"""Functions that the answers and slips in `butt-orientation.md` call. Instructor only."""

from functools import cache

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
        and abs(to_come_off(n) - right_rooms(n)[0]) >= CLEAN + 3
    )


@key.sound
def the_long_butt_stays_the_longer(n):
    """The head end keeps the longer butt after the cuts, as the first answer says."""
    head, shell = long_first(to_come_off(n), right_rooms(n)[0])
    return n.long_butt - head >= n.short_butt - shell + 3


@key.sound
def the_cable_stop_narrows_the_window(n):
    """It asks for more than the joint does, and leaves a cut to be made at both ends."""
    least, most = window_of(n)
    room = n.long_butt - n.boss_place - BOSS_REACH
    return (
        n.boss_place + BOSS_REACH > right_needs(n)[0] + 5 and least + 2 <= room <= most - CLEAN - 4
    )


@key.sound
def the_second_tube_misses_clearly_and_in_one_way(n):
    """It lacks 8 to 45 mm of length or 36 to 80 mm of butt, and each butt covers its own joint."""
    missing = short_of(n, finished(n), right_needs(n))
    span = (8, 45) if second_is_too_short(n) else (36, 80)
    return n.second_butt >= max(right_needs(n)) + 3 and span[0] <= missing <= span[1]


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


def right_needs(n):
    """Full wall that head and shell end need, from the ears."""
    depths = n.valley_head - n.ear_head, n.valley_shell - n.ear_shell
    return tuple(butts.keep(depth, n.heat_margin) for depth in depths)


def finished(n):
    """Length from ears to ears."""
    return n.centre_length - n.ear_head - n.ear_shell


def to_come_off(n):
    """Both cuts together."""
    return n.tube_length - finished(n)


def right_rooms(n):
    """What head and shell end can spare."""
    head, shell = right_needs(n)
    return n.long_butt - head, n.short_butt - shell


def window_of(n):
    """Least and most off the head end."""
    return butts.window(to_come_off(n), *right_rooms(n))


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


# Along the tube


def moment_at_butt(n, head, shell):
    """Bending where the long butt ends, for bendings at both ends of the tube, N·m."""
    return float(np.interp(n.long_butt, [0, n.centre_length], [head, shell]))


# Two lengths


def both_lengths(n, length):
    """A finished length, and what must come off for it."""
    return length, n.tube_length - length


# The window


def max_for_min(n, earlier):
    """A slip at `window`."""
    least, _ = butts.window(earlier["lengths"][1], *earlier["rooms"])
    return least, max(earlier["lengths"][1], earlier["rooms"][0])


# Where you cut


def trims_swapped(n, earlier):
    """A slip at `trims`."""
    head, shell = long_first(earlier["lengths"][1], earlier["window"][1])
    return shell, head


# A cable stop


def boss_trims_swapped(n, earlier):
    """A slip at `boss`."""
    head, shell = long_first(earlier["lengths"][1], n.long_butt - n.boss_place - BOSS_REACH)
    return shell, head


# How much is missing?


def butts_mixed_up(n, earlier):
    """A slip at `missing`."""
    excess = n.second_length - earlier["lengths"][0]
    spare = 2 * n.second_butt - sum(earlier["needs"])
    return spare - excess if excess < 0 else excess


# Practice cards


CUT_LONG = 20.0  # mm off the long end on the card
