"""The saddle curve of one round joint and its angles; the picture is that of `miters`."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.miters import curve
from coursekit.miters.curve import Array
from coursekit.rules import not_negative, number, require


def saddle(
    diameter: Any, into: Any, angle_deg: Any, offset: Any = 0.0, stations: int = 361
) -> tuple[Array, Array]:
    """Return the saddle curve of a round tube cut to fit a round tube: (around, along).

    φ starts at 0° on the line in the **obtuse** corner and runs counter-clockwise, seen from the
    far end of the tube, over 180° (the acute corner) to 360° inclusive. With an offset, the axis of
    the cut tube passes the other axis by that much, towards its own 90° line. If `angle_deg` is
    more than 90, φ = 0 lies in the corner of 180° − `angle_deg`. The curve is

        along = (√(R² − (r sin φ + e)²) − r cos φ cos θ) / sin θ

    Parameters
    ----------
    diameter : float or array
        Outside diameter of the tube that is cut, mm, above 0.
    into : float or array
        Outside diameter of the tube that it meets, mm, above 0.
    angle_deg : float or array
        Included angle between the axes, degrees, above 0 and below 180.
    offset : float or array
        Distance between the axes, mm, at most (into − diameter)/2 to either side.
    stations : int
        How many points the curve has, 2 or more.

    Returns
    -------
    around : array, (…, stations)
        Arc on the outside of the cut tube from φ = 0, mm: the length across a wrapped template.
    along : array, (…, stations)
        Distance along the tube from the crossing of the axes, mm, positive away from the joint.

    Raises
    ------
    ValueError
        "The cut tube must not be wider than the tube it meets; got 31.8 mm into 28.6 mm. Swap
        them."; "The cut tube must lie within the width of the tube it meets; …"; "The included
        angle must lie between 0° and 180°; …"; "The stations must be a whole number, …"

    References
    ----------
    Derived from the equations of two cylinders. For equal tubes at 90° it gives the two plane
    ellipses of Weisstein, Steinmetz Solid (MathWorld).

    Examples
    --------
    >>> around, along = saddle(28.6, 31.8, 90.0, stations=13)
    >>> [round(float(z), 4) for z in along[:4]], round(float(around[1]), 4)
    ([15.9, 14.2017, 9.9721, 6.9513], 7.4875)
    >>> saddle(31.8, 28.6, 90.0)
    Traceback (most recent call last):
    ValueError: The cut tube must not be wider than the tube it meets; got 31.8 mm into 28.6 mm.
    Swap them.
    """
    stations = curve.count(stations)
    given = curve.checked(diameter, into, angle_deg, offset)
    shape = np.broadcast_shapes(*(np.shape(v) for v in given))
    d, big, angle, e = (
        np.broadcast_to(np.asarray(v, dtype=float), shape).reshape(-1, 1) for v in given
    )
    around, along = curve.curves(d / 2, big / 2, np.radians(angle), e, stations)
    return around.reshape(*shape, stations), along.reshape(*shape, stations)


def mill_setting_deg(angle_deg: Any) -> Any:
    """Return the swing of a fixture whose zero holds the tube square to the cutter.

    At a joint of 90° the scale reads 0; the sharper the joint, the larger the swing. A negative
    swing, for a joint over 90°, is the same swing to the other hand.

    Parameters
    ----------
    angle_deg : float or array
        Included angle between the axes, degrees, above 0 and below 180.

    Returns
    -------
    float or array
        90 − `angle_deg`, degrees.

    Raises
    ------
    ValueError
        "The included angle must lie between 0° and 180°; got 200°. …"

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> mill_setting_deg(60.0)
    30.0
    >>> mill_setting_deg(200.0)
    Traceback (most recent call last):
    ValueError: The included angle must lie between 0° and 180°; got 200°. Measure it between the
    two axes.
    """
    return 90.0 - curve.included(angle_deg)


def joint_line(diameter: Any, into: Any, angle_deg: Any, offset: Any = 0.0) -> Any:
    """Return the length of the line in space along which the two tubes touch.

    Think of a thread laid once round the joint, in the corner between the tubes. Multiply its
    length by the area of a bead, and you have the bead's volume.

    Parameters
    ----------
    diameter : float or array
        Outside diameter of the tube that is cut, mm, above 0.
    into : float or array
        Outside diameter of the tube that it meets, mm, above 0.
    angle_deg : float or array
        Included angle between the axes, degrees, above 0 and below 180.
    offset : float or array
        Distance between the axes, mm, at most (into − diameter)/2 to either side.

    Returns
    -------
    float or array
        Length, mm, to machine precision.

    Raises
    ------
    ValueError
        The messages of `saddle`.

    References
    ----------
    For equal tubes the line is two half ellipses; see `sections.ellipse_perimeter`.

    Examples
    --------
    >>> round(float(joint_line(28.6, 28.6, 90.0)), 4)
    109.2577
    >>> joint_line(28.6, 25.4, 90.0)
    Traceback (most recent call last):
    ValueError: The cut tube must not be wider than the tube it meets; got 28.6 mm into 25.4 mm.
    Swap them.
    """
    diameter, into, angle_deg, offset = curve.checked(diameter, into, angle_deg, offset)
    return curve.line_length(
        np.divide(diameter, 2), np.divide(into, 2), np.radians(angle_deg), offset
    )


def far_end(length: Any, error_deg: Any = 1.0) -> Any:
    """Return how far the far end of a tube misses its place when the angle of its miter is wrong.

    The cut fits without a gap, so the whole tube swings about the joint. The miss is measured
    square to the tube as drawn. It is positive towards the side of the obtuse corner, because that
    is where a cut at too large an angle throws the tube.

    Parameters
    ----------
    length : float or array
        From the crossing of the axes to the far end, mm, 0 or more.
    error_deg : float or array
        Cut angle minus wanted angle, degrees, above −90 and below 90.

    Returns
    -------
    float or array
        `length` · tan `error_deg`, mm.

    Raises
    ------
    ValueError
        "The error must lie between −90° and 90°; got 90°. Give cut minus wanted."

    Examples
    --------
    >>> round(float(far_end(600.0)), 3)
    10.473
    >>> far_end(600.0, 90.0)
    Traceback (most recent call last):
    ValueError: The error must lie between −90° and 90°; got 90°. Give cut minus wanted.
    """
    length, error_deg = not_negative("length", length), number("error", error_deg, "degrees")
    require(
        np.abs(error_deg) < 90,
        "The error must lie between −90° and 90°; got {error}°. Give cut minus wanted.",
        error=error_deg,
    )
    return length * np.tan(np.radians(error_deg))


def gaps(
    diameter: float,
    into: float,
    angle_deg: float,
    saw: float,
    error_deg: float = 0.0,
    stations: int = 361,
) -> tuple[Array, Array]:
    """Return (around, gap): the light that a wrong saw or a wrong angle leaves in the joint.

    The tube is held at the right angle and pushed home until it touches somewhere. There the gap is
    0, and everywhere else it shows. φ is counted as for `saddle`.

    Parameters
    ----------
    diameter : float
        Outside diameter of the tube that is cut, mm, above 0.
    into : float
        Outside diameter of the tube that it meets, mm, above 0.
    angle_deg : float
        Included angle between the axes, degrees, above 0 and below 180.
    saw : float
        The diameter that was cut, mm.
    error_deg : float
        Cut angle minus wanted angle, degrees.
    stations : int
        How many points the curve has, 2 or more.

    Returns
    -------
    around : array, (stations,)
        Arc on the outside of the cut tube, mm.
    gap : array, (stations,)
        Gap along the tube, mm, 0 or more.

    Raises
    ------
    ValueError
        The messages of `saddle`, for the joint and for the cut.

    Examples
    --------
    >>> _, gap = gaps(28.6, 31.8, 90.0, saw=33.0, stations=5)
    >>> [round(float(g), 3) for g in gap]
    [0.0, 0.68, 0.0, 0.68, 0.0]
    >>> gaps(28.6, 31.8, 90.0, saw=28.0)
    Traceback (most recent call last):
    ValueError: The cut tube must not be wider than the tube it meets; got 28.6 mm into 28 mm.
    Swap them.
    """
    around, wanted = saddle(diameter, into, angle_deg, stations=stations)
    _, made = saddle(
        diameter, saw, angle_deg + number("error", error_deg, "degrees"), 0.0, stations
    )
    gap = made - wanted
    return around, gap - gap.min()
