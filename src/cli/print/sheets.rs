//! Papers for the bench: what there is, and what was written.

use super::{Form, Unwritten, notes, plain, whole};
use crate::answer::{Sheets, Told};
use crate::cli::args::Asked;
use crate::sheets::tables;

/// What papers there are, and after it what was written. As CSV: the cut list.
pub fn sheets(asked: &Asked, sheets: &Sheets, written: &[String]) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let list = &sheets.cut_list;
    match asked.form() {
        Form::Json => whole(asked, "sheets", sheets.sentence(shown), sheets),
        Form::Csv => plain(&tables::tubes(list, shown).csv()?),
        Form::Text => {
            let mut text = format!("{}\n", sheets.sentence(shown));
            if !list.tubes.is_empty() {
                text += &format!("\n{}", tables::tubes(list, shown).text());
                text += &format!("\n{}", tables::stock(list, shown).text());
            }
            if !written.is_empty() {
                text += &format!("\n{}\n", written.join("\n"));
            }
            let told: Vec<String> = sheets.without.iter().chain(&sheets.notes).chain(&list.notes).cloned().collect();
            let [frame, cutting] = sheets.caution.frame;
            let caution = [frame, cutting, sheets.caution.arms, sheets.caution.lock].join("\n\n");
            plain(&format!("{text}{}\n{caution}\n", notes(&told)))
        }
    }
}
