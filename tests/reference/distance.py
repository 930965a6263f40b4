"""Gaps between wheels and bars or facets by FCL, for tests/distance.rs to hold the Rust against.

    python3 tests/reference/distance.py      writes distance.json beside this script

Tyres and rims are built anew from the words of their definition (`Ring::tyre`, `Ring::rim`), turned about their axis into
a mesh with trimesh and asked for their distance to a capsule or a triangle with python-fcl. All corners of the mesh lie
on the body's surface: a gap to the mesh is too large by at most the depth of its chords, and too small, in the hollow
within the bead or the barrel, by the depth of the chords there. The script writes both beside each gap. Where shapes overlap FCL knows no depth. There the deepest point of the bar's
axis or of the facet is searched on a grid and refined with SciPy, with the tyre's section as a fine polygon.

All shapes and poses are invented. Millimetres.
"""

import json
import pathlib

import fcl
import numpy as np
import trimesh
from scipy.optimize import brentq, minimize

HERE = pathlib.Path(__file__).parent
# ETRTO rim contours, as src/space/ring.rs has them: flange height and thickness.
FLANGE = (17.3, 6.0)
AROUND = 1200
ARC = 96

WHEELS = [
    dict(
        mounted=dict(radius=288.8, section_width=189.0, tread_width=152.0, shoulder_radius=14.0, loaded_radius=272.0,
                     rim_radius=177.8, rim_width=152.4),
        wheel=dict(width=152.4, offset=35.0, spacer=0.0, barrel=20.0, centre=40.0),
    ),
    dict(
        mounted=dict(radius=321.3, section_width=271.0, tread_width=240.0, shoulder_radius=11.0, loaded_radius=308.0,
                     rim_radius=228.6, rim_width=241.3),
        wheel=dict(width=241.3, offset=22.0, spacer=0.0, barrel=24.0, centre=55.0),
    ),
    dict(
        mounted=dict(radius=330.0, section_width=318.0, tread_width=255.0, shoulder_radius=30.0, loaded_radius=312.0,
                     rim_radius=215.9, rim_width=279.4),
        wheel=dict(width=279.4, offset=-18.0, spacer=0.0, barrel=18.0, centre=30.0),
    ),
]


def arc(centre, radius, start, end, steps):
    angles = np.linspace(start, end, steps + 1)
    return centre + radius * np.column_stack([np.cos(angles), np.sin(angles)])


def tyre_half(m, steps):
    """Outboard half of the section, (along the axis, from the axis), from the hollow to the tread."""
    half, tread = m["section_width"] / 2, m["tread_width"] / 2
    bead = np.array([min(m["rim_width"] / 2 + FLANGE[1], half - 1), m["rim_radius"] + FLANGE[0]])
    widest = (m["radius"] + m["rim_radius"]) / 2
    shoulder = m["shoulder_radius"]
    shoulder_centre = np.array([tread, m["radius"] - shoulder])

    # Upper sidewall: upright at the widest place, and touching the shoulder's circle from outside.
    def misses(radius):
        return np.hypot(*(shoulder_centre - [half - radius, widest])) - (radius - shoulder)

    wall = brentq(misses, shoulder + 1e-6, 1e5, xtol=1e-12)
    wall_centre = np.array([half - wall, widest])
    touch = np.arctan2(*(shoulder_centre - wall_centre)[::-1])

    # Lower sidewall: upright at the widest place, through the flange's edge.
    def short(radius):
        return np.hypot(*(bead - [half - radius, widest])) - radius

    lower = brentq(short, (half - bead[0]) / 2 + 1e-9, 1e6, xtol=1e-12)
    lower_centre = np.array([half - lower, widest])
    start = np.arctan2(*(bead - lower_centre)[::-1])
    return np.vstack([
        [[0.0, bead[1]]],
        arc(lower_centre, lower, start, 0.0, steps),
        arc(wall_centre, wall, 0.0, touch, steps)[1:],
        arc(shoulder_centre, shoulder, touch, np.pi / 2, steps)[1:],
        [[0.0, m["radius"]]],
    ]), [(lower, -start), (wall, touch), (shoulder, np.pi / 2 - touch)]


def rectangle(start, end, inner, outer):
    return np.array([[start, inner], [end, inner], [end, outer], [start, outer]])


def rim_sections(m, w):
    edge, inner = m["rim_width"] / 2 + FLANGE[1], m["rim_radius"] - w["barrel"]
    top = m["rim_radius"] + FLANGE[0]
    return [
        rectangle(-edge, edge, inner, m["rim_radius"]),
        rectangle(m["rim_width"] / 2, edge, inner, top),
        rectangle(-edge, -m["rim_width"] / 2, inner, top),
        rectangle(w["offset"], w["offset"] + w["centre"], 0.0, inner),
    ]


def revolved(section, around):
    """A closed section (a, r) about the x axis, as a trimesh."""
    section = np.vstack([section, section[:1]])
    angles = np.linspace(0, 2 * np.pi, around, endpoint=False)
    a, r = section[:, 0], section[:, 1]
    rings = np.stack([np.broadcast_to(a, (around, len(a))), np.outer(np.cos(angles), r), np.outer(np.sin(angles), r)], -1)
    n = len(a)
    i, j = np.meshgrid(np.arange(around), np.arange(n - 1), indexing="ij")
    i, j, k = i.ravel(), j.ravel(), ((i + 1) % around).ravel()
    faces = np.vstack([np.column_stack([i * n + j, i * n + j + 1, k * n + j + 1]),
                       np.column_stack([i * n + j, k * n + j + 1, k * n + j])])
    return trimesh.Trimesh(rings.reshape(-1, 3), faces, process=False)


def model(meshes):
    mesh = trimesh.util.concatenate(meshes)
    bvh = fcl.BVHModel()
    bvh.beginModel(len(mesh.vertices), len(mesh.faces))
    bvh.addSubModel(mesh.vertices, mesh.faces)
    bvh.endModel()
    return bvh


def sag(radius, angle):
    """How deep a chord over an angle cuts into a circle."""
    return radius * (1 - np.cos(angle / 2))


def turn_from_x(to):
    """A rotation that takes x to a unit vector."""
    side = np.cross(to, [0.3, -0.8, 0.52])
    side /= np.linalg.norm(side)
    return np.column_stack([to, side, np.cross(to, side)])


def turn_from_z(to):
    t = turn_from_x(to)
    return np.column_stack([t[:, 1], t[:, 2], t[:, 0]])


def gap(ring, centre, axis, solid):
    placed = fcl.CollisionObject(ring, fcl.Transform(turn_from_x(axis), centre))
    request = fcl.DistanceRequest(enable_nearest_points=False)
    corners = np.array(solid["corners"])
    if len(corners) == 2:
        middle, along = corners.mean(axis=0), corners[1] - corners[0]
        length = np.linalg.norm(along)
        shape, place = fcl.Capsule(solid["radius"], length), fcl.Transform(turn_from_z(along / length), middle)
        grown = 0.0
    else:
        shape = fcl.BVHModel()
        shape.beginModel(3, 1)
        shape.addTriangle(*corners)
        shape.endModel()
        place, grown = fcl.Transform(), solid["radius"]
    found = fcl.distance(placed, fcl.CollisionObject(shape, place), request, fcl.DistanceResult())
    return found - grown


def swallowed(sections, centre, axis, solid):
    """Whether a solid that does not meet the surface of a body lies wholly inside it: FCL cannot tell."""
    off = np.array(solid["corners"][0]) - centre
    a = off @ axis
    q = np.array([a, np.linalg.norm(off - a * axis)])

    def inside(section):
        along, away = np.roll(section, -1, axis=0) - section, q - section
        return np.all(along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0] >= 0)

    return any(inside(s) for s in sections)


def signed(half, a, r):
    """Signed distance in the section's plane to a convex half-section, mirrored at a = 0."""
    q = np.array([abs(a), r])
    start, along = half[:-1], np.diff(half, axis=0)
    t = np.clip(np.einsum("ij,ij->i", q - start, along) / np.einsum("ij,ij->i", along, along), 0, 1)
    away = np.min(np.hypot(*(q - start - along * t[:, None]).T))
    inside = np.all(along[:, 0] * (q - start)[:, 1] - along[:, 1] * (q - start)[:, 0] >= 0)
    return -away if inside else away


def deepest(half, coarse, centre, axis, solid):
    corners = np.array(solid["corners"])

    def point(w):
        return corners[0] + sum(x * (c - corners[0]) for x, c in zip(w, corners[1:]))

    def value(w, section):
        off = point(w) - centre
        a = off @ axis
        return signed(section, a, np.linalg.norm(off - a * axis))

    if len(corners) == 2:
        grid = [(u,) for u in np.linspace(0, 1, 161)]
    else:
        grid = [(u, v) for u in np.linspace(0, 1, 41) for v in np.linspace(0, 1, 41) if u + v <= 1 + 1e-12]
    first = sorted((value(w, coarse), w) for w in grid)[:5]
    if first[0][0] - solid["radius"] > -0.5:
        return None

    # Penalised outside, with a simplex that does not mind the kinks of a distance.
    def inside(w):
        w = np.clip(w, 0, 1)
        return w if len(w) == 1 or w.sum() <= 1 else w / w.sum()

    found = np.inf
    for _, w in first:
        step = 0.02
        for _ in range(3):
            simplex = np.vstack([w, *(np.array(w) + step * e for e in np.eye(len(w)))])
            got = minimize(lambda x: value(inside(x), half), w, method="Nelder-Mead",
                           options=dict(initial_simplex=simplex, xatol=1e-12, fatol=1e-10, maxiter=120))
            w, step = inside(got.x), step / 10
        found = min(found, value(w, half))
    return found - solid["radius"]


def main():
    rng = np.random.default_rng(7)
    written = []
    for w in WHEELS:
        m = w["mounted"]
        half, arcs = tyre_half(m, ARC)
        fine, _ = tyre_half(m, 1000)
        coarse, _ = tyre_half(m, 12)
        whole = np.vstack([half, half[-2:0:-1] * [-1, 1]])
        sections = {"tyre": [whole], "rim": rim_sections(m, w["wheel"])}
        models = {body: model([revolved(s, AROUND) for s in of]) for body, of in sections.items()}
        # Chords cut in around the circumference and along the arcs of the section.
        around = sag(m["radius"], 2 * np.pi / AROUND)
        depth = {
            "tyre": around + max(sag(radius, angle / ARC) for radius, angle in arcs),
            "rim": sag(m["rim_radius"] + FLANGE[0], 2 * np.pi / AROUND),
        }
        hollow = {
            "tyre": sag(half[0, 1], 2 * np.pi / AROUND),
            "rim": sag(m["rim_radius"] - w["wheel"]["barrel"], 2 * np.pi / AROUND),
        }
        apart, overlap = [], []
        while len(apart) < 120 or len(overlap) < 24:
            centre = rng.uniform(-800, 800, 3)
            axis = rng.normal(size=3)
            axis /= np.linalg.norm(axis)
            # A place near the wheel, inside the rim or out, and a bar or facet of any size about it.
            about = centre + rng.normal(size=3) * m["radius"] * rng.choice([0.4, 0.8, 1.5])
            size = rng.choice([40.0, 200.0, 900.0])
            corners = about + rng.uniform(-size, size, (rng.integers(2, 4), 3))
            solid = {"corners": corners.tolist(), "radius": float(rng.choice([0.0, 0.5, 12.7]) or 0.0)}
            if len(corners) == 2:
                solid["radius"] = float(rng.choice([9.0, 12.7, 31.0]))
            place = {"centre": centre.tolist(), "axis": axis.tolist()}
            for body in ("tyre", "rim") if len(apart) < 120 else ():
                found = gap(models[body], centre, axis, solid)
                if found > 0.01 and not swallowed(sections[body], centre, axis, solid):
                    apart.append({"body": body, **place, **solid, "gap": found,
                                  "too_large_by": depth[body], "too_small_by": hollow[body]})
            if len(overlap) < 24:
                depth_there = deepest(fine, coarse, centre, axis, solid)
                if depth_there is not None:
                    overlap.append({"body": "tyre", **place, **solid, "gap": depth_there,
                                    "too_large_by": 1e-5, "too_small_by": 1e-5})
        written.append({**w, "apart": apart, "overlap": overlap})
        print(len(apart), "apart,", len(overlap), "overlapping; chords cut in by", depth)
    text = json.dumps(written).replace('{"body"', '\n{"body"')
    (HERE / "distance.json").write_text(text + "\n")


if __name__ == "__main__":
    main()
