"""Random space frames, solved by a general-purpose frame library.

Writes frames.json, which tests/strength/space.rs holds src/strength to: displacements of every node, reactions, and every
member's end forces in its own axes, with welded ends, rod ends and other releases, partial supports and two load cases.

The library's vertical is its Y and its members' own y points up; ours is z. So (x, y, z) here is (x, z, -y) there, for
the frame and for a member alike. It knows no shear deformation and no product of inertia.

Needs: pip install PyNiteFEA numpy (3.2.0 and 2.4.6 were used).
"""

import json
import pathlib

import numpy as np
from Pynite import FEModel3D

E, NU = 205e3, 0.29
G = E / 2 / (1 + NU)
TUBE = dict(diameter=38.0, wall=2.0)
BAR = dict(width=12.0, height=40.0)


def tube(diameter, wall):
    ro, ri = diameter / 2, diameter / 2 - wall
    i = np.pi * (ro**4 - ri**4) / 4
    return np.pi * (ro**2 - ri**2), i, i, 2 * i


def bar(width, height):
    a, b = max(width, height) / 2, min(width, height) / 2
    # Roark, table 10.1, case 4.
    j = a * b**3 * (16 / 3 - 3.36 * b / a * (1 - b**4 / 12 / a**4))
    return width * height, width * height**3 / 12, height * width**3 / 12, j


def there(v):
    return v[0], v[2], -v[1]


def here(v):
    return [float(v[0]), float(-v[2]), float(v[1])]


def frame(seed, count):
    rng = np.random.default_rng(seed)
    nodes = rng.uniform([-1800, -700, 0], [1800, 700, 1200], (count, 3)).round(1)
    pairs = set()
    for i in range(count):
        near = np.argsort(np.linalg.norm(nodes - nodes[i], axis=1))
        pairs |= {tuple(sorted((i, int(j)))) for j in near[1:4]}
    # One chain through all, so that nothing hangs apart.
    pairs |= {(i, i + 1) for i in range(count - 1)}
    members = []
    for n, (i, j) in enumerate(sorted(pairs)):
        kind = "tube" if rng.random() < 0.6 else "plate"
        freed = [[False] * 6, [False] * 6]
        draw = rng.random()
        if abs(i - j) > 1 and draw < 0.2:
            freed = [[False] * 3 + [True] * 3, [False] * 4 + [True] * 2]
        elif abs(i - j) > 1 and draw < 0.35:
            freed[int(rng.integers(2))][int(rng.integers(4, 6))] = True
        elif abs(i - j) > 1 and draw < 0.42:
            freed[1][int(rng.integers(0, 3))] = True
        members.append(dict(ends=[i, j], section=kind, freed=freed))
    held = {0: [True] * 6, count // 3: [True] * 3 + [False] * 3, count - 1: [False, True, True, False, False, True]}
    cases = [
        [dict(node=int(n), force=rng.uniform(-2e3, 2e3, 3).round(1).tolist(),
              moment=rng.uniform(-2e5, 2e5, 3).round(0).tolist())
         for n in rng.choice(np.arange(1, count), size=size, replace=False)]
        for size in (1, count // 2)
    ]
    return nodes.tolist(), members, held, cases


def solve(nodes, members, held, cases):
    m = FEModel3D()
    m.add_material("steel", E, G, NU, 0.0)
    for name, (a, iy, iz, j) in dict(tube=tube(**TUBE), plate=bar(**BAR)).items():
        # Ours bends about y up and down, theirs about z.
        m.add_section(name, a, iz, iy, j)
    for i, at in enumerate(nodes):
        m.add_node(f"N{i}", *there(at))
        fixed = held.get(i, [False] * 6)
        m.def_support(f"N{i}", fixed[0], fixed[2], fixed[1], fixed[3], fixed[5], fixed[4])
    for k, b in enumerate(members):
        m.add_member(f"M{k}", f"N{b['ends'][0]}", f"N{b['ends'][1]}", "steel", b["section"])
        f = [[e[0], e[2], e[1], e[3], e[5], e[4]] for e in b["freed"]]
        m.def_releases(f"M{k}", *f[0], *f[1])
    for c, loads in enumerate(cases):
        for load in loads:
            for axis, value in zip("XYZ", there(load["force"])):
                m.add_node_load(f"N{load['node']}", "F" + axis, value, f"C{c}")
            for axis, value in zip("XYZ", there(load["moment"])):
                m.add_node_load(f"N{load['node']}", "M" + axis, value, f"C{c}")
        m.add_load_combo(f"L{c}", {f"C{c}": 1.0})
    m.analyze_linear()
    out = []
    for c in range(len(cases)):
        combo = f"L{c}"
        moved, reactions = [], []
        for i in range(len(nodes)):
            n = m.nodes[f"N{i}"]
            moved.append(here([n.DX[combo], n.DY[combo], n.DZ[combo]]) + here([n.RX[combo], n.RY[combo], n.RZ[combo]]))
            if i in held:
                reactions.append([i] + here([n.RxnFX[combo], n.RxnFY[combo], n.RxnFZ[combo]])
                                 + here([n.RxnMX[combo], n.RxnMY[combo], n.RxnMZ[combo]]))
        ends = []
        for k in range(len(members)):
            f = np.asarray(m.members[f"M{k}"].f(combo)).ravel()
            ends.append([v for at in range(0, 12, 3) for v in here(f[at : at + 3])])
        out.append(dict(loads=cases[c], moved=moved, reactions=reactions, ends=ends))
    return out


if __name__ == "__main__":
    frames = []
    for seed, count in [(1, 6), (2, 12), (3, 20), (4, 30)]:
        nodes, members, held, cases = frame(seed, count)
        frames.append(dict(nodes=nodes, members=members, held=[[k, v] for k, v in held.items()],
                           cases=solve(nodes, members, held, cases)))
    whole = dict(modulus=E, poisson=NU, tube=TUBE, plate=BAR, frames=frames)
    path = pathlib.Path(__file__).with_name("frames.json")
    path.write_text(json.dumps(whole) + "\n")
