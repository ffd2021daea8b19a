//! Colours that people with any colour vision tell apart, on black.
//!
//! The hues are from M. Okabe and K. Ito, *Color Universal Design* (2008), from
//! memory; the layers also differ in line width, shape and label, so that none
//! carries its meaning by colour alone.

use super::{LadderKind, Layer};
use crate::light::Colour;

/// The grid: dim, so that it stays behind everything else.
pub(super) const GRID: Colour = Colour([110, 110, 110]);
/// The horizon.
pub(super) const HORIZON: Colour = Colour([255, 255, 255]);
/// The diagonals: sky blue.
pub(super) const DIAGONALS: Colour = Colour([86, 180, 233]);
/// Rungs of the gap's ladder: orange.
const GAP: Colour = Colour([230, 159, 0]);
/// Rungs of the fold's ladder: yellow.
const FOLD: Colour = Colour([240, 228, 66]);
/// Rungs of the rise's ladder: reddish purple.
const RISE: Colour = Colour([204, 121, 167]);
/// The rung that is chosen.
pub(super) const LIT: Colour = Colour([255, 255, 255]);
/// Scales.
pub(super) const RULERS: Colour = Colour([200, 200, 200]);
/// Text that must be read.
pub(super) const TEXT: Colour = Colour([235, 235, 235]);
/// Text that explains.
pub(super) const NOTE: Colour = Colour([170, 170, 170]);

/// Colour of a ladder's rungs and of their labels.
pub(super) fn ladder(kind: LadderKind) -> Colour {
    match kind {
        LadderKind::Fold => FOLD,
        LadderKind::Gap => GAP,
        LadderKind::Rise => RISE,
    }
}

/// Colour and width in pixels of a layer's lines.
pub(super) fn line(layer: Layer) -> (Colour, f64) {
    match layer {
        Layer::Grid => (GRID, 1.0),
        Layer::Diagonals => (DIAGONALS, 2.0),
        Layer::Horizon => (HORIZON, 3.0),
        Layer::Ladders => (GAP, 2.0),
        Layer::Rulers => (RULERS, 1.0),
        Layer::Labels
        | Layer::Scaling
        | Layer::Gauge
        | Layer::Tones
        | Layer::Motion
        | Layer::Marks => (TEXT, 1.0),
    }
}
