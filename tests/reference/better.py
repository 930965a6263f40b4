"""The smallest moves of points that give a wishbone axle the bump steer and camber gain that are wished, by SciPy.

    python3 tests/reference/better.py      reads cars.py and corners.py, writes better.json beside this script

For `scribeline better` to be held against. The axle is the front one of rockers.ron as corners.py models it (natural
coordinates, none of the Rust); its points are moved before it is put together, as a proposal would, with the wheel set to
the measured camber and toe again. It stands on level ground at ride height, and rates there are the derivatives of the
equations, degrees in 25 mm of bump. `scipy.optimize.minimize` (SLSQP, and trust-constr as a second opinion) looks for the
least sum of squared shifts within the boxes that keeps the wishes' bounds, from several starts.

    free       point, axis (0 x, 1 y, 2 z) and how far each way, mm
    bounds     least and most of bump steer and camber gain
    was        both as they are
    moves      the smallest move that keeps the bounds, and its numbers
"""

import copy
import json
import pathlib

import numpy as np
from scipy.optimize import minimize

import corners
from cars import CARS, RADIUS

HERE = pathlib.Path(__file__).parent
CASES = [
    dict(free=[("tie_rod_outer", 2, 20.0)], bounds=[(-0.02, 0.02), (-9.0, 9.0)]),
    dict(free=[("tie_rod_outer", 2, 20.0), ("tie_rod_inner", 2, 20.0), ("upper_front", 2, 25.0), ("upper_rear", 2, 25.0)],
         bounds=[(-0.02, 0.02), (-0.9, -0.8)]),
    dict(free=[("tie_rod_outer", 2, 15.0), ("upper_front", 2, 30.0), ("upper_rear", 2, 30.0), ("lower_ball_joint", 2, 8.0)],
         bounds=[(-0.01, 0.01), (-1.1, -1.0)]),
]


def numbers(axle):
    m = corners.Mechanism(axle, RADIUS["front"], ("left",))
    x = m.solve(lambda x: m.standing(x, 0.0, corners.Z, 0.0), m.measured)
    pose = corners.Pose(x, m.extras, 0.0)
    q = np.array([m.centre(pose, "left")[2] - m.point("left", "wheel_centre")[2], 0.0])
    by_travel = m.named(m.rates(x, q, "left")[:, 0])
    return np.array([by_travel["toe"], by_travel["camber"]]) * 25.0


def moved(free, shifts):
    axle = copy.deepcopy(CARS["rockers"]["front"])
    for (point, axis, _), shift in zip(free, shifts):
        place = list(axle["points"][point])
        place[axis] += shift
        axle["points"][point] = tuple(place)
    return axle


def smallest(case):
    free, bounds = case["free"], case["bounds"]
    box = [(-b, b) for _, _, b in free]

    def slack(s):
        got = numbers(moved(free, s))
        return np.concatenate([[v - low, high - v] for v, (low, high) in zip(got, bounds)])

    best = None
    rng = np.random.default_rng(7)
    for start in [np.zeros(len(free))] + [rng.uniform(-0.4, 0.4, len(free)) * [b for _, _, b in free] for _ in range(4)]:
        found = minimize(lambda s: s @ s / 100.0, start, jac=lambda s: s / 50.0, bounds=box, method="SLSQP",
                         constraints={"type": "ineq", "fun": slack}, options={"ftol": 1e-13, "maxiter": 300})
        if slack(found.x).min() > -1e-7 and (best is None or found.fun < best.fun):
            best = found
    again = minimize(lambda s: s @ s / 100.0, best.x * 0.9, jac=lambda s: s / 50.0, bounds=box, method="trust-constr",
                     constraints={"type": "ineq", "fun": slack}, options={"gtol": 1e-9, "xtol": 1e-10, "maxiter": 2000})
    assert np.abs(again.x - best.x).max() < 0.02, (again.x, best.x)
    return best.x


def main():
    written = []
    for case in CASES:
        moves = smallest(case)
        was, got = numbers(CARS["rockers"]["front"]), numbers(moved(case["free"], moves))
        written.append(case | {"was": was.tolist(), "moves": moves.tolist(), "numbers": got.tolist()})
        print(was, moves, got, flush=True)
    (HERE / "better.json").write_text(json.dumps(written, indent=1) + "\n")


if __name__ == "__main__":
    main()
