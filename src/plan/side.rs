//! The rig from the right: the facing view cut through its middle, the other
//! panels behind it.

use glam::{DVec2, DVec3};

use super::drawing::{Drawing, PLAIN_MM, PaperRect, Stroke};
use super::placing::{Wish, place};
use super::scale::{Extent, Frame};
use super::shapes::{self, Section};
use crate::geometry::{Layout, View, elevation};
use crate::rig::Rig;
use crate::sheet::Units;
use crate::sheet::units::{degrees, fixed};
use crate::typeset::Cut;

/// Depth of the case on the paper.
const CASE_MM: f64 = 1.3;

/// What the part shows, x ahead and y down.
pub(super) fn extent(rig: &Rig, layout: &Layout) -> Extent {
    let mut extent = Extent::eye();
    for (surface, panel) in layout.surfaces().iter().zip(rig.panels()) {
        for point in shapes::outline(surface) {
            extent.add(DVec2::new(-point.z, -point.y));
        }
        for point in Section::at(surface, panel, 0.0).case {
            extent.add(DVec2::new(-point.z, -point.y));
        }
    }
    extent
}

/// A rig being drawn from the right.
pub(super) struct Side<'a> {
    pub rig: &'a Rig,
    pub layout: &'a Layout,
    pub facing: &'a View,
    pub frame: Frame,
    pub extent: Extent,
    pub area: PaperRect,
    pub units: Units,
}

impl Side<'_> {
    fn on_paper(&self, point: DVec3) -> DVec2 {
        self.frame.at(-point.z, -point.y)
    }

    fn section(&self) -> Section {
        let panel = &self.rig.panels()[self.facing.id.panel];
        Section::at(&self.facing.surface, panel, self.facing.s_mm(0.5))
    }

    /// Where the distance is measured: below everything.
    fn floor(&self) -> f64 {
        self.frame.at(0.0, self.extent.max.y).y + 3.5
    }

    pub(super) fn strokes(&self, drawing: &mut Drawing) {
        let eye = self.frame.eye;
        for surface in self.layout.surfaces() {
            let outline = shapes::outline(surface);
            drawing.path(Stroke::Faint, outline.into_iter().map(|p| self.on_paper(p)));
        }
        let section = self.section();
        let back = section.normal * (CASE_MM * self.frame.denominator);
        let [bottom, top] = section.case;
        let band = [bottom, top, top - back, bottom - back];
        drawing.path(Stroke::Case, band.map(|p| self.on_paper(p)));
        let [bottom, top] = section.lit.map(|p| self.on_paper(p));
        drawing.line(Stroke::Lit, bottom, top);
        drawing.line(Stroke::Sight, eye, bottom);
        drawing.line(Stroke::Sight, eye, top);
        let middle = self.on_paper(self.facing.middle_mm());
        let beyond = self.frame.at(self.extent.max.x, 0.0).x.max(middle.x) + 6.0;
        drawing.line(Stroke::Axis, eye, DVec2::new(beyond, eye.y));

        let floor = self.floor();
        for x in [eye.x, middle.x] {
            let from = if x == eye.x {
                eye.y + 1.5
            } else {
                bottom.y.max(top.y)
            };
            drawing.line(
                Stroke::Leader,
                DVec2::new(x, from),
                DVec2::new(x, floor + 1.0),
            );
        }
        drawing.measure(DVec2::new(eye.x, floor), DVec2::new(middle.x, floor));
        if (middle.y - eye.y).abs() > 0.3 {
            let x = self.height_x();
            drawing.line(Stroke::Leader, middle, DVec2::new(x + 1.0, middle.y));
            drawing.measure(DVec2::new(x, eye.y), DVec2::new(x, middle.y));
        }
        let round = (0..=24).map(|step| {
            eye + DVec2::from_angle(std::f64::consts::PI * f64::from(step) / 12.0) * 1.5
        });
        drawing.path(Stroke::Eye, round);
    }

    /// Where the eye's height above the facing middle is measured.
    fn height_x(&self) -> f64 {
        self.on_paper(self.facing.middle_mm()).x + 4.0
    }

    pub(super) fn labels(&self, drawing: &mut Drawing) {
        let wish = |about: DVec2, at: DVec2, leads: bool| Wish {
            about,
            at,
            reach_mm: 30.0,
            area: self.area,
            leads,
        };
        let eye = self.frame.eye;
        let section = self.section();
        let middle = self.on_paper(self.facing.middle_mm());
        let seat = self.rig.seat();
        let put = |drawing: &mut Drawing, text: &str, cut: Cut, wish: Wish| {
            let label = drawing.label(text, cut, PLAIN_MM);
            place(drawing, label, wish);
        };

        let under = DVec2::new(f64::midpoint(eye.x, middle.x), self.floor());
        let text = self.units.length(seat.distance_mm);
        put(
            drawing,
            &text,
            Cut::Bold,
            wish(under, under + DVec2::Y * 2.2, false),
        );
        if seat.height_mm != 0.0 {
            let about = DVec2::new(self.height_x(), f64::midpoint(eye.y, middle.y));
            let text = self.units.length(seat.height_mm.abs());
            put(
                drawing,
                &text,
                Cut::Bold,
                wish(about, about + DVec2::X * 4.5, true),
            );
        }
        let panel = &self.rig.panels()[self.facing.id.panel];
        if panel.tilt_deg != 0.0 {
            let text = format!("tilt {}°", fixed(panel.tilt_deg, 1));
            let about = self.on_paper(section.lit[1]);
            put(
                drawing,
                &text,
                Cut::Regular,
                wish(about, about + DVec2::new(6.0, -3.0), true),
            );
        }
        for point in section.lit {
            let elevation = elevation(point);
            let way = if elevation < 0.0 { "down" } else { "up" };
            let text = format!("{}° {way}", degrees(elevation.abs(), 1));
            let about = eye.lerp(self.on_paper(point), 0.7);
            put(drawing, &text, Cut::Regular, wish(about, about, true));
        }
        let level = eye + DVec2::new(0.0, -3.2);
        put(drawing, "eye level", Cut::Regular, wish(eye, level, true));
    }
}
