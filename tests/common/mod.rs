//! A whole car, as somebody would write it by hand.

/// A small two-seater with a tube nose; everything invented.
pub const CAR: &str = r#"// Measured on the surface plate, 12 March.
(
    format: 1,
    name: "two-seater",
    unit: mm,
    origin: "x at the front axle line, y on the centreline, z on the ground", // plumb bob
    wheelbase: 2400,
    front: (
        linkage: wishbone,
        points: {
            /* lower arm */
            lower_front: (130, 320, 180),
            lower_rear: (-150, 330, 175), // slotted hole, middle
            lower_ball_joint: (5, 640, 165),
            upper_front: (110, 380, 420),
            upper_rear: (-140, 385, "16 1/2 in"),
            upper_ball_joint: (-10, 610, 430),
            tie_rod_inner: (90, 330, 215),
            tie_rod_outer: (110, 620, 205),
            damper_top: (-5, 390, 640),
            damper_bottom: (0, 560, 190),
            wheel_centre: (0, 720, 298),
        },
        right: {
            // The right pickup was welded lower.
            lower_front: (130, -320, 178),
        },
        alignment: (camber: -1.5, toe: "0.1 deg"),
        arms: (
            lower: (od: "1 in", wall: 1.5),
            upper: (od: 22, wall: 1.5),
            tie_rod: (od: 16),
        ),
        damper: (on: lower_arm, diameter: 90),
        rack: (travel: 70, per_turn: 44),
        wheel: (width: "7 in", offset: 35),
        tyre: (size: "205/50R15"),
    ),
    rails: [
        (
            name: "upper rail",
            mirror: true,
            section: box(width: 50, height: 70),
            wall: 2,
            centreline: [
                (-600, 420, 560),
                (0, 430, 690),
                (450, 400, 600),
            ],
            datum: "front face of the firewall",
        ),
        (
            name: "cross tube",
            section: round(od: 40),
            wall: 2,
            centreline: [(300, 350, 200), (300, -350, 200)],
            datum: "left end",
        ),
    ],
    panels: [
        (
            name: "arch",
            mirror: true,
            thickness: 1,
            rows: [
                [(-350, 820, 420), (0, 830, 690), (350, 820, 420)],
                [(-350, 560, 440), (0, 560, 720), (350, 560, 440)],
            ],
        ),
    ],
    splitter: (outline: [(700, 600), (700, -600), (400, -650), (400, 650)], thickness: 10, height: 110),
    sweep: (bump: 60, droop: 60, roll: 3, pitch: 1.5),
    wanted: (tyre_to_body: "1/2 in"),
    proposals: [
        (
            name: "wide",
            note: "What the customer asked for.",
            changes: [
                lower_body(by: 40),
                // The joints are the old ones.
                grow_arms(by: 30),
                replace_wheel(width: "9 in", offset: 20),
                replace_tyre(size: "245/40R16"), // on the shelf
                move_point(point: lower_front, by: (0, 0, 10)),
            ],
        ),
        (name: "as it is", changes: []),
    ],
)
"#;

/// The good car with `from` replaced by `to`, once.
pub fn with(from: &str, to: &str) -> String {
    assert_eq!(CAR.matches(from).count(), 1, "`{from}` should stand once in the car");
    CAR.replacen(from, to, 1)
}
