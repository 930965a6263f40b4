"""The mechanisms of corners.py built of bodies and joints in MuJoCo, and how far the two disagree.

    python3 tests/reference/mechanisms.py      reads corners.json, writes mechanisms.json beside this script

A second opinion on how the mechanisms are put together, not on the last digit: arms turn on hinges, a strut is a ball
and a slide, a centre link hangs on a universal joint, links are tendons of constant length, each wheel centre is moved
by a jack that slides freely along the level. Only what was measured is read from corners.py: points, and the axes of
wheels, shafts, rockers and bars. The drives are set in short steps, and the model is put back on its constraints after
each by Newton steps with MuJoCo's own residuals and their Jacobian (position-level projection), which leaves 1e-9 mm.
Places are written to 1e-6 mm, spin axes to 1e-9, angles to 1e-6 degrees; signs and names are those of corners.json. The
last line printed says by how much the worst differs before it is rounded.

MuJoCo takes the models in metres; the file is in mm.
"""

import json
import pathlib
import time

import mujoco
import numpy as np

import corners
from cars import CARS, RADIUS

HERE = pathlib.Path(__file__).parent
INERTIA = 'mass="5" diaginertia="0.1 0.1 0.1"'


def text(v):
    return " ".join(repr(float(c)) for c in v)


class Model:
    """An axle, or one side of it, as an MJCF text and as what came of it."""

    def __init__(self, axle, radius, sides=corners.SIDES):
        self.axle, self.sides = axle, sides
        self.m = corners.mechanisms(axle, radius)[0]
        self.parts, self.sites, self.tendons, self.equal = {}, {"world": []}, [], []
        self.steering()
        if self.m.stiff:
            self.stiff_axle()
        else:
            for side in sides:
                self.corner(side)
        for side in sides:
            self.jack(side)
            self.worked(side)
        self.model = mujoco.MjModel.from_xml_string(self.xml())
        self.data = mujoco.MjData(self.model)
        names = [mujoco.mj_id2name(self.model, mujoco.mjtObj.mjOBJ_EQUALITY, i) for i in range(self.model.neq)]
        self.drives = {n: i for i, n in enumerate(names) if n}

    # How it is written.

    def at(self, side, name):
        return self.m.point(side, name) / 1000.0

    def body(self, name, at, joints, parent="world"):
        """All bodies have their frames in the vehicle's, so that every place is written as it was measured."""
        self.parts[name] = (parent, at, joints)
        self.sites[name] = []

    @staticmethod
    def joint(kind, at, axis=None, name=None):
        about = f' axis="{text(axis)}"' if axis is not None else ""
        called = f' name="{name}"' if name else ""
        return f'<joint type="{kind}" pos="{text(at)}"{about}{called}/>'

    def link(self, name, a, b):
        """A tendon between two (body, place)."""
        for end, (body, at) in zip("ab", (a, b)):
            self.sites[body].append(f'<site name="{name} {end}" pos="{text(at)}"/>')
        self.tendons.append(
            f'<spatial name="{name}"><site site="{name} a"/><site site="{name} b"/></spatial>')

    def rod(self, name, a, b):
        self.link(name, a, b)
        self.equal.append(f'<tendon tendon1="{name}"/>')

    def connect(self, a, b, at):
        self.equal.append(f'<connect body1="{a}" body2="{b}" anchor="{text(at)}"/>')

    def drive(self, joint):
        self.equal.append(f'<joint joint1="{joint}" name="{joint}"/>')

    def xml(self):
        def written(name):
            inner = "".join(self.sites[name])
            for child, (parent, at, joints) in self.parts.items():
                if parent == name:
                    inner += (f'<body name="{child}">{"".join(joints)}'
                              f'<inertial pos="{text(at)}" {INERTIA}/>{written(child)}</body>')
            return inner

        return (f'<mujoco><option gravity="0 0 0" jacobian="dense" timestep="0.002"/>'
                f'<default><equality solref="0.004 1" solimp="0.999 0.9999 0.001"/></default>'
                f'<worldbody>{written("world")}</worldbody><tendon>{"".join(self.tendons)}</tendon>'
                f'<equality>{"".join(self.equal)}</equality></mujoco>')

    # What is built.

    def arm(self, name, side, front, rear, tip):
        foot = self.at(side, front)
        self.body(f"{name} {side}", self.at(side, tip), [
            self.joint("hinge", foot, corners.unit(self.at(side, rear) - foot))])

    def corner(self, side):
        def at(name):
            return self.at(side, name)

        carrier, kind = f"carrier {side}", self.m.linkage
        if kind == "trailing_arm":
            foot = at("arm_inner")
            self.body(carrier, at("wheel_centre"), [self.joint("hinge", foot, corners.unit(at("arm_outer") - foot))])
            return
        if kind == "five_link":
            self.body(carrier, at("wheel_centre"), ["<freejoint/>"])
            for name in ("lower_front", "lower_rear", "upper_front", "upper_rear"):
                self.rod(f"{name} {side}", ("world", at(name)), (carrier, at(name + "_outer")))
        else:
            self.arm("lower_arm", side, "lower_front", "lower_rear", "lower_ball_joint")
        if kind == "wishbone":
            self.body(carrier, at("wheel_centre"), [self.joint("ball", at("lower_ball_joint"))], f"lower_arm {side}")
            self.arm("upper_arm", side, "upper_front", "upper_rear", "upper_ball_joint")
            self.connect(f"upper_arm {side}", carrier, at("upper_ball_joint"))
        if kind == "strut":
            top = at("damper_top")
            self.body(f"strut {side}", top, [self.joint("ball", top)])
            slide = self.joint("slide", top, corners.unit(at("damper_bottom") - top))
            self.body(carrier, at("wheel_centre"), [slide], f"strut {side}")
            self.connect(f"lower_arm {side}", carrier, at("lower_ball_joint"))
        self.rod(f"tie_rod {side}", (self.steered, at("tie_rod_inner")), (carrier, at("tie_rod_outer")))

    def steering(self):
        self.steered, self.turn_per_steer = "world", 0.0
        if "rack" in self.axle:
            left, right = (self.at(s, "tie_rod_inner") for s in corners.SIDES)
            self.body("rack", left, [self.joint("slide", left, corners.unit(left - right), "steer")])
            self.steered, self.turn_per_steer = "rack", 1e-3
        if "steering_box" in self.axle:
            ends = {arm: self.at("left", arm + "_end") for arm in ("pitman", "idler")}
            for arm in ends:
                foot, axis = self.m.shaft(arm)
                self.body(arm, ends[arm], [
                    self.joint("hinge", foot / 1000.0, axis, "steer" if arm == "pitman" else None)])
            up = self.m.shaft("pitman")[1]
            level = corners.unit(np.cross(up, ends["idler"] - ends["pitman"]))
            universal = [self.joint("hinge", ends["pitman"], axis) for axis in (up, level)]
            self.body("centre_link", ends["idler"], universal, "pitman")
            self.connect("centre_link", "idler", ends["idler"])
            length, sense = self.m.pitman_arm()
            self.steered, self.turn_per_steer = "centre_link", sense / length
        if self.steered != "world":
            self.drive("steer")

    def stiff_axle(self):
        self.body("axle", self.m.anchor / 1000.0, ["<freejoint/>"])

        def ends(side, body, axle):
            return ("world", self.at(side, body)), ("axle", self.at(side, axle))

        gives = self.m.four and ("crank" in self.m.extras or self.m.has("lateral_rod_axle"))
        links = [("lower", s) for s in corners.SIDES]
        links += [("upper", s) for s in (corners.SIDES if self.m.four else ("left",))]
        for which, side in links:
            name = f"{which} {side}"
            (self.link if gives else self.rod)(name, *ends(side, f"{which}_link_body", f"{which}_link_axle"))
        if gives:
            # Each gives as much as the first, by its sign.
            for name, sign in (("upper right", -1), ("lower left", -1), ("lower right", 1)):
                self.equal.append(f'<tendon tendon1="{name}" tendon2="upper left" polycoef="0 {sign} 0 0 0"/>')
        if self.m.has("lateral_rod_axle"):
            self.rod("lateral", *ends("left", "lateral_rod_body", "lateral_rod_axle"))
        if self.m.crank:
            pivot = self.at("left", "centre_pivot")
            self.body("crank", pivot, [self.joint("hinge", pivot, corners.X, "crank")], "axle")
            for end in ("upper", "lower"):
                self.rod(f"{end} rod", ("world", self.at("left", f"{end}_rod_body")),
                         ("crank", self.at("left", f"crank_{end}")))

    def carrier(self, side):
        return "axle" if self.m.stiff else f"carrier {side}"

    def jack(self, side):
        centre, jack = self.at(side, "wheel_centre"), f"jack {side}"
        self.body(jack, centre, [
            self.joint("slide", centre, axis, name)
            for axis, name in ((corners.Z, jack), (corners.X, None), (np.array([0, 1, 0]), None))])
        self.drive(jack)
        self.connect(jack, self.carrier(side), centre)
        self.sites[self.carrier(side)].append(f'<site name="wheel {side}" pos="{text(centre)}"/>')

    def worked(self, side):
        """A rocker and a bar's lever on their hinges, each with the rod that turns it."""
        for key, axis_of, outer, inner in (
            ("rocker", self.m.rocker_axis, "push_rod_outer", "push_rod_inner"),
            ("bar", self.m.bar_axis, "drop_link_outer", "bar_lever"),
        ):
            if key in self.axle:
                name, on, (pivot, axis) = f"{key} {side}", self.axle[key], axis_of(side)
                part = f"{on} {side}" if on in ("lower_arm", "upper_arm", "rocker") else self.carrier(side)
                self.body(name, pivot / 1000.0, [self.joint("hinge", pivot / 1000.0, axis, name)])
                self.rod(f"to {name}", (part, self.at(side, outer)), (name, self.at(side, inner)))

    # How it is moved.

    def set(self, travels, steer):
        for side, travel in zip(self.sides, travels):
            self.model.eq_data[self.drives[f"jack {side}"], 0] = travel / 1000.0
        if "steer" in self.drives:
            self.model.eq_data[self.drives["steer"], 0] = steer * self.turn_per_steer

    def project(self, within=1e-12, most=12):
        """Newton steps back on to the constraints; metres. The number of steps that it took."""
        for k in range(most):
            mujoco.mj_fwdPosition(self.model, self.data)
            off = self.data.efc_pos
            if np.max(np.abs(off)) < within:
                return k
            rows = self.data.efc_J.reshape(len(off), self.model.nv)
            mujoco.mj_integratePos(self.model, self.data.qpos, np.linalg.solve(rows, -off), 1.0)
        raise AssertionError(f"{self.m.linkage}: {np.max(np.abs(off)):.1e} m off after {most} steps")

    def settle(self, within=1e-5, most=2000):
        """MuJoCo's own stepping from rest until the constraints are met; metres. The number of steps."""
        self.data.qvel[:] = 0.0
        for k in range(1, most):
            mujoco.mj_step(self.model, self.data)
            if np.max(np.abs(self.data.efc_pos)) < within:
                return k
        raise AssertionError(f"{self.m.linkage}: not settled after {most} steps")

    def travel_to(self, travels, steer):
        mujoco.mj_resetData(self.model, self.data)
        goal = np.array([*travels, steer])
        steps = int(np.ceil(np.max(np.abs(goal)) / 10.0)) or 1
        for k in range(1, steps + 1):
            self.set(goal[:-1] * k / steps, goal[-1] * k / steps)
            self.project()

    def read(self, side):
        """Wheel centre in mm, spin axis, and the angles of what is worked in degrees."""
        turn = self.data.body(self.carrier(side)).xmat.reshape(3, 3)
        centre = self.data.site(f"wheel {side}").xpos * 1000.0
        found = {"wheel_centre": centre, "spin": turn @ self.m.spin_as_measured(side)}
        for key in ("rocker", "bar"):
            if key in self.axle:
                found[key] = np.degrees(self.data.joint(f"{key} {side}").qpos[0])
        return found

    def read_middle(self):
        """What an axle has once: the crank's angle in degrees, and what the links give in mm."""
        found = {}
        if self.m.crank:
            found["crank"] = np.degrees(self.data.joint("crank").qpos[0])
        if "give" in self.m.extras:
            upper = self.model.tendon("upper left").id
            found["give"] = (self.data.ten_length[upper] - self.model.tendon_length0[upper]) * 1000.0
        return found


def plain(v):
    if isinstance(v, dict):
        return {k: plain(w) for k, w in v.items()}
    return [round(float(c), 6 if abs(c) > 1 else 9) for c in v] if isinstance(v, np.ndarray) else round(float(v), 6)


def round_of_poses():
    """Travel and steering of 480 neighbours, half a millimetre apart: the round of tests/bench/corner.rs."""
    def triangle(k):
        return (k - 120 if k < 240 else 360 - k) * 0.5

    return [(triangle(k), triangle((k + 120) % 480) / 2.0) for k in range(480)]


WAYS = {
    "Newton on its constraints to 1e-6 mm": lambda model: model.project(1e-9),
    "stepping until they are met to 0.01 mm": lambda model: model.settle(1e-5),
}


def time_round(axle, radius, poses):
    """Seconds and steps a pose over a round for a left corner, by each way; rocker and bar left out."""
    found = {}
    bare = {k: v for k, v in axle.items() if k not in ("rocker", "bar")}
    model = Model(bare, radius, ("left",))
    for way, move in WAYS.items():
        best = np.inf
        for _ in range(3):
            model.travel_to([poses[0][0]], poses[0][1])
            begun, steps = time.perf_counter(), 0
            for travel, steer in poses:
                model.set([travel], steer)
                steps += move(model)
            best = min(best, (time.perf_counter() - begun) / len(poses))
        found[way] = best, steps / len(poses)
    return found


def main():
    worst, written = {}, []
    for case in json.loads((HERE / "corners.json").read_text()):
        model = Model(CARS[case["car"]][case["axle"]], RADIUS[case["axle"]])
        poses = []
        for want in case["moved"][::4] + case["moved"][-1:]:
            model.travel_to(want["travel"], want["steer"])
            got = [model.read(side) for side in corners.SIDES]
            middle = model.read_middle()
            for mine, theirs in zip([*got, middle], [*want["corners"], want]):
                for key, value in mine.items():
                    gap = float(np.max(np.abs(value - np.array(theirs[key]))))
                    worst[key] = max(worst.get(key, 0.0), gap)
            pose = {"travel": want["travel"], "steer": want["steer"]} | plain(middle)
            poses.append(pose | {"corners": [plain(g) for g in got]})
        written.append({"car": case["car"], "axle": case["axle"], "linkage": case["linkage"], "moved": poses})
        print(f"{case['car']} {case['axle']}: {case['linkage']}, {len(poses)} poses")
    lines = json.dumps(written, separators=(",", ":")).replace('{"travel"', '\n{"travel"').replace('{"car"', '\n{"car"')
    (HERE / "mechanisms.json").write_text(lines + "\n")
    for kind, car in (("wishbone", "rockers"), ("strut", "struts"), ("five_link", "five")):
        for way, (seconds, steps) in time_round(CARS[car]["front"], RADIUS["front"], round_of_poses()).items():
            print(f"MuJoCo, {kind}, {way}: {seconds * 1e6:.0f} us a pose, {steps:.1f} steps")
    assert max(worst.values()) < 1e-8
    print("worst differences from corners.json:", ", ".join(f"{k} {v:.1e}" for k, v in worst.items()))


if __name__ == "__main__":
    main()
