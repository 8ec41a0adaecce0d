"""Raking a blade over a former: how tight the former must be, and what springs back.

The blade lies in the former's groove, whose bottom has the former's radius; so where the blade is
thick its axis lies on a larger arc than where it is thin. Bending and spring-back are those of
`bending`, section by section. That model has no hardening and keeps the section round. A real blade
flattens a little, and wrinkles on the inside where it is thin or the former too tight; builders
bend the tapered end, whose wall is thick, in a groove that fits it, cold and slowly, and try one
blade before they cut the pair (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import bending
from coursekit.coldset import strain_limit
from coursekit.fork.blade import Blade
from coursekit.rules import not_negative, positive, require
from coursekit.scalars import bare
from coursekit.tubes import Round

_STEPS = 400  # per length of even taper; Simpson's rule twice, so a multiple of 4
HALVINGS = 60
NEAR = 1e-6  # mm by which the offset found may miss the one wanted


def former_radius(
    radius: ArrayLike, tube: bending.Tube, yield_stress: ArrayLike, modulus: ArrayLike
) -> Any:
    """Return the radius of the former that leaves a tube at a wanted radius when it is let go.

    Parameters
    ----------
    radius : float or array
        Of the bend that is to stay, measured to the tube's axis, mm, above 0.
    tube : tubes.Round
        The tube where it is bent.
    yield_stress, modulus : float or array
        MPa, greater than 0, of the tube as it is bent.

    Returns
    -------
    float or array
        To the bottom of the former's groove, mm: the axis under load, less half the diameter.

    Raises
    ------
    ValueError
        "The radius to stay must be greater than 0; got …"; "The former must have a radius; got a
        bend of 7 mm on a tube of 16 mm. …"

    References
    ----------
    `bending.curvature_for_set`.

    Examples
    --------
    >>> tube = Round(16.0, 1.0)
    >>> round(former_radius(218.7, tube, 517.0, 205_000.0), 1)  # 200 to the axis, less 8
    192.0
    >>> former_radius(7.0, tube, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The former must have a radius; got a bend of 7 mm on a tube of 16 mm. Bend less.
    """
    stays = np.asarray(positive("radius to stay", radius), dtype=float)
    axis = 1 / np.asarray(bending.curvature_for_set(1 / stays, tube, yield_stress, modulus))
    left = axis - np.asarray(tube.diameter) / 2
    require(
        left > 0,
        "The former must have a radius; got a bend of {stays} mm on a tube of {wide} mm. Bend "
        "less.",
        stays=stays,
        wide=tube.diameter,
    )
    return bare(left)


@dataclass(frozen=True)
class Wrapped:
    """What a former leaves in a blade that was laid round it and let go.

    Attributes
    ----------
    start, end : float
        First and last place of the blade that lay on the former, mm from its upper end.
    held_deg : float
        How far the former turned the blade, degrees.
    angle_deg : float
        How far it stays turned, degrees.
    offset : float
        How far the tip then lies ahead of the line of the upper part, mm.
    drop : float
        How far down that line the tip lies, mm.
    strain : float
        Greatest strain of the wall's outside under load, a plain number.
    strain_share : float
        The greatest share that it has anywhere of `coldset.strain_limit`, which is for a tube that
        nothing holds. A groove that fits lets a blade go beyond 1; how far, only a trial tells
        (common practice, no source).
    """

    start: float
    end: float
    held_deg: float
    angle_deg: float
    offset: float
    drop: float
    strain: float
    strain_share: float

    @property
    def springback_deg(self) -> float:
        """How far the blade turns back when it is let go, degrees."""
        return self.held_deg - self.angle_deg


def wrapped(
    blade: Blade, radius: float, start: float, end: float, yield_stress: float, modulus: float
) -> Wrapped:
    """Return what stays in a blade that was laid on a former from one place to another.

    Outside these places the blade stays straight. The blade is cut to length, and its taper counts:
    set and strain are worked out section by section and summed along the axis.

    Parameters
    ----------
    blade : Blade
        Cut to length, and round where it is bent.
    radius : float
        Of the bottom of the former's groove, mm, above 0.
    start, end : float
        First and last place that lies on the former, mm from the blade's upper end.
    yield_stress, modulus : float
        MPa, greater than 0.

    Returns
    -------
    Wrapped
        Angle, offset and drop that stay, and the strain under load.

    Raises
    ------
    ValueError
        "The bend must end below its start and on the blade; got 300 mm to 200 mm of 380 mm. …";
        "The blade must be round where it is bent; got 28 mm by 20 mm. …"

    References
    ----------
    `bending.set_curvature`; the sums by Simpson's rule.

    Examples
    --------
    >>> from coursekit.fork import tapered
    >>> blade = tapered(380.0, top=24.0, tip=12.0, straight=180.0, wall=0.9, tip_wall=1.3)
    >>> found = wrapped(blade, 200.0, 250.0, 365.0, 517.0, 205_000.0)
    >>> round(found.angle_deg, 2), round(found.offset, 2), round(found.springback_deg, 2)
    (28.83, 35.69, 2.82)
    >>> wrapped(blade, 200.0, 365.0, 250.0, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The bend must end below its start and on the blade; got 365 mm to 250 mm of 380 mm.
    Check both places.
    """
    size = positive("radius of the former", radius)
    require(
        0 <= not_negative("start of the bend", start) < end <= blade.length,
        "The bend must end below its start and on the blade; got {start} mm to {end} mm of "
        "{length} mm. Check both places.",
        start=start,
        end=end,
        length=blade.length,
    )
    turned = held = down = ahead = strain = share = 0.0
    for low, high in pairwise([start, *(p for p in blade.places if start < p < end), end]):
        one = _length(blade, size, low, high, turned, (yield_stress, modulus))
        held, down, ahead = held + one[0], down + one[2], ahead + one[3]
        turned, strain, share = one[1], max(strain, one[4]), max(share, one[5])
    tail = blade.length - end
    return Wrapped(
        start=float(start),
        end=float(end),
        held_deg=float(np.degrees(held)),
        angle_deg=float(np.degrees(turned)),
        offset=float(ahead + tail * np.sin(turned)),
        drop=float(start + down + tail * np.cos(turned)),
        strain=strain,
        strain_share=share,
    )


def _length(
    blade: Blade, radius: float, low: float, high: float, turned: float, steel: tuple[float, float]
) -> tuple[float, float, float, float, float, float]:
    """One length of even taper: angle held, angle at its end, way down and ahead, strains."""
    step = (high - low) / _STEPS
    tube = _round(blade, np.linspace(low, high, _STEPS + 1))
    axis = radius + tube.diameter / 2
    turn = turned + _summed(bending.set_curvature(1 / axis, tube, *steel), step)
    down, ahead = (_summed(f(turn), 2 * step)[-1] for f in (np.cos, np.sin))
    strain = tube.diameter / 2 / axis
    held = _summed(1 / axis, step)[-1]
    shares = strain / strain_limit(tube)
    values = (held, turn[-1], down, ahead, strain.max(), np.max(shares))
    return tuple(float(v) for v in values)  # type: ignore[return-value]


def _round(blade: Blade, along: Any) -> Round:
    tube = blade.section_at(along)
    deep, wide = blade.depth_at(along), blade.width_at(along)
    require(
        isinstance(tube, Round),
        "The blade must be round where it is bent; got {deep} mm by {wide} mm. Bend it farther "
        "down.",
        deep=np.max(deep),
        wide=np.max(wide),
    )
    assert isinstance(tube, Round)
    return tube


def _summed(values: Any, step: float) -> Any:
    """The integral from the first value to every second one, by Simpson's rule."""
    pieces = (values[:-2:2] + 4 * values[1:-1:2] + values[2::2]) * step / 3
    return np.concatenate([[0.0], np.cumsum(pieces)])


def wrap_for(
    blade: Blade, offset: float, radius: float, start: float, yield_stress: float, modulus: float
) -> Wrapped:
    """Return how far to lay a blade round a former so that its tip keeps a wanted offset.

    Parameters
    ----------
    blade : Blade
        Cut to length, and round where it is bent.
    offset : float
        How far the tip must lie ahead of the line of the upper part once the blade is let go, mm.
    radius : float
        Of the bottom of the former's groove, mm, above 0.
    start : float
        First place that lies on the former, mm from the blade's upper end.
    yield_stress, modulus : float
        MPa, greater than 0.

    Returns
    -------
    Wrapped
        Its `end` is where to stop, and its `held_deg` the angle at which to stop.

    Raises
    ------
    ValueError
        "The former must be able to give the offset; got 80 mm where 52.1 mm is the most. …", and
        the messages of `wrapped`.

    References
    ----------
    `wrapped`, turned round by halving.

    Examples
    --------
    >>> from coursekit.fork import tapered
    >>> blade = tapered(380.0, top=24.0, tip=12.0, straight=180.0, wall=0.9, tip_wall=1.3)
    >>> found = wrap_for(blade, 30.0, 200.0, 250.0, 517.0, 205_000.0)
    >>> round(found.offset, 6), round(found.end, 2)
    (30.0, 324.56)
    >>> wrap_for(blade, 80.0, 200.0, 250.0, 517.0, 205_000.0)
    Traceback (most recent call last):
    ValueError: The former must be able to give the offset; got 80 mm where 36.1 mm is the most.
    Start higher up the blade, or take a tighter former.
    """
    wanted = positive("offset of the bend", offset)
    low, high = start, blade.length
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if not low < middle < high:
            break
        one = wrapped(blade, radius, start, middle, yield_stress, modulus)
        more = one.offset < wanted and one.angle_deg < 90
        low, high = (middle, high) if more else (low, middle)
    found = wrapped(blade, radius, start, high, yield_stress, modulus)
    require(
        found.offset > wanted - NEAR,
        "The former must be able to give the offset; got {wanted} mm where {most} mm is the most. "
        "Start higher up the blade, or take a tighter former.",
        wanted=wanted,
        most=np.round(found.offset, 1),
    )
    return found
