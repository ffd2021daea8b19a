//! The values that rungs stand for, and the layouts that they make.

use crate::geometry::Layout;
use crate::rig::{Measure, Rig, Seam, SeamQuantity, Turn};

use super::SIDE;

/// Which value of a seam a ladder names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LadderKind {
    /// The fold, or the angle where the file gives that.
    Fold,
    /// The gap, and with it the dark between the lit edges.
    Gap,
    /// The rise.
    Rise,
}

impl LadderKind {
    /// All, in drawing order.
    pub const ALL: [LadderKind; 3] = [LadderKind::Fold, LadderKind::Gap, LadderKind::Rise];

    /// As the lines' names have it.
    pub(super) fn name(self) -> &'static str {
        match self {
            LadderKind::Fold => "fold",
            LadderKind::Gap => "bezel",
            LadderKind::Rise => "rise",
        }
    }

    /// The ladder that names a measure, and its seam.
    pub fn of(measure: Measure) -> Option<(usize, LadderKind)> {
        let Measure::Seam(seam, what) = measure else {
            return None;
        };
        let kind = match what {
            SeamQuantity::Angle | SeamQuantity::Fold => LadderKind::Fold,
            SeamQuantity::Gap => LadderKind::Gap,
            SeamQuantity::Rise => LadderKind::Rise,
            SeamQuantity::Step | SeamQuantity::Hidden => return None,
        };
        Some((seam, kind))
    }
}

/// How far apart the values of neighbouring rungs are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fineness {
    /// For a first reading: errors of four degrees, four millimetres and more.
    #[default]
    Coarse,
    /// For the last one.
    Fine,
}

impl Fineness {
    /// The other one.
    pub fn other(self) -> Fineness {
        match self {
            Fineness::Coarse => Fineness::Fine,
            Fineness::Fine => Fineness::Coarse,
        }
    }

    fn pick<T>(self, coarse: T, fine: T) -> T {
        match self {
            Fineness::Coarse => coarse,
            Fineness::Fine => fine,
        }
    }

    /// Degrees of fold, or of angle, from rung to rung.
    pub fn fold_step_deg(self) -> f64 {
        self.pick(1.0, 0.25)
    }

    /// Millimetres of rise from rung to rung.
    pub fn rise_step_mm(self) -> f64 {
        self.pick(1.0, 0.25)
    }

    /// Pixels of the outer panel by which the dark differs from rung to rung.
    fn dark_step_px(self, pitch_mm: f64) -> f64 {
        self.pick(4.0, 1.0) * least_step_px(pitch_mm)
    }
}

/// Slope of the gap's rungs.
pub(super) const GAP_SLOPE_DEG: f64 = 45.0;
/// Least offset of a rung, across itself, from one step to the next: one
/// arc-minute at 600 mm, the width that an eye of ordinary acuity resolves
/// (common practice).
pub(super) const LEAST_STEP_MM: f64 = 0.1745;

/// A seam with another value: how many steps from the file's own, the value as the
/// file would hold it, what it says beside its rung, and the layout that it makes.
pub(super) struct Otherwise {
    pub step: i32,
    pub number: f64,
    pub label: String,
    pub layout: Layout,
}

/// What a ladder's rungs stand for, from the least value; those that make no rig are
/// left out.
pub(super) fn values(
    rig: &Rig,
    seam: usize,
    kind: LadderKind,
    fineness: Fineness,
    pitch_mm: f64,
) -> Vec<Otherwise> {
    let own = &rig.seams()[seam];
    let make = |step: i32, number: f64, label: String, change: &dyn Fn(&mut Seam)| {
        let layout = if step == 0 {
            rig.layout().clone()
        } else {
            let mut other = *own;
            change(&mut other);
            rig.relaid(seam, other)?
        };
        Some(Otherwise {
            step,
            number,
            label,
            layout,
        })
    };
    let steps = -SIDE..=SIDE;
    match kind {
        LadderKind::Fold => {
            let value = |step: i32| {
                let by = f64::from(step) * fineness.fold_step_deg();
                let (Turn::AngleDeg(now) | Turn::FoldDeg(now)) = own.turn;
                let word = SeamQuantity::turn_of(own).spec().name;
                let label = format!("{word} {}°", trimmed(now + by));
                make(step, now + by, label, &|other| turn_by(&mut other.turn, by))
            };
            steps.filter_map(value).collect()
        }
        LadderKind::Rise => {
            let value = |step: i32| {
                let number = own.rise_mm + f64::from(step) * fineness.rise_step_mm();
                let label = format!("rise {} mm", trimmed(number));
                make(step, number, label, &|other| other.rise_mm = number)
            };
            steps.filter_map(value).collect()
        }
        LadderKind::Gap => {
            let Some(gap_mm_from_dark_mm) = gap_mm_from_dark_mm(rig, seam) else {
                return Vec::new();
            };
            let dark = rig.layout().dark_mm(seam);
            let value = |step: i32| {
                let by_mm = f64::from(step) * fineness.dark_step_px(pitch_mm) * pitch_mm;
                let (dark_mm, number) = if step == 0 {
                    (dark, own.gap_mm)
                } else {
                    (dark + by_mm, gap_mm_from_dark_mm(dark + by_mm)?)
                };
                let label = format!(
                    "gap {number:.2} mm  dark {dark_mm:.2} mm {:.1} px",
                    dark_mm / pitch_mm
                );
                make(step, number, label, &|other| other.gap_mm = number)
            };
            steps.filter_map(value).collect()
        }
    }
}

/// A value with two decimals, or one where that says as much.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.strip_suffix('0').unwrap_or(&text).to_owned()
}

fn turn_by(turn: &mut Turn, degrees: f64) {
    match turn {
        Turn::AngleDeg(value) | Turn::FoldDeg(value) => *value += degrees,
    }
}

/// Whole pixels by which neighbouring rungs of the gap's ladder differ at least: one,
/// or more where one could hardly be seen.
fn least_step_px(pitch_mm: f64) -> f64 {
    let across = pitch_mm * GAP_SLOPE_DEG.to_radians().sin();
    // A little slack, so that a panel a hair too fine doesn't skip every other pixel.
    (LEAST_STEP_MM / across - 0.1).ceil().max(1.0)
}

/// A function that gives the gap at which a level ruler reads some millimetres across a
/// seam, where there is such a gap; `None` where the gap can't be changed at all.
fn gap_mm_from_dark_mm(rig: &Rig, seam: usize) -> Option<impl Fn(f64) -> Option<f64> + use<>> {
    let own = rig.seams()[seam];
    let gap = own.gap_mm;
    let across = |layout: &Layout| {
        let [left, right] = layout.ruler_mm(seam);
        (right - left).with_y(0.0)
    };
    let between = across(rig.layout());
    // Half of the gap lies along either edge's tangent, both taken in plan, so that
    // it changes no height.
    let gap_mm = gap + 1.0;
    let other = rig.relaid(seam, Seam { gap_mm, ..own })?;
    let per_mm = across(&other) - between;
    Some(move |dark_mm: f64| {
        // |between + g·per_mm| = dark_mm: the root on the file's own side, where the dark
        // grows with the gap unless the lit edges lie behind each other.
        let (a, b) = (per_mm.length_squared(), between.dot(per_mm));
        let c = between.length_squared() - dark_mm * dark_mm;
        let root = (b * b - a * c).sqrt().copysign(b);
        (dark_mm >= 0.0 && root.is_finite() && a > 0.0).then(|| gap + (root - b) / a)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{demos, read};

    /// The dark that is said is the dark that a rig with that gap has, in whole pixels
    /// more or less than now.
    #[test]
    fn gaps_make_the_dark_that_is_said() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("sound");
            for seam in 0..rig.seams().len() {
                for fineness in [Fineness::Coarse, Fineness::Fine] {
                    let pitch = rig.panels()[seam + 1].pitch_mm()[0];
                    let dark = rig.layout().dark_mm(seam);
                    let rungs = values(&rig, seam, LadderKind::Gap, fineness, pitch);
                    let named: Vec<i32> = rungs.iter().map(|rung| rung.step).collect();
                    assert!(named.contains(&0) && named.len() >= 5, "{named:?}");
                    for rung in rungs {
                        let mut parts = rig.parts().clone();
                        parts.seams[seam].gap_mm = rung.number;
                        let made = Rig::new(parts).expect("a rig").layout().dark_mm(seam);
                        let pixels = (made - dark) / pitch;
                        assert!((pixels - pixels.round()).abs() < 1e-9, "{pixels} px");
                        let steps = fineness.pick(4, 1);
                        let whole = pixels.round() as i32;
                        assert_eq!(whole % (steps * rung.step.abs().max(1)), 0, "{pixels}");
                        assert!(whole * rung.step.signum() >= steps * rung.step.abs());
                        assert_eq!(rung.layout.dark_mm(seam), made);
                    }
                }
            }
        }
    }

    #[test]
    fn values_have_one_decimal_or_two() {
        assert_eq!(trimmed(47.3), "47.3");
        assert_eq!(trimmed(47.25), "47.25");
        assert_eq!(trimmed(-2.0), "-2.0");
    }
}
