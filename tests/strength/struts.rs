//! Buckling formulas against problems that textbooks have worked.

use scribeline::strength::buckling::Strut;

use crate::off;

/// A strut whose area is 1, to look at stresses.
fn slender(slenderness: f64, modulus: f64, yield_strength: f64) -> Strut {
    Strut { area: 1.0, gyration: 1.0, length: slenderness, fixity: 1.0, modulus, yield_strength }
}

/// Gere & Goodno, Mechanics of Materials, 7th ed., problem 11.4-2: a pipe of 40 and 36 mm, 1.2 m long, E 210 GPa: 62.2, 15.6, 127
/// and 249 kN.
#[test]
fn euler_as_gere_works_it() {
    let area = std::f64::consts::PI * (40.0f64.powi(2) - 36.0f64.powi(2)) / 4.0;
    let gyration = (43.22e3 / area).sqrt();
    for (fixity, load) in [(1.0, 62.2e3), (2.0, 15.6e3), (0.699, 127e3), (0.5, 249e3)] {
        let strut = Strut { area, gyration, length: 1200.0, fixity, modulus: 210e3, yield_strength: 1e9 };
        assert!(off(strut.euler(), load) < 4e-3, "{} {load}", strut.euler());
    }
}

/// Faires, Design of Machine Elements, problem 334, solved: a round bar under 3 times 10 kips. 25 in long of 48 ksi it is a
/// matter of Johnson and takes 1.096 in of diameter; 50 in long one of Euler and 1.507 in; of 150 ksi, 25 in long, one
/// of Euler beyond a slenderness of 62.83, and 1.0657 in. E 30 000 ksi. Here in kips and inches.
#[test]
fn johnson_and_euler_as_faires_works_them() {
    for (diameter, length, yield_strength, johnson) in
        [(1.096, 25.0, 48.0, true), (1.507, 50.0, 48.0, false), (1.0657, 25.0, 150.0, false)]
    {
        let area = std::f64::consts::PI * f64::powi(diameter, 2) / 4.0;
        let strut = Strut { area, gyration: diameter / 4.0, length, fixity: 1.0, modulus: 30e3, yield_strength };
        assert_eq!(strut.slenderness() < strut.transition(), johnson);
        assert!(off(strut.straight(), 30.0) < 3e-3, "{}", strut.straight());
    }
    // He has sqrt(2 pi² E / Sy) as 62.83.
    assert!((slender(1.0, 30e3, 150.0).transition() - 62.83).abs() < 0.005);
}

/// Johnson's parabola touches Euler's curve at half the yield strength, in value and in slope.
#[test]
fn johnson_touches_euler() {
    let at = |share: f64| slender(slender(1.0, 205e3, 435.0).transition() * share, 205e3, 435.0);
    assert!(off(at(1.0).euler(), 435.0 / 2.0) < 1e-12 && off(at(1.0).johnson(), 435.0 / 2.0) < 1e-12);
    let slope = |load: fn(&Strut) -> f64| (load(&at(1.0 + 1e-5)) - load(&at(1.0 - 1e-5))) / 2e-5;
    assert!(off(slope(Strut::euler), slope(Strut::johnson)) < 1e-6);
}

/// Multimedia Engineering Mechanics (ecoursesbook.com), ch. 9.3, case: 5 kips 3 in off the axis of a 30 ft mast, fixed and
/// free, of area 4.515, r 2.035 and c 3 in, E 29 000 ksi: 1.107 (1 + 2.173 · 2.175) ksi.
#[test]
fn the_secant_formula_as_a_course_works_it() {
    let mast = Strut { area: 4.515, gyration: 2.035, length: 360.0, fixity: 2.0, modulus: 29e3, yield_strength: 36.0 };
    assert!(off(mast.secant_stress(5.0, 3.0, 3.0), 1.107 * (1.0 + 2.173 * 2.175)) < 2e-3);
}

/// Gere & Goodno, problem 11.6-11: 255 kips at 1.471 in off the axis of a W 12 × 87, 216 in long: 13.4 ksi, and 36 ksi at 664.7 kips.
#[test]
fn the_secant_formula_as_gere_works_it() {
    let (area, gyration) = (25.6, 5.376);
    let column = Strut { area, gyration, length: 216.0, fixity: 1.0, modulus: 29e3, yield_strength: 36.0 };
    assert!(off(column.secant_stress(255.0, 1.471, 6.265), 13.4) < 4e-3);
    assert!(off(column.secant_stress(664.7, 1.471, 6.265), 36.0) < 1e-3);
}

/// At the load that [`Strut::bowed`] tells, the inner fibre is at yield; a bow costs load, a straight tube none.
#[test]
fn a_bowed_tube_yields_at_its_load() {
    let tube =
        Strut { area: 226.2, gyration: 12.75, length: 900.0, fixity: 1.0, modulus: 205e3, yield_strength: 435.0 };
    let mut last = tube.straight();
    assert_eq!(tube.bowed(0.0, 19.0), last);
    for bow in [5.0, 10.0, 30.0, 100.0] {
        let load = tube.bowed(bow, 19.0);
        assert!(load < last, "{bow} mm: {load}");
        assert!(off(tube.bowed_stress(load, bow, 19.0), 435.0) < 1e-9);
        last = load;
    }
    assert_eq!(tube.bowed_stress(tube.euler() * 1.01, 5.0, 19.0), f64::INFINITY);
}

/// Perry's formula against the bowed strut's own equation, E I w'' = -P (w + a sin(pi x / L)), by differences: 45 mm tube, a
/// bow of 12 mm, half of Euler's load.
#[test]
fn a_bowed_tube_bends_as_its_equation_says() {
    let (area, second, fibre) = (270.2, 62_500.0, 22.5);
    let gyration = f64::sqrt(second / area);
    let tube = Strut { area, gyration, length: 1400.0, fixity: 1.0, modulus: 205e3, yield_strength: 435.0 };
    let (load, bow, steps) = (tube.euler() / 2.0, 12.0, 2000);
    let h = tube.length / steps as f64;
    let k = load / (tube.modulus * second);
    // w(i-1) + (k h² - 2) w(i) + w(i+1) = -k h² a sin: eliminated from one end to the other (Thomas).
    let (mut upper, mut right) = (vec![0.0; steps + 1], vec![0.0; steps + 1]);
    for i in 1..steps {
        let pivot = k * h * h - 2.0 - upper[i - 1];
        upper[i] = 1.0 / pivot;
        let start = bow * (std::f64::consts::PI * i as f64 / steps as f64).sin();
        right[i] = (-k * h * h * start - right[i - 1]) / pivot;
    }
    let mut w = vec![0.0; steps + 1];
    for i in (1..steps).rev() {
        w[i] = right[i] - upper[i] * w[i + 1];
    }
    let stress = load / area + load * (bow + w[steps / 2]) * fibre / second;
    assert!(off(tube.bowed_stress(load, bow, fibre), stress) < 1e-5, "{stress}");
}
