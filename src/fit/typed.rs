//! The numbers that people type into a program with one camera a screen.

use super::flat_views::FlatViews;

/// A number that people type into a program with one camera a screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Typed {
    /// Turn from each screen to the next.
    Angle,
    /// Eye to the facing screen's middle.
    Distance,
    /// Lit width of each screen.
    Width,
    /// Lit edge to case edge, at each side of each screen.
    Bezel,
}

impl Typed {
    /// All, in the order in which they are named.
    pub const ALL: [Typed; 4] = [Typed::Angle, Typed::Distance, Typed::Width, Typed::Bezel];

    /// What it is called on the command line and in what is written.
    pub fn name(self) -> &'static str {
        match self {
            Typed::Angle => "angle",
            Typed::Distance => "distance",
            Typed::Width => "width",
            Typed::Bezel => "bezel",
        }
    }

    /// The number with that name.
    pub fn named(name: &str) -> Option<Typed> {
        Typed::ALL.into_iter().find(|typed| typed.name() == name)
    }

    /// Least and greatest that a person can type, in radians or millimetres.
    pub fn bounds(self) -> [f64; 2] {
        match self {
            Typed::Angle => [0.0, 85_f64.to_radians()],
            Typed::Distance => [150.0, 3000.0],
            Typed::Width => [50.0, 3000.0],
            Typed::Bezel => [0.0, 300.0],
        }
    }

    /// The model's, in radians or millimetres.
    pub fn get(self, model: &FlatViews) -> f64 {
        match self {
            Typed::Angle => model.angle_rad,
            Typed::Distance => model.distance_mm,
            Typed::Width => model.width_mm,
            Typed::Bezel => model.bezel_mm,
        }
    }

    /// The model with another number, in radians or millimetres; the height keeps
    /// its proportion to the width.
    pub fn put(self, model: FlatViews, number: f64) -> FlatViews {
        match self {
            Typed::Angle => FlatViews {
                angle_rad: number,
                ..model
            },
            Typed::Distance => FlatViews {
                distance_mm: number,
                ..model
            },
            Typed::Width => model.with_width_mm(number),
            Typed::Bezel => FlatViews {
                bezel_mm: number,
                ..model
            },
        }
    }
}
