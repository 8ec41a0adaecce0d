"""In what order to set tacks, by a model of how each one pulls the tube.

In the model each tack pulls the tube's far end toward its own side as it shrinks, and the tacks
that are already set hold it back, each time by the same share. The k-th tack (k from 0) pulls
first·holdᵏ, and the pulls add as vectors. It is a model for reasoning, not a law: it leaves out the
fixture, the gap, the size and heat of each tack, and what the tube does as it cools. Builders
disagree, so measure after every tack. `fit` finds the two numbers from a class's own records.

The angles are the lines of the tube, as in `pieces`: 0° the underside (of a tube that stands, the
rear) and 180° the upper side (the front) lie in the plane of the frame, 90° on the drive side and
270° on the non-drive side. A tilt has two components: "in plane" (x), positive toward the 0° line,
and "across" the frame (y), positive toward the drive side. It has the unit of `first`: degrees, or
mm at the far end.

`JOINTS` is the order of a frame's joints, for tacking and for brazing alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import permutations
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coursekit import fitting
from coursekit.alignment import over_length
from coursekit.rules import number, require
from coursekit.scalars import above_zero, finite

__all__ = ["JOINTS", "Model", "Order", "after_each", "best", "fit", "pull", "tip_offset"]

# Joints of a frame in the order in which they are tacked, and brazed: cut tube, tube it meets. From
# the shell outward, every far end free as long as possible, the head tube's joints close the
# triangle, then the stays; common practice, no source, and builders disagree.
JOINTS = (
    ("seat_tube", "shell"),
    ("top_tube", "seat_tube"),
    ("down_tube", "shell"),
    ("down_tube", "head_tube"),
    ("top_tube", "head_tube"),
    ("right_chainstay", "shell"),
    ("left_chainstay", "shell"),
    ("right_seatstay", "seat_tube"),
    ("left_seatstay", "seat_tube"),
)

MOST = 9  # tacks: 9! orders are searched in a second
_SAME = 1e-9  # first pulls: orders that differ by less leave the same tilt
_LEAST_PULL = 1e-9  # share of the readings' size below which nothing pulls


@dataclass(frozen=True)
class Order:
    """The order with the least tilt.

    Attributes
    ----------
    angles_deg : tuple of float
        The tacks in the order in which they are set, degrees.
    tilt : array, (2,)
        The tilt that is left, in plane and across, in the unit of `first`.
    size : float
        Its size, with the weight on the tilt across.
    """

    angles_deg: tuple[float, ...]
    tilt: Any
    size: float


@dataclass(frozen=True)
class Model:
    """The two numbers of the model, from records, with their standard uncertainties.

    Attributes
    ----------
    first : float
        The first tack's pull, in the records' unit.
    hold : float
        The share of a pull that the tacks before leave, a plain number.
    first_uncertainty, hold_uncertainty : float
        Standard uncertainties, in the same units.
    correlation : float
        Correlation between the two.
    scatter : float
        Standard deviation of one component of a tilt about the model.
    freedom : float
        Components read less 2, or infinity where the noise was given.
    """

    first: float
    hold: float
    first_uncertainty: float
    hold_uncertainty: float
    correlation: float
    scatter: float
    freedom: float


def pull(angles_deg: ArrayLike, first: ArrayLike = 1.0, hold: ArrayLike = 0.6) -> Any:
    """Return the tilt that tacks leave when they are set in a given order.

    It is Σ first·holdᵏ·(cos φ, sin φ), which points to the tacks that pull most.

    Parameters
    ----------
    angles_deg : array, (…, tacks)
        Tacks in the order in which they are set, degrees.
    first : float or array
        Pull of the first tack, 0 or more, in degrees or mm at the far end.
    hold : float or array
        Share of the pull that the tacks before leave to the next, 0 to 1.

    Returns
    -------
    array, (…, 2)
        Tilt in plane and across, in the unit of `first`.

    Raises
    ------
    ValueError
        "The hold must lie between 0 and 1; got 1.4. It is the share of the pull that is left.";
        "The first pull must be 0 or more; got -1. Check the sign."

    Examples
    --------
    >>> orders = [0, 180, 90, 270], [0, 270, 90, 180]
    >>> [round(float(np.hypot(*pull(order))), 3) for order in orders]
    [0.425, 0.82]
    >>> pull([0, 180], hold=1.4)
    Traceback (most recent call last):
    ValueError: The hold must lie between 0 and 1; got 1.4. It is the share of the pull that is
    left.
    """
    return after_each(angles_deg, first, hold)[..., -1, :]


def after_each(angles_deg: ArrayLike, first: ArrayLike = 1.0, hold: ArrayLike = 0.6) -> Any:
    """Return the tilt after the first tack, after the second, and so on.

    Parameters
    ----------
    angles_deg : array, (…, tacks)
        Tacks in the order in which they are set, degrees.
    first : float or array
        Pull of the first tack, 0 or more, in degrees or mm at the far end.
    hold : float or array
        Share of the pull that the tacks before leave to the next, 0 to 1.

    Returns
    -------
    array, (…, tacks, 2)
        Tilt in plane and across, in the unit of `first`.

    Raises
    ------
    ValueError
        "The order must hold at least one tack; got none. …", and the messages of `pull`.

    Examples
    --------
    >>> after_each([0, 180], 1.0, 0.6).round(3).tolist()
    [[1.0, 0.0], [0.4, 0.0]]
    >>> after_each([], 1.0, 0.6)
    Traceback (most recent call last):
    ValueError: The order must hold at least one tack; got none. Give the angles in order.
    """
    angles = np.radians(_angles(angles_deg))
    start, share = _model(first, hold)
    pulls = start[..., None] * share[..., None] ** np.arange(angles.shape[-1])
    ways = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    return np.cumsum(pulls[..., None] * ways, axis=-2)


def best(
    angles_deg: ArrayLike, first: float = 1.0, hold: float = 0.6, across: float = 1.0
) -> Order:
    """Return the order of the given tacks that leaves the least tilt, by trying every order.

    Where several orders leave the same tilt, it is the one nearest to the given order. With
    `across` above 1 a tilt across the frame counts that much more, because no fixture arm in the
    plane takes it out later.

    Parameters
    ----------
    angles_deg : array, (tacks,)
        1 to 9 tacks, degrees.
    first : float
        Pull of the first tack, greater than 0, in degrees or mm at the far end.
    hold : float
        Share of the pull that the tacks before leave to the next, 0 to 1.
    across : float
        Weight of the tilt across the frame against that in plane, greater than 0.

    Returns
    -------
    Order
        The order, and the tilt it leaves.

    Raises
    ------
    ValueError
        "The order must hold at most 9 tacks; got 12. Tack less, or plan it in two rounds.", and the
        messages of `pull`.

    Examples
    --------
    >>> order = best([0, 90, 180, 270])
    >>> order.angles_deg, round(order.size, 4)
    ((0.0, 180.0, 90.0, 270.0), 0.4251)
    >>> best(range(0, 360, 30))
    Traceback (most recent call last):
    ValueError: The order must hold at most 9 tacks; got 12. Tack less, or plan it in two rounds.
    """
    angles = _angles(angles_deg).ravel()
    require(
        angles.size <= MOST,
        "The order must hold at most {MOST} tacks; got {n}. Tack less, or plan it in two rounds.",
        n=angles.size,
        MOST=MOST,
    )
    above_zero("first pull", first)
    weight = np.array([1.0, above_zero("weight across", across)])
    orders = np.array(list(permutations(range(angles.size))))
    sizes = np.linalg.norm(pull(angles[orders], 1.0, hold) * weight, axis=1)
    chosen = orders[np.argmax(sizes <= sizes.min() + _SAME)]
    tilt = pull(angles[chosen], first, hold)
    return Order(tuple(angles[chosen].tolist()), tilt, float(np.linalg.norm(tilt * weight)))


def tip_offset(tilt_deg: ArrayLike, length: ArrayLike) -> Any:
    """Return how far a tilt throws the far end of the tube off, for each component by itself.

    Parameters
    ----------
    tilt_deg : float or array
        Tilt, degrees, between -90 and 90, any shape.
    length : float or array
        Length of the tube, mm, greater than 0.

    Returns
    -------
    float or array
        mm, with the sign of the tilt.

    Raises
    ------
    ValueError
        "The length must be greater than 0; got 0 mm. Check the number."

    Examples
    --------
    >>> tip_offset([0.1, -0.2], 500.0).round(3).tolist()
    [0.873, -1.745]
    >>> tip_offset([0.1, -0.2], 0.0)
    Traceback (most recent call last):
    ValueError: The length must be greater than 0; got 0 mm. Check the number.
    """
    return over_length(tilt_deg, length)


def fit(records: Iterable[tuple[ArrayLike, ArrayLike]], noise: float | None = None) -> Model:
    """Return `first` and `hold` of the model from bench records, with standard uncertainties.

    This is least squares over all measured components. A straight fit finds the pull for each hold,
    a search from 0 to 1.2 finds the best hold, and Gauss–Newton then mends both. By chance `hold`
    may come out above 1 or below 0; where it lies farther out than its uncertainty allows, the
    model does not hold.

    Parameters
    ----------
    records : iterable of (array, pair of float)
        Angles in the order in which the tacks were set, degrees, and the tilt they left, in plane
        and across; not-a-number for a component that was not read.
    noise : float, optional
        Standard uncertainty of one component, in the tilt's unit. Left out, it is taken from the
        scatter.

    Returns
    -------
    Model
        The two numbers and how well they are known.

    Raises
    ------
    ValueError
        "The records must hold one with two tacks or more; got only single ones. The hold shows from
        the second tack on."; "The readings must outnumber the unknowns; …"; "The records must show
        a pull; got tilts that do not follow the tacks. Check the angles."; "The tilt must be two
        numbers, in plane and across; got …"

    References
    ----------
    Golub & Pereyra, SIAM J. Numer. Anal. 10 (1973) 413 (the straight unknowns apart); JCGM 100:2008
    (GUM), H.3.

    Examples
    --------
    >>> orders = [[0, 180], [0, 90, 180, 270], [90, 270, 0]]
    >>> found = fit([(order, pull(order, 0.4, 0.55)) for order in orders])
    >>> round(found.first, 6), round(found.hold, 6)
    (0.4, 0.55)
    >>> fit([([0], (0.4, 0.0)), ([90], (0.0, 0.4))])
    Traceback (most recent call last):
    ValueError: The records must hold one with two tacks or more; got only single ones. The hold
    shows from the second tack on.
    """
    ways, tilts = _records(records)
    powers = np.arange(ways.shape[1])
    grid = np.linspace(0.0, 1.2, 61)
    columns = np.einsum("nk,gk->gn", ways, grid[:, None] ** powers)
    long = np.linalg.norm(columns, axis=1)
    long = np.where(long > 0, long, 1.0)
    shadow = columns @ tilts / long  # the longest shadow leaves the least misfit
    top = int(np.argmax(np.abs(shadow)))
    first = shadow[top] / long[top]
    require(
        first > _LEAST_PULL * np.abs(tilts).max(initial=0.0),
        "The records must show a pull; got tilts that do not follow the tacks. Check the angles.",
    )
    found = fitting.nonlinear(lambda p: _tilts(ways, p), tilts, [first, grid[top]], noise)
    (start, share), (u_start, u_share) = found.values, found.uncertainty
    return Model(
        first=float(start),
        hold=float(share),
        first_uncertainty=float(u_start),
        hold_uncertainty=float(u_share),
        correlation=float(found.correlation[0, 1]) if u_start > 0 else 0.0,
        scatter=float(found.scatter),
        freedom=found.freedom,
    )


def _tilts(ways: Any, unknowns: Any) -> tuple[Any, Any]:
    """Predicted components and their derivatives by first and hold."""
    first, hold = unknowns
    powers = np.arange(ways.shape[1])
    column = ways @ hold**powers
    slope = ways[:, 1:] @ (powers[1:] * hold ** (powers[1:] - 1))
    return first * column, np.column_stack([column, first * slope])


def _records(records: Iterable[tuple[ArrayLike, ArrayLike]]) -> tuple[Any, Any]:
    """Directions of the tacks, padded with 0, and the measured components, a row each."""
    pairs = [(np.radians(_angles(a).ravel()), np.asarray(t, dtype=float)) for a, t in records]
    for _, tilt in pairs:
        if tilt.shape != (2,) or np.isinf(tilt).any():
            raise ValueError(
                "The tilt must be two numbers, in plane and across; "
                f"got {tilt.tolist()}. Write nan for one that was not read."
            )
    most = max((a.size for a, _ in pairs), default=0)
    require(
        most > 1,
        "The records must hold one with two tacks or more; got {got}. The hold shows from the "
        "second tack on.",
        got="only single ones" if most else "none",
    )
    ways = np.zeros((len(pairs), 2, most))
    for i, (angles, _) in enumerate(pairs):
        ways[i, :, : angles.size] = np.cos(angles), np.sin(angles)
    tilts = np.array([t for _, t in pairs]).reshape(-1)
    read = np.isfinite(tilts)
    return ways.reshape(-1, most)[read], tilts[read]


def _angles(angles_deg: ArrayLike) -> Any:
    angles = np.asarray(number("angle", angles_deg, "deg"), dtype=float)
    require(
        angles.size > 0,
        "The order must hold at least one tack; got none. Give the angles in order.",
    )
    return angles if angles.ndim else angles[None]


def _model(first: ArrayLike, hold: ArrayLike) -> tuple[Any, Any]:
    start = finite("first pull", first)
    require(
        start >= 0, "The first pull must be 0 or more; got {start}. Check the sign.", start=start
    )
    share = finite("hold", hold)
    require(
        (share >= 0) & (share <= 1),
        "The hold must lie between 0 and 1; got {share}. It is the share of the pull that is left.",
        share=share,
    )
    return start, share
