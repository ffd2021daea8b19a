//! What is known so far, in words.

use super::estimate::{Estimate, Value};
use crate::parts::Parts;

impl Value {
    /// "fold at seam 1: 47.31° ± 0.32°, 1.01° larger than the file says".
    pub fn words(&self, parts: &Parts) -> String {
        let spec = self.measure.spec();
        let what = self.measure.phrase(parts);
        // Another digit where what it is uncertain by would be shown as nothing.
        let least = 0.5 * 0.1_f64.powi(i32::from(spec.decimals()));
        let digits = usize::from(spec.decimals()) + usize::from(self.sigma < least);
        let show = |number: f64| format!("{number:.digits$}{}", spec.unit.symbol());
        let (now, sigma) = (show(self.solved), show(self.sigma));
        let change = show(self.change().abs());
        let against = if change == show(0.0) {
            "as the file says".to_owned()
        } else if self.change() > 0.0 {
            format!("{change} larger than the file says")
        } else {
            format!("{change} smaller than the file says")
        };
        format!("{what}: {now} ± {sigma}, {against}")
    }
}

impl Estimate {
    /// A line for each value that the readings tell, the seams' first: what is read at
    /// the seams is chiefly about them.
    pub fn known(&self) -> Vec<String> {
        let parts = self.rig().parts();
        let told = |value: &&Value| value.is_determined();
        let values = self.values().iter();
        let (seams, others): (Vec<&Value>, Vec<&Value>) =
            (values.filter(told)).partition(|value| value.measure.is_at_seam());
        let all = seams.into_iter().chain(others);
        all.map(|value| value.words(parts)).collect()
    }

    /// What the readings leave as uncertain as it was, in the rig file's order: "tilt of
    /// panel "port"".
    pub fn untold(&self) -> Vec<String> {
        let parts = self.rig().parts();
        let left = self.values().iter().filter(|value| !value.is_determined());
        left.map(|value| value.measure.phrase(parts)).collect()
    }
}
