//! Every linkage, with what belongs to it and what does not.

use super::*;

#[test]
fn a_car_of_every_linkage_is_read_with_its_proposals() {
    for text in [DOTTEREL, GARGANEY, PHALAROPE, WHINCHAT] {
        let file = read(text).unwrap_or_else(|error| panic!("{error}"));
        assert!(file.car().rear.is_some());
    }
}

#[test]
fn a_point_that_is_missing_is_asked_for_in_its_list() {
    for (car, line, words) in [
        (DOTTEREL, "            damper_bottom: (0, 610, 420),\n", "`damper_bottom` (damper, lower mount) is missing"),
        (DOTTEREL, "            bar_lever: (60, 480, 205),\n", "there is a `bar` but no point `bar_lever`"),
        (DOTTEREL, "            idler_end: (-130, -325, 245),\n", "`idler_end: (x, y, z)` to `middle`"),
        (DOTTEREL, "            lateral_rod_body: (-2560, -480, 330),\n", "a lateral rod is given but no point"),
        (DOTTEREL, "            upper_link_body: (-2050, 0, 420),\n", "`upper_link_body: (x, y, z)` to `middle`"),
        (GARGANEY, "            rocker_axis: (60, 300, 430),\n", "there is a `rocker` but no point `rocker_axis`"),
        (GARGANEY, "            lower_rear_outer: (-2660, 700, 175),\n", "`lower_rear_outer`"),
        (PHALAROPE, "            crank_lower: (-2500, 0, 235),\n", "a part of a centre-pivot linkage is given"),
        (PHALAROPE, "            upper_link_body: (-1980, 480, 390),\n", "but no point `upper_link_body`"),
        (
            WHINCHAT,
            "            arm_outer: (-1980, 560, 255),\n",
            "`arm_outer` (trailing arm, outer pickup) is missing",
        ),
    ] {
        let error = read(&within(car, line, "")).unwrap_err();
        assert!(error.what().contains(words), "{error}");
        // The list that lacks it, of the axle that lacks it.
        let list = if error.what().ends_with("`middle`") { "middle" } else { "points" };
        let before = &car[..car.find(line).unwrap()];
        let row = before[..before.rfind(&format!("{list}: {{")).unwrap()].matches('\n').count() + 1;
        assert_eq!((error.line(), error.column()), (Some(row), Some(9)), "{error}");
    }
}

#[test]
fn a_point_without_a_part_to_play_is_sent_away() {
    let strut = "lower_ball_joint: (8, 660, 180)";
    let upper = "upper_ball_joint: (8, 640, 480)";
    refused_in(DOTTEREL, strut, &format!("{strut}, {upper}"), upper, &["no part in struts", "take it out"]);
    let axle = "lower_link_axle: (-2430, 480, 215)";
    let rod = "tie_rod_outer: (-2430, 480, 215)";
    refused_in(DOTTEREL, axle, &format!("{axle}, {rod}"), rod, &["no part in a live axle"]);
    let (damper, bar) = ("        damper: (on: rocker, diameter: 65),\n", "rocker_axis: (60, 300, 430)");
    refused_in(GARGANEY, bar, &format!("{bar}, bar_lever: (9, 9, 9)"), "bar_lever", &["no `bar`", "add `bar: (...)`"]);
    let error = read(&within(GARGANEY, damper, "")).unwrap_err();
    assert!(error.what().contains("`damper_top` is given, but no `damper`"), "{error}");
    refused_in(
        PHALAROPE,
        "rack: (travel: 70)",
        "rack: (travel: 70), middle: { pitman_end: (0, 0, 0) }",
        "pitman_end",
        &["no `steering_box`"],
    );
}

#[test]
fn what_is_there_once_stands_in_the_middle_and_nothing_else() {
    let axle = "lower_link_axle: (-2430, 480, 215)";
    let rod = "lateral_rod_axle: (-2560, 470, 300)";
    refused_in(DOTTEREL, axle, &format!("{axle}, {rod}"), rod, &["give `lateral_rod_axle` in `middle`"]);
    let wheel = "wheel_centre: (-2450, 690, 300)";
    refused_in(DOTTEREL, rod, &format!("{rod}, {wheel}"), wheel, &["on each side", "the left one in `points`"]);
    let link = "upper_link_body: (-1980, 480, 390)";
    let pivot = "centre_pivot: (-2500, 0, 300)";
    refused_in(PHALAROPE, pivot, &format!("{pivot}, {link}"), link, &["given in `points` too"]);
    let right = "lower_link_body: (-1950, -470, 233)";
    let upper = "upper_link_body: (-1950, -470, 433)";
    refused_in(DOTTEREL, right, &format!("{right}, {upper}"), upper, &["on the right alone"]);
}

#[test]
fn points_of_the_rear_lie_on_their_side() {
    for (car, from, to) in [
        (DOTTEREL, "lower_link_axle: (-2430, 480, 215)", "lower_link_axle: (-2430, -480, 215)"),
        (GARGANEY, "lower_rear_outer: (-2660, 700, 175)", "lower_rear_outer: (-2660, -700, 175)"),
        (GARGANEY, "push_rod_outer: (0, 630, 185)", "push_rod_outer: (0, -630, 185)"),
        (WHINCHAT, "arm_outer: (-1980, 560, 255)", "arm_outer: (-1980, -560, 255)"),
    ] {
        refused_in(car, from, to, to, &["not on the left"]);
    }
}

#[test]
fn linkages_that_could_not_be_bolted_together() {
    for (car, from, to, words) in [
        (DOTTEREL, "damper_bottom: (0, 610, 420)", "damper_bottom: (-25, 545, 827)", "the strut has no direction"),
        (DOTTEREL, "damper_top: (-25, 545, 830)", "damper_top: (-25, 545, 130)", "not above the lower ball joint"),
        (DOTTEREL, "tie_rod_outer: (-125, 620, 235)", "tie_rod_outer: (8, 660, 182)", "on the steering axis"),
        (DOTTEREL, "lower_rear: (-250, 350, 200)", "lower_rear: (40, 340, 190)", "the same point"),
        (GARGANEY, "upper_rear_outer: (-2640, 655, 425)", "upper_rear_outer: (-2700, 390, 410)", "has no length"),
        (GARGANEY, "tie_rod_outer: (-2750, 690, 230)", "tie_rod_outer: (-2780, 310, 240)", "tie rod has no length"),
        (WHINCHAT, "arm_outer: (-1980, 560, 255)", "arm_outer: (-2080, 181, 260)", "both pickups of the trailing arm"),
        (WHINCHAT, "wheel_centre: (-2400, 700, 298)", "wheel_centre: (-1930, 750, 252)", "the arm cannot swing"),
        (DOTTEREL, "bar_lever: (60, 480, 205)", "bar_lever: (260, 480, 210)", "cannot twist the bar"),
        (DOTTEREL, "bar_pivot: (260, 330, 210)", "bar_pivot: (260, -1, 210)", "bar's left end is not to the left"),
        (DOTTEREL, "drop_link_outer: (50, 590, 400)", "drop_link_outer: (60, 480, 205)", "drop link has no length"),
        (GARGANEY, "rocker_axis: (60, 300, 430)", "rocker_axis: (2, 300, 430)", "both points of the rocker's axis"),
        (GARGANEY, "push_rod_inner: (0, 340, 470)", "push_rod_inner: (30, 300, 430)", "cannot turn it"),
        (GARGANEY, "damper_bottom: (0, 290, 500)", "damper_bottom: (30, 300, 430)", "it is never moved"),
    ] {
        refused_in(car, from, to, to, &[words]);
    }
}

#[test]
fn parts_are_mounted_where_there_is_something_to_mount_them_on() {
    for (car, from, to, words) in [
        (
            DOTTEREL,
            "on: upright, diameter: 130",
            "on: lower_arm, diameter: 130",
            "with struts a damper cannot be mounted on `lower_arm`: use `upright`",
        ),
        (DOTTEREL, "on: axle", "on: rocker", "with a live axle a damper cannot be mounted on `rocker`: use `axle`"),
        (DOTTEREL, "on: upright, tube", "on: upper_arm, tube", "use `lower_arm` or `upright`"),
        (GARGANEY, "on: upright", "on: upper_arm", "with five links a damper"),
        (GARGANEY, "on: lower_arm", "on: rocker", "a push rod cannot be mounted on `rocker`"),
        (WHINCHAT, "on: trailing_arm", "on: lower_arm", "use `trailing_arm`"),
    ] {
        let value = to.split([' ', ',']).nth(1).unwrap();
        refused_in(car, from, to, value, &[words]);
    }
    let error = read(&without(GARGANEY, &["rocker", "push_rod"])).unwrap_err();
    assert!(error.what().contains("the damper is on a rocker, but no `rocker` is described"), "{error}");
    refused_in(DOTTEREL, "blade: 60", "blade: 0", "0", &["`blade` is 0 N/mm"]);
    refused_in(DOTTEREL, "open: 560", "open: 380", "380", &["longer open than closed"]);
    refused_in(DOTTEREL, "closed: 380", "closed: 0", "0", &["`closed` is 0 mm"]);
}

#[test]
fn a_stiff_axle_is_held_in_four_ways() {
    let says = |text: &str, words: &str| {
        let error = read(text).err().unwrap_or_else(|| panic!("this was accepted:\n{text}"));
        assert!(error.what().contains(words), "{error}");
        // Of the rear axle, which stands behind the front one.
        assert!(error.line().unwrap() > text[..text.find("    rear: (").unwrap()].matches('\n').count(), "{error}");
    };
    let no_rod = without(DOTTEREL, &["lateral_rod", "rear(move_point"]);
    says(&no_rod, "three links hold it in three ways and it takes four");
    says(&without(DOTTEREL, &["upper_link"]), "nothing keeps a live axle from turning about its lower links");
    let straight = without(PHALAROPE, &["centre_pivot", "crank", "upper_rod", "lower_rod"]);
    says(&straight, "in plan its left upper link stands 0.2 deg to the lower one");
    // Four links alone hold it where the upper ones run together.
    let askew = straight.replace("upper_link_axle: (-2390, 490, 400)", "upper_link_axle: (-2390, 150, 400)");
    read(&askew).unwrap_or_else(|error| panic!("{error}"));
    // One too many is how many cars are built.
    let rod = "lateral_rod_body: (-2500, -480, 330), lateral_rod_axle: (-2500, 470, 300),";
    read(&straight.replace("middle: {", &format!("middle: {{ {rod}"))).unwrap_or_else(|error| panic!("{error}"));
    says(&PHALAROPE.replace("middle: {", &format!("middle: {{ {rod}")), "keep one of the two");
    says(&DOTTEREL.replace("(-2560, -480, 330)", "(-2200, 470, 330)"), "does not run across the car");
    says(&PHALAROPE.replace("(-2500, 0, 365)", "(-2500, 0, 302)"), "the crank's upper joint lies on its pivot");
    says(&DOTTEREL.replace("(-2440, 0, 430)", "(-2430, 0, 215)"), "in line with the lower ones");
    says(&DOTTEREL.replace("(-1950, 470, 230)", "(-2430, 480, 215)"), "the lower link has no length");
}

#[test]
fn one_thing_steers_the_front_wheels() {
    let part = "steering_box: (lock: 35, ratio: 16)";
    refused_in(DOTTEREL, part, &format!("rack: (travel: 60), {part}"), "steering_box", &["are both given"]);
    refused_in(DOTTEREL, "lock: 35", "lock: 95", "95", &["`lock` is 95 deg", "from 1 to 80"]);
    refused_in(DOTTEREL, "ratio: 16", "ratio: -16", "-16", &["`ratio` is -16", "one turn of the pitman arm"]);
    let end = "pitman_end: (-130, 325, 245)";
    refused_in(DOTTEREL, end, "pitman_end: (-10, 332, 245)", "pitman", &["lies on its shaft's axis"]);
    let inner = "tie_rod_inner: (-120, 290, 240)";
    refused_in(DOTTEREL, inner, "tie_rod_inner: (-120, 1, 240)", "tie", &["the centre link's left end"]);
    let error = read(&within(WHINCHAT, "        rack: (travel: 70),\n", "")).unwrap_err();
    assert!(error.what().contains("nothing steers the front wheels"), "{error}");
    assert_eq!((error.line(), error.column()), (Some(7), Some(5)), "{error}");
    let arms = "linkage: trailing_arm";
    refused_in(WHINCHAT, arms, "rack: (travel: 30), linkage: trailing_arm", "rack", &["cannot steer: take `rack`"]);
    refused_in(WHINCHAT, "linkage: wishbone", "linkage: live_axle", "live", &["the front ones have to"]);
    // The rear ones may be steered too.
    let rear = "linkage: five_link";
    read(&within(GARGANEY, rear, "rack: (travel: 10), linkage: five_link")).unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn doubts_datums_masses_and_the_wheelbase() {
    refused_in(DOTTEREL, "points: 1,", "points: -1,", "-1", &["`points` is -1 mm", "less than 50 mm"]);
    refused_in(DOTTEREL, "damper_top: 3", "damper_top: 50", "50", &["`damper_top` is 50 mm"]);
    refused_in(DOTTEREL, "damper_top: 3", "upper_front: 3", "3", &["no point `upper_front` to doubt"]);
    refused_in(DOTTEREL, "joint_swing: 25", "joint_swing: 0", "0", &["`joint_swing` is 0 deg", "from 1 to 90"]);
    refused_in(DOTTEREL, "cg_height: 480", "cg_height: 0", "0", &["`cg_height`"]);
    refused_in(DOTTEREL, "brakes_front: 0.65", "brakes_front: 65", "65", &["from 0 to 1"]);
    refused_in(DOTTEREL, "\"tow eye\"", "\"left sill, front\"", "\"left", &["two datums are called"]);
    refused_in(DOTTEREL, "at: (-400, 620, 160)", "at: (-400, -620, 160)", "at", &["given on the left"]);
    refused_in(DOTTEREL, "rear_bump: 70", "rear_bump: -70", "-70", &["`rear_bump`"]);
    let words = ["lie 2450 mm behind the front ones", "`wheelbase` is 2650 mm"];
    refused_in(DOTTEREL, "wheelbase: 2450", "wheelbase: 2650", "2650", &words);
    read(&within(DOTTEREL, "wheelbase: 2450", "wheelbase: 2590")).unwrap_or_else(|error| panic!("{error}"));
}
