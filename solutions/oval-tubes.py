"""Functions that the answers and slips in `oval-tubes.md` call. Instructor only."""

from functools import lru_cache
from math import pi

from coursekit import miters, ovals, tubes
from coursekit.classroom.bank.keys import Key

key = Key("oval-tubes")

MODULUS = 205_000.0  # MPa, as the questions give it
HAND = 1.8  # the lesson's hand formula, 12·(π/4 − 2/π) = 1.785 in full


@key.sound
def a_squeeze_worth_making(n):
    """A press can squeeze it so far, and far enough to tell the rule of thumb from the truth."""
    return 3.5 <= n.diameter - right_width(n) <= 7.0


def right_width(n):
    """Outside width that leaves the shoulder, mm."""
    return n.into - 2 * n.shoulder


def radius(n):
    """Radius of the middle of the wall, mm."""
    return (n.diameter - n.wall) / 2


# How deep does it get?


@lru_cache(maxsize=512)
def deep(diameter, wall, wide):
    """Outside depth, mm; for a width that no squeezing gives, the rule of thumb."""
    if not wall < wide < wall + (diameter - wall) * pi / 2:
        return 2 * diameter - wide
    return float(ovals.depth_for(diameter, wall, wide))


def right_oval(n, earlier):
    """The answer to `oval`."""
    found = deep(n.diameter, n.wall, earlier["width"])
    return found, 2 * n.diameter - earlier["width"] - found


def wall_left_out(n, earlier):
    """A slip at `oval`."""
    found = deep(n.diameter, n.wall, earlier["width"])
    return found - n.wall, 2 * n.diameter - earlier["width"] - found + n.wall


def same_area(n, earlier):
    """A slip at `oval`."""
    found = n.diameter**2 / (earlier["width"] or 1e-9)
    return found, 2 * n.diameter - earlier["width"] - found


# What springs back


def springback(n, size):
    """Springback by the hand formula for a radius of `size`, mm."""
    return HAND * n.yield_stress * size**2 / (MODULUS * n.wall)


# Stiffer and softer


def hand(wide, tall, wall):
    """Second moment of area by the hand formula, an ellipse less an ellipse."""
    return pi / 64 * (wide * tall**3 - (wide - 2 * wall) * (tall - 2 * wall) ** 3)


@lru_cache(maxsize=512)
def shares(diameter, wall, wide, tall):
    """Stiffness in the plane and across, per cent of the round tube's."""
    try:
        oval = tubes.Oval(wide, tall, wall)
        found = float(oval.inertia_width), float(oval.inertia_depth)
    except ValueError:  # a student's own sizes that make no tube
        found = hand(wide, tall, wall), hand(tall, wide, wall)
    whole = float(tubes.Round(diameter, wall).inertia)
    return tuple(100 * v / whole for v in found)


# The end, cut square


def saddle_depth(into, wide):
    """Depth of the saddle of an end `wide` mm wide, cut square; at most that of an equal tube."""
    if 0 < wide <= into:
        along = miters.saddle(wide, into, 90.0)[1]
        return float(along.max() - along.min())
    return into / 2
