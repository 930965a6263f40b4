"""Cross-sections by finite elements: second moments, torsion, shear areas and shear centres.

Writes sections.json, which tests/strength/sections.rs holds src/strength to. A section here is a plain polygon that is
meshed; the warping and shear functions are solved for on the mesh, so nothing of thin-wall theory is in these numbers.

Needs: pip install sectionproperties (3.10.2 was used).
"""

import json
import math
import pathlib

from sectionproperties.analysis import Section
from sectionproperties.pre import Geometry, Material
from shapely.geometry import Point, Polygon, box

# Without a Poisson's ratio, as the formulas of strength handbooks are: with one, the shear area of what is wide shrinks.
STEEL = Material("steel", 1.0, 0.0, 1.0, 1.0, "grey")


def hollow(width, height, wall, radius=0.0):
    def rounded(w, h, r):
        if r <= 0:
            return box(-w / 2, -h / 2, w / 2, h / 2)
        return box(-w / 2 + r, -h / 2 + r, w / 2 - r, h / 2 - r).buffer(r, quad_segs=32)
    return rounded(width, height, radius).difference(rounded(width - 2 * wall, height - 2 * wall, radius - wall))


def notched(width, height, wall, face, depth, across=None):
    far = 1e4
    y, z = [-far, far], [-far, far]
    deep, other, half = (y, z, width / 2) if face in ("left", "right") else (z, y, height / 2)
    if face in ("left", "top"):
        deep[0] = half - depth
    else:
        deep[1] = depth - half
    if across:
        other[0], other[1] = across
    return hollow(width, height, wall).difference(box(y[0], z[0], y[1], z[1]))


def solve(shape, mesh):
    sec = Section(Geometry(shape, material=STEEL).create_mesh(mesh_sizes=[mesh]))
    sec.calculate_geometric_properties()
    sec.calculate_warping_properties()
    # With a modulus of elasticity of 1 the weighted properties are the plain ones.
    iy, iz, iyz = sec.get_eic()
    # The library's moments may turn either way; the tests compare extremes with that in mind.
    stress = [sec.calculate_stress(**m).get_stress()[0]["sig_zz"] for m in (dict(mxx=1e5), dict(myy=1e5))]
    return dict(
        bending=[[float(max(s)), float(min(s))] for s in stress], area=sec.get_area(), centroid=sec.get_c(), iy=iy, iz=iz, iyz=iyz, torsion=sec.get_ej(),
        shear_area=sec.get_eas(), shear_centre=sec.get_sc(),
    )


TUBE = Point(0, 0).buffer(19, quad_segs=64).difference(Point(0, 0).buffer(17, quad_segs=64))
CASES = [
    ("round tube", dict(tube=dict(diameter=38, wall=2)), TUBE, 0.3),
    ("box, sharp", dict(box=dict(width=60, height=80, wall=1.5)), hollow(60, 80, 1.5), 0.25),
    ("box, corner radius", dict(box=dict(width=50, height=30, wall=2, radius=4)), hollow(50, 30, 2, 4), 0.3),
    ("flat bar", dict(plate=dict(width=6, height=40)), box(-3, -20, 3, 20), 0.5),
    ("square bar", dict(plate=dict(width=20, height=20)), box(-10, -10, 10, 10), 1.0),
] + [
    (name, dict(notched=dict(width=w, height=h, wall=t, notch=dict(face=face, depth=depth, across=across))),
     notched(w, h, t, face, depth, across), t * t / 8)
    for name, w, h, t, face, depth, across in [
        ("cut into the left face, all of it", 60, 80, 1.5, "left", 25, None),
        ("cut into the top face, all of it", 60, 80, 1.5, "top", 30, None),
        ("cut into the right face, half its height", 60, 80, 1.5, "right", 20, [0, 60]),
        ("corner cut off", 50, 70, 2.0, "top", 22, [-7, 40]),
        ("slot in the bottom", 60, 60, 2.0, "bottom", 5, [-10, 15]),
        ("top wall thinned", 60, 60, 2.5, "top", 1.0, None),
    ]
]

if __name__ == "__main__":
    out = [dict(name=name, section=section, **solve(shape, mesh)) for name, section, shape, mesh in CASES]
    for row in out:
        for key, value in row.items():
            if isinstance(value, float):
                assert math.isfinite(value), (row["name"], key)
    path = pathlib.Path(__file__).with_name("sections.json")
    path.write_text(json.dumps(out, indent=1) + "\n")
