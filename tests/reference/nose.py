"""The curlew's nose (curlew.ron) as a frame, put together by hand from its numbers and solved by a general-purpose frame library.

Writes nose.json, which tests/body_frame.rs holds src/strength/body to: stiffness at a damper tower and at a pickup that hangs
under the lower rail on a rigid arm, and the twist between the towers, as found and cut and rerouted. Corners, welds and
stations are worked out here, apart from the program.

The library's vertical is its Y and its members' own y points up; ours is z. So (x, y, z) here is (x, z, -y) there. It knows
no shear deformation, and no rigid arm: a load at the arm's end goes on as force and moment, and what the end moves by is
worked out from the node's shift and turn.

Needs: pip install PyNiteFEA numpy (3.2.0 and 2.4.6 were used).
"""

import json
import pathlib

import numpy as np
from Pynite import FEModel3D

E, NU = 210e3, 0.3
G = E / 2 / (1 + NU)


def tube(od, wall):
    ro, ri = od / 2, od / 2 - wall
    i = np.pi * (ro**4 - ri**4) / 4
    return np.pi * (ro**2 - ri**2), i, i, 2 * i


def box(width, height, wall):
    w, h = width - 2 * wall, height - 2 * wall
    a, b = width - wall, height - wall
    # Bredt, and the walls' own: Megson, ch. 17 and 18, from memory.
    around = 2 * (a + b)
    j = 4 * (a * b) ** 2 * wall / around + around * wall**3 / 3
    return width * height - w * h, (width * height**3 - w * h**3) / 12, (height * width**3 - h * w**3) / 12, j


UPPER = [(-520, 612, 730), (-260, 622, 722), (250, 618, 706), (640, 560, 640)]
LOWER = [(-560, 360, 300), (-300, 372, 425), (680, 372, 425)]
TOWER = (-18, 425, 640)
BEAM_END = (650, 372, 425)
PICKUP = (92, 392, 357)
FOOT = (92, 372, 425)
SECTIONS = {
    "upper": box(60, 80, 1.2), "lower": box(70, 95, 1.6), "leg": tube(50, 1.5), "beam": tube(50, 2),
    "bypass": tube(44.5, 2), "brace": tube(38, 2),
}
CUT = (255.0, 792.0)
BEND = (-115, 495, 822)


def along(line, station):
    for a, b in zip(map(np.array, line), map(np.array, line[1:])):
        length = np.linalg.norm(b - a)
        if station <= length + 1e-9:
            return tuple(a + (b - a) * station / length)
        station -= length
    raise ValueError(station)


def stations(line):
    return np.concatenate([[0], np.cumsum([np.linalg.norm(np.subtract(b, a)) for a, b in zip(line, line[1:])])])


def pieces(line, more, gone=None):
    """Straight pieces between corners and places at stations, but for what is gone."""
    s = sorted({*stations(line), *more, *(gone or ())})
    return [(along(line, a), along(line, b)) for a, b in zip(s, s[1:]) if not (gone and a >= gone[0] and b <= gone[1])]


def nose(cut):
    members = []
    on_lower = [574.0] + [float(stations(LOWER)[1] + p[0] + 300) for p in (BEAM_END, FOOT)]
    if cut:
        on_lower.append(397.0)
    members += [("upper", *p) for p in pieces(UPPER, [505.0] if not cut else [], CUT if cut else None)]
    members += [("lower", *p) for p in pieces(LOWER, on_lower)]
    members.append(("leg", along(LOWER, 574.0), TOWER))
    if cut:
        near, far = (along(UPPER, s) for s in CUT)
        members += [("bypass", near, BEND), ("bypass", BEND, far), ("brace", BEND, TOWER), ("brace", BEND, along(LOWER, 397.0))]
    else:
        members.append(("leg", TOWER, along(UPPER, 505.0)))
    mirror = lambda p: (p[0], -p[1], p[2])
    both = members + [(s, mirror(a), mirror(b)) for s, a, b in members]
    return both + [("beam", BEAM_END, mirror(BEAM_END))]


def there(v):
    return v[0], v[2], -v[1]


def here(v):
    return np.array([v[0], -v[2], v[1]], dtype=float)


def solve(members):
    m = FEModel3D()
    m.add_material("steel", E, G, NU, 0.0)
    for name, (a, iy, iz, j) in SECTIONS.items():
        m.add_section(name, a, iz, iy, j)
    names = {}
    for _, *ends in members:
        for p in ends:
            key = tuple(np.round(p, 6) + 0.0)
            if key not in names:
                names[key] = f"N{len(names)}"
                m.add_node(names[key], *there(p))
    name = lambda p: names[tuple(np.round(p, 6) + 0.0)]
    for side in (1, -1):
        for p in (UPPER[0], LOWER[0]):
            m.def_support(name((p[0], side * p[1], p[2])), *[True] * 6)
    for k, (section, a, b) in enumerate(members):
        m.add_member(f"M{k}", name(a), name(b), "steel", section)

    def load(case, node, force, arm):
        for axis, value in zip("XYZ", there(force)):
            m.add_node_load(node, "F" + axis, value, case)
        for axis, value in zip("XYZ", there(np.cross(arm, force))):
            m.add_node_load(node, "M" + axis, value, case)
        m.add_load_combo(case, {case: 1.0})

    def moved(case, node, arm):
        n = m.nodes[node]
        shift = here([n.DX[case], n.DY[case], n.DZ[case]])
        return shift + np.cross(here([n.RX[case], n.RY[case], n.RZ[case]]), arm)

    seats = [(name(TOWER), np.zeros(3)), (name(FOOT), np.subtract(PICKUP, FOOT))]
    for s, (node, arm) in enumerate(seats):
        for axis in range(3):
            load(f"S{s}{axis}", node, 1000 * np.eye(3)[axis], arm)
    left, right = name(TOWER), name((TOWER[0], -TOWER[1], TOWER[2]))
    load("T", left, np.array([0, 0, 1000.0]), np.zeros(3))
    load("T", right, np.array([0, 0, -1000.0]), np.zeros(3))
    m.analyze_linear()
    stiffness = [[1000 / moved(f"S{s}{axis}", node, arm)[axis] for axis in range(3)] for s, (node, arm) in enumerate(seats)]
    across = 2 * TOWER[1]
    turned = np.degrees((moved("T", left, np.zeros(3)) - moved("T", right, np.zeros(3)))[2] / across)
    return dict(stiffness=stiffness, twist=1000 * across / 1000 / turned)


if __name__ == "__main__":
    whole = dict(found=solve(nose(False)), rerouted=solve(nose(True)))
    path = pathlib.Path(__file__).with_name("nose.json")
    path.write_text(json.dumps(whole, indent=1) + "\n")
