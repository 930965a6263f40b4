//! What leaves the shop: meshes that are the car's, the customer's page, and the car as a glTF model.

#[path = "common/demo.rs"]
mod demo;

use std::f64::consts::PI;
use std::process::{Command, Output};
use std::sync::LazyLock;

use demo::scene;
use nalgebra::Vector3;
use scribeline::answer::{Plot, Study, Subject, Told, Verdict, along};
use scribeline::car::{AxleName, CarFile, Shown, Side};
use scribeline::motion::{Along, Pose, Posed, Quantity};
use scribeline::sheets::glb::glb;
use scribeline::sheets::mesh::{self, Moves, Piece, Transform};
use scribeline::sheets::page::{Price, page};
use scribeline::sheets::poses::{PLACES, Poses, body};
use scribeline::space::{Parts, Rim, Role, Scans};

const SCENES: [&str; 8] = ["dunlin", "godwit", "knot", "plover", "ruff", "sanderling", "snipe", "stint"];
const PROPOSAL: &str = "low and wide";

fn study(name: &str, proposal: Option<&str>) -> Study {
    of(&CarFile::open(&scene(&format!("{name}.ron"))).expect("a demo car"), proposal)
}

fn of(file: &CarFile, proposal: Option<&str>) -> Study {
    let car = proposal.map_or_else(|| file.car().clone(), |name| file.proposed(name).expect("a proposal"));
    let scans = Scans::load(file, &car).expect("its scans");
    Study::with_scans(car, &scans).unwrap_or_else(|e| panic!("{e}"))
}

/// As found and low and wide, and the page of both, made once.
static DEMO: LazyLock<(Study, Study, String)> = LazyLock::new(|| {
    let (found, proposed) = (demo::study(demo::car("dunlin.ron")), study("dunlin", Some(PROPOSAL)));
    let prices = ["Front arms: 1800", "Rails <both>: 2450.50"].map(|p| p.parse::<Price>().expect("a price"));
    let html = page(&found, &proposed, &prices, Shown::Mm).unwrap_or_else(|e| panic!("{e}"));
    (found, proposed, html)
});

/// Poses of the whole car that reach about as far as its sweep does.
fn poses(study: &Study) -> Vec<Posed> {
    let ends = Poses::ends(study);
    let mut all = vec![study.gear.ride.clone()];
    for heave in ends[0] {
        for roll in ends[1] {
            for rack in ends[2] {
                all.push(study.nearest_to(Pose { heave, roll, pitch: 0.0, rack }).unwrap_or_else(|e| panic!("{e}")));
            }
        }
    }
    all
}

fn placed(study: &Study, piece: &Piece, posed: &Posed) -> Transform {
    piece.moves.placed(&study.gear, posed).unwrap_or_else(|| panic!("{} is nowhere", piece.name))
}

/// The core's own distance of a place to the tyre that gaps are measured on is the measure.
#[test]
fn corners_of_a_tyre_lie_on_the_tyre_that_is_measured_in_every_pose() {
    for name in SCENES {
        let study = study(name, None);
        let pieces = mesh::of(&study);
        for piece in pieces.iter().filter(|p| matches!(p.role, Some(Role::Tyre(_)))) {
            let Some(Role::Tyre(hub)) = piece.role else { continue };
            for posed in poses(&study) {
                let ring = Parts::placed(study.parts.tyre(hub), posed.wheel(hub).expect("a wheel"));
                let at = placed(&study, piece, &posed);
                let off = piece.mesh.corners.iter().map(|p| ring.distance(at.of(*p)).abs()).fold(0.0, f64::max);
                assert!(off < 0.05, "{name}, {}: {off} mm", piece.name);
            }
        }
    }
}

/// A prism with n corners on a circle has n / 2 sin(2 pi / n) of its r² for an area, by elementary geometry; a barrel of
/// rectangles turned about their axis has the volume of its rings (Pappus).
#[test]
fn a_barrel_has_the_volume_of_its_measured_section() {
    let study = study("dunlin", Some(PROPOSAL));
    let axle = &study.car.front;
    let rim = Rim::new(&axle.tyre.mounted(&axle.wheel), &axle.wheel);
    let mut pieces = mesh::of(&study);
    let piece = pieces.iter_mut().find(|p| p.name == "left front rim").expect("a rim");
    let ring = |b: &scribeline::space::Block, inner: f64| (b.outer.powi(2) - inner.powi(2)) * (b.to - b.from);
    let [base, flange, ..] = &rim.barrel[..] else { panic!("{rim:?}") };
    let lip = rim.barrel.get(3).map_or(0.0, |lip| 2.0 * (lip.outer.powi(2) - lip.inner.powi(2)) * (lip.to - base.to));
    let exact = ring(base, base.inner) + 2.0 * ring(flange, base.outer) + lip;
    let polygon = 36.0 * (2.0 * PI / 72.0).sin();
    // The barrel is the first run of corners; hub and spokes follow.
    let barrel = piece.mesh.lumps[0].end;
    piece.mesh.triangles.retain(|t| t.iter().all(|i| *i < barrel));
    let off = piece.mesh.volume() / (polygon * exact) - 1.0;
    assert!(off.abs() < 1e-9, "{off}");
}

#[test]
fn what_is_stiff_moves_without_bending_and_goes_where_the_core_says() {
    for name in SCENES {
        let study = study(name, None);
        let measured = |name| study.gear.axle(name).map(|axle| axle.as_measured());
        let mut at_rest = study.gear.ride.clone();
        at_rest.front = measured(AxleName::Front).expect("a front axle");
        at_rest.rear = measured(AxleName::Rear);
        for posed in poses(&study) {
            for piece in mesh::of(&study) {
                let (own, at) = (placed(&study, &piece, &at_rest), placed(&study, &piece, &posed));
                let turn = at.turn.to_rotation_matrix();
                let square = turn.matrix() * turn.matrix().transpose() - nalgebra::Matrix3::identity();
                assert!(square.norm() < 1e-12 && turn.matrix().determinant() > 0.0, "{name}, {}", piece.name);
                let stretched = matches!(piece.moves, Moves::Between(..));
                assert!(stretched || at.stretch == 1.0, "{name}, {}", piece.name);
                let Some(Role::Moving(hub, i)) = piece.role.filter(|_| piece.kind != "damper") else { continue };
                let part = &study.parts.moving(hub)[i];
                let bars = |posed: &Posed| {
                    let pose = posed.wheel(hub).expect("a wheel");
                    part.bars(study.gear.of(pose), pose).expect("its bars").to_vec()
                };
                for (then, now) in bars(&at_rest).iter().zip(bars(&posed)) {
                    for (then, now) in [(then.a, now.a), (then.b, now.b)] {
                        let off = (at.of(own.back(then)) - now).norm();
                        // What bushes give of an axle with one link too many is no part of a stiff link.
                        let most = if study.gear.axle(hub.axle).expect("an axle").independent() { 1e-6 } else { 3.0 };
                        assert!(off < most, "{name}, {}: {off} mm", piece.name);
                    }
                }
            }
        }
    }
}

/// ISO 8855: positive roll lifts the left side, positive heave the body; the inverse of the ground that the core lays.
#[test]
fn the_body_stands_over_the_ground_as_the_core_lays_the_ground_under_it() {
    let study = study("dunlin", Some(PROPOSAL));
    for posed in poses(&study) {
        let at = body(&study.car, &posed.pose);
        for p in [Vector3::new(400.0, 300.0, 500.0), Vector3::new(-2000.0, -700.0, 120.0)] {
            assert!((at.of(p).z - posed.ground.height(p)).abs() < 1e-9);
        }
    }
}

#[test]
fn poses_stay_within_the_sweep_and_have_ride_height_among_them() {
    let study = study("dunlin", Some(PROPOSAL));
    let poses = Poses::of(&study).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(poses.posed.len(), PLACES.iter().product::<usize>());
    assert_eq!(poses.ride().pose, Pose::default());
    for posed in &poses.posed {
        for wheel in posed.wheels() {
            let [bump, droop] = study.car.sweep.travel(wheel.hub.axle);
            let travel = study.gear.travel(wheel);
            assert!(travel < bump + 0.11 && travel > -droop - 0.11, "{travel} in {:?}", posed.pose);
        }
    }
}

#[test]
fn numbers_on_the_page_are_the_answers_own() {
    let (found, proposed, html) = &*DEMO;
    let (mut least_gaps, mut tracks) = (Vec::new(), Vec::new());
    for study in [found, proposed] {
        let mut gaps = study.gaps(&Pose::default()).unwrap_or_else(|e| panic!("{e}"));
        study.doubt(&mut gaps);
        let least = gaps.pairs.iter().map(|p| p.worst.gap.gap_mm).fold(f64::INFINITY, f64::min);
        let told = format!("<b>{}</b>", Shown::Mm.length(least));
        assert!(html.contains(&told), "{told}");
        least_gaps.push(told);
        let track = study.wheels(None).axles[0].track_mm.expect("a track");
        tracks.push(format!("<b>{}</b>", Shown::Mm.length(track)));
        let lock = study.proven_lock();
        for side in Side::BOTH {
            let told = format!("<b>{:.1} deg</b>", lock.ways[side as usize].worst.steer_deg[side as usize].abs());
            assert!(html.contains(&told), "{told}");
        }
    }
    // As found first, then proposed.
    for (what, told) in [("Least gap", &least_gaps), ("Track front", &tracks)] {
        let row = html.split(&format!("<th scope=\"row\">{what}<")).nth(1).and_then(|rest| rest.split("</tr>").next());
        let row = row.unwrap_or_else(|| panic!("no row {what}"));
        let [before, after] = [0, 1].map(|i| row.find(&told[i]).unwrap_or_else(|| panic!("{what}: {}", told[i])));
        assert!(before < after && told[0] != told[1], "{what}");
    }
    // What a wheel does as it rises, as `alignment` has its rate; and as curves, both cars in each.
    let row = html.split("<th scope=\"row\">Front bump steer<").nth(1).and_then(|rest| rest.split("</tr>").next());
    let row = row.unwrap_or_else(|| panic!("no bump steer"));
    for study in [found, proposed] {
        let told = study.alignment(AxleName::Front, Along::Travel, None, Shown::Mm).expect("numbers");
        let toe = told.numbers.iter().find(|n| n.quantity == Quantity::Toe).expect("toe");
        for sure in toe.sides.iter().flatten() {
            let rate = toe.give_or_take(sure.rate, sure.rate_doubt, Shown::Mm);
            assert!(row.contains(rate.split(" ± ").next().unwrap_or_default()), "{rate} is not in {row}");
        }
    }
    let figures: Vec<&str> = html.split("<figure>").skip(1).collect();
    assert!(figures.len() == 2 && figures.iter().all(|f| f.contains("as found") && f.contains(PROPOSAL)), "curves");
    // They are the curves that `curves --plot` draws, point by point.
    let cars = [("as found", true, found), (PROPOSAL, false, proposed)].map(|(name, found, study)| Subject {
        name,
        found,
        car: &study.car,
        gear: &study.gear,
    });
    for (figure, quantity) in figures.iter().zip([Quantity::Camber, Quantity::Toe]) {
        let plot = along::plot(&cars, AxleName::Front, quantity, Along::Travel, Shown::Mm).expect("a plot");
        let drawn = Plot { title: "x".to_owned(), ..plot }.svg([640, 420]);
        let curves: Vec<&str> = drawn.split(" d=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        assert!(curves.len() >= 4 && curves.iter().all(|curve| figure.contains(curve)), "{quantity:?}");
    }
    let cut = proposed.proven_cut();
    let [from, to] = cut.rails[0].to_clear_mm[0];
    let told = format!("<b>{} to {} mm</b>", Shown::Mm.cell(from), Shown::Mm.cell(to));
    assert!(html.contains(&told), "{told}");
    for sentence in [cut.sentence(Shown::Mm), proposed.proven_lock().sentence(Shown::Mm)] {
        assert!(html.contains(&sentence), "{sentence}");
    }
    assert!(html.contains(scribeline::answer::cut::CAUTION) && html.contains(scribeline::answer::lock::CAUTION));
}

#[test]
fn the_page_tells_the_price_and_asks_nothing_of_a_network() {
    let html = &DEMO.2;
    assert!(html.contains("Rails &lt;both&gt;") && html.contains("4\u{202f}250.50"), "a line or the total is missing");
    let low = html.to_lowercase();
    for word in ["http://", "https://", "src=", "@import", "url(", "fetch(", "xmlhttprequest", "import("] {
        assert!(!low.contains(word), "{word}");
    }
    assert!(low.contains("default-src 'none'"));
    assert!(html.len() < 5_000_000, "{} bytes are too many for a mail", html.len());
}

/// What moves by turns is told as one move; a move to a place lets those before it be.
#[test]
fn a_point_that_moves_twice_moves_once_on_the_page() {
    let told = |moves: &str| {
        let text =
            std::fs::read_to_string(scene("dunlin.ron")).expect("the demo").replacen("grow_arms(by: 45)", moves, 1);
        let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
        let html = page(&of(&file, None), &of(&file, Some(PROPOSAL)), &[], Shown::Mm).unwrap_or_else(|e| panic!("{e}"));
        let lines = html.split("<li>Front tie rod, outer joint ").skip(1);
        lines.map(|line| line.split("</li>").next().unwrap_or_default().to_owned()).collect::<Vec<_>>()
    };
    let by = |z: f64| format!("move_point(point: tie_rod_outer, by: (0, 0, {z}))");
    assert_eq!(told(&format!("{}, {}", by(3.0), by(-1.0))), ["moves 2.0 mm up."]);
    let to = "move_point(point: tie_rod_outer, to: (-104, 622, 316))";
    assert_eq!(told(&format!("{}, {to}, {}, {}", by(3.0), by(1.0), by(1.5))).len(), 3);
    let left = "move_point(point: tie_rod_outer, side: left, to: (-104, 622, 316))";
    // Of both sides: the left one's move between them is a line of its own.
    assert_eq!(told(&format!("{}, {left}, {}", by(3.0), by(1.0))), ["moves 3.0 mm up.", "moves 1.0 mm up."]);
}

#[test]
fn whatever_a_car_is_called_stays_a_name() {
    let name = r#"</script><b>&"'"#;
    let text = std::fs::read_to_string(scene("dunlin.ron")).expect("the demo");
    let text = text.replace("Dunlin hill-climb estate", &name.replace('"', "\\\""));
    let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
    let html = page(&of(&file, None), &of(&file, Some(PROPOSAL)), &[], Shown::In).unwrap_or_else(|e| panic!("{e}"));
    assert!(!html.contains(name) && html.contains("&lt;/script&gt;&lt;b&gt;&amp;&quot;'"));
    assert_eq!(html.matches("</script>").count(), 2);
    assert!(!html.contains("<h2>Price</h2>"));
}

#[test]
fn prices_are_read_added_and_refused() {
    let price = |text: &str| text.parse::<Price>();
    let told = |text: &str| price(text).expect(text).told();
    assert_eq!(told("Arms: 1800"), "1\u{202f}800");
    assert_eq!(told("Arms, 45 mm: longer: £1234567.05"), "£1\u{202f}234\u{202f}567.05");
    assert_eq!(told("Discount: -200.00 EUR"), "-200 EUR");
    let lines = ["A: 10.10 EUR", "B: 20.20 EUR", "C: -0.30 EUR"].map(|l| price(l).expect(l));
    assert_eq!(Price::total(&lines).expect("one currency").told(), "30 EUR");
    assert_eq!(Price::total(&["A: 1 EUR", "B: 1 GBP"].map(|l| price(l).expect(l))), None);
    for wrong in
        ["Arms", "Arms: ", ": 1800", "Arms: dear", "Arms: 1,800", "Arms: 1.5", "Arms: 1-2", "Arms: 9999999999999"]
    {
        assert!(price(wrong).is_err(), "{wrong}");
    }
}

/// Khronos, glTF 2.0 Specification (2021), 4.4 (header and chunks) and 3.6.2 (accessors).
#[test]
fn a_model_has_a_named_node_for_every_piece_and_lists_that_fit_their_buffer() {
    for name in SCENES {
        let study = study(name, None);
        let bytes = glb(&study).unwrap_or_else(|e| panic!("{e}"));
        let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
        assert_eq!((&bytes[..4], word(4), word(8)), (&b"glTF"[..], 2, bytes.len()));
        let text = word(12);
        assert_eq!((&bytes[16..20], &bytes[24 + text..28 + text]), (&b"JSON"[..], &b"BIN\0"[..]));
        let file: serde_json::Value = serde_json::from_slice(&bytes[20..20 + text]).expect("JSON");
        let names: Vec<&str> =
            file["nodes"].as_array().expect("nodes").iter().filter_map(|n| n["name"].as_str()).collect();
        for piece in mesh::of(&study).iter().filter(|p| !p.mesh.triangles.is_empty()) {
            assert_eq!(names.iter().filter(|n| **n == piece.name).count(), 1, "{name}: {}", piece.name);
        }
        let views = file["bufferViews"].as_array().expect("views");
        let whole = file["buffers"][0]["byteLength"].as_u64().expect("a length");
        assert!(views.iter().all(|v| v["byteOffset"].as_u64().unwrap() + v["byteLength"].as_u64().unwrap() <= whole));
        assert!(file["animations"].as_array().is_some_and(|a| a.len() >= 2), "{name} does not move");
    }
}

/// A model's accessor of floats, whole.
fn floats(file: &serde_json::Value, bin: &[u8], accessor: usize) -> Vec<f32> {
    let accessor = &file["accessors"][accessor];
    let view = &file["bufferViews"][accessor["bufferView"].as_u64().expect("a view") as usize];
    let at = |v: &serde_json::Value| v.as_u64().unwrap_or(0) as usize;
    let wide = match accessor["type"].as_str().expect("a type") {
        "SCALAR" => 1,
        "VEC3" => 3,
        "VEC4" => 4,
        other => panic!("{other}"),
    };
    let (from, count) = (at(&view["byteOffset"]) + at(&accessor["byteOffset"]), at(&accessor["count"]) * wide);
    bin[from..from + 4 * count].chunks(4).map(|b| f32::from_le_bytes(b.try_into().expect("four"))).collect()
}

fn model(study: &Study) -> (serde_json::Value, Vec<u8>) {
    let bytes = glb(study).unwrap_or_else(|e| panic!("{e}"));
    let text = u32::from_le_bytes(bytes[12..16].try_into().expect("four bytes")) as usize;
    (serde_json::from_slice(&bytes[20..20 + text]).expect("JSON"), bytes[28 + text..].to_vec())
}

/// By hand from the car file: at ride height the body stands 95 mm lower than as found, 45 mm of bump is 45 lower still, and 40
/// of droop 40 higher. Bump comes at a quarter of the time, droop at three quarters.
#[test]
fn the_model_goes_down_and_up_by_the_cars_own_sweep() {
    let (file, bin) = model(&DEMO.1);
    let heave = file["animations"].as_array().expect("animations").iter().find(|a| a["name"] == "bump and droop");
    let heave = heave.expect("a heave");
    let of_body = |c: &&serde_json::Value| c["target"]["node"] == 1 && c["target"]["path"] == "translation";
    let channel = heave["channels"].as_array().expect("channels").iter().find(of_body).expect("the body moves");
    let sampler = &heave["samplers"][channel["sampler"].as_u64().expect("a sampler") as usize];
    let out = floats(&file, &bin, sampler["output"].as_u64().expect("an accessor") as usize);
    // Under a node that turns the vehicle's axes into the format's; lengths in metres or millimetres by that node's scale.
    let z = |moment: usize| f64::from(out[3 * moment + 2]);
    let scale = (z(0) / -95.0).abs();
    assert!([1.0, 0.001].iter().any(|s| (scale - s).abs() < 1e-6), "{scale}");
    for (moment, by_hand) in [(0, -95.0), (12, -95.0 - 45.0), (36, -95.0 + 40.0), (48, -95.0)] {
        assert!((z(moment) / scale - by_hand).abs() < 0.11, "{moment}: {} {by_hand}", z(moment) / scale);
    }
}

/// What is smaller than a likeness allows for is still a body with an outside.
#[test]
fn a_small_brake_disc_has_normals_too() {
    let text = std::fs::read_to_string(scene("dunlin.ron")).expect("the demo");
    let brake = "brake: (disc: 120, caliper: (radius: 100, inboard: -20, outboard: 38, from: 60, to: 110)), tyre:";
    let file = CarFile::from_text(text.replacen("tyre:", brake, 1), None).unwrap_or_else(|e| panic!("{e}"));
    let (model, bin) = self::model(&of(&file, None));
    let mut held = 0;
    for mesh in model["meshes"].as_array().expect("meshes") {
        for primitive in mesh["primitives"].as_array().expect("primitives") {
            for list in ["POSITION", "NORMAL"] {
                let Some(at) = primitive["attributes"][list].as_u64() else { continue };
                let values = floats(&model, &bin, at as usize);
                assert!(values.iter().all(|v| v.is_finite()), "{}", mesh["name"]);
                if list == "NORMAL" {
                    let is_one = |n: &[f32]| (n.iter().map(|v| v * v).sum::<f32>() - 1.0).abs() < 1e-3;
                    assert!(values.chunks(3).all(is_one), "{}", mesh["name"]);
                    held += values.len() / 3;
                }
            }
        }
    }
    assert!(held > 1000, "{held}");
}

fn call(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_scribeline")).arg("sheets").args(arguments).output().expect("the program runs")
}

#[test]
fn the_command_line_writes_both_and_says_what_is_missing() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).to_str().expect("a plain path").to_owned();
    let (car, html, model) = (scene("dunlin.ron"), at("page.html"), at("car.glb"));
    let car = car.to_str().expect("a plain path");
    let done = call(&[car, "--proposal", PROPOSAL, "--page", &html, "--price", "Front arms: 1800", "--glb", &model]);
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(std::fs::read_to_string(&html).expect("a page").ends_with("</html>\n"));
    assert!(std::fs::read(&model).expect("a model").starts_with(b"glTF"));
    let refused = |arguments: &[&str], word: &str| {
        let output = call(&[&[car], arguments].concat());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.code() == Some(2) && said.contains(word), "{arguments:?}: {said}");
    };
    refused(&["--page", &html], "--proposal");
    let asked = ["--proposal", PROPOSAL, "--page", &html];
    refused(&[&asked[..], &["--price", "Front arms"]].concat(), "Front arms: 1800");
    refused(&[&asked[..], &["--price", "A: 1 EUR", "--price", "B: 1 GBP"]].concat(), "currency");
    refused(&["--proposal", PROPOSAL, "--glb", &at("nowhere/car.glb")], "folder");
}

#[test]
fn what_touches_in_the_picture_is_what_the_answer_says() {
    let (_, proposed, html) = &*DEMO;
    let gaps = proposed.gaps(&Pose::default()).unwrap_or_else(|e| panic!("{e}"));
    let scene = html.split(r#"id="scene">"#).nth(1).and_then(|s| s.split("</script>").next()).expect("a scene");
    let scene: serde_json::Value = serde_json::from_str(scene).expect("JSON");
    let pairs = scene["cars"][1]["pairs"].as_array().expect("pairs");
    let told: Vec<[&str; 2]> = pairs.iter().map(|p| [&p["a"], &p["b"]].map(|n| n.as_str().expect("a name"))).collect();
    for pair in &gaps.pairs {
        let is = told.contains(&[&pair.a, &pair.b]);
        assert_eq!(is, pair.verdict != Verdict::Clear, "{} and {}", pair.a, pair.b);
    }
    // The worst of them by the name under which its pieces are drawn.
    let hub = gaps.pairs[0].wheel.expect("at a wheel");
    assert_eq!(pairs[0]["roles"][0], format!("{:?}", Role::Tyre(hub)));
    let pieces = scene["cars"][1]["pieces"].as_array().expect("pieces");
    for role in pairs.iter().flat_map(|pair| pair["roles"].as_array().expect("two")) {
        assert!(role == "Ground" || pieces.iter().any(|piece| piece["role"] == *role), "{role} is not drawn");
    }
}
