"""Where small parts go on a round tube: tangents and its crown, a boss's foot, bottles in a frame.

A straight edge touches a round tube where the tube's own slope equals that of the edge: as many
degrees round from the crown as the edge is tilted. Everything here follows from that and from
straight lines.

References: plane geometry of circle and tangent (Euclid, Elements, III.18); the distance of convex
bodies as the widest gap between parallel lines that part them (Boyd & Vandenberghe, Convex
Optimization, 2004, 8.2).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import not_negative, number, positive, require

BOSS_PITCH = 64.0  # mm, two and a half inches as the trade draws it (common practice, no source)


def touch(diameter: Any, slope_deg: Any) -> Any:
    """Return where a straight edge touches a level tube, measured round the tube from its crown.

    Look at the tube from its end, with the crown on top. The edge lies on the tube, tilted by
    `slope_deg`. It touches on the side toward which it falls, and that way counts as positive.

    Parameters
    ----------
    diameter : float or array
        Outside, mm.
    slope_deg : float or array
        Degrees from level, −90 to 90; at 0 the edge touches the crown.

    Returns
    -------
    float or array
        mm round the tube, with the sign of the slope.

    Raises
    ------
    ValueError
        "The slope must lie between −90° and 90°; got 100°. …"

    References
    ----------
    The tangent stands square to the radius.

    Examples
    --------
    >>> round(float(touch(40, 45)), 4)  # an eighth of 40 π
    15.708
    >>> touch(40, 100)
    Traceback (most recent call last):
    ValueError: The slope must lie between −90° and 90°; got 100°. Measure it from level.
    """
    slope = np.asarray(number("slope", slope_deg, "degrees"), dtype=float)
    require(
        np.abs(slope) <= 90,
        "The slope must lie between −90° and 90°; got {slope}°. Measure it from level.",
        slope=slope,
    )
    return positive("diameter", diameter) / 2 * np.radians(slope)


def edge_marks(diameter: Any, leg: Any, opening_deg: Any = 90.0) -> Any:
    """Return how far from the crown the edges of an angle section point, measured round the tube.

    The section lies on the tube like a roof, with its fold over the crown. Each leg touches the
    tube and goes on past it. The mark is where the line from the leg's edge to the tube's axis
    meets the tube; the two marks are twice this far apart, with the crown in the middle.

    Parameters
    ----------
    diameter : float or array
        Outside, mm.
    leg : float or array
        mm from the inner fold to the edge, at least as far as the place that touches.
    opening_deg : float or array
        Degrees between the legs, above 0 and below 180.

    Returns
    -------
    float or array
        mm round the tube from the crown to either mark.

    Raises
    ------
    ValueError
        "The legs' opening must lie between 0° and 180°; got …"; "The leg must reach the place where
        it touches; got 15 mm, and it touches 20 mm from the fold. …"

    References
    ----------
    Both tangents from a point to a circle are r / tan(half the opening) long.

    Examples
    --------
    >>> round(float(edge_marks(40, 20)), 4)  # touches at its very edge, 45° round
    15.708
    >>> edge_marks(40, 15)
    Traceback (most recent call last):
    ValueError: The leg must reach the place where it touches; got 15 mm, and it touches 20 mm from
    the fold. Take a wider section.
    """
    opening = np.asarray(number("opening", opening_deg, "degrees"), dtype=float)
    require(
        (opening > 0) & (opening < 180),
        "The legs' opening must lie between 0° and 180°; got {opening}°. Most sections have 90°.",
        opening=opening,
    )
    radius, half = positive("diameter", diameter) / 2, np.radians(opening) / 2
    reach = radius / np.tan(half)
    past = positive("leg", leg) - reach
    require(
        past >= -1e-12 * reach,
        "The leg must reach the place where it touches; got {leg} mm, and it touches {reach} "
        "mm from the fold. Take a wider section.",
        leg=leg,
        reach=reach,
    )
    return radius * (np.pi / 2 - half + np.arctan2(np.maximum(past, 0), radius))


def hollow_depth(diameter: Any, width: Any) -> Any:
    """Return how deep a straight line of a given width sinks into a circle.

    It is the height of the arc over the line.

    Parameters
    ----------
    diameter : float or array
        Of the circle, mm.
    width : float or array
        Of the line from edge to edge, mm, 0 up to the diameter.

    Returns
    -------
    float or array
        Depth, mm.

    Raises
    ------
    ValueError
        "The width must not be more than the diameter; got 12 mm on 10 mm. …"

    References
    ----------
    Segment of a circle, r − √(r² − (width/2)²).

    Examples
    --------
    >>> float(hollow_depth(10, 8))  # 5 − √(25 − 16)
    2.0
    >>> hollow_depth(10, 12)
    Traceback (most recent call last):
    ValueError: The width must not be more than the diameter; got 12 mm on 10 mm. Check which is
    which.
    """
    diameter, width = positive("diameter", diameter), not_negative("width", width)
    require(
        np.less_equal(width, diameter),
        "The width must not be more than the diameter; got {width} mm on {diameter} mm. Check"
        " which is which.",
        width=width,
        diameter=diameter,
    )
    radius = np.asarray(diameter, dtype=float) / 2
    return radius - np.sqrt(radius**2 - (np.asarray(width, dtype=float) / 2) ** 2)


def foot_gap(tube: Any, width: Any, hollowed_for: Any = np.inf) -> Any:
    """Return the widest gap between a boss's foot and the tube it sits on, with its sign.

    Look across the tube. The gap is positive when the foot touches in the middle and is open at its
    two edges, because it is flat or hollowed for a thicker tube. It is negative when the foot
    touches at both edges and is open in the middle, because it is hollowed for a thinner tube.

    Parameters
    ----------
    tube : float or array
        Outside diameter of the tube, mm.
    width : float or array
        Of the foot across the tube, mm, up to the diameter of the tube and of the hollow.
    hollowed_for : float or array
        Diameter that the foot's hollow fits, mm; infinity for a flat foot.

    Returns
    -------
    float or array
        Gap, mm, positive where the edges are open.

    Raises
    ------
    ValueError
        "The width must not be more than the diameter; got 8 mm on 6 mm. …"

    Examples
    --------
    >>> float(foot_gap(tube=10, width=8))  # flat: 5 − √(25 − 16)
    2.0
    >>> float(foot_gap(tube=10, width=8, hollowed_for=10))
    0.0
    >>> foot_gap(tube=10, width=8, hollowed_for=6)
    Traceback (most recent call last):
    ValueError: The width must not be more than the diameter; got 8 mm on 6 mm. Check which is
    which.
    """
    hollow = np.asarray(hollowed_for, dtype=float)
    flat = np.isposinf(hollow)
    own = hollow_depth(np.where(flat, np.asarray(tube, dtype=float), hollow), width)
    return hollow_depth(tube, width) - np.where(flat, 0.0, own)


@dataclass(frozen=True)
class Bottle:
    """A bottle beside its tube, in the plane of the frame.

    Attributes
    ----------
    tube : float or array
        Outside diameter of the tube that carries it, mm.
    stand : float or array
        From the tube's surface to the bottle, mm.
    diameter, length : float or array
        Of the bottle, mm.
    start : float or array
        Along the tube from where both tubes' axes cross to the bottle's lower end, mm.
    """

    tube: Any
    stand: Any
    diameter: Any
    length: Any
    start: Any

    @property
    def far_side(self) -> Any:
        """From the tube's axis square across to the bottle's far side, mm."""
        return self.tube / 2 + self.stand + self.diameter


def bottle_gap(angle_deg: Any, one: Bottle, other: Bottle) -> Any:
    """Return the least distance between two bottles on two tubes that cross.

    In side view both bottles lie in the corner between the tubes, each a rectangle along its tube.
    Where they overlap, the value is negative and tells the shortest way that parts them.

    Parameters
    ----------
    angle_deg : float or array
        Degrees between the two tubes' axes, above 0 and below 180.
    one, other : Bottle
        The two bottles.

    Returns
    -------
    float or array
        Distance, mm; negative where the bottles overlap, by that much.

    Raises
    ------
    ValueError
        "The angle between the tubes must lie between 0° and 180°; got 0°. …"; "The bottle's
        diameter must be greater than 0; got …"

    References
    ----------
    Boyd & Vandenberghe (2004), 8.2: the widest parting strip. For two polygons it is square to an
    edge or to a line from corner to corner.

    Examples
    --------
    The tubes stand square to each other. The far side of one bottle is 100 mm out, and the other
    begins 130 mm along:

    >>> lying = Bottle(tube=30, stand=5, diameter=80, length=200, start=90)
    >>> standing = Bottle(tube=30, stand=5, diameter=80, length=200, start=130)
    >>> round(float(bottle_gap(90, lying, standing)), 9)  # 130 − 100
    30.0
    >>> bottle_gap(0, lying, standing)
    Traceback (most recent call last):
    ValueError: The angle between the tubes must lie between 0° and 180°; got 0°. Measure it
    between the axes.
    """
    angle = np.asarray(number("angle", angle_deg, "degrees"), dtype=float)
    require(
        (angle > 0) & (angle < 180),
        "The angle between the tubes must lie between 0° and 180°; got {angle}°. Measure it "
        "between the axes.",
        angle=angle,
    )
    a, b = _corners(one, 0.0 * angle, 1.0), _corners(other, np.radians(angle), -1.0)
    a, b = np.broadcast_arrays(a, b)
    ways = np.concatenate([_edges(a), _edges(b), _from_corner_to_corner(a, b)], axis=-2)
    long = np.linalg.norm(ways, axis=-1, keepdims=True)
    ways = np.divide(ways, long, out=np.zeros_like(ways), where=long > 0)
    reach_a, reach_b = (np.einsum("...wk,...ck->...wc", ways, corners) for corners in (a, b))
    strip = reach_b.min(axis=-1) - reach_a.max(axis=-1)  # between the two, for each way
    return np.where(long[..., 0] > 0, strip, -np.inf).max(axis=-1)


def _corners(bottle: Bottle, turned: Any, side: float) -> Any:
    """The four corners (…, 4, 2), with the bottle on the left (`side` 1) or right of its tube."""
    for name in ("tube", "diameter", "length"):
        positive(f"bottle's {name}", getattr(bottle, name))
    near = np.asarray(bottle.tube, float) / 2 + not_negative("bottle's stand", bottle.stand)
    along = np.asarray(number("bottle's start", bottle.start), float)
    far, end = near + bottle.diameter, along + bottle.length
    cos, sin = np.cos(turned), np.sin(turned)
    places = ((along, near), (along, far), (end, far), (end, near))
    return np.stack(
        [
            np.stack(np.broadcast_arrays(x * cos - side * y * sin, x * sin + side * y * cos), -1)
            for x, y in places
        ],
        axis=-2,
    )


def _edges(corners: Any) -> Any:
    """The directions square to the edges, each of them both ways."""
    edge = np.roll(corners, -1, axis=-2) - corners
    square = np.stack([edge[..., 1], -edge[..., 0]], axis=-1)
    return np.concatenate([square, -square], axis=-2)


def _from_corner_to_corner(a: Any, b: Any) -> Any:
    """Every direction from a corner of `a` to a corner of `b`."""
    between = b[..., None, :, :] - a[..., :, None, :]
    return between.reshape(*between.shape[:-3], 16, 2)
