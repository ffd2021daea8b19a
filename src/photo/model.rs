//! What is unknown while photographs are explained, and the scene that it makes.

use glam::{DMat3, DQuat, DVec2, DVec3};

use super::camera::{Camera, Lens};
use super::screen::Screen;
use crate::least_squares::Unknown;
use crate::parts::{Measure, SeatQuantity};
use crate::solve::Space;

/// What a step of 1 is, and what the value is uncertain by beforehand, 1σ; `None` where
/// nothing is known.
#[derive(Debug, Clone, Copy)]
struct Scale {
    step: f64,
    sigma: Option<f64>,
}

const fn known(step: f64, sigma: f64) -> Scale {
    Scale {
        step,
        sigma: Some(sigma),
    }
}

const fn open(step: f64) -> Scale {
    Scale { step, sigma: None }
}

// Usual of phones and displays: common practice.
/// Millimetres of glass over the pixels.
const GLASS_MM: f64 = 0.8;
const GLASS: Scale = known(0.2, 0.5);
const RADIAL: [Scale; 3] = [known(0.03, 0.3), known(0.05, 0.5), known(0.05, 0.5)];
const DECENTRING: Scale = known(0.001, 0.005);
const BOW: [Scale; 5] = [
    known(0.1, 0.5),
    known(0.1, 0.5),
    known(0.1, 0.3),
    known(0.1, 0.15),
    known(0.1, 0.15),
];
const DRIFT_PX: Scale = known(1.0, 4.0);
/// Shares of the longer side.
const CENTRE: Scale = known(0.002, 0.01);
const TURN_RAD: Scale = open(1e-3);
const EYE_MM: Scale = open(1.0);
/// Of the focal length's logarithm: what all photographs have in common, and what each has
/// of its own, where it may be zoomed a little and where it is focused only. Thin lens: one
/// of 6 mm is drawn out by 0.5 % for a distance of 1.2 m, by 1 % for 0.6 m.
const FOCAL: Scale = open(1e-3);
const OWN_FOCAL: Scale = known(1e-3, 0.1);
const FOCUS: f64 = 0.005;

/// Surfaces, a lens, and one camera a photograph.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scene {
    pub(super) screens: Vec<Screen>,
    pub(super) lens: Lens,
    pub(super) cameras: Vec<Camera>,
}

impl Scene {
    /// Where a photograph shows a panel's pixel coordinate; not a number behind the lens.
    pub(super) fn px(&self, photo: usize, panel: usize, panel_px: DVec2) -> DVec2 {
        let camera = &self.cameras[photo];
        let out = self.screens[panel].leaves_glass(panel_px, camera.eye);
        camera.px_or_nan(&self.lens, out)
    }
}

/// In longer sides of the picture.
fn focal(camera: &Camera) -> f64 {
    camera.focal_px / camera.size_px.max_element()
}

/// The unknowns as steps: the rig's numbers around its file, then glass, lens and bows,
/// then each photograph's own.
///
/// The frame is the seat frame of the file: its facing view stays where the file has it,
/// and the numbers of the seat say where the eye's photograph was taken from.
#[derive(Debug)]
pub(super) struct Model {
    pub(super) space: Space,
    /// Distance, height and offset, in the space.
    seat: Option<[usize; 3]>,
    eye: Option<usize>,
    starts: Vec<Camera>,
    /// The focal length that the starts have in common, in longer sides.
    focal: f64,
    scales: Vec<Scale>,
}

/// The place where a run of unknowns is read.
struct Cursor<'a> {
    steps: &'a [f64],
    scales: &'a [Scale],
}

impl Cursor<'_> {
    fn next(&mut self) -> f64 {
        let (Some((step, steps)), Some((scale, scales))) =
            (self.steps.split_first(), self.scales.split_first())
        else {
            return 0.0;
        };
        (self.steps, self.scales) = (steps, scales);
        step * scale.step
    }

    fn many<const N: usize>(&mut self) -> [f64; N] {
        std::array::from_fn(|_| self.next())
    }
}

impl Model {
    /// Of photographs whose cameras stand about so; `eye` is taken from where the eye is,
    /// and the space has the numbers of the seat then.
    pub(super) fn new(space: Space, starts: Vec<Camera>, eye: Option<usize>) -> Model {
        let place = |what| {
            let mut measures = space.priors.measures().iter();
            measures.position(|measure| *measure == Measure::Seat(what))
        };
        let seat = (|| {
            Some([
                place(SeatQuantity::Distance)?,
                place(SeatQuantity::Height)?,
                place(SeatQuantity::Offset)?,
            ])
        })();
        let panels = space.placed(&vec![0.0; space.count()]).surfaces().len();
        let focal = starts.iter().map(|start| focal(start).ln()).sum::<f64>();
        let focal = (focal / starts.len().max(1) as f64).exp();
        let mut scales = vec![GLASS];
        scales.extend(RADIAL);
        scales.extend([DECENTRING; 2]);
        scales.extend((0..panels).flat_map(|_| BOW));
        scales.push(FOCAL);
        for (photo, camera) in starts.iter().enumerate() {
            scales.extend([TURN_RAD; 3]);
            if Some(photo) != eye {
                scales.extend([EYE_MM; 3]);
            }
            let side = camera.size_px.max_element();
            let centre = known(
                CENTRE.step * side,
                CENTRE.sigma.map_or(side, |share| share * side),
            );
            scales.extend([OWN_FOCAL, centre, centre, DRIFT_PX, DRIFT_PX]);
        }
        Model {
            seat: seat.filter(|_| eye.is_some()),
            eye,
            starts,
            focal,
            scales,
            space,
        }
    }

    /// Where a photograph's own share of the focal length stands among the steps.
    fn own_focal(&self, photo: usize) -> Option<usize> {
        const BEFORE_LAST: usize = 5;
        let of_photo = self.of_photo(photo);
        let place = of_photo.len().checked_sub(BEFORE_LAST)?;
        of_photo.get(place).copied()
    }

    /// Has the photographs differ in focal length by no more than focusing makes, or some
    /// of them by whatever they do.
    pub(super) fn with_focus(mut self, is_free: impl Fn(usize) -> bool) -> Model {
        for photo in 0..self.starts.len() {
            if let Some(place) = self.own_focal(photo) {
                let scale = &mut self.scales[place - self.space.count()];
                scale.sigma = if is_free(photo) {
                    OWN_FOCAL.sigma
                } else {
                    Some(FOCUS)
                };
            }
        }
        self
    }

    /// How far a photograph's focal length is from that of all, in what focusing makes.
    pub(super) fn focus(&self, steps: &[f64], photo: usize) -> f64 {
        let place = self.own_focal(photo);
        place.map_or(0.0, |place| steps[place] * OWN_FOCAL.step / FOCUS)
    }

    /// As the file and the cameras' starts have it.
    pub(super) fn start(&self) -> Vec<f64> {
        let mut steps = vec![0.0; self.space.count() + self.scales.len()];
        for (photo, start) in self.starts.iter().enumerate() {
            if let Some(place) = self.own_focal(photo) {
                steps[place] = (focal(start) / self.focal).ln() / OWN_FOCAL.step;
            }
        }
        if let (Some(seat), Some(eye)) = (self.seat, self.eye) {
            let at = self.starts[eye].eye;
            for (place, value) in seat.into_iter().zip([at.z, at.y, at.x]) {
                steps[place] = value / self.space.scale[place];
            }
        }
        steps
    }

    /// The steps of the rig's numbers alone.
    pub(super) fn of_rig<'a>(&self, steps: &'a [f64]) -> &'a [f64] {
        &steps[..self.space.count()]
    }

    /// Which unknowns move what a photograph shows.
    pub(super) fn of_photo(&self, photo: usize) -> Vec<usize> {
        let lengths: Vec<usize> = (0..self.starts.len())
            .map(|other| if Some(other) == self.eye { 8 } else { 11 })
            .collect();
        let all = self.space.count() + self.scales.len();
        let shared = all - lengths.iter().sum::<usize>();
        let first = shared + lengths[..photo].iter().sum::<usize>();
        (0..shared).chain(first..first + lengths[photo]).collect()
    }

    /// What the photographs are of.
    pub(super) fn scene(&self, steps: &[f64]) -> Scene {
        let mut of_panels = self.of_rig(steps).to_vec();
        let mut at_eye = DVec3::ZERO;
        if let Some(seat) = self.seat {
            let [z, y, x] = seat.map(|place| of_panels[place] * self.space.scale[place]);
            at_eye = DVec3::new(x, y, z);
            for place in seat {
                of_panels[place] = 0.0;
            }
        }
        let mut rest = Cursor {
            steps: &steps[of_panels.len()..],
            scales: &self.scales,
        };
        let glass_mm = GLASS_MM + rest.next();
        let lens = Lens {
            radial: rest.many(),
            decentring: rest.many(),
        };
        let layout = self.space.placed(&of_panels);
        let screens = layout.surfaces().iter().map(|surface| Screen {
            surface: *surface,
            bow_mm: rest.many(),
            glass_mm,
        });
        let screens = screens.collect();
        let focal = self.focal * rest.next().exp();
        let cameras = self.starts.iter().enumerate().map(|(photo, start)| {
            let turn = DQuat::from_scaled_axis(DVec3::from_array(rest.many()));
            let eye = if self.eye == Some(photo) && self.seat.is_some() {
                at_eye
            } else if self.eye == Some(photo) {
                start.eye
            } else {
                start.eye + DVec3::from_array(rest.many())
            };
            Camera {
                size_px: start.size_px,
                eye,
                camera_from_seat: DMat3::from_quat(turn) * start.camera_from_seat,
                focal_px: start.size_px.max_element() * focal * rest.next().exp(),
                centre_px: start.centre_px + DVec2::from_array(rest.many()),
                drift_px: start.drift_px + DVec2::from_array(rest.many()),
            }
        });
        let cameras = cameras.collect();
        Scene {
            screens,
            lens,
            cameras,
        }
    }

    /// The range of each step.
    pub(super) fn unknowns(&self, start: &[f64]) -> Vec<Unknown> {
        let mut unknowns = self.space.unknowns(self.of_rig(start));
        let rest = start[unknowns.len()..].iter().enumerate();
        unknowns.extend(rest.map(|(index, &start)| Unknown {
            start,
            // No glass is thinner than none.
            min: if index == 0 {
                -GLASS_MM / GLASS.step
            } else {
                f64::NEG_INFINITY
            },
            max: f64::INFINITY,
        }));
        unknowns
    }

    /// How unusual the steps are: as many figures as something is known of, each of
    /// variance 1.
    pub(super) fn unusual(&self, steps: &[f64], into: &mut Vec<f64>) {
        self.space.unusual(self.of_rig(steps), into);
        let rest = steps[self.space.count()..].iter().zip(&self.scales);
        into.extend(rest.filter_map(|(step, scale)| Some(step * scale.step / scale.sigma?)));
    }
}
