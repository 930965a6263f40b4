"""Poses of three invented front axles by SciPy, for tests/motion.rs to hold the Rust against.

    python3 tests/reference/motion.py      writes motion.json and the car files beside this script

Nothing here is taken from the Rust but the definitions of its numbers. The unknowns are the nine coordinates of the two
ball joints and the outer tie-rod joint (natural coordinates: no rotation, no quaternion): five links and the three sides
of the rigid triangle stay as long as they were, and the ninth equation sets the wheel centre's height or stands the tyre
on the ground. Whatever else is fixed to an upright or an arm keeps its affine coordinates in that part's triangle.
`scipy.optimize.least_squares` solves it with tolerances of 1e-15 and complex-step derivatives, from pose to neighbouring
pose. Poses of the body are worked in world coordinates: the body turns, the ground stays level.

Millimetres and radians; ISO 8855 axes (x forward, y left, z up).
"""

import json
import pathlib

import numpy as np
from scipy.optimize import least_squares

HERE = pathlib.Path(__file__).parent
SIDES = ("left", "right")
RIGHT = np.array([1.0, -1.0, 1.0])

# Invented. A rack ahead of the axle, a rack behind it, and a rack behind it on a shell that is far from symmetric.
CARS = {
    "ahead": dict(
        name="Whimbrel",
        ground=0.0,
        loaded_radius=295.0,
        damper_on="lower_arm",
        points=dict(
            lower_front=(150, 330, 210), lower_rear=(-170, 345, 196), lower_ball_joint=(8, 690, 182),
            upper_front=(95, 412, 372), upper_rear=(-140, 436, 352), upper_ball_joint=(-14, 655, 398),
            tie_rod_inner=(128, 318, 236), tie_rod_outer=(132, 668, 224), wheel_centre=(2, 742, 301),
            damper_top=(-20, 470, 660), damper_bottom=(0, 600, 214),
        ),
        right=dict(lower_front=(148, -331, 213), tie_rod_inner=(126.5, -322, 233), upper_ball_joint=(-16, -653, 399)),
        alignment=(-1.2, 0.1),
        right_alignment=(-0.8, -0.05),
    ),
    "behind": dict(
        name="Turnstone",
        ground=-190.0,
        loaded_radius=305.0,
        damper_on="upper_arm",
        points=dict(
            lower_front=(210, 290, 20), lower_rear=(-150, 318, 34), lower_ball_joint=(-4, 712, 2),
            upper_front=(120, 380, 190), upper_rear=(-130, 395, 168), upper_ball_joint=(-26, 668, 232),
            tie_rod_inner=(-142, 330, 60), tie_rod_outer=(-128, 690, 66), wheel_centre=(0, 770, 118),
            damper_top=(30, 420, 480), damper_bottom=(10, 570, 205),
        ),
        right=dict(lower_rear=(-152, -316, 37), tie_rod_outer=(-130, -688, 64), wheel_centre=(-3, -771, 117)),
        alignment=(-2.5, 0.0),
        right_alignment=None,
    ),
    "crooked": dict(
        name="Bittern",
        ground=-12.5,
        loaded_radius=281.25,
        damper_on="upright",
        points=dict(
            lower_front=(175, 355, 168), lower_rear=(-215, 300, 205), lower_ball_joint=(14, 668, 150),
            upper_front=(60, 395, 318), upper_rear=(-190, 450, 362), upper_ball_joint=(-38, 612, 391),
            tie_rod_inner=(-118, 372, 330), tie_rod_outer=(-148, 606, 341), wheel_centre=(6, 735, 262),
            damper_top=(40, 505, 615), damper_bottom=(22, 640, 190),
        ),
        right=dict(
            lower_front=(190, -338, 160), lower_rear=(-206, -312, 214), upper_front=(72, -402, 325),
            tie_rod_inner=(-110, -365, 338), tie_rod_outer=(-139, -611, 330), wheel_centre=(-4, -742, 270),
        ),
        alignment=(0.6, -0.2),
        right_alignment=(-0.4, 0.3),
    ),
}


def unit(v):
    return v / np.sqrt(np.sum(v * v))


def length(v):
    """Written so that a complex step passes through it."""
    return np.sqrt(np.sum(v * v))


def frame(a, b, c):
    """Three independent directions of a triangle, as columns."""
    u, v = b - a, c - a
    return np.column_stack([u, v, np.cross(u, v)])


class Corner:
    """One upright with its arms, its tie rod and its place on the rack."""

    def __init__(self, car, side):
        def point(name, side=side):
            own = car["right"].get(name) if side == "right" else None
            mirrored = np.array(car["points"][name], float) * (RIGHT if side == "right" else 1.0)
            return mirrored if own is None else np.array(own, float)

        self.side, self.out = side, 1.0 if side == "left" else -1.0
        self.p = {name: point(name) for name in car["points"]}
        self.rack_axis = unit(point("tie_rod_inner", "left") - point("tie_rod_inner", "right"))
        self.radius, self.ground = car["loaded_radius"], car["ground"]
        p = self.p
        self.measured = np.array([p["lower_ball_joint"], p["upper_ball_joint"], p["tie_rod_outer"]])
        self.links = [
            ("lower_front", 0), ("lower_rear", 0), ("upper_front", 1), ("upper_rear", 1), ("tie_rod_inner", 2),
        ]
        self.lengths = [length(self.measured[joint] - p[chassis]) for chassis, joint in self.links]
        self.triangle = [length(self.measured[i] - self.measured[j]) for i, j in ((0, 1), (1, 2), (2, 0))]
        camber, toe = np.radians((car["right_alignment"] if side == "right" else None) or car["alignment"])
        # The wheel plane holds a level line that points `toe` inboard of x, and a line that leans `camber` outboard.
        along = np.array([np.cos(toe), -self.out * np.sin(toe), 0.0])
        outboard = np.array([np.sin(toe), self.out * np.cos(toe), 0.0])
        up = np.array([0.0, 0.0, np.cos(camber)]) + outboard * np.sin(camber)
        to_local = np.linalg.inv(frame(*self.measured))
        self.local = {
            "along": to_local @ along,
            "up": to_local @ up,
            "spin": to_local @ (self.out * np.cross(up, along)),
            "wheel_centre": to_local @ (p["wheel_centre"] - self.measured[0]),
            "damper_bottom": to_local @ (p["damper_bottom"] - self.measured[0]),
        }
        self.arms = {}
        for arm, joint in (("lower", 0), ("upper", 1)):
            front, rear = p[arm + "_front"], p[arm + "_rear"]
            base = np.linalg.inv(frame(front, rear, self.measured[joint]))
            self.arms[arm] = (front, rear, joint, base @ (p["damper_bottom"] - front))
        self.ride = None

    def fixed(self, name, joints):
        """A direction fixed to the upright."""
        return frame(*joints) @ self.local[name]

    def at(self, name, joints):
        """A point fixed to the upright."""
        return joints[0] + self.fixed(name, joints)

    def inner(self, rack):
        return self.p["tie_rod_inner"] + self.rack_axis * rack

    def closed(self, joints, rack):
        """How much longer than measured: five links, three sides of the triangle."""
        ends = {name: self.p[name] for name, _ in self.links[:4]} | {"tie_rod_inner": self.inner(rack)}
        links = [length(joints[j] - ends[c]) - l for (c, j), l in zip(self.links, self.lengths)]
        sides = [length(joints[i] - joints[j]) - l for (i, j), l in zip(((0, 1), (1, 2), (2, 0)), self.triangle)]
        return links + sides

    def solve(self, start, rack, ninth):
        def residuals(x):
            joints = x.reshape(3, 3)
            return np.array(self.closed(joints, rack) + [ninth(joints)])

        found = least_squares(residuals, start.ravel(), jac="cs", xtol=1e-15, ftol=1e-15, gtol=1e-15)
        assert np.max(np.abs(found.fun)) < 2e-12, (self.side, rack, found.fun)
        return found.x.reshape(3, 3)

    def by_height(self, start, rack, z):
        return self.solve(start, rack, lambda j: self.at("wheel_centre", j)[2] - z)

    def standing(self, start, rack, turn, heave):
        def over_ground(joints):
            # The lowest point of a circle spanned by two square unit lines of the wheel plane, in the world.
            centre = world(self.at("wheel_centre", joints), turn, heave, self.ground)
            a, b = (turn @ self.fixed(n, joints) for n in ("along", "up"))
            return centre[2] - self.radius * np.sqrt(a[2] ** 2 + b[2] ** 2) - self.ground

        return self.solve(start, rack, over_ground)

    def travel_to(self, travel, rack):
        """From ride height in short steps, so that no other assembly is found."""
        joints = self.ride
        z = self.at("wheel_centre", self.ride)[2]
        steps = int(np.ceil(max(abs(travel), abs(rack)) / 10.0)) or 1
        for k in range(1, steps + 1):
            joints = self.by_height(joints, rack * k / steps, z + travel * k / steps)
        return joints


def world(p, turn, heave, ground):
    """A body point in the world: turned about the ground point under the origin, then raised."""
    pivot = np.array([0.0, 0.0, ground])
    return turn @ (p - pivot) + pivot + np.array([0.0, 0.0, heave])


def turned(roll, pitch):
    """Roll about the body's x, then pitch about the level y (ISO 8855 order without yaw)."""
    rx = np.array([[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]])
    ry = np.array([[np.cos(pitch), 0, np.sin(pitch)], [0, 1, 0], [-np.sin(pitch), 0, np.cos(pitch)]])
    return ry @ rx


# Eighth-order central difference.
STENCIL = [(1, 4 / 5), (2, -1 / 5), (3, 4 / 105), (4, -1 / 280)]


def slope(value, h):
    return sum(w * (value(k * h) - value(-k * h)) for k, w in STENCIL) / h


def heading(direction, towards):
    """Angle of a level line from x, positive towards +y times `towards`."""
    return np.arctan2(towards * direction[1], direction[0])


def dampers(corner, joints):
    """Damper length with its lower mount carried by each part that may carry it."""
    top = corner.p["damper_top"]
    found = {"upright": length(corner.at("damper_bottom", joints) - top)}
    for arm, (front, rear, joint, local) in corner.arms.items():
        found[arm + "_arm"] = length(front + frame(front, rear, joints[joint]) @ local - top)
    return found


def contact_of(corner, joints, turn):
    """The lowest point of the wheel's circle, body frame."""
    a, b = (corner.fixed(n, joints) for n in ("along", "up"))
    down = np.array([(turn @ a)[2], (turn @ b)[2]])
    return corner.at("wheel_centre", joints) - corner.radius * (a * down[0] + b * down[1]) / np.hypot(*down)


def describe(corner, joints, rack, turn):
    """Everything that the Rust offers, over a ground that is level in the world."""
    out = corner.out
    centre, spin = corner.at("wheel_centre", joints), corner.fixed("spin", joints)
    lower, upper, outer = joints
    contact = contact_of(corner, joints, turn)

    # Angles in the body frame. The wheel's level line, and its steepest one.
    level = unit(np.cross(spin, [0, 0, 1])) * out
    steep = np.cross(level, spin) * out
    across = np.cross([0, 0, 1], level) * out
    toe = heading(level, -out)
    camber = np.arctan2(steep @ across, steep[2])
    axis = upper - lower

    # The rest in the world, where the ground is level.
    w_spin, w_axis, w_lower, w_contact = turn @ spin, turn @ axis, turn @ lower, turn @ contact
    w_level = unit(np.cross(w_spin, [0, 0, 1])) * out
    w_steep = np.cross(w_level, w_spin) * out
    w_across = np.cross([0, 0, 1], w_level) * out
    meets = w_lower + w_axis * (w_contact[2] - w_lower[2]) / w_axis[2]

    # Speeds with wheel travel and with the rack, of points of the upright.
    z = centre[2]
    near = {}

    def moved(dz, dr):
        if (dz, dr) not in near:
            near[dz, dr] = corner.by_height(joints, rack + dr, z + dz)
        return near[dz, dr]

    to_local = np.linalg.inv(frame(*joints))
    contact_local = to_local @ (contact - lower)
    points = {
        "wheel_centre": lambda j: corner.at("wheel_centre", j),
        "lower_ball_joint": lambda j: j[0],
        "tie_rod_outer": lambda j: j[2],
        "contact": lambda j: j[0] + frame(*j) @ contact_local,
    }
    h = 0.8
    by_travel = {n: slope(lambda d: f(moved(d, 0.0)), h) for n, f in points.items()}
    by_rack = {n: slope(lambda d: f(moved(0.0, d)), h) for n, f in points.items()}
    lengths = dampers(corner, joints)
    ratios = {n: -slope(lambda d: dampers(corner, moved(d, 0.0))[n], h) for n in lengths}

    return {
        "side": corner.side,
        "rack": rack,
        "wheel_centre": centre,
        "lower_ball_joint": lower,
        "upper_ball_joint": upper,
        "tie_rod_inner": corner.inner(rack),
        "tie_rod_outer": outer,
        "spin": spin,
        "contact": contact,
        "camber": np.degrees(camber),
        "inclination": np.degrees(np.arctan2(w_steep @ w_across, w_steep[2])),
        "toe": np.degrees(toe),
        "steer": np.degrees(heading(level, 1.0)),
        "caster": np.degrees(np.arctan2(-axis[0], axis[2])),
        "kingpin": np.degrees(np.arctan2(-out * axis[1], axis[2])),
        "scrub_radius": (w_contact - meets) @ w_across,
        "trail": (meets - w_contact) @ w_level,
        "damper_length": lengths,
        "motion_ratio": ratios,
        "by_travel": by_travel,
        "by_rack": by_rack,
    }


def roll_centre(left, right, turn, heave, ground):
    """Where the two contacts' front-view normals meet (lateral place in the body frame, height over the ground)."""
    rows, sums = [], []
    for d in (left, right):
        speed, at = d["by_travel"]["contact"][1:], d["contact"][1:]
        rows.append(speed)
        sums.append(speed @ at)
    meet = np.linalg.solve(np.array(rows), np.array(sums))
    return meet[0], world(np.array([0.0, *meet]), turn, heave, ground)[2] - ground


def ron(car):
    def points(of):
        return "".join(f"            {n}: ({', '.join(repr(v) for v in p)}),\n" for n, p in of.items())

    def alignment(a):
        return f"(camber: {a[0]}, toe: {a[1]})"

    own = car["right_alignment"]
    other = f"        right_alignment: {alignment(own)},\n" if own else ""
    return f"""// Written by motion.py: invented, and only for the checks of the kinematic core.
(
    format: 1,
    name: "{car['name']}",
    origin: "x at the front axle line, y on the centreline",
    wheelbase: 2500,
    ground: {car['ground']},
    front: (
        linkage: wishbone,
        points: {{
{points(car['points'])}        }},
        right: {{
{points(car['right'])}        }},
        alignment: {alignment(car['alignment'])},
{other}        arms: (lower: (od: 25), upper: (od: 25), tie_rod: (od: 18)),
        damper: (on: {car['damper_on']}, diameter: 60),
        rack: (travel: 60),
        wheel: (width: "7.5 in", offset: 30),
        tyre: (size: "225/50R17", loaded_radius: {car['loaded_radius']}),
    ),
    sweep: (bump: 60, droop: 60, roll: 3, pitch: 1.5),
)
"""


def plain(v):
    """Thirteen digits: what SciPy's residuals of 1e-12 mm on lengths of some hundreds support."""
    if isinstance(v, dict):
        return {k: plain(w) for k, w in v.items()}
    if isinstance(v, (list, tuple, np.ndarray)):
        return [plain(w) for w in v]
    return float(f"{v:.13g}") if isinstance(v, (float, np.floating)) else v


def main():
    rng = np.random.default_rng(20)
    level = np.eye(3)
    written = []
    for file, car in CARS.items():
        (HERE / f"{file}.ron").write_text(ron(car))
        corners = [Corner(car, side) for side in SIDES]
        for c in corners:
            c.ride = c.standing(c.measured, 0.0, level, 0.0)

        moved = []
        for travel in (-60.0, -30.0, 0.0, 30.0, 60.0):
            for rack in (-60.0, -36.0, -12.0, 12.0, 36.0, 60.0):
                for c in corners:
                    moved.append({"travel": travel} | describe(c, c.travel_to(travel, rack), rack, level))

        stood = []
        joints = [c.ride for c in corners]
        previous = np.zeros(4)
        for _ in range(30):
            pose = rng.uniform([-45, -3, -1.5, -60], [45, 3, 1.5, 60])
            steps = 12
            for k in range(1, steps + 1):
                heave, roll, pitch, rack = previous + (pose - previous) * k / steps
                turn = turned(*np.radians([roll, pitch]))
                joints = [c.standing(j, rack, turn, heave) for c, j in zip(corners, joints)]
            previous = pose
            heave, roll, pitch, rack = pose
            both = [describe(c, j, rack, turn) for c, j in zip(corners, joints)]
            stood.append({
                "heave": heave, "roll": roll, "pitch": pitch, "rack": rack, "corners": both,
                "roll_centre": roll_centre(*both, turn, heave, car["ground"]),
            })
        written.append({"car": file, "moved": moved, "stood": stood})
        print(file, len(moved), "moved by hand,", len(stood), "stood on the ground")
    lines = json.dumps(plain(written)).replace('{"travel"', '\n{"travel"').replace('{"heave"', '\n{"heave"')
    (HERE / "motion.json").write_text(lines + "\n")


if __name__ == "__main__":
    main()
