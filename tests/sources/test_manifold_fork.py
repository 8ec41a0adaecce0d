"""manifold3d, a general-purpose library for solids made of triangles, as judge of the fork's joints and room.

Cylinders have 720 facets: a chord of 0.5° lies r(1 − cos 0.25°) < 2e-4 mm inside its arc. Coordinates are the
fork's, (ahead, down, side).
"""

from dataclasses import replace

import manifold3d as m3
import numpy as np
import pytest

from coursekit import fork, miters, rear
from coursekit.tubes import Oval

FACETS = 720
SIDES = {"drive side": 1.0, "non-drive side": -1.0}


def bar(radius, low, high, facets=FACETS):
    return m3.Manifold.cylinder(high - low, radius, radius, facets).translate((0, 0, low))


def placed(solid, start, way):
    """A solid that stands on z, carried so that z runs along a direction."""
    way = np.asarray(way, float) / np.linalg.norm(way)
    side = np.cross(way, [0.31, 0.52, 0.795])
    side /= np.linalg.norm(side)
    return solid.transform(np.column_stack([side, np.cross(way, side), way, start]))


def corners(solid):
    return np.array(solid.to_mesh64().vert_properties)[:, :3]


def on_tube(points, start, way, radius, other):
    """Corners on the outside of a tube: (along, line), lines 0° rear and 90° on the drive side.

    `other` is a direction in the tube's section that points to the drive side.
    """
    way, drive = np.asarray(way, float), np.asarray(other, float)
    at = points - start
    along = at @ way
    out = at - along[:, None] * way
    keep = np.linalg.norm(out, axis=1) > radius * (1 - 2e-5)
    rear = np.array([-1.0, 0, 0])
    line = np.degrees(np.arctan2(out[keep] @ drive, out[keep] @ rear)) % 360
    return along[keep], line


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize(("angle", "blade", "steerer"), [(60.0, 24.0, 28.6), (72.0, 22.2, 25.4), (45.0, 20.0, 31.8), (90.0, 24.0, 28.6)])  # fmt: skip
def test_shoulder_cut_to_the_steerer(side, angle, blade, steerer):
    """The bar of each blade, less the steerer, in the fork's own place; lines by where they lie."""
    hand, lean = SIDES[side], np.radians(angle)
    one = fork.shoulder(steerer, 90.0, angle)
    way = np.array([0.0, np.cos(lean), hand * np.sin(lean)])
    drive = np.array([0.0, -hand * np.sin(lean), np.cos(lean)])  # square to it, to the drive side
    stem = placed(bar(steerer / 2, -200, 200), (0, 0, 0), (0, 1, 0))
    left = placed(bar(blade / 2, 0, 80), (0, 0, 0), way) - stem
    along, line = on_tube(corners(left), np.zeros(3), way, blade / 2, drive)
    edge = along < 79
    assert edge.sum() > FACETS
    cut = miters.cut(blade, one.joint(side), stations=1441)
    judged = np.interp(line[edge], cut.around_deg, cut.along)
    assert along[edge] == pytest.approx(judged, abs=2e-3)
    # how far the joint reaches on the steerer: the least and greatest `down` of the edge
    down = corners(left)[:, 1]
    middle = np.abs(np.hypot(corners(left)[:, 0], corners(left)[:, 2]) - steerer / 2) < 1e-3
    above, below = one.span(blade)
    assert down[middle].min() == pytest.approx(-above, abs=2e-3)
    assert down[middle].max() == pytest.approx(below, abs=2e-3)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("turn", [40.0, 60.0, 85.0])
def test_knee_of_a_segmented_fork(side, turn):
    """Shoulder and blade cut by the plane between them: the cut as said, no overlap, edges that meet."""
    hand, lean, radius = SIDES[side], np.radians(turn), 12.0
    up = np.array([0.0, -np.cos(lean), -hand * np.sin(lean)])  # from the knee back up the shoulder
    down = np.array([0.0, 1.0, 0.0])
    normal = (up - down) / np.linalg.norm(up - down)
    shoulder = placed(bar(radius, -40, 80), (0, 0, 0), up).trim_by_plane(normal, 0.0)
    blade = placed(bar(radius, -40, 80), (0, 0, 0), down).trim_by_plane(-normal, 0.0)
    assert (shoulder ^ blade).volume() < 1e-6
    inside = 270.0 if side == "drive side" else 90.0
    around, judged = fork.knee(2 * radius, turn, inside, stations=1441)
    above = np.array([0.0, -hand * np.sin(lean), np.cos(lean)])
    for solid, way, drive in ((shoulder, up, above), (blade, down, (0, 0, 1.0))):
        along, line = on_tube(corners(solid), np.zeros(3), way, radius, drive)
        edge = along < 79
        assert edge.sum() >= FACETS
        assert along[edge] == pytest.approx(np.interp(line[edge], around, judged), abs=2e-3)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize(("splay", "ahead"), [(3.5, 0.0), (-2.0, 0.0), (6.0, 3.0), (4.0, -2.5), (-3.0, 2.0), (0.0, 2.0)])  # fmt: skip
def test_blade_cut_to_a_crown_tube(side, splay, ahead):
    """A bar that leans out below, less a bar that lies across the fork behind it."""
    hand, lean, radius = SIDES[side], np.radians(splay), 12.0
    way = np.array([0.0, np.cos(lean), hand * np.sin(lean)])
    drive = np.array([0.0, -hand * np.sin(lean), np.cos(lean)])
    across = placed(bar(18.0, -200, 200), (-ahead, 0, 0), (0, 0, 1))
    left = placed(bar(radius, 0, 80), (0, 0, 0), way) - across
    along, line = on_tube(corners(left), np.zeros(3), way, radius, drive)
    edge = along < 79
    assert edge.sum() > FACETS
    cut = miters.cut(24.0, fork.crown_tube_joint(36.0, splay, side, ahead), stations=1441)
    assert along[edge] == pytest.approx(np.interp(line[edge], cut.around_deg, cut.along), abs=2e-3)


def test_knee_of_an_oval_blade():
    tube, radius = Oval(20.0, 28.0, 0.9), 50.0
    solid = m3.Manifold.cylinder(160, 1, 1, FACETS).scale((14, 10, 1)).translate((0, 0, -80))
    normal = np.array([0.0, -np.sin(np.radians(25)), np.cos(np.radians(25))])
    x, y, z = corners(solid.trim_by_plane(tuple(normal), 0.0)).T
    edge = z < 79
    # x of the oval's depth toward 0°, y of its width toward 90°; it is turned about the 90° line
    around, judged = fork.knee(tube.section(90), 50.0, 90.0, stations=1441)
    polar = np.degrees(np.arctan2(y, x)) % 360
    assert z[edge] == pytest.approx(np.interp(polar[edge], around, judged), abs=3e-3)
    assert radius > z[edge].max() == pytest.approx(10 * np.tan(np.radians(25)), abs=1e-3)


def test_unicrown_blade_meets_its_straight_part():
    """Stub, arc and straight as solids in a row: where the arc ends, in the drawing's place."""
    one = fork.shoulder(28.6, 90.0, 65.0, splay_deg=3.0, radius=45.0)
    lean, splay = np.radians(65.0), np.radians(3.0)
    stub = placed(bar(12, 0, one.stub), (0, 0, 0), (0, np.cos(lean), np.sin(lean)))
    ring = m3.Manifold.revolve(m3.CrossSection.circle(12, 180).translate((45, 0)), 1440, 62.0)
    # the ring turns about z from x; carry it to the stub's end, its centre square below the stub
    end = one.stub * np.array([0, np.cos(lean), np.sin(lean)])
    centre = end - 45 * np.array([0, -np.sin(lean), np.cos(lean)])
    first = (end - centre) / 45
    second = np.array([0, np.cos(lean), np.sin(lean)])
    ring = ring.transform(np.column_stack([first, second, np.cross(first, second), centre]))
    whole = stub + ring
    assert whole.volume() == pytest.approx(stub.volume() + ring.volume(), rel=1e-6)
    last = np.array([0, np.cos(splay), np.sin(splay)])
    face = corners(ring)[np.abs((corners(ring) - [0, one.down, 45.0]) @ last) < 1e-6]
    assert len(face) >= 180
    assert face.mean(axis=0) == pytest.approx([0, one.down, 45.0], abs=1e-3)
    assert one.length == pytest.approx(ring.volume() / (np.pi * 144) + one.stub, rel=1e-3)


# ---- room -----------------------------------------------------------------------------------------


def swept(made, blade, rings=120, facets=64):
    """The drive-side blade as a mesh: rings square to an axis that is summed up, not asked for."""
    bend, crown = made.bend, made.crown
    s = np.linspace(0, bend.length, 20 * rings + 1)
    turn = np.clip((s - bend.start) / bend.radius, 0, np.radians(bend.angle_deg)) + np.radians(crown.angle_deg)  # fmt: skip
    splay = np.radians(made.splay_deg)
    way = np.stack([np.sin(turn), np.cos(turn) * np.cos(splay), np.cos(turn) * np.sin(splay)], -1)
    mid = np.cumsum((way[1:] + way[:-1]) / 2 * (s[1] - s[0]), axis=0)
    at = np.vstack([np.zeros(3), mid]) + np.array([crown.ahead, crown.below, crown.spread / 2])
    at, way, s = at[::20], way[::20], s[::20]
    across = np.array([0, -np.sin(splay), np.cos(splay)])
    phi = np.linspace(0, 2 * np.pi, facets, endpoint=False)
    half = np.interp(s, blade.places, blade.widths) / 2
    out = np.cos(phi)[:, None] * across + np.sin(phi)[:, None] * np.cross(way, across)[:, None, :]
    verts = (at[:, None, :] + half[:, None, None] * out).reshape(-1, 3)
    n, m = len(s), facets
    i, j = np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij")
    a, b = i * m + j, i * m + (j + 1) % m
    tris = np.concatenate([np.stack([a, b, b + m], -1).reshape(-1, 3), np.stack([a, b + m, a + m], -1).reshape(-1, 3)])  # fmt: skip
    caps = [[0, k + 1, k] for k in range(1, m - 1)] + [[(n - 1) * m, (n - 1) * m + k, (n - 1) * m + k + 1] for k in range(1, m - 1)]  # fmt: skip
    tris = np.concatenate([tris, np.array(caps)])
    solid = m3.Manifold(m3.Mesh64(verts, tris.astype(np.uint64)))
    if solid.volume() < 0:
        solid = m3.Manifold(m3.Mesh64(verts, tris[:, ::-1].astype(np.uint64)))
    assert solid.status() == m3.Error.NoError
    return solid


def tyre(made, radius, width):
    ring = m3.Manifold.revolve(m3.CrossSection.circle(width / 2, 64).translate((radius - width / 2, 0)), 240)  # fmt: skip
    return ring.translate((made.fork_offset, made.axle_drop, 0))


@pytest.mark.parametrize(
    ("spread", "radius", "width"), [(62.0, 340.0, 32.0), (70.0, 345.0, 40.0), (90.0, 350.0, 58.0)]
)
def test_gap_beside_the_tyre(spread, radius, width):
    made = fork.raked(380.0, 45.0, fork.Crown(18.0, spread), fork.Dropout(22.0, 100.0, 6.0), radius=220.0, tail=10.0)  # fmt: skip
    blade = fork.tapered(400.0, 24.0, 12.0, 200.0, 0.9).cut(made.blade_length)
    found = fork.beside(made, blade, radius, width)
    gap = swept(made, blade).min_gap(tyre(made, radius, width), 60.0)
    assert found.gap == pytest.approx(gap, abs=0.06)  # facets of 64 and 240 lie that far inside


def test_a_tyre_that_is_too_wide_runs_into_the_blades():
    made = fork.straight(380.0, 45.0, fork.Crown(18.0, 60.0), fork.Dropout(22.0, 100.0, 6.0))
    blade = fork.tapered(400.0, 24.0, 12.0, 200.0, 0.9).cut(made.blade_length)
    found = fork.beside(made, blade, 345.0, 44.0)
    assert found.gap < -1
    assert (swept(made, blade) ^ tyre(made, 345.0, 44.0)).volume() > 1
    free = tyre(made, 345.0, 44.0 + 2 * found.gap - 0.2)
    assert (swept(made, blade) ^ free).volume() == 0


@pytest.mark.parametrize(
    ("depth", "ahead", "underside"), [(30.0, 0.0, 24.0), (36.0, 8.0, 30.0), (120.0, 0.0, 20.0)]
)
def test_gap_under_the_crown(depth, ahead, underside):
    made = fork.raked(385.0, 45.0, fork.Crown(18.0, 70.0), fork.Dropout(22.0, 100.0, 6.0), radius=220.0, tail=10.0)  # fmt: skip
    crown = m3.Manifold.cube((depth, underside, 40.0)).translate((ahead - depth / 2, 0, -20.0))
    disc = tyre(made, 335.0, 20.0)
    gap = crown.min_gap(disc, 60.0)
    assert fork.under_crown(made, 335.0, underside, depth, ahead) == pytest.approx(gap, abs=0.04)


# ---- blades as bodies -----------------------------------------------------------------------------


@pytest.mark.parametrize("lean", [0.0, 4.0])
def test_blade_as_a_body_beside_its_wheel(lean):
    """Every corner of the mesh lies on the stay's outside, and the rooms beside the tyre agree."""
    ends = fork.Dropout(22.0, 100.0, 6.0)
    made = fork.raked(385.0, 50.0, fork.Crown(20.0, 66.0, angle_deg=lean), ends, radius=220.0, tail=15.0)  # fmt: skip
    blade = fork.tapered(400.0, 24.0, 12.0, 150.0, 0.9).cut(made.blade_length)
    stay = fork.blade_stay(made, blade)
    mesh = corners(swept(made, blade)) * [1, -1, 1]  # ahead, down, side to x, y, z
    assert np.abs(stay.outside(mesh)).max() < 5e-3
    assert stay.line.at(stay.length).point * [1, -1, 1] == pytest.approx(made.points["tip"])
    axle = made.points["axle"]
    gap = rear.room(stay, rear.Tyre((axle[0], -axle[1]), 343.0, 32.0)).room
    assert gap == pytest.approx(fork.beside(made, blade, 343.0, 32.0).gap, abs=0.02)


@pytest.mark.parametrize("splay", [0.0, 3.0])
def test_unicrown_blade_as_a_body(splay):
    """Below its shoulder it is the straight and raked blade; above, stub and ring of triangles."""
    ends = fork.Dropout(22.0, 100.0, 6.0)
    one = fork.shoulder(28.6, 90.0, 65.0, splay_deg=splay, radius=45.0)
    plain = fork.raked(400.0, 40.0, fork.Crown(20.0 + one.down, 90.0), ends, radius=250.0, tail=12.0)  # fmt: skip
    made = replace(plain, splay_deg=splay)
    whole = fork.tapered(one.length + made.blade_length, 24.0, 24.0, 0.0, 0.9)
    stay = fork.blade_stay(made, whole, one)
    assert stay.line.at(0.0).point == pytest.approx([0, -20.0, 0], abs=1e-9)
    lower = fork.tapered(made.blade_length, 24.0, 24.0, 0.0, 0.9)
    mesh = corners(swept(made, lower)) * [1, -1, 1]
    on = stay.outside(mesh)
    assert np.abs(on).max() < 5e-3
    bow = m3.Manifold.revolve(m3.CrossSection.circle(12, 180).translate((45, 0)), 1440, 65.0 - splay)  # fmt: skip
    lean = np.radians(65.0)
    end = one.stub * np.array([0, -np.cos(lean), np.sin(lean)]) - [0, 20.0, 0]
    centre = end - 45 * np.array([0, np.sin(lean), np.cos(lean)])
    first, second = (end - centre) / 45, np.array([0, -np.cos(lean), np.sin(lean)])
    bow = bow.transform(np.column_stack([first, second, np.cross(first, second), centre]))
    assert np.abs(stay.outside(corners(bow))[np.linalg.norm(corners(bow) - centre, axis=1) > 33 + 1e-3]).max() < 5e-3  # fmt: skip
