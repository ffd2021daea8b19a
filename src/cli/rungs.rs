//! The arguments that choose ladders and how far apart their rungs are.

use std::str::FromStr;

use clap::{Args, ValueEnum};
use throughline::pattern::{Fineness, LadderKind, Ladders};
use throughline::rig::Rig;

use crate::files::Failure;

/// Which ladders are drawn, and how.
#[derive(Debug, Clone, Args)]
pub(crate) struct LadderArguments {
    /// How far apart the values of the ladders' rungs are: coarse for a first
    /// reading, fine for the last
    #[arg(long, value_name = "STEPS", value_enum, default_value = "coarse")]
    rungs: Rungs,

    /// Draw this ladder alone, with all its rungs: a seam's number from the left
    /// and fold, gap or rise, such as 2:gap
    #[arg(long, value_name = "SEAM:VALUE")]
    ladder: Option<Chosen>,
}

/// How far apart the values of the ladders' rungs are.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Rungs {
    Coarse,
    Fine,
}

/// A ladder: its seam's number, and what it names.
#[derive(Debug, Clone, Copy)]
struct Chosen {
    seam: usize,
    kind: LadderKind,
}

impl FromStr for Chosen {
    type Err = Failure;

    fn from_str(text: &str) -> Result<Chosen, Failure> {
        let chosen = text.split_once(':').and_then(|(seam, value)| {
            let kind = match value {
                "fold" | "angle" => LadderKind::Fold,
                "gap" => LadderKind::Gap,
                "rise" => LadderKind::Rise,
                _ => return None,
            };
            let seam = seam.parse().ok().filter(|seam| *seam > 0)?;
            Some(Chosen { seam, kind })
        });
        chosen.ok_or_else(|| {
            Failure::new(
                "expected a seam's number from 1 at the left, a colon, and fold, gap or rise, \
                 such as 2:gap",
            )
        })
    }
}

impl LadderArguments {
    /// The ladders that are asked for.
    ///
    /// # Errors
    ///
    /// Where the rig has no such seam.
    pub(crate) fn ladders(&self, rig: &Rig) -> Result<Ladders, Failure> {
        let count = rig.seams().len();
        if let Some(Chosen { seam, .. }) = self.ladder.filter(|chosen| chosen.seam > count) {
            return Err(Failure::new(format!(
                "there is no seam {seam}: this rig has {count}, counted from 1 at the left; \
                 correct --ladder"
            )));
        }
        Ok(Ladders {
            seam: self.ladder.map(|chosen| chosen.seam - 1),
            kind: self.ladder.map(|chosen| chosen.kind),
            fineness: match self.rungs {
                Rungs::Coarse => Fineness::Coarse,
                Rungs::Fine => Fineness::Fine,
            },
            lit: None,
        })
    }
}
