"""A cut end laid flat on paper: a cone unrolls to a sector, an oval to the length of its arc."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coursekit.rules import number, require
from coursekit.sections import Array
from coursekit.stays.ends import EndCut
from coursekit.stays.stay import Stay
from coursekit.stays.vectors import TINY


@dataclass(frozen=True, eq=False)
class Template:
    """The skin of a stay's end as it lies flat, printed side outward.

    x points to the right and y away from the end. Line 180° stands upright in the middle, with its
    place on the base at (0, 0), and the seam is line 0°, at both sides. On a tapered stay the other
    lines lean and the base is an arc.

    Attributes
    ----------
    around_deg : array, (stations,)
        Lines of the stay, degrees; the lines run from right to left where `x` falls.
    edge : array, (stations, 2)
        The cut, mm.
    base : array, (stations, 2)
        The square ring round the stay that the template is laid to, mm.
    base_at : float
        How far that ring is from the end of the centre line, mm along it.
    """

    around_deg: Array
    edge: Array
    base: Array
    base_at: float

    def line(self, around_deg: float) -> tuple[Array, Array]:
        """Return where a line of the stay begins on the cut and ends on the base.

        Parameters
        ----------
        around_deg : float
            Line of the stay, degrees, 0 to 360.

        Returns
        -------
        edge, base : array, (2,)
            mm on the paper.

        Raises
        ------
        ValueError
            "The line must lie between 0° and 360°; got 400°. …"
        """
        number("line", around_deg, "degrees")
        require(
            0 <= around_deg <= 360,
            "The line must lie between 0° and 360°; got {line}°. Take 360° off it.",
            line=around_deg,
        )
        edge, base = (
            np.array([np.interp(around_deg, self.around_deg, way) for way in many.T])
            for many in (self.edge, self.base)
        )
        return edge, base


def template(stay: Stay, cut: EndCut, base_at: float) -> Template:
    """Return the template of a cut end: the skin between the cut and a ring farther in.

    The lines of the stay are straight there. The skin is laid flat strip by strip between them, and
    each strip keeps its lengths and corners. With a line a degree that is right to 1e-5 of the
    girth on round and oval tubes and on cones. An oval whose axes taper unlike each other can't be
    laid flat without a stretch, which stays below 0.01 mm on common stays.

    Parameters
    ----------
    stay : Stay
        What is cut.
    cut : EndCut
        One of its ends.
    base_at : float
        Where the ring lies, mm from the end of the centre line, beyond the short point.

    Returns
    -------
    Template
        Cut and ring on paper, mm.

    Raises
    ------
    ValueError
        "The ring must lie beyond the short point; got 20 mm for 23 mm. …"; "The template must lie
        on a straight piece without a dimple; …"

    References
    ----------
    Development of surfaces by triangles, as sheet-metal work does it.

    Examples
    --------
    >>> from coursekit.stays import Taper, between, cut_end, rod
    >>> taper = Taper((0.0, 400.0), (22.0, 12.0))
    >>> stay = between("right_chainstay", (0, 0, 20), (-420, 60, 60), taper)
    >>> cut = cut_end(stay, {"shell": rod("shell", (0, 0, -34), (0, 0, 34), 40.0)})
    >>> paper = template(stay, cut, 60.0)
    >>> [round(float(v), 2) for v in (*paper.edge[0], *paper.base[0])]
    [-33.88, -42.41, -32.19, 0.63]
    >>> template(stay, cut, 20.0)
    Traceback (most recent call last):
    ValueError: The ring must lie beyond the short point; got 20 mm for 21.10086 mm. Move it away
    from the end.
    """
    number("ring's place", base_at)
    require(
        base_at > cut.short_point,
        "The ring must lie beyond the short point; got {base} mm for {short} mm. Move it away from "
        "the end.",
        base=base_at,
        short=cut.short_point,
    )
    near, far = cut.long_point, float(base_at)
    places = (near, far) if cut.end == "a" else (stay.length - far, stay.length - near)
    _refuse_bent(stay, *places)
    base = stay.surface(places[1] if cut.end == "a" else places[0], cut.around_deg)
    edge, ring = _flat(cut.edge, base)
    middle = int(np.argmin(np.abs(cut.around_deg - 180.0)))
    upright = ring[middle] - edge[middle]
    upright = upright / np.hypot(*upright)
    turn = np.array([[upright[1], -upright[0]], [upright[0], upright[1]]])
    edge, ring = (edge - ring[middle]) @ turn.T, (ring - ring[middle]) @ turn.T
    mirror = np.array([_hand(stay, cut), 1.0])
    return Template(cut.around_deg, edge * mirror, ring * mirror, far)


def _hand(stay: Stay, cut: EndCut) -> float:
    """1 where the degrees grow to the right, seen from outside with the end down."""
    line = stay.line
    inward = line.direction if cut.end == "a" else -line.direction
    return float(np.sign(np.cross(inward, line.zero) @ line.ninety))


def _refuse_bent(stay: Stay, begin: float, end: float) -> None:
    """Refuse a template that reaches into a bend or a dimple."""
    taken = [(b.at, b.end) for b in stay.line.bends]
    taken += [(d.at - d.length / 2, d.at + d.length / 2) for d in stay.taper.dimples]
    for low, high in taken:
        require(
            end < low + TINY or begin > high - TINY,
            "The template must lie on a straight piece without a dimple; got {begin} mm to {end} "
            "mm, and {low} mm to {high} mm is not. Move the ring, or the bend.",
            begin=begin,
            end=end,
            low=low,
            high=high,
        )


def _flat(edge: Array, base: Array) -> tuple[Array, Array]:
    """Both ends of all lines on paper, the first line upright with its base at (0, 0)."""
    line = edge - base
    long = np.linalg.norm(line, axis=1)
    step = np.diff(base, axis=0)
    chord = np.linalg.norm(step, axis=1)
    here = np.arccos(np.sum(step * line[:-1], axis=1) / chord / long[:-1])
    there = np.arccos(-np.sum(step * line[1:], axis=1) / chord / long[1:])
    heading = np.concatenate([[0.0], np.cumsum(here + there - np.pi)])
    # the line points down (the end is below); the step leaves it at the angle `here`, to the right
    way = heading[:-1] + here
    right = np.column_stack([np.sin(way), -np.cos(way)]) * chord[:, None]
    ring = np.concatenate([np.zeros((1, 2)), np.cumsum(right, axis=0)])
    down = np.column_stack([np.sin(heading), -np.cos(heading)])
    return ring + down * long[:, None], ring
