"""Holds the demo's glTF model, as found, against what scenes/dunlin.ron says, with trimesh (numpy, trimesh).

    scribeline sheets scenes/dunlin.ron --glb car.glb && python3 tests/reference/model.py car.glb

Sizes follow from the car file by hand: a tyre's from its code (ETRTO Standards Manual: 175/70R13 is 13 x 25.4 + 2 x 0.70 x
175 = 575.2 mm over the tread), a mitred box rail's volume from its section times its centreline, a round bar's from its ends.
Flat triangles lie inside what is round, so sizes may fall short by a millimetre and round volumes by three in a hundred.
"""

import sys

import numpy as np
import trimesh

FOUND = {
    "left upper rail": (60 * 80, [(-520, 612, 730), (-260, 622, 722), (250, 618, 706), (640, 560, 640)]),
    "right lower rail": (70 * 95, [(-560, 360, 300), (-300, 372, 425), (680, 372, 425)]),
}


def hold(name, what, got, wanted, most):
    print(f"{name:24} {what:22} {got:14.1f} wanted {wanted:14.1f}  {got - wanted:+.3f}")
    assert abs(got - wanted) <= most, f"{name}: {what}"


def main(path):
    scene = trimesh.load(path, force="scene")
    parts = {}
    for node in scene.graph.nodes_geometry:
        transform, geometry = scene.graph[node]
        mesh = scene.geometry[geometry].copy()
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        mesh.apply_transform(transform)
        mesh.apply_scale(1000)
        parts[node] = mesh
    print(len(parts), "named parts;", sum(len(m.faces) for m in parts.values()), "triangles")
    for name, (area, line) in FOUND.items():
        length = np.linalg.norm(np.diff(np.array(line, float), axis=0), axis=1).sum()
        assert parts[name].is_watertight, name
        # A bend out of one plane twists the faces beside it a little.
        hold(name, "volume", parts[name].volume, area * length, 0.004 * area * length)
    for hub, y in [("left front", 720), ("right front", -720), ("left rear", 705), ("right rear", -705)]:
        tyre = parts[f"{hub} tyre"]
        assert tyre.is_watertight and tyre.volume > 0, hub
        # glTF: x is the car's left, y up, z ahead. Half a degree of camber and toe widen it by some millimetres.
        width, height, length = tyre.extents
        hold(f"{hub} tyre", "over the tread, long", length, 575.2, 3)
        hold(f"{hub} tyre", "over the tread, high", height, 575.2, 3)
        hold(f"{hub} tyre", "middle, to the left", tyre.bounds.mean(axis=0)[0], y, 4)
        # The wheel centre is 269 over the ground: the tyre, which is not deflected here, reaches 269 - 575.2 / 2 below it.
        hold(f"{hub} tyre", "lowest, over ground", tyre.bounds[0][1], 269 - 575.2 / 2, 1)
    nose = parts["nose bar"]
    ends, radius = 2 * 372, 25
    hold("nose bar", "volume", nose.volume, np.pi * radius**2 * ends + 4 / 3 * np.pi * radius**3, 0.03 * nose.volume)
    hold("nose bar", "across", nose.extents[0], ends + 2 * radius, 1)
    loose = [name for name, mesh in parts.items() if not mesh.is_winding_consistent]
    print("winding is consistent in all but", loose or "none")
    assert not loose


main(sys.argv[1])
