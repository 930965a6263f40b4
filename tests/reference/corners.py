"""Poses of every corner type and steering type by SciPy, for the Rust to be held against.

    python3 tests/reference/corners.py      writes corners.json and the car files of cars.py beside this script

Nothing here is taken from the Rust but the definitions of its numbers. What carries the wheel is written in natural
coordinates: a point and three directions of twelve numbers, with six equations that keep the directions square and of
length one. Links, slides, hinges and drives are the other equations, and each rocker, lever, crank and idler arm adds
its angle and an equation of its own, so that one system holds a whole mechanism. `scipy.optimize.least_squares` solves
it with tolerances of 1e-15 from pose to neighbouring pose, and Newton steps polish it. Jacobians and derivatives are
complex steps; eighth-order central differences of the solution check the derivatives.

Body frame, body still; mm and degrees; ISO 8855 axes. In the file, of each pose:

    travel     each wheel centre's z over its measured z, left and right; `stood` poses stand on the ground instead
    steer      the rack to the left, or the arc of the pitman arm's end to the left
    by_travel  derivatives by that wheel's own travel, by_other by the other wheel's (one stiff axle), by_steer by the
               steering; of wheel_centre, and of camber, toe, damper_length, rocker and bar
    contact    the loaded radius below the centre in the wheel's plane; level ground, or the ground it stands on
    rocker     its angle from measured, right-handed about the line from rocker_pivot to rocker_axis of that side
    bar        its lever's angle from measured, right-handed about the line from the right bar_pivot to the left one
    crank      its angle from measured in the axle, right-handed about the axle's own x
    give       what the links of an over-determined axle give: upper left and lower right longer by it, the others
               shorter
"""

import json
import pathlib

import numpy as np
from scipy.optimize import least_squares

import motion
from cars import CARS, RADIUS, ron

HERE = pathlib.Path(__file__).parent
SIDES = ("left", "right")
MIRROR = np.array([1.0, -1.0, 1.0])
X, Z = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
# Directions are solved for at this scale, so that all residuals are mm of a plausible lever.
LEVER = 300.0
STEP = 1e-30j
STENCIL = [(1, 4 / 5), (2, -1 / 5), (3, 4 / 105), (4, -1 / 280)]


# All of these let a complex step pass.
def length(v):
    return np.sqrt(v @ v)


def unit(v):
    return v / length(v)


def cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def turned(v, axis, angle):
    """A vector turned right-handed about a unit axis."""
    return v * np.cos(angle) + cross(axis, v) * np.sin(angle) + axis * (axis @ v) * (1.0 - np.cos(angle))


def squares(axis):
    """Two unit vectors square to an axis and to each other."""
    u = unit(cross(axis, Z if abs(axis[2]) < 0.8 else X))
    return u, cross(axis, u)


def jacobian(f, x):
    """By complex steps: one column for each number of x."""
    columns = []
    for k in range(len(x)):
        moved = x.astype(complex)
        moved[k] += STEP
        columns.append(f(moved).imag / STEP.imag)
    return np.column_stack(columns)


class Pose:
    """The unknowns by name."""

    def __init__(self, x, extras, steer):
        self.at, self.turn, self.steer = x[:3], x[3:12].reshape(3, 3) / LEVER, steer
        self.extra = dict(zip(extras, x[12:]))


class Mechanism:
    """One independent corner (one side) or one stiff axle (both)."""

    def __init__(self, axle, radius, sides):
        self.axle, self.radius, self.sides = axle, radius, sides
        self.linkage = axle["linkage"]
        self.stiff = len(sides) == 2
        self.anchor = np.mean([self.point(s, "wheel_centre") for s in sides], axis=0)
        self.spin0 = {s: self.spin_as_measured(s) for s in sides}
        self.steers = "rack" in axle or "steering_box" in axle
        middle = axle.get("middle", {})
        self.single_upper = self.stiff and "upper_link_axle" in middle
        self.four = self.stiff and not self.single_upper and self.has("upper_link_axle")
        self.crank = "centre_pivot" in middle
        self.extras = []
        if "steering_box" in axle:
            self.extras.append("idler")
        for part in ("rocker", "bar"):
            self.extras += [f"{part} {s}" for s in sides if part in axle]
        if self.crank:
            self.extras.append("crank")
        if self.four and (self.crank or "lateral_rod_axle" in middle):
            self.extras.append("give")
        self.measured = np.concatenate([self.anchor, LEVER * np.eye(3).ravel(), np.zeros(len(self.extras))])

    # What was measured.

    def has(self, name):
        return name in self.axle["points"] or name in self.axle.get("middle", {})

    def point(self, side, name):
        own = self.axle.get("right", {}).get(name) if side == "right" else None
        if own is not None:
            return np.array(own, float)
        if name in self.axle["points"]:
            return np.array(self.axle["points"][name], float) * (MIRROR if side == "right" else 1.0)
        return np.array(self.axle["middle"][name], float)

    def spin_as_measured(self, side):
        """Square to a level line that points `toe` inboard of x and to one that leans `camber` outboard."""
        own = self.axle.get("right_alignment") if side == "right" else None
        camber, toe = np.radians(own or self.axle["alignment"])
        along, outboard = np.array([np.cos(toe), -np.sin(toe), 0.0]), np.array([np.sin(toe), np.cos(toe), 0.0])
        up = Z * np.cos(camber) + outboard * np.sin(camber)
        return cross(up, along) * (MIRROR if side == "right" else 1.0)

    def out(self, side):
        return 1.0 if side == "left" else -1.0

    # What moves.

    def carried(self, pose, p):
        return pose.at + pose.turn @ (p - self.anchor)

    def centre(self, pose, side):
        return self.carried(pose, self.point(side, "wheel_centre"))

    def spin(self, pose, side):
        return pose.turn @ self.spin0[side]

    def contact(self, pose, side, normal):
        s = self.spin(pose, side)
        return self.centre(pose, side) - self.radius * unit(normal - s * (s @ normal))

    def shaft(self, arm):
        """A point and the unit direction of a steering shaft."""
        foot = self.point("left", arm + "_shaft")
        top = arm + "_shaft_top"
        return foot, unit(self.point("left", top) - foot) if self.has(top) else Z

    def arm_end(self, arm, angle):
        foot, axis = self.shaft(arm)
        return foot + turned(self.point("left", arm + "_end") - foot, axis, angle)

    def pitman_arm(self):
        """Its length, and the sense of turn that takes its end to the left."""
        foot, axis = self.shaft("pitman")
        sweep = cross(axis, self.point("left", "pitman_end") - foot)
        return length(sweep), np.sign(sweep[1])

    def pitman_end(self, pose):
        arm, sense = self.pitman_arm()
        return self.arm_end("pitman", sense * pose.steer / arm)

    def steering_limit(self):
        if "rack" in self.axle:
            return self.axle["rack"]
        return np.radians(self.axle["steering_box"][0]) * self.pitman_arm()[0]

    def tie_rod_inner(self, pose, side):
        p = self.point(side, "tie_rod_inner")
        if "rack" in self.axle:
            left, right = (self.point(s, "tie_rod_inner") for s in SIDES)
            return p + unit(left - right) * pose.steer
        if "steering_box" not in self.axle:
            return p
        up = self.shaft("pitman")[1]

        def directions(pitman, idler):
            along = unit(idler - pitman)
            top = unit(up - along * (up @ along))
            return np.column_stack([along, top, cross(along, top)])

        pitman, idler = self.pitman_end(pose), self.arm_end("idler", pose.extra["idler"])
        pitman0, idler0 = (self.point("left", arm + "_end") for arm in ("pitman", "idler"))
        return pitman + directions(pitman, idler) @ (directions(pitman0, idler0).T @ (p - pitman0))

    def rocker_axis(self, side):
        pivot = self.point(side, "rocker_pivot")
        return pivot, unit(self.point(side, "rocker_axis") - pivot)

    def bar_axis(self, side):
        left, right = (self.point(s, "bar_pivot") for s in SIDES)
        return self.point(side, "bar_pivot"), unit(left - right)

    def on(self, part, pose, side, name):
        """A point carried by an arm, the rocker, or whatever carries the wheel."""
        p = self.point(side, name)
        if part == "rocker":
            pivot, axis = self.rocker_axis(side)
            return pivot + turned(p - pivot, axis, pose.extra[f"rocker {side}"])
        if part in ("lower_arm", "upper_arm"):
            arm = part.removesuffix("_arm")
            front, rear, joint = (self.point(side, f"{arm}_{end}") for end in ("front", "rear", "ball_joint"))

            # The triangle's own directions; not square, which an affine place does not mind.
            def triangle(joint):
                return np.column_stack([rear - front, joint - front, cross(rear - front, joint - front)])

            return front + triangle(self.carried(pose, joint)) @ np.linalg.solve(triangle(joint), p - front)
        return self.carried(pose, p)

    def crank_point(self, pose, name):
        pivot = self.point("left", "centre_pivot")
        arm = turned(self.point("left", name) - pivot, X, pose.extra["crank"])
        return self.carried(pose, pivot) + pose.turn @ arm

    def bar_lever(self, pose, side):
        pivot, axis = self.bar_axis(side)
        return pivot + turned(self.point(side, "bar_lever") - pivot, axis, pose.extra[f"bar {side}"])

    # What holds it.

    def link(self, pose, side, body, carried):
        """How much longer than measured a link is."""
        chassis, outer = self.point(side, body), self.point(side, carried)
        return length(self.carried(pose, outer) - chassis) - length(outer - chassis)

    def rod(self, pose, side, a, b, a_name, b_name):
        return length(a - b) - length(self.point(side, a_name) - self.point(side, b_name))

    def held(self, pose):
        """The linkage's own equations."""
        if self.stiff:
            return self.held_stiff(pose)
        (side,) = self.sides
        if self.linkage == "trailing_arm":
            inner, outer = (self.point(side, n) for n in ("arm_inner", "arm_outer"))
            moved = self.carried(pose, inner)
            return [*(moved - inner), *((self.carried(pose, outer) - moved) @ u for u in squares(unit(outer - inner)))]
        links = {
            "wishbone": [("lower_front", "lower_ball_joint"), ("lower_rear", "lower_ball_joint"),
                         ("upper_front", "upper_ball_joint"), ("upper_rear", "upper_ball_joint")],
            "strut": [("lower_front", "lower_ball_joint"), ("lower_rear", "lower_ball_joint")],
            "five_link": [(n, n + "_outer") for n in ("lower_front", "lower_rear", "upper_front", "upper_rear")],
        }[self.linkage]
        rows = [self.link(pose, side, *ends) for ends in links]
        outer = self.carried(pose, self.point(side, "tie_rod_outer"))
        rows.append(
            self.rod(pose, side, outer, self.tie_rod_inner(pose, side), "tie_rod_outer", "tie_rod_inner"))
        if self.linkage == "strut":
            top, bottom = (self.point(side, n) for n in ("damper_top", "damper_bottom"))
            slide = top - self.carried(pose, bottom)
            rows += [slide @ (pose.turn @ u) for u in squares(unit(top - bottom))]
        return rows

    def held_stiff(self, pose):
        give = pose.extra.get("give", 0.0)
        lower, upper = ("lower_link_body", "lower_link_axle"), ("upper_link_body", "upper_link_axle")
        rows = [self.link(pose, "left", *lower) + give, self.link(pose, "right", *lower) - give]
        if self.single_upper:
            rows.append(self.link(pose, "left", *upper))
        else:
            rows += [self.link(pose, "left", *upper) - give, self.link(pose, "right", *upper) + give]
        if self.has("lateral_rod_axle"):
            rows.append(self.link(pose, "left", "lateral_rod_body", "lateral_rod_axle"))
        if self.crank:
            for end in ("upper", "lower"):
                body, joint = f"{end}_rod_body", f"crank_{end}"
                at = self.crank_point(pose, joint)
                rows.append(self.rod(pose, "left", at, self.point("left", body), joint, body))
        return rows

    def worked(self, pose):
        """The equations of what the wheel or the steering works: idler arm, rockers, bar levers."""
        rows = []
        if "idler" in pose.extra:
            idler = self.arm_end("idler", pose.extra["idler"])
            rows.append(self.rod(pose, "left", self.pitman_end(pose), idler, "pitman_end", "idler_end"))
        for side in self.sides:
            if "rocker" in self.axle:
                outer = self.on(self.axle["rocker"], pose, side, "push_rod_outer")
                inner = self.on("rocker", pose, side, "push_rod_inner")
                rows.append(self.rod(pose, side, outer, inner, "push_rod_outer", "push_rod_inner"))
            if "bar" in self.axle:
                outer = self.on(self.axle["bar"], pose, side, "drop_link_outer")
                rows.append(
                    self.rod(pose, side, outer, self.bar_lever(pose, side), "drop_link_outer", "bar_lever"))
        return rows

    def equations(self, pose, drives):
        t = pose.turn
        square = [LEVER * (t[:, i] @ t[:, j] - (i == j)) for i in range(3) for j in range(i, 3)]
        return np.array(square + self.held(pose) + self.worked(pose) + drives)

    def raised(self, x, q):
        """All equations with the wheel centres' heights set: q is the travels, then the steering."""
        pose = Pose(x, self.extras, q[-1])
        drives = [
            self.centre(pose, s)[2] - self.point(s, "wheel_centre")[2] - t for s, t in zip(self.sides, q[:-1])]
        return self.equations(pose, drives)

    def standing(self, x, steer, normal, offset):
        """All equations with the tyres on a ground plane."""
        pose = Pose(x, self.extras, steer)
        return self.equations(pose, [normal @ self.contact(pose, s, normal) - offset for s in self.sides])

    # How it is solved.

    def solve(self, f, start):
        x = least_squares(f, start, jac=lambda x: jacobian(f, x), xtol=1e-15, ftol=1e-15, gtol=1e-15).x
        for _ in range(3):
            x = x - np.linalg.solve(jacobian(f, x), f(x))
        assert np.max(np.abs(f(x))) < 1e-11, (self.linkage, self.sides, np.max(np.abs(f(x))))
        return x

    def travel_to(self, q):
        """From where it was measured in short steps, so that no other assembly is found."""
        q = np.array(q, float)
        x, steps = self.measured, int(np.ceil(np.max(np.abs(q)) / 10.0)) or 1
        for k in range(1, steps + 1):
            x = self.solve(lambda x: self.raised(x, q * k / steps), x)
        return x

    # What is asked of it.

    def outputs(self, x, steer, side):
        """What derivatives are given of, as one list of numbers; see `named`."""
        pose = Pose(x, self.extras, steer)
        s = self.spin(pose, side)
        camber, toe = -np.arcsin(s[2]), np.arctan(s[0] / (self.out(side) * s[1]))
        angles = [pose.extra[f"{part} {side}"] for part in ("rocker", "bar") if f"{part} {side}" in pose.extra]
        top, bottom = self.point(side, "damper_top"), self.on(self.axle["damper"], pose, side, "damper_bottom")
        degrees = np.array([camber, toe, *angles]) * (180.0 / np.pi)
        return np.array([*self.centre(pose, side), length(bottom - top), *degrees])

    def named(self, numbers):
        names = ["damper_length", "camber", "toe"] + [part for part in ("rocker", "bar") if part in self.axle]
        return {"wheel_centre": numbers[:3]} | dict(zip(names, numbers[3:]))

    def rates(self, x, q, side):
        """Derivatives of the outputs by each of q: the pose's equations differentiated as they stand."""
        moves = -np.linalg.solve(jacobian(lambda x: self.raised(x, q), x), jacobian(lambda q: self.raised(x, q), q))
        return np.column_stack([
            self.outputs(x + STEP * moves[:, k], q[-1] + STEP * (k == len(q) - 1), side).imag / STEP.imag
            for k in range(len(q))
        ])

    def rates_by_differences(self, x, q, side, h=0.8):
        def moved(k, d):
            to = q + d * np.eye(len(q))[k]
            return self.outputs(self.solve(lambda x: self.raised(x, to), x), to[-1], side)

        return np.column_stack([
            sum(w * (moved(k, n * h) - moved(k, -n * h)) for n, w in STENCIL) / h for k in range(len(q))])

    def moved_points(self, pose, side):
        """Every point that moves, but the wheel centre."""
        found = {}
        for name in self.axle["points"]:
            carried = name.endswith(("_ball_joint", "_axle")) or (name.endswith("_outer") and name != "arm_outer")
            if carried and name not in ("push_rod_outer", "drop_link_outer", "rocker_axis"):
                found[name] = self.carried(pose, self.point(side, name))
        if self.has("tie_rod_inner"):
            found["tie_rod_inner"] = self.tie_rod_inner(pose, side)
        found["damper_bottom"] = self.on(self.axle["damper"], pose, side, "damper_bottom")
        if "rocker" in self.axle:
            found["push_rod_outer"] = self.on(self.axle["rocker"], pose, side, "push_rod_outer")
            found["push_rod_inner"] = self.on("rocker", pose, side, "push_rod_inner")
        if "bar" in self.axle:
            found["drop_link_outer"] = self.on(self.axle["bar"], pose, side, "drop_link_outer")
            found["bar_lever"] = self.bar_lever(pose, side)
        return found

    def describe(self, x, steer, side, normal):
        pose = Pose(x, self.extras, steer)
        q = np.array([self.centre(pose, s)[2] - self.point(s, "wheel_centre")[2] for s in self.sides] + [steer])
        rates = [self.named(r) for r in self.rates(x, q, side).T]
        own = rates[self.sides.index(side)]
        found = {
            "spin": self.spin(pose, side), "contact": self.contact(pose, side, normal),
            "inclination": np.degrees(-np.arcsin(normal @ self.spin(pose, side))),
            "points": self.moved_points(pose, side), "motion_ratio": -own["damper_length"], "by_travel": own,
        } | self.named(self.outputs(x, steer, side))
        found["steer"] = -self.out(side) * found["toe"]
        if self.stiff:
            found["by_other"] = rates[1 - self.sides.index(side)]
        if self.steers:
            found["by_steer"] = rates[-1]
        return found

    def describe_middle(self, x, steer):
        """What an axle has once."""
        pose, found, points = Pose(x, self.extras, steer), {}, {}
        if "idler" in pose.extra:
            points["pitman_end"] = self.pitman_end(pose)
            points["idler_end"] = self.arm_end("idler", pose.extra["idler"])
        for name in self.axle.get("middle", {}):
            if name in ("upper_link_axle", "lateral_rod_axle", "centre_pivot"):
                points[name] = self.carried(pose, self.point("left", name))
            if name in ("crank_upper", "crank_lower"):
                points[name] = self.crank_point(pose, name)
        if "crank" in pose.extra:
            found["crank"] = np.degrees(pose.extra["crank"])
        if "give" in pose.extra:
            found["give"] = pose.extra["give"]
        return found | ({"middle": points} if points else {})


def mechanisms(axle, radius):
    """Left and right, or the one that is both."""
    if axle["linkage"] in ("live_axle", "de_dion"):
        return [Mechanism(axle, radius, SIDES)]
    return [Mechanism(axle, radius, (s,)) for s in SIDES]


def grid(axle, both):
    """Travels of both wheels and the steering."""
    if both[0].stiff:
        heights = (-80.0, -48.0, -15.0, 20.0, 50.0, 80.0)
        return [(left, right, 0.0) for left in heights for right in heights]
    if both[0].steers:
        limit = round(0.97 * both[0].steering_limit(), 1)
        heights = (-80.0, -52.0, -25.0, 0.0, 30.0, 55.0, 80.0)
        return [(t, heights[(2 * i + k) % 7], s * limit)
                for i, t in enumerate(heights) for k, s in enumerate((-1.0, -0.5, 0.0, 0.45, 1.0))]
    return [(t, -t if i % 2 else t / 2, 0.0) for i, t in enumerate(np.linspace(-80, 80, 33))]


def posed(both, travels, steer):
    """Solutions for the mechanisms of an axle."""
    if both[0].stiff:
        return [both[0].travel_to([*travels, steer])]
    return [m.travel_to([t, steer]) for m, t in zip(both, travels)]


def described(both, xs, steer, normal):
    if both[0].stiff:
        corners = [both[0].describe(xs[0], steer, s, normal) for s in SIDES]
    else:
        corners = [m.describe(x, steer, *m.sides, normal) for m, x in zip(both, xs)]
    return both[0].describe_middle(xs[0], steer) | {"corners": corners}


def stood(both, rng, front, count=10):
    """Poses of the body over the level ground; the rear axle sees pitch as travel, so it gets less of it."""
    limit = both[0].steering_limit() * 0.9 if both[0].steers else 0.0
    xs, previous, found = [m.measured for m in both], np.zeros(4), []
    for _ in range(count):
        span = np.array([40, 2.5, 1.2 if front else 0.5, limit])
        goal = np.round(rng.uniform(-span, span), 3)
        for k in range(1, 17):
            heave, roll, pitch, steer = previous + (goal - previous) * k / 16
            r, p = np.radians([roll, pitch])
            # Roll about the body's x, then pitch about the level y: the world's z as the body sees it.
            normal = np.array([-np.sin(p), np.sin(r) * np.cos(p), np.cos(r) * np.cos(p)])
            xs = [m.solve(lambda x: m.standing(x, steer, normal, -heave), x) for m, x in zip(both, xs)]
        previous = goal
        pose = dict(zip(("heave", "roll", "pitch", "steer"), goal))
        found.append(pose | described(both, xs, goal[3], normal))
    return found


def check_rates(both, xs, q):
    """The worst disagreement between implicit derivatives and central differences."""
    worst = 0.0
    for m, x in zip(both, xs):
        own = np.array([*q[:2], q[2]] if m.stiff else [q[SIDES.index(m.sides[0])], q[2]])
        for side in m.sides:
            gap = m.rates(x, own, side) - m.rates_by_differences(x, own, side)
            worst = max(worst, float(np.max(np.abs(gap))))
    return worst


def check_motion():
    """The worst disagreement with motion.py, whose unknowns are others, on its wishbones: mm, and degrees."""
    worst = 0.0
    for case in json.loads((HERE / "motion.json").read_text()):
        car = motion.CARS[case["car"]]
        axle = car | {"linkage": "wishbone", "damper": car["damper_on"], "rack": 60.0}
        both = mechanisms(axle, car["loaded_radius"])
        for want in case["moved"][::7]:
            m = both[SIDES.index(want["side"])]
            travel = want["wheel_centre"][2] - m.point(want["side"], "wheel_centre")[2]
            got = m.describe(m.travel_to([travel, want["rack"]]), want["rack"], want["side"], Z)
            on = car["damper_on"]
            pairs = [(got[n], want[n]) for n in ("wheel_centre", "contact", "spin", "camber", "toe", "steer")]
            pairs += [(got[n], want[n][on]) for n in ("damper_length", "motion_ratio")]
            pairs += [(got[f"by_{a}"]["wheel_centre"], want[f"by_{b}"]["wheel_centre"])
                      for a, b in (("travel", "travel"), ("steer", "rack"))]
            worst = max([worst] + [float(np.max(np.abs(a - np.array(b)))) for a, b in pairs])
    return worst


def plain(v):
    if isinstance(v, dict):
        return {k: plain(w) for k, w in v.items()}
    if isinstance(v, (list, tuple, np.ndarray)):
        return [plain(w) for w in v]
    return round(float(v), 11) + 0.0 if isinstance(v, (float, np.floating)) else v


def main():
    worst = check_motion()
    print(f"wishbones of motion.json: within {worst:.0e}")
    assert worst < 1e-9
    rng = np.random.default_rng(57)
    written = []
    for file, car in CARS.items():
        (HERE / f"{file}.ron").write_text(ron(car))
        for name in ("front", "rear"):
            axle = car[name]
            if axle.get("plain"):
                continue
            both, moved, worst = mechanisms(axle, RADIUS[name]), [], 0.0
            for i, (left, right, steer) in enumerate(grid(axle, both)):
                xs = posed(both, (left, right), steer)
                if i % 5 == 0:
                    worst = max(worst, check_rates(both, xs, (left, right, steer)))
                moved.append({"travel": [left, right], "steer": steer} | described(both, xs, steer, Z))
            on_ground = stood(both, rng, name == "front")
            written.append({
                "car": file, "axle": name, "linkage": axle["linkage"], "moved": moved, "stood": on_ground})
            print(f"{file} {name}: {axle['linkage']}, {len(moved)} moved, {len(on_ground)} stood; "
                  f"derivatives within {worst:.0e} of differences", flush=True)
            assert worst < 2e-8
    text = json.dumps(plain(written), separators=(",", ":"))
    for start in ('{"travel"', '{"heave"', '{"car"'):
        text = text.replace(start, "\n" + start)
    (HERE / "corners.json").write_text(text + "\n")


if __name__ == "__main__":
    main()
