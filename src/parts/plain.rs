//! A rig's numbers as what is read and measured names them: every turn is a fold,
//! and every size two sides, whichever keys the file uses.

use super::measure::Measure;
use super::model::{Parts, Size, Turn};
use super::quantity::{PanelQuantity, SeamQuantity, SeatQuantity};

impl Measure {
    /// Every number that says where the surfaces are, of some parts.
    pub fn of_surfaces(parts: &Parts) -> Vec<Measure> {
        let seat = SeatQuantity::ALL.map(Measure::Seat).into_iter();
        let panels = (0..parts.panels.len()).flat_map(|index| {
            [
                PanelQuantity::Width,
                PanelQuantity::Height,
                PanelQuantity::Radius,
                PanelQuantity::BezelLeft,
                PanelQuantity::BezelRight,
                PanelQuantity::Tilt,
                PanelQuantity::Roll,
            ]
            .map(|what| Measure::Panel(index, what))
        });
        let seams = (0..parts.seams.len())
            .flat_map(|index| SeamQuantity::STANDING.map(|what| Measure::Seam(index, what)));
        seat.chain(panels)
            .chain(seams)
            .filter(|measure| measure.plain(parts).is_some())
            .collect()
    }

    /// Its number, whichever key the file uses for it: a fold where the angle is
    /// given and the other way round, a side where the diagonal is.
    pub fn plain(self, parts: &Parts) -> Option<f64> {
        match self {
            Measure::Seam(seam, SeamQuantity::Fold | SeamQuantity::Angle) => {
                // A number that the file gives keeps its digits.
                let given = self.get(parts);
                given.or_else(|| {
                    let has_sides = seam + 1 < parts.panels.len() && seam < parts.seams.len();
                    let turn = match self {
                        Measure::Seam(_, SeamQuantity::Angle) => Parts::angle_rad,
                        _ => Parts::fold_rad,
                    };
                    has_sides.then(|| turn(parts, seam).to_degrees())
                })
            }
            Measure::Panel(index, PanelQuantity::Width) => {
                Some(parts.panels.get(index)?.size_mm()[0])
            }
            Measure::Panel(index, PanelQuantity::Height) => {
                Some(parts.panels.get(index)?.size_mm()[1])
            }
            _ => self.get(parts),
        }
    }

    /// Its path: `seam.1.fold_deg`, `panel.2.width_mm`.
    pub fn plain_path(self) -> String {
        match self.plain_key() {
            Some(key) => format!("{}.{key}", self.table()),
            None => self.path(),
        }
    }

    const fn plain_key(self) -> Option<&'static str> {
        match self {
            Measure::Panel(_, PanelQuantity::Width) => Some("width_mm"),
            Measure::Panel(_, PanelQuantity::Height) => Some("height_mm"),
            _ => None,
        }
    }

    /// The number that a path of this kind names, whether or not a rig has it.
    pub fn from_plain_path(path: &str) -> Option<Measure> {
        let (table, rest) = path.split_once('.')?;
        let numbered = || {
            let (number, key) = rest.split_once('.')?;
            let is_plain = number.bytes().all(|b| b.is_ascii_digit()) && !number.starts_with('0');
            let number: usize = number.parse().ok().filter(|_| is_plain)?;
            Some((number.checked_sub(1)?, key))
        };
        let found = match table {
            "seat" => SeatQuantity::ALL
                .map(Measure::Seat)
                .into_iter()
                .find(|measure| measure.spec().key == rest),
            "panel" => {
                let (index, key) = numbered()?;
                PanelQuantity::ALL
                    .map(|what| Measure::Panel(index, what))
                    .into_iter()
                    .find(|measure| measure.plain_key().unwrap_or(measure.spec().key) == key)
            }
            "seam" => {
                let (index, key) = numbered()?;
                SeamQuantity::ALL
                    .map(|what| Measure::Seam(index, what))
                    .into_iter()
                    .find(|measure| measure.spec().key == key)
            }
            _ => None,
        };
        found.filter(|measure| measure.plain_path() == path)
    }
}

impl Parts {
    /// The same rig with every turn given as a fold, so that a fold stays while the
    /// sizes or the radius beside it move.
    #[must_use]
    pub fn with_folds(&self) -> Parts {
        let mut parts = self.clone();
        for seam in 0..parts.seams.len().min(parts.panels.len().saturating_sub(1)) {
            if let Turn::AngleDeg(_) = parts.seams[seam].turn {
                parts.seams[seam].turn = Turn::FoldDeg(self.fold_rad(seam).to_degrees());
            }
        }
        parts
    }

    /// The same rig with turns and sizes given as `like` gives them: as an angle, as
    /// a diagonal. Sides that no diagonal of square pixels has stay as they are.
    #[must_use]
    pub fn spelt_like(&self, like: &Parts) -> Parts {
        let mut parts = self.clone();
        for (panel, like) in parts.panels.iter_mut().zip(&like.panels) {
            if matches!(like.size, Size::DiagonalIn(_)) && panel.size_mm() == like.size_mm() {
                panel.size = like.size;
            }
        }
        for seam in 0..parts.seams.len().min(like.seams.len()) {
            if let Turn::AngleDeg(angle) = like.seams[seam].turn {
                // What didn't move keeps its digits.
                const ROUNDING: f64 = 1e-13;
                let now = self.angle_rad(seam);
                let is_same = (now - like.angle_rad(seam)).abs() < ROUNDING;
                let angle = if is_same { angle } else { now.to_degrees() };
                parts.seams[seam].turn = Turn::AngleDeg(angle);
            }
        }
        parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{demos, read};

    #[test]
    fn every_path_leads_back() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            for measure in Measure::of_surfaces(rig.parts()) {
                let path = measure.plain_path();
                assert_eq!(Measure::from_plain_path(&path), Some(measure), "{path}");
            }
        }
        for path in [
            "",
            "seat",
            "seam.0.gap_mm",
            "seam.01.gap_mm",
            "panel.1.size_mm",
            "seat.gap",
        ] {
            assert_eq!(Measure::from_plain_path(path), None, "{path}");
        }
        let turn = Measure::from_plain_path("seam.2.fold_deg");
        assert_eq!(turn, Some(Measure::Seam(1, SeamQuantity::Fold)));
    }

    #[test]
    fn folds_there_and_back_are_the_same_rig() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            let folds = rig.parts().with_folds();
            for seam in 0..folds.seams.len() {
                assert!((folds.fold_rad(seam) - rig.parts().fold_rad(seam)).abs() < 1e-15);
                assert!(matches!(folds.seams[seam].turn, Turn::FoldDeg(_)));
            }
            assert_eq!(&folds.spelt_like(rig.parts()), rig.parts());
        }
    }

    /// A curve that is bent more leaves the fold as it was, and turns the angle.
    #[test]
    fn a_radius_moves_the_angle_and_not_the_fold() {
        let demo = demos().iter().find(|demo| demo.name == "rally-loft");
        let demo = demo.expect("it is there");
        let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
        let mut parts = rig.parts().with_folds();
        Measure::Panel(1, PanelQuantity::Radius).put(&mut parts, 1500.0);
        let back = parts.spelt_like(rig.parts());
        assert!((back.fold_rad(0) - rig.parts().fold_rad(0)).abs() < 1e-15);
        let Turn::AngleDeg(angle) = back.seams[0].turn else {
            panic!("an angle before");
        };
        assert!(angle > 54.0, "{angle}");
    }
}
