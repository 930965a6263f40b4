"""The volume of a keep-out by manifold3d, for tests/keep_out.rs to hold the Rust against.

    python3 tests/reference/keep_out.py      writes keep_out.json beside this script

The left rear wheel of turnstone.ron goes round one fixed line, so its poses need no solver. Its section, tyre and rim as
distance.py draws them, is grown by the gap with round corners, turned about the wheel's axis into a solid, set in many
poses, and all of them are joined. Every chord lies inside the true keep-out, and so does what is joined of some of its
poses: the volume is too small, nowhere by more than `short_by` millimetres of surface, and the script writes that too.

All is invented. Millimetres. Needs manifold3d, and numpy, scipy, trimesh and python-fcl for distance.py.
"""

import json
import pathlib

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold, OpType
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from distance import rim_sections, sag, tyre_half

HERE = pathlib.Path(__file__).parent
# As in turnstone.ron; the rim's radius is the size code's, 13 inches.
MOUNTED = dict(radius=288.0, section_width=186.0, tread_width=150.0, shoulder_radius=14.0, rim_radius=13 * 25.4 / 2,
               rim_width=150.0)
WHEEL = dict(offset=30.0, barrel=20.0, centre=40.0)
INNER, OUTER, CENTRE = np.array([-2000.0, 250, 270]), np.array([-1880.0, 560, 250]), np.array([-2300.0, 700, 280])
TRAVEL = (-55.0, 60.0)
POSES = 61
AROUND = 240
ROUND = 96
ARC = 16


def grown(gap):
    half, _ = tyre_half(MOUNTED, ARC)
    whole = np.vstack([half, half[-2:0:-1] * [-1, 1]])
    # Turned about the second axis of the section: (from the axis, along it), which runs clockwise.
    sections = [s[::-1, ::-1] for s in (whole, *rim_sections(MOUNTED, WHEEL))]
    all_of_it = CrossSection.batch_boolean([CrossSection([s]) for s in sections], OpType.Add)
    return all_of_it.offset(gap, JoinType.Round, 2.0, ROUND).revolve(AROUND)


def turn(travel):
    along = (OUTER - INNER) / np.linalg.norm(OUTER - INNER)

    def at(angle):
        return Rotation.from_rotvec(angle * along)

    def off(angle):
        return (INNER + at(angle).apply(CENTRE - INNER) - CENTRE)[2] - travel

    return at(brentq(off, -0.6, 0.6, xtol=1e-14))


def posed(solid, travel):
    # Revolved about z; the wheel's axis is y at ride height.
    stand = Rotation.from_rotvec([-np.pi / 2, 0, 0])
    t = turn(travel)
    centre = INNER + t.apply(CENTRE - INNER)
    return solid.transform(np.column_stack([(t * stand).as_matrix(), centre]))


def main():
    _, arcs = tyre_half(MOUNTED, ARC)
    chords = max(sag(radius, angle / ARC) for radius, angle in arcs)
    written = []
    for gap in (12.0, 1.0):
        solid = grown(gap)
        travels = np.linspace(*TRAVEL, POSES)
        whole = Manifold.batch_boolean([posed(solid, t) for t in travels], OpType.Add)
        # Chords around and along the section, and what two poses leave between them where the gap rounds a corner off.
        apart = 1.2 * (travels[1] - travels[0])
        short_by = sag(MOUNTED["radius"] + gap, 2 * np.pi / AROUND) + chords + sag(gap, 2 * np.pi / ROUND)
        short_by += min(apart**2 / 8 / gap, apart / 2)
        written.append({"gap": gap, "volume": round(whole.volume()), "short_by": round(short_by, 4)})
        print(written[-1], whole.num_tri())
    (HERE / "keep_out.json").write_text(json.dumps(written, indent=1) + "\n")


if __name__ == "__main__":
    main()
