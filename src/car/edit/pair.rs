//! Pairs of parts that are left out of the gaps, and those that are measured all the same.

use super::{Edited, Editor};
use crate::car::error::CarError;

impl Editor<'_> {
    pub(super) fn ignore_pair(&mut self, [a, b]: &[String; 2], why: &str) -> Edited {
        let entry = format!("({a:?}, {b:?}, {why:?})");
        self.add_to(&path!["ignore"], &entry, &format!("ignore: [\n\t{entry},\n]"))
    }

    pub(super) fn heed_pair(&mut self, [a, b]: &[String; 2]) -> Edited {
        let same = |x: &str, y: &str| (x == a && y == b) || (x == b && y == a);
        let index = self.file.car().ignore.iter().position(|pair| same(&pair.0, &pair.1));
        match index.zip(self.group(&path!["ignore"])) {
            Some((index, group)) => self.patch.remove(group, index),
            None => return Err(CarError::new(format!("the car file does not ignore `{a}` and `{b}`"))),
        }
        Ok(())
    }

    pub(super) fn measure_pair(&mut self, [a, b]: &[String; 2], wanted: Option<f64>) -> Edited {
        let wanted = wanted.map(|mm| format!(", {}", self.unit().number(mm))).unwrap_or_default();
        let entry = format!("({a:?}, {b:?}{wanted})");
        self.add_to(&path!["measure"], &entry, &format!("measure: [\n\t{entry},\n]"))
    }
}
