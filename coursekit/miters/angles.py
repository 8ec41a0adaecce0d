"""Miters: the curve along which a tube is cut to fit another, and what follows from it.

Picture, for all of this module: stand at the far end of the tube that is cut and look along it
towards the joint. Lines along the tube are counted by an angle that starts, for one joint, on the
line in the obtuse corner (0°) and runs counter-clockwise, so that 180° is the line in the acute
corner. Distances along the tube start where the two axes cross and grow away from the joint.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.miters import curve
from coursekit.miters.curve import Array
from coursekit.rules import not_negative, number, require


def saddle(
    diameter: Any, into: Any, angle_deg: Any, offset: Any = 0.0, stations: int = 361
) -> tuple[Array, Array]:
    """Return the saddle curve of a round tube cut to fit a round tube: (around, along), in mm.

    Picture: φ runs from 0° on the line in the **obtuse** corner, counter-clockwise seen from the
    far end of the tube, over 180° (the acute corner) to 360° inclusive. `around` is the arc on the
    outside of the cut tube from φ = 0, the length across a wrapped template. `along` is measured
    along the tube from the crossing of the axes, positive away from the joint. With an offset, the
    axis of the cut tube passes the other by that much, towards its own 90° line. Should
    `angle_deg` exceed 90, φ = 0 lies in the corner of 180° − `angle_deg`.

        along = (√(R² − (r sin φ + e)²) − r cos φ cos θ) / sin θ

    Parameters: `diameter`, of the cut tube, and `into`, of the tube it meets, outside, mm, above
    0; `angle_deg`, included angle between the axes, above 0 and below 180; `offset`, mm, at most
    (into − diameter)/2 either way; `stations`, how many points, 2 or more. Scalars or arrays that
    broadcast.

    Returns: two arrays of shape (…, stations), mm.

    Raises ValueError: "The cut tube must not be wider than the tube it meets; got 31.8 mm into
    28.6 mm. Swap them."; "The cut tube must lie within the width of the tube it meets; …"; "The
    included angle must lie between 0° and 180°; …"; "The stations must be a whole number, …"

    References: derived from the equations of two cylinders; for equal tubes at 90° the two plane
    ellipses of Weisstein, Steinmetz Solid (MathWorld).

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
    """Return the swing, in degrees, of a fixture whose zero holds the tube square to the cutter.

    Picture: at a joint of 90° the scale reads 0; the sharper the joint, the larger the swing. A
    negative swing (joint over 90°) is the same swing to the other hand.

    Parameters: `angle_deg`, included angle between the axes, above 0 and below 180.

    Returns: 90 − `angle_deg`.

    Raises ValueError: "The included angle must lie between 0° and 180°; got 200°. …"

    References: common practice, no source.

    >>> mill_setting_deg(60.0)
    30.0
    >>> mill_setting_deg(200.0)
    Traceback (most recent call last):
    ValueError: The included angle must lie between 0° and 180°; got 200°. Measure it between the
    two axes.
    """
    return 90.0 - curve.included(angle_deg)


def joint_line(diameter: Any, into: Any, angle_deg: Any, offset: Any = 0.0) -> Any:
    """Return the length, in mm, of the line in space along which the two tubes touch.

    Picture: a thread laid into the corner between the tubes, once round. Times the area of a
    bead it gives the bead's volume.

    Parameters: as for `saddle`; scalars or arrays that broadcast.

    Returns: mm, to machine precision.

    Raises ValueError: as `saddle`.

    References: for equal tubes two half ellipses, see `sections.ellipse_perimeter`.

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
    """Return how far, in mm, the far end of a tube misses its place if its miter is `error_deg` off.

    Picture: the cut fits without a gap, so the whole tube swings about the joint. The miss is
    measured square to the tube as drawn, `length` from the crossing of the axes; positive is
    towards the side of the obtuse corner, which is where a cut at too large an angle throws it.

    Parameters: `length`, mm, 0 or more; `error_deg`, cut angle minus wanted angle, above −90 and
    below 90. Scalars or arrays.

    Returns: `length` · tan `error_deg`.

    Raises ValueError: "The error must lie between −90° and 90°; got 90°. Give cut minus wanted."

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
    diameter: float, into: float, angle_deg: float, saw: float, error_deg: float = 0.0,
    stations: int = 361,
) -> tuple[Array, Array]:  # fmt: skip
    """Return (around, gap): the light, in mm along the tube, that a wrong saw or angle leaves.

    Picture: the tube is held at the right angle and pushed home until it touches somewhere
    (gap 0); elsewhere the gap shows. φ as for `saddle`.

    Parameters: `diameter`, `into`, `angle_deg` as for `saddle`; `saw`, the diameter that was cut,
    mm; `error_deg`, cut angle minus wanted angle.

    Raises ValueError: as `saddle`, for the joint and for the cut.

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
