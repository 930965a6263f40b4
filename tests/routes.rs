//! Routes around a cut: what is proposed is made of the car, and measured again by what knows nothing of the search.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use nalgebra::Vector3;
use scribeline::answer::frame::Compared;
use scribeline::answer::routes::Route;
use scribeline::answer::{RouteAsk, Routes, Study, Told, Verdict, Watch};
use scribeline::car::{CarFile, Shown};
use scribeline::motion::Pose;

const CURLEW: &str = include_str!("reference/curlew.ron");
const PROPOSAL: &str = "low and wide";
/// Changes of a route go here.
const LAST: &str = "remove(\"tower arm\"),";

fn read(text: &str) -> CarFile {
    CarFile::from_text(text.to_owned(), None).unwrap_or_else(|e| panic!("{e}"))
}

fn study(file: &CarFile) -> Study {
    Study::new(file.proposed(PROPOSAL).unwrap_or_else(|e| panic!("{e}"))).expect("a study")
}

fn routes(text: &str, ask: RouteAsk) -> Routes {
    let file = read(text);
    study(&file).routes(file.car(), ask, Watch::NOBODY).expect("an answer")
}

/// The car file with a route's changes last in the proposal.
fn with(text: &str, route: &Route) -> String {
    assert_eq!(text.matches(LAST).count(), 1);
    text.replacen(LAST, &format!("{LAST}\n{}", route.changes), 1)
}

/// Names of a route's parts begin so, after their side.
fn is_new(part: &str, route: &Route) -> bool {
    let bare = part.strip_prefix("left ").or_else(|| part.strip_prefix("right ")).unwrap_or(part);
    route.tubes.iter().any(|t| t.name == bare) || bare.ends_with("end plate")
}

#[test]
fn what_is_proposed_clears_what_moves_and_gives_the_stiffness_back() {
    let told = routes(CURLEW, RouteAsk::default());
    assert_eq!(told.verdict, Verdict::Clear, "{}", told.sentence(Shown::Mm));
    let cut = &told.cuts[0];
    assert!(!cut.without.nothing_holds.is_empty());
    assert!(cut.routes.len() >= 2, "{}", cut.routes.len());
    assert!(cut.routes.is_sorted_by(|a, b| a.mass_kg <= b.mass_kg), "the lightest first");
    let before = read(CURLEW);
    for route in &cut.routes {
        let file = read(&with(CURLEW, route));
        let made = study(&file);
        // The text makes what the answer says it does.
        let mut car = before.proposed(PROPOSAL).expect("the proposal");
        route.made_of.make(&mut car);
        assert_eq!((&made.car.nodes, &made.car.tubes, &made.car.rails), (&car.nodes, &car.tubes, &car.rails));

        made.prove(|| false);
        let gaps = made.gaps(&Pose::default()).expect("gaps");
        let new: Vec<_> = gaps.pairs.iter().filter(|p| is_new(&p.a, route) || is_new(&p.b, route)).collect();
        assert!(new.len() > 4, "tubes beside the wheel come near it: {}", new.len());
        for pair in new {
            let gap = pair.worst.gap.gap_mm;
            assert!(gap > pair.wanted_mm - 0.1, "{} and {}: {gap}", pair.a, pair.b);
            if let Some(least) = pair.worst.at_least_mm {
                assert!(least > pair.wanted_mm - 0.11, "{} and {}: proven {least}", pair.a, pair.b);
            }
        }
        let tightest = route.tightest.as_ref().expect("something near");
        let again = gaps.pairs.iter().find(|p| (&p.b, &p.a) == (&tightest.tube, &tightest.part)).expect("the pair");
        assert!((again.worst.gap.gap_mm - tightest.gap_mm).abs() < 0.05, "{tightest:?}");

        let bare = file.car().proposed_bare(PROPOSAL).expect("the bare cut");
        let compared = Compared { found: Some(file.car()), bare: bare.as_ref(), share: 1.0 };
        let body = made.body_strength(compared).expect("strength");
        let (least, said) = (body.least.as_ref().expect("a share"), route.kept.least.as_ref().expect("a share"));
        assert!((least.share - said.share).abs() < 1e-9, "{least:?} {said:?}");
        assert!(route.reaches && least.share >= 1.0 - 1e-6, "{least:?}");
        let [cut, rerouted] = &body.states[1..] else { panic!("three states") };
        assert!((rerouted.mass_kg - cut.mass_kg - route.mass_kg).abs() < 1e-9);
        // What it weighs is its tubes and the end plates that it welds on: all of it is listed.
        let own = |run: &str| {
            route.tubes.iter().any(|t| run == format!("left {}", t.name) || run == format!("right {}", t.name))
        };
        let tubes: f64 = rerouted.members.iter().filter(|m| own(&m.run)).map(|m| m.mass_kg).sum();
        assert_eq!(route.plates.len(), 2, "the cut has none: {:?}", route.plates);
        assert!(
            (tubes + route.plates_kg() - route.mass_kg).abs() < 1e-6,
            "{tubes} {} {}",
            route.plates_kg(),
            route.mass_kg
        );
        assert!(rerouted.loose_ends.is_empty(), "{:?}", rerouted.loose_ends);
    }
}

/// Sampled, knowing nothing of bars and facets.
#[test]
fn what_is_proposed_stays_off_what_stands() {
    let told = routes(CURLEW, RouteAsk { share: 0.8, best: 5 });
    let blocks = [([80.0, -240.0, 260.0], [520.0, 260.0, 700.0]), ([-500.0, 330.0, 620.0], [-300.0, 520.0, 800.0])];
    let wanted = read(CURLEW).car().wanted.linkage_to_body;
    for route in &told.cuts[0].routes {
        for tube in &route.tubes {
            for leg in tube.corners_mm.windows(2) {
                for i in 0..=200 {
                    let at = Vector3::from(leg[0]).lerp(&leg[1].into(), f64::from(i) / 200.0);
                    for side in [1.0, -1.0] {
                        let at = Vector3::new(at.x, at.y * side, at.z);
                        for (low, high) in blocks.map(|(a, b)| (Vector3::from(a), Vector3::from(b))) {
                            let off = (low - at).sup(&(at - high)).sup(&Vector3::zeros()).norm() - tube.od_mm / 2.0;
                            assert!(off > wanted - 1e-6, "{} is {off} from a block at {at}", tube.name);
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn routes_differ_and_less_stiffness_takes_less_metal() {
    let best = |share| {
        let told = routes(CURLEW, RouteAsk { share, best: 3 });
        let ways: Vec<Vec<_>> =
            told.cuts[0].routes.iter().map(|r| r.tubes.iter().map(|t| t.corners_mm.clone()).collect()).collect();
        for (i, way) in ways.iter().enumerate() {
            assert!(!ways[..i].contains(way), "one way twice");
        }
        told.cuts[0].routes[0].mass_kg
    };
    let (all, some) = (best(1.0), best(0.6));
    assert!(some < all, "{some} {all}");
}

#[test]
fn a_search_tells_how_far_it_is_and_stops_when_it_is_told_to() {
    let file = read(CURLEW);
    let study = study(&file);
    let heard = Mutex::new(Vec::new());
    let all = Watch { progress: &|part| heard.lock().expect("a lock").push(part), stop: &|| false };
    study.routes(file.car(), RouteAsk::default(), all).expect("an answer");
    let heard = heard.into_inner().expect("a lock");
    assert!(heard.len() > 4 && heard.is_sorted() && heard.iter().all(|p| (0.0..=1.0).contains(p)), "{heard:?}");
    assert_eq!(heard.last(), Some(&1.0));
    // Stopped at every one of its first looks at the clock, it ends, and says so.
    for after in [0, 1, 5, 50, 400] {
        let looks = AtomicUsize::new(0);
        let stop = || looks.fetch_add(1, Ordering::Relaxed) >= after;
        let told =
            study.routes(file.car(), RouteAsk::default(), Watch { progress: &|_| (), stop: &stop }).expect("an answer");
        assert!(told.stopped, "after {after}");
        let (sentence, found) = (told.sentence(Shown::Mm), told.cuts.iter().any(|c| !c.routes.is_empty()));
        let says = if found {
            sentence.starts_with("Stopped before the end. ")
        } else {
            sentence == "Stopped before any route was found."
        };
        assert!(says, "{sentence}");
        for route in told.cuts.iter().flat_map(|c| &c.routes) {
            assert!(
                route.tightest.as_ref().is_none_or(|t| t.at_least_mm >= t.wanted_mm - 0.1),
                "what is told is proven"
            );
        }
    }
}

#[test]
fn what_stands_in_the_way_of_routes_is_said() {
    let start = CURLEW.find("    stock: [").expect("stock");
    let end = start + CURLEW[start..].find("    ],").expect("its end") + 6;
    let none = format!("{}{}", &CURLEW[..start], &CURLEW[end..]);
    let told = routes(&none, RouteAsk::default());
    assert_eq!(told.verdict, Verdict::Short);
    assert!(told.notes.iter().any(|n| n.contains("no `stock`")), "{:?}", told.notes);

    let whole = CURLEW.replace("cut_rail(rail: \"upper rail\", from: 255, to: 792),", "");
    let told = routes(&whole, RouteAsk::default());
    assert!(told.sentence(Shown::Mm).starts_with("No rail is cut"), "{}", told.sentence(Shown::Mm));
    // That is not all well while a rail is in the tyre's way.
    assert!(told.verdict != Verdict::Clear && told.notes.iter().any(|n| n.contains("left upper rail")), "{told:?}");

    // A rail that carries nothing where it is cut off, and is cut off for good.
    let nose = CURLEW.replace("from: 255, to: 792", "from: 900, to: 1170.3").replace(LAST, "");
    let told = routes(&nose, RouteAsk { share: 0.9, best: 1 });
    assert_eq!(told.verdict, Verdict::Clear);
    assert!(told.sentence(Shown::Mm).contains("needs no route"), "{}", told.sentence(Shown::Mm));
}

/// The car with more cut out of it.
fn cut_again(more: &str) -> String {
    let cut = "cut_rail(rail: \"upper rail\", from: 255, to: 792),";
    assert_eq!(CURLEW.matches(cut).count(), 1);
    CURLEW.replace(cut, &format!("{cut}\n{more}"))
}

#[test]
fn every_cut_of_a_rail_is_routed_and_called_by_its_number() {
    let text = cut_again("cut_rail(rail: \"upper rail\", from: 900, to: 1000),");
    let told = routes(&text, RouteAsk { share: 0.9, best: 2 });
    assert_eq!(told.cuts.iter().map(|c| c.nth).collect::<Vec<_>>(), [1, 2]);
    let route = &told.cuts[0].routes[0];
    assert!(route.reaches && route.changes.contains("cut: near, nth: 1"), "{}", route.changes);
    // What is said can be put into the proposal, and makes what it was found as.
    let made = study(&read(&with(&text, route)));
    let mut car = read(&text).proposed(PROPOSAL).expect("the proposal");
    route.made_of.make(&mut car);
    assert_eq!((&made.car.nodes, &made.car.tubes, &made.car.rails), (&car.nodes, &car.tubes, &car.rails));
}

#[test]
fn no_route_runs_to_metal_that_another_cut_takes() {
    let (demo, sweep) = (include_str!("../scenes/dunlin.ron"), "set_sweep(bump: 45, droop: 40, roll: 2, pitch: 0.8),");
    assert_eq!(demo.matches(sweep).count(), 1);
    let cuts =
        "cut_rail(rail: \"upper rail\", from: 250, to: 800),\ncut_rail(rail: \"lower rail\", from: 1000, to: 1150),";
    let text = demo.replace(sweep, &format!("{sweep}\n{cuts}"));
    let told = routes(&text, RouteAsk { share: 1.0, best: 5 });
    for route in told.cuts.iter().flat_map(|cut| &cut.routes) {
        // A station that is sawn away is refused here.
        study(&read(&text.replace(cuts, &format!("{cuts}\n{}", route.changes))));
    }
    assert!(told.cuts.iter().all(|c| !c.routes.is_empty()), "{}", told.sentence(Shown::Mm));
}

#[test]
fn a_route_whose_tubes_give_out_is_not_clear() {
    let cases = |up: f64, stock: &str| {
        let start = CURLEW.find("    stock: [").expect("stock");
        let end = start + CURLEW[start..].find("    ],").expect("its end") + 6;
        let stock = if stock.is_empty() { &CURLEW[start..end] } else { stock };
        let case = format!("    load_cases: [(name: \"bump\", up: {up})],\n");
        format!("{}{stock}\n{case}{}", &CURLEW[..start], &CURLEW[end..])
    };
    // As found the body gives out: that does not excuse the tubes.
    let text = cases(9.0, "");
    let told = routes(&text, RouteAsk::default());
    let file = read(&text);
    let found = Study::new(file.car().clone()).expect("a study");
    let found = found.body_strength(Compared { found: None, bare: None, share: 1.0 }).expect("strength");
    assert!(found.states[0].factor().expect("a factor") < 1.0, "the body as found gives out");
    assert_eq!(told.verdict, Verdict::Short);
    for route in &told.cuts[0].routes {
        let hardest = route.hardest.as_ref().expect("a tube").of;
        assert_eq!(route.holds, hardest <= 1.0 + 1e-6, "{hardest}");
    }
    // Rods so thin that they reach nothing: what they hold is said of them all the same.
    let told = routes(&cases(3.0, "    stock: [(od: 8, wall: 1, grade: \"E235+N\")],"), RouteAsk::default());
    assert_eq!(told.verdict, Verdict::Short);
    let best = &told.cuts[0].routes[0];
    let hardest = best.hardest.as_ref().expect("a tube");
    assert!(!best.reaches && !best.holds && hardest.of > 1.0, "{hardest:?}");
    let sentence = told.sentence(Shown::Mm);
    assert!(sentence.contains("do not hold the load cases: the ") && sentence.contains(&hardest.member), "{sentence}");
}

/// A rail that is there once runs to the places of its own side, which have to be called by it.
#[test]
fn a_rail_of_one_side_is_routed_on_that_side() {
    let text = CURLEW.replacen(
        "name: \"upper rail\", // from the firewall over the wheel to the nose\n            mirror: true,",
        "name: \"upper rail\",",
        1,
    );
    assert_ne!(text, CURLEW);
    let told = routes(&text, RouteAsk { share: 0.9, best: 2 });
    let route = &told.cuts[0].routes[0];
    assert!(route.reaches && route.tubes.iter().all(|t| !t.mirror), "{}", told.sentence(Shown::Mm));
    assert!(route.changes.contains("\"left ") || route.changes.contains("\"right "), "{}", route.changes);
    let file = read(&with(&text, route));
    let compared = Compared { found: Some(file.car()), bare: None, share: 0.9 };
    let body = study(&file).body_strength(compared).expect("strength");
    let (least, said) = (body.least.expect("a share"), route.kept.least.as_ref().expect("a share"));
    assert!((least.share - said.share).abs() < 1e-9, "{least:?} {said:?}");
}

/// The program, asked about the tests' car.
fn call(more: &[&str]) -> (Option<i32>, String) {
    let car = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/curlew.ron");
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_scribeline"));
    command.arg("cut").arg(car).args(more).env_remove("CLICOLOR_FORCE");
    let output = command.output().expect("the program runs");
    (output.status.code(), String::from_utf8(output.stdout).expect("plain text"))
}

#[test]
fn the_command_line_tells_the_same_in_words_json_and_csv() {
    let (code, text) = call(&["--proposal", PROPOSAL, "--routes"]);
    assert_eq!(code, Some(0), "{text}");
    let told = routes(CURLEW, RouteAsk::default());
    assert!(text.starts_with(&format!("CLEAR  {}\n", told.sentence(Shown::Mm))), "{text}");
    let best = &told.cuts[0].routes[0];
    assert!(best.changes.lines().all(|line| text.contains(line)), "the changes stand in full");
    assert!(text.contains("Before cutting: "), "the caution stands");
    let (_, json) = call(&["--proposal", PROPOSAL, "--routes", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["question"], "routes");
    assert_eq!(json["cuts"][0]["routes"][0]["changes"], best.changes.as_str());
    assert_eq!(json["cuts"][0]["routes"][0]["mass_kg"].as_f64(), Some(best.mass_kg));
    let (_, csv) = call(&["--proposal", PROPOSAL, "--routes", "--csv"]);
    let tubes: usize = told.cuts[0].routes.iter().map(|r| r.tubes.len() + r.plates.len()).sum();
    assert_eq!(csv.lines().count(), 1 + tubes, "{csv}");
    assert!(csv.starts_with("rail,cut,route,reaches,holds,kept,part,"), "{csv}");

    // Overloaded as the frame alone is, it exits with 1 and says what gives.
    let (code, text) = call(&["--strength"]);
    assert_eq!(code, Some(1));
    assert!(text.contains("the weakest member is the ") && text.contains("Nm/deg"), "{text}");
    let (_, json) = call(&["--proposal", PROPOSAL, "--strength", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!((&json["question"], &json["states"][1]["state"]), (&"strength".into(), &"rerouted".into()));
    assert!(json["states"][0]["bent"]["members"].as_array().is_some_and(|m| m.len() > 20));
    let (_, inches) = call(&["--strength", "--units", "in"]);
    assert!(inches.contains("lbf/in") && inches.contains("lbf ft/deg") && inches.contains(" in,"), "{inches}");
    // A share is from 1 to 300 percent.
    for share in [-5, 0, 301] {
        assert_eq!(call(&["--strength", "--share", &share.to_string()]).0, Some(2), "{share}");
    }
    // Routes are a proposal's.
    assert_eq!(call(&["--routes"]).0, Some(2));
}
