"""Bottom-bracket shells: their thread, and what comes off their faces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from coursekit.rules import not_negative, positive, require

__all__ = ["Facing", "engaged", "facing", "minor", "pitch"]

MAJOR = 34.798  # mm, 1.370 in (ISO 6696:1989, as a catalogue's abstract and a shop chart give it)
PER_INCH = 24.0  # threads an inch, the same
MINOR_DEPTH = 1.25 * np.sqrt(0.75)  # of the pitch, on the diameter: basic 60° profile, ISO 68-1
CHART_DEPTH = 1.5 * np.sqrt(0.75)  # the same: what charts of tap drills call 100 %


def pitch(per_inch: Any) -> Any:
    """Return the pitch of a thread: how far a cup moves in one turn.

    Parameters
    ----------
    per_inch : float or array
        Threads an inch, above 0.

    Returns
    -------
    float or array
        Pitch, mm.

    Raises
    ------
    ValueError
        "The threads must be greater than 0; got 0 an inch. Check the number."

    References
    ----------
    1 in = 25.4 mm.

    Examples
    --------
    >>> round(pitch(24.0), 5)
    1.05833
    >>> pitch(0.0)
    Traceback (most recent call last):
    ValueError: The threads must be greater than 0; got 0 an inch. Check the number.
    """
    return 25.4 / positive("threads", per_inch, "an inch")


def minor(major: Any, pitch: Any) -> Any:
    """Return the basic minor diameter of a 60° inside thread: the narrowest bore to tap.

    The V of the thread is cut flat so that 5/8 of its height remain, on both sides.

    Parameters
    ----------
    major : float or array
        Diameter over the ground of the thread, mm.
    pitch : float or array
        mm, less than `major` over 1.0825.

    Returns
    -------
    float or array
        `major` − 1.0825 `pitch`, mm.

    Raises
    ------
    ValueError
        "The pitch must leave a bore; got 5 mm in 5 mm. Check the number."

    References
    ----------
    ISO 68-1, basic profile; ANSI/ASME B1.13M, table of inside threads.

    Examples
    --------
    >>> round(float(minor(34.798, 25.4 / 24)), 3)
    33.652
    >>> minor(5.0, 5.0)
    Traceback (most recent call last):
    ValueError: The pitch must leave a bore; got 5 mm in 5 mm. Check the number.
    """
    major, pitch = positive("major diameter", major), positive("pitch", pitch)
    left = major - MINOR_DEPTH * pitch
    require(
        np.greater(left, 0),
        "The pitch must leave a bore; got {pitch} mm in {major} mm. Check the number.",
        pitch=pitch,
        major=major,
    )
    return left


def engaged(major: Any, pitch: Any, bore: Any) -> Any:
    """Return how much of the thread a bore leaves, in per cent, as charts of tap drills count it.

    100 is a height of 0.6495 of the pitch on each side. The basic bore of `minor` leaves 83.3, and
    a bore as wide as the thread leaves 0.

    Parameters
    ----------
    major, pitch : float or array
        Of the thread, mm.
    bore : float or array
        mm, at most `major`.

    Returns
    -------
    float or array
        Per cent of the thread.

    Raises
    ------
    ValueError
        "The bore must not be wider than the thread; got 35 mm for 34.798 mm. It can't be tapped."

    References
    ----------
    The rule of tap drill charts, per cent = 76.98 (major − bore) / pitch.

    Examples
    --------
    >>> round(float(engaged(10.0, 1.5, 8.5)))
    77
    >>> engaged(34.798, 1.0583, 35.0)
    Traceback (most recent call last):
    ValueError: The bore must not be wider than the thread; got 35 mm for 34.798 mm. It can't be
    tapped.
    """
    major, pitch = positive("major diameter", major), positive("pitch", pitch)
    bore = positive("bore", bore)
    require(
        np.less_equal(bore, major),
        "The bore must not be wider than the thread; got {bore} mm for {major} mm. It can't "
        "be tapped.",
        bore=bore,
        major=major,
    )
    return 100 * (np.asarray(major) - bore) / (CHART_DEPTH * np.asarray(pitch))


@dataclass(frozen=True)
class Facing:
    """What comes off both faces of a shell, each at its highest place.

    Attributes
    ----------
    first, second : float or array
        mm.
    """

    first: Any
    second: Any


def facing(nearest: Any, swing: Any, width: Any) -> Facing:
    """Return what comes off each face to leave the seat tube in the middle of the finished shell.

    Distances count from the plane through the seat tube's axis, square to the shell's axis, out to
    each face. A face that isn't square stands `nearest` at its lowest place and `swing` more at its
    highest. It is cut until it stands at half the width all the way round.

    Parameters
    ----------
    nearest : pair of float or array
        Distance of each face at its lowest place, mm.
    swing : pair of float or array
        How much farther each face stands at its highest place, mm, 0 or more.
    width : float or array
        Finished width of the shell, mm.

    Returns
    -------
    Facing
        What comes off each face, mm.

    Raises
    ------
    ValueError
        "The face must reach half the width all round; got 33.9 mm for 34 mm. Take a longer shell,
        or a narrower width."

    References
    ----------
    Arithmetic; common practice, no source.

    Examples
    --------
    >>> cut = facing((34.25, 34.45), (0.2, 0.1), 68.0)
    >>> round(float(cut.first), 2), round(float(cut.second), 2)
    (0.45, 0.55)
    >>> facing((33.9, 34.45), (0.2, 0.1), 68.0)
    Traceback (most recent call last):
    ValueError: The face must reach half the width all round; got 33.9 mm for 34 mm. Take a longer
    shell, or a narrower width.
    """
    half = np.divide(positive("width", width), 2)
    cuts = []
    for low, more in zip(nearest, swing, strict=True):
        low, more = positive("distance", low), not_negative("swing", more)
        require(
            np.greater_equal(low, half),
            "The face must reach half the width all round; got {low} mm for {half} mm. Take a "
            "longer shell, or a narrower width.",
            low=low,
            half=half,
        )
        cuts.append(low + more - half)
    return Facing(*cuts)
