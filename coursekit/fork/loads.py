"""What a force on the front wheel does to a fork, taken as a cantilever that the head tube holds.

These calculations certify nothing. They teach where a fork works hardest: at the foot of the
steerer, and at the top of the blades. They leave out fatigue, the heat beside the joint, dents and
a badly wetted socket. A fork that breaks throws its rider, so it is proved by tests in a
laboratory, and by nothing else.

The picture is the frame's: x forward, y up. A bending is positive where it moves the axle forward
against the steerer, and negative where it moves it back, as a kerb and the brake do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare
from coursekit.tubes import Oval, Round


@dataclass(frozen=True)
class StandardLoad:
    """One load by which a standard judges forks.

    Attributes
    ----------
    name : str
        What is done.
    source : str
        The standard and its clause.
    force : float, optional
        N.
    energy : float, optional
        J.
    cycles : int, optional
        How often.
    most_set : float, optional
        What may stay bent, mm.
    """

    name: str
    source: str
    force: float | None = None
    energy: float | None = None
    cycles: int | None = None
    most_set: float | None = None


# Read in the public sample of ASTM F2899-11 (forks for roads and smooth surfaces), in public copies
# of the Code of Federal Regulations and in TBIS 4210-6:2019, which stands on ISO 4210-6. What each
# means, how the fork is held and what else is asked stands in the standard.
STANDARD_LOADS = (
    StandardLoad("bending, once", "ASTM F2899-11, 5.1.2", force=1200.0, most_set=5.0),
    StandardLoad(
        "falling mass of 22.5 kg, at 3.54 m/s", "ASTM F2899-11, 5.1.3", energy=141.2, most_set=45.0
    ),
    StandardLoad("bending to and fro", "ASTM F2899-11, 5.1.4", force=620.0, cycles=100_000),
    StandardLoad(
        "fork and frame, whichever makes the greater force",
        "16 CFR 1512.14",
        force=890.0,
        energy=39.5,
    ),
    StandardLoad("pull along the steerer, for a minute", "TBIS 4210-6:2019, 5.7", force=5000.0),
)


def levers(
    fork_length: ArrayLike,
    fork_offset: ArrayLike,
    head_angle_deg: ArrayLike,
    below: ArrayLike = 0.0,
) -> tuple[Any, Any]:
    """Return how far the axle lies (below, ahead of) a place on the steering axis, level and plumb.

    Parameters
    ----------
    fork_length, fork_offset : float or array
        Axle to crown race seat, straight, and to the steering axis, square to it, mm.
    head_angle_deg : float or array
        Head angle from the horizontal, degrees, above 45 and at most 90.
    below : float or array
        From the crown race seat down the steering axis to the place, mm; 0 is the foot of the
        steerer.

    Returns
    -------
    height, ahead : float or array
        mm: the lever of a level force, and of an upright one.

    Raises
    ------
    ValueError
        "The fork must be longer than its offset; got …"; "The head angle must lie between 45° and
        90° from the horizontal; got …"

    References
    ----------
    The drawing turned by the head angle, as in `frame`.

    Examples
    --------
    >>> [round(v, 2) for v in levers(380.0, 45.0, 90.0)]
    [377.33, 45.0]
    >>> levers(380.0, 45.0, 18.0)
    Traceback (most recent call last):
    ValueError: The head angle must lie between 45° and 90° from the horizontal; got 18°. If it was
    measured from the vertical, take it from 90°.
    """
    length = np.asarray(positive("fork length", fork_length), dtype=float)
    offset = np.asarray(not_negative("fork offset", fork_offset), dtype=float)
    require(
        offset < length,
        "The fork must be longer than its offset; got a length of {length} mm and an offset of "
        "{offset} mm. Check both numbers.",
        length=length,
        offset=offset,
    )
    angle = np.asarray(number("head angle", head_angle_deg, "degrees"), dtype=float)
    require(
        (angle > 45) & (angle <= 90),
        "The head angle must lie between 45° and 90° from the horizontal; got {angle}°. If it was "
        "measured from the vertical, take it from 90°.",
        angle=angle,
    )
    drop = np.sqrt((length - offset) * (length + offset)) - number("place on the axis", below)
    s, c = np.sin(np.radians(angle)), np.cos(np.radians(angle))
    return bare(drop * s - offset * c), bare(drop * c + offset * s)


def axle_bending(height: ArrayLike, ahead: ArrayLike, forward: ArrayLike, up: ArrayLike) -> Any:
    """Return the bending at a place of the fork from a force on the axle.

    Parameters
    ----------
    height, ahead : float or array
        How far the axle lies below that place and ahead of it, mm, from `levers`.
    forward, up : float or array
        The force on the axle, N, positive forward and up.

    Returns
    -------
    float or array
        N·mm, for both blades together: height · forward + ahead · up.

    Raises
    ------
    ValueError
        "The force forward must be a finite number in N; got …"

    References
    ----------
    Force times lever, in any text on statics.

    Examples
    --------
    A kerb pushes the axle back with 500 N, 350 mm below the crown race seat:

    >>> axle_bending(350.0, 150.0, forward=-500.0, up=0.0)
    -175000.0
    >>> axle_bending(350.0, 150.0, forward=float("inf"), up=0.0)
    Traceback (most recent call last):
    ValueError: The force forward must be a finite number in N; got inf. Give a plain number.
    """
    level = np.asarray(number("height of the lever", height), dtype=float)
    plumb = np.asarray(number("lever ahead", ahead), dtype=float)
    push = np.asarray(number("force forward", forward, "N"), dtype=float)
    return bare(level * push + plumb * np.asarray(number("force up", up, "N"), dtype=float))


def braking_bending(
    height: ArrayLike, ahead: ArrayLike, radius: ArrayLike, brake: ArrayLike, weight: ArrayLike
) -> Any:
    """Return the bending at a place of the fork above its brake while the front wheel brakes.

    The road pushes the tyre back and up. Wheel, brake and blades below that place are one piece
    then, so it does not matter whether the brake works on rim or disc.

    Parameters
    ----------
    height, ahead : float or array
        How far the axle lies below that place and ahead of it, mm, from `levers`.
    radius : float or array
        Of the wheel, mm, above 0.
    brake : float or array
        How hard the road pushes the tyre back, N, 0 or more.
    weight : float or array
        How hard it pushes the wheel up, N, 0 or more.

    Returns
    -------
    float or array
        N·mm, for both blades together: ahead · weight − (height + radius) · brake.

    Raises
    ------
    ValueError
        "The brake's force must be 0 or more; got …"; "The radius of the wheel must be greater than
        0; got …"

    Notes
    -----
    The greatest brake force is where the rear wheel lifts: rider and bicycle weigh W, their centre
    of mass lies h above the road and b behind the front axle, and brake = W·b/h.

    References
    ----------
    Force times lever, in any text on statics.

    Examples
    --------
    >>> braking_bending(350.0, 150.0, 340.0, brake=500.0, weight=800.0)
    -225000.0
    >>> braking_bending(350.0, 150.0, 340.0, brake=-500.0, weight=800.0)
    Traceback (most recent call last):
    ValueError: The brake's force must be 0 or more; got -500 N. Check the sign.
    """
    level = np.asarray(number("height of the lever", height), dtype=float)
    size = np.asarray(positive("radius of the wheel", radius), dtype=float)
    push = np.asarray(not_negative("brake's force", brake, "N"), dtype=float)
    load = np.asarray(not_negative("weight on the wheel", weight, "N"), dtype=float)
    plumb = np.asarray(number("lever ahead", ahead), dtype=float)
    return bare(plumb * load - (level + size) * push)


def pad_drag(brake: ArrayLike, radius: ArrayLike, pads: ArrayLike) -> Any:
    """Return how hard the pads drag on rim or disc so that the road pushes the tyre back.

    The wheel is in balance about its axle: drag · pads = brake · radius. The pads take the drag to
    the fork where they sit, and the axle pushes back by as much. With a rim brake above the axle
    the blades between axle and brake are therefore pushed back at the axle by brake and drag
    together, more than twice the brake's force. With a disc the drag and the axle pull at one blade
    as a pair, a hand's width apart.

    Parameters
    ----------
    brake : float or array
        How hard the road pushes the tyre back, N, 0 or more.
    radius : float or array
        Of the wheel, mm, above 0.
    pads : float or array
        From the axle to the middle of the pads, mm, above 0 and below `radius`.

    Returns
    -------
    float or array
        N, along the rim or disc at the pads.

    Raises
    ------
    ValueError
        "The pads must lie nearer to the axle than the tread; got 350 mm against 340 mm. …"

    References
    ----------
    Balance of moments about the axle, in any text on statics.

    Examples
    --------
    >>> round(pad_drag(400.0, 340.0, 311.0), 1), round(pad_drag(400.0, 340.0, 70.0), 1)
    (437.3, 1942.9)
    >>> pad_drag(400.0, 340.0, 350.0)
    Traceback (most recent call last):
    ValueError: The pads must lie nearer to the axle than the tread; got 350 mm against 340 mm.
    Check both numbers.
    """
    size = np.asarray(positive("radius of the wheel", radius), dtype=float)
    at = np.asarray(positive("radius of the pads", pads), dtype=float)
    require(
        at < size,
        "The pads must lie nearer to the axle than the tread; got {at} mm against {size} mm. Check "
        "both numbers.",
        at=at,
        size=size,
    )
    return bare(np.asarray(not_negative("brake's force", brake, "N"), dtype=float) * size / at)


def blade_stress(bending: ArrayLike, section: Round | Oval) -> Any:
    """Return the greatest bending stress in the two blades, which share a bending evenly.

    For the steerer, which has no partner, use `beams.edge_stress`.

    Parameters
    ----------
    bending : float or array
        For both blades together, N·mm, either sign.
    section : tubes.Round or tubes.Oval
        Of one blade; an oval with its depth from front to back.

    Returns
    -------
    float or array
        MPa, without a sign.

    Raises
    ------
    ValueError
        "The bending must be a finite number in N·mm; got nan. …"

    References
    ----------
    Gere & Timoshenko, Mechanics of Materials, 4th ed. (1997), eq. 5-13 (from memory).

    Examples
    --------
    >>> round(blade_stress(200_000.0, Round(28.6, 0.9)), 2)
    190.17
    >>> blade_stress(float("nan"), Round(28.6, 0.9))
    Traceback (most recent call last):
    ValueError: The bending must be a finite number in N·mm; got nan. Give a plain number.
    """
    moment = np.abs(np.asarray(number("bending", bending, "N·mm"), dtype=float)) / 2
    if isinstance(section, Round):
        return bare(moment / section.modulus)
    return bare(moment * (np.asarray(section.depth) / 2) / section.inertia_width)
