"""Forces in linkages by the displacement method, for the Rust to be held against.

    python3 tests/reference/loads.py      writes loads.json beside this script

Nothing here is taken from the Rust but the names of points. The Rust writes the balance of every part and solves for
forces. Here nothing is balanced: every joint and link is an elastic spring of the same stiffness, every part has six
small displacements from where it was measured, and the energy of the springs less the work of the load is least
(Castigliano; the direct stiffness method of structural analysis). How springs stretch with displacements is a complex
step of their lengths. Where statics alone settle a force, it is the same whatever the stiffness; what they leave open
(the share of two pickups along their line) is written only where symmetry settles it.

Left sides of the cars of cars.py as measured, body frame, N and N mm; load at the wheel centre. In the file, of each
load:

    rods        tension by the outer point
    joints      force on the upright by the arm at each ball joint
    pickups     force on the body at each pickup: of an arm without its part along the line through both
    together    force on the body of both pickups
    rocker      force on the body at rocker_pivot, and moment about it
    top         force on the body at a strut's top mount, spring and all
"""

import json
import pathlib

import numpy as np
from scipy.linalg import solve

from cars import CARS

HERE = pathlib.Path(__file__).parent
STIFF = 1e6  # N/mm
LEVER = 300.0  # mm: turns count as the displacement at this radius
STEP = 1e-30
LOADS = [
    ((0.0, 0.0, 3000.0), (0.0, 0.0, 0.0)),
    ((-4200.0, 0.0, 5100.0), (0.0, -1.2e6, 0.0)),
    ((300.0, -5200.0, 4600.0), (-1.5e6, 2e4, 9e4)),
    ((2500.0, 1800.0, 900.0), (5e5, 3e4, -4e4)),
]


def length(v):
    return np.sqrt(v @ v)


def cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


class Structure:
    """Parts that can be displaced, and springs between their points."""

    def __init__(self, points):
        self.points = {name: np.array(p, float) for name, p in points.items()}
        self.parts = []
        self.springs = []  # (name, function of displacements)

    def at(self, name, part, q):
        """Where a point of a part is, displaced."""
        p = self.points[name]
        if part == "body":
            return p.astype(complex)
        i = 6 * self.parts.index(part)
        o = self.points["wheel_centre"]
        return p + q[i : i + 3] + cross(q[i + 3 : i + 6] / LEVER, p - o)

    def rod(self, name, inner, inner_part, outer, outer_part):
        long = length(self.points[inner] - self.points[outer])

        def stretch(q):
            d = self.at(outer, outer_part, q) - self.at(inner, inner_part, q)
            return np.array([length(d) - long])

        self.springs.append((name, stretch))

    def ball(self, name, one, other):
        self.springs.append((name, lambda q: self.at(name, one, q) - self.at(name, other, q)))

    def across(self, name, part, along, point):
        """A point of the body that stays on a line of the part."""
        along = along / length(along)
        aside = np.linalg.svd(along.reshape(1, 3))[2][1:]
        self.springs.append((name, lambda q: aside @ (self.at(point, part, q) - self.points[point])))
        return aside

    def solve(self, part, force, moment):
        """What each spring pulls with: stiffness times stretch."""
        n = 6 * len(self.parts)
        rows = []
        for _, stretch in self.springs:
            columns = [stretch(np.eye(n)[i] * 1j * STEP).imag / STEP for i in range(n)]
            rows.append(np.array(columns).T)
        b = np.vstack(rows)
        load = np.zeros(n)
        i = 6 * self.parts.index(part)
        load[i : i + 3], load[i + 3 : i + 6] = force, np.array(moment) / LEVER
        q = solve(STIFF * b.T @ b, load, assume_a="pos")
        # Once more on what rounding left over.
        q += solve(STIFF * b.T @ b, load - STIFF * b.T @ (b @ q), assume_a="pos")
        return {name: STIFF * row @ q for (name, _), row in zip(self.springs, rows)}


def build(axle):
    p = axle["points"]
    s = Structure(p)
    kind = axle["linkage"]
    s.parts = ["upright"]
    arms = []
    if kind in ("wishbone", "strut"):
        arms = ["lower", "upper"] if kind == "wishbone" else ["lower"]
        s.parts += arms
        for arm in arms:
            s.ball(f"{arm}_ball_joint", "upright", arm)
            s.ball(f"{arm}_front", "body", arm)
            s.ball(f"{arm}_rear", "body", arm)
    if kind == "strut":
        s.aside = s.across("top", "upright", s.points["damper_top"] - s.points["damper_bottom"], "damper_top")
    if kind == "five_link":
        for name in ("lower_front", "lower_rear", "upper_front", "upper_rear"):
            s.rod(f"{name}_outer", name, "body", f"{name}_outer", "upright")
    if kind == "trailing_arm":
        s.ball("arm_inner", "body", "upright")
        s.ball("arm_outer", "body", "upright")
    else:
        s.rod("tie_rod_outer", "tie_rod_inner", "body", "tie_rod_outer", "upright")
    on = {"lower_arm": "lower", "upper_arm": "upper", "trailing_arm": "upright"}
    if axle.get("rocker"):
        s.parts.append("rocker")
        s.ball("rocker_pivot", "body", "rocker")
        s.ball("rocker_axis", "body", "rocker")
        s.rod("push_rod_outer", "push_rod_inner", "rocker", "push_rod_outer", on.get(axle["rocker"], axle["rocker"]))
    damper = on.get(axle["damper"], axle["damper"])
    s.rod("damper_bottom", "damper_top", "body", "damper_bottom", damper)
    return s, arms


def told(s, arms, force, moment):
    f = s.solve("upright", force, moment)
    out = dict(force=force, moment=moment, rods={}, joints={}, pickups={}, together={})
    for name, v in f.items():
        if len(v) == 1:
            out["rods"][name] = v[0]
    for arm in arms:
        # The spring pulls the first part back towards the second.
        out["joints"][f"{arm}_ball_joint"] = -f[f"{arm}_ball_joint"]
        front, rear = -f[f"{arm}_front"], -f[f"{arm}_rear"]
        along = s.points[f"{arm}_rear"] - s.points[f"{arm}_front"]
        along /= length(along)
        out["pickups"][f"{arm}_front"] = front - along * (along @ front)
        out["pickups"][f"{arm}_rear"] = rear - along * (along @ rear)
        out["together"][arm] = front + rear
    if "arm_inner" in f:
        out["pickups"] = {name: -f[name] for name in ("arm_inner", "arm_outer")}
    if "rocker_pivot" in f:
        a, b = -f["rocker_pivot"], -f["rocker_axis"]
        arm = s.points["rocker_axis"] - s.points["rocker_pivot"]
        out["rocker"] = dict(force=a + b, moment=np.cross(arm, b))
    if "top" in f:
        # Spring and slide both push on the body: the slide's spring pulls the upright back to it.
        along = s.points["damper_bottom"] - s.points["damper_top"]
        out["top"] = f["top"] @ s.aside + along / length(along) * f["damper_bottom"][0]
    return out


def plain(v):
    if isinstance(v, dict):
        return {k: plain(x) for k, x in v.items()}
    if isinstance(v, (list, tuple, np.ndarray)):
        return [plain(x) for x in v]
    return float(f"{v:.12g}")


def main():
    corners = []
    axles = [("struts", "front"), ("struts", "rear"), ("rockers", "front"), ("rockers", "rear"), ("five", "front")]
    for car, axle in axles:
        s, arms = build(CARS[car][axle])
        corners.append(dict(car=car, axle=axle, loads=[plain(told(s, arms, *load)) for load in LOADS]))
    (HERE / "loads.json").write_text(json.dumps(corners, indent=1) + "\n")


main()
