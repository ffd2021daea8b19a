//! Photographs to be explained together: roughly, which of them is odd, exactly.

use rayon::prelude::*;

use super::bundle::{Bundle, Mark, Marks};
use super::camera::Camera;
use super::measure::{space, spread};
use super::model::{Model, Scene};
use super::photograph::{FEWEST_MARKS, Photograph, Reason};
use crate::rig::Rig;

/// Marks of a panel in a photograph that are gone by at first, and in the end: more
/// lower no error that matters, since it is the lens and the panels that limit it.
pub(super) const AT_FIRST: usize = 30;
const IN_THE_END: usize = 240;
/// Residuals above this many times the usual one are wrong marks.
const WRONG: f64 = 5.0;
/// A photograph of which this share of marks is wrong shows something else.
const MANY: f64 = 0.1;
/// Marks that fit leave less than this, in pixels in either direction: simulated
/// photographs leave 0.03 to 0.15.
const FITS_PX: f64 = 0.8;
/// One that leaves this many times what the others leave doesn't go with them.
const WORSE: f64 = 4.0;
/// Focal lengths differ by less between the near and the far end of focusing.
const ZOOMED: f64 = 1.12;
/// Where a focal length is off by so many times what focusing makes, it was not focusing.
const BEYOND_FOCUS: f64 = 4.0;
/// With a photograph that goes with the others, the sum of squares grows by about as many
/// as it has residuals, in what the others leave; this many times as much is too much.
const TOO_MUCH: f64 = 2.5;
/// Where another costs more than this share of the dearest, it can't be told which is odd.
const ALIKE: f64 = 0.93;
/// A fit at first need not be exact; one by which photographs are judged, more so.
const ROUGHLY: f64 = 1e-3;
const CLOSELY: f64 = 1e-6;
const EXACTLY: f64 = 1e-9;

/// What was solved, and for which photographs.
pub(super) struct Solved {
    pub(super) model: Model,
    /// The marks that are gone by.
    pub(super) marks: Marks,
    pub(super) steps: Vec<f64>,
    pub(super) scene: Scene,
    /// Places among all photographs.
    pub(super) used: Vec<usize>,
    /// Each one's marks that fit.
    pub(super) counts: Vec<usize>,
    /// What each one leaves, in pixels in either direction.
    pub(super) rms_px: Vec<f64>,
    /// The share of each one's marks that are wrong.
    wrong: Vec<f64>,
}

/// Which photograph doesn't go with the others.
pub(super) enum Odd {
    None,
    One(usize, Reason),
    /// One or several, and it can't be told which.
    Any,
}

/// Photographs to be explained together.
pub(super) struct Task<'a> {
    pub(super) rig: &'a Rig,
    pub(super) photos: &'a [Photograph],
    pub(super) used: Vec<usize>,
    pub(super) starts: Vec<Camera>,
    pub(super) eye: Option<usize>,
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or_default()
}

impl Task<'_> {
    fn model(&self) -> Model {
        let eye = self
            .eye
            .and_then(|eye| self.used.iter().position(|&index| index == eye));
        Model::new(space(self.rig, eye.is_some()), self.starts.clone(), eye)
    }

    fn picked(&self, most: usize) -> Marks {
        let panels = self.rig.panels().len();
        let marks = self.used.iter().map(|&index| {
            let photo = &self.photos[index];
            let shown = photo.panels(panels);
            let picked = spread(&photo.sightings, most).into_iter();
            let picked = picked.filter(|sighting| shown.contains(&sighting.panel));
            picked.map(Mark::known).collect()
        });
        marks.collect()
    }

    /// From few marks: far residuals count less at first, and wrong ones are dropped.
    pub(super) fn rough(&self) -> Solved {
        const ROUNDS: usize = 5;
        let model = self.model();
        let mut marks = self.picked(AT_FIRST);
        let mut steps = model.start();
        for round in 0..ROUNDS {
            let scene = model.scene(&steps);
            let lengths = lengths(&scene, &marks);
            let usual = median(lengths.iter().flatten().copied().collect());
            for (marks, lengths) in marks.iter_mut().zip(&lengths) {
                for (mark, length) in marks.iter_mut().zip(lengths) {
                    // Huber's weights.
                    let far = length / (2.0 * usual).max(1e-9);
                    mark.weight = mark.sigma_px().recip() / far.max(1.0).sqrt();
                    // At first the whole is what is off, and not single marks.
                    let is_wrong = round > 1 && far > WRONG;
                    if is_wrong || !length.is_finite() {
                        mark.weight *= 1e-3;
                    }
                }
            }
            let bundle = Bundle {
                model: &model,
                marks: &marks,
            };
            let enough = if round + 1 < ROUNDS { ROUGHLY } else { CLOSELY };
            steps = bundle.solved(&steps, enough).values;
        }
        self.judged(model, marks, steps)
    }

    /// From many marks, with the weights that their residuals call for.
    pub(super) fn exact(&self, rough: Solved) -> Solved {
        const ROUNDS: usize = 2;
        let (mut model, mut steps) = (rough.model.with_focus(|_| false), rough.steps);
        let mut scale = 1.0;
        let mut marks = Marks::new();
        for round in 0..ROUNDS {
            let scene = model.scene(&steps);
            marks = kept(&scene, self.picked(IN_THE_END));
            for mark in marks.iter_mut().flatten() {
                mark.weight = (mark.sigma_px() * scale).recip();
            }
            let bundle = Bundle {
                model: &model,
                marks: &marks,
            };
            let enough = if round + 1 < ROUNDS { 1e-6 } else { EXACTLY };
            steps = bundle.solved(&steps, enough).values;
            // What a slight zoom makes isn't spread over everything else.
            let zoomed: Vec<bool> = (0..self.used.len())
                .map(|photo| model.focus(&steps, photo).abs() > BEYOND_FOCUS)
                .collect();
            model = model.with_focus(|photo| zoomed[photo]);
            let scene = model.scene(&steps);
            let squares: Vec<f64> = (marks.iter().enumerate())
                .flat_map(|(photo, marks)| marks.iter().map(move |mark| (photo, mark)))
                .map(|(photo, mark)| {
                    let left = Bundle::left_px(&scene, photo, &mark.sighting);
                    left.length_squared() / mark.sigma_px().powi(2)
                })
                .collect();
            let count = (2 * squares.len()).saturating_sub(steps.len()).max(1) as f64;
            scale = (squares.iter().sum::<f64>() / count).sqrt().max(1e-3);
        }
        // What the marks are uncertain by is now known from what they leave.
        for mark in marks.iter_mut().flatten() {
            mark.weight = (mark.sigma_px() * scale).recip();
        }
        let bundle = Bundle {
            model: &model,
            marks: &marks,
        };
        steps = bundle.solved(&steps, EXACTLY).values;
        self.judged(model, marks, steps)
    }

    fn judged(&self, model: Model, marks: Marks, steps: Vec<f64>) -> Solved {
        let scene = model.scene(&steps);
        let mut solved = Solved {
            used: self.used.clone(),
            counts: Vec::new(),
            rms_px: Vec::new(),
            wrong: Vec::new(),
            model,
            marks,
            steps,
            scene,
        };
        let panels = self.rig.panels().len();
        let all = self.used.iter().map(|&index| {
            let sightings = self.photos[index].sightings.iter();
            let known = sightings.filter(|one| one.panel < panels);
            known
                .map(|&sighting| Mark {
                    sighting,
                    weight: 1.0,
                })
                .collect()
        });
        let all: Marks = all.collect();
        let sizes: Vec<usize> = all.iter().map(Vec::len).collect();
        let kept = kept(&solved.scene, all);
        for ((photo, marks), size) in kept.iter().enumerate().zip(sizes) {
            let squares = marks
                .iter()
                .map(|mark| Bundle::left_px(&solved.scene, photo, &mark.sighting).length_squared());
            let rms = (squares.sum::<f64>() / (2 * marks.len().max(1)) as f64).sqrt();
            solved.counts.push(marks.len());
            solved.rms_px.push(rms);
            solved
                .wrong
                .push(1.0 - marks.len() as f64 / size.max(1) as f64);
        }
        solved
    }

    /// Whether a photograph doesn't go with the others, which, and why.
    pub(super) fn odd_one(&self, solved: &Solved) -> Odd {
        if self.used.len() < 2 {
            return Odd::None;
        }
        let focal: Vec<f64> = (solved.scene.cameras.iter())
            .map(|camera| camera.focal_px / camera.size_px.max_element())
            .collect();
        for (place, own) in focal.iter().enumerate() {
            let others = focal
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != place);
            let times = own / median(others.map(|(_, focal)| *focal).collect());
            // Of two, the first is gone by.
            let is_odd = self.used.len() > 2 || place > 0;
            if is_odd && !(1.0 / ZOOMED..ZOOMED).contains(&times) {
                return Odd::One(self.used[place], Reason::Zoomed(times));
            }
        }
        if self.used.len() < 3 {
            return Odd::None;
        }
        // What it costs to have each one go with the others, against what it should.
        let whole = self.picked(AT_FIRST);
        let dear = (0..self.used.len()).into_par_iter().map(|place| {
            let keep = |other: &usize| *other != place;
            let rest: Vec<usize> = (0..self.used.len()).filter(keep).collect();
            let task = Task {
                used: rest.iter().map(|&other| self.used[other]).collect(),
                starts: rest.iter().map(|&other| self.starts[other]).collect(),
                ..*self
            };
            let others = task.rough();
            let marks = task.picked(AT_FIRST);
            let count = 2 * marks.iter().map(Vec::len).sum::<usize>();
            // Photographs that are sharper than their marks say make no other one odd.
            let noise = (others.squares(&marks) / count.max(1) as f64).max(1.0);
            let cost =
                |solved: &Solved, marks: &Marks| solved.squares(marks) / noise + solved.unusual();
            let own = 2.0 * whole[place].len() as f64;
            let more = cost(solved, &whole) - cost(&others, &marks);
            (self.used[place], more / own.max(1.0))
        });
        let dear: Vec<(usize, f64)> = dear.collect();
        let by_cost = |(_, one): &&(usize, f64), (_, other): &&(usize, f64)| one.total_cmp(other);
        let Some(dearest) = dear.iter().max_by(by_cost) else {
            return Odd::None;
        };
        let others = dear.iter().filter(|other| other.0 != dearest.0);
        let next = others.max_by(by_cost).map_or(0.0, |(_, times)| *times);
        if dearest.1 <= TOO_MUCH {
            return Odd::None;
        }
        if next > ALIKE * dearest.1 {
            return Odd::Any;
        }
        Odd::One(dearest.0, Reason::DoesNotFit)
    }
}

impl Solved {
    /// The sum of the squares of what is left of marks, in their sigmas; a wrong one
    /// counts no more than a bad one.
    fn squares(&self, marks: &Marks) -> f64 {
        let lengths = lengths(&self.scene, marks);
        let usual = median(lengths.iter().flatten().copied().collect());
        let pairs = marks.iter().flatten().zip(lengths.iter().flatten());
        let square =
            |(mark, length): (&Mark, &f64)| (length.min(WRONG * usual) / mark.sigma_px()).powi(2);
        pairs.map(square).sum()
    }

    /// How unusual the rig, the lens and the hands would be: a sum of squares.
    fn unusual(&self) -> f64 {
        let mut left = Vec::new();
        self.model.unusual(&self.steps, &mut left);
        left.iter().map(|left| left * left).sum()
    }

    /// Whether the photographs go together.
    pub(super) fn fits(&self) -> bool {
        let usual = median(self.rms_px.clone()).max(FITS_PX / 2.0 / WORSE);
        let photos = self.rms_px.iter().zip(&self.wrong).zip(&self.counts);
        photos.into_iter().all(|((&rms, &wrong), &count)| {
            rms < FITS_PX && rms < WORSE * usual && wrong < MANY && count >= FEWEST_MARKS
        })
    }
}

/// How far each mark is from where the scene shows it, in pixels.
fn lengths(scene: &Scene, marks: &Marks) -> Vec<Vec<f64>> {
    let photos = marks.iter().enumerate();
    let of_photo = |(photo, marks): (usize, &Vec<Mark>)| {
        let marks = marks.iter();
        marks
            .map(|mark| Bundle::left_px(scene, photo, &mark.sighting).length())
            .collect()
    };
    photos.map(of_photo).collect()
}

/// The marks that are where the scene shows them, as closely as most are.
fn kept(scene: &Scene, marks: Marks) -> Marks {
    let lengths = lengths(scene, &marks);
    let usual = median(lengths.iter().flatten().copied().collect());
    let keep = |(marks, lengths): (Vec<Mark>, Vec<f64>)| {
        let pairs = marks.into_iter().zip(lengths);
        // A mark that is less well known may be farther off.
        let mine = pairs.filter(|(_, length)| *length <= WRONG * usual);
        mine.map(|(mark, _)| mark).collect()
    };
    marks.into_iter().zip(lengths).map(keep).collect()
}
