"""The plan view against the shadow of solids.

Source: manifold3d, a general-purpose library for solids made of triangles: `project` casts a solid's
shadow on the plane. 360 facets to a round, so a shadow's edge is right to r(1 − cos 0.5°) < 1e-3 mm.
"""

import manifold3d as m3
import numpy as np
import pytest

from coursekit import rear, stays
from tests.sources.test_manifold_stays import (
    AXLE,
    REAR_END,
    SHELL,
    bar,
    chainstay,
    sizes_at_ends,
    solid,
)

END = REAR_END.stay_end("chainstay")


def shadow(one):
    """Area and corners of a solid's shadow from above, as (x, z)."""
    lying = one.transform(
        np.array([[1.0, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0]])
    )  # y goes up the page's normal
    seen = lying.project()
    outer = max(
        (np.asarray(p) for p in seen.to_polygons()), key=area
    )  # the rest are slivers where parts lap
    return area(outer), outer


def area(outline):
    x, z = outline.T
    return abs(x @ np.roll(z, -1) - z @ np.roll(x, -1)) / 2


def same(outline, solid_, near=0.02):
    """Same area, and every corner of the shadow on the outline."""
    wanted, corners = shadow(solid_)
    assert area(outline) == pytest.approx(wanted, rel=2e-4)
    begin, end = outline, np.roll(outline, -1, axis=0)
    step = end - begin
    off = corners[:, None] - begin
    share = np.clip(np.sum(off * step, -1) / np.maximum(np.sum(step * step, -1), 1e-30), 0, 1)
    far = np.linalg.norm(off - share[..., None] * step, axis=-1).min(axis=1)
    assert far.max() < near


@pytest.mark.parametrize("sizes", [((22.2, 22.2), (12.2, 12.2)), ((30.0, 16.0), (14.0, 12.0))])
@pytest.mark.parametrize("side", ["right", "left"])
def test_chainstay(sizes, side):
    stay = chainstay((0, 0, 20), END, sizes)
    stay = stay if side == "right" else stay.mirrored()
    shell = stays.rod("shell", *SHELL)
    cut = stays.CutStay(stay, stays.cut_end(stay, {"shell": shell}), stays.cut_end(stay, None, "b"))
    line = stay.line
    left = solid(line.start, line.at(stay.length).point, sizes_at_ends(stay), line.zero) - bar(
        *SHELL
    )
    same(rear.outline(cut), max(left.decompose(), key=lambda part: part.volume()))


@pytest.mark.parametrize("turned", [25.0, 70.0])
def test_oval_stay_that_is_turned_about_its_axis(turned):
    """Its axes lie neither level nor upright, so its edges as seen from above lie between its lines."""
    zero = (0.0, -np.cos(np.radians(turned)), np.sin(np.radians(turned)))
    start, end = np.array([0.0, 0, 40]), np.array([-280.0, 90.0, 60.0])
    long = float(np.linalg.norm(end - start))
    line = stays.CentreLine(start, end - start, long, (), zero)
    stay = stays.Stay("right_stay", line, stays.Taper((0.0, long), (14.0, 11.0), (28.0, 18.0)))
    cut = stays.CutStay(stay, stays.cut_end(stay), stays.cut_end(stay, None, "b"))
    same(rear.outline(cut), solid(start, end, ((28.0, 14.0), (18.0, 11.0)), zero))


def test_bridge():
    stay = chainstay((0, 0, 20), END, ((22.2, 22.2), (12.2, 12.2)))
    one = rear.bridge(stay, 70.0, 12.7)
    left = solid(
        one.cut.stay.line.start,
        one.cut.stay.line.start * [1, 1, -1],
        ((12.7, 12.7),) * 2,
        (0, -1, 0),
    )
    for half in (stay, stay.mirrored()):
        left -= solid(
            half.line.start, half.line.at(half.length).point, sizes_at_ends(half), half.line.zero
        )
    same(rear.outline(one.cut), left)


def test_bent_stay():
    """Straight pieces as cylinders, bends as pieces of rings."""
    bends = stays.s_bend(60.0, 120.0, 20.0, straight=25.0)
    line = stays.CentreLine((0, 0, 20), (-1, 0, 0), 300.0, bends, (0, -1, 0))
    stay = stays.Stay("right_chainstay", line, stays.Taper((0.0,), (18.0,)))
    cut = stays.CutStay(stay, stays.cut_end(stay), stays.cut_end(stay, None, "b"))
    turn, parts = np.radians(20.0), []
    edges = [0.0, bends[0].at, bends[0].end, bends[1].at, bends[1].end, 300.0]
    for low, high in ((0, 1), (2, 3), (4, 5)):
        start, end = (line.at(edges[i]).point for i in (low, high))
        laps = (
            0.05 * (low > 0),
            0.05 * (high < 5),
        )  # a little into the bends, so that all is one solid
        parts.append(solid(start, end, ((18.0, 18.0),) * 2, (0, -1, 0), *laps))
    round_ = m3.CrossSection.circle(9.0, 180).translate((120.0, 0.0))
    ring = m3.Manifold.revolve(round_, 1440, 20.0)
    first = np.array([[0.0, -1, 0, -60], [0, 0, 1, 0], [-1.0, 0, 0, 140]])
    parts.append(ring.transform(first))
    at = line.at(bends[1].at)
    way = np.array([-np.cos(turn), 0, np.sin(turn)])
    inward = np.array([-np.sin(turn), 0, -np.cos(turn)])
    middle = at.point + 120.0 * inward
    parts.append(ring.transform(np.column_stack([-inward, way, np.cross(-inward, way), middle])))
    same(rear.outline(cut), m3.Manifold.batch_boolean(parts, m3.OpType.Add), near=0.06)


def test_tyre_chainring_crank_axle_and_chainline():
    tyre, ring, crank = (
        rear.Tyre(AXLE, 340.0, 40.0, knobs=2.0),
        rear.Chainring(42, 45.0),
        rear.Crank(170.0, 55.0, 63.0),
    )
    seen = rear.plan_view(
        {},
        rear.RearEnd(AXLE, REAR_END.dropout, 135.0),
        tyre,
        ring,
        {"right_crank": crank, "left_crank": rear.Crank(170.0, 55.0, 63.0, side="left")},
    )
    section = m3.CrossSection.circle(22.0, 180).translate((320.0, 0.0))
    same(seen.outlines["tyre"], m3.Manifold.revolve(section, 720).translate((*AXLE, 0.0)))
    radius = rear.tip_diameter(42) / 2
    same(
        seen.outlines["chainring"],
        m3.Manifold.cylinder(2.0, radius, radius, 720).translate((0, 0, 44.0)),
    )
    assert seen.lines["axle"].tolist() == [[AXLE[0], -67.5], [AXLE[0], 67.5]]
    assert seen.lines["chainline"].tolist() == [[0.0, 45.0], [AXLE[0], 45.0]]
    inner = seen.outlines["right_crank"][:2]
    assert inner.tolist() == [[0.0, 55.0], [-184.0, 63.0]]
    assert seen.outlines["left_crank"][:, 1] == pytest.approx(-seen.outlines["right_crank"][:, 1])
