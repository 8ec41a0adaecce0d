"""Every joint of the four frames with ends, as their files say them, against solids of triangles.

Source: manifold3d, a general-purpose library for solids made of triangles. A tube is a skin over rings of 180
corners whose axis is summed up in steps of a millimetre, not asked for; what it meets is a bar laid by the
numbers of the frame file. A ring's facets lie r(1 − cos 1°) < 3e-3 mm inside; the kit promises 0.1 mm.
"""

from __future__ import annotations

from functools import cache

import manifold3d as m3
import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from tests.frames_with_ends import NAMES, whole

FACETS, STEP = 180, 1.0
NEAR = 0.03  # mm, facets and steps together, along a joint of 25°
CORNER = 0.25  # mm, where a cut goes over from one body to the next


def axis_of(stay, before):
    """Points, directions and lines 0° of an axis, turned step by step by the bends it has."""
    line = stay.line
    s = np.arange(-before, line.length + STEP, STEP)
    at, way, zero = line.start - before * line.direction, line.direction, line.zero
    points, ways, zeros = [at], [way], [zero]
    hand = np.sign(np.cross(way, zero) @ line.ninety)
    for here in s[:-1]:
        turn = Rotation.identity()
        for bend in line.bends:
            bent = min(here + STEP, bend.end) - max(here, bend.at)
            if bent > 0:
                side = np.radians(bend.toward_deg)
                ninety = hand * np.cross(way, zero)
                inward = np.cos(side) * zero + np.sin(side) * ninety
                turn = Rotation.from_rotvec(np.cross(way, inward) * bent / bend.radius)
        half = Rotation.from_rotvec(turn.as_rotvec() / 2)
        at = at + STEP * half.apply(way)
        way, zero = turn.apply(way), turn.apply(zero)
        points.append(at)
        ways.append(way)
        zeros.append(zero)
    return s, np.array(points), np.array(ways), np.array(zeros), hand


def skin(stay, before=0.0):
    """A stay as a mesh; round its lines it is the ellipse of its two sizes."""
    s, at, way, zero, hand = axis_of(stay, before)
    taper = stay.taper
    wide, deep = (np.interp(s, taper.places, v)[:, None] / 2 for v in (taper.widths, taper.depths))
    phi = np.linspace(0, 2 * np.pi, FACETS, endpoint=False)
    ninety = hand * np.cross(way, zero)
    ring = (deep * np.cos(phi))[..., None] * zero[:, None] + (wide * np.sin(phi))[..., None] * ninety[:, None]  # fmt: skip
    verts = (at[:, None] + ring).reshape(-1, 3)
    n, m = len(s), FACETS
    i, j = np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij")
    a, b = i * m + j, i * m + (j + 1) % m
    tris = [np.stack([a, b, b + m], -1).reshape(-1, 3), np.stack([a, b + m, a + m], -1).reshape(-1, 3)]  # fmt: skip
    k, last = np.arange(1, m - 1), (n - 1) * m
    tris += [np.stack([0 * k, k + 1, k], -1), np.stack([0 * k + last, last + k, last + k + 1], -1)]
    whole = np.concatenate(tris).astype(np.uint64)
    solid = m3.Manifold(m3.Mesh64(verts, whole))
    if solid.volume() < 0:
        solid = m3.Manifold(m3.Mesh64(verts, whole[:, ::-1].copy()))
    assert solid.status() == m3.Error.NoError
    return solid


def bar(start, end, diameter):
    start, way = np.asarray(start, float), np.subtract(end, start)
    long = float(np.linalg.norm(way))
    z = way / long
    x = np.cross(z, [0.31, 0.52, 0.8])
    x /= np.linalg.norm(x)
    turn = np.column_stack([x, np.cross(z, x), z, start])
    return m3.Manifold.cylinder(long, diameter / 2, diameter / 2, 720).transform(turn)


def told(name, *way):
    from tests.frames_with_ends import tables

    value = tables(name)
    for key in way:
        value = value[key]
    return value


def up_seat(name, far):
    lean = np.radians(told(name, "drawing", "seat_angle_deg"))
    return far * np.array([-np.cos(lean), np.sin(lean), 0.0])


@cache
def hosts(name):
    """Shell, seat tube, mono-tube and steerer as bars, by the numbers of the frame file."""
    made = {
        "shell": bar((0, 0, -60), (0, 0, 60), told(name, "tubes", "shell", "diameter")),
        "seat_tube": bar(up_seat(name, 0), up_seat(name, 700), told(name, "tubes", "seat_tube", "diameter")),
    }  # fmt: skip
    if name == "trail":
        top = up_seat(name, told(name, "drawing", "seat_tube") - told(name, "tubes", "seatstay", "below_seat_top"))  # fmt: skip
        drop, chainstay = told(name, "drawing", "bb_drop"), told(name, "drawing", "chainstay")
        axle = np.array([-np.sqrt(chainstay**2 - drop**2), drop, 0.0])
        way = (axle - top) / np.linalg.norm(axle - top)
        made["mono_tube"] = bar(top - 60 * way, top + 95 * way, told(name, "rear", "mono_tube", "diameter"))  # fmt: skip
        made["steerer"] = bar((0, -300, 0), (0, 300, 0), told(name, "fork", "steerer", "diameter"))
    return made


def kept(mesh, solid, far_end):
    """What is left of a tube once the host is taken off it: the part that holds its far end."""
    parts = (mesh - solid).decompose()
    return min(parts, key=lambda p: np.linalg.norm(np.array(p.to_mesh().vert_properties)[:, :3] - far_end, axis=1).min())  # fmt: skip


def holds(stay, cut, left, host, corner=False):
    """The corners of the mesh along its cut lie on the kit's edge, and the kit's edge among them."""
    corners = np.array(left.to_mesh().vert_properties)[:, :3]
    edge = np.concatenate([cut.edge[:-1] + share * np.diff(cut.edge, axis=0) for share in np.linspace(0, 1, 12)])  # fmt: skip
    on = np.abs(host(corners)) < 2e-3
    assert on.sum() >= FACETS
    off, _ = cKDTree(edge).query(corners[on])
    limit = CORNER if corner else NEAR
    assert np.quantile(off, 0.97) < NEAR
    assert off.max() < limit
    back, _ = cKDTree(corners[on]).query(cut.edge)
    assert back.max() < 2.5  # a ring has a corner every two degrees


def on_bar(start, end, diameter):
    start, way = np.asarray(start, float), np.subtract(end, start)
    way = way / np.linalg.norm(way)
    return lambda p: np.linalg.norm(np.cross(p - start, way), axis=-1) - diameter / 2


@pytest.mark.parametrize("name", NAMES)
def test_chainstays_on_the_shell(name):
    cut = whole(name).ends.rear.chainstay
    stay = cut.stay
    left = kept(skin(stay), hosts(name)["shell"], stay.line.at(stay.length).point)
    size = told(name, "tubes", "shell", "diameter")
    holds(stay, cut.a, left, on_bar((0, 0, 0), (0, 0, 1), size))


@pytest.mark.parametrize("name", NAMES)
def test_stays_end_on_their_dropouts(name):
    """The end of the summed axis lies as far from the axle as the tab says, in the plate's middle."""
    rear = whole(name).ends.rear
    drop, long = told(name, "drawing", "bb_drop"), told(name, "drawing", "chainstay")
    x, y = -np.sqrt(long**2 - drop**2), drop
    for which, cut in rear.right.items():
        tab = told(name, "rear", f"{which}_tab")
        at = axis_of(cut.stay, 0.0)[1]
        wanted = tab["length"] - tab["slot"]
        turn = np.radians(tab["angle_deg"])
        end = np.array([x + wanted * np.cos(turn), y + wanted * np.sin(turn)])
        way = cut.stay.line.at(cut.stay.length).direction
        over = (len(at) - 1) * STEP - cut.stay.length  # the last step reaches over the end
        assert at[-1][:2] - over * way[:2] == pytest.approx(end, abs=2e-3)
        plate = rear.end.spacing / 2 + told(name, "rear", "thickness") / 2
        assert at[-1][2] - over * way[2] == pytest.approx(plate, abs=2e-3)


def test_seatstays_touch_the_seat_tubes_flank():
    stay = whole("road").ends.rear.seatstays.right.stay
    mesh, host = skin(stay), hosts("road")["seat_tube"]
    assert (mesh ^ host).volume() < 0.05
    assert mesh.min_gap(host, 5.0) < 0.01


def test_caps_of_the_seatstays():
    """The cut is flat, at 30° to the stay, its long point outward at the end of the centre line."""
    rear = whole("road").ends.rear
    cut = rear.seatstays.right
    centre = cut.a.edge.mean(axis=0)
    flat = np.linalg.svd(cut.a.edge - centre)
    assert flat[1][2] < 1e-6
    normal = flat[2][2]
    way = cut.stay.line.direction
    assert np.degrees(np.arcsin(abs(normal @ way))) == pytest.approx(30.0, abs=1e-6)
    long = cut.a.edge[np.argmin(cut.a.along)]
    assert long[2] > centre[2] - 1e-6 or abs(normal[2]) > 0


@pytest.mark.parametrize("name", ["touring", "step_through"])
def test_seatstays_in_the_seat_tube(name):
    pair = whole(name).ends.rear.seatstays
    stay, cut = pair.right.stay, pair.right.a
    mesh = skin(stay, before=20.0)
    end = stay.line.at(stay.length).point
    on = on_bar((0, 0, 0), up_seat(name, 1), told(name, "tubes", "seat_tube", "diameter"))
    if "middle" in cut.meets:
        mesh = mesh.trim_by_plane((0, 0, 1), 0.0)

        def on(p, tube=on):
            return np.minimum(np.abs(tube(p)), np.abs(p[..., 2]))

    left = kept(mesh, hosts(name)["seat_tube"], end)
    if "middle" not in cut.meets:
        holds(stay, cut, left, on)
        return
    corners = np.array(left.to_mesh().vert_properties)[:, :3]
    near = (np.abs(on(corners)) < 2e-3) & (np.abs(stay.outside(corners)) < 0.01)
    edge = np.concatenate([cut.edge[:-1] + share * np.diff(cut.edge, axis=0) for share in np.linspace(0, 1, 12)])  # fmt: skip
    off, _ = cKDTree(edge).query(corners[near])
    assert near.sum() > FACETS
    assert np.quantile(off, 0.97) < NEAR
    assert off.max() < CORNER


def test_mono_tube_and_the_stays_in_it():
    pair = whole("trail").ends.rear.seatstays
    mono, solids = pair.mono, hosts("trail")
    far = mono.stay.line.at(mono.stay.length).point
    left = kept(skin(mono.stay, before=20.0), solids["seat_tube"], far)
    size = told("trail", "tubes", "seat_tube", "diameter")
    holds(mono.stay, mono.a, left, on_bar((0, 0, 0), up_seat("trail", 1), size))
    stay, cut = pair.right.stay, pair.right.a
    mesh = skin(stay, before=20.0).trim_by_plane((0, 0, 1), 0.0)
    left = kept(mesh, solids["mono_tube"], stay.line.at(stay.length).point)
    corners = np.array(left.to_mesh().vert_properties)[:, :3]
    line = mono.stay.line
    tube = on_bar(line.start, line.start + line.direction, told("trail", "rear", "mono_tube", "diameter"))  # fmt: skip
    on = np.minimum(np.abs(tube(corners)), np.abs(corners[:, 2])) < 2e-3
    on &= np.abs(stay.outside(corners)) < 0.01
    edge = np.concatenate([cut.edge[:-1] + share * np.diff(cut.edge, axis=0) for share in np.linspace(0, 1, 12)])  # fmt: skip
    off, _ = cKDTree(edge).query(corners[on])
    assert on.sum() > FACETS
    assert np.quantile(off, 0.97) < NEAR
    assert off.max() < CORNER


@pytest.mark.parametrize("name", ["road", "touring", "step_through"])
@pytest.mark.parametrize("which", ["chainstay", "seatstay"])
def test_bridges_between_the_stays(name, which):
    """A bar across, the meshes of both stays taken off it: the middle part is the bridge."""
    rear = whole(name).ends.rear
    bridge = rear.bridges[f"{which}_bridge"].cut
    stay = rear.right[which].stay
    at = bridge.stay.line.start
    far = told(name, "rear", f"{which}_bridge", "from_axle")
    x, y = rear.end.axle
    assert np.hypot(at[0] - x, at[1] - y) == pytest.approx(far, abs=1e-6)
    right = skin(stay)
    across = bar(
        at + np.array([0, 0, 30]), at * [1, 1, -1] - [0, 0, 30], bridge.stay.taper.widths[0]
    )
    left = kept(across, right + right.mirror((0, 0, 1)), at * [1, 1, 0])
    corners = np.array(left.to_mesh().vert_properties)[:, :3]
    corners = corners[np.abs(on_bar(at, at * [1, 1, -1], bridge.stay.taper.widths[0])(corners)) < 2e-3]  # fmt: skip
    for cut, hand in ((bridge.a, 1), (bridge.b, -1)):
        side = corners[corners[:, 2] * hand > 0]
        edge = np.concatenate([cut.edge[:-1] + share * np.diff(cut.edge, axis=0) for share in np.linspace(0, 1, 12)])  # fmt: skip
        off, _ = cKDTree(edge).query(side)
        back, _ = cKDTree(side).query(cut.edge)
        assert off.max() < NEAR
        assert back.max() < 1.0


def test_unicrown_blades_on_the_steerer():
    front = whole("trail").ends.front
    stay = front.right.stay
    left = kept(skin(stay), hosts("trail")["steerer"], stay.line.at(stay.length).point)
    size = told("trail", "fork", "steerer", "diameter")
    holds(stay, front.right.a, left, on_bar((0, 0, 0), (0, 1, 0), size))


@pytest.mark.parametrize("name", NAMES)
def test_blades_end_where_the_axle_wants_them(name):
    """The summed axis of a blade, its plate's reach on, is the axle of the frame drawing."""
    front = whole(name).ends.front
    stay = front.right.stay
    s, at, way, _, _ = axis_of(stay, 0.0)
    over = s[-1] - stay.length
    plate = told(name, "fork", "dropout")
    axle = at[-1] + (plate["reach"] - over) * way[-1]
    length, offset = (told(name, "drawing", k) for k in ("fork_length", "fork_offset"))
    wanted = (offset, -np.sqrt(length**2 - offset**2), (plate["spacing"] + plate["thickness"]) / 2)
    assert axle == pytest.approx(wanted, abs=5e-3)
