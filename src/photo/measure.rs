//! Photographs to the rig as it stands.

use super::bundle::{Bundle, Mark, Marks};
use super::camera::Camera;
use super::copies::copied;
use super::measurement::Measurement;
use super::model::{Model, Scene};
use super::photograph::{FEWEST_MARKS, Photograph, Reason};
use super::starts;
use crate::marks::Sighting;
use crate::parts::{Measure, PanelQuantity};
use crate::readings::Prior;
use crate::rig::Rig;
use crate::solve::{Priors, Space};

/// Marks of a panel in a photograph that are gone by at first, and in the end: more
/// lower no error that matters, since it is the lens and the panels that limit it.
const AT_FIRST: usize = 30;
const IN_THE_END: usize = 240;
/// How far sizes and radii are usually off, as a share of them.
const SIZE: f64 = 0.003;
const RADIUS: f64 = 0.04;
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
/// A fit at first need not be exact.
const ROUGHLY: f64 = 1e-3;
const EXACTLY: f64 = 1e-9;

/// Why photographs tell nothing: the reason of each.
#[derive(Debug, Clone, PartialEq)]
pub struct NothingTold {
    /// In the photographs' order; `None` where one is sound by itself.
    pub reasons: Vec<Option<Reason>>,
}

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

/// The rig as it stands: of all rigs around the file's the likeliest one.
///
/// `eye` is the photograph that is taken from where the eye is. Photographs that can't
/// serve are left out, with the reason; no order of them matters otherwise.
///
/// # Errors
///
/// Where none can serve, or all of them are at odds.
pub fn measure(
    rig: &Rig,
    photos: &[Photograph],
    eye: Option<usize>,
) -> Result<Measurement, NothingTold> {
    let mut reasons = alone(rig, photos);
    let file = Model::new(space(rig, false), Vec::new(), None);
    let file = file.scene(&file.start());
    let mut cameras: Vec<Option<Camera>> = vec![None; photos.len()];
    for (index, photo) in photos.iter().enumerate() {
        if reasons[index].is_some() {
            continue;
        }
        let seen = spread(&photo.sightings, AT_FIRST);
        cameras[index] = starts::camera(&file, photo.size_px, &seen);
        if cameras[index].is_none() {
            reasons[index] = Some(Reason::NoPlace);
        }
    }
    loop {
        let used: Vec<usize> = (0..photos.len())
            .filter(|&i| reasons[i].is_none())
            .collect();
        let starts: Option<Vec<Camera>> = used.iter().map(|&index| cameras[index]).collect();
        let (false, Some(starts)) = (used.is_empty(), starts) else {
            return Err(NothingTold { reasons });
        };
        let task = Task {
            rig,
            photos,
            used,
            starts,
            eye,
        };
        let rough = task.rough();
        if let Some((index, reason)) = task.odd_one(&rough) {
            reasons[index] = Some(reason);
            continue;
        }
        let solved = task.exact(rough);
        if !solved.fits() {
            for index in solved.used {
                reasons[index] = Some(Reason::DoesNotFit);
            }
            return Err(NothingTold { reasons });
        }
        return Ok(Measurement::new(rig, photos, reasons, eye, &solved));
    }
}

/// What is wrong with each photograph, whatever the rig's numbers.
fn alone(rig: &Rig, photos: &[Photograph]) -> Vec<Option<Reason>> {
    let panels = rig.panels().len();
    let mut reasons: Vec<Option<Reason>> = (photos.iter())
        .map(|photo| match photo.panels(panels)[..] {
            [] => Some(Reason::FewMarks),
            [one] if panels > 1 => Some(Reason::OnePanel(one)),
            _ => None,
        })
        .collect();
    let copies: Vec<Option<usize>> = (0..photos.len()).map(|i| copied(photos, i)).collect();
    for (reason, copy) in reasons.iter_mut().zip(copies) {
        *reason = reason.or(copy.map(Reason::CopyOf));
    }
    // A sensor's picture on its side is as large.
    let shape = |size: [u32; 2]| [size[0].min(size[1]), size[0].max(size[1])];
    let left = |reasons: &[Option<Reason>]| -> Vec<usize> {
        (0..photos.len())
            .filter(|&i| reasons[i].is_none())
            .collect()
    };
    let sound = left(&reasons);
    let like = |index: usize| {
        let own = shape(photos[index].size_px);
        sound
            .iter()
            .filter(|&&other| shape(photos[other].size_px) == own)
            .count()
    };
    // The first of the largest group.
    let most = sound.iter().rev().copied().max_by_key(|&index| like(index));
    if let Some(most) = most {
        let most_px = photos[most].size_px;
        for index in sound {
            let size_px = photos[index].size_px;
            if shape(size_px) != shape(most_px) {
                reasons[index] = Some(Reason::OtherSize { size_px, most_px });
            }
        }
    }
    reasons
}

/// The rigs around a file's, sizes and radii included; with the seat's numbers where the
/// eye's place is known.
fn space(rig: &Rig, has_eye: bool) -> Space {
    let parts = rig.parts();
    let named = Measure::of_surfaces(parts)
        .into_iter()
        .filter_map(|measure| {
            let value = measure.plain(parts)?;
            let sigma = match measure {
                Measure::Panel(_, PanelQuantity::Width | PanelQuantity::Height) => SIZE * value,
                Measure::Panel(_, PanelQuantity::Radius) => RADIUS * value,
                _ => return None,
            };
            Some(Prior { measure, sigma })
        });
    let named: Vec<Prior> = named.collect();
    let priors = Priors::new(rig, &named);
    let priors = if has_eye {
        priors
    } else {
        priors.without_seat()
    };
    Space::new(rig, &priors)
}

/// At most so many sightings of each panel, evenly spread.
fn spread(sightings: &[Sighting], most: usize) -> Vec<Sighting> {
    let mut sorted = sightings.to_vec();
    sorted.sort_by(|one, other| {
        let rows = one.panel_px.y.total_cmp(&other.panel_px.y);
        let columns = one.panel_px.x.total_cmp(&other.panel_px.x);
        one.panel.cmp(&other.panel).then(rows).then(columns)
    });
    let of_panels = sorted.chunk_by(|one, other| one.panel == other.panel);
    let picked = of_panels.flat_map(|all| {
        let count = all.len().min(most);
        (0..count).map(move |place| all[(2 * place + 1) * all.len() / (2 * count)])
    });
    picked.collect()
}

/// Photographs to be explained together.
struct Task<'a> {
    rig: &'a Rig,
    photos: &'a [Photograph],
    used: Vec<usize>,
    starts: Vec<Camera>,
    eye: Option<usize>,
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
            picked
                .map(|sighting| Mark {
                    sighting,
                    weight: sighting.sigma_px.recip(),
                })
                .collect()
        });
        marks.collect()
    }

    /// From few marks: far residuals count less at first, and wrong ones are dropped.
    fn rough(&self) -> Solved {
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
                    mark.weight = mark.sighting.sigma_px.recip() / far.max(1.0).sqrt();
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
            steps = bundle.solved(&steps, ROUGHLY).values;
        }
        self.judged(model, marks, steps)
    }

    /// From many marks, with the weights that their residuals call for.
    fn exact(&self, rough: Solved) -> Solved {
        const ROUNDS: usize = 2;
        let (model, mut steps) = (rough.model, rough.steps);
        let mut scale = 1.0;
        let mut marks = Marks::new();
        for round in 0..ROUNDS {
            let scene = model.scene(&steps);
            marks = kept(&scene, self.picked(IN_THE_END));
            for mark in marks.iter_mut().flatten() {
                mark.weight = (mark.sighting.sigma_px * scale).recip();
            }
            let bundle = Bundle {
                model: &model,
                marks: &marks,
            };
            let enough = if round + 1 < ROUNDS { 1e-6 } else { EXACTLY };
            steps = bundle.solved(&steps, enough).values;
            let scene = model.scene(&steps);
            let squares: Vec<f64> = (marks.iter().enumerate())
                .flat_map(|(photo, marks)| marks.iter().map(move |mark| (photo, mark)))
                .map(|(photo, mark)| {
                    let left = Bundle::left_px(&scene, photo, &mark.sighting);
                    left.length_squared() / mark.sighting.sigma_px.powi(2)
                })
                .collect();
            let count = (2 * squares.len()).saturating_sub(steps.len()).max(1) as f64;
            scale = (squares.iter().sum::<f64>() / count).sqrt().max(1e-3);
        }
        // What the marks are uncertain by is now known from what they leave.
        for mark in marks.iter_mut().flatten() {
            mark.weight = (mark.sighting.sigma_px * scale).recip();
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

    /// The photograph that doesn't go with the others, and why.
    fn odd_one(&self, solved: &Solved) -> Option<(usize, Reason)> {
        if self.used.len() < 2 {
            return None;
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
                return Some((self.used[place], Reason::Zoomed(times)));
            }
        }
        if solved.fits() || self.used.len() < 3 {
            return None;
        }
        // The one without which the others go together best.
        let without = (0..self.used.len()).map(|place| {
            let keep = |other: &usize| *other != place;
            let rest: Vec<usize> = (0..self.used.len()).filter(keep).collect();
            let task = Task {
                used: rest.iter().map(|&other| self.used[other]).collect(),
                starts: rest.iter().map(|&other| self.starts[other]).collect(),
                ..*self
            };
            (self.used[place], task.rough().badness())
        });
        let best = without.min_by(|(_, one), (_, other)| one.total_cmp(other));
        best.map(|(index, _)| (index, Reason::DoesNotFit))
    }
}

impl Solved {
    /// How badly the marks go together: what they leave, and how many are wrong.
    fn badness(&self) -> f64 {
        let photos = self.rms_px.iter().zip(&self.wrong);
        photos
            .map(|(rms, wrong)| rms / FITS_PX + wrong / MANY)
            .sum()
    }

    /// Whether the photographs go together.
    fn fits(&self) -> bool {
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
