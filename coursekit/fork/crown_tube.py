"""A fork whose blades are mitered into a tube that lies across it. The picture is `fork`'s."""

from __future__ import annotations

from coursekit import miters
from coursekit.fork.shoulders import OBTUSE_DEG
from coursekit.rules import number, positive, require


def crown_tube_joint(
    crown_tube: float, splay_deg: float, side: str, ahead: float = 0.0
) -> miters.Joint:
    """Return the joint at which a blade is cut to fit a crown tube that lies level across the fork.

    The crown tube is square to the fork's middle plane, and itself cut to fit the steerer, square
    to it: `miters.Joint(steerer, 90.0)`. A blade that leans out below has its obtuse corner on the
    side of the wheel.

    Parameters
    ----------
    crown_tube : float
        Outside diameter of the crown tube, mm, above 0 and at least the blade's.
    splay_deg : float
        How far the blade leans out below, degrees, between −45 and 45.
    side : str
        The blade: "drive side" or "non-drive side".
    ahead : float
        How far the blade's axis passes the crown tube's axis to the front, mm.

    Returns
    -------
    miters.Joint
        For `miters.cut`, on the blade's own lines: 0° rear, 90° drive side, 180° front, 270°
        non-drive side; its end a is the upper end.

    Raises
    ------
    ValueError
        "The side must be 'drive side' or 'non-drive side'; got 'left'. …"; "The blade must lean out
        by less than 45°; got 60°. …"

    References
    ----------
    `miters.Joint`; the lines are those of `fork`.

    Examples
    --------
    >>> crown_tube_joint(31.8, 3.0, "drive side").angle_deg
    87.0
    >>> crown_tube_joint(31.8, 60.0, "drive side")
    Traceback (most recent call last):
    ValueError: The blade must lean out by less than 45°; got 60°. Measure from the steering axis.
    """
    if side not in OBTUSE_DEG:
        raise ValueError(
            f"The side must be 'drive side' or 'non-drive side'; got {side!r}. Name one."
        )
    splay = number("splay", splay_deg, "degrees")
    require(
        abs(splay) < 45,
        "The blade must lean out by less than 45°; got {splay}°. Measure from the steering axis.",
        splay=splay,
    )
    out = OBTUSE_DEG[side]
    obtuse = (out + 180.0) % 360.0 if splay >= 0 else out  # toward the wheel where it leans out
    front = number("distance of the blade ahead", ahead)
    offset = front if obtuse == OBTUSE_DEG["drive side"] else -front
    return miters.Joint(positive("crown tube", crown_tube), 90.0 - abs(splay), offset, obtuse)
