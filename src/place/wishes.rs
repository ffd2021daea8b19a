//! What a person wants of a plan.

use std::fmt;

use super::lever::Moves;
use crate::fit::Free;

/// Which rectangle the program's window may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WindowKind {
    /// All of it lies on every panel's rows.
    Inside,
    /// It reaches to the farthest row of any panel, and over the others' edges.
    Hanging,
    /// The whole canvas, cut into the panels' views.
    Fixed,
}

/// What a person wants.
#[derive(Debug, Clone, PartialEq)]
pub struct Wishes {
    /// Which window; left open, inside, and without one where furniture is moved.
    pub window: Option<WindowKind>,
    /// How many columns each panel carries; left open, the best.
    pub columns: Option<Vec<u32>>,
    /// Cuts may fall anywhere, not on seams alone.
    pub are_cuts_anywhere: bool,
    /// Which column is straight ahead, from 1; left open, the middle.
    pub ahead: Option<u32>,
    /// What may be moved.
    pub moves: Moves,
    /// Share of the span seen today that must stay.
    pub keep_span: f64,
    /// What a jump counts, where the rms counts one.
    pub jump_weight: f64,
    /// Which numbers are typed; the rest keeps the rig's own value.
    pub free: Free,
}

impl Default for Wishes {
    fn default() -> Wishes {
        Wishes {
            window: None,
            columns: None,
            are_cuts_anywhere: false,
            ahead: None,
            moves: Moves::Open,
            keep_span: 0.95,
            jump_weight: 0.0,
            free: Free::default(),
        }
    }
}

impl Wishes {
    /// Whether nothing was asked for but the numbers.
    pub(crate) fn are_open(&self) -> bool {
        self.window.is_none()
            && self.columns.is_none()
            && !self.are_cuts_anywhere
            && self.ahead.is_none()
            && self.moves == Moves::Open
    }
}

/// Why a wish can't be met: one sentence that says what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Impossible(pub(crate) String);

impl fmt::Display for Impossible {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Impossible {}
