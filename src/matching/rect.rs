//! Rectangles on the virtual desktop.

use crate::display::Display;

/// A rectangle of whole pixels on the virtual desktop, where positions may be
/// negative: x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DesktopRect {
    /// Leftmost column.
    pub x: i64,
    /// Topmost row.
    pub y: i64,
    /// Columns.
    pub w: i64,
    /// Rows.
    pub h: i64,
}

impl DesktopRect {
    /// What a display shows of the desktop.
    pub fn of(display: &Display) -> DesktopRect {
        let [x, y] = display.position_px.map(i64::from);
        let [w, h] = display.size_px.map(i64::from);
        DesktopRect { x, y, w, h }
    }

    /// The first column to the right of it.
    pub fn right(&self) -> i64 {
        self.x + self.w
    }

    /// The first row below it.
    pub fn bottom(&self) -> i64 {
        self.y + self.h
    }

    /// The same, so much farther right and down.
    pub fn moved(&self, [dx, dy]: [i64; 2]) -> DesktopRect {
        DesktopRect {
            x: self.x + dx,
            y: self.y + dy,
            ..*self
        }
    }

    /// How far its top-left corner is right of and below another's.
    pub fn from(&self, other: &DesktopRect) -> [i64; 2] {
        [self.x - other.x, self.y - other.y]
    }

    /// Whether the whole of another rectangle lies inside it.
    pub fn holds(&self, other: &DesktopRect) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && self.right() >= other.right()
            && self.bottom() >= other.bottom()
    }

    /// Columns and rows that both cover; none where either is not positive.
    pub fn shared(&self, other: &DesktopRect) -> [i64; 2] {
        [
            self.right().min(other.right()) - self.x.max(other.x),
            self.bottom().min(other.bottom()) - self.y.max(other.y),
        ]
    }

    /// Whether a pixel belongs to both.
    pub fn overlaps(&self, other: &DesktopRect) -> bool {
        self.shared(other).iter().all(|&side| side > 0)
    }

    /// How many pixels belong to both.
    pub fn shared_area(&self, other: &DesktopRect) -> i128 {
        let [w, h] = self.shared(other).map(i128::from);
        w.max(0) * h.max(0)
    }

    /// How many pixels it has.
    pub fn area(&self) -> i128 {
        i128::from(self.w) * i128::from(self.h)
    }

    /// The smallest rectangle that holds both.
    pub fn around(&self, other: &DesktopRect) -> DesktopRect {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        DesktopRect {
            x,
            y,
            w: self.right().max(other.right()) - x,
            h: self.bottom().max(other.bottom()) - y,
        }
    }
}

/// Whether no two rectangles share a pixel.
pub(super) fn are_apart(rects: &[DesktopRect]) -> bool {
    let overlaps_earlier = |index: usize| {
        let earlier = &rects[..index];
        earlier.iter().any(|rect| rect.overlaps(&rects[index]))
    };
    !(0..rects.len()).any(overlaps_earlier)
}
