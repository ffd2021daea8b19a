//! One number of one rig.

use super::flaw::{Subject, Table};
use super::model::Parts;
use super::quantity::{PanelQuantity, SeamQuantity, SeatQuantity, Spec};

/// One number of a rig file: what is measured, and of which panel or seam.
///
/// Everything that lists, names, nudges, searches, compares or writes a rig's
/// numbers goes by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// At the seat.
    Seat(SeatQuantity),
    /// Of the panel with this index, from 0 at the left.
    Panel(usize, PanelQuantity),
    /// At the seam with this index, from 0 at the left.
    Seam(usize, SeamQuantity),
}

impl Measure {
    /// Every number that some parts have, in the order of the rig file.
    pub fn all(parts: &Parts) -> Vec<Measure> {
        let seat = SeatQuantity::ALL.map(Measure::Seat).into_iter();
        let panels = (0..parts.panels.len())
            .flat_map(|index| PanelQuantity::ALL.map(|what| Measure::Panel(index, what)));
        let seams = (0..parts.seams.len())
            .flat_map(|index| SeamQuantity::ALL.map(|what| Measure::Seam(index, what)));
        seat.chain(panels)
            .chain(seams)
            .filter(|measure| measure.get(parts).is_some())
            .collect()
    }

    /// The turn of a seam as the file gives it, an angle or a fold; `None` where
    /// there is no such seam.
    pub fn turn(parts: &Parts, seam: usize) -> Option<Measure> {
        let found = parts.seams.get(seam)?;
        Some(Measure::Seam(seam, SeamQuantity::turn_of(found)))
    }

    /// Whether a table that has it can't have the other: a diagonal and a lit side, an
    /// angle and a fold.
    pub fn excludes(self, other: Measure) -> bool {
        use PanelQuantity::{Diagonal, Height, Width};
        use SeamQuantity::{Angle, Fold};
        if self.table() != other.table() {
            return false;
        }
        match (self, other) {
            (Measure::Panel(_, one), Measure::Panel(_, other)) => matches!(
                (one, other),
                (Diagonal, Width | Height) | (Width | Height, Diagonal)
            ),
            (Measure::Seam(_, one), Measure::Seam(_, other)) => {
                matches!((one, other), (Angle, Fold) | (Fold, Angle))
            }
            _ => false,
        }
    }

    /// What of some parts it would take the place of, if they had it.
    pub fn excluded(self, parts: &Parts) -> Vec<Measure> {
        let all = Measure::all(parts).into_iter();
        all.filter(|other| self.excludes(*other)).collect()
    }

    /// What is known of it.
    pub const fn spec(self) -> &'static Spec {
        match self {
            Measure::Seat(what) => what.spec(),
            Measure::Panel(_, what) => what.spec(),
            Measure::Seam(_, what) => what.spec(),
        }
    }

    /// The table that it stands in.
    pub const fn table(self) -> Table {
        match self {
            Measure::Seat(_) => Table::Seat,
            Measure::Panel(index, _) => Table::Panel(index),
            Measure::Seam(index, _) => Table::Seam(index),
        }
    }

    /// The key that holds it; shown, it is the path with numbers from 1.
    pub const fn subject(self) -> Subject {
        Subject {
            table: self.table(),
            key: Some(self.spec().key),
        }
    }

    /// The subject's path, with the place in the pair where the key has two.
    pub fn path(self) -> String {
        match self.spec().item {
            Some(item) => format!("{}.{item}", self.subject()),
            None => self.subject().to_string(),
        }
    }

    /// Whether it is a seam's.
    pub const fn is_at_seam(self) -> bool {
        matches!(self, Measure::Seam(..))
    }

    /// What it is called in a sentence: "fold at seam 1", "roll of panel "port"".
    pub fn phrase(self, parts: &Parts) -> String {
        let name = self.spec().name;
        match self {
            Measure::Seam(seam, _) => format!("{name} at seam {}", seam + 1),
            Measure::Panel(panel, what) => {
                let name = match what {
                    PanelQuantity::Width => "width",
                    _ => name,
                };
                let panel = parts.panels.get(panel).map_or("", |panel| &panel.name);
                format!("{name} of panel \"{panel}\"")
            }
            Measure::Seat(SeatQuantity::Distance) => format!("{name} from the eye"),
            Measure::Seat(SeatQuantity::Height) => format!("{name} of the eye"),
            Measure::Seat(SeatQuantity::Offset) => format!("{name} of the eye to the right"),
        }
    }

    /// Its number in some parts; `None` where they have none such.
    pub fn get(self, parts: &Parts) -> Option<f64> {
        match self {
            Measure::Seat(what) => Some(what.get(&parts.seat)),
            Measure::Panel(index, what) => what.get(parts.panels.get(index)?),
            Measure::Seam(index, what) => what.get(parts.seams.get(index)?),
        }
    }

    /// Puts a number in its place, instead of what excludes it; whether that is a
    /// rig is asked later. Nothing happens where there is no such panel or seam.
    pub fn put(self, parts: &mut Parts, number: f64) {
        match self {
            Measure::Seat(what) => what.put(&mut parts.seat, number),
            Measure::Panel(index, what) => {
                if let Some(panel) = parts.panels.get_mut(index) {
                    what.put(panel, number);
                }
            }
            Measure::Seam(index, what) => {
                if let Some(seam) = parts.seams.get_mut(index) {
                    what.put(seam, number);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{demos, read};

    #[test]
    fn what_is_put_is_got_and_nothing_else_moves() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            let parts = rig.parts();
            let all = Measure::all(parts);
            for &measure in &all {
                let before = measure.get(parts).expect("it is there");
                let mut changed = parts.clone();
                measure.put(&mut changed, before + 1.0);
                assert_eq!(measure.get(&changed), Some(before + 1.0), "{measure:?}");
                assert_eq!(Measure::all(&changed), all, "{measure:?}");
                for &other in all.iter().filter(|other| **other != measure) {
                    assert_eq!(other.get(&changed), other.get(parts), "{other:?}");
                }
            }
        }
    }

    #[test]
    fn each_has_a_path_of_its_own_and_lies_within_its_limit() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            let all = Measure::all(rig.parts());
            for (index, measure) in all.iter().enumerate() {
                let path = measure.path();
                assert!(all[..index].iter().all(|other| other.path() != path));
                let number = measure.get(rig.parts()).expect("it is there");
                assert_eq!(measure.spec().limit.broken_by(number), None, "{path}");
            }
        }
    }

    #[test]
    fn what_excludes_another_takes_its_place() {
        let demo = &demos()[1];
        let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
        let mut parts = rig.parts().clone();
        let width = Measure::Panel(0, PanelQuantity::Width);
        let diagonal = Measure::Panel(0, PanelQuantity::Diagonal);
        let height_mm = parts.panels[0].size_mm()[1];
        assert_eq!(width.excluded(&parts), [diagonal]);
        width.put(&mut parts, 500.0);
        assert_eq!(parts.panels[0].size_mm(), [500.0, height_mm]);
        assert_eq!(diagonal.get(&parts), None);
        let height = Measure::Panel(0, PanelQuantity::Height);
        assert_eq!(diagonal.excluded(&parts), [width, height]);
        assert_eq!(width.excluded(&parts), []);
        let [angle, fold] =
            [SeamQuantity::Angle, SeamQuantity::Fold].map(|what| Measure::Seam(0, what));
        assert_eq!(fold.excluded(&parts), [angle]);
        fold.put(&mut parts, 30.0);
        assert_eq!((angle.get(&parts), fold.get(&parts)), (None, Some(30.0)));
        assert_eq!(Measure::turn(&parts, 0), Some(fold));
        assert_eq!(Measure::turn(&parts, 99), None);
        let before = parts.clone();
        Measure::Panel(99, PanelQuantity::Tilt).put(&mut parts, 1.0);
        assert_eq!(parts, before);
        assert_eq!(Measure::Seam(99, SeamQuantity::Gap).get(&parts), None);
    }
}
