"""The drawn frame: its dimensions, its points, what they react to, and its tubes once placed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coursekit.frame import base, solve
from coursekit.frame.place import placed
from coursekit.frame.tubes import Chainstay, DownTube, FrameJoint, Placed, Seatstay, TopTube
from coursekit.rules import not_negative

DIMENSIONS = (*base.BASIC, *base.DERIVED, "wheel_radius")  # every name that `draw` takes
TOE_CLEARANCE_US = 89.0  # mm, 16 CFR 1512.17 (3-1/2 in), bicycles without foot retention


@dataclass(frozen=True)
class Frame:
    """A frame, or many frames: twelve basic dimensions, and everything that follows from them.

    Make one with `draw`. Lengths are in mm and angles in degrees; each is a number or an array.
    """

    seat_angle_deg: Any
    head_angle_deg: Any
    chainstay: Any
    bb_drop: Any
    rear_radius: Any
    front_radius: Any
    fork_length: Any
    fork_offset: Any
    lower_stack: Any
    head_tube: Any
    seat_tube: Any
    front_centre: Any
    driving: tuple[str, ...] = base.BASIC
    tubes: Placed | None = None

    @property
    def basic(self) -> dict[str, Any]:
        """The twelve basic dimensions by name."""
        return {name: getattr(self, name) for name in base.BASIC}

    @property
    def wheelbase(self) -> Any:
        """Axle to axle along the ground, mm."""
        return base.wheelbase(self.basic)

    @property
    def trail(self) -> Any:
        """Steering axis to front contact along the ground, mm; positive when the axis leads."""
        return base.trail(self.basic)

    @property
    def mechanical_trail(self) -> Any:
        """Front contact to the steering axis, square to the axis, mm."""
        return base.mechanical_trail(self.basic)

    @property
    def wheel_flop(self) -> Any:
        """Trail · sin · cos of the head angle, mm."""
        return base.wheel_flop(self.basic)

    @property
    def stack(self) -> Any:
        """Height of the head tube's top centre above the bottom bracket, mm."""
        return base.head_high(self.basic)[1]

    @property
    def reach(self) -> Any:
        """Level distance from the bottom bracket forward to the head tube's top centre, mm."""
        return base.head_high(self.basic)[0]

    @property
    def top_tube_level(self) -> Any:
        """Level distance from the head tube's top centre back to the seat axis, mm."""
        return base.top_tube_level(self.basic)

    @property
    def bb_height(self) -> Any:
        """Height of the bottom bracket above the ground, mm."""
        return -base.ground(self.basic)

    @property
    def points(self) -> dict[str, tuple[Any, Any]]:
        """Points of the frame by name, seen from the drive side.

        `steer_foot` is the point of the steering axis nearest the front axle; `trail_point` is
        where the axis meets the ground, and `rear_contact` and `front_contact` are where the wheels
        do.

        Returns
        -------
        dict of str to (x, y)
            mm from the bottom bracket, x forward, y up.
        """
        b, level = self.basic, base.ground(self.basic)
        rear, front, (foot, _) = base.rear_axle(b), base.front_axle(b), base.steering(b)
        zero = np.zeros_like(rear[0])[()]
        return {
            "bb": (zero, zero),
            "rear_axle": rear,
            "front_axle": front,
            "steer_foot": foot,
            "crown": base.on_axis(b, base.crown_rise(b)),
            "head_low": base.head_low(b),
            "head_high": base.head_high(b),
            "seat_top": base.seat_top(b),
            "rear_contact": (rear[0], level),
            "front_contact": (front[0], level),
            "trail_point": (front[0] + base.trail(b), level),
        }

    def toe_clearance(self, crank: Any, foot: Any) -> Any:
        """Return the least gap between toe and front tyre over the whole turn of the crank.

        It is taken in side view, with the wheel straight ahead and the foot level. When the wheel
        is turned, its rear edge swings forward past a foot that stands to the side, so the side
        view is the cautious one. With ``foot=0`` the result is a lower bound of the distance from
        the pedal's centre to the tyre that 16 CFR 1512.17 measures level, which must be at least
        `TOE_CLEARANCE_US` where nothing holds the foot.

        Parameters
        ----------
        crank : float or array
            Bottom bracket to pedal axle, mm, 0 or more.
        foot : float or array
            Pedal axle to the tip of the shoe, mm, 0 or more.

        Returns
        -------
        float or array
            Gap, mm; negative where they overlap.

        Raises
        ------
        ValueError
            "The crank must be 0 or more; got …"; "The foot must be 0 or more; got …"

        References
        ----------
        16 CFR 1512.17(d), toe clearance.

        Examples
        --------
        >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70,
        ...          wheel_radius=340, fork_length=385, fork_offset=45, lower_stack=12,
        ...          head_tube=150, seat_tube=550, front_centre=600)
        >>> print(round(f.toe_clearance(crank=170, foot=0), 3))  # 600 − 340 − 170
        90.0
        """
        x, y = base.front_axle(self.basic)
        crank, foot = not_negative("crank", crank), not_negative("foot", foot)
        return base.root((x - foot) ** 2 + y**2) - crank - self.front_radius

    def sensitivity(self, of: str | Callable[[Frame], Any], to: str) -> Any:
        """Return how much a dimension changes for one mm (or degree) more of a driving dimension.

        The other *driving* dimensions, those that `draw` was given, stay as they are. So the
        wheelbase of a frame drawn from its reach reacts differently from one drawn from its front
        centre. The result is exact to rounding, because the step is complex.

        Parameters
        ----------
        of : str or callable
            Name of a dimension, or a function of a Frame made of sums, products, roots and sines.
        to : str
            Name of a driving dimension.

        Returns
        -------
        float or array
            mm/mm, mm/°, °/mm or °/°.

        Raises
        ------
        ValueError
            "The dimension to change must be one the frame was drawn from, …; got 'reach'. …"

        References
        ----------
        Squire & Trapp (1998), SIAM Review 40, 110–112; JCGM 100:2008 (GUM), 5.1.3.

        Examples
        --------
        >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70,
        ...          wheel_radius=340, fork_length=385, fork_offset=45, lower_stack=12,
        ...          head_tube=150, seat_tube=550, front_centre=600)
        >>> print(round(f.sensitivity("trail", "fork_offset"), 4))  # −1 / sin 72°
        -1.0515
        >>> f.sensitivity("trail", "reach")
        Traceback (most recent call last):
        ValueError: The dimension to change must be one the frame was drawn from, seat_angle_deg,
        ...; got 'reach'. Draw the frame from it.
        """
        if to not in self.driving:
            raise ValueError(
                "The dimension to change must be one the frame was drawn from, "
                f"{', '.join(self.driving)}; got {to!r}. Draw the frame from it."
            )
        names = [n for d in self.driving for n in _both(d)]
        slope = solve.slopes(self.basic, names, base.BASIC)
        change = np.array([1.0 if n in _both(to) else 0.0 for n in names])
        moves = np.linalg.pinv(slope) @ change
        steps = np.moveaxis(1j * base.STEP * moves, -1, 0)
        shifted = Frame(**{n: v + s for (n, v), s in zip(self.basic.items(), steps, strict=True)})
        result = getattr(shifted, of) if isinstance(of, str) else of(shifted)
        return np.imag(result) / base.STEP

    def place(
        self,
        *,
        top_tube: TopTube,
        down_tube: DownTube,
        seat_tube: Any = 28.6,
        head_tube: Any = 36.0,
        shell: Any = 38.1,
        chainstay: Chainstay | None = None,
        seatstay: Seatstay | None = None,
    ) -> Frame:
        """Return the same frame with its tubes in place, so that `joints` and `tubes` can be read.

        Each tube is laid by its edges in the plane of the frame; see `TopTube` and `DownTube`.
        Stays run from both sides of the frame's plane to the rear axle; see `Chainstay` and
        `Seatstay`.

        Parameters
        ----------
        top_tube : TopTube
            How the top tube lies.
        down_tube : DownTube
            How the down tube lies.
        seat_tube, head_tube, shell : float or array
            Outside diameters, mm.
        chainstay : Chainstay, optional
            How the pair of chainstays lies.
        seatstay : Seatstay, optional
            How the pair of seatstays lies.

        Returns
        -------
        Frame
            With `tubes` filled in.

        Raises
        ------
        ValueError
            "The head tube must be long enough for both tubes; got …"; "The top tube must be given
            by one of below_seat_top and slope_deg; got …"; "The top tube must meet the seat tube
            below its top; got …"

        Examples
        --------
        >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=430, bb_drop=70,
        ...          wheel_radius=340, fork_length=385, fork_offset=45, lower_stack=12,
        ...          head_tube=150, seat_tube=620, front_centre=600)
        >>> built = f.place(top_tube=TopTube(28.6, below_head_top=12, slope_deg=0),
        ...                 down_tube=DownTube(31.8, above_head_bottom=10))
        >>> print(round(built.joints["top_tube-head_tube"].angle_deg, 6))  # level: the head angle
        72.0
        """
        sizes = {"head_tube": head_tube, "seat_tube": seat_tube, "shell": shell}
        done = placed(
            self.points,
            self.head_angle_deg,
            self.seat_angle_deg,
            sizes,
            top_tube,
            down_tube,
            chainstay,
            seatstay,
        )
        return replace(self, tubes=done)

    @property
    def joints(self) -> Mapping[str, FrameJoint]:
        """Joints for mitering by "cut-into", as ``"down_tube-head_tube"``; after `place`."""
        if self.tubes is None:
            raise ValueError(
                "The tubes must be placed before there are joints; got none. Call place(...) first."
            )
        return self.tubes.joints


def _both(name: str) -> tuple[str, ...]:
    return ("rear_radius", "front_radius") if name == "wheel_radius" else (name,)


def draw(**dimensions: Any) -> Frame:
    """Return the one frame that has the dimensions given.

    It is the side view from the drive side, with the origin at the bottom bracket, x forward and y
    up. Closed forms solve the usual sets. Any other sufficient set is searched for by least squares
    from many starts, and refused where two frames fit. No mirrored answer is taken: the front axle
    lies ahead of the bottom bracket, the rear axle behind it, and the fork's offset to the front.

    Parameters
    ----------
    **dimensions : float or array
        As many of the following as fix the frame, mm and degrees; arrays broadcast and make a batch
        of frames.

        - seat_angle_deg, head_angle_deg: from the horizontal, above 45° and up to 90°
        - chainstay: rear axle to bottom bracket, straight
        - bb_drop: bottom bracket below the *rear* axle, positive down
        - wheel_radius: of both wheels with their tyres; or rear_radius and front_radius
        - fork_length: front axle to crown race seat, straight
        - fork_offset: front axle to steering axis, square to the axis
        - lower_stack: crown race seat to head tube
        - head_tube, seat_tube: lengths; the seat tube from bottom-bracket centre to its top
        - front_centre: front axle to bottom bracket, straight
        - wheelbase, reach, stack, top_tube_level, bb_height, trail, mechanical_trail, wheel_flop:
          each in place of a basic dimension

    Returns
    -------
    Frame
        With every dimension that was given.

    Raises
    ------
    ValueError
        "The dimensions given must fix the frame; still free: …"; "The dimensions must not
        contradict each other; got …"; "The dimensions must belong to a frame that can exist; …";
        "The dimensions must fit one frame only; got …"; "The chainstay must be longer than the
        drop, or it cannot reach the axle; got …"

    Examples
    --------
    The rear axle lies √(425² − 65²) = 420.0 mm behind the bottom bracket, the front axle
    √(600² − 65²) = 596.5 mm ahead of it:

    >>> usual = dict(seat_angle_deg=73, head_angle_deg=72, bb_drop=65, wheel_radius=340,
    ...              fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550)
    >>> frame = draw(chainstay=425, front_centre=600, **usual)
    >>> print(round(frame.wheelbase, 1))
    1016.5
    >>> draw(chainstay=60, front_centre=600, **usual)
    Traceback (most recent call last):
    ValueError: The chainstay must be longer than the drop, or it cannot reach the axle; got a
    chainstay of 60 mm and a drop of 65 mm. Check both numbers.
    """
    for name in dimensions:
        if name not in DIMENSIONS:
            raise ValueError(
                f"A dimension must be one of {', '.join(DIMENSIONS)}; got {name!r}. Check the name."
            )
    named = {k: _plain(v) for d, v in dimensions.items() for k in _names(d, dimensions)}
    return Frame(**solve.solved(named), driving=tuple(dimensions))


def _names(name: str, dimensions: Mapping[str, Any]) -> tuple[str, ...]:
    """The basic names of a dimension; `wheel_radius`, given alone, stands for both radii."""
    twice = [n for n in _both(name) if name == "wheel_radius" and n in dimensions]
    if twice:
        raise ValueError(
            f"The wheels must be given once; got wheel_radius and {twice[0]}. Leave one out."
        )
    return _both(name)


def _plain(value: Any) -> Any:
    return np.asarray(value, float) if isinstance(value, list | tuple | np.ndarray) else value
