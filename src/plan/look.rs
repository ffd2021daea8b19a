//! How strokes look on paper.

use super::drawing::Stroke;
use crate::light::Colour;

/// A line's pen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    pub colour: Colour,
    pub width_mm: f64,
    /// Whether its ends, and those of its dashes, are round.
    pub is_round: bool,
    /// Lengths drawn and left out in turn.
    pub dashes_mm: Option<[f64; 2]>,
}

/// An area's colour and its line's pen, where it has them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Look {
    pub fill: Option<Colour>,
    pub line: Option<Pen>,
}

const fn grey(code: u8) -> Colour {
    Colour([code; 3])
}

const fn pen(code: u8, width_mm: f64) -> Pen {
    Pen {
        colour: grey(code),
        width_mm,
        is_round: false,
        dashes_mm: None,
    }
}

impl Stroke {
    pub(super) fn look(self) -> Look {
        let line = |line: Pen| Look {
            fill: None,
            line: Some(line),
        };
        let area = |code: u8| Look {
            fill: Some(grey(code)),
            line: None,
        };
        match self {
            Stroke::Lit => line(pen(0, 0.7)),
            Stroke::Faint => line(pen(0x9a, 0.15)),
            Stroke::Case => Look {
                line: Some(pen(0x55, 0.12)),
                ..area(0xc9)
            },
            Stroke::Sight => line(Pen {
                dashes_mm: Some([1.6, 0.9]),
                ..pen(0x44, 0.13)
            }),
            Stroke::Axis => line(Pen {
                is_round: true,
                dashes_mm: Some([0.05, 0.75]),
                ..pen(0x44, 0.2)
            }),
            Stroke::Measure => line(pen(0, 0.18)),
            Stroke::Leader => line(pen(0x77, 0.1)),
            Stroke::Eye => area(0x22),
            Stroke::Blank => area(0xff),
            Stroke::Cut => line(pen(0, 0.1)),
        }
    }
}
