//! What photographs tell of a rig.

use super::bundle::Bundle;
use super::camera::{Camera, Lens};
use super::floors::floor;
use super::photograph::{Photograph, Reason};
use super::seen::{SeamSeen, seams};
use super::task::Solved;
use crate::least_squares::covariance_of_blocks;
use crate::parts::{Measure, PanelQuantity};
use crate::rig::Rig;
use crate::solve::Value;

/// What became of one photograph.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Its marks that fit, of all that were found; all of them where it is left out.
    pub marks: usize,
    /// What they leave, in pixels in either direction: root mean square. `None` where it
    /// is left out, as is the rest.
    pub rms_px: Option<f64>,
    /// Its camera, in the seat frame of the rig as measured.
    pub camera: Option<Camera>,
    /// Why it is left out.
    pub left_out: Option<Reason>,
}

/// The rig as it stands, as photographs tell.
#[derive(Debug, Clone)]
pub struct Measurement {
    values: Vec<Value>,
    covariance: Vec<Vec<f64>>,
    photos: Vec<Taken>,
    seams: Vec<SeamSeen>,
    lens: Lens,
    rms_px: f64,
    rig: Rig,
}

impl Measurement {
    pub(super) fn new(
        rig: &Rig,
        all: &[Photograph],
        reasons: Vec<Option<Reason>>,
        eye: Option<usize>,
        solved: &Solved,
    ) -> Measurement {
        let Solved { model, scene, .. } = solved;
        let used: Vec<(usize, Camera)> = (solved.used.iter().copied())
            .zip(scene.cameras.iter().copied())
            .collect();
        let still = vec![0.0; model.space.count()];
        let seams = seams(&model.space.placed(&still), all, &used);
        let untold = untold(rig, &model.space.priors.measures, all, &used, &seams);

        let mut steps = model.of_rig(&solved.steps).to_vec();
        for (step, is_untold) in steps.iter_mut().zip(&untold) {
            if *is_untold {
                *step = 0.0;
            }
        }
        // The file's own rig is one.
        let found = model.space.rig(&steps);
        let (built, steps) = found.unwrap_or_else(|| (rig.clone(), still));
        let bundle = Bundle {
            model,
            marks: &solved.marks,
        };
        let spread = covariance_of_blocks(bundle.blocks(&solved.steps), solved.steps.len());
        let space = &model.space;
        let count = space.count();
        let mut covariance = vec![vec![0.0; count]; count];
        for i in 0..count {
            let before = space.priors.sigma[i];
            for j in 0..count {
                let entry = spread.as_ref().map_or(0.0, |spread| spread[i][j]);
                if !(untold[i] || untold[j]) {
                    covariance[i][j] = entry * space.scale[i] * space.scale[j];
                }
            }
            covariance[i][i] = if untold[i] || spread.is_none() {
                before * before
            } else {
                covariance[i][i] + floor(space.priors.measures[i], space.file[i]).powi(2)
            };
        }
        let numbers = space.values(&steps);
        let values: Vec<Value> = (0..count)
            .map(|index| Value {
                measure: space.priors.measures[index],
                file: space.file[index],
                solved: numbers[index],
                sigma: covariance[index][index].sqrt(),
                before: space.priors.sigma[index],
            })
            .collect();

        // From the frame of the file to that of the rig as measured: its eye.
        let place = eye.and_then(|eye| used.iter().find(|(index, _)| *index == eye));
        let origin = place.map(|(_, camera)| camera.eye).unwrap_or_default();
        let photos = all.iter().enumerate().map(|(index, photo)| {
            let place = solved.used.iter().position(|&used| used == index);
            Taken {
                marks: place.map_or(photo.sightings.len(), |place| solved.counts[place]),
                rms_px: place.map(|place| solved.rms_px[place]),
                camera: place.map(|place| Camera {
                    eye: scene.cameras[place].eye - origin,
                    ..scene.cameras[place]
                }),
                left_out: reasons[index],
            }
        });
        let marks: usize = solved.counts.iter().sum();
        let squares = solved.rms_px.iter().zip(&solved.counts);
        let squares: f64 = squares.map(|(rms, count)| rms * rms * *count as f64).sum();
        Measurement {
            values,
            covariance,
            photos: photos.collect(),
            seams,
            lens: scene.lens,
            rms_px: (squares / marks.max(1) as f64).sqrt(),
            rig: built,
        }
    }

    /// Every number that was asked of the photographs, in the rig file's order.
    pub fn values(&self) -> &[Value] {
        &self.values
    }

    /// The covariance of the measured values, in their order and units.
    pub fn covariance(&self) -> &[Vec<f64>] {
        &self.covariance
    }

    /// What became of each photograph, in their order.
    pub fn photos(&self) -> &[Taken] {
        &self.photos
    }

    /// From where each seam was seen.
    pub fn seams(&self) -> &[SeamSeen] {
        &self.seams
    }

    /// The lens of the photographs that are used.
    pub fn lens(&self) -> &Lens {
        &self.lens
    }

    /// What all marks that fit leave, in pixels in either direction: root mean square.
    pub fn rms_px(&self) -> f64 {
        self.rms_px
    }

    /// The rig as it stands; what wasn't measured is as the file says.
    pub fn rig(&self) -> &Rig {
        &self.rig
    }
}

/// Which numbers the photographs can't tell: those of seams that weren't seen from two
/// places, turns of the panels beyond them, and whatever of panels that none shows.
fn untold(
    rig: &Rig,
    measures: &[Measure],
    all: &[Photograph],
    used: &[(usize, Camera)],
    seams: &[SeamSeen],
) -> Vec<bool> {
    let facing = rig.parts().seat.view.panel;
    let count = rig.panels().len();
    let is_shown = |panel: usize| {
        let mut used = used.iter();
        used.any(|(index, _)| all[*index].panels(count).contains(&panel))
    };
    let is_open = |seam: &usize| !seams.get(*seam).is_some_and(SeamSeen::is_measured);
    // Gravity is known at the facing panel, and goes from seam to seam.
    let is_beyond = |panel: usize| (facing.min(panel)..facing.max(panel)).any(|s| is_open(&s));
    let is_untold = |measure: &Measure| match *measure {
        Measure::Seat(_) => !is_shown(facing),
        Measure::Seam(seam, _) => is_open(&seam),
        Measure::Panel(panel, PanelQuantity::Tilt | PanelQuantity::Roll) => {
            is_beyond(panel) || !is_shown(panel)
        }
        Measure::Panel(panel, _) => !is_shown(panel),
    };
    measures.iter().map(is_untold).collect()
}
