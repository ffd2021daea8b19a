//! Marks in photographs to be explained, all at once: bundle adjustment.

use glam::DVec2;
use rayon::prelude::*;

use super::model::{Model, Scene};
use crate::least_squares::{Block, Solution, minimise_in_blocks, slopes};
use crate::marks::Sighting;

/// Step of the central differences; steps are scaled to about one.
const DIFFERENCE: f64 = 1e-5;

/// A mark, and how much it counts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    pub(super) sighting: Sighting,
    /// Its residual is multiplied by this: above 0.
    pub(super) weight: f64,
}

/// What surfaces and lenses leave of any mark, however well it was read, along an axis:
/// the model lacks some of what they are. Simulated photographs leave 0.01 to 0.05.
const LEFT_PX: f64 = 0.04;

impl Mark {
    /// One that counts as well as it is known.
    pub(super) fn known(sighting: Sighting) -> Mark {
        let weight = sighting.sigma_px.hypot(LEFT_PX).recip();
        Mark { sighting, weight }
    }

    /// How far it may be from where the scene shows it, one sigma along an axis.
    pub(super) fn sigma_px(&self) -> f64 {
        self.sighting.sigma_px.hypot(LEFT_PX)
    }
}

/// Each photograph's marks, in the model's order of photographs.
pub(super) type Marks = Vec<Vec<Mark>>;

/// A model, and what it is to explain.
pub(super) struct Bundle<'a> {
    pub(super) model: &'a Model,
    pub(super) marks: &'a Marks,
}

impl Bundle<'_> {
    /// What is left of a mark, in pixels of the photograph: shown less foreseen.
    pub(super) fn left_px(scene: &Scene, photo: usize, sighting: &Sighting) -> DVec2 {
        sighting.photo_px - scene.px(photo, sighting.panel, sighting.panel_px)
    }

    fn residuals(&self, steps: &[f64], into: &mut Vec<f64>) {
        let scene = self.model.scene(steps);
        for (photo, marks) in self.marks.iter().enumerate() {
            for mark in marks {
                let left = Bundle::left_px(&scene, photo, &mark.sighting) * mark.weight;
                into.extend([left.x, left.y]);
            }
        }
        self.model.unusual(steps, into);
    }

    /// A block for each photograph, and one for what was known before.
    pub(super) fn blocks(&self, steps: &[f64]) -> Vec<Block> {
        let mut at = steps.to_vec();
        let beside = (0..steps.len()).map(|unknown| {
            let scene_at = |at: &mut Vec<f64>, by: f64| {
                at[unknown] = steps[unknown] + by;
                self.model.scene(at)
            };
            let pair = [DIFFERENCE, -DIFFERENCE].map(|by| scene_at(&mut at, by));
            at[unknown] = steps[unknown];
            pair
        });
        let beside: Vec<[Scene; 2]> = beside.collect();
        let photos = 0..self.marks.len();
        let mut blocks: Vec<Block> = photos
            .into_par_iter()
            .map(|photo| {
                let unknowns = self.model.of_photo(photo);
                let column = |unknown: &usize| self.column(photo, &beside[*unknown]);
                let columns = unknowns.iter().map(column).collect();
                Block { unknowns, columns }
            })
            .collect();
        let before = |steps: &[f64], into: &mut Vec<f64>| self.model.unusual(steps, into);
        blocks.push(Block::whole(slopes(before, steps)));
        blocks
    }

    /// How a photograph's residuals change between two scenes on both sides.
    fn column(&self, photo: usize, [ahead, behind]: &[Scene; 2]) -> Vec<f64> {
        let is_seen_anew =
            ahead.lens != behind.lens || ahead.cameras[photo] != behind.cameras[photo];
        let moves = ahead.screens.iter().zip(&behind.screens);
        let moves: Vec<bool> = moves.map(|(one, other)| one != other).collect();
        let mut column = Vec::with_capacity(2 * self.marks[photo].len());
        for mark in &self.marks[photo] {
            let Sighting {
                panel, panel_px, ..
            } = mark.sighting;
            let mut slope = DVec2::ZERO;
            if is_seen_anew || moves[panel] {
                let [to, from] = [ahead, behind].map(|scene| scene.px(photo, panel, panel_px));
                slope = (from - to) * (mark.weight / (2.0 * DIFFERENCE));
            }
            let slope = if slope.is_finite() {
                slope
            } else {
                DVec2::ZERO
            };
            column.extend([slope.x, slope.y]);
        }
        column
    }

    /// The likeliest steps from a start.
    pub(super) fn solved(&self, start: &[f64], enough: f64) -> Solution {
        minimise_in_blocks(
            |steps, into| self.residuals(steps, into),
            |steps| self.blocks(steps),
            &self.model.unknowns(start),
            enough,
        )
    }
}
