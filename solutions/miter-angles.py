"""Answers and slips of `miter-angles`. Instructor only."""

from math import pi, radians, sin, sqrt, tan

from coursekit import miters
from coursekit.classroom.bank.keys import Key

key = Key("miter-angles")


@key.sound
def tubes_fit_and_differ(n):
    """A tube nearly as wide as its partner leaves no shoulder; equal tubes make a flat cut."""
    return n.head_diameter - n.tube_diameter >= 1.0 and n.shell_diameter - n.tube_diameter >= 1.0


def head_end(n, station_deg, diameter=None, into=None, angle_deg=None):
    """Distance along the tube at one station of the head end, from the contract's saddle."""
    _, along = miters.saddle(
        diameter or n.tube_diameter, into or n.head_diameter, angle_deg or n.angle_deg, stations=361
    )
    return along[int(station_deg)]


def depth_of(diameter, into):
    """Depth of a square saddle, longest to shortest point."""
    return into / 2 - sqrt((into / 2) ** 2 - (diameter / 2) ** 2)


# Setting the mill


@key.answer("mill-setting")
def _(n):
    return miters.mill_setting_deg(n.angle_deg)


@key.slip("mill-setting")
def angle_itself(n):
    """You set the angle of the joint itself.

    The scale starts where the tube is square to the cutter, so count from there.
    """
    return n.angle_deg


@key.slip("mill-setting")
def obtuse_angle(n):
    """You set the obtuse angle of the joint. The fixture swings by what is missing to square."""
    return 180 - n.angle_deg


@key.slip("mill-setting")
def half_angle(n):
    """You halved the angle.

    Halving belongs to two equal tubes that share the cut; here only one of the two is cut.
    """
    return n.angle_deg / 2


# Choosing the cutter


@key.answer("cutter")
def _(n):
    return n.head_diameter


@key.slip("cutter")
def own_tube(n):
    """That is the tube being cut.

    The saddle must fit the tube it is joined to, so that one gives the size.
    """
    return n.tube_diameter


@key.slip("cutter")
def radius_of_head(n):
    """That is the radius. A hole saw is named by its diameter."""
    return n.head_diameter / 2


# The paper strip


@key.answer("wrap-length")
def _(n):
    return pi * n.tube_diameter


@key.slip("wrap-length")
def round_the_bore(n):
    """You went round the bore. Paper lies on the outside, so take the outside diameter."""
    return pi * (n.tube_diameter - 2 * n.tube_wall)


@key.slip("wrap-length")
def radius_for_diameter(n):
    """You used the radius where the diameter belongs: once round is pi times the diameter."""
    return pi * n.tube_diameter / 2


@key.slip("wrap-length")
def two_pi_diameter(n):
    """You took 2 pi times the diameter: twice round. Once round is pi times the diameter."""
    return 2 * pi * n.tube_diameter


# The head end


@key.answer("obtuse-side")
def _(n):
    return head_end(n, 0)


@key.slip("obtuse-side")
def acute_for_obtuse(n):
    """That is the line in the acute corner.

    In the obtuse corner the tube is cut shorter towards the crossing: the distance is the small
    one.
    """
    return head_end(n, 180)


@key.slip("obtuse-side")
def head_diameter_for_radius(n):
    """You put the head tube's diameter where its radius belongs."""
    return head_end(n, 0, into=2 * n.head_diameter)


@key.slip("obtuse-side")
def mill_angle_in_formula(n):
    """You put the mill setting into the formula. It wants the included angle."""
    return head_end(n, 0, angle_deg=90 - n.angle_deg)


@key.answer("acute-side")
def _(n):
    return head_end(n, 180)


@key.slip("acute-side")
def obtuse_for_acute(n):
    """That is the line in the obtuse corner.

    In the acute corner the cut reaches furthest back along the tube: the distance is the large one.
    """
    return head_end(n, 0)


@key.slip("acute-side")
def diameter_for_radius(n):
    """You put the head tube's diameter where its radius belongs."""
    return head_end(n, 180, into=2 * n.head_diameter)


@key.slip("acute-side")
def mill_angle_for_included(n):
    """You put the mill setting into the formula. It wants the included angle."""
    return head_end(n, 180, angle_deg=90 - n.angle_deg)


@key.answer("flank")
def _(n):
    return head_end(n, 90)


@key.slip("flank")
def no_slope(n):
    """You forgot to divide by the sine of the included angle: the head tube is crossed on the
    slant.
    """
    return head_end(n, 90, angle_deg=90)


@key.slip("flank")
def half_way(n):
    """You took the middle between the two other lines.

    The cut is not a flat slope: on the flank the tube reaches further.
    """
    return (head_end(n, 0) + head_end(n, 180)) / 2


# The shell end


@key.answer("shell-end")
def _(n):
    return sqrt((n.shell_diameter / 2) ** 2 - (n.tube_diameter / 2) ** 2)


@key.slip("shell-end")
def shell_radius(n):
    """That is the shell's radius: right on the tube's flanks, where it meets the crown of the
    shell, but the ears stand in the plane of the frame.
    """
    return n.shell_diameter / 2


@key.slip("shell-end")
def saddle_depth(n):
    """That is the depth of the saddle. The distance from the shell's axis was asked."""
    return depth_of(n.tube_diameter, n.shell_diameter)


@key.slip("shell-end")
def diameters_for_radii(n):
    """You put diameters under the root where radii belong."""
    return sqrt(n.shell_diameter**2 - n.tube_diameter**2)


# Length along the upper side


@key.answer("upper-side", after=("obtuse-side", "shell-end"))
def _(n, earlier):
    return n.centre_length - earlier["obtuse-side"] - earlier["shell-end"]


@key.slip("upper-side")
def axis_to_axis(n):
    """That is the length from axis to axis. Take off what both saddles take away."""
    return n.centre_length


@key.slip("upper-side")
def wrong_corner(n, earlier):
    """You took off the acute corner. The upper side runs through the obtuse corner."""
    return n.centre_length - head_end(n, 180) - earlier["shell-end"]


@key.slip("upper-side")
def added(n, earlier):
    """You added the saddles. The tube is shorter than the line from axis to axis."""
    return n.centre_length + earlier["obtuse-side"] + earlier["shell-end"]


@key.slip("upper-side")
def radii_only(n):
    """You took off the two radii.

    The cut does not begin at a radius from the axis on this line: use both saddles.
    """
    return n.centre_length - n.head_diameter / 2 - n.shell_diameter / 2


# Turning the tube end for end


@key.answer("phase")
def _(n):
    return "quarter"


@key.slip("phase")
def same_way(n):
    """The head tube's axis lies in the plane of the frame, the shell's stands square to it.

    So the saddles cannot look the same way.
    """
    return "none"


@key.slip("phase")
def half_turn(n):
    """Half a turn would swap the two ears and leave both pairs in one plane.

    The shell's axis stands square to the head tube's.
    """
    return "half"


# One degree wrong


@key.answer("one-degree")
def _(n):
    return n.centre_length * tan(radians(1))


@key.slip("one-degree")
def degrees_as_radians(n):
    """You gave degrees to a function that wants radians. Turn them first."""
    return n.centre_length * tan(1)


@key.slip("one-degree")
def one_in_a_hundred(n):
    """You took one in a hundred. A degree is more than that: one in 57.3."""
    return n.centre_length / 100


@key.slip("one-degree")
def over_the_diameter(n):
    """You multiplied by the tube's diameter. The error grows along the whole length of the tube."""
    return n.tube_diameter * tan(radians(1))


# The template, line by line

STATIONS = (0, 45, 90, 135, 180)


@key.answer("ordinates")
def _(n):
    return [head_end(n, s) for s in STATIONS]


@key.slip("ordinates")
def turned_round(n):
    """Your list runs from the acute side to the obtuse side.

    Look at the sign before the cosine of the angle round the tube.
    """
    return [head_end(n, s) for s in reversed(STATIONS)]


@key.slip("ordinates")
def without_sine(n):
    """The last step is missing: divide the whole line by sin(theta)."""
    return [head_end(n, s) * float(sin_deg(n.angle_deg)) for s in STATIONS]


@key.slip("ordinates")
def square_joint(n):
    """These are the distances of a square joint. Your tubes meet at the included angle theta."""
    return [head_end(n, s, angle_deg=90) for s in STATIONS]


def sin_deg(angle_deg):
    """Sine of an angle in degrees."""
    return sin(radians(angle_deg))


# Practice cards


@key.answer("practice-swing")
def _(n):
    return 90 - n.angle_deg


@key.slip("practice-swing")
def joint_angle(n):
    """This is the angle between the tubes. The scale counts from square: 90° less that angle."""
    return n.angle_deg


@key.slip("practice-swing")
def supplement(n):
    """This is the other angle of the joint, 180° less yours. The scale counts from square."""
    return 180 - n.angle_deg


@key.answer("practice-strip")
def _(n):
    return pi * n.tube_diameter


@key.slip("practice-strip")
def half_round(n):
    """This is half way round. Multiply the full diameter by pi."""
    return pi * n.tube_diameter / 2


@key.slip("practice-strip")
def twice_round(n):
    """This is twice round. Two pi belongs to the radius, pi to the diameter."""
    return 2 * pi * n.tube_diameter


@key.answer("practice-plane")
def _(n):
    return n.tube_diameter / 2 * tan(radians(n.angle_deg) / 2)


@key.slip("practice-plane")
def whole_angle(n):
    """You used the whole angle. Equal tubes share it: half the angle goes to each."""
    return n.tube_diameter / 2 * tan(radians(n.angle_deg))


@key.slip("practice-plane")
def long_side(n):
    """This is the side in the acute corner: radius divided by the tangent of half the angle."""
    return n.tube_diameter / 2 / tan(radians(n.angle_deg) / 2)


@key.slip("practice-plane")
def whole_diameter(n):
    """You used the diameter. The outside of the tube lies one radius from its axis."""
    return n.tube_diameter * tan(radians(n.angle_deg) / 2)


@key.answer("practice-obtuse")
def _(n):
    return head_end(n, 0)


@key.slip("practice-obtuse")
def the_other_corner(n):
    """This is the acute corner, where plus stands for minus.

    In the obtuse corner take r cos θ off.
    """
    return head_end(n, 180)


@key.slip("practice-obtuse")
def swapped_tubes(n):
    """You swapped the tubes: R is the tube joined to, r the tube being cut."""
    r, R = n.head_diameter / 2, n.tube_diameter / 2
    return (R - r * (1 - sin_deg(n.angle_deg) ** 2) ** 0.5) / sin_deg(n.angle_deg)


@key.answer("practice-square")
def _(n):
    return depth_of(n.tube_diameter, n.shell_diameter)


@key.slip("practice-square")
def ear_to_axis(n):
    """This is the distance from the shell's axis to the ear. Take it off the shell's radius."""
    return n.shell_diameter / 2 - depth_of(n.tube_diameter, n.shell_diameter)


@key.slip("practice-square")
def full_diameters(n):
    """You used diameters where radii belong, so the depth came out double."""
    return 2 * depth_of(n.tube_diameter, n.shell_diameter)


@key.answer("practice-throw")
def _(n):
    return n.centre_length * tan(radians(0.5))


@key.slip("practice-throw")
def raw_degrees(n):
    """Your calculator was set to radians. Set it to degrees, or turn the degrees first."""
    return n.centre_length * tan(0.5)


@key.slip("practice-throw")
def whole_degree(n):
    """This is the throw of a whole degree. Half a degree was asked."""
    return n.centre_length * tan(radians(1))


@key.answer("practice-cutter")
def _(n):
    return n.head_diameter


@key.slip("practice-cutter")
def tube_in_the_vice(n):
    """This is the tube in the vice. The cut must fit the tube that waits for it."""
    return n.tube_diameter


@key.slip("practice-cutter")
def a_little_over(n):
    """You added the two radii. The cut has one size only: that of the tube joined to."""
    return (n.tube_diameter + n.head_diameter) / 2
