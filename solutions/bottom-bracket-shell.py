"""Functions that the answers and slips in `bottom-bracket-shell.md` call. Instructor only."""

from math import pi

from coursekit import miters, shells, tolerances, tubes, vents
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key

key = Key("bottom-bracket-shell")

OFF = (-0.6, -0.5, -0.4, -0.2, -0.1, 0.1, 0.2, 0.4, 0.5, 0.6)  # mm, of a faced width
HOLES = (3, 5, 8)  # mm
ORDER = ("degrease", "abrade", "wipe again", "let dry", "flux")
CM3, BAR = 1000.0, 10.0  # mm³ in a cm³, bar in a MPa


@key.makes("drive_side", "other_side", "found_width")
def _(n, chance):
    """Faces that stand off the finished width by what the shell is bought wider, and a width."""
    stock = n.frame["shell.length"] - n.faced
    share, left = 0.3 + 0.4 * chance.random(), max(stock - n.drive_swing - n.other_swing, 0.2)
    beside = (n.faced - n.seat_tube) / 2
    off = OFF[int(len(OFF) * chance.random())]
    return beside + share * left, beside + (1 - share) * left, n.faced + off


@key.sound
def a_shell_wider_than_its_tube(n):
    """The seat tube has a shoulder on the shell, and the width lies where one tolerance holds."""
    return n.shell - n.seat_tube >= 1 and 30 < n.faced <= 120


@key.sound
def faces_that_need_different_cuts(n):
    """Both faces need different cuts, so taking half of the total off each shows as a mistake."""
    drive, other = n.drive_side + n.drive_swing, n.other_side + n.other_swing
    return abs(drive - other) >= 0.06 and abs(n.drive_swing - n.other_swing) >= 0.04


def tube_bore(n):
    """Bore of the seat tube, mm."""
    return tubes.Round(n.seat_tube, n.seat_wall).bore


def right_middle(n):
    """Nearest place of both faces from the seat tube's middle plane, mm."""
    return n.drive_side + n.seat_tube / 2, n.other_side + n.seat_tube / 2


def volume(n):
    """Volume of the closed tube, cm³."""
    return pi / 4 * tube_bore(n) ** 2 * n.closed_length / CM3


def pressure(n, space):
    """Pressure of the steam, bar."""
    return BAR * float(vents.steam_pressure(space * CM3, n.water, n.hot))


# What comes off


def right_cuts(n, earlier):
    """The answer to `cuts`."""
    near = earlier["middle"]
    if tuple(near) == right_middle(n):
        cut = shells.facing(near, (n.drive_swing, n.other_swing), n.faced)
        return float(cut.first), float(cut.second)
    return near[0] + n.drive_swing - n.faced / 2, near[1] + n.other_swing - n.faced / 2


def the_same_on_both(n, earlier):
    """A slip at `cuts`."""
    near = earlier["middle"]
    both = (near[0] + n.drive_swing + near[1] + n.other_swing - n.faced) / 2
    return both, both


# Within its tolerance?

PLACES = ("narrow", "within", "wide")


def width_verdict(n, most=None):
    """Where the width lies, by ± `most` mm."""
    most = tolerances.length(n.faced, "m") if most is None else most
    off = n.found_width - n.faced
    return PLACES[1] if abs(off) <= most + 1e-9 else PLACES[0 if off < 0 else 2]


def one_row_off(n):
    """A slip at `verdict`."""
    return {"within": "narrow" if n.found_width < n.faced else "wide"}.get(
        width_verdict(n), "within"
    )


def sign_turned(n):
    """A slip at `verdict`."""
    return {"narrow": "wide", "wide": "narrow"}.get(
        width_verdict(n), "wide" if n.found_width < n.faced else "narrow"
    )


# How deep is the seat tube's cut?


def saddle_depth(n):
    """Depth of the seat tube's cut, longest to shortest point, mm."""
    _, along = miters.saddle(n.seat_tube, n.shell, 90.0)
    return float(along.max() - along.min())


def deep(radius, big):
    """Depth of a saddle by the triangle, mm; takes whatever a student puts in."""
    return big - (big**2 - radius**2) ** 0.5


# Clean, in order


@key.score("clean")
def pairs(n, order):
    """Give marks for each pair in the right order: none when all of them are reversed."""
    return orders.share_of_pairs(order, ORDER)
