"""SciPy and MuJoCo on the same poses as tests/bench/corner.rs, and how many times longer they take.

    cargo bench --no-default-features --bench corner && python3 tests/bench/rivals.py

The round of 480 neighbouring poses is the same, each started from the one before. `least_squares` is asked in five ways,
with its default tolerances (1e-8, looser than ours) and so at its fastest. MuJoCo gets the corner as hinged arms and a
ball-jointed upright (tests/reference/mechanisms.py), and is asked in two: its constraints' residuals and Jacobian with
a Newton step around them, and its own stepping, as a user would settle it. `nothing but the residuals` is the plain call.
Run both one after the other on the same machine, or the ratio means nothing.
"""

import json
import os
import pathlib
import sys
import time

import numpy as np
from scipy.optimize import least_squares

ROOT = pathlib.Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests/reference"))
import mechanisms  # noqa: E402
import motion  # noqa: E402


class SixUnknowns:
    """Wheel centre and rotation vector, as a careful NumPy user would write it."""

    def __init__(self, corner):
        p = corner.p
        self.chassis = np.array([p[name] for name, _ in corner.links])
        self.local = np.array([corner.measured[j] - p["wheel_centre"] for _, j in corner.links])
        self.lengths = np.array(corner.lengths)
        self.rack_axis = corner.rack_axis
        self.z = corner.at("wheel_centre", corner.ride)[2]

    def set(self, travel, rack):
        self.ends = self.chassis.copy()
        self.ends[4] += self.rack_axis * rack
        self.goal = self.z + travel

    @staticmethod
    def turn(v):
        angle = np.sqrt(v @ v)
        k = np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])
        if angle < 1e-4:
            return np.eye(3) + k + k @ k / 2.0
        return np.eye(3) + np.sin(angle) / angle * k + (1.0 - np.cos(angle)) / angle**2 * (k @ k)

    def residuals(self, x):
        rods = x[:3] + self.local @ self.turn(x[3:]).T - self.ends
        return np.append(np.sqrt(np.einsum("ij,ij->i", rods, rods)) - self.lengths, x[2] - self.goal)

    def jacobian(self, x):
        """Rows: the unit rod, and its moment carried over to the rotation vector (left Jacobian of SO(3))."""
        v = x[3:]
        arms = self.local @ self.turn(v).T
        rods = x[:3] + arms - self.ends
        along = rods / np.sqrt(np.einsum("ij,ij->i", rods, rods))[:, None]
        angle = np.sqrt(v @ v)
        k = np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])
        left = np.eye(3) + k / 2.0 + k @ k / 6.0
        if angle > 1e-4:
            left = np.eye(3) + (1 - np.cos(angle)) / angle**2 * k + (angle - np.sin(angle)) / angle**3 * (k @ k)
        rows = np.zeros((6, 6))
        rows[:5, :3], rows[:5, 3:] = along, np.cross(arms, along) @ left
        rows[5, 2] = 1.0
        return rows


def time_one(solve, start, poses):
    """Seconds a pose over the round, after one pose to warm up; and the worst residual."""
    x, worst = start, 0.0
    solve(x, *poses[0])
    begun = time.perf_counter()
    for travel, rack in poses:
        found = solve(x, travel, rack)
        x = found.x
        worst = max(worst, float(np.max(np.abs(found.fun))))
    return (time.perf_counter() - begun) / len(poses), worst


def main():
    corner = motion.Corner(motion.CARS["ahead"], "left")
    corner.ride = corner.standing(corner.measured, 0.0, np.eye(3), 0.0)
    poses = mechanisms.round_of_poses()
    six = SixUnknowns(corner)

    def by_six(**options):
        def solve(x, travel, rack):
            six.set(travel, rack)
            return least_squares(six.residuals, x, **options)

        return solve

    def by_points(x, travel, rack):
        def residuals(x):
            joints = x.reshape(3, 3)
            return np.array(corner.closed(joints, rack) + [corner.at("wheel_centre", joints)[2] - six.z - travel])

        return least_squares(residuals, x, jac="cs")

    # To the round's first pose in short steps, as tests/bench/corner.rs starts there.
    start = np.append(corner.p["wheel_centre"], np.zeros(3))
    for k in range(1, 31):
        start = by_six(jac=six.jacobian)(start, poses[0][0] * k / 30, poses[0][1] * k / 30).x
    joints = corner.travel_to(*poses[0]).ravel()
    ways = [
        ("six unknowns, analytic Jacobian, lm", by_six(jac=six.jacobian, method="lm"), start),
        ("six unknowns, analytic Jacobian, trf", by_six(jac=six.jacobian), start),
        ("six unknowns, differences, lm", by_six(method="lm"), start),
        ("six unknowns, nothing but the residuals", by_six(), start),
        ("nine coordinates, complex step, trf", by_points, joints),
    ]
    times = {}
    for name, solve, x in ways:
        times[name], worst = min(time_one(solve, x, poses) for _ in range(3))
        print(f"SciPy, {name}: {times[name] * 1e6:.0f} us a pose, residual under {worst:.0e} mm")

    axle = motion.CARS["ahead"] | {"linkage": "wishbone", "damper": "lower_arm", "rack": 60.0}
    ride = six.z - corner.p["wheel_centre"][2]
    from_measured = [(ride + travel, rack) for travel, rack in poses]
    for way, (seconds, steps) in mechanisms.time_round(axle, corner.radius, from_measured).items():
        times[f"MuJoCo, {way}"] = seconds
        print(f"MuJoCo, {way}: {seconds * 1e6:.0f} us a pose, {steps:.1f} steps")

    print_ratios(times, "wishbone")
    for kind, car in (("strut", "struts"), ("five links, steered", "five")):
        front = mechanisms.CARS[car]["front"]
        settled = mechanisms.time_round(front, mechanisms.RADIUS["front"], poses)
        print_ratios({f"MuJoCo, {way}": seconds for way, (seconds, _) in settled.items()}, kind)


def ours(name):
    """Seconds a pose by the bench's quickest sample, as the rivals' quickest round is taken, and how many minutes ago."""
    built = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    samples = built / "criterion/pose from its neighbour" / name / "new/sample.json"
    if not samples.exists():
        sys.exit("no samples of ours: run cargo bench --no-default-features --bench corner first")
    seen = json.loads(samples.read_text())
    return min(t / n for t, n in zip(seen["times"], seen["iters"])) * 1e-9, (time.time() - samples.stat().st_mtime) / 60


def print_ratios(times, kind):
    own, age = ours(kind)
    if kind == "wishbone":
        library = ours("wishbone by a Levenberg-Marquardt library")[0]
        times = times | {"levenberg-marquardt in Rust, analytic Jacobian": library}
    print(f"{kind}: ours takes {own * 1e6:.2f} us a pose (in the bench {age:.0f} minutes ago)")
    for name, seconds in sorted(times.items(), key=lambda t: t[1]):
        print(f"  {seconds / own:.1f} times as long: {name}, {seconds * 1e6:.1f} us")


if __name__ == "__main__":
    main()
