//! The panels' heights side by side, told from eye level.

use glam::DVec2;

use super::above::named;
use super::drawing::{Drawing, PLAIN_MM, PaperRect, Stroke};
use super::placing::{Wish, place};
use super::scale::{Extent, Frame};
use super::shapes::Section;
use crate::geometry::Layout;
use crate::rig::Rig;
use crate::sheet::Units;
use crate::typeset::Cut;

/// Room for the name of the eye's level, width of a panel's column and of its
/// bar, on the paper.
pub(super) const LEFT_MM: f64 = 14.0;
pub(super) const COLUMN_MM: f64 = 21.0;
const BAR_MM: f64 = 7.0;

/// What the part shows: only how far up and down.
pub(super) fn extent(rig: &Rig, layout: &Layout) -> Extent {
    let mut extent = Extent::eye();
    for (surface, panel) in layout.surfaces().iter().zip(rig.panels()) {
        for point in Section::at(surface, panel, 0.0).case {
            extent.add(DVec2::new(0.0, -point.y));
        }
    }
    extent
}

/// A rig's heights being drawn.
pub(super) struct Heights<'a> {
    pub rig: &'a Rig,
    pub layout: &'a Layout,
    /// Its eye is at the left end of the eye's level.
    pub frame: Frame,
    pub area: PaperRect,
    pub units: Units,
}

impl Heights<'_> {
    /// The middle of a panel's column on the paper.
    fn column(&self, panel: usize) -> f64 {
        let room = self.area.max.x - self.area.min.x - LEFT_MM;
        let wide = (room / self.rig.panels().len() as f64).min(COLUMN_MM);
        self.area.min.x + LEFT_MM + (panel as f64 + 0.5) * wide
    }

    fn section(&self, panel: usize) -> Section {
        Section::at(
            &self.layout.surfaces()[panel],
            &self.rig.panels()[panel],
            0.0,
        )
    }

    fn row(&self, y_mm: f64) -> f64 {
        self.frame.at(0.0, -y_mm).y
    }

    pub(super) fn strokes(&self, drawing: &mut Drawing) {
        let count = self.rig.panels().len();
        let level = self.frame.eye.y;
        let half = BAR_MM.min(self.column(1) - self.column(0) - 1.0).max(0.5) / 2.0;
        for panel in 0..count {
            let x = self.column(panel);
            let section = self.section(panel);
            let area = |[bottom, top]: [f64; 2]| {
                [
                    DVec2::new(x - half, top),
                    DVec2::new(x + half, top),
                    DVec2::new(x + half, bottom),
                    DVec2::new(x - half, bottom),
                ]
            };
            drawing.path(Stroke::Case, area(section.case.map(|p| self.row(p.y))));
            let lit = section.lit.map(|p| self.row(p.y));
            let inner = half * 0.8;
            let glass = [
                DVec2::new(x - inner, lit[1]),
                DVec2::new(x + inner, lit[1]),
                DVec2::new(x + inner, lit[0]),
                DVec2::new(x - inner, lit[0]),
            ];
            drawing.path(Stroke::Blank, glass);
            for row in lit {
                let ends = [x - inner, x + inner].map(|x| DVec2::new(x, row));
                drawing.line(Stroke::Lit, ends[0], ends[1]);
            }
            drawing.measure(DVec2::new(x, lit[0]), DVec2::new(x, lit[1]));
        }
        let right = self.column(count - 1) + BAR_MM;
        drawing.line(
            Stroke::Axis,
            DVec2::new(self.area.min.x + 2.0, level),
            DVec2::new(right, level),
        );
    }

    pub(super) fn labels(&self, drawing: &mut Drawing) {
        let wish = |at: DVec2, reach_mm: f64| Wish {
            about: at,
            at,
            reach_mm,
            area: self.area,
            leads: false,
        };
        let level = drawing.label("eye level", Cut::Regular, PLAIN_MM);
        let size = level.rect.max - level.rect.min;
        let at = DVec2::new(self.area.min.x + 2.0 + size.x / 2.0, self.frame.eye.y - 2.0);
        place(drawing, level, wish(at, 8.0));
        for (panel, part) in self.rig.panels().iter().enumerate() {
            let x = self.column(panel);
            let section = self.section(panel);
            let case = section.case.map(|p| self.row(p.y));
            let mut rows = section.lit.map(|p| (p.y, p.y.total_cmp(&0.0).is_ge()));
            rows.sort_by(|a, b| b.0.total_cmp(&a.0));
            let texts = rows.map(|(y, up)| {
                let way = if up { "up" } else { "down" };
                format!("{} {way}", self.units.length(y.abs()))
            });
            let (top, bottom) = (case[0].min(case[1]), case[0].max(case[1]));
            let [above, below] = texts;
            let above = drawing.label(&above, Cut::Bold, PLAIN_MM);
            place(drawing, above, wish(DVec2::new(x, top - 2.2), 3.0));
            let below = drawing.label(&below, Cut::Bold, PLAIN_MM);
            place(drawing, below, wish(DVec2::new(x, bottom + 2.2), 3.0));
            let name = drawing.label(&named(panel, &part.name), Cut::Regular, PLAIN_MM);
            place(drawing, name, wish(DVec2::new(x, bottom + 6.3), 6.0));
        }
    }
}
