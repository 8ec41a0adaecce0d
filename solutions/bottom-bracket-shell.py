"""Answers and slips of `bottom-bracket-shell`. Instructor only."""

from math import pi, radians, sin

from coursekit import miters, shells, tolerances, tubes, vents
from coursekit.classroom.bank import orders
from coursekit.classroom.bank.keys import Key

key = Key("bottom-bracket-shell")

HALF, WIDE_HALF = 34.0, 36.5  # mm, half of 68 and of 73
HOLES = (3, 5, 8)  # mm
ORDER = ("degrease", "abrade", "wipe again", "let dry", "flux")
CM3, BAR = 1000.0, 10.0  # mm³ in a cm³, bar in a MPa


@key.sound
def faces_that_need_different_cuts(n):
    """Both faces need different cuts, so taking half of the total off each shows as a mistake."""
    drive, other = n.drive_side + n.drive_swing, n.other_side + n.other_swing
    return abs(drive - other) >= 0.1 and abs(n.drive_swing - n.other_swing) >= 0.04


def bore(n):
    """Bore of the seat tube, mm."""
    return tubes.Round(n.seat_tube, n.seat_wall).bore


def middle(n):
    """Nearest place of both faces from the seat tube's middle plane, mm."""
    return n.drive_side + n.seat_tube / 2, n.other_side + n.seat_tube / 2


def volume(n):
    """Volume of the closed tube, cm³."""
    return pi / 4 * bore(n) ** 2 * n.closed_length / CM3


def steam(n, space):
    """Pressure of the steam, bar."""
    return BAR * float(vents.steam_pressure(space * CM3, n.water, n.hot))


# Which thread is left-handed?


@key.answer("hand")
def _(n):
    return "drive"


@key.slip("hand")
def the_wrong_side(n):
    """It is the other one.

    On the drive side a right-handed cup would creep out as the axle turns.
    """
    return "other"


@key.slip("hand")
def as_any_other_thread(n):
    """One of the two is left-handed, so that neither creeps out.

    You spoil a shell with the wrong tap.
    """
    return "right"


# How far in?


@key.answer("travel")
def _(n):
    return n.turns * float(shells.pitch(shells.PER_INCH))


@key.slip("travel")
def twenty_four_over_an_inch(n):
    """You divided 24 by 25.4. A turn is an inch shared among 24."""
    return n.turns * shells.PER_INCH / 25.4


@key.slip("travel")
def a_turn_for_a_millimetre(n):
    """You took one millimetre a turn. The thread is in inches: a turn is a bit more."""
    return float(n.turns)


# How much of the thread is left?


@key.answer("thread-left")
def _(n):
    return float(shells.engaged(shells.MAJOR, shells.pitch(shells.PER_INCH), n.bore))


@key.slip("thread-left")
def height_of_one_side(n):
    """You set the difference of two diameters against the height on one side.

    The height is there twice.
    """
    return 2 * float(shells.engaged(shells.MAJOR, shells.pitch(shells.PER_INCH), n.bore))


@key.slip("thread-left")
def what_is_missing(n):
    """That is what is missing of it."""
    return 100 - float(shells.engaged(shells.MAJOR, shells.pitch(shells.PER_INCH), n.bore))


# From the middle


@key.answer("middle")
def _(n):
    return middle(n)


@key.slip("middle")
def from_the_side(n):
    """You stopped at the side of the tube. Its middle is half a diameter further in."""
    return n.drive_side, n.other_side


@key.slip("middle")
def from_the_far_side(n):
    """You added the whole tube. Half of it reaches its middle."""
    return n.drive_side + n.seat_tube, n.other_side + n.seat_tube


# What comes off


@key.answer("cuts", after=("middle",))
def _(n, earlier):
    near = earlier["middle"]
    if tuple(near) == middle(n):
        cut = shells.facing(near, (n.drive_swing, n.other_swing), 2 * HALF)
        return float(cut.first), float(cut.second)
    return near[0] + n.drive_swing - HALF, near[1] + n.other_swing - HALF


@key.slip("cuts", credit=0.25)
def the_same_on_both(n, earlier):
    """You shared the whole equally.

    Then the shell has its width, and the seat tube stands beside its middle.
    """
    near = earlier["middle"]
    both = (near[0] + n.drive_swing + near[1] + n.other_swing) / 2 - HALF
    return both, both


@key.slip("cuts", credit=0.5)
def at_the_nearest_place(n, earlier):
    """That is what comes off where the face stands nearest.

    At its furthest the swing comes off as well.
    """
    near = earlier["middle"]
    return near[0] - HALF, near[1] - HALF


# What a slanted face does


@key.answer("lean")
def _(n):
    return n.drive_swing * n.height / n.shell


@key.slip("lean")
def over_the_radius(n):
    """You took half the shell. The swing is from one edge to the other, a whole diameter away."""
    return 2 * n.drive_swing * n.height / n.shell


@key.slip("lean")
def half_the_swing(n):
    """You halved the swing.

    That is right for a bow; here the whole of it lies between both edges.
    """
    return n.drive_swing * n.height / n.shell / 2


# Within its tolerance?

PLACES = ("narrow", "within", "wide")


def verdict(n, most=None):
    """Where the width lies, by ± `most` mm."""
    most = tolerances.length(2 * HALF, "m") if most is None else most
    off = n.found_width - 2 * HALF
    return PLACES[1] if abs(off) <= most + 1e-9 else PLACES[0 if off < 0 else 2]


@key.answer("verdict")
def _(n):
    return verdict(n)


@key.slip("verdict")
def one_row_off(n):
    """Look again: 68 stands in the row over 30 up to 120 mm, class m, and there you
    find ± 0.3 mm.
    """
    return {"within": "narrow" if n.found_width < 2 * HALF else "wide"}.get(verdict(n), "within")


@key.slip("verdict")
def sign_turned(n):
    """Width less 68 is positive where there is too much. You turned it round."""
    return {"narrow": "wide", "wide": "narrow"}.get(
        verdict(n), "wide" if n.found_width < 2 * HALF else "narrow"
    )


# How deep is the seat tube's cut?


@key.answer("depth")
def _(n):
    _, along = miters.saddle(n.seat_tube, n.shell, 90.0)
    return float(along.max() - along.min())


def deep(radius, big):
    """Depth of a saddle by the triangle, mm; takes whatever a student puts in."""
    return big - (big**2 - radius**2) ** 0.5


@key.slip("depth")
def diameters_for_radii(n):
    """You put the diameters in. The triangle has the radii for its sides."""
    return deep(n.seat_tube, n.shell)


@key.slip("depth")
def difference_of_radii(n):
    """That is the shoulder beside the tube. How deep the cut goes takes the triangle."""
    return (n.shell - n.seat_tube) / 2


# Where the second hole goes


@key.answer("place")
def _(n):
    return float(vents.round_shell(n.shell, n.between))


@key.slip("place")
def with_the_diameter(n):
    """Radius times angle; you took the diameter."""
    return 2 * float(vents.round_shell(n.shell, n.between))


@key.slip("place", credit=0.5)
def straight_across(n):
    """That is straight through the shell, as a calliper measures it.

    A strip of paper goes round.
    """
    return n.shell * sin(radians(n.between) / 2)


# Land beside the hole


@key.answer("lands")
def _(n):
    return tuple(vents.land(bore(n), n.shell, hole) for hole in HOLES)


@key.slip("lands", credit=0.5)
def to_the_outside(n):
    """You went to the outside of the tube. The land ends where the bore does."""
    return tuple((n.seat_tube - hole) / 2 for hole in HOLES)


@key.slip("lands", credit=0.5)
def both_sides(n):
    """You have both sides together. A land is on one side of the hole."""
    return tuple(float(bore(n) - hole) for hole in HOLES)


@key.slip("lands", credit=0.25)
def whole_hole_off(n):
    """You took the whole hole from half the bore. Half of it lies on each side of the middle."""
    return tuple(bore(n) / 2 - hole for hole in HOLES)


# A closed space


@key.answer("space")
def _(n):
    return volume(n)


@key.slip("space")
def steel_and_all(n):
    """You took the outside diameter. The space is inside the walls."""
    return pi / 4 * n.seat_tube**2 * n.closed_length / CM3


@key.slip("space")
def four_times(n):
    """You put the bore in for its radius: four times too much."""
    return 4 * volume(n)


# What the water does


@key.answer("steam", after=("space",))
def _(n, earlier):
    return steam(n, earlier["space"])


@key.slip("steam")
def degrees_for_kelvin(n, earlier):
    """You put degrees Celsius in. Gases count from −273 °C: add 273."""
    return steam(n, earlier["space"]) * n.hot / (n.hot + vents.ZERO)


@key.slip("steam", credit=0.5)
def with_the_air(n, earlier):
    """You added the air's pressure. The steam alone was asked."""
    return steam(n, earlier["space"]) + BAR * float(vents.air_pressure(n.hot))


# What the end has to hold


@key.answer("push", after=("steam",))
def _(n, earlier):
    return earlier["steam"] / BAR * pi / 4 * bore(n) ** 2


@key.slip("push")
def bar_for_newton(n, earlier):
    """A bar is a tenth of a newton on a square millimetre. You are ten times too high."""
    return earlier["steam"] * pi / 4 * bore(n) ** 2


@key.slip("push")
def bore_for_radius(n, earlier):
    """You put the bore in for its radius: four times too much."""
    return earlier["steam"] / BAR * pi * bore(n) ** 2


# Clean, in order


@key.answer("clean")
def _(n):
    return ORDER


@key.score("clean")
def pairs(n, order):
    """Give marks for each pair in the right order: none when all of them are reversed."""
    return orders.share_of_pairs(order, ORDER)


@key.slip("clean")
def abraded_first(n):
    """You abraded oily steel. The cloth rubs the oil into the scratches: degrease first."""
    return ("abrade", "degrease", "wipe again", "let dry", "flux")


@key.slip("clean")
def fluxed_wet(n):
    """You put flux over solvent that is still there.

    It has to be dry: solvent burns, and keeps flux off the steel.
    """
    return ("degrease", "abrade", "wipe again", "flux", "let dry")


# Practice cards


@key.answer("practice-hand")
def _(n):
    return "right"


@key.slip("practice-hand")
def practice_left(n):
    """That is the drive side."""
    return "left"


@key.slip("practice-hand")
def practice_any(n):
    """The wrong tap cuts a second thread across the first. The shell is scrap."""
    return "either"


@key.answer("practice-travel")
def _(n):
    return n.turns * float(shells.pitch(shells.PER_INCH))


@key.slip("practice-travel")
def practice_inverse(n):
    """An inch, 25.4 mm, is shared among 24 turns; not the other way round."""
    return n.turns * shells.PER_INCH / 25.4


@key.slip("practice-travel")
def practice_one_each(n):
    """A turn is a bit more than a millimetre."""
    return float(n.turns)


@key.answer("practice-thread")
def _(n):
    return float(shells.engaged(shells.MAJOR, shells.pitch(shells.PER_INCH), n.bore))


@key.slip("practice-thread")
def practice_one_height(n):
    """The height stands on both sides."""
    return 2 * float(shells.engaged(shells.MAJOR, shells.pitch(shells.PER_INCH), n.bore))


@key.slip("practice-thread")
def practice_missing(n):
    """That much is missing."""
    return 100 - float(shells.engaged(shells.MAJOR, shells.pitch(shells.PER_INCH), n.bore))


@key.answer("practice-cut")
def _(n):
    return n.drive_side + n.seat_tube / 2 + n.drive_swing - WIDE_HALF


@key.slip("practice-cut")
def practice_no_swing(n):
    """That is for its nearest place; the swing comes off as well."""
    return n.drive_side + n.seat_tube / 2 - WIDE_HALF


@key.slip("practice-cut")
def practice_both_swings(n):
    """The swing counts once."""
    return n.drive_side + n.seat_tube / 2 + 2 * n.drive_swing - WIDE_HALF


@key.answer("practice-lean")
def _(n):
    return n.drive_swing * n.height / n.shell


@key.slip("practice-lean")
def practice_radius(n):
    """The swing lies between two edges, a whole diameter apart."""
    return 2 * n.drive_swing * n.height / n.shell


@key.slip("practice-lean")
def practice_half(n):
    """The whole swing counts."""
    return n.drive_swing * n.height / n.shell / 2


@key.answer("practice-depth")
def _(n):
    _, along = miters.saddle(n.seat_tube, n.shell, 90.0)
    return float(along.max() - along.min())


@key.slip("practice-depth")
def practice_diameters(n):
    """Radii are the sides of the triangle."""
    return deep(n.seat_tube, n.shell)


@key.slip("practice-depth")
def practice_shoulder(n):
    """That is the shoulder."""
    return (n.shell - n.seat_tube) / 2


@key.answer("practice-place")
def _(n):
    return float(vents.round_shell(n.shell, n.between))


@key.slip("practice-place")
def practice_whole_diameter(n):
    """Radius, not diameter."""
    return 2 * float(vents.round_shell(n.shell, n.between))


@key.slip("practice-place")
def practice_chord(n):
    """Round the outside, not straight through."""
    return n.shell * sin(radians(n.between) / 2)


@key.answer("practice-steam")
def _(n):
    return steam(n, volume(n))


@key.slip("practice-steam")
def practice_celsius(n):
    """Add 273 to the degrees."""
    return steam(n, volume(n)) * n.hot / (n.hot + vents.ZERO)


@key.slip("practice-steam")
def practice_quarter(n):
    """You took the bore for its radius: the space came out four times too large."""
    return steam(n, volume(n)) / 4
