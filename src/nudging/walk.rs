//! The walk through what checks the glass itself, before any line is read.

use crate::pattern::{Layer, Layers};

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
}

impl Step {
    /// All, in order: lines can't tell a size, and no nudge makes up for a scaler.
    pub const ALL: [Step; 4] = [Step::Sizes, Step::Pixels, Step::Refresh, Step::Tones];

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
        Layers::NONE.with(match self {
            Step::Sizes => Layer::Gauge,
            Step::Pixels => Layer::Scaling,
            // Standing still until somebody starts it.
            Step::Refresh => Layer::Motion,
            Step::Tones => Layer::Tones,
        })
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Step::Sizes => "sizes",
            Step::Pixels => "pixel for pixel",
            Step::Refresh => "refresh",
            Step::Tones => "greys and gamma",
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
        }
    }
}
