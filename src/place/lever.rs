//! What may be moved on the desk, and how far.

use crate::parts::Misread;
use crate::parts::words::{echo, quoted};
use crate::rig::{Measure, PanelQuantity, Parts, SeamQuantity, SeatQuantity, Turn};

/// One measure of the rig that may be moved. A turn is always the fold, whichever key
/// the file has for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Lever(Measure);

/// What a person may have moved.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Moves {
    /// Nothing was said.
    #[default]
    Open,
    /// These; none at all, if empty. What is named by its path is to be moved, all of it.
    Named {
        /// From the seat on, then from the left.
        levers: Vec<Lever>,
        /// All were named one by one.
        one_by_one: bool,
    },
}

impl Lever {
    /// Everything that can be moved, in the order of the rig file.
    pub(crate) fn all(parts: &Parts) -> Vec<Lever> {
        let seat = SeatQuantity::ALL.map(Measure::Seat).into_iter();
        let tilts = (0..parts.panels.len()).map(|n| Measure::Panel(n, PanelQuantity::Tilt));
        let seams = (0..parts.seams.len())
            .flat_map(|seam| SeamQuantity::STANDING.map(|what| Measure::Seam(seam, what)));
        seat.chain(tilts).chain(seams).map(Lever).collect()
    }

    /// The one that a path names, with numbers from 1, or with a panel's name.
    ///
    /// # Errors
    ///
    /// A path of nothing that can be moved on this rig.
    pub fn named(path: &str, parts: &Parts) -> Result<Lever, Misread> {
        of_path(path, parts, &Lever::all(parts))
    }

    /// Which measure it is.
    pub fn measure(self) -> Measure {
        self.0
    }

    /// As the rig file spells it, with numbers from 1.
    pub fn path(self) -> String {
        self.0.path()
    }

    /// Its number in some parts, in the file's unit; 0 where there is no such panel or seam.
    pub fn get(self, parts: &Parts) -> f64 {
        match self.0 {
            Measure::Seam(seam, SeamQuantity::Fold) if seam < parts.seams.len() => {
                parts.fold_rad(seam).to_degrees()
            }
            measure => measure.get(parts).unwrap_or_default(),
        }
    }

    /// Puts a number in its place; a seam whose angle is given keeps an angle.
    pub fn put(self, parts: &mut Parts, number: f64) {
        let measure = match self.0 {
            Measure::Seam(seam, SeamQuantity::Fold) => {
                if let Some(Turn::AngleDeg(_)) = parts.seams.get(seam).map(|seam| seam.turn) {
                    let bend = parts.angle_rad(seam) - parts.fold_rad(seam);
                    parts.seams[seam].turn = Turn::AngleDeg(number + bend.to_degrees());
                    return;
                }
                self.0
            }
            measure => measure,
        };
        measure.put(parts, number);
    }

    /// Least and greatest that is advised. Own choices: what chairs, stands and mounts
    /// allow, and what a person can still look at.
    pub fn bounds(self) -> [f64; 2] {
        match self.0 {
            Measure::Seat(SeatQuantity::Distance) => [450.0, 1200.0],
            Measure::Seat(SeatQuantity::Height | SeatQuantity::Offset) => [-150.0, 150.0],
            Measure::Seam(_, SeamQuantity::Gap) => [0.0, 60.0],
            Measure::Seam(_, SeamQuantity::Step) => [-60.0, 60.0],
            Measure::Seam(_, SeamQuantity::Rise) => [-120.0, 120.0],
            Measure::Seam(..) => [-5.0, 75.0],
            Measure::Panel(..) => [-10.0, 10.0],
        }
    }

    /// The same, with room for what a rig has already, which may not get worse.
    pub(crate) fn bounds_from(self, now: f64) -> [f64; 2] {
        let [least, most] = self.bounds();
        [least.min(now), most.max(now)]
    }

    /// By how much it may be off in the figures of how exactly it must be met.
    pub(crate) fn off_by(self) -> f64 {
        match self.0 {
            Measure::Seat(SeatQuantity::Distance) => 10.0,
            Measure::Seat(_) | Measure::Seam(_, SeamQuantity::Rise) => 5.0,
            Measure::Seam(_, SeamQuantity::Gap | SeamQuantity::Step) => 5.0,
            Measure::Seam(..) | Measure::Panel(..) => 1.0,
        }
    }

    /// Its unit as a search has it, about one for the range.
    pub(crate) fn scale(self) -> f64 {
        match self.0 {
            Measure::Seat(_) => 500.0,
            Measure::Seam(_, SeamQuantity::Fold | SeamQuantity::Angle) | Measure::Panel(..) => 57.3,
            Measure::Seam(..) => 500.0,
        }
    }
}

impl Moves {
    /// Reads names separated by commas: paths such as `seam.1.fold_deg`, `seat`, `seams`,
    /// `rises`, `all` or `none`.
    ///
    /// # Errors
    ///
    /// A name of nothing that can be moved on this rig.
    pub fn parse(list: &str, parts: &Parts) -> Result<Moves, Misread> {
        let all = Lever::all(parts);
        let mut levers: Vec<Lever> = Vec::new();
        let mut one_by_one = true;
        for name in list
            .split(',')
            .map(str::trim)
            .filter(|name| !name.is_empty())
        {
            let is_named = |lever: &Lever| match (name, lever.0) {
                ("all", _) | ("seat", Measure::Seat(_)) => true,
                ("rises", Measure::Seam(_, what)) => what == SeamQuantity::Rise,
                ("seams", Measure::Seam(_, what)) => what != SeamQuantity::Rise,
                _ => false,
            };
            let mut named: Vec<Lever> = all.iter().copied().filter(is_named).collect();
            if named.is_empty() && name != "none" && !is_group(name) {
                named.push(Lever::named(name, parts)?);
            } else {
                one_by_one = false;
            }
            levers.extend(named);
        }
        levers.sort_by_key(|lever| all.iter().position(|other| other == lever));
        levers.dedup();
        Ok(Moves::Named { levers, one_by_one })
    }
}

fn is_group(name: &str) -> bool {
    ["all", "seat", "seams", "rises"].contains(&name)
}

fn of_path(name: &str, parts: &Parts, all: &[Lever]) -> Result<Lever, Misread> {
    // A seam's angle is moved as its fold, and a panel goes by its name, too.
    let path = name.replace(".angle_deg", ".fold_deg");
    let by_name = path.strip_prefix("panel.").and_then(|rest| {
        let panel = rest.strip_suffix(".tilt_deg")?;
        let index = parts.panels.iter().position(|p| p.name == panel)?;
        Some(format!("panel.{}.tilt_deg", index + 1))
    });
    let path = by_name.unwrap_or(path);
    let found = all.iter().find(|lever| lever.path() == path);
    found.copied().ok_or_else(|| {
        Misread::new(format!(
            "{} can't be moved on this rig: name paths such as seat.distance_mm, \
             seam.1.fold_deg, seam.1.rise_mm or panel.1.tilt_deg, or seat, seams, rises, all or \
             none (the seams are {})",
            quoted(&echo(name)),
            match parts.seams.len() {
                0 => "none".to_owned(),
                1 => "only seam 1".to_owned(),
                n => format!("1 to {n}"),
            }
        ))
    })
}
