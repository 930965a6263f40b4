"""A scanned wheel arch, and what trimesh counts of it, for tests/scan.rs to hold the Rust against.

    python3 tests/reference/scan.py      writes ../../scenes/scans/arch.stl, and scan.json beside this script

The arch is invented: a part of a cylinder over the left front wheel of scenes/sanderling.ron, ribbed, lifted at the lip,
in a frame of its own as a scanner leaves it. Slips of a scan are put in: a hole, triangles given twice and without area,
and some turned inside out. trimesh welds the corners and counts. Millimetres.
"""

import json
import pathlib

import numpy as np
import trimesh

HERE = pathlib.Path(__file__).parent
STL = HERE.parent.parent / "scenes" / "scans" / "arch.stl"
ALONG, ACROSS = 40, 12
# The scanner's frame: car = TURN @ scan + SHIFT.
AXIS, ANGLE, SHIFT = np.array([0.3, -0.5, 0.8]), 2.1, np.array([140.0, 655.0, 420.0])
TURN = trimesh.transformations.rotation_matrix(ANGLE, AXIS)[:3, :3]


def on_car(i, k):
    """A corner of the arch: i along it from the front, k across it from the lip."""
    turn = np.radians(8.0 + 164.0 * i / ALONG)
    across = k / ACROSS
    radius = 392.0 + 3.0 * np.cos(6.0 * turn) + 8.0 * (1.0 - across) ** 4
    return np.array([radius * np.cos(turn), 822.0 - 230.0 * across, 300.0 + radius * np.sin(turn)])


def main():
    place = lambda p: TURN.T @ (p - SHIFT)
    grid = {(i, k): place(on_car(i, k)) for i in range(ALONG + 1) for k in range(ACROSS + 1)}
    faces = []
    for i in range(ALONG):
        for k in range(ACROSS):
            if i in (9, 10) and k in (5, 6, 7):
                continue  # a hole where the scanner saw nothing
            a, b, c, d = grid[i, k], grid[i + 1, k], grid[i + 1, k + 1], grid[i, k + 1]
            faces += [[a, b, c], [a, c, d]]
    for n in (100, 333, 700):
        faces[n] = faces[n][::-1]
    faces += [faces[20], faces[400][::-1], [faces[50][0], faces[50][0], faces[50][1]]]
    faces = np.array(faces, dtype="<f4")

    STL.parent.mkdir(exist_ok=True)
    record = np.zeros(len(faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    record["corners"] = faces
    head = b"an invented wheel arch, as scanned".ljust(80, b" ") + np.uint32(len(faces)).tobytes()
    STL.write_bytes(head + record.tobytes())

    mesh = trimesh.load(STL, process=False)
    mesh.merge_vertices()
    given = len(mesh.faces)
    mesh.update_faces(mesh.nondegenerate_faces())
    degenerate = given - len(mesh.faces)
    mesh.update_faces(mesh.unique_faces())
    duplicates = given - degenerate - len(mesh.faces)
    rim = trimesh.grouping.group_rows(mesh.edges_sorted, require_count=1)
    shared = trimesh.grouping.group_rows(mesh.edges_sorted, require_count=2)
    turned = int((mesh.edges[shared][:, 0] == mesh.edges[shared][:, 1]).all(axis=1).sum())
    rims = trimesh.graph.connected_components(mesh.edges_sorted[rim], nodes=np.unique(mesh.edges_sorted[rim]))
    told = dict(
        trimesh=trimesh.__version__,
        triangles=len(mesh.faces),
        duplicates=duplicates,
        degenerate=degenerate,
        open_edges=len(rim),
        rims=len(rims),
        turned=turned,
        crowded=0,
        consistent=bool(mesh.is_winding_consistent),
        area=float(mesh.area),
        around=mesh.bounds.tolist(),
    )
    (HERE / "scan.json").write_text(json.dumps(told, indent=1) + "\n")
    # Four points to pick, as a tape reads them.
    for i, k in [(0, 0), (ALONG, 0), (ALONG // 2, ACROSS), (0, ACROSS)]:
        scan, car = grid[i, k], on_car(i, k)
        print(f"(scan: ({', '.join(f'{v:.1f}' for v in scan)}), car: ({', '.join(f'{v:.0f}' for v in car)})),")


if __name__ == "__main__":
    main()
