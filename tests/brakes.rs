//! How brakes share, against the textbooks' and the regulation's formulas.

#[path = "common/demo.rs"]
mod demo;

use std::process::Command;

use demo::{car, scene, study};
use scribeline::answer::brakes::{BORES, CAUTION};
use scribeline::answer::{BrakeAsk, Braking, NoAnswer, Told, Verdict};
use scribeline::car::units::{GRAVITY, INCH, POUND};
use scribeline::car::{AxleName, Car, CarFile, Shown};

fn brakes(car: Car, ask: BrakeAsk) -> Braking {
    study(car).brakes(None, &ask).unwrap_or_else(|e| panic!("{e}"))
}

fn demo_with(change: impl Fn(&mut Car)) -> Car {
    let mut car = car("dunlin.ron");
    change(&mut car);
    car
}

fn close(is: f64, wanted: f64, share: f64, what: &str) {
    assert!((is - wanted).abs() <= share * wanted.abs(), "{what}: {is}, wanted {wanted}");
}

/// By hand: 100 lbf on a 6:1 pedal push 600 lbf into a cylinder of 1 in, 0.7854 in², which is 763.9 psi; tandem, so
/// both lines have it. A piston of 2.75 in, 5.940 in², on a disc of 5 in effective radius with pads of 0.4 then holds
/// 2 x 0.4 x 763.9 x 5.940 x 5 = 18 150 in lbf on its wheel.
#[test]
fn pressure_and_torque_are_area_and_lever() {
    let told = brakes(
        demo_with(|car| {
            let brakes = car.brakes.as_mut().unwrap();
            (brakes.pedal_ratio, brakes.balance_bar) = (6.0, None);
            for circuit in [&mut brakes.front, &mut brakes.rear] {
                circuit.master = INCH;
            }
            let front = &mut brakes.front;
            (front.pistons, front.radius, front.friction) = (vec![2.75 * INCH], 5.0 * INCH, 0.4);
        }),
        BrakeAsk { pedal: 100.0 * POUND * GRAVITY, ..BrakeAsk::default() },
    );
    let psi = POUND * GRAVITY / (INCH * INCH);
    for axle in &told.axles {
        close(axle.pressure_mpa / psi, 763.9, 1e-4, "psi");
    }
    let inch_pounds = POUND * GRAVITY * INCH / 1000.0;
    close(told.axles[0].torque_nm / inch_pounds, 18_150.0, 1e-3, "in lbf");
    let a = &told.axles[0];
    close(a.force_n, 2.0 * a.torque_nm * 1000.0 / a.tyre_radius_mm, 1e-12, "both wheels at the ground");
    let ideal = told.ideal;
    assert!(ideal.bores.is_none() && ideal.balance_bar_percent.is_none(), "a tandem cylinder has no balance bar");
}

/// UN Regulation No. 13-H, annex 5 (distribution of braking among the axles; the formula from memory): what grip an axle needs at a braking rate z is f = T / N, with N = P + z P h / E
/// in front and less as much behind.
#[test]
fn the_grip_that_each_axle_needs_is_the_regulations() {
    let car = car("dunlin.ron");
    let weight = car.weight.unwrap();
    let (p, h, e) = (weight.mass * GRAVITY, car.balance.unwrap().cg_height, car.wheelbase);
    let told = brakes(car, BrakeAsk::default());
    assert_eq!(told.rows.iter().map(|r| r.g).collect::<Vec<_>>(), [0.2, 0.4, 0.6, 0.8, 1.0, 1.2, 1.4]);
    for row in &told.rows {
        let [n1, n2] = [p * weight.front + row.g * p * h / e, p * (1.0 - weight.front) - row.g * p * h / e];
        close(row.front_load_n, n1, 1e-12, "front");
        close(row.rear_load_n, n2, 1e-12, "rear");
        let t1 = row.g * p * told.front_percent / 100.0;
        close(row.front_grip.unwrap(), t1 / n1, 1e-12, "front grip");
        close(row.rear_grip.unwrap(), (row.g * p - t1) / n2, 1e-12, "rear grip");
        close(row.ideal_front_percent, n1 / p * 100.0, 1e-12, "ideal");
        // The pedal is in proportion.
        close(row.pedal_n * told.decel_g / row.g, told.pedal_n, 1e-12, "pedal");
    }
}

/// Limpert, Brake Design and Safety, ch. 7 (from memory): with so much of the weight behind (psi), so much of the
/// braking behind (phi) and the centre of gravity at chi wheelbases, the front wheels lock at (1 - psi) mu / (1 - phi
/// - chi mu) and the rear ones at psi mu / (phi + chi mu).
#[test]
fn wheels_lock_where_the_textbook_has_them() {
    let car = car("dunlin.ron");
    let (psi, chi) = (1.0 - car.weight.unwrap().front, car.balance.unwrap().cg_height / car.wheelbase);
    for mu in [0.3, 0.6, 0.9, 1.1] {
        let told = brakes(car.clone(), BrakeAsk { grip: mu, ..BrakeAsk::default() });
        let phi = 1.0 - told.front_percent / 100.0;
        let (front, rear) = ((1.0 - psi) * mu / (1.0 - phi - chi * mu), psi * mu / (phi + chi * mu));
        close(told.locks.at_g[0].unwrap(), front, 1e-12, "front");
        close(told.locks.at_g[1].unwrap(), rear, 1e-12, "rear");
        let first = if front < rear { AxleName::Front } else { AxleName::Rear };
        assert_eq!(told.locks.first, Some(first));
        assert_eq!(told.verdict, if front < rear { Verdict::Clear } else { Verdict::Short });
        close(told.locks.efficiency_percent, front.min(rear) / mu * 100.0, 1e-12, "of the grip");
    }
    // So much braking behind, and grip, that the front wheels cannot lock.
    let never = brakes(
        demo_with(|car| car.brakes.as_mut().unwrap().front.friction = 0.1),
        BrakeAsk { grip: 1.6, ..BrakeAsk::default() },
    );
    assert_eq!((never.locks.at_g[0], never.locks.first, never.verdict), (None, Some(AxleName::Rear), Verdict::Short));
}

/// Braking is ideal where both axles lock at once: with the balance bar as told, on tyres of just that grip, all of
/// it is used; and with the bores that are told too.
#[test]
fn the_bar_and_bores_that_are_told_brake_ideally() {
    for at in [0.5, 0.9, 1.2] {
        let ask = BrakeAsk { grip: at, at, ..BrakeAsk::default() };
        let told = brakes(car("dunlin.ron"), ask).ideal;
        let pair = told.bores.expect("a balance bar");
        assert!(BORES.contains(&pair.front_mm) && BORES.contains(&pair.rear_mm));
        let as_told = |percent: f64, bores: Option<[f64; 2]>| {
            let set = demo_with(|car| {
                let brakes = car.brakes.as_mut().unwrap();
                brakes.balance_bar = Some(percent / 100.0);
                if let Some([front, rear]) = bores {
                    (brakes.front.master, brakes.rear.master) = (front, rear);
                }
            });
            brakes(set, ask)
        };
        let by_bar = as_told(told.balance_bar_percent.expect("a place"), None);
        let by_bores = as_told(pair.balance_bar_percent, Some([pair.front_mm, pair.rear_mm]));
        for set in [&by_bar, &by_bores] {
            close(set.locks.efficiency_percent, 100.0, 1e-9, "all of the grip");
            close(set.front_percent, told.front_percent, 1e-9, "in front");
            close(set.locks.at_g[0].unwrap(), at, 1e-9, "there");
        }
        close(by_bores.locks.pedal_n / by_bar.locks.pedal_n, pair.foot_ratio, 1e-9, "the foot");
        // Each pair of the list asks for a bar of its own: the same torque takes a push as the bore's area. None lets
        // it stand nearer to its middle, but for two parts in a hundred.
        let bar = |front: f64, rear: f64| {
            let now = brakes(car("dunlin.ron"), ask);
            let [a, b] = [&now.axles[0], &now.axles[1]];
            // By the bar's middle, as the demo's stands.
            let alike = a.force_n / b.force_n * (a.master_mm / front).powi(2) / (b.master_mm / rear).powi(2);
            let over = told.front_percent / (100.0 - told.front_percent) / alike;
            over / (1.0 + over)
        };
        let nearest = BORES.iter().flat_map(|f| BORES.iter().map(|r| (bar(*f, *r) - 0.5).abs())).fold(1.0, f64::min);
        close(pair.balance_bar_percent / 100.0, bar(pair.front_mm, pair.rear_mm), 1e-9, "the bar");
        assert!((pair.balance_bar_percent / 100.0 - 0.5).abs() <= nearest.max(0.02) + 1e-9, "{pair:?}, {nearest}");
    }
}

/// Where the rear wheels stand on nothing no bar and no bores share braking ideally.
#[test]
fn nothing_is_ideal_where_the_rear_wheels_stand_on_nothing() {
    let told = brakes(car("dunlin.ron"), BrakeAsk { at: 3.0, ..BrakeAsk::default() });
    assert_eq!((told.ideal.balance_bar_percent, told.ideal.bores), (None, None));
    assert!(told.sentence(Shown::Mm).contains("at 3.0 g the rear wheels stand on nothing"));
    assert!(!told.tells(Shown::Mm).iter().any(|said| said.contains("ideal")));
}

/// What is typed to hundredths is told so.
#[test]
fn grip_and_deceleration_are_told_as_they_are_typed() {
    let told = brakes(car("dunlin.ron"), BrakeAsk { grip: 0.85, at: 0.95, ..BrakeAsk::default() });
    let said = told.sentence(Shown::Mm);
    assert!(said.contains("hold 0.85 times") && said.contains("at 0.95 g"), "{said}");
    let all = told.tells(Shown::Mm).join(" ");
    assert!(all.contains("hold 0.85 times") && all.contains("At 0.95 g"), "{all}");
    let whole = brakes(car("dunlin.ron"), BrakeAsk { grip: 1.0, ..BrakeAsk::default() }).sentence(Shown::Mm);
    assert!(whole.contains("hold 1.0 times") && whole.contains("at 0.9 g"), "{whole}");
}

/// Closed form: the same torque on a larger tyre pushes by as much less, so larger rear tyres take the share to the
/// front.
#[test]
fn other_tyres_change_the_share_by_their_radii() {
    let found = study(car("dunlin.ron"));
    let taller = study(demo_with(|car| {
        let rear = car.rear.as_mut().unwrap();
        rear.tyre.loaded_radius = Some(280.0);
    }));
    let told = taller.brakes(Some(&found), &BrakeAsk::default()).unwrap();
    let change = told.change.as_ref().expect("two cars");
    let radii = [change.tyre_radius_mm[1].from.unwrap(), 280.0];
    let over = |percent: f64| percent / (100.0 - percent);
    let (from, to) = (change.front_percent.from.unwrap(), change.front_percent.to.unwrap());
    close(over(to) / over(from), radii[1] / radii[0], 1e-9, "front over rear");
    assert!(change.decel_g.change.unwrap() < 0.0);
    let said = told.says_change(Shown::Mm).unwrap();
    assert!(said.contains("280.0 mm") && said.contains("braking in front"), "{said}");
}

/// `brakes_front` may be left out where brakes are described; one that contradicts them is told.
#[test]
fn the_brakes_say_what_is_in_front_or_contradict_what_is_said() {
    let derived = demo_with(|car| car.balance.as_mut().unwrap().brakes_front = None);
    let told = brakes(derived.clone(), BrakeAsk::default());
    close(derived.brakes_front().unwrap() * 100.0, told.front_percent, 1e-12, "derived");
    let said = told.notes.iter().any(|n| n.contains("brakes_front"));
    assert!(!said, "{:?}", told.notes);
    let other = brakes(demo_with(|car| car.balance.as_mut().unwrap().brakes_front = Some(0.55)), BrakeAsk::default());
    assert!(other.notes.iter().any(|n| n.contains("55 %") && n.contains("take it out")), "{:?}", other.notes);
    // Loads brake by it.
    let mut heavier = derived.clone();
    heavier.brakes.as_mut().unwrap().front.friction = 0.6;
    let front = |car: Car| -> f64 {
        let loads = study(car).loads(Some("braking")).unwrap_or_else(|e| panic!("{e}"));
        loads.cases[0].wheels.iter().filter(|w| w.axle == AxleName::Front).map(|w| w.force_n[0]).sum()
    };
    close(
        front(heavier.clone()) / front(derived.clone()),
        heavier.brakes_front().unwrap() / derived.brakes_front().unwrap(),
        1e-9,
        "braking",
    );
}

#[test]
fn what_the_brakes_need_is_asked_for() {
    let ask = |car: Car| study(car).brakes(None, &BrakeAsk::default()).unwrap_err();
    assert_eq!(ask(demo_with(|car| car.brakes = None)), NoAnswer::NoBrakes);
    assert!(ask(demo_with(|car| car.weight = None)).to_string().contains("`weight: (mass: ..., front: ...)`"));
    assert!(ask(demo_with(|car| car.balance = None)).to_string().contains("cg_height"));
}

/// A car whose share of braking nobody tells says just that, and not that its centre of gravity is missing.
#[test]
fn a_share_that_nobody_tells_is_what_is_missing() {
    let car = demo_with(|car| {
        car.balance.as_mut().unwrap().brakes_front = None;
        car.rear = None;
        car.proposals.clear();
    });
    let why = study(car).loads(Some("braking")).unwrap_err().to_string();
    assert!(why.contains("how braking is shared is missing"), "{why}");
}

#[test]
fn brakes_that_cannot_be_are_refused_where_they_stand() {
    let text = std::fs::read_to_string(scene("dunlin.ron")).unwrap();
    let refused = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        CarFile::from_text(text.replacen(from, to, 1), None).unwrap_err().to_string()
    };
    for (from, to, words) in [
        ("pistons: [48]", "pistons: []", "one to eight"),
        ("pistons: [48]", "pistons: [0]", "more than nothing"),
        ("friction: 0.42", "friction: 4.2", "from 0.05 to 1.5"),
        ("pedal_ratio: 5", "pedal_ratio: 0.5", "from 1 to 20"),
        ("balance_bar: 0.5", "balance_bar: 50", "from 0.05 to 0.95"),
    ] {
        let said = refused(from, to);
        assert!(said.contains(words), "{said}");
    }
    // Brakes tell the share only with both axles.
    let cut = |text: &str, from: &str| {
        let start = text.find(from).expect(from);
        let end = start + text[start..].find("\n    ),").expect("its end") + "\n    ),".len();
        format!("{}{}", &text[..start], &text[end..])
    };
    let said = CarFile::from_text(cut(&text, "    rear: (").replacen("brakes_front: 0.66, ", "", 1), None);
    let said = said.unwrap_err().to_string();
    assert!(said.contains("only where the rear axle is described"), "{said}");
    // Without brakes the share has to be said.
    let without = text.replacen("brakes_front: 0.66, ", "", 1);
    assert!(CarFile::from_text(without.clone(), None).is_ok());
    let said = CarFile::from_text(cut(&without, "    brakes: ("), None).unwrap_err().to_string();
    assert!(said.contains("add `brakes_front: ...`"), "{said}");
}

fn call(arguments: &[&str]) -> (i32, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    let out = command.arg("brakes").args(arguments).output().expect("the program runs");
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("plain text");
    (out.status.code().unwrap(), text(&out.stdout) + &text(&out.stderr))
}

#[test]
fn the_command_line_tells_it_with_its_caution_in_both_units() {
    let path = scene("dunlin.ron");
    let demo = path.to_str().unwrap();
    let (code, text) = call(&[demo, "--grip", "0.8", "--proposal", "low and wide"]);
    assert!(code < 2 && text.contains(CAUTION) && text.contains("From as found:") && text.contains(" bar"), "{text}");
    let (_, inches) = call(&[demo, "--units", "in", "--pedal", "90"]);
    assert!(inches.contains("With 90 lbf on the pedal") && inches.contains("psi"), "{inches}");
    for pounds in ["90 lbf", "90 lbs"] {
        let (_, typed) = call(&[demo, "--pedal", pounds]);
        assert!(typed.contains("With 400 N on the pedal"), "{typed}");
    }
    let (_, json) = call(&[demo, "--json"]);
    let told: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!((&told["question"], &told["caution"]), (&"brakes".into(), &CAUTION.into()));
    assert_eq!(told["rows"].as_array().unwrap().len(), 7);
    let (_, csv) = call(&[demo, "--csv"]);
    assert_eq!(csv.lines().count(), 8, "{csv}");
    let (code, refused) = call(&[scene("knot.ron").to_str().unwrap()]);
    assert!(code == 2 && refused.contains("describes no brakes"), "{refused}");
}
