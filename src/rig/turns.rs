//! Turns of seams that were likely given otherwise than a rig file means them.

use crate::geometry::Layout;
use crate::parts::words::{number, quoted};
use crate::parts::{Flaw, Parts, SeamQuantity, Subject, Table, Turn};

/// Turns outward from here on are unlikely. An own choice: panels in a row may
/// be folded a little either way.
const OUTWARD_DEG: f64 = -5.0;

/// Turns inward up to here are likely. An own choice: a wall and its side walls
/// turn by 90 degrees.
const INWARD_DEG: f64 = 100.0;

/// What an unlikely turn was likely meant to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Meant {
    /// The same one inward, in degrees.
    Inward(f64),
    /// The turn that belongs to the angle between the panels, in degrees.
    Inside(f64),
}

impl Meant {
    /// What is meant by a seam's turn; `None` for a likely one.
    pub(crate) fn by(turn: Turn) -> Option<Meant> {
        let (Turn::AngleDeg(deg) | Turn::FoldDeg(deg)) = turn;
        if deg.abs() > INWARD_DEG {
            Some(Meant::Inside(180.0 - deg.abs()))
        } else if deg < OUTWARD_DEG {
            Some(Meant::Inward(-deg))
        } else {
            None
        }
    }

    fn deg(self) -> f64 {
        let (Meant::Inward(deg) | Meant::Inside(deg)) = self;
        deg
    }
}

/// The same parts with every unlikely turn as it was likely meant.
pub(crate) fn mended(parts: &Parts) -> Parts {
    let mut parts = parts.clone();
    for seam in &mut parts.seams {
        if let Some(meant) = Meant::by(seam.turn) {
            match &mut seam.turn {
                Turn::AngleDeg(deg) | Turn::FoldDeg(deg) => *deg = meant.deg(),
            }
        }
    }
    parts
}

/// The flaw of a panel that doesn't face the eye, put down to a seam's turn where
/// one between that panel and the eye's is unlikely and the mended parts have no
/// such flaw.
pub(super) fn explained(parts: &Parts, flaw: Flaw) -> Flaw {
    let Table::Panel(panel) = flaw.subject.table else {
        return flaw;
    };
    let facing = parts.seat.view.panel;
    let between = facing.min(panel)..facing.max(panel);
    let unlikely = between.into_iter().find_map(|seam| {
        let meant = Meant::by(parts.seams[seam].turn)?;
        Some((seam, meant))
    });
    match unlikely {
        Some((seam, meant)) if Layout::facing(&mended(parts)).is_ok() => {
            turned(parts, panel, seam, meant)
        }
        _ => flaw,
    }
}

fn turned(parts: &Parts, panel: usize, seam: usize, meant: Meant) -> Flaw {
    let turn = parts.seams[seam].turn;
    let key = SeamQuantity::turn_of(&parts.seams[seam]).spec().key;
    let (Turn::AngleDeg(deg) | Turn::FoldDeg(deg)) = turn;
    let remedy = match meant {
        Meant::Inward(meant) => format!(
            "positive folds the right-hand panel in, towards the viewer, so write {}",
            number(meant)
        ),
        Meant::Inside(meant) => format!(
            "that looks like the angle between the two panels, so write how far the right-hand \
             one turns in instead, 180 - {} = {}",
            number(deg.abs()),
            tidy(meant)
        ),
    };
    Flaw {
        subject: Subject::seam(seam, key),
        text: format!(
            "`{key}` is {}, with which panel {} does not face the eye: {remedy}",
            number(deg),
            quoted(&parts.panels[panel].name),
        ),
    }
}

/// A difference without the digits that only its subtraction brought in.
pub(crate) fn tidy(value: f64) -> String {
    number((value * 1e6).round() / 1e6)
}
