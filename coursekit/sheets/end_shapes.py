"""Outlines of the tubes of rear end and fork in any flat view, from `rear.outline`."""

from __future__ import annotations

import numpy as np

from coursekit.rear import outline
from coursekit.sections import Array
from coursekit.sheets.scene import Point
from coursekit.stays import CentreLine, CutStay, EndCut, Stay

# Rows: what lies along the paper's x, toward the eye, and along the paper's y, of x, y and z.
SIDE = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])  # from the drive side
FRONT = np.array([[0.0, 0.0, -1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])  # from the front: the drive
# side lies to the left


def seen(cut: CutStay, view: Array) -> tuple[Point, ...]:
    """The closed outline of a tube in a view, mm on paper."""
    return points(outline(moved(cut, view)))


def points(many: Array) -> tuple[Point, ...]:
    """Points as the parts of a drawing take them."""
    return tuple((float(x), float(y)) for x, y in np.round(many, 6) + 0.0)


def moved(cut: CutStay, view: Array) -> CutStay:
    """The same tube, turned so that `rear.outline` looks at it from where `view` says."""
    line = cut.stay.line
    turned = CentreLine(
        view @ line.start,
        view @ line.direction,
        line.length,
        line.bends,
        view @ line.zero,
        view @ line.ninety,
    )
    ends = (
        EndCut(e.end, e.around_deg, e.along, e.edge @ view.T, e.meets, e.touches)
        for e in (cut.a, cut.b)
    )
    return CutStay(Stay(cut.stay.name, turned, cut.stay.taper), *ends)


def axis(cut: CutStay, view: Array) -> tuple[Point, ...]:
    """The centre line of a tube in a view."""
    line = cut.stay.line
    bends = [v for b in line.bends for v in np.linspace(b.at, b.end, 33)]
    s = np.unique([0.0, *bends, line.length])
    return points((line.at(s).point @ view.T)[:, [0, 2]])
