//! The widths of the dark between two lit edges that the bezel ladder's rungs
//! stand for.

use super::{BEZEL_SLOPE_DEG, LEAST_STEP_MM, otherwise, steps};
use crate::geometry::Layout;
use crate::rig::Rig;

/// A rung of the bezel ladder: a width of the dark between the lit edges, and
/// the gap between the cases that makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapRung {
    /// Steps from the rig's own rung.
    pub step: i32,
    /// What a level ruler reads between the lit edges, in the right panel's pixels.
    pub dark_px: f64,
    /// The same in millimetres.
    pub dark_mm: f64,
    /// The seam's `gap_mm` at which it is so wide.
    pub gap_mm: f64,
}

impl GapRung {
    /// What it says beside the rung: the gap as the file would hold it, and what is
    /// dark then.
    pub fn label(&self) -> String {
        format!(
            "gap {:.2} mm  dark {:.2} mm {:.1} px",
            self.gap_mm, self.dark_mm, self.dark_px
        )
    }
}

/// The rungs of a seam's bezel ladder, the rig's own last; those that no gap
/// makes are left out.
///
/// # Panics
///
/// Where the rig has no such seam.
pub fn gap_rungs(rig: &Rig, seam: usize) -> Vec<GapRung> {
    let layout = rig.layout();
    let pitch = layout.seam(seam)[1].pitch_mm()[0];
    let dark = layout.dark_mm(seam);
    let Some(gap_mm_from_dark_mm) = gap_mm_from_dark_mm(rig, seam) else {
        return Vec::new();
    };
    let rung = |step: i32| {
        let dark_mm = dark + f64::from(step) * px_per_step(pitch) * pitch;
        Some(GapRung {
            step,
            dark_px: dark_mm / pitch,
            dark_mm,
            gap_mm: gap_mm_from_dark_mm(dark_mm)?,
        })
    };
    steps().filter_map(rung).collect()
}

/// Pixels of the right panel by which neighbouring rungs of the bezel ladder
/// differ: one, or more where one could hardly be seen.
fn px_per_step(pitch_mm: f64) -> f64 {
    let across = pitch_mm * BEZEL_SLOPE_DEG.to_radians().sin();
    // A little slack, so that a panel a hair too fine doesn't skip every other pixel.
    (LEAST_STEP_MM / across - 0.1).ceil().max(1.0)
}

/// A function that gives the gap at which the two lit edges of a seam are some
/// millimetres apart, where there is such a gap; `None` where the gap can't be
/// changed at all.
fn gap_mm_from_dark_mm(rig: &Rig, seam: usize) -> Option<impl Fn(f64) -> Option<f64> + use<>> {
    let gap = rig.seams()[seam].gap_mm;
    let across = |layout: &Layout| {
        let [left, right] = layout.ruler_mm(seam);
        (right - left).with_y(0.0)
    };
    let between = across(rig.layout());
    // Half of the gap lies along either edge's tangent, both taken in plan, so that
    // it changes no height.
    let other = otherwise(rig, |parts| parts.seams[seam].gap_mm = gap + 1.0)?;
    let per_mm = across(&other) - between;
    Some(move |dark_mm: f64| {
        // |between + g·per_mm| = dark_mm, the root that grows with g.
        let (a, b) = (per_mm.length_squared(), between.dot(per_mm));
        let c = between.length_squared() - dark_mm * dark_mm;
        let root = (b * b - a * c).sqrt();
        (dark_mm >= 0.0 && root.is_finite() && a > 0.0).then(|| gap + (root - b) / a)
    })
}
