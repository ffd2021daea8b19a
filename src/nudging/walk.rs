//! The walk from the glass to straight lines: first what checks the glass itself, then
//! readings line by line, then the whole.

use crate::pattern::{Layer, Layers};
use crate::solve::{MOST_A_SEAM, Purpose};

/// A step of the walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Each panel's size, by a card.
    Sizes,
    /// Whether a picture's pixels are the glass's.
    Pixels,
    /// Whether the displays show the same moment.
    Refresh,
    /// Whether greys look alike on both sides of the seams.
    Tones,
    /// Whether the facing panel is level.
    Level,
    /// How to keep the head still.
    Head,
    /// Heights, on the horizon.
    Heights,
    /// Folds, on lanes.
    Folds,
    /// The distance, on lines across the floor and the sky.
    Distance,
    /// Gaps, on slanted lines.
    Gaps,
    /// Folds once more, now that all else is known better.
    FoldsAgain,
    /// Whatever is known least.
    Rest,
    /// A look at the whole, and what to do.
    Whole,
}

impl Step {
    /// All, in order: lines can't tell a size, and no nudge makes up for a scaler.
    pub const ALL: [Step; 13] = [
        Step::Sizes,
        Step::Pixels,
        Step::Refresh,
        Step::Tones,
        Step::Level,
        Step::Head,
        Step::Heights,
        Step::Folds,
        Step::Distance,
        Step::Gaps,
        Step::FoldsAgain,
        Step::Rest,
        Step::Whole,
    ];

    /// What lines are read for in it, and how many of every seam are read once it is
    /// through; `None` where none are.
    pub fn reads(self) -> Option<(Purpose, usize)> {
        Some(match self {
            Step::Heights => (Purpose::Heights, 1),
            Step::Folds => (Purpose::Folds, 3),
            Step::Distance => (Purpose::Distance, 4),
            Step::Gaps => (Purpose::Gaps, 6),
            Step::FoldsAgain => (Purpose::Folds, 7),
            Step::Rest => (Purpose::Whatever, MOST_A_SEAM),
            _ => return None,
        })
    }

    /// Its number from 1.
    pub fn number(self) -> usize {
        self as usize + 1
    }

    /// The step that is so many further on, if there is one.
    pub fn onward(self, by: isize) -> Option<Step> {
        let at = (self as usize).checked_add_signed(by)?;
        Step::ALL.get(at).copied()
    }

    /// What is drawn meanwhile.
    pub fn layers(self) -> Layers {
        let layer = match self {
            Step::Sizes => Layer::Gauge,
            Step::Pixels => Layer::Scaling,
            // Standing still until somebody starts it.
            Step::Refresh => Layer::Motion,
            Step::Tones => Layer::Tones,
            Step::Level => Layer::Horizon,
            Step::Whole => return Layers::ALL.without(Layer::Ladders),
            _ => return Layers::NONE,
        };
        Layers::NONE.with(layer)
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Step::Sizes => "sizes",
            Step::Pixels => "pixel for pixel",
            Step::Refresh => "refresh",
            Step::Tones => "greys and gamma",
            Step::Level => "level",
            Step::Head => "keep your head still",
            Step::Heights => "heights, on the horizon",
            Step::Folds => "folds, on lanes",
            Step::Distance => "distance, on lines across floor and sky",
            Step::Gaps => "gaps, on slanted lines",
            Step::FoldsAgain => "folds once more",
            Step::Rest => "whatever is known least",
            Step::Whole => "the whole",
        }
    }

    /// What to do, and what to look for.
    pub fn task(self) -> &'static str {
        match self {
            Step::Sizes => {
                "Hold a bank card to the outline on each panel: it must fill it, its edges inside \
                 the line. Where it doesn't, Up and Down change that panel's size; where it fits one \
                 way only, X parts its width from its height, and Left and Right choose between them. \
                 Home and End go to the other panels."
            }
            Step::Pixels => {
                "On each panel look at the patches: even greys and one set of rings are right; \
                 stripes, waves or more rings mean that something scales the picture. Look for two \
                 thin lines along each border. Cure it in the system's or the display's settings."
            }
            Step::Refresh => {
                "M sweeps two bars over the whole rig, and any key stops them. Each must run through \
                 the seams without a jump and without shaking on one panel: where it doesn't, that \
                 display lags, drops frames or runs at another rate. A photograph of a seam with a \
                 short exposure tells by how many frames: throughline frames PHOTO."
            }
            Step::Tones => {
                "At each seam make both sides alike in the displays' own menus, in this order: \
                 brightness, contrast, white, gamma."
            }
            Step::Level => {
                "Lay a spirit level on the case of the panel straight ahead and turn the panel until \
                 it is level, or turn its roll in the file: no line can tell it, since all lines turn \
                 with the whole rig."
            }
            Step::Head => {
                "Clamp a card with a small hole to the seat, where your better eye is, and look \
                 through the hole with the other eye closed; without a card, lean your head on a \
                 headrest. A head that sways by a few millimetres moves lines more than a wrong \
                 panel does, and the bare eye bends slanted lines across a gap: sight along a \
                 straightedge or a taut string."
            }
            Step::Whole => "Look at the whole: every line should run straight through the seams.",
            _ => {
                "Hold the straightedge in the line of sight along the left part, which stands. Up and \
                 Down slide the right part, Page up and Page down faster, until it lies along the \
                 straightedge between its two ticks; then Enter."
            }
        }
    }
}
