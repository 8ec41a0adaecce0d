"""Functions that the answers and slips in `butt-orientation.md` call. Instructor only."""

import numpy as np

from coursekit import butts
from coursekit.classroom.bank.keys import Key
from coursekit.tubes import Round

key = Key("butt-orientation")

BOSS_REACH = 15.0  # mm of full wall past the middle of the cable stop, as the question says
CUT_LONG = 20.0  # mm off the long end, as a practice card says


# Cases: the tube is the student's own, the cable stop and the second tube suit it


@key.makes("boss_place")
def _(n, chance):
    """A stop that asks for more than the joint does and leaves a part of the window."""
    least, most = window_of(n)
    room = least + (0.3 + 0.4 * chance.random()) * (most - least)
    return [max(n.long_butt - BOSS_REACH - room, right_needs(n)[1] - BOSS_REACH + 6)]


@key.makes("second_length", "second_butt")
def _(n, chance):
    """A tube that lacks 12 to 40 mm of length or 40 to 75 mm of butt, but covers both joints."""
    butt = max(right_needs(n)) + 4 + 8 * chance.random()
    if chance.random() < 0.5:
        return [finished(n) - 12 - 28 * chance.random(), butt]
    spare = 2 * butt - sum(right_needs(n))
    return [finished(n) + spare + 40 + 35 * chance.random(), butt]


@key.sound
def a_tube_with_a_longer_butt_for_the_head(n):
    """A tube butted at both ends, out of which the frame's down tube can be cut."""
    least, most = window_of(n)
    tapers = n.long_taper > 0 and n.short_taper > 0
    thick = min(n.butt_wall, n.head_wall) > n.belly_wall
    return tapers and thick and n.long_butt > n.short_butt and 0 <= least <= most


# The student's own tube; end a is at the shell


def right_needs(n):
    """Full wall that shell and head end need, from the long point."""
    depths = n.short_shell - n.long_shell, n.short_head - n.long_head
    return tuple(butts.keep(depth, n.heat_margin) for depth in depths)


def finished(n):
    """Length from long point to long point."""
    return n.centre_length - n.long_shell - n.long_head


def to_come_off(n):
    """Both cuts together."""
    return n.tube_length - finished(n)


def right_rooms(n):
    """What shell and head end can spare."""
    shell, head = right_needs(n)
    return n.short_butt - shell, n.long_butt - head


def window_of(n):
    """Least and most off the head end."""
    shell, head = right_rooms(n)
    return butts.window(to_come_off(n), head, shell)


def grams(n, length, wall):
    """Mass of a piece of plain wall, g."""
    return Round(n.tube_diameter, wall).grams_per_metre() * length / 1000


def both_offcuts(n, trims, shell_wall, head_wall):
    """Mass of what comes off both ends, g."""
    return grams(n, trims[0], shell_wall) + grams(n, trims[1], head_wall)


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
    least, _ = butts.window(earlier["lengths"][1], *reversed(earlier["rooms"]))
    return least, max(earlier["lengths"][1], earlier["rooms"][1])


# Where you cut


def with_reserve(n, excess, rooms):
    """Off shell and head end: the short butt spent first, down to its need and the reserve."""
    off = butts.reserved(min(excess, rooms[0]), excess, *rooms, butts.RESERVE)
    return off, excess - off


# How much is missing?


def butts_mixed_up(n, earlier):
    """A slip at `missing`."""
    excess = n.second_length - earlier["lengths"][0]
    spare = 2 * n.second_butt - sum(earlier["needs"])
    return spare - excess if excess < 0 else excess
