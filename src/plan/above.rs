//! The rig from above: panels, the eye, what it sees from where.

use std::f64::consts::PI;

use glam::{DVec2, DVec3};

use super::drawing::{Drawing, PLAIN_MM, PaperRect, Stroke};
use super::placing::{Wish, place};
use super::scale::{Extent, Frame};
use super::shapes;
use crate::geometry::{Layout, LitEdge, Surface, View, azimuth};
use crate::rig::Rig;
use crate::sheet::Units;
use crate::sheet::units::{degrees, fixed};
use crate::typeset::Cut;

/// Depth of the cases on the paper; the rig file doesn't know theirs.
const CASE_MM: f64 = 1.3;
/// How far outside the panels dark gaps are measured, on the paper.
const OUTSIDE_MM: f64 = 3.4;
/// Radius of the arcs of folds, and of the arc about the eye, on the paper.
const FOLD_ARC_MM: f64 = 10.0;
const EYE_ARC_MM: f64 = 7.0;
/// Most panels whose every number is written beside them.
pub(super) const MOST_DETAILED: usize = 12;

/// What the part shows, x to the right and y backwards.
pub(super) fn extent(rig: &Rig, layout: &Layout) -> Extent {
    let mut extent = Extent::eye();
    for (surface, panel) in layout.surfaces().iter().zip(rig.panels()) {
        for point in shapes::case_front(surface, panel) {
            extent.add(DVec2::new(point.x, point.z));
        }
    }
    extent
}

/// A rig being drawn from above.
pub(super) struct Above<'a> {
    pub rig: &'a Rig,
    pub layout: &'a Layout,
    pub views: &'a [View],
    pub frame: Frame,
    pub area: PaperRect,
    pub units: Units,
}

impl Above<'_> {
    fn on_paper(&self, point: DVec3) -> DVec2 {
        self.frame.at(point.x, point.z)
    }

    /// From the eye outwards, on the paper.
    fn outwards(&self, at: DVec2) -> DVec2 {
        (at - self.frame.eye).normalize_or(DVec2::NEG_Y)
    }

    pub(super) fn strokes(&self, drawing: &mut Drawing) {
        let eye = self.frame.eye;
        for surface in self.layout.surfaces() {
            for edge in edges(surface) {
                drawing.line(Stroke::Sight, eye, self.on_paper(edge));
            }
        }
        for view in self.views {
            drawing.line(Stroke::Axis, eye, self.on_paper(view.middle_mm()));
        }
        let depth_mm = CASE_MM * self.frame.denominator;
        for (surface, panel) in self.layout.surfaces().iter().zip(self.rig.panels()) {
            let band = shapes::case_band(surface, panel, depth_mm);
            drawing.path(Stroke::Case, band.into_iter().map(|p| self.on_paper(p)));
            let lit = shapes::lit(surface, 0.0);
            drawing.path(Stroke::Lit, lit.into_iter().map(|p| self.on_paper(p)));
        }
        for view in self.views.iter().filter(|view| view.id.view > 0) {
            let (at, normal) = (view.point_mm(0.0, 0.5), view.surface.normal(view.s_mm(0.0)));
            let reach = normal * (CASE_MM * self.frame.denominator);
            let ends = [at + reach, at - reach].map(|p| self.on_paper(p));
            drawing.line(Stroke::Measure, ends[0], ends[1]);
        }
        for seam in 0..self.rig.seams().len() {
            self.dark(drawing, seam);
            self.fold(drawing, seam);
        }
        self.eye(drawing);
    }

    /// The measured gap between two lit edges, drawn outside the cases.
    fn dark(&self, drawing: &mut Drawing, seam: usize) {
        let edges = self.seam_edges(seam);
        let out = self.outwards((edges[0] + edges[1]) / 2.0) * OUTSIDE_MM;
        for edge in edges {
            drawing.line(Stroke::Leader, edge, edge + out * 1.25);
        }
        drawing.measure(edges[0] + out, edges[1] + out);
    }

    /// The two lit edges of a seam, on the paper.
    fn seam_edges(&self, seam: usize) -> [DVec2; 2] {
        let [left, right] = self.layout.seam(seam);
        [edges(left)[1], edges(right)[0]].map(|edge| self.on_paper(edge))
    }

    /// The left surface's tangent drawn on, and the arc from there to the right
    /// surface's.
    fn fold(&self, drawing: &mut Drawing, seam: usize) {
        let fold = self.rig.parts().fold_rad(seam);
        if fold.abs() < PI / 180.0 {
            return;
        }
        let [left, right] = self.layout.seam(seam);
        let edges = self.seam_edges(seam);
        let tangent = |surface: &Surface, edge: LitEdge| {
            let tangent = surface.tangent(surface.edge_s_mm(edge));
            DVec2::new(tangent.x, tangent.z).normalize_or(DVec2::X)
        };
        let (along, onward) = (tangent(left, LitEdge::Right), tangent(right, LitEdge::Left));
        // Where the two tangents meet, unless a step keeps them far apart.
        let across = along.perp_dot(onward);
        let way = (edges[1] - edges[0]).perp_dot(onward) / across;
        let corner = if way.is_finite() && way.abs() < FOLD_ARC_MM {
            edges[0] + along * way
        } else {
            (edges[0] + edges[1]) / 2.0
        };
        drawing.line(
            Stroke::Leader,
            corner,
            corner + along * (FOLD_ARC_MM * 1.15),
        );
        let turn = along.angle_to(onward);
        let arc = (0..=16).map(|step| {
            let turned = DVec2::from_angle(turn * f64::from(step) / 16.0).rotate(along);
            corner + turned * FOLD_ARC_MM
        });
        drawing.path(Stroke::Measure, arc);
    }

    /// The eye, looking ahead, and the arc of all it sees of the rig.
    fn eye(&self, drawing: &mut Drawing) {
        let eye = self.frame.eye;
        let [from, to] = self.span();
        let arc = (0..=64).map(|step| {
            let azimuth = from + (to - from) * f64::from(step) / 64.0;
            eye + DVec2::new(azimuth.sin(), -azimuth.cos()) * EYE_ARC_MM
        });
        drawing.path(Stroke::Measure, arc);
        let round = (0..=24).map(|step| eye + DVec2::from_angle(PI * f64::from(step) / 12.0) * 1.5);
        drawing.path(Stroke::Eye, round);
    }

    /// Azimuths of the first panel's left edge and of the last one's right
    /// edge, followed along the panels.
    fn span(&self) -> [f64; 2] {
        let turn_to = |from: f64, to: f64| {
            let turn = to - from;
            from + turn - 2.0 * PI * (turn / (2.0 * PI)).round()
        };
        let mut points = self.layout.surfaces().iter().flat_map(|surface| {
            let [start, end] = edges(surface);
            [start, surface.middle, end]
        });
        let first = points.next().map_or(0.0, azimuth);
        let last = points.fold(first, |followed, point| turn_to(followed, azimuth(point)));
        [first, last]
    }

    pub(super) fn labels(&self, drawing: &mut Drawing) {
        let detailed = self.rig.panels().len() <= MOST_DETAILED;
        if detailed {
            for seam in 0..self.rig.seams().len() {
                self.seam_label(drawing, seam);
            }
        }
        for panel in 0..self.rig.panels().len() {
            self.panel_label(drawing, panel, detailed);
        }
        self.eye_label(drawing);
        if detailed {
            self.distance_labels(drawing);
            self.azimuth_labels(drawing);
        }
    }

    fn wish(&self, about: DVec2, at: DVec2, reach_mm: f64) -> Wish {
        Wish {
            about,
            at,
            reach_mm,
            area: self.area,
            leads: true,
        }
    }

    fn seam_label(&self, drawing: &mut Drawing, seam: usize) {
        let parts = self.rig.parts();
        let mut lines = vec![
            format!("angle {}°", degrees(parts.angle_rad(seam), 1)),
            format!("fold {}°", degrees(parts.fold_rad(seam), 1)),
            format!("dark {}", self.units.length(self.layout.dark_mm(seam))),
            format!(
                "outer edges {}",
                self.units.length(self.layout.outer_mm(seam))
            ),
        ];
        let this = &self.rig.seams()[seam];
        lines.push(format!("gap {}", self.units.length(this.gap_mm)));
        for (value, name) in [(this.step_mm, "step"), (this.rise_mm, "rise")] {
            if value != 0.0 {
                lines.push(format!("{name} {}", self.units.length(value)));
            }
        }
        let label = drawing.label(&lines.join("\n"), Cut::Regular, PLAIN_MM);
        let edges = self.seam_edges(seam);
        let middle = (edges[0] + edges[1]) / 2.0;
        let out = self.outwards(middle);
        let wish = self.wish(middle + out * OUTSIDE_MM, middle + out * 16.0, 60.0);
        place(drawing, label, wish);
    }

    fn panel_label(&self, drawing: &mut Drawing, index: usize, detailed: bool) {
        let panel = &self.rig.panels()[index];
        let surface = &self.layout.surfaces()[index];
        let mut lines = vec![named(index, &panel.name)];
        if detailed {
            let [width, height] = panel.size_mm().map(|mm| self.units.length(mm));
            lines.push(format!("lit {width} x {height}"));
            let bezel = panel.bezel_mm;
            let [left, right] = [bezel.left, bezel.right].map(|mm| self.units.length(mm));
            lines.push(format!("bezels {left} left, {right} right"));
            if let Some(radius) = panel.curve_radius_mm {
                lines.push(format!("curved, radius {}", self.units.length(radius)));
            }
            for (value, name) in [(panel.tilt_deg, "tilt"), (panel.roll_deg, "roll")] {
                if value != 0.0 {
                    lines.push(format!("{name} {}°", fixed(value, 1)));
                }
            }
        }
        let label = drawing.label(&lines.join("\n"), Cut::Regular, PLAIN_MM);
        // Behind the case, a little aside of its middle axis.
        let middle = self.on_paper(surface.middle);
        let normal = DVec2::new(-surface.z.x, -surface.z.z).normalize_or(DVec2::NEG_Y);
        let size = label.rect.max - label.rect.min;
        let clear = (normal.x.abs() * size.x + normal.y.abs() * size.y) / 2.0;
        let back = middle + normal * CASE_MM;
        let wish = self.wish(back, back + normal * (clear + 1.5), 60.0);
        place(drawing, label, wish);
    }

    fn eye_label(&self, drawing: &mut Drawing) {
        let seat = self.rig.seat();
        let [from, to] = self.span();
        let mut lines = vec![format!("eye: sees {}° of panels", degrees(to - from, 1))];
        let off = |mm: f64, more: &str, less: &str| {
            let way = if mm > 0.0 { more } else { less };
            format!("{} {way} facing middle", self.units.length(mm.abs()))
        };
        if seat.offset_mm != 0.0 {
            lines.push(off(seat.offset_mm, "right of", "left of"));
        }
        if seat.height_mm != 0.0 {
            lines.push(off(seat.height_mm, "above", "below"));
        }
        let label = drawing.label(&lines.join("\n"), Cut::Regular, PLAIN_MM);
        let eye = self.frame.eye;
        let size = label.rect.max - label.rect.min;
        let wish = self.wish(eye, eye + DVec2::Y * (2.5 + size.y / 2.0), 60.0);
        place(drawing, label, wish);
    }

    fn distance_labels(&self, drawing: &mut Drawing) {
        for view in self.views {
            let middle = view.middle_mm();
            let text = self.units.length(middle.length());
            let label = drawing.label(&text, Cut::Bold, PLAIN_MM);
            let at = self.frame.eye.lerp(self.on_paper(middle), 0.58);
            place(drawing, label, self.wish(at, at, 30.0));
        }
    }

    /// Beside each line of sight to a lit edge, on its panel's own side.
    fn azimuth_labels(&self, drawing: &mut Drawing) {
        for surface in self.layout.surfaces() {
            for (edge, inwards) in edges(surface).into_iter().zip([1.0, -1.0]) {
                let azimuth = azimuth(edge);
                let way = if azimuth < 0.0 { "left" } else { "right" };
                let text = format!("{}° {way}", degrees(azimuth.abs(), 1));
                let label = drawing.label(&text, Cut::Regular, PLAIN_MM);
                let end = self.on_paper(edge);
                let aside = self.outwards(end).perp() * inwards;
                let size = label.rect.max - label.rect.min;
                let clear = (aside.x.abs() * size.x + aside.y.abs() * size.y) / 2.0 + 0.5;
                let about = self.frame.eye.lerp(end, 0.84);
                place(
                    drawing,
                    label,
                    self.wish(about, about + aside * clear, 30.0),
                );
            }
        }
    }
}

/// The middles of a surface's left and right lit edges.
fn edges(surface: &Surface) -> [DVec3; 2] {
    LitEdge::BOTH.map(|edge| surface.point_mm(surface.edge_s_mm(edge), 0.0))
}

/// A panel's number from the left, and its name.
pub(super) fn named(index: usize, name: &str) -> String {
    const MOST: usize = 24;
    let mut short: String = name.chars().take(MOST).collect();
    if name.chars().count() > MOST {
        short.push('…');
    }
    format!("{} {short}", index + 1)
}
