//! What lies between two panels.

use crate::parts::Turn;
use crate::rig::Rig;

/// One seam's numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamNumbers {
    /// Turn between the facings of the two adjoining views, in radians;
    /// positive folds the right-hand panel in.
    pub angle_rad: f64,
    /// Turn between the surfaces' tangents at the adjoining lit edges, in radians.
    pub fold_rad: f64,
    /// What a level ruler reads between the lit edges.
    pub dark_mm: f64,
    /// The same in columns of the left and of the right panel.
    pub dark_px: [f64; 2],
    /// What a level tape reads between the two panels' outer lit edges.
    pub outer_mm: f64,
    /// How much that grows by a radian of fold, mostly negative; `None` where a panel
    /// turned by a degree wouldn't face the eye.
    pub outer_mm_per_rad: Option<f64>,
    /// Canvas columns that the display driver hides there.
    pub hidden_px: u32,
}

/// The numbers of every seam, from left to right.
pub fn seams(rig: &Rig) -> Vec<SeamNumbers> {
    (rig.seams().iter().enumerate())
        .map(|(index, seam)| {
            let dark_mm = rig.layout().dark_mm(index);
            SeamNumbers {
                angle_rad: rig.parts().angle_rad(index),
                fold_rad: rig.parts().fold_rad(index),
                dark_mm,
                dark_px: [index, index + 1]
                    .map(|panel| dark_mm / rig.panels()[panel].pitch_mm()[0]),
                outer_mm: rig.layout().outer_mm(index),
                outer_mm_per_rad: outer_mm_per_rad(rig, index),
                hidden_px: seam.hidden_px,
            }
        })
        .collect()
}

fn outer_mm_per_rad(rig: &Rig, seam: usize) -> Option<f64> {
    const HALF_A_DEGREE: f64 = 0.5;
    let at = |by_deg: f64| {
        let mut parts = rig.parts().with_folds();
        let fold_deg = rig.parts().fold_rad(seam).to_degrees() + by_deg;
        parts.seams[seam].turn = Turn::FoldDeg(fold_deg);
        Some(Rig::new(parts).ok()?.layout().outer_mm(seam))
    };
    let grown = at(HALF_A_DEGREE)? - at(-HALF_A_DEGREE)?;
    Some(grown / (2.0 * HALF_A_DEGREE).to_radians())
}
