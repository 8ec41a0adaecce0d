"""S-bends: how far they move a tube aside, and the angle that moves it as far as wanted."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.stays.bends import Bend


def s_bend(
    at: float, radius: float, angle_deg: float, straight: float = 0.0, toward_deg: float = 90.0
) -> tuple[Bend, Bend]:
    """Return an S-bend: two bends of the same angle to opposite sides.

    After both, the tube runs on in its first direction, moved aside by `s_bend_offset`.

    Parameters
    ----------
    at : float
        Where the first bend begins, mm along the centre line from end a.
    radius : float
        Of both bends, mm, above 0.
    angle_deg : float
        Of each bend, degrees, above 0.
    straight : float
        Straight piece between them, mm, 0 or more.
    toward_deg : float
        The line of the tube toward which it moves aside, degrees.

    Returns
    -------
    tuple of Bend
        Both bends.

    Raises
    ------
    ValueError
        The messages of `Bend`; "The straight piece must be 0 or more; …"

    Examples
    --------
    >>> [round(bend.at, 3) for bend in s_bend(80.0, 200.0, 9.0, straight=30.0)]
    [80.0, 141.416]
    >>> s_bend(80.0, 200.0, 9.0, straight=-5.0)
    Traceback (most recent call last):
    ValueError: The straight piece must be 0 or more; got -5 mm. Check the sign.
    """
    not_negative("straight piece", straight)
    first = Bend(at, radius, angle_deg, toward_deg)
    return first, Bend(first.end + straight, radius, angle_deg, (toward_deg + 180.0) % 360.0)


def s_bend_offset(radius: Any, angle_deg: Any, straight: Any = 0.0) -> Any:
    """Return how far an S-bend moves a tube aside: 2R(1 − cos θ) + L sin θ.

    Parameters
    ----------
    radius : float or array
        Of both bends, mm, above 0.
    angle_deg : float or array
        Of each bend, degrees, 0 up to 90.
    straight : float or array
        Straight piece L between them, mm, 0 or more.

    Returns
    -------
    float or array
        From the first direction of the centre line to its last, mm.

    Raises
    ------
    ValueError
        "The angle must lie between 0° and 90°; got 95°. Bend it less."

    References
    ----------
    Derived from two arcs and a straight line that touch.

    Examples
    --------
    >>> round(s_bend_offset(200.0, 9.0, 30.0), 4)
    9.6177
    >>> s_bend_offset(200.0, 95.0)
    Traceback (most recent call last):
    ValueError: The angle must lie between 0° and 90°; got 95°. Bend it less.
    """
    radius = np.asarray(positive("bend's radius", radius), dtype=float)
    straight = np.asarray(not_negative("straight piece", straight), dtype=float)
    angle = np.asarray(number("angle", angle_deg, "degrees"), dtype=float)
    require(
        (angle >= 0) & (angle <= 90),
        "The angle must lie between 0° and 90°; got {angle}°. Bend it less.",
        angle=angle,
    )
    turn = np.radians(angle)
    return bare(4 * radius * np.sin(turn / 2) ** 2 + straight * np.sin(turn))


def s_bend_angle_deg(offset: Any, radius: Any, straight: Any = 0.0) -> Any:
    """Return the angle of each bend that moves a tube aside by a wanted distance.

    With t = tan(θ/2) the distance of `s_bend_offset` becomes (4R − h)t² + 2Lt − h = 0.

    Parameters
    ----------
    offset : float or array
        Wanted distance h, mm, 0 or more.
    radius : float or array
        Of both bends, mm, above 0.
    straight : float or array
        Straight piece L between them, mm, 0 or more.

    Returns
    -------
    float or array
        Degrees, 0 up to 90.

    Raises
    ------
    ValueError
        "The S-bend must move the tube by no more than 2R + L; got 500 mm for 430 mm. …"

    References
    ----------
    Derived from `s_bend_offset`.

    Examples
    --------
    >>> round(s_bend_angle_deg(9.6177, 200.0, 30.0), 3)
    9.0
    >>> s_bend_angle_deg(500.0, 200.0, 30.0)
    Traceback (most recent call last):
    ValueError: The S-bend must move the tube by no more than 2R + L; got 500 mm for 430 mm. Take a
    larger radius or a longer straight piece.
    """
    h = np.asarray(not_negative("offset", offset), dtype=float)
    radius = np.asarray(positive("bend's radius", radius), dtype=float)
    straight = np.asarray(not_negative("straight piece", straight), dtype=float)
    most = 2 * radius + straight
    require(
        h <= most,
        "The S-bend must move the tube by no more than 2R + L; got {offset} mm for {most} mm. "
        "Take a larger radius or a longer straight piece.",
        offset=h,
        most=most,
    )
    root = np.sqrt(straight**2 + (4 * radius - h) * h)
    below = root + straight
    half = np.divide(h, below, out=np.zeros(np.broadcast_shapes(h.shape, below.shape)), where=h > 0)
    return bare(2 * np.degrees(np.arctan(half)))
