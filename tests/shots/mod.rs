//! Photographs of marks, made up: a hand-held phone before a rig, worked out apart from
//! the program's camera.

#![allow(dead_code, reason = "each test file uses a part of it")]

use glam::{DMat3, DVec2, DVec3};
use throughline::geometry::Surface;
use throughline::marks::Sighting;
use throughline::photo::Photograph;
use throughline::rig::{Measure, Parts, Rig, Turn};

use crate::eyes::Chance;

/// A phone, and a hand that holds it, as one photograph has them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Phone {
    pub size_px: [u32; 2],
    /// In the seat frame of the rig as it stands.
    pub eye: DVec3,
    /// To the right, up and clockwise from straight ahead, in radians.
    pub look: [f64; 3],
    pub focal_px: f64,
    pub centre_px: DVec2,
    pub radial: [f64; 3],
    pub decentring: [f64; 2],
    pub drift_px: DVec2,
    pub noise_px: f64,
}

/// What the panels are besides what a rig file says.
#[derive(Debug, Clone)]
pub(crate) struct Glass {
    pub thick_mm: f64,
    /// Of each panel: along the width, the height, both.
    pub bow_mm: Vec<[f64; 3]>,
}

impl Phone {
    /// The same lens from elsewhere.
    pub(crate) fn at(self, eye: [f64; 3], look: [f64; 3]) -> Phone {
        Phone {
            eye: DVec3::from_array(eye),
            look,
            ..self
        }
    }

    /// A phone's main lens.
    pub(crate) fn usual() -> Phone {
        Phone {
            size_px: [4000, 3000],
            eye: DVec3::ZERO,
            look: [0.0; 3],
            focal_px: 2900.0,
            centre_px: DVec2::new(2013.0, 1491.0),
            radial: [0.07, -0.12, 0.05],
            decentring: [0.0006, -0.0004],
            drift_px: DVec2::new(1.6, -0.9),
            noise_px: 0.09,
        }
    }

    /// The three photographs that people are asked for, by chance a little elsewhere.
    pub(crate) fn three(chance: &mut Chance) -> Vec<Phone> {
        let places = [[0.0, 0.0, 0.0], [-350.0, 0.0, 250.0], [350.0, 0.0, 250.0]];
        let mut lens = Phone::usual();
        lens.radial[0] += 0.03 * chance.normal();
        lens.focal_px *= 1.0 + 0.05 * chance.normal();
        let mut shot = |place: [f64; 3], index: usize| {
            let mut near = |by: f64| by * chance.normal();
            let spread = if index == 0 { 0.0 } else { 30.0 };
            let eye = place.map(|value| value + near(spread));
            let look = [0.04, 0.03, 0.03].map(&mut near);
            Phone {
                focal_px: lens.focal_px * (1.0 + near(0.004)),
                centre_px: DVec2::new(2000.0 + near(20.0), 1500.0 + near(20.0)),
                drift_px: DVec2::new(near(1.5), near(1.5)),
                ..lens.at(eye, look)
            }
        };
        places
            .into_iter()
            .enumerate()
            .map(|(index, place)| shot(place, index))
            .collect()
    }

    fn camera_from_seat(&self) -> DMat3 {
        let [right, up, clockwise] = self.look;
        let ahead = DVec3::new(right.sin() * up.cos(), up.sin(), -right.cos() * up.cos());
        let side = DVec3::new(right.cos(), 0.0, right.sin());
        let down = ahead.cross(side);
        let (sin, cos) = clockwise.sin_cos();
        DMat3::from_cols(side * cos + down * sin, down * cos - side * sin, ahead).transpose()
    }

    /// Where the picture shows a point, if it does.
    pub(crate) fn px(&self, point: DVec3) -> Option<DVec2> {
        let seen = self.camera_from_seat() * (point - self.eye);
        let (x, y) = (seen.x / seen.z, seen.y / seen.z);
        let r = x.hypot(y);
        if seen.z <= 1.0 || r > 1.0 {
            return None;
        }
        let stretch = 1.0
            + self.radial[0] * r.powi(2)
            + self.radial[1] * r.powi(4)
            + self.radial[2] * r.powi(6);
        let [p1, p2] = self.decentring;
        let bent_x = x * stretch + 2.0 * p1 * x * y + p2 * (r * r + 2.0 * x * x);
        let bent_y = y * stretch + p1 * (r * r + 2.0 * y * y) + 2.0 * p2 * x * y;
        let u = self.focal_px * bent_x + self.centre_px.x;
        let v = self.focal_px * bent_y + self.centre_px.y;
        let read = v / f64::from(self.size_px[1]) - 0.5;
        let px = DVec2::new(u + self.drift_px.x * read, v + self.drift_px.y * read);
        let [w, h] = self.size_px.map(f64::from);
        let is_inside = (0.0..w).contains(&px.x) && (0.0..h).contains(&px.y);
        is_inside.then_some(px)
    }

    /// A photograph of a rig that stands so, every corner of a field of squares marked.
    pub(crate) fn shoot(&self, built: &Rig, glass: &Glass, chance: &mut Chance) -> Photograph {
        let mut sightings = Vec::new();
        for (panel, surface) in built.layout().surfaces().iter().enumerate() {
            let [columns, rows] = surface.pixels.map(|side| (side / 60.0) as u32);
            for (column, row) in (1..columns).flat_map(|c| (1..rows).map(move |r| (c, r))) {
                let panel_px = DVec2::new(f64::from(column), f64::from(row)) * 60.0;
                let out = glass.leaves(surface, panel, panel_px, self.eye);
                let Some(px) = self.px(out) else { continue };
                let noise = DVec2::new(chance.normal(), chance.normal()) * self.noise_px;
                sightings.push(Sighting {
                    panel,
                    panel_px,
                    photo_px: px + noise,
                    sigma_px: 0.1,
                });
            }
        }
        Photograph {
            size_px: self.size_px,
            sightings,
        }
    }
}

impl Glass {
    /// None, and no bow.
    pub(crate) fn none(rig: &Rig) -> Glass {
        Glass {
            thick_mm: 0.0,
            bow_mm: vec![[0.0; 3]; rig.panels().len()],
        }
    }

    /// As displays have it.
    pub(crate) fn usual(rig: &Rig, chance: &mut Chance) -> Glass {
        let mut bow = || {
            [
                0.3 * chance.normal(),
                0.2 * chance.normal(),
                0.15 * chance.normal(),
            ]
        };
        Glass {
            bow_mm: rig.panels().iter().map(|_| bow()).collect(),
            thick_mm: 0.3 + 0.9 * chance.share(),
        }
    }

    fn off(&self, surface: &Surface, panel: usize, at: DVec2) -> DVec3 {
        let (u, v) = (
            2.0 * at.x / surface.pixels[0] - 1.0,
            1.0 - 2.0 * at.y / surface.pixels[1],
        );
        let [a, b, c] = self.bow_mm[panel];
        let off = a * (u * u - 1.0 / 3.0) + b * (v * v - 1.0 / 3.0) + c * u * v;
        surface.point_px(at.x, at.y) + surface.normal(surface.s_at_px(at.x)) * off
    }

    /// Where the light leaves the glass: by Fermat's principle, the way that takes least
    /// time, sought by halving.
    fn leaves(&self, surface: &Surface, panel: usize, at: DVec2, eye: DVec3) -> DVec3 {
        let lit = self.off(surface, panel, at);
        let beside = |by: DVec2| self.off(surface, panel, at + by);
        let across = beside(DVec2::X) - beside(-DVec2::X);
        let up = beside(-DVec2::Y) - beside(DVec2::Y);
        let normal = across.cross(up).normalize();
        let to = eye - lit;
        let high = to.dot(normal);
        let flat = to - normal * high;
        let (away, way) = (flat.length(), flat.normalize_or_zero());
        let thick = self.thick_mm;
        // The slope of the time along the glass's face: rising to the right of the least.
        let slope = |x: f64| 1.5 * x / x.hypot(thick) - (away - x) / (away - x).hypot(high - thick);
        let (mut low, mut far) = (0.0, away.min(3.0 * thick));
        for _ in 0..60 {
            let middle = (low + far) / 2.0;
            if slope(middle) < 0.0 {
                low = middle;
            } else {
                far = middle;
            }
        }
        lit + normal * thick + way * if thick > 0.0 { low } else { 0.0 }
    }
}

/// How far files are off, and a rig that is off so, by chance: as the shares say.
pub(crate) fn stands_otherwise(file: &Rig, share: f64, chance: &mut Chance) -> Option<Rig> {
    let mut parts = with_folds(file.parts());
    let facing = parts.seat.view.panel;
    for measure in Measure::of_surfaces(&parts) {
        let value = measure.plain(&parts)?;
        let by = match measure.plain_path().rsplit('.').next()? {
            "width_mm" => 0.002 * value,
            "height_mm" if matches!(measure, Measure::Panel(..)) => 0.002 * value,
            "distance_mm" | "height_mm" => 15.0,
            "offset_mm" => 10.0,
            "fold_deg" => 2.0,
            "gap_mm" => 1.0,
            "step_mm" | "rise_mm" => 2.0,
            "curve_radius_mm" => 0.02 * value,
            "tilt_deg" if !is_of(measure, facing) => 1.0,
            "roll_deg" if !is_of(measure, facing) => 0.5,
            _ => 0.0,
        };
        if by > 0.0 {
            measure.put(&mut parts, value + share * by * chance.normal());
        }
    }
    Rig::new(parts).ok()
}

fn is_of(measure: Measure, panel: usize) -> bool {
    matches!(measure, Measure::Panel(index, _) if index == panel)
}

pub(crate) fn with_folds(parts: &Parts) -> Parts {
    let mut parts = parts.clone();
    for seam in 0..parts.seams.len() {
        parts.seams[seam].turn = Turn::FoldDeg(parts.fold_rad(seam).to_degrees());
    }
    parts
}
