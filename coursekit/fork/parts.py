"""What a fork is put together from: crown, dropouts and steerer. The picture is `fork`'s."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.rules import not_negative, number, positive, require
from coursekit.scalars import bare


@dataclass(frozen=True)
class Crown:
    """Where the upper ends of the blades sit, against the crown race seat.

    For a fork without a crown these are the places where the straight parts of the blades begin;
    `Shoulder` has what lies above them.

    Attributes
    ----------
    below : float or array
        From the crown race seat down the steering axis to the blades' upper ends, mm.
    spread : float or array
        Between the axes of the two blades at their upper ends, mm, above 0.
    ahead : float or array
        How far these ends lie ahead of the steering axis, mm.
    angle_deg : float or array
        How far the sockets lean forward, degrees: 0 where they are parallel to the steering axis,
        positive where the blades go forward on their way down; between −45 and 45.

    Raises
    ------
    ValueError
        "The sockets must lean by less than 45°; got 72°. …"

    Examples
    --------
    >>> Crown(below=20.0, spread=62.0)
    Crown(below=20.0, spread=62.0, ahead=0.0, angle_deg=0.0)
    >>> Crown(20.0, 62.0, angle_deg=72.0)
    Traceback (most recent call last):
    ValueError: The sockets must lean by less than 45°; got 72°. Measure from the steering axis.
    """

    below: Any
    spread: Any
    ahead: Any = 0.0
    angle_deg: Any = 0.0

    def __post_init__(self) -> None:
        number("distance from the crown race seat to the blades", self.below)
        positive("spread of the blades", self.spread)
        number("distance of the blades ahead", self.ahead)
        angle = number("lean of the sockets", self.angle_deg, "degrees")
        require(
            np.abs(angle) < 45,
            "The sockets must lean by less than 45°; got {angle}°. Measure from the steering axis.",
            angle=angle,
        )


@dataclass(frozen=True)
class Dropout:
    """One of the pair of dropouts, from the blade's tip to the axle.

    Attributes
    ----------
    reach : float or array
        From the blade's tip to the axle along the tip's own line, mm, 0 or more.
    spacing : float or array
        Between the inner faces of the pair, mm, above 0: what the hub measures over its locknuts.
    thickness : float or array
        Of the plate, mm, above 0; its middle lies in the plane of the blade.
    ahead : float or array
        How far the axle lies ahead of the tip's line, mm.
    tab : float or array
        How far the plate goes into the slotted tip, mm, which is how deep to saw the slot; 0 where
        the blade ends on the plate.

    Raises
    ------
    ValueError
        "The spacing of the dropouts must be greater than 0; got 0 mm. …"

    Examples
    --------
    >>> one = Dropout(reach=22.0, spacing=100.0, thickness=6.0, tab=15.0)
    >>> one.apart, one.plate
    (106.0, 37.0)
    >>> Dropout(22.0, 0.0, 6.0)
    Traceback (most recent call last):
    ValueError: The spacing of the dropouts must be greater than 0; got 0 mm. Check the number.
    """

    reach: Any
    spacing: Any
    thickness: Any
    ahead: Any = 0.0
    tab: Any = 0.0

    def __post_init__(self) -> None:
        not_negative("reach of the dropout", self.reach)
        positive("spacing of the dropouts", self.spacing)
        positive("thickness of the dropout", self.thickness)
        number("axle's distance from the tip's line", self.ahead)
        not_negative("tab of the dropout", self.tab)

    @property
    def apart(self) -> Any:
        """Between the middles of the two plates, mm."""
        return bare(np.add(self.spacing, self.thickness))

    @property
    def plate(self) -> Any:
        """From the axle to the end of the tab, mm: what you measure on the loose dropout."""
        return bare(np.add(self.reach, self.tab))


def steerer_length(
    head_tube: ArrayLike,
    lower_stack: ArrayLike,
    above: ArrayLike,
    into_crown: ArrayLike = 0.0,
) -> Any:
    """Return the length of steerer to cut: what lies inside the crown and all that lies above.

    Parameters
    ----------
    head_tube : float or array
        Length of the head tube, mm, above 0.
    lower_stack : float or array
        From the crown race seat to the head tube, mm, 0 or more.
    above : float or array
        From the head tube's top to the steerer's end, mm, 0 or more: upper bearing, spacers and
        stem, or nut.
    into_crown : float or array
        From the crown race seat down to the steerer's lower end, mm, 0 or more.

    Returns
    -------
    float or array
        mm. Leave it longer until the bearings and the stem lie on the bench: it is cut last.

    Raises
    ------
    ValueError
        "The head tube must be greater than 0; got 0 mm. …"

    References
    ----------
    A sum of lengths; common practice, no source.

    Examples
    --------
    >>> steerer_length(150.0, 12.0, 58.0, into_crown=30.0)
    250.0
    >>> steerer_length(0.0, 12.0, 58.0)
    Traceback (most recent call last):
    ValueError: The head tube must be greater than 0; got 0 mm. Check the number.
    """
    parts = (
        positive("head tube", head_tube),
        not_negative("lower stack", lower_stack),
        not_negative("length above the head tube", above),
        not_negative("length inside the crown", into_crown),
    )
    return bare(sum(np.asarray(part, dtype=float) for part in parts))
