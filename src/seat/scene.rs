//! The panels as they stand, in their cases, in a dark room.

use glam::DVec3;

use super::camera::{Camera, Ray};
use crate::geometry::{Layout, Surface};
use crate::light::Colour;
use crate::raster::Footprint;
use crate::rig::{Bezel, PxRect, Rig};

/// The case around the lit area: matt, a little lighter than a black picture.
pub const CASE: Colour = Colour([38, 39, 42]);
/// The case's outer rim, which catches some light.
pub const RIM: Colour = Colour([74, 76, 80]);
/// What is behind the panels.
pub const ROOM: Colour = Colour([13, 14, 17]);
/// Width of the rim.
const RIM_MM: f64 = 1.5;
/// How far beyond its own area a pixel is taken to be crossed by an edge, as
/// a part of its width: a hair more than half.
const CROSSED: f64 = 0.55;

/// One panel in its case.
#[derive(Debug, Clone)]
pub struct Screen {
    surface: Surface,
    /// Where the canvas shows its picture.
    pub lit: PxRect,
    /// Left, right, lower and upper edge of the lit area, in millimetres.
    glass: [f64; 4],
    /// The same of the case, the surface continued.
    case: [f64; 4],
    /// Least and greatest column and row that it may touch in the view.
    bounds: [f64; 4],
}

/// Where a ray meets a screen's surface.
#[derive(Debug, Clone, Copy)]
pub struct Meeting {
    /// Index of the screen.
    pub screen: usize,
    /// In lengths of the ray.
    distance: f64,
    s: f64,
    t: f64,
}

/// What a point of a screen is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The picture.
    Glass,
    /// The case around it.
    Case,
    /// The case's outer rim.
    Rim,
}

/// How a pixel relates to a screen.
enum Touch {
    /// It lies wholly beside it.
    Beside,
    /// It lies wholly on one part of it.
    On(Part),
    /// An edge crosses it.
    Edge,
}

/// What one pixel shows, as far as its middle and its size tell.
#[derive(Debug, Clone, Copy)]
pub enum Sight {
    /// Nothing but the room.
    Room,
    /// One part of one screen.
    Plain(Meeting, Part),
    /// An edge crosses the pixel.
    Edge,
}

/// The panels around an eye.
#[derive(Debug, Clone)]
pub struct Scene {
    eye: DVec3,
    screens: Vec<Screen>,
}

impl Scene {
    /// The panels of `built`, each showing its part of the canvas of `drawn`,
    /// seen from `eye` in the seat frame of `built`. Both rigs have the same
    /// panels in the same pixels.
    pub fn new(drawn: &Rig, built: &Rig, eye: DVec3) -> Scene {
        let layout = Layout::of(built);
        let screens = layout
            .surfaces()
            .iter()
            .zip(built.panels())
            .zip(&drawn.canvas().panels)
            .map(|((&surface, panel), &lit)| {
                let [half_w, half_h] = surface.size_mm.map(|mm| mm / 2.0);
                let glass = [-half_w, half_w, -half_h, half_h];
                let Bezel {
                    left,
                    right,
                    top,
                    bottom,
                } = panel.bezel_mm;
                Screen {
                    surface,
                    lit,
                    glass,
                    case: [
                        glass[0] - left,
                        glass[1] + right,
                        glass[2] - bottom,
                        glass[3] + top,
                    ],
                    bounds: [0.0, f64::INFINITY, 0.0, f64::INFINITY],
                }
            })
            .collect();
        Scene { eye, screens }
    }

    /// Points all around the cases, from the eye.
    pub fn outline(&self) -> Vec<DVec3> {
        let screens = self.screens.iter();
        screens.flat_map(|screen| screen.outline(self.eye)).collect()
    }

    /// Notes where the camera sees each screen, so that pixels elsewhere need
    /// not ask.
    pub fn bounded(mut self, camera: &Camera) -> Scene {
        let [w, h] = camera.size_px().map(f64::from);
        for screen in &mut self.screens {
            let everywhere = [0.0, w, 0.0, h];
            let outline = screen.outline(self.eye);
            let mut bounds = [f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY];
            for point in outline {
                let Some([x, y]) = camera.pixel(point) else {
                    bounds = everywhere;
                    break;
                };
                bounds[0] = bounds[0].min(x);
                bounds[1] = bounds[1].max(x);
                bounds[2] = bounds[2].min(y);
                bounds[3] = bounds[3].max(y);
            }
            // Between the outline's points a curve may reach a little farther;
            // a wide cylindrical view may show a screen at both its ends.
            let [dx, dy] = [bounds[1] - bounds[0], bounds[3] - bounds[2]];
            screen.bounds = if dx > w / 2.0 {
                everywhere
            } else {
                [
                    bounds[0] - 2.0 - dx * 0.05,
                    bounds[1] + 2.0 + dx * 0.05,
                    bounds[2] - 2.0 - dy * 0.05,
                    bounds[3] + 2.0 + dy * 0.05,
                ]
            };
        }
        self
    }

    /// The screens.
    pub fn screens(&self) -> &[Screen] {
        &self.screens
    }

    /// Indices of the screens that a row of the view may touch.
    pub fn in_row(&self, y: f64) -> Vec<usize> {
        (0..self.screens.len())
            .filter(|&i| (self.screens[i].bounds[2]..=self.screens[i].bounds[3]).contains(&y))
            .collect()
    }

    /// What a pixel whose middle has this ray shows; `x` is its column
    /// coordinate, `row` the screens in its row.
    pub fn sight(&self, ray: &Ray, x: f64, row: &[usize]) -> Sight {
        let mut nearest: Option<(Meeting, Part)> = None;
        for &index in row {
            let screen = &self.screens[index];
            if !(screen.bounds[0]..=screen.bounds[1]).contains(&x) {
                continue;
            }
            let Some(meeting) = self.meeting(index, ray.towards) else {
                continue;
            };
            match self.touch(&meeting, ray) {
                Touch::Beside => {}
                Touch::Edge => return Sight::Edge,
                Touch::On(part) => {
                    if nearest.is_none_or(|(known, _)| meeting.distance < known.distance) {
                        nearest = Some((meeting, part));
                    }
                }
            }
        }
        match nearest {
            Some((meeting, part)) => Sight::Plain(meeting, part),
            None => Sight::Room,
        }
    }

    /// The nearest screen that a ray meets, and the part of it.
    pub fn nearest(&self, towards: DVec3, row: &[usize]) -> Option<(Meeting, Part)> {
        let met = row.iter().filter_map(|&index| {
            let meeting = self.meeting(index, towards)?;
            let part = self.screens[index].part(meeting.s, meeting.t)?;
            Some((meeting, part))
        });
        met.min_by(|(one, _), (other, _)| one.distance.total_cmp(&other.distance))
    }

    /// Where a pixel looks into the canvas.
    pub fn footprint(&self, meeting: &Meeting, ray: &Ray) -> Footprint {
        let screen = &self.screens[meeting.screen];
        let surface = &screen.surface;
        let [pitch_x, pitch_y] = surface.pitch_mm();
        let [per_column, per_row] = self.changes(meeting, ray);
        Footprint {
            centre: [
                surface.px_at_s(meeting.s) + f64::from(screen.lit.x),
                surface.py_at_t(meeting.t) + f64::from(screen.lit.y),
            ],
            per_column: [per_column[0] / pitch_x, -per_column[1] / pitch_y],
            per_row: [per_row[0] / pitch_x, -per_row[1] / pitch_y],
        }
    }

    /// Where a ray meets the surface of a screen, or its continuation.
    pub fn meeting(&self, index: usize, towards: DVec3) -> Option<Meeting> {
        let surface = &self.screens[index].surface;
        let [s, t] = surface.hit_mm(self.eye, towards)?;
        let from_eye = surface.point_mm(s, t) - self.eye;
        Some(Meeting {
            screen: index,
            distance: from_eye.dot(towards) / towards.length_squared(),
            s,
            t,
        })
    }

    /// Change of s and t per column and per row of the view.
    fn changes(&self, meeting: &Meeting, ray: &Ray) -> [[f64; 2]; 2] {
        let surface = &self.screens[meeting.screen].surface;
        let [_, _, sin, cos] = surface.profile(meeting.s);
        let tangent = surface.x * cos + surface.z * sin;
        let normal = surface.z * cos - surface.x * sin;
        let against = ray.towards.dot(normal);
        // The point stays on the tangent plane: its distance changes along the ray.
        [ray.per_column, ray.per_row].map(|change| {
            let moved =
                (change - ray.towards * (change.dot(normal) / against)) * meeting.distance;
            [moved.dot(tangent), moved.dot(surface.y)]
        })
    }

    fn touch(&self, meeting: &Meeting, ray: &Ray) -> Touch {
        let screen = &self.screens[meeting.screen];
        let [per_column, per_row] = self.changes(meeting, ray);
        let reach_s = CROSSED * (per_column[0].abs() + per_row[0].abs());
        let reach_t = CROSSED * (per_column[1].abs() + per_row[1].abs());
        let case_s = Span::of(meeting.s, reach_s, screen.case[0], screen.case[1]);
        let case_t = Span::of(meeting.t, reach_t, screen.case[2], screen.case[3]);
        if case_s.is_outside() || case_t.is_outside() {
            return Touch::Beside;
        }
        let glass_s = Span::of(meeting.s, reach_s, screen.glass[0], screen.glass[1]);
        let glass_t = Span::of(meeting.t, reach_t, screen.glass[2], screen.glass[3]);
        if glass_s.is_inside() && glass_t.is_inside() {
            return Touch::On(Part::Glass);
        }
        let inner = screen.inside_rim();
        let inner_s = Span::of(meeting.s, reach_s, inner[0], inner[1]);
        let inner_t = Span::of(meeting.t, reach_t, inner[2], inner[3]);
        let is_off_glass = glass_s.is_outside() || glass_t.is_outside();
        if is_off_glass && inner_s.is_inside() && inner_t.is_inside() {
            return Touch::On(Part::Case);
        }
        Touch::Edge
    }
}

impl Screen {
    /// Linear light of a part that shows no picture.
    pub fn light(part: Part) -> [f32; 3] {
        match part {
            Part::Glass => [0.0; 3],
            Part::Case => CASE.linear(),
            Part::Rim => RIM.linear(),
        }
    }

    /// The case without its rim.
    fn inside_rim(&self) -> [f64; 4] {
        let [left, right, low, high] = self.case;
        let rim = |edge: f64, glass: f64| RIM_MM.min((edge - glass).abs());
        [
            left + rim(left, self.glass[0]),
            right - rim(right, self.glass[1]),
            low + rim(low, self.glass[2]),
            high - rim(high, self.glass[3]),
        ]
    }

    fn part(&self, s: f64, t: f64) -> Option<Part> {
        let within = |[left, right, low, high]: [f64; 4]| {
            (left..=right).contains(&s) && (low..=high).contains(&t)
        };
        if !within(self.case) {
            None
        } else if within(self.glass) {
            Some(Part::Glass)
        } else if within(self.inside_rim()) {
            Some(Part::Case)
        } else {
            Some(Part::Rim)
        }
    }

    fn outline(&self, eye: DVec3) -> Vec<DVec3> {
        let [left, right, low, high] = self.case;
        let steps = 16;
        let at = |from: f64, to: f64, i: u32| from + (to - from) * f64::from(i) / f64::from(steps);
        let along = (0..=steps).flat_map(|i| [(at(left, right, i), low), (at(left, right, i), high)]);
        let up = (0..=steps).flat_map(|i| [(left, at(low, high, i)), (right, at(low, high, i))]);
        along
            .chain(up)
            .map(|(s, t)| self.surface.point_mm(s, t) - eye)
            .collect()
    }
}

/// Where a stretch lies between two edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Span {
    Inside,
    Across,
    Outside,
}

impl Span {
    fn of(middle: f64, reach: f64, from: f64, to: f64) -> Span {
        if middle - reach >= from && middle + reach <= to {
            Span::Inside
        } else if middle + reach <= from || middle - reach >= to {
            Span::Outside
        } else {
            Span::Across
        }
    }

    fn is_inside(self) -> bool {
        self == Span::Inside
    }

    fn is_outside(self) -> bool {
        self == Span::Outside
    }
}
