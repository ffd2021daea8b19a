//! What to do about a rig that stands otherwise than its file says: few moves by
//! hand, and the file corrected.

use super::estimate::Estimate;
use super::priors::Priors;
use super::problem::Problem;
use super::space::Space;
use crate::parts::words::quoted;
use crate::parts::{Measure, PanelQuantity, Parts, SeamQuantity, SeatQuantity};
use crate::readings::Reading;
use crate::rig::Rig;
use crate::seat::{LEAST_GAIN, Residuals, explanations};

/// Most things that a person is asked to move at once.
const MOST_MOVES: usize = 3;

/// Before a panel is touched.
pub const CAUTION: &str = "Before a panel is touched: motion base and wheel motors off; a large or \
     curved display wants a helper to hold it while a screw is loose; keep within the rated load \
     of its mount, and never let it hang by its glass or its cables.";

/// How finely hands set a panel, in the value's unit.
pub(crate) fn by_hand(measure: Measure) -> f64 {
    match measure {
        Measure::Panel(_, PanelQuantity::Roll) => 0.1,
        Measure::Panel(_, PanelQuantity::Tilt)
        | Measure::Seam(_, SeamQuantity::Fold | SeamQuantity::Angle) => 0.3,
        // A seat is shoved about as finely as a person sits.
        Measure::Seat(_) => 5.0,
        _ => 0.5,
    }
}

/// One value that stands otherwise than the file says, and the move that puts it back.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Which value; a turn is a fold.
    pub measure: Measure,
    /// By how much the rig exceeds its file, in the value's unit.
    pub change: f64,
    /// What to do, as one sentence.
    pub words: String,
}

impl Move {
    /// The move that takes a value back to what the file says, where it exceeds that
    /// by `change`; `None` where nothing can be moved for it.
    pub fn back(measure: Measure, parts: &Parts, change: f64) -> Option<Move> {
        let words = words(measure, parts, change)?;
        Some(Move {
            measure,
            change,
            words,
        })
    }

    /// Whether hands can do it finely enough to be of use.
    fn is_worth_it(&self) -> bool {
        self.change.abs() > by_hand(self.measure)
    }

    /// Whether a panel is moved, and not the seat.
    fn is_of_panel(&self) -> bool {
        !matches!(self.measure, Measure::Seat(_))
    }
}

/// The straight way from one lit edge of a panel to the other, in millimetres.
fn across_mm(parts: &Parts, panel: usize) -> f64 {
    let width = parts.panels[panel].size_mm()[0];
    match parts.panels[panel].curve_radius_mm {
        Some(radius) => 2.0 * radius * (width / (2.0 * radius)).sin(),
        None => width,
    }
}

/// How far the end of a panel goes when it is turned about the other.
fn swing_mm(across_mm: f64, turn_deg: f64) -> f64 {
    2.0 * across_mm * (turn_deg.abs().to_radians() / 2.0).sin()
}

fn words(measure: Measure, parts: &Parts, change: f64) -> Option<String> {
    let is_more = change > 0.0;
    let pick = |more: &'static str, less: &'static str| if is_more { more } else { less };
    let amount = measure.spec().show(change.abs());
    let facing = parts.seat.view.panel;
    let panel_name = |index: usize| Some(quoted(&parts.panels.get(index)?.name));
    Some(match measure {
        Measure::Seat(SeatQuantity::Distance) => format!(
            "Take the seat {amount} {} the panels.",
            pick("nearer to", "away from")
        ),
        Measure::Seat(SeatQuantity::Height) => {
            format!("{} the seat by {amount}.", pick("Lower", "Raise"))
        }
        Measure::Seat(SeatQuantity::Offset) => {
            format!("Take the seat {amount} to your {}.", pick("left", "right"))
        }
        Measure::Panel(index, PanelQuantity::Roll) => {
            let name = panel_name(index)?;
            let swing = swing_mm(across_mm(parts, index), change);
            format!(
                "Turn {name} {} as you see it by {amount}: its right end goes {} by {swing:.1} mm \
                 against its left end.",
                pick("clockwise", "counter-clockwise"),
                pick("down", "up")
            )
        }
        Measure::Panel(index, PanelQuantity::Tilt) => {
            let name = panel_name(index)?;
            let swing = swing_mm(parts.panels[index].size_mm()[1], change);
            format!(
                "Lean the top of {name} {} you by {amount}: {swing:.1} mm from its lower edge to \
                 its upper one.",
                pick("towards", "away from")
            )
        }
        Measure::Seam(seam, what) => {
            // The panel farther from the facing one is the one that moves.
            let is_right = seam >= facing;
            let (mover, other) = if is_right {
                (seam + 1, seam)
            } else {
                (seam, seam + 1)
            };
            let (name, other) = (panel_name(mover)?, panel_name(other)?);
            let is_last = mover == 0 || mover + 1 == parts.panels.len();
            let along = if is_last {
                ""
            } else {
                ", and what stands beyond with it"
            };
            match what {
                SeamQuantity::Fold | SeamQuantity::Angle => {
                    let outer = if is_right { "right" } else { "left" };
                    let swing = swing_mm(across_mm(parts, mover), change);
                    format!(
                        "Turn the {outer} edge of {name} {} you by {swing:.1} mm, about its other \
                         edge ({amount}){along}.",
                        pick("away from", "towards")
                    )
                }
                SeamQuantity::Gap => format!(
                    "Move {name} {amount} {} {other}{along}.",
                    pick("closer to", "away from")
                ),
                SeamQuantity::Step => {
                    let is_nearer = is_more == is_right;
                    let way = if is_nearer { "away from" } else { "towards" };
                    format!(
                        "At seam {} move {name} {amount} {way} you{along}.",
                        seam + 1
                    )
                }
                SeamQuantity::Rise => {
                    let is_higher = is_more == is_right;
                    let way = if is_higher { "Lower" } else { "Raise" };
                    format!("{way} {name} by {amount}{along}.")
                }
                SeamQuantity::Hidden => return None,
            }
        }
        Measure::Panel(..) => return None,
    })
}

/// What to do about the readings taken on a rig, step by step.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The readings to take again first, by their place in the list.
    pub again: Vec<usize>,
    /// The fewest moves that explain the readings; empty where moving by hand would
    /// not make the rig better than correcting its file does.
    pub moves: Vec<Move>,
}

impl Advice {
    /// Of the readings that gave an estimate.
    pub fn new(rig: &Rig, readings: &[Reading], priors: &Priors, estimate: &Estimate) -> Advice {
        let again = estimate.fits().iter().enumerate();
        let again = again.filter(|(_, fit)| fit.repeat).map(|(index, _)| index);
        Advice {
            again: again.collect(),
            moves: fewest(rig, readings, priors),
        }
    }

    /// One sentence a step, in the order to take them. `how` says how the file is
    /// corrected: "with --out".
    pub fn steps(&self, readings: &[Reading], how: &str) -> Vec<String> {
        let mut steps: Vec<String> = (self.again.iter())
            .filter_map(|&index| {
                let reading = readings.get(index)?;
                let why = if reading.is_apart() {
                    "its two slides differ by more than chance makes them"
                } else {
                    "it doesn't go with the others"
                };
                Some(format!(
                    "Take reading {} again, at seam {}: {why}.",
                    index + 1,
                    reading.line.seam + 1
                ))
            })
            .collect();
        steps.extend(in_order(&self.moves, how, "read again"));
        steps
    }
}

/// One sentence a step: the moves, what to mind, and the file. `again` says how it is
/// seen what is left: "read again".
pub(crate) fn in_order(moves: &[Move], how: &str, again: &str) -> Vec<String> {
    if moves.is_empty() {
        return vec![format!(
            "Nothing has to be moved: correct the file, {how}, and {again} to see what is left."
        )];
    }
    let caution = moves
        .iter()
        .any(Move::is_of_panel)
        .then(|| CAUTION.to_owned());
    let moved = moves.iter().map(|one| one.words.clone());
    let file = format!(
        "Then {again}, and correct the file with the rest, {how}: hands set a panel to about 0.5 \
         mm, 0.3° and 0.1° of roll. Or leave all as it stands, and correct the file now."
    );
    caution.into_iter().chain(moved).chain([file]).collect()
}

/// The few moves that explain what was read, where they do and hands are fine enough.
fn fewest(rig: &Rig, readings: &[Reading], priors: &Priors) -> Vec<Move> {
    let space = Space::new(rig, priors);
    let problem = Problem::new(rig, readings, &space);
    let by_sigma: Vec<(Measure, f64)> = (priors.measures.iter().copied())
        .zip(priors.sigma.iter().copied())
        .collect();
    explaining(rig.parts(), &problem, &by_sigma, readings.len())
}

/// The few moves that explain `count` residuals, where they do and hands are fine enough;
/// the problem's values are these numbers, each in steps of so much.
pub(crate) fn explaining(
    parts: &Parts,
    problem: &impl Residuals,
    values: &[(Measure, f64)],
    count: usize,
) -> Vec<Move> {
    let found = explanations(problem, MOST_MOVES);
    let Some(best) = found.last() else {
        return Vec::new();
    };
    // About as much as chance leaves, by three of its standard deviations, and what a
    // move is worth that the search left out.
    let count = count as f64;
    let is_enough = best.cost <= count + 3.0 * (2.0 * count).sqrt() + LEAST_GAIN;
    if !is_enough {
        return Vec::new();
    }
    let moves = best.changes.iter().map(|&(value, by)| {
        let (measure, sigma) = values[value];
        Move::back(measure, parts, by * sigma)
    });
    // A value that nothing can be moved for is put right in the file, with all others.
    let moves: Option<Vec<Move>> = moves.collect();
    moves
        .filter(|moves| moves.iter().all(Move::is_worth_it))
        .unwrap_or_default()
}
