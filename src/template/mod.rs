//! Templates to print at true size, cut out and hold to the panels: a wedge and a
//! strip for each seam, a staff of heights, and where the seat stands.
//!
//! Each sheet has a bar of 100 mm and the outline of a bank card (ISO/IEC 7810
//! ID-1), which tell whether the printer kept the size.

mod cover;
mod level;
mod seat;
mod sheet;
mod staff;
mod strips;
mod wedge;

pub use wedge::Wedge;

use crate::plan::{self, Leaf};
use crate::rig::Rig;

/// The templates of a rig as a PDF file for A4 paper.
pub fn pdf(rig: &Rig) -> Vec<u8> {
    plan::pdf(&leaves(rig), &format!("{}: templates", rig.name()))
}

/// The same as drawings, a page each.
pub fn leaves(rig: &Rig) -> Vec<Leaf> {
    let mut sheets = Vec::new();
    for seam in 0..rig.seams().len() {
        sheets.push(wedge::sheet(rig, seam));
    }
    sheets.extend(strips::sheets(rig));
    sheets.extend(staff::sheets(rig));
    sheets.extend(seat::sheets(rig));
    sheets.insert(0, cover::sheet(rig, &sheets));
    let pages = sheets.len();
    (sheets.into_iter().enumerate())
        .map(|(index, sheet)| sheet.finished(index + 1, pages))
        .collect()
}
