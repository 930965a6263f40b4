"""The invented cars of corners.py and mechanisms.py, and how they are written as car files.

Each has one axle or two of interest. Points are the left side's, in mm; `right` says where the right side was measured
elsewhere than the mirror image, `middle` holds what is there once. A bare angle is in degrees.
"""

WISHBONE = dict(
    lower_front=(160, 310, 170), lower_rear=(-180, 320, 165), lower_ball_joint=(5, 690, 160),
    upper_front=(110, 390, 340), upper_rear=(-150, 410, 330), upper_ball_joint=(-18, 655, 370),
    tie_rod_inner=(-120, 300, 215), tie_rod_outer=(-115, 675, 210), wheel_centre=(0, 740, 290),
)
STRUT = dict(
    lower_front=(60, 350, 190), lower_rear=(-240, 365, 200), lower_ball_joint=(5, 700, 172),
    damper_top=(-35, 560, 800), damper_bottom=(-12, 628, 335),
    tie_rod_inner=(-130, 335, 240), tie_rod_outer=(-122, 682, 232), wheel_centre=(0, 745, 300),
)
TRAILING_LINKS = dict(
    lower_link_body=(-1950, 420, 270), lower_link_axle=(-2440, 470, 235),
    upper_link_body=(-2060, 395, 420), upper_link_axle=(-2430, 450, 400), wheel_centre=(-2450, 720, 300),
    damper_top=(-2500, 440, 640), damper_bottom=(-2490, 560, 240),
)

CARS = {
    "struts": dict(
        name="Redshank",
        front=dict(
            linkage="strut",
            points=STRUT | dict(bar_pivot=(-220, 480, 190), bar_lever=(18, 588, 196), drop_link_outer=(20, 602, 410)),
            right=dict(lower_rear=(-238, -366, 203), damper_top=(-37, -561, 799)),
            alignment=(-1.5, 0.1), right_alignment=(-1.2, 0.0),
            damper="upright", bar="upright", rack=60,
        ),
        rear=dict(
            linkage="five_link",
            points=dict(
                lower_front=(-2170, 430, 235), lower_front_outer=(-2420, 690, 205),
                lower_rear=(-2500, 340, 215), lower_rear_outer=(-2480, 695, 190),
                upper_front=(-2240, 460, 400), upper_front_outer=(-2435, 672, 425),
                upper_rear=(-2500, 430, 418), upper_rear_outer=(-2470, 660, 436),
                tie_rod_inner=(-2590, 360, 258), tie_rod_outer=(-2585, 685, 246), wheel_centre=(-2450, 735, 300),
                damper_top=(-2470, 545, 720), damper_bottom=(-2478, 640, 230),
            ),
            right=dict(upper_front=(-2243, -458, 402), lower_rear_outer=(-2479, -693, 191)),
            alignment=(-1.8, 0.15), damper="upright",
        ),
    ),
    "rockers": dict(
        name="Dotterel",
        front=dict(
            linkage="wishbone",
            points=WISHBONE | dict(
                push_rod_outer=(-2, 640, 182), push_rod_inner=(-20, 400, 520), rocker_pivot=(-22, 330, 470),
                rocker_axis=(20, 333, 474), damper_bottom=(-20, 290, 545), damper_top=(-60, 60, 400),
                drop_link_outer=(-20, 300, 430), bar_lever=(-18, 262, 252), bar_pivot=(-120, 250, 246),
            ),
            right=dict(rocker_pivot=(-21, -331, 471), push_rod_outer=(-3, -641, 183)),
            alignment=(-2.0, -0.05), damper="rocker", rocker="lower_arm", bar="rocker", rack=55,
        ),
        rear=dict(
            linkage="trailing_arm",
            points=dict(
                arm_inner=(-2080, 380, 260), arm_outer=(-2080, 625, 260), wheel_centre=(-2460, 730, 290),
                damper_top=(-2410, 560, 660), damper_bottom=(-2440, 600, 250),
            ),
            right=dict(arm_outer=(-2078, -624, 263)),
            alignment=(-1.0, 0.2), right_alignment=(-0.9, 0.1), damper="trailing_arm",
        ),
    ),
    "box": dict(
        name="Curlew",
        front=dict(
            linkage="wishbone",
            points=WISHBONE | dict(
                tie_rod_inner=(-186, 262, 246), tie_rod_outer=(-130, 680, 236),
                damper_top=(-10, 470, 640), damper_bottom=(-5, 590, 358),
                bar_pivot=(260, 400, 175), bar_lever=(20, 560, 120), drop_link_outer=(15, 565, 190),
            ),
            right=dict(upper_ball_joint=(-20, -653, 371)),
            middle=dict(
                pitman_shaft=(-330, 330, 290), pitman_end=(-190, 322, 250),
                idler_shaft=(-332, -334, 291), idler_end=(-191, -321, 252),
            ),
            alignment=(-1.0, 0.1), damper="upper_arm", bar="lower_arm", steering_box=(28, 14),
        ),
        rear=dict(
            linkage="trailing_arm",
            points=dict(
                arm_inner=(-2160, 180, 250), arm_outer=(-2020, 600, 276), wheel_centre=(-2450, 725, 290),
                damper_top=(-2470, 520, 650), damper_bottom=(-2480, 585, 235),
                bar_pivot=(-2150, 400, 400), bar_lever=(-2370, 550, 396), drop_link_outer=(-2380, 560, 245),
            ),
            right=dict(arm_inner=(-2158, -181, 253), wheel_centre=(-2451, -724, 291)),
            alignment=(-1.5, 0.1), damper="trailing_arm", bar="trailing_arm",
        ),
    ),
    "tilted_box": dict(
        name="Godwit",
        front=dict(
            linkage="strut",
            points=STRUT | dict(tie_rod_inner=(-160, 270, 262), tie_rod_outer=(-128, 676, 250)),
            right=dict(tie_rod_outer=(-129, -677, 249)),
            middle=dict(
                pitman_shaft=(-320, 345, 330), pitman_shaft_top=(-350, 335, 450), pitman_end=(-165, 328, 270),
                idler_shaft=(-318, -338, 300), idler_shaft_top=(-330, -341, 390), idler_end=(-168, -325, 268),
            ),
            alignment=(-0.8, 0.15), damper="upright", steering_box=(24, None),
        ),
        # Four trailing links and a rod: more than a stiff axle needs, so the links give.
        rear=dict(
            linkage="live_axle",
            points=TRAILING_LINKS | dict(
                bar_pivot=(-2620, 380, 330), bar_lever=(-2440, 400, 338), drop_link_outer=(-2445, 404, 260),
            ),
            right=dict(upper_link_body=(-2058, -397, 424), lower_link_axle=(-2441, -469, 234)),
            middle=dict(lateral_rod_body=(-2560, 430, 345), lateral_rod_axle=(-2552, -410, 318)),
            alignment=(0, 0), damper="axle", bar="axle",
        ),
    ),
    "five": dict(
        name="Sanderling",
        front=dict(
            linkage="five_link",
            points=dict(
                lower_front=(150, 330, 205), lower_front_outer=(25, 690, 178),
                lower_rear=(-220, 345, 200), lower_rear_outer=(-20, 696, 174),
                upper_front=(120, 430, 430), upper_front_outer=(5, 655, 446),
                upper_rear=(-170, 445, 425), upper_rear_outer=(-28, 650, 450),
                tie_rod_inner=(-125, 325, 235), tie_rod_outer=(-118, 678, 228), wheel_centre=(0, 745, 300),
                push_rod_outer=(-10, 645, 205), push_rod_inner=(-15, 440, 540), rocker_pivot=(-12, 370, 500),
                rocker_axis=(25, 368, 506), damper_bottom=(-15, 325, 570), damper_top=(60, 90, 440),
            ),
            right=dict(upper_rear=(-168, -446, 427), tie_rod_inner=(-124, -327, 236)),
            alignment=(-1.4, 0.05), damper="rocker", rocker="upright", rack=50,
        ),
        rear=dict(
            linkage="live_axle",
            points={n: p for n, p in TRAILING_LINKS.items() if not n.startswith("upper")},
            right=dict(lower_link_body=(-1948, -421, 274)),
            middle=dict(
                upper_link_body=(-2050, 60, 430), upper_link_axle=(-2430, 70, 420),
                lateral_rod_body=(-2545, 440, 300), lateral_rod_axle=(-2550, -430, 290),
            ),
            alignment=(-0.2, 0.05), right_alignment=(-0.1, 0), damper="axle",
        ),
    ),
    "askew": dict(
        name="Knot",
        # A pull rod from the upper arm.
        front=dict(
            linkage="wishbone",
            points=WISHBONE | dict(
                push_rod_outer=(-15, 600, 372), push_rod_inner=(-10, 340, 218), rocker_pivot=(-12, 300, 250),
                rocker_axis=(30, 298, 247), damper_bottom=(-14, 385, 262), damper_top=(-20, 370, 580),
                bar_pivot=(-260, 380, 300), bar_lever=(-20, 545, 290), drop_link_outer=(-10, 560, 172),
            ),
            right=dict(lower_rear=(-181, -318, 168)),
            alignment=(-1.7, 0), damper="rocker", rocker="upper_arm", bar="lower_arm", rack=55,
        ),
        rear=dict(
            linkage="live_axle",
            points=TRAILING_LINKS | dict(
                lower_link_body=(-1960, 380, 265), lower_link_axle=(-2445, 520, 240),
                upper_link_body=(-2070, 430, 415), upper_link_axle=(-2420, 120, 430),
            ),
            right=dict(upper_link_axle=(-2421, -117, 431)),
            alignment=(0, 0), damper="axle",
        ),
    ),
    "crank": dict(
        name="Ruff",
        front=dict(
            linkage="strut", points=STRUT, alignment=(-1, 0), damper="upright", rack=60, plain=True,
        ),
        rear=dict(
            linkage="de_dion",
            points={n: p for n, p in TRAILING_LINKS.items() if not n.startswith("upper")},
            right=dict(lower_link_axle=(-2439, -471, 237)),
            middle=dict(
                upper_link_body=(-2060, -40, 440), upper_link_axle=(-2425, -45, 425),
                centre_pivot=(-2540, 4, 270), crank_upper=(-2540, 6, 345), crank_lower=(-2541, 2, 195),
                upper_rod_body=(-2545, 430, 350), lower_rod_body=(-2538, -425, 190),
            ),
            alignment=(-1.2, 0.1), damper="axle",
        ),
    ),
    "crank_and_four": dict(
        name="Phalarope",
        front=dict(
            linkage="wishbone", points=WISHBONE | dict(damper_top=(-10, 470, 640), damper_bottom=(-2, 590, 176)),
            alignment=(-1, 0), damper="lower_arm", rack=55, plain=True,
        ),
        rear=dict(
            linkage="de_dion",
            points=TRAILING_LINKS,
            right=dict(upper_link_axle=(-2428, -452, 403)),
            middle=dict(
                centre_pivot=(-2530, 0, 280), crank_upper=(-2530, 0, 350), crank_lower=(-2530, 0, 210),
                upper_rod_body=(-2530, -440, 352), lower_rod_body=(-2530, 440, 208),
            ),
            alignment=(-1.0, 0.05), right_alignment=(-0.8, 0), damper="axle",
        ),
    ),
}

RADIUS = {"front": 298.0, "rear": 297.0}


def axle_ron(axle, radius):
    def points(label, of):
        if not of:
            return ""
        lines = "".join(f"            {n}: ({', '.join(map(str, p))}),\n" for n, p in of.items())
        return f"        {label}: {{\n{lines}        }},\n"

    def alignment(label, of):
        return f"        {label}: (camber: {of[0]}, toe: {of[1]}),\n" if of else ""

    text = f"        linkage: {axle['linkage']},\n"
    text += "".join(points(label, axle.get(label)) for label in ("points", "right", "middle"))
    text += "".join(alignment(label, axle.get(label)) for label in ("alignment", "right_alignment"))
    text += "        arms: (lower: (od: 28, wall: 3), tie_rod: (od: 18, wall: 3)),\n"
    text += f"        damper: (on: {axle['damper']}, diameter: 60),\n"
    if "rocker" in axle:
        text += f"        rocker: (on: {axle['rocker']}, push_rod: (od: 16, wall: 2)),\n"
    if "bar" in axle:
        text += f"        bar: (on: {axle['bar']}, tube: (od: 22, wall: 3)),\n"
    if "rack" in axle:
        text += f"        rack: (travel: {axle['rack']}),\n"
    if "steering_box" in axle:
        lock, ratio = axle["steering_box"]
        text += f"        steering_box: (lock: {lock}{f', ratio: {ratio}' if ratio else ''}),\n"
    text += '        wheel: (width: "7 in", offset: 30),\n'
    return text + f'        tyre: (size: "225/45R17", loaded_radius: {radius}),\n'


def ron(car):
    return f"""// Written by corners.py: invented, and only for the checks of the kinematic core.
(
    format: 1,
    name: "{car['name']}",
    origin: "x at the front axle line, y on the centreline, z on the ground",
    wheelbase: 2450,
    front: (
{axle_ron(car['front'], RADIUS['front'])}    ),
    rear: (
{axle_ron(car['rear'], RADIUS['rear'])}    ),
    sweep: (bump: 60, droop: 60, roll: 3, pitch: 1),
)
"""
