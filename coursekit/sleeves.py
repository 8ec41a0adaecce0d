"""Sleeves, sockets and plugs: how wide the gap is hot, how long the lap, how much filler."""

from __future__ import annotations

from typing import Any

import numpy as np

from coursekit.rules import not_negative, number, positive, require

LAP_TIMES = 3.0  # a lap is at least 3 times the thinner wall (CDA Tube Handbook, after AWS)
ALLOWANCE = 1.5  # filler to supply over the volume of the gap (brazing guidance pages, after AWS)


def gap(bore: Any, plug: Any, bore_expansion: Any, plug_expansion: Any, rise: Any) -> Any:
    """Return the radial gap between a plug and its bore when both are hotter.

    The plug stands centred in the bore, and the gap is that of one side. Positive is loose;
    negative would be a press fit. A rise of 0 gives the cold gap.

    Parameters
    ----------
    bore, plug : float or array
        Diameters when cold, mm.
    bore_expansion, plug_expansion : float or array
        Mean expansion per K (12.2e-6, not 12.2).
    rise : float or array
        How much hotter than the room, K.

    Returns
    -------
    float or array
        mm. It is an estimate, because each expansion is held constant; see `materials.Metal` for
        how a mean expansion grows with the temperature.

    Raises
    ------
    ValueError
        "The plug must fit the bore cold; got 28.8 mm in 28.7 mm. Turn it down, or swap them."; "The
        expansion must be per K, below 0.001; got 12.2. Write 12.2e-6."

    References
    ----------
    Linear expansion, any text; e.g. Callister & Rethwisch, the equation Δl = l·α·ΔT.

    Examples
    --------
    >>> round(float(gap(28.6, 28.6, 17.2e-6, 12.2e-6, 700.0)), 3)
    0.05
    >>> gap(28.7, 28.6, 12.2, 12.2e-6, 700.0)
    Traceback (most recent call last):
    ValueError: The expansion must be per K, below 0.001; got 12.2. Write 12.2e-6.
    """
    bore, plug = positive("bore", bore), positive("plug", plug)
    require(
        np.less_equal(plug, bore),
        "The plug must fit the bore cold; got {plug} mm in {bore} mm. Turn it down, or swap them.",
        plug=plug,
        bore=bore,
    )
    bore_expansion, plug_expansion = _per_k(bore_expansion), _per_k(plug_expansion)
    rise = number("rise", rise, "K")
    return (bore * (1 + bore_expansion * rise) - plug * (1 + plug_expansion * rise)) / 2


def filler(plug: Any, gap: Any, lap: Any, allowance: Any = ALLOWANCE) -> Any:
    """Return the volume of filler to supply for one sleeve joint.

    It is a ring round the plug, `gap` thick and `lap` long, times an allowance for the fillets at
    both ends and for what is lost.

    Parameters
    ----------
    plug : float or array
        Diameter, mm.
    gap : float or array
        Radial gap, mm, 0 or more.
    lap : float or array
        Length of the lap, mm.
    allowance : float or array
        1 or more; 1 for the bare gap.

    Returns
    -------
    float or array
        Volume, mm³.

    Raises
    ------
    ValueError
        "The allowance must be 1 or more; got 0.5. Take 1.5, or 1 for the bare gap."

    References
    ----------
    Brazing guidance pages after AWS, filler to supply = 1.5 × the joint's volume.

    Examples
    --------
    >>> bare, supplied = (filler(28.6, 0.1, 25.0, allowance=times) for times in (1.0, 1.5))
    >>> round(float(bare), 1), round(float(supplied), 1)
    (225.4, 338.1)
    >>> filler(28.6, 0.1, 25.0, allowance=0.5)
    Traceback (most recent call last):
    ValueError: The allowance must be 1 or more; got 0.5. Take 1.5, or 1 for the bare gap.
    """
    plug, gap, lap = positive("plug", plug), not_negative("gap", gap), positive("lap", lap)
    allowance = number("allowance", allowance, "times")
    require(
        np.asarray(allowance) >= 1,
        "The allowance must be 1 or more; got {allowance}. Take 1.5, or 1 for the bare gap.",
        allowance=allowance,
    )
    return np.pi * (plug + gap) * gap * lap * allowance


def lap(wall_1: Any, wall_2: Any, times: Any = LAP_TIMES) -> Any:
    """Return the least lap of a sleeve joint: a number of times the thinner of two walls.

    This is a floor for strength, with sound filler all over. In practice a frame's sleeve is far
    longer, because it has to carry bending (common practice, no source).

    Parameters
    ----------
    wall_1, wall_2 : float or array
        The two walls, mm.
    times : float or array
        3 or more.

    Returns
    -------
    float or array
        Length of the lap, mm.

    Raises
    ------
    ValueError
        "The lap must be at least 3 times the thinner wall; got 2. Take 3 or 4."

    References
    ----------
    Copper Development Association, Copper Tube Handbook, brazed joints, after AWS: 3 times the
    thinner member; brazing guidance pages: 3 to 4 times.

    Examples
    --------
    >>> round(float(lap(0.9, 1.5)), 6)
    2.7
    >>> lap(0.9, 1.5, times=2)
    Traceback (most recent call last):
    ValueError: The lap must be at least 3 times the thinner wall; got 2. Take 3 or 4.
    """
    times = number("times", times, "times")
    require(
        np.asarray(times) >= LAP_TIMES,
        "The lap must be at least 3 times the thinner wall; got {times}. Take 3 or 4.",
        times=times,
    )
    return np.minimum(positive("wall", wall_1), positive("wall", wall_2)) * times


def passes(stock: float, finished: float, deepest: float, last: float = 0.1) -> list[float]:
    """Return the diameters after each turning pass, from the stock down to the finished size.

    First come roughing passes of equal depth, none deeper than `deepest` on the radius, and then
    one light pass of `last` on the radius to size. The cross-slide moves half of what the diameter
    loses.

    Parameters
    ----------
    stock, finished : float
        Diameters, mm.
    deepest, last : float
        Depth of cut on the radius, mm, above 0.

    Returns
    -------
    list of float
        Diameter after each pass, mm.

    Raises
    ------
    ValueError
        "The stock must be thicker than the finished piece; got 28 mm for 28.6 mm. Take thicker
        bar."

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> passes(30.0, 26.8, deepest=0.5)
    [29.0, 28.0, 27.0, 26.8]
    >>> passes(28.0, 28.6, deepest=0.5)
    Traceback (most recent call last):
    ValueError: The stock must be thicker than the finished piece; got 28 mm for 28.6 mm. Take
    thicker bar.
    """
    stock, finished = positive("stock", stock), positive("finished", finished)
    deepest, last = positive("deepest", deepest), positive("last", last)
    require(
        stock > finished,
        "The stock must be thicker than the finished piece; got {stock} mm for {finished} mm."
        " Take thicker bar.",
        stock=stock,
        finished=finished,
    )
    rough_to = min(finished + 2 * last, stock)
    count = int(np.ceil((stock - rough_to) / (2 * deepest) - 1e-9))
    rough = [round(float(d), 6) for d in np.linspace(stock, rough_to, count + 1)[1:]]
    return [*rough, float(finished)]


def _per_k(expansion: Any) -> Any:
    expansion = number("expansion", expansion, "1/K")
    require(
        np.abs(expansion) < 1e-3,
        "The expansion must be per K, below 0.001; got {expansion}. Write 12.2e-6.",
        expansion=expansion,
    )
    return expansion
