//! A staff with the panels' lit tops and bottoms, from eye level.

use glam::DVec2;

use super::sheet::{LINE_MM, Sheet, Way, caution, outline};
use crate::plan::{PaperRect, Stroke};
use crate::rig::Rig;
use crate::sheet::units::fixed;
use crate::typeset::Cut;

/// A piece's part of the staff at most, the tab that the next one is glued on, and its width.
const PIECE_MM: f64 = 180.0;
const TAB_MM: f64 = 12.0;
const WIDE_MM: f64 = 92.0;
/// Longest staff worth gluing.
const LONGEST_MM: f64 = 2000.0;

/// A mark on a staff.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    /// Along the staff, up.
    pub at_mm: f64,
    pub text: String,
}

/// A long strip of paper with marks, upright on the sheets.
#[derive(Debug)]
pub(super) struct Staff {
    /// What stands on each piece.
    pub name: String,
    pub marks: Vec<Mark>,
    /// Its ends, from the lower one.
    pub ends_mm: [f64; 2],
    /// From its left edge to the line that its marks start from.
    pub spine_mm: f64,
    /// A point beside that line: along the staff, and to the right of the line.
    pub cross_mm: Option<[f64; 2]>,
}

impl Staff {
    /// Whether gluing it makes sense.
    pub(super) fn is_handy(&self) -> bool {
        self.ends_mm[1] - self.ends_mm[0] <= LONGEST_MM
    }

    /// The sheets with its pieces, the topmost first, two on each.
    pub(super) fn sheets(&self, rig: &Rig, title: &str) -> Vec<Sheet> {
        let long = self.ends_mm[1] - self.ends_mm[0];
        let pieces = ((long / PIECE_MM).ceil() as usize).max(1);
        let mut sheets: Vec<Sheet> = Vec::new();
        for piece in 0..pieces {
            if piece % 2 == 0 {
                sheets.push(Sheet::new(Way::Upright, rig, title.to_owned()));
            }
            if let Some(sheet) = sheets.last_mut() {
                self.piece(sheet, rig, [piece, pieces]);
            }
        }
        sheets
    }

    fn piece(&self, sheet: &mut Sheet, rig: &Rig, [piece, pieces]: [usize; 2]) {
        let room = sheet.room();
        let column = (piece % 2) as f64;
        let left = room.min.x + column * (room.max.x - room.min.x - WIDE_MM);
        let top = room.min.y + 2.0;
        let part_mm = (self.ends_mm[1] - self.ends_mm[0]) / pieces as f64;
        let from = self.ends_mm[1] - piece as f64 * part_mm;
        let is_last = piece + 1 == pieces;
        let to = if is_last {
            self.ends_mm[0]
        } else {
            from - part_mm
        };
        let tab = if is_last { 0.0 } else { TAB_MM };
        let row = |at_mm: f64| top + from - at_mm;
        let body = PaperRect {
            min: DVec2::new(left, top),
            max: DVec2::new(left + WIDE_MM, row(to) + tab),
        };
        sheet.drawing.path(Stroke::Cut, outline(body));
        let letter = |joint: usize| char::from(b'A' + (joint % 26) as u8);
        if !is_last {
            let y = row(to);
            let ends = [body.min.x, body.max.x].map(|x| DVec2::new(x, y));
            sheet.drawing.line(Stroke::Measure, ends[0], ends[1]);
            let about = DVec2::new(f64::midpoint(body.min.x, body.max.x), y + TAB_MM / 2.0);
            let text = format!(
                "{0}: glue edge {0} of piece {1} on this line",
                letter(piece),
                piece + 2
            );
            sheet.centred(&text, Cut::Regular, about);
        }
        let about = [
            format!("{}, piece {} of {pieces}", self.name, piece + 1),
            rig.name().to_owned(),
        ];
        for (line, text) in about.iter().enumerate() {
            let text = sheet.fitted(text, Cut::Bold, WIDE_MM - self.spine_mm - 20.0);
            let down = 1.0 + line as f64 * LINE_MM;
            let corner = DVec2::new(left + self.spine_mm + 16.0, top + down);
            sheet.text(&text, Cut::Bold, corner);
        }
        if piece > 0 {
            let text = format!("edge {}", letter(piece - 1));
            sheet.text(
                &text,
                Cut::Regular,
                DVec2::new(left + self.spine_mm + 1.0, top + 1.0),
            );
        }
        let spine = left + self.spine_mm;
        if self.spine_mm > 0.0 {
            (sheet.drawing).line(
                Stroke::Sight,
                DVec2::new(spine, top),
                DVec2::new(spine, row(to)),
            );
        }
        // A mark on a joint stands on the upper piece.
        let here = |at: f64| at >= to && (at < from || piece == 0);
        self.marks_between(
            sheet,
            here,
            row,
            spine,
            [top + 2.0 + 2.0 * LINE_MM, row(to) - 1.0],
        );
        if let Some([at, right]) = self.cross_mm.filter(|cross| here(cross[0])) {
            let middle = DVec2::new(spine + right, row(at));
            for arm in [DVec2::X, DVec2::Y] {
                (sheet.drawing).line(Stroke::Measure, middle - arm * 4.0, middle + arm * 4.0);
            }
        }
    }

    /// Marks with their labels, which keep clear of each other.
    fn marks_between(
        &self,
        sheet: &mut Sheet,
        is_here: impl Fn(f64) -> bool,
        row: impl Fn(f64) -> f64,
        spine: f64,
        [highest, lowest]: [f64; 2],
    ) {
        let mut marks: Vec<&Mark> = (self.marks.iter())
            .filter(|mark| is_here(mark.at_mm))
            .collect();
        marks.sort_by(|one, other| other.at_mm.total_cmp(&one.at_mm));
        let mut rows: Vec<f64> = Vec::new();
        for mark in &marks {
            let least = rows.last().map_or(highest, |last| last + LINE_MM);
            rows.push((row(mark.at_mm) - LINE_MM / 2.0).max(least));
        }
        let mut most = lowest - LINE_MM;
        for y in rows.iter_mut().rev() {
            *y = y.min(most);
            most = *y - LINE_MM;
        }
        for (mark, y) in marks.iter().zip(rows) {
            let at = DVec2::new(spine, row(mark.at_mm));
            let end = at + DVec2::X * 12.0;
            sheet.drawing.line(Stroke::Measure, at, end);
            let text = sheet.fitted(&mark.text, Cut::Regular, WIDE_MM - self.spine_mm - 17.0);
            let corner = DVec2::new(spine + 16.0, y);
            (sheet.drawing).line(
                Stroke::Leader,
                end,
                corner + DVec2::Y * (LINE_MM / 2.0 - 0.4),
            );
            sheet.text(&text, Cut::Regular, corner);
        }
    }
}

/// The sheets with the staff of heights.
pub(super) fn sheets(rig: &Rig) -> Vec<Sheet> {
    let staff = heights(rig);
    let title = "Heights in mm, from eye level";
    if !staff.is_handy() {
        return Vec::new();
    }
    let mut sheets = staff.sheets(rig, title);
    for sheet in &mut sheets {
        sheet.note(
            "Glue the pieces, stand the staff upright with \"eye level\" as high as your eye, its \
             left edge to the glass at each panel's middle.",
        );
        sheet.note(&caution());
    }
    sheets
}

/// Lit tops and bottoms at the panels' middles, the facing view's middle, eye level.
pub(super) fn heights(rig: &Rig) -> Staff {
    let mut marks = vec![Mark {
        at_mm: 0.0,
        text: "0.0 eye level".to_owned(),
    }];
    let mut mark = |at_mm: f64, text: &str| {
        let text = format!("{} {text}", fixed(at_mm, 1));
        marks.push(Mark { at_mm, text });
    };
    for (surface, panel) in rig.layout().surfaces().iter().zip(rig.panels()) {
        let half = surface.size_mm[1] / 2.0;
        // A panel that hangs on its head has its lower end at the top.
        let mut ends = [-half, half].map(|t| surface.point_mm(0.0, t).y);
        ends.sort_by(f64::total_cmp);
        for (end, name) in ends.into_iter().zip(["bottom", "top"]) {
            mark(end, &format!("lit {name} of {}", panel.name));
        }
    }
    let [_, above, _] = super::seat::from_middle_mm(rig);
    mark(
        -above,
        &format!("middle of {}", rig.view_name(rig.seat().view)),
    );
    let all = || marks.iter().map(|mark| mark.at_mm);
    let ends_mm = [
        all().fold(f64::INFINITY, f64::min) - 10.0,
        all().fold(f64::NEG_INFINITY, f64::max) + 10.0,
    ];
    Staff {
        name: "heights".to_owned(),
        marks,
        ends_mm,
        spine_mm: 0.0,
        cross_mm: None,
    }
}
