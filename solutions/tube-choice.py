"""Functions that the answers and slips in `tube-choice.md` call. Instructor only."""

from coursekit import tubes
from coursekit.classroom.bank.keys import Key

key = Key("tube-choice")

DENSITY = tubes.STEEL_DENSITY / 1000  # g/mm³


@key.sound
def a_tube_that_can_be_bought(n):
    """Both ends have one wall, the belly has some length and is thinner by 0.2 mm or more."""
    thinner = n.end_wall - n.belly_wall >= 0.199
    return n.end_wall == n.head_wall and thinner and belly_length(n) >= 150


@key.sound
def sizes_that_differ(n):
    """The larger tube is a clear step larger."""
    return n.bigger - n.diameter >= 3


def belly_length(n):
    """Length between the tapers, mm."""
    return n.length - n.butt_a - n.butt_b - n.taper_a - n.taper_b


def plain(n):
    """The plain tube on offer."""
    return tubes.Round(n.diameter, n.wall)


def larger(n):
    """The larger tube with the same wall."""
    return tubes.Round(n.bigger, n.wall)


def butted_tube(n):
    """The butted tube on offer, end a at the shell."""
    walls = (n.end_wall, n.belly_wall, n.end_wall)
    lengths = (n.butt_a, n.taper_a, belly_length(n), n.taper_b, n.butt_b)
    return tubes.Butted(n.diameter, walls, lengths)


def area_at(n, wall):
    """Area at a wall, mm²."""
    return tubes.Round(n.diameter, wall).area


# The butted tube


def by_pieces(n, taper_wall):
    """Masses of the butts, of the tapers with this wall, of the belly, and of all, g."""
    parts = (
        DENSITY * area_at(n, n.end_wall) * (n.butt_a + n.butt_b),
        DENSITY * area_at(n, taper_wall) * (n.taper_a + n.taper_b),
        DENSITY * area_at(n, n.belly_wall) * belly_length(n),
    )
    return (*parts, sum(parts))


def right_butted(n):
    """The answer to `butted`."""
    butts, _, belly, _ = by_pieces(n, n.end_wall)
    whole = float(butted_tube(n).mass())
    return butts, whole - butts - belly, belly, whole


def one_taper(n):
    """A slip at `butted`."""
    butts, tapers, belly, whole = by_pieces(n, (n.end_wall + n.belly_wall) / 2)
    return butts, tapers / 2, belly, whole - tapers / 2
