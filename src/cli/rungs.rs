//! The argument that says how far apart the ladders' rungs are.

use clap::ValueEnum;
use throughline::pattern::{Fineness, Ladders};

/// How far apart the values of the ladders' rungs are.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum Rungs {
    Coarse,
    Fine,
}

impl Rungs {
    /// Every seam's ladders, with such rungs.
    pub(crate) fn ladders(self) -> Ladders {
        Ladders {
            fineness: match self {
                Rungs::Coarse => Fineness::Coarse,
                Rungs::Fine => Fineness::Fine,
            },
            ..Ladders::default()
        }
    }
}
