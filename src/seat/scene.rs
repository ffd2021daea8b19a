//! The panels as they stand, in their cases, in a dark room.

use glam::DVec3;

use super::camera::{Camera, Ray};
use crate::geometry::Surface;
use crate::light::Colour;
use crate::raster::Footprint;
use crate::rig::{Bezel, PxRect, Rig};

/// The case around the lit area: matt, a little lighter than a black picture.
pub(super) const CASE: Colour = Colour([38, 39, 42]);
/// The case's outer rim, which catches some light.
pub(super) const RIM: Colour = Colour([74, 76, 80]);
/// What is behind the panels.
pub(super) const ROOM: Colour = Colour([13, 14, 17]);
/// Width of the rim.
const RIM_MM: f64 = 1.5;
/// How far beyond its own area a pixel is taken to be crossed by an edge, as
/// a part of its width: a hair more than half.
const CROSSED: f64 = 0.55;

/// One panel in its case.
#[derive(Debug, Clone)]
pub struct LitPanel {
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
    tangent: DVec3,
    normal: DVec3,
}

/// Change of a meeting's s and t per column and per row of the view.
#[derive(Debug, Clone, Copy)]
pub(super) struct Changes {
    per_column: [f64; 2],
    per_row: [f64; 2],
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
    /// The picture of one screen.
    Picture(usize, Footprint),
    /// A part of a screen that shows no picture.
    Plain(Part),
    /// An edge crosses the pixel.
    Edge,
}

/// The panels around an eye.
#[derive(Debug, Clone)]
pub struct Scene {
    eye: DVec3,
    screens: Vec<LitPanel>,
}

impl Scene {
    /// The panels of `built`, each showing its part of the canvas of `drawn`,
    /// seen from `eye` in the seat frame of `built`. Both rigs have the same
    /// panels in the same pixels.
    pub fn new(drawn: &Rig, built: &Rig, eye: DVec3) -> Scene {
        let layout = built.layout();
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
                LitPanel {
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
        screens
            .flat_map(|screen| screen.outline(self.eye))
            .collect()
    }

    /// Indices of the screens that a camera doesn't show whole.
    pub fn cut_off(&self, camera: &Camera) -> Vec<usize> {
        let is_cut = |screen: &LitPanel| {
            let outline = screen.outline(self.eye);
            outline.iter().any(|&point| !camera.shows(point))
        };
        let screens = self.screens.iter().enumerate();
        screens
            .filter_map(|(index, screen)| is_cut(screen).then_some(index))
            .collect()
    }

    /// Notes where the camera sees each screen, so that pixels elsewhere need
    /// not ask.
    pub fn bounded(mut self, camera: &Camera) -> Scene {
        let [w, h] = camera.size_px().map(f64::from);
        for screen in &mut self.screens {
            let everywhere = [0.0, w, 0.0, h];
            let outline = screen.outline(self.eye);
            let mut bounds = [
                f64::INFINITY,
                f64::NEG_INFINITY,
                f64::INFINITY,
                f64::NEG_INFINITY,
            ];
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
    pub fn screens(&self) -> &[LitPanel] {
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
        let mut nearest: Option<(Meeting, Changes, Part)> = None;
        for &index in row {
            let screen = &self.screens[index];
            if !(screen.bounds[0]..=screen.bounds[1]).contains(&x) {
                continue;
            }
            let Some(meeting) = self.meeting(index, ray.towards) else {
                continue;
            };
            let changes = self.changes(&meeting, ray);
            match screen.touch(&meeting, &changes) {
                Touch::Beside => {}
                Touch::Edge => return Sight::Edge,
                Touch::On(part) => {
                    if nearest.is_none_or(|(known, ..)| meeting.distance < known.distance) {
                        nearest = Some((meeting, changes, part));
                    }
                }
            }
        }
        match nearest {
            Some((meeting, changes, Part::Glass)) => {
                let screen = &self.screens[meeting.screen];
                Sight::Picture(meeting.screen, screen.footprint(&meeting, &changes))
            }
            Some((.., part)) => Sight::Plain(part),
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

    /// Where a pixel looks into the canvas, if it sees nothing but this screen;
    /// `None` where its ray doesn't meet the screen's surface.
    pub fn footprint(&self, screen: usize, ray: &Ray) -> Option<Footprint> {
        let meeting = self.meeting(screen, ray.towards)?;
        let changes = self.changes(&meeting, ray);
        Some(self.screens[screen].footprint(&meeting, &changes))
    }

    fn meeting(&self, index: usize, towards: DVec3) -> Option<Meeting> {
        let surface = &self.screens[index].surface;
        let [s, t] = surface.hit_mm(self.eye, towards)?;
        let [right, forward, sin, cos] = surface.profile(s);
        let point = surface.middle + surface.x * right + surface.z * forward + surface.y * t;
        Some(Meeting {
            screen: index,
            distance: (point - self.eye).dot(towards) / towards.length_squared(),
            s,
            t,
            tangent: surface.x * cos + surface.z * sin,
            normal: surface.z * cos - surface.x * sin,
        })
    }

    fn changes(&self, meeting: &Meeting, ray: &Ray) -> Changes {
        let up = self.screens[meeting.screen].surface.y;
        let against = ray.towards.dot(meeting.normal);
        // The point stays on the tangent plane: its distance changes along the ray.
        let along = |change: DVec3| {
            let moved = change - ray.towards * (change.dot(meeting.normal) / against);
            [
                moved.dot(meeting.tangent) * meeting.distance,
                moved.dot(up) * meeting.distance,
            ]
        };
        Changes {
            per_column: along(ray.per_column),
            per_row: along(ray.per_row),
        }
    }
}

impl LitPanel {
    fn footprint(&self, meeting: &Meeting, changes: &Changes) -> Footprint {
        let [pitch_x, pitch_y] = self.surface.pitch_mm();
        let Changes {
            per_column,
            per_row,
        } = changes;
        Footprint {
            centre: [
                self.surface.px_at_s(meeting.s) + f64::from(self.lit.x),
                self.surface.py_at_t(meeting.t) + f64::from(self.lit.y),
            ],
            per_column: [per_column[0] / pitch_x, -per_column[1] / pitch_y],
            per_row: [per_row[0] / pitch_x, -per_row[1] / pitch_y],
        }
    }

    fn touch(&self, meeting: &Meeting, changes: &Changes) -> Touch {
        let reach = |i: usize| CROSSED * (changes.per_column[i].abs() + changes.per_row[i].abs());
        let (reach_s, reach_t) = (reach(0), reach(1));
        let spans = |[left, right, low, high]: [f64; 4]| {
            [
                Span::of(meeting.s, reach_s, left, right),
                Span::of(meeting.t, reach_t, low, high),
            ]
        };
        let glass = spans(self.glass);
        if glass == [Span::Inside; 2] {
            return Touch::On(Part::Glass);
        }
        if spans(self.case).contains(&Span::Outside) {
            return Touch::Beside;
        }
        if glass.contains(&Span::Outside) && spans(self.inside_rim()) == [Span::Inside; 2] {
            return Touch::On(Part::Case);
        }
        Touch::Edge
    }

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
        let along =
            (0..=steps).flat_map(|i| [(at(left, right, i), low), (at(left, right, i), high)]);
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
}
