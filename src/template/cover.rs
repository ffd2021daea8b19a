//! The first sheet: how to print, what there is, and the numbers.

use glam::DVec2;

use super::sheet::{LINE_MM, Sheet, Way, caution};
use super::{seat, staff};
use crate::parts::words::number;
use crate::rig::Rig;
use crate::sheet::seam_name;
use crate::sheet::units::{degrees, fixed};
use crate::typeset::Cut;

/// Most seams whose numbers find room.
const MOST_SEAMS: usize = 12;

/// The sheet before the others.
pub(super) fn sheet(rig: &Rig, others: &[Sheet]) -> Sheet {
    let title = format!("Templates for {}", rig.name());
    let mut sheet = Sheet::new(Way::Upright, rig, title);
    let room = sheet.room();
    let width = room.max.x - room.min.x;
    let mut y = room.min.y + 4.0;
    let mut paragraph = |sheet: &mut Sheet, cut: Cut, text: &str| {
        for line in sheet.lines(text, width) {
            if y + LINE_MM <= room.max.y {
                sheet.text(&line, cut, DVec2::new(room.min.x, y));
            }
            y += LINE_MM;
        }
        y += 0.4 * LINE_MM;
    };
    paragraph(
        &mut sheet,
        Cut::Regular,
        "Print all sheets at 100 % (\"actual size\"), without fitting to the paper. On each sheet, \
         check the bar with a ruler and the outline with a bank card before you cut. Cut along \
         the thin closed lines, out of thin card or paper glued on it.",
    );
    paragraph(&mut sheet, Cut::Regular, &caution());
    paragraph(&mut sheet, Cut::Bold, "The seat");
    for text in seat::words(rig) {
        paragraph(&mut sheet, Cut::Regular, &text);
    }
    if !rig.seams().is_empty() {
        paragraph(&mut sheet, Cut::Bold, "The seams");
    }
    for (seam, values) in rig.seams().iter().enumerate().take(MOST_SEAMS) {
        let text = format!(
            "{}, {}: fold {}°, dark {} mm (gap {} mm), step {} mm, rise {} mm",
            seam + 1,
            seam_name(rig, seam),
            degrees(rig.parts().fold_rad(seam), 2),
            fixed(rig.layout().dark_mm(seam), 1),
            number(values.gap_mm),
            number(values.step_mm),
            number(values.rise_mm),
        );
        paragraph(&mut sheet, Cut::Regular, &text);
    }
    if rig.seams().len() > MOST_SEAMS {
        paragraph(
            &mut sheet,
            Cut::Regular,
            "The other seams' numbers stand on their own pieces.",
        );
    }
    paragraph(&mut sheet, Cut::Bold, "The sheets");
    for (title, from, to) in runs(others) {
        let pages = if from == to {
            format!("{from}")
        } else {
            format!("{from} to {to}")
        };
        paragraph(&mut sheet, Cut::Regular, &format!("{pages}: {title}"));
    }
    if !staff::heights(rig).is_handy() {
        paragraph(
            &mut sheet,
            Cut::Regular,
            "The panels' heights differ too much for a staff of paper: take them from the sheet \
             or the plan.",
        );
    }
    sheet
}

/// Sheets of one title that follow each other, with their numbers.
fn runs(others: &[Sheet]) -> Vec<(&str, usize, usize)> {
    let mut runs: Vec<(&str, usize, usize)> = Vec::new();
    for (index, sheet) in others.iter().enumerate() {
        let page = index + 2;
        match runs.last_mut() {
            Some((title, _, to)) if *title == sheet.title => *to = page,
            _ => runs.push((&sheet.title, page, page)),
        }
    }
    runs
}
