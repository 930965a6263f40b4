//! What any row of the table must be.

use scribeline::strength::Material;
use scribeline::strength::material::{grade, grades};

#[test]
fn every_grade_can_be_calculated_with_and_names_its_source() {
    for row in grades() {
        assert_eq!(row.fault(), None);
        assert!(row.yield_strength < row.ultimate, "{}", row.name);
        assert!(row.source.len() > 10, "{}", row.name);
        assert_eq!(grade(&row.name.to_uppercase()), Some(row));
    }
    assert_eq!(grade("unobtainium"), None);
}

/// G of steel is 80 GPa (ASM data sheet of AISI 4130), of aluminium 26 GPa (makeitfrom.com).
#[test]
fn shear_moduli_are_the_tables() {
    for (name, shear) in [("4130 normalised", 80e3), ("6061-T6", 26e3)] {
        assert!((grade(name).unwrap().shear_modulus() / shear - 1.0).abs() < 0.01, "{name}");
    }
}

#[test]
fn a_row_of_ones_own_needs_no_source_and_is_checked() {
    let text = r#"(name: "rail", modulus: 210e3, poisson: 0.3, density: 7850, yield_strength: 300, ultimate: 400)"#;
    let row: Material = ron::from_str(text).expect("a material");
    assert_eq!(row.fault(), None);
    let absurd = Material { poisson: 0.7, ..row.clone() };
    assert!(absurd.fault().unwrap().contains("Poisson"));
    let absurd = Material { modulus: f64::NAN, ..row };
    assert!(absurd.fault().unwrap().contains("modulus"));
}
