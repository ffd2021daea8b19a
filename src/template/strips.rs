//! A strip of paper for each seam: what is dark between the lit edges, and the step.

use glam::DVec2;

use super::sheet::{LINE_MM, Sheet, Way, outline};
use crate::plan::{PaperRect, Stroke};
use crate::rig::Rig;
use crate::sheet::seam_name;
use crate::sheet::units::fixed;
use crate::typeset::Cut;

/// A strip's height, with room for the next one.
const STRIP_MM: f64 = 26.0;
const PITCH_MM: f64 = 33.0;
/// Paper outside the two marks, at least.
const BESIDE_MM: f64 = 42.0;
/// Shortest marks of the scale about the right one, and how far it goes.
const SCALE_MM: i32 = 8;

/// Longest step that finds room at the strip's end.
const LONGEST_STEP_MM: f64 = 50.0;

/// The sheets with the strips of all seams; none where there is no seam.
pub(super) fn sheets(rig: &Rig) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut y = 0.0;
    for seam in 0..rig.seams().len() {
        let room = sheets.last().map(Sheet::room);
        if room.is_none_or(|room| y + STRIP_MM > room.max.y) {
            let sheet = started(rig);
            y = sheet.room().min.y + 2.0;
            sheets.push(sheet);
        }
        if let Some(sheet) = sheets.last_mut() {
            strip(sheet, rig, seam, y);
        }
        y += PITCH_MM;
    }
    sheets
}

fn started(rig: &Rig) -> Sheet {
    let mut sheet = Sheet::new(
        Way::Upright,
        rig,
        "Strips for the dark and the steps".to_owned(),
    );
    sheet.note(
        "Dark: hold the strip level across the seam, straight from glass to glass. Its two \
         long marks stand at the lit edges; the scale at the right one says in millimetres how \
         far off that edge is.",
    );
    if rig.seams().iter().any(|seam| seam.step_mm != 0.0) {
        sheet.note(
            "Step: the two marks are as far apart as one lit edge stands nearer to you than the \
             cases alone would put it, along the line that halves the corner.",
        );
    }
    if (0..rig.seams().len()).any(|seam| rig.parts().fold_rad(seam) < 0.0) {
        sheet.note(
            "Where a corner stands out towards you, the cases keep the strip off the glass: \
             there the dark is the distance of the wedge's two inner corners.",
        );
    }
    sheet
}

fn strip(sheet: &mut Sheet, rig: &Rig, seam: usize, top: f64) {
    let room = sheet.room();
    let (width, left) = (room.max.x - room.min.x, room.min.x);
    let piece = PaperRect {
        min: DVec2::new(left, top),
        max: DVec2::new(room.max.x, top + STRIP_MM),
    };
    sheet.drawing.path(Stroke::Cut, outline(piece));
    let about = format!(
        "{}, seam {}: {}",
        rig.name(),
        seam + 1,
        seam_name(rig, seam)
    );
    let about = sheet.fitted(&about, Cut::Bold, width - 6.0);
    sheet.text(
        &about,
        Cut::Bold,
        piece.min + DVec2::new(2.0, STRIP_MM - LINE_MM - 2.6),
    );

    let (dark, gap) = (rig.layout().dark_mm(seam), rig.seams()[seam].gap_mm);
    let step = rig.seams()[seam].step_mm;
    let says = format!("dark {} mm (gap {} mm)", fixed(dark, 2), fixed(gap, 2));
    let names = [seam, seam + 1].map(|panel| rig.panels()[panel].name.clone());
    let row = top + 6.5;
    if dark + BESIDE_MM + 60.0 > width {
        let says = format!("{says}: too long for this sheet, so measure it with a tape");
        sheet.text(&says, Cut::Regular, DVec2::new(left + 2.0, row));
    } else {
        let from = left + BESIDE_MM;
        let to = from + dark;
        for x in [from, to] {
            (sheet.drawing).line(
                Stroke::Measure,
                DVec2::new(x, top),
                DVec2::new(x, top + 12.0),
            );
        }
        for off in -SCALE_MM..=SCALE_MM {
            let x = to + f64::from(off);
            if off != 0 && x > from + 1.0 {
                let long = if off % 5 == 0 { 3.0 } else { 1.8 };
                (sheet.drawing).line(
                    Stroke::Leader,
                    DVec2::new(x, top),
                    DVec2::new(x, top + long),
                );
            }
        }
        let name = sheet.fitted(&names[0], Cut::Regular, BESIDE_MM - 4.0);
        let end = sheet.width_mm(&name, Cut::Regular);
        sheet.text(&name, Cut::Regular, DVec2::new(from - end - 0.8, row));
        let room_mm = room.max.x - to - 60.0;
        let name = sheet.fitted(&names[1], Cut::Regular, room_mm.max(10.0));
        sheet.text(&name, Cut::Regular, DVec2::new(to + 0.8, row));
        sheet.text(
            &says,
            Cut::Regular,
            DVec2::new(left + 2.0, row + LINE_MM + 3.0),
        );
    }
    if step != 0.0 {
        step_marks(sheet, piece, &names, step);
    }
}

/// Marks as far apart as the step, at the strip's right end.
fn step_marks(sheet: &mut Sheet, piece: PaperRect, names: &[String; 2], step: f64) {
    let size = step.abs();
    let nearer = &names[usize::from(step > 0.0)];
    let is_marked = size <= LONGEST_STEP_MM;
    let tape = if is_marked { "" } else { "; measure it" };
    let text = format!(
        "step {} mm: {nearer} is nearer to you{tape}",
        fixed(size, 2)
    );
    let text = sheet.fitted(&text, Cut::Regular, 88.0);
    let wide = sheet.width_mm(&text, Cut::Regular);
    let right = piece.max.x - 3.0;
    let y = piece.min.y + 6.5 + LINE_MM + 3.0;
    sheet.text(&text, Cut::Regular, DVec2::new(right - wide, y));
    if is_marked {
        for x in [right - size, right] {
            let (above, below) = (piece.min.y, piece.min.y + 8.0);
            (sheet.drawing).line(Stroke::Measure, DVec2::new(x, above), DVec2::new(x, below));
        }
    }
}
