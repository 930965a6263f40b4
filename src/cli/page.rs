//! Writes the customer's page and the car as a model.

use std::path::Path;

use super::args::{Asked, PageArgs};
use super::{Stop, print, study};
use crate::car::CarError;
use crate::sheets::page::Price;
use crate::sheets::{glb, page};

/// Writes what was asked for, and says so.
pub fn write(asked: &Asked, wanted: &PageArgs) -> Result<(), Stop> {
    if !wanted.price.is_empty() && Price::total(&wanted.price).is_none() {
        return Err(Stop::NoPlot("the prices are not in one currency: write it alike in every --price".to_owned()));
    }
    let (proposed, shown) = study(asked)?;
    if let Some(path) = &wanted.page {
        let (found, _) = study(&Asked { proposal: None, ..asked.clone() })?;
        let html = page::page(&found, &proposed, &wanted.price, shown)?;
        put(path, html.as_bytes())?;
        print::plain(&format!("The page for the customer is in {}: {}.\n", path.display(), size(html.len())))?;
    }
    if let Some(path) = &wanted.glb {
        let model = glb::glb(&proposed)?;
        put(path, &model)?;
        print::plain(&format!(
            "{} as a model is in {}: {}.\n",
            proposed.car.titled(),
            path.display(),
            size(model.len())
        ))?;
    }
    Ok(())
}

fn put(path: &Path, bytes: &[u8]) -> Result<(), Stop> {
    let place = |e: CarError| Stop::NotWritten { file: path.to_path_buf(), what: e.what().to_owned() };
    crate::car::file::write(path, bytes).map_err(place)
}

/// `1.4 MB`, for a mail that takes no more than so much.
fn size(bytes: usize) -> String {
    format!("{:.1} MB", bytes as f64 / 1e6)
}
