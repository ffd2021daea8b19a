//! What lies between two panels.

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
                hidden_px: seam.hidden_px,
            }
        })
        .collect()
}
