//! The pattern's layers, and choosing among them by name.

use std::fmt;
use std::str::FromStr;

use crate::parts::Misread;

/// One layer of the pattern, in drawing order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Perspective grid of the surroundings.
    Grid,
    /// Long diagonals over every seam.
    Diagonals,
    /// The level line at eye height.
    Horizon,
    /// Rungs that name a seam's true gap and fold.
    Ladders,
    /// Pixel, millimetre and elevation scales along the seams' lit edges.
    Rulers,
    /// Names, numbers and the key to the marks.
    Labels,
    /// Patches that go wrong where a picture's pixels aren't the glass's.
    Scaling,
    /// A card and bars at true size.
    Gauge,
    /// Greys and gammas beside the seams.
    Tones,
    /// Bars that sweep over the rig, and the frame's number at every seam.
    Motion,
    /// A field of checks, by whose photographs the rig is measured.
    Marks,
}

impl Layer {
    /// Every layer, in drawing order.
    pub const ALL: [Layer; 11] = [
        Layer::Grid,
        Layer::Diagonals,
        Layer::Horizon,
        Layer::Ladders,
        Layer::Rulers,
        Layer::Labels,
        Layer::Scaling,
        Layer::Gauge,
        Layer::Tones,
        Layer::Motion,
        Layer::Marks,
    ];

    /// Its name on the command line and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Layer::Grid => "grid",
            Layer::Diagonals => "diagonals",
            Layer::Horizon => "horizon",
            Layer::Ladders => "ladders",
            Layer::Rulers => "rulers",
            Layer::Labels => "labels",
            Layer::Scaling => "scaling",
            Layer::Gauge => "gauge",
            Layer::Tones => "tones",
            Layer::Motion => "motion",
            Layer::Marks => "marks",
        }
    }
}

/// A set of layers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layers(u16);

impl Layers {
    /// No layer: plain black.
    pub const NONE: Layers = Layers(0);
    /// The six layers of alignment, which `all` names.
    pub const ALL: Layers = Layers((1 << 6) - 1);

    /// Whether the set holds a layer.
    pub fn has(self, layer: Layer) -> bool {
        self.0 & (1 << layer as u16) != 0
    }

    /// The set with one more layer.
    pub fn with(self, layer: Layer) -> Layers {
        Layers(self.0 | (1 << layer as u16))
    }

    /// The set without one layer.
    pub fn without(self, layer: Layer) -> Layers {
        Layers(self.0 & !(1 << layer as u16))
    }

    /// What of the set another program draws, too: guides, since all else is this
    /// program's own.
    pub fn guides(self) -> Layers {
        let guides = [Layer::Grid, Layer::Diagonals, Layer::Horizon];
        let kept = guides.into_iter().filter(|layer| self.has(*layer));
        kept.fold(Layers::NONE, Layers::with)
    }
}

/// Reads a comma-separated list of layer names, or `all`, or `none`.
impl FromStr for Layers {
    type Err = Misread;

    fn from_str(list: &str) -> Result<Layers, Misread> {
        match list.trim() {
            "all" => return Ok(Layers::ALL),
            "none" => return Ok(Layers::NONE),
            _ => {}
        }
        let mut layers = Layers::NONE;
        for name in list.split(',').map(str::trim) {
            layers = match Layer::ALL.iter().find(|layer| layer.name() == name) {
                Some(&layer) => layers.with(layer),
                None => return Err(Misread::new(unknown(name))),
            };
        }
        Ok(layers)
    }
}

fn unknown(name: &str) -> String {
    let near = Layer::ALL
        .iter()
        .map(|layer| layer.name())
        .filter(|known| strsim::damerau_levenshtein(known, name) <= 2)
        .min_by_key(|known| strsim::damerau_levenshtein(known, name));
    let list = Layer::ALL.map(Layer::name).join(", ");
    match near {
        Some(near) => format!("unknown layer \"{name}\"; did you mean \"{near}\"?"),
        None => format!("unknown layer \"{name}\"; use some of {list}, or all, or none"),
    }
}

impl fmt::Display for Layer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_name_sets() {
        let two = "horizon, grid".parse::<Layers>().expect("both exist");
        assert!(two.has(Layer::Horizon) && two.has(Layer::Grid) && !two.has(Layer::Labels));
        assert_eq!("all".parse(), Ok(Layers::ALL));
        assert_eq!("none".parse(), Ok(Layers::NONE));
        assert_eq!("motion".parse(), Ok(Layers::NONE.with(Layer::Motion)));
        assert!(!Layers::ALL.has(Layer::Motion));
        assert_eq!("marks".parse(), Ok(Layers::NONE.with(Layer::Marks)));
        assert!(!Layers::ALL.has(Layer::Marks));
        assert_eq!(
            Layers::ALL.without(Layer::Grid).with(Layer::Grid),
            Layers::ALL
        );
    }

    #[test]
    fn mistakes_name_the_remedy() {
        let text = |list| Layers::from_str(list).expect_err("not a layer").to_string();
        assert_eq!(
            text("horizn"),
            "unknown layer \"horizn\"; did you mean \"horizon\"?"
        );
        assert!(text("mark").contains("did you mean \"marks\"?"));
        assert!(text("").contains("use some of grid, diagonals"));
    }
}
