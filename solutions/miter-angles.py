"""Functions that the answers and slips in `miter-angles.md` call. Instructor only."""

from math import radians, sin, sqrt

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
    """Depth of a square saddle, from long point to short point."""
    return into / 2 - sqrt((into / 2) ** 2 - (diameter / 2) ** 2)


# The template, line by line

STATIONS = (0, 45, 90, 135, 180)


def sin_deg(angle_deg):
    """Sine of an angle in degrees."""
    return sin(radians(angle_deg))


# Practice cards


def swapped_tubes(n):
    """A slip at `practice-obtuse`."""
    r, R = n.head_diameter / 2, n.tube_diameter / 2
    return (R - r * (1 - sin_deg(n.angle_deg) ** 2) ** 0.5) / sin_deg(n.angle_deg)
