"""From drawing to fixture: scale readings, the frame that wrong readings make, error budgets.

The fixture is the simplest that holds a frame: a post for the shell, a holder for the rear axle, an
arm for the seat tube, and an arm for the head tube with two cones. The head tube's arm slides on a
level rail and swings about the point where its axis crosses the rail.

References: JCGM 100:2008 (GUM), 5.1.2 (law of propagation of uncertainty).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from coursekit.frame import Frame, base
from coursekit.rules import not_negative, number, positive, require

SHAPING = (
    "rear_back",
    "rear_up",
    "seat_angle_deg",
    "head_angle_deg",
    "head_ahead",
    "low_face",
    "high_face",
)
FORK = ("fork_length", "fork_offset", "lower_stack", "rear_radius", "front_radius")


@dataclass(frozen=True)
class Settings:
    """Readings of the fixture's scales, seen from the drive side; every zero is the shell's post.

    Attributes
    ----------
    rear_back : float or array
        mm from the post level back to the rear axle.
    rear_up : float or array
        mm from the post up to the rear axle (the drop).
    seat_angle_deg, head_angle_deg : float or array
        Degrees from the rail, leaning back.
    head_ahead : float or array
        mm along the rail from below the post forward to where the steering axis crosses it.
    low_face, high_face : float or array
        mm up the head arm from that crossing to the head tube's faces.
    axle_along : float or array
        mm up the head arm from the crossing to the foot of the front axle; negative below it.
    axle_ahead : float or array
        mm from the arm's axis square forward to the front axle (the fork's offset).
    square : float or array
        mm from the post square to the steering axis, a check that needs no rail.
    """

    rear_back: Any
    rear_up: Any
    seat_angle_deg: Any
    head_angle_deg: Any
    head_ahead: Any
    low_face: Any
    high_face: Any
    axle_along: Any
    axle_ahead: Any
    square: Any

    def cone_tips(self, bore: Any, cone_deg: Any) -> tuple[Any, Any]:
        """Return the readings of the two cones' tips along the head arm.

        A cone stops where it is as wide as the bore, so its tip lies inside the face by
        bore / (2 tan(half its angle)).

        Parameters
        ----------
        bore : float or array
            Inside diameter of the faced head tube, mm, greater than 0.
        cone_deg : float or array
            The cone's whole angle, degrees, above 0 and below 180.

        Returns
        -------
        lower, upper : float or array
            mm up the head arm.

        Raises
        ------
        ValueError
            "The cone's angle must lie between 0° and 180°; got …"; "The bore must be greater than
            0; got …"

        Examples
        --------
        >>> s = Settings(400, 70, 73, 72, 600, 400, 550, 30, 45, 570)
        >>> low, high = s.cone_tips(bore=32, cone_deg=90)
        >>> print(round(low, 6), round(high, 6))
        416.0 534.0
        """
        angle = np.asarray(number("cone_deg", cone_deg, "degrees"))
        require(
            (angle > 0) & (angle < 180),
            "The cone's angle must lie between 0° and 180°; got {angle}°. Give the whole angle of"
            " the cone.",
            angle=angle,
        )
        inside = positive("bore", bore) / (2 * np.tan(np.radians(angle) / 2))
        return self.low_face + inside, self.high_face - inside


@dataclass(frozen=True)
class Budget:
    """Where the uncertainty of a dimension comes from.

    Attributes
    ----------
    slopes : mapping of str to float or array
        For each setting, the change of the dimension for one mm or degree more, mm/mm or mm/°.
    parts : mapping of str to float or array
        For each setting, the slope times its standard uncertainty, mm, never negative.
    """

    slopes: Mapping[str, Any]
    parts: Mapping[str, Any]

    @property
    def total(self) -> Any:
        """Standard uncertainty of the dimension, mm: root of the sum of squares of the parts."""
        return np.sqrt(sum(np.square(p) for p in self.parts.values()))

    @property
    def worst(self) -> Any:
        """Sum of the parts, mm: all errors at their uncertainty and the same way, which is rare."""
        return sum(self.parts.values())


def settings(frame: Frame, rail: Any = 0.0) -> Settings:
    """Return the scale readings that hold the tubes of a frame where its drawing has them.

    Seen from the drive side, the post is at zero, x points forward and y up. The rail lies level,
    `rail` mm below the post's centre.

    Parameters
    ----------
    frame : Frame
        The drawing.
    rail : float or array
        mm from the post's centre down to the rail, 0 or more.

    Returns
    -------
    Settings
        One reading for each scale.

    Raises
    ------
    ValueError
        "The rail must be 0 or more; got -100 mm. …"

    References
    ----------
    Plane trigonometry; the point where a line crosses another.

    Examples
    --------
    >>> from coursekit.frame import draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=425, bb_drop=65, wheel_radius=340,
    ...          fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550,
    ...          front_centre=600)
    >>> s = settings(f)
    >>> print(round(s.rear_back, 3), s.rear_up, round(s.high_face - s.low_face, 6))
    420.0 65.0 150.0
    >>> settings(f, rail=-100)
    Traceback (most recent call last):
    ValueError: The rail must be 0 or more; got -100 mm. Check the sign.
    """
    rail = not_negative("rail", rail)
    b = frame.basic
    back, up = base.rear_axle(b)
    (x, y), (ux, uy) = base.steering(b)
    below = (y + rail) / uy  # from the crossing up the axis to the foot of the front axle
    low = below + base.crown_rise(b) + frame.lower_stack
    return Settings(
        rear_back=-back,
        rear_up=1.0 * up,
        seat_angle_deg=frame.seat_angle_deg,
        head_angle_deg=frame.head_angle_deg,
        head_ahead=x - below * ux,
        low_face=low,
        high_face=low + frame.head_tube,
        axle_along=below,
        axle_ahead=frame.fork_offset,
        square=x * uy - y * ux,
    )


def built(frame: Frame, readings: Settings, rail: Any = 0.0) -> Frame:
    """Return the frame that readings make, standing on its own wheels.

    The fork, the wheels and the seat tube's length are those of `frame`, and the tubes are held
    where the readings say. Where the fork then puts the front axle too low, the frame pitches
    forward on level ground, and both angles and the drop change with it.

    Parameters
    ----------
    frame : Frame
        The frame whose fork and wheels are taken.
    readings : Settings
        What the scales read; axle_along, axle_ahead and square are for checking and are not used.
    rail : float or array
        mm from the post's centre down to the rail.

    Returns
    -------
    Frame
        The frame as it comes out of the fixture.

    Raises
    ------
    ValueError
        "The upper face must lie above the lower; got …"

    References
    ----------
    The line that touches two circles; plane trigonometry.

    Examples
    --------
    >>> from coursekit.frame import draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=425, bb_drop=65, wheel_radius=340,
    ...          fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550,
    ...          front_centre=600)
    >>> print(round(built(f, settings(f)).front_centre, 6))
    600.0
    """
    require(
        np.less(readings.low_face, readings.high_face),
        "The upper face must lie above the lower; got {high} mm and {low} mm. Swap the two "
        "readings.",
        high=readings.high_face,
        low=readings.low_face,
    )
    held = {f.name: getattr(readings, f.name) for f in fields(readings)}
    fork = {n: getattr(frame, n) for n in FORK}
    return _standing({**held, **fork, "rail": rail}, frame.seat_tube)


def _standing(v: Mapping[str, Any], seat_tube: Any) -> Frame:
    """The frame on its wheels from readings and fork; numbers may carry a complex step."""
    angle = v["head_angle_deg"] * (np.pi / 180)
    sin, cos = np.sin(angle), np.cos(angle)
    rise = v["low_face"] - v["lower_stack"] - base.crown_rise(v)
    x = v["head_ahead"] - rise * cos + v["fork_offset"] * sin
    y = -v["rail"] + rise * sin + v["fork_offset"] * cos
    dx, dy = x + v["rear_back"], y - v["rear_up"]
    apart = base.root(dx**2 + dy**2)
    pitch = np.arctan(dy / dx) - np.arcsin((v["front_radius"] - v["rear_radius"]) / apart)
    turn = pitch * (180 / np.pi)
    return Frame(
        seat_angle_deg=v["seat_angle_deg"] + turn,
        head_angle_deg=v["head_angle_deg"] + turn,
        chainstay=base.root(v["rear_back"] ** 2 + v["rear_up"] ** 2),
        bb_drop=v["rear_back"] * np.sin(pitch) + v["rear_up"] * np.cos(pitch),
        head_tube=v["high_face"] - v["low_face"],
        seat_tube=seat_tube,
        front_centre=base.root(x**2 + y**2),
        **{n: v[n] for n in FORK},
    )


def error_budget(
    frame: Frame, errors: Mapping[str, Any], of: str | Callable[[Frame], Any], rail: Any = 0.0
) -> Budget:
    """Return what errors of the scales do to one dimension of the frame on its wheels.

    The budget is of first order, so it is good while the errors are small beside the frame. The
    errors are taken as independent.

    Parameters
    ----------
    frame : Frame
        The drawing.
    errors : mapping of str to float or array
        Standard uncertainty of each setting, mm or degrees, 0 or more. The scales are `rear_back
        rear_up seat_angle_deg head_angle_deg head_ahead low_face high_face`; of the fork and the
        wheels there are `fork_length fork_offset lower_stack rear_radius front_radius`.
    of : str or callable
        Name of a dimension (``"trail"``), or a function of a Frame.
    rail : float or array
        mm from the post's centre down to the rail; the head arm swings about a point on it.

    Returns
    -------
    Budget
        Slopes and parts, the parts in mm.

    Raises
    ------
    ValueError
        "The setting must be one that shapes the frame, …; got 'top_tube'. …"

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2, eq. (10); 5.1.3.

    Examples
    --------
    >>> from coursekit.frame import draw
    >>> f = draw(seat_angle_deg=73, head_angle_deg=72, chainstay=425, bb_drop=65, wheel_radius=340,
    ...          fork_length=385, fork_offset=45, lower_stack=12, head_tube=150, seat_tube=550,
    ...          front_centre=600)
    >>> b = error_budget(f, {"head_ahead": 0.3, "rear_back": 0.4}, of="wheelbase")
    >>> print(round(float(b.total), 3))  # √(0.3² + 0.4²)
    0.5
    >>> error_budget(f, {"top_tube": 0.3}, of="trail")
    Traceback (most recent call last):
    ValueError: The setting must be one that shapes the frame, rear_back, rear_up, seat_angle_deg,
    ...; got 'top_tube'. Check the name.
    """
    readings = settings(frame, rail)
    held = {n: getattr(readings, n) for n in SHAPING} | {n: getattr(frame, n) for n in FORK}
    slopes, parts = {}, {}
    for name, error in errors.items():
        if name not in held:
            raise ValueError(
                f"The setting must be one that shapes the frame, {', '.join(held)}; got {name!r}. "
                "Check the name."
            )
        moved = _standing(
            {**held, name: held[name] + 1j * base.STEP, "rail": rail}, frame.seat_tube
        )
        result = getattr(moved, of) if isinstance(of, str) else of(moved)
        slopes[name] = np.imag(result) / base.STEP
        parts[name] = np.abs(slopes[name]) * not_negative(f"error of {name}", error)
    return Budget(slopes, parts)
