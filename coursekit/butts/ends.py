"""Where the thick ends of a butted tube stop, and how much may come off each end."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit.butts import dial_trace, trims
from coursekit.butts.trims import window
from coursekit.rules import not_negative, positive, require
from coursekit.scalars import bare, finite
from coursekit.tubes import Butted

HEAT_MARGIN = 30.0  # mm of full wall past the joint; common practice, no source: 25 to 30
# mm of full wall kept beyond what a joint needs, where the tube has it; common practice, no source:
# 1 mm for the saw's cut, 1 mm for the file, 3 mm to cut a spoiled miter once more
RESERVE = 5.0
_LEAST = 12  # readings; a double-butted trace has seven unknowns
_MISFIT = 2.0  # scatter over the noise between neighbours above which the shape is refused
_WAVY = 0.01  # mm of scatter that a drawn tube may show anyway; common practice, no source


@dataclass(frozen=True)
class Ends:
    """What a dial trace says about a tube's ends.

    Positions run from end a: butt_a < belly_start < belly_end < butt_b. At an end that has no butt,
    both places are nan and the wall reads as the belly.

    Attributes
    ----------
    kind : str
        "plain", "butted at a", "butted at b" or "double-butted".
    butt_a, butt_b : float
        Where the thick part at end a stops and the one at end b begins, mm.
    belly_start, belly_end : float
        Where the thin middle begins and ends, mm.
    wall_a, belly, wall_b : float
        The readings there, mm; with a tilt, they hold at `middle`.
    butt_a_uncertainty, butt_b_uncertainty, belly_start_uncertainty, belly_end_uncertainty : float
        Standard uncertainties of the places, mm.
    wall_a_uncertainty, belly_uncertainty, wall_b_uncertainty : float
        Standard uncertainties of the levels, mm.
    tilt : float
        Lean of the whole trace, mm/mm.
    middle : float
        Mean of the positions, mm.
    scatter : float
        Standard deviation of one reading, mm.
    """

    kind: str
    butt_a: float
    belly_start: float
    belly_end: float
    butt_b: float
    butt_a_uncertainty: float
    belly_start_uncertainty: float
    belly_end_uncertainty: float
    butt_b_uncertainty: float
    wall_a: float
    belly: float
    wall_b: float
    wall_a_uncertainty: float
    belly_uncertainty: float
    wall_b_uncertainty: float
    tilt: float
    middle: float
    scatter: float


def find(position: ArrayLike, reading: ArrayLike, tilt: bool = False) -> Ends:
    """Return where the butts and the belly of a tube begin and end, from a noisy dial.

    `position` runs along the tube from end a, and `reading` goes up where the wall goes up. A wall
    gauge gives such a trace on any tube, and so does a dial on the outside of a tube with external
    butts. A dial also follows the way the tube lies: `tilt=True` takes out a straight lean. It does
    not take out a bow: find that with `runout.bow` first, or use a wall gauge.

    Parameters
    ----------
    position : array, (readings,)
        mm, in any order, at least 12.
    reading : array, (readings,)
        mm.
    tilt : bool
        Whether the trace may lean as a whole.

    Returns
    -------
    Ends
        Places and levels, mm, each with its standard uncertainty.

    Raises
    ------
    ValueError
        "The trace must have at least 12 readings; got 3. …"; "The trace must have one reading for
        each position; got …"; "The positions must spread along the tube; got …"; "The trace must be
        flat, taper, flat; got a scatter of …"

    Notes
    -----
    The fitted shape is flat, straight taper, flat, straight taper, flat. Levels, knots and which
    ends are butted all come from the readings: each case is fitted by least squares, and Bayes'
    information criterion chooses the case. Each knot is then the mean of all the places that the
    readings allow (equally likely beforehand, noise unknown), and their spread is its standard
    uncertainty. With little noise that is the least-squares place. It holds for even, independent
    noise.

    A tube with one thick end reads the same as a tube whose other end is thin, so make sure that
    the dial's sign is right. A taper shorter than the step between readings is found to about that
    step.

    References
    ----------
    Hudson, J. Am. Stat. Assoc. 61 (1966) 1097 (joined lines by least squares); Schwarz, Ann. Stat.
    6 (1978) 461 (the criterion); Pitman, Biometrika 30 (1939) 391 (the mean of the allowed places
    has the least mean square error).

    Examples
    --------
    >>> x = np.arange(0.0, 601.0, 10.0)
    >>> wall = np.interp(x, [70, 110, 430, 470], [0.9, 0.6, 0.6, 0.8])
    >>> ends = find(x, wall)
    >>> ends.kind, round(ends.butt_a, 3), round(ends.belly_start, 3), round(ends.wall_b, 3)
    ('double-butted', 70.0, 110.0, 0.8)
    >>> find([0.0, 10.0, 20.0], [0.9, 0.9, 0.6])
    Traceback (most recent call last):
    ValueError: The trace must have at least 12 readings; got 3. Read every 2 to 10 mm.
    """
    x, y = _checked(position, reading)
    trace = dial_trace.best(x, y, tilt)
    _check_shape(trace)
    return _ends(trace)


@dataclass(frozen=True)
class Plan:
    """How a butted tube is cut to length.

    Attributes
    ----------
    from_a, from_b : float or array
        What comes off each end, mm.
    left_a, left_b : float or array
        Butt of full wall that is left at each end, mm; 0 at a plain end.
    least_from_a, most_from_a : float or array
        The window for the cut at end a in which both needs are met, mm.
    slack : float or array
        Width of that window, mm.
    head_end : str or array
        "a" or "b": the end with the longer butt left (where they are equal, the thicker one), which
        common practice turns to the head tube.
    mass_removed : float or array
        g.
    """

    from_a: Any
    from_b: Any
    left_a: Any
    left_b: Any
    least_from_a: Any
    most_from_a: Any
    slack: Any
    head_end: Any
    mass_removed: Any


def keep(saddle_depth: ArrayLike, margin: ArrayLike = HEAT_MARGIN) -> Any:
    """Return how much full-wall butt a joint needs: the saddle depth and a margin for the heat.

    Parameters
    ----------
    saddle_depth : float or array
        Longest less shortest edge of the cut, mm, 0 or more.
    margin : float or array
        Full wall past the joint, mm, 0 or more; common practice takes 25 to 30.

    Returns
    -------
    float or array
        mm from the finished end.

    Raises
    ------
    ValueError
        "The saddle depth must be 0 or more; got -9 mm. …"

    References
    ----------
    The margin is common practice, no source.

    Examples
    --------
    >>> keep(19.6)
    49.6
    >>> keep(-9.0)
    Traceback (most recent call last):
    ValueError: The saddle depth must be 0 or more; got -9 mm. Check the sign.
    """
    return not_negative("saddle depth", saddle_depth) + not_negative("heat margin", margin)


def plan(
    tube: Butted,
    finished: ArrayLike,
    keep_a: ArrayLike,
    keep_b: ArrayLike,
    from_a: ArrayLike | None = None,
) -> Plan:
    """Return how much to cut off each end so that both joints keep the full wall they need.

    x counts from end a. The finished tube keeps `keep_a` mm of full wall at end a and `keep_b` mm
    at end b, measured from its finished ends: the long points of its cuts (see `miters`). The two
    cuts add up to the length less `finished`. Unless `from_a` is given, the longer butt is spent
    first, as is common practice, as far as its need allows. An end whose wall equals the belly's
    counts as full wall for as long as that wall goes on, and an end whose need is 0 may be cut into
    its taper.

    Parameters
    ----------
    tube : tubes.Butted
        The tube as bought.
    finished : float or array
        mm, greater than 0, end to end *with* the saddles, not centre to centre.
    keep_a, keep_b : float or array
        Full wall needed at each end, mm, 0 or more.
    from_a : float or array, optional
        Your own cut at end a, mm.

    Returns
    -------
    Plan
        Cuts, what they leave, and the window.

    Raises
    ------
    ValueError
        "The tube must be at least as long as the finished length; got …"; "The butt at end a must
        reach past its joint; got 70 mm for 75 mm, 5 mm missing. …"; "The cuts must leave both butts
        long enough; got 80 mm to cut, 20 mm missing at end a. …"; "The cut at end a must lie within
        its window; got …"; "The needs must fit in the finished length; got …"

    Examples
    --------
    >>> tube = Butted(28.6, (0.9, 0.6, 0.9), (70.0, 40.0, 320.0, 40.0, 130.0))
    >>> cut = plan(tube, 560.0, 60.0, 80.0)
    >>> cut.from_a, cut.from_b, cut.left_b, cut.slack, cut.head_end
    (0.0, 40.0, 90.0, 10.0, 'b')
    >>> plan(tube, 520.0, 60.0, 80.0)
    Traceback (most recent call last):
    ValueError: The cuts must leave both butts long enough; got 80 mm to cut, 20 mm missing at end
    a. Take a tube nearer the finished length or with longer butts.
    """
    needs = not_negative("need at end a", keep_a), not_negative("need at end b", keep_b)
    excess = tube.length - positive("finished length", finished)
    trims.check_length(tube.length, finished, needs)
    excess = np.maximum(excess, 0.0)
    walls = [trims.full_wall(tube, end) for end in (0, -1)]
    rooms = [np.where(np.greater(k, 0), w - k, excess) for w, k in zip(walls, needs, strict=True)]
    first_b = walls[1] > walls[0]
    trims.check_rooms(walls, needs, rooms, excess, first_b)
    least, most = window(excess, *rooms)
    most = np.maximum(most, least)
    cut_a = trims.chosen(from_a, least, most, first_b)
    return _planned(tube, cut_a, excess - cut_a, (least, most))


def _checked(position: ArrayLike, reading: ArrayLike) -> tuple[Any, Any]:
    x = finite("positions", position).ravel()
    y = finite("readings", reading).ravel()
    require(
        x.size == y.size,
        "The trace must have one reading for each position; got {y} readings at {x} "
        "positions. Check the lists.",
        x=x.size,
        y=y.size,
    )
    require(
        x.size >= _LEAST,
        "The trace must have at least {_LEAST} readings; got {n}. Read every 2 to 10 mm.",
        n=x.size,
        _LEAST=_LEAST,
    )
    order = np.argsort(x, kind="stable")
    places = np.unique(x).size
    require(
        places >= _LEAST,
        "The positions must spread along the tube; got only {places} places. Read every 2 to "
        "10 mm.",
        places=places,
    )
    return x[order], y[order]


def _check_shape(trace: dial_trace.Trace) -> None:
    """Refuse a trace if the fitted shape leaves far more scatter than the trace's own noise."""
    x, y = trace.x, trace.y
    gap = np.maximum(x[2:] - x[:-2], 1e-300)
    share = np.where(x[2:] > x[:-2], (x[1:-1] - x[:-2]) / gap, 0.5)
    jump = y[1:-1] - (1 - share) * y[:-2] - share * y[2:]
    noise = np.sqrt(np.mean(jump**2 / (1 + (1 - share) ** 2 + share**2)))
    require(
        trace.scatter <= max(_MISFIT * noise, _WAVY),
        "The trace must be flat, taper, flat; got a scatter of {scatter} mm about that, "
        "{noise} mm between neighbours. Check for a bent tube, a lean (tilt=True) or a dial "
        "of the wrong sign.",
        scatter=float(f"{trace.scatter:.2g}"),
        noise=float(f"{noise:.2g}"),
    )


def _ends(trace: dial_trace.Trace) -> Ends:
    kind = next(k for k, sides in dial_trace.SIDES.items() if sides == trace.sides)
    found = dict(zip(trace.sides, dial_trace.spread(trace), strict=True))
    a, b = found.get("a", (nan,) * 4), found.get("b", (nan,) * 4)
    pairs = tuple(k[:2] for k in found.values())
    final = dial_trace.Trace(trace.x, trace.y, trace.tilt, trace.sides, pairs, trace.misfit)
    values, covariance = dial_trace.levels(final)
    places = {side: 1 + trace.tilt + i for i, side in enumerate(trace.sides)}
    tops = [_level(values, covariance, places.get(side)) for side in ("a", "b")]
    return Ends(
        kind,
        *a[:2],
        *b[:2],
        *a[2:],
        *b[2:],
        wall_a=tops[0][0],
        belly=float(values[0]),
        wall_b=tops[1][0],
        wall_a_uncertainty=tops[0][1],
        belly_uncertainty=float(np.sqrt(covariance[0, 0])),
        wall_b_uncertainty=tops[1][1],
        tilt=float(values[1]) if trace.tilt else 0.0,
        middle=float(trace.x.mean()),
        scatter=trace.scatter,
    )


def _level(values: Any, covariance: Any, step: int | None) -> tuple[float, float]:
    """Level of a butt (belly and step) and its standard uncertainty."""
    pick = np.zeros(covariance.shape[0])
    pick[[0] if step is None else [0, step]] = 1.0
    return float(pick[: values.size] @ values), float(np.sqrt(pick @ covariance @ pick))


def _planned(tube: Butted, cut_a: Any, cut_b: Any, window: tuple[Any, Any]) -> Plan:
    ends = (tube.lengths[0], tube.walls[0], cut_a), (tube.lengths[4], tube.walls[2], cut_b)
    left = [np.maximum(np.where(np.equal(w, tube.walls[1]), 0.0, n) - c, 0.0) for n, w, c in ends]
    thicker = np.greater(tube.walls[2], tube.walls[0])
    to_b = (left[1] > left[0] + trims.EXACT) | (
        (np.abs(left[1] - left[0]) <= trims.EXACT) & thicker
    )
    return Plan(
        from_a=bare(cut_a),
        from_b=bare(cut_b),
        left_a=bare(left[0]),
        left_b=bare(left[1]),
        least_from_a=bare(window[0]),
        most_from_a=bare(window[1]),
        slack=bare(window[1] - window[0]),
        head_end=bare(np.where(to_b, "b", "a")),
        mass_removed=bare(tube.mass() - tube.cut(cut_a, cut_b).mass()),
    )
