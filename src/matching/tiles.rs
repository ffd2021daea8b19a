//! Which part of the canvas goes onto which display.

use super::rect::DesktopRect;
use super::words::sentences;
use super::{Matching, has_places};
use crate::display::Display;
use crate::rig::{PxRect, Rig};

/// A piece of one panel's picture on one display, pixel for pixel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tile {
    /// Index of the panel.
    pub panel: usize,
    /// Index of the display.
    pub display: usize,
    /// The piece, in canvas pixels; it lies inside the panel's rectangle.
    pub source: PxRect,
    /// Where its top-left pixel goes, in the display's pixels.
    pub at_px: [u32; 2],
}

/// Where every panel's picture goes.
///
/// # Guarantees
///
/// Every tile lies inside its display, and tiles do not overlap. The displays of
/// a panel's tiles are its carriers in the [`Matching`], and there is a sentence
/// where that has a fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placement {
    /// The pieces.
    pub tiles: Vec<Tile>,
    /// One sentence for everything that isn't as the rig says.
    pub mismatches: Vec<String>,
    claimed: Vec<bool>,
}

impl Placement {
    /// Places a rig on the connected displays as well as it goes; a missing one is
    /// no error, but a sentence.
    pub fn new(rig: &Rig, displays: &[Display]) -> Placement {
        if displays.is_empty() {
            return Placement {
                tiles: Vec::new(),
                mismatches: vec!["no display is connected".to_owned()],
                claimed: Vec::new(),
            };
        }
        let matching = Matching::new(rig, displays);
        let tiles = matching.tiles(rig, displays);
        let shows = |display: usize| tiles.iter().any(|tile| tile.display == display);
        let rects: Vec<_> = displays.iter().map(DesktopRect::of).collect();
        let has_places = has_places(displays);
        let is_claimed = |display: usize| {
            let shares = |other: usize| has_places && rects[other].overlaps(&rects[display]);
            (0..displays.len()).any(|other| shows(other) && (other == display || shares(other)))
        };
        Placement {
            claimed: (0..displays.len()).map(is_claimed).collect(),
            mismatches: sentences(&matching, rig, displays),
            tiles,
        }
    }

    /// Whether a panel's picture is on that display, or on one that shows a part
    /// of the same desktop, as mirrors do.
    pub fn is_claimed(&self, display: usize) -> bool {
        self.claimed.get(display).copied().unwrap_or(false)
    }
}

impl Matching {
    fn tiles(&self, rig: &Rig, displays: &[Display]) -> Vec<Tile> {
        let mut tiles = Vec::new();
        for (panel, carriers) in self.carriers.iter().enumerate() {
            for carrier in carriers {
                let size_px = displays[carrier.display].size_px;
                let piece = seen(rig.canvas().panels[panel], carrier.corner_px, size_px);
                tiles.extend(piece.map(|(source, at_px)| Tile {
                    panel,
                    display: carrier.display,
                    source,
                    at_px,
                }));
            }
        }
        tiles
    }
}

/// The part of a panel's picture that a display of that size shows, and where,
/// if the panel's corner lies there.
fn seen(panel: PxRect, corner_px: [i64; 2], size_px: [u32; 2]) -> Option<(PxRect, [u32; 2])> {
    let axis = |length: u32, corner: i64, room: u32| {
        let from = (-corner).max(0);
        let to = i64::from(length).min(i64::from(room) - corner);
        // All three lie within the panel or the display.
        (to > from).then(|| (from as u32, (to - from) as u32, (corner + from) as u32))
    };
    let (x, w, at_x) = axis(panel.w, corner_px[0], size_px[0])?;
    let (y, h, at_y) = axis(panel.h, corner_px[1], size_px[1])?;
    let source = PxRect {
        x: panel.x + x,
        y: panel.y + y,
        w,
        h,
    };
    Some((source, [at_x, at_y]))
}
