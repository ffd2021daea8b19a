//! The wrong values that explain the breaks best: one, or two together.
//!
//! Every value that an owner can measure wrong is a suspect: the breaks and kinks
//! that it would cause are held against those seen.

use super::breaks::{Drawn, Reading};
use super::greedy::{Explanation, explanations, fitted};
use super::suspects::Suspicion;
use crate::pattern::Line;
use crate::rig::{Measure, Rig, Unit};

/// Most values that are named. A third says little: what else is wrong shows
/// better once these are put right.
const MOST: usize = 2;
/// A share that counts as all of it.
const ALL: f64 = 0.999;

/// One value of a rig file, and by how much it would have to be off.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// Which value.
    pub measure: Measure,
    /// What it is, for people: "fold at seam 1".
    pub what: String,
    /// Its value in the file.
    pub in_file: f64,
    /// By how much the rig exceeds it, beside the other value that is named.
    pub change: f64,
    /// Share of the breaks' and kinks' squares that it explains alone, 0 to 1.
    pub share: f64,
}

impl Cause {
    /// What would have to be otherwise: "a fold at seam 1 2.00° larger".
    pub fn difference(&self) -> String {
        let what = &self.what;
        let unit = self.measure.spec().unit;
        let digits = match unit {
            Unit::Mm if self.change.abs() >= 1.0 => 1,
            _ => 2,
        };
        let size = self.change.abs();
        let more = if self.change < 0.0 {
            "smaller"
        } else {
            "larger"
        };
        let article = if what.starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        format!("{article} {what} {size:.digits$}{} {more}", unit.symbol())
    }
}

impl std::fmt::Display for Cause {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} than the file says explains {} of it",
            self.difference(),
            percent(self.share)
        )
    }
}

/// The values that explain the breaks best.
#[derive(Debug, Clone, PartialEq)]
pub struct Causes {
    /// One, or two where one alone leaves too much; the one that explains more
    /// comes first.
    pub named: Vec<Cause>,
    /// Share of the breaks' and kinks' squares that they explain together, 0 to 1.
    pub share: f64,
}

impl Causes {
    /// Whether they explain all that is seen, but for a thousandth.
    pub fn are_all(&self) -> bool {
        self.share >= ALL
    }
}

impl std::fmt::Display for Causes {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.named[..] {
            [one] => one.fmt(f),
            all => {
                let all: Vec<_> = all.iter().map(Cause::difference).collect();
                write!(
                    f,
                    "{} than the file says explain {} of it together",
                    all.join(" and "),
                    percent(self.share)
                )
            }
        }
    }
}

/// A share in words that never claim more than there is.
fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 99.95 {
        "100 %".to_owned()
    } else if percent >= 99.0 {
        format!("{:.1} %", (percent * 10.0).floor() / 10.0)
    } else {
        format!("{:.0} %", percent.floor())
    }
}

/// The one or two values of `file` whose changes explain `seen` best: the readings
/// of `lines`, drawn for `drawn`, on the rig as it really stands. `None` where
/// nothing breaks that the file doesn't foresee, or no value of the file explains
/// anything.
pub fn likeliest(file: &Rig, drawn: &Drawn, lines: &[Line], seen: &[Reading]) -> Option<Causes> {
    let problem = Suspicion::new(file, drawn, lines, seen);
    let found = explanations(&problem, MOST);
    let none = found.first()?.unexplained;
    // In units of the noise, so this is its root mean square.
    if none < problem.figures() as f64 {
        return None;
    }
    let share = |explanation: &Explanation| 1.0 - explanation.unexplained / none;
    let best = found.get(1..)?.last()?;
    let parts = problem.changed(&best.changes);
    let mut named: Vec<Cause> = best
        .changes
        .iter()
        .filter_map(|&(value, by)| {
            let measure = problem.measure(value);
            let alone = fitted(&problem, vec![(value, by)]);
            let in_file = measure.get(file.parts())?;
            Some(Cause {
                measure,
                what: measure.phrase(file.parts()),
                in_file,
                change: measure.get(&parts)? - in_file,
                share: alone.map_or(0.0, |alone| share(&alone).max(0.0)),
            })
        })
        .collect();
    named.sort_by(|one, other| other.share.total_cmp(&one.share));
    (share(best) > 0.0 && !named.is_empty()).then(|| Causes {
        share: share(best),
        named,
    })
}
