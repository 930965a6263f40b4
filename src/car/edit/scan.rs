//! Scans brought in, laid on the car and trimmed.

use super::{Edited, Editor};
use crate::car::error::{CarError, instead_of};
use crate::car::scan::{Picked, Scan, ScannedAs, Trim};
use crate::car::units::FileUnit;

/// A scan that is brought in: where its mesh is, before anybody has laid it on the car.
#[derive(Debug, Clone, PartialEq)]
pub struct NewScan {
    /// What the shop calls it.
    pub name: String,
    /// Mesh file, from the car file's folder.
    pub file: String,
    /// Unit of its coordinates.
    pub unit: FileUnit,
    /// What the mesh file held when it was brought in: `sha256:...`.
    pub check: String,
}

/// One thing that is said of a scan.
#[derive(Debug, Clone, PartialEq)]
pub enum ScanFact {
    /// Unit of the mesh's coordinates.
    Unit(FileUnit),
    /// What it is measured as.
    As(ScannedAs),
    /// Whether it is mirrored to the right.
    Mirror(bool),
    /// The picked points; none where it lies in the car's own coordinates.
    Place(Vec<Picked>),
    /// What is kept of it; nothing where all is.
    Trim(Option<Trim>),
    /// What its file holds now.
    Check(String),
}

impl Editor<'_> {
    pub(super) fn bring_scan(&mut self, new: &NewScan) -> Edited {
        let NewScan { name, file, unit, check } = new;
        let sign = unit.sign();
        let entry =
            format!("(\n\tname: {name:?},\n\tfile: {file:?},\n\tunit: {sign},\n\tas: panel,\n\tcheck: {check:?},\n)");
        let nested = entry.replace('\n', "\n\t");
        self.add_to(&path!["scans"], &entry, &format!("scans: [\n\t{nested},\n]"))
    }

    pub(super) fn put_scan(&mut self, name: &str, fact: &ScanFact) -> Edited {
        let index = self.scan(name)?;
        let (field, value) = match fact {
            ScanFact::Unit(unit) => ("unit", Some(unit.sign().to_owned())),
            ScanFact::As(ScannedAs::Panel) => ("as", Some("panel".to_owned())),
            ScanFact::As(ScannedAs::Rail) => ("as", Some("rail".to_owned())),
            ScanFact::Mirror(mirror) => ("mirror", mirror.then(|| "true".to_owned())),
            ScanFact::Check(check) => ("check", Some(format!("{check:?}"))),
            ScanFact::Place(place) if place.is_empty() => ("place", None),
            ScanFact::Place(place) => ("place", Some(self.written_place(place))),
            ScanFact::Trim(trim) => {
                let written =
                    |t: &Trim| format!("(from: {}, to: {})", self.unit().point(t.from), self.unit().point(t.to));
                ("trim", trim.as_ref().map(written))
            }
        };
        let scan = path!["scans", index];
        let (Some(group), place) = (self.group(&scan), path!["scans", index, field]) else {
            return Err(CarError::new("this file is written in a way that cannot be edited here"));
        };
        let at = group
            .items
            .iter()
            .position(|item| item.key.as_ref().is_some_and(|key| self.map.text[key.clone()] == *field));
        match (self.map.get(&place), at, value) {
            (Some(item), Some(_), Some(value)) => self.patch.lay_out(item, &value),
            (_, Some(at), None) => self.patch.remove(group, at),
            (_, None, Some(value)) => self.patch.append(group, &format!("{field}: {value}")),
            _ => {}
        }
        Ok(())
    }

    pub(super) fn remove_scan(&mut self, name: &str) -> Edited {
        let index = self.scan(name)?;
        if let Some(group) = self.group(&path!["scans"]) {
            self.patch.remove(group, index);
        }
        Ok(())
    }

    fn written_place(&self, place: &[Picked]) -> String {
        let each = place.iter().map(|p| {
            // A mesh's own numbers, to a ten-thousandth of a millimetre at the least.
            let [x, y, z] = p.scan.map(|v| (v * 1e4).round() / 1e4);
            format!("\n\t(scan: ({x}, {y}, {z}), car: {}),", self.unit().point(p.car))
        });
        format!("[{}\n]", each.collect::<String>())
    }

    fn scan(&self, name: &str) -> Result<usize, CarError> {
        let scans: &[Scan] = &self.file.car().scans;
        scans.iter().position(|s| s.name == name).ok_or_else(|| {
            let names = scans.iter().map(|s| s.name.as_str());
            CarError::new(format!("there is no scan `{name}`{}", instead_of(name, names)))
        })
    }
}
