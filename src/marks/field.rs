//! The field of marks: the one definition that the drawing and the reading share.
//!
//! A panel's field is given in its own pixels, from its lit top left corner, and goes by
//! the panel's number, its pixels and the size of one, so that no nudge of angles or
//! places changes it.
//!
//! - Cells are squares of `n` pixels, `n` being the one of [`CELLS_PX`] that comes nearest
//!   to [`CELL_MM`], by ratio, at the pixel's mean pitch `sqrt(pitch_x * pitch_y)`.
//! - Cell (column, row), both from 0, has its top left corner at (`n` column, `n` row);
//!   the last ones may be cut by the panel's edge. It is lit where column + row is even.
//! - A whole cell has a dot of the opposite brightness in its middle, of radius
//!   [`DOT_SHARE`] `n`, where the lowest bit of [`mixed`] is set for the number
//!   `panel << 40 | row << 20 | column`.
//! - The label takes cells of row 0: `min(6, columns / 2)` of them from column
//!   `(columns - taken) / 2`, whole numbers, where columns counts whole cells. They are
//!   dark and have no dots.
//! - The corner (i, j) lies at (`n` i, `n` j), i and j from 1, wherever there is at least
//!   half a cell to the panel's edges and the label takes none of the four cells around.
//!
//! Cells of 16 mm are as fine as a phone with 12 megapixels (a focal length of some 3000
//! pixels at 1×; from memory) can read on panels that are seen at a slant: 32 pixels from
//! 1500 mm square on, 8 at 75°, 120 from 400 mm. Sizes half an octave apart, rather than
//! any whole number, keep the field as it is when a panel's size is corrected a little.

use glam::DVec2;

use crate::rig::{PxRect, Rig};

/// What a cell is to measure.
pub const CELL_MM: f64 = 16.2;
/// Sides that a cell may have, in pixels.
pub const CELLS_PX: [u32; 13] = [8, 10, 14, 20, 30, 42, 60, 84, 120, 168, 240, 336, 480];
/// A dot's radius, as a share of the cell's side.
pub const DOT_SHARE: f64 = 0.22;
/// Most cells that the label takes.
const LABEL_CELLS: u32 = 6;

/// A panel's field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Field {
    panel: usize,
    pixels: [u32; 2],
    cell_px: u32,
}

impl Field {
    /// The field of one of a rig's panels, counted from 0 at the left.
    pub fn of(rig: &Rig, panel: usize) -> Field {
        let shown = &rig.panels()[panel];
        let [pitch_x, pitch_y] = shown.pitch_mm();
        let pitch_mm = (pitch_x * pitch_y).sqrt();
        let off = |side: u32| (f64::from(side) * pitch_mm / CELL_MM).ln().abs();
        let nearest = CELLS_PX
            .into_iter()
            .min_by(|a, b| off(*a).total_cmp(&off(*b)));
        Field {
            panel,
            pixels: shown.pixels,
            cell_px: nearest.unwrap_or(CELLS_PX[0]),
        }
    }

    /// Side of a cell, in pixels.
    pub fn cell_px(&self) -> u32 {
        self.cell_px
    }

    /// Columns and rows of cells, those cut by the edge among them.
    pub fn cells(&self) -> [u32; 2] {
        self.pixels.map(|px| px.div_ceil(self.cell_px))
    }

    /// Columns and rows of whole cells.
    pub fn whole_cells(&self) -> [u32; 2] {
        self.pixels.map(|px| px / self.cell_px)
    }

    /// The pixels of a cell, in the panel's own.
    pub fn cell(&self, [column, row]: [u32; 2]) -> PxRect {
        let [x, y] = [column, row].map(|at| at * self.cell_px);
        let [w, h] = self.pixels;
        PxRect {
            x,
            y,
            w: self.cell_px.min(w.saturating_sub(x)),
            h: self.cell_px.min(h.saturating_sub(y)),
        }
    }

    /// The label's first column, and how many it takes, all in row 0.
    pub fn label(&self) -> [u32; 2] {
        let [columns, rows] = self.whole_cells();
        let taken = if rows == 0 {
            0
        } else {
            LABEL_CELLS.min(columns / 2)
        };
        [(columns - taken) / 2, taken]
    }

    /// Whether the label takes a cell.
    pub fn is_label(&self, [column, row]: [u32; 2]) -> bool {
        let [from, taken] = self.label();
        row == 0 && (from..from + taken).contains(&column)
    }

    /// Whether a cell is lit around its middle.
    pub fn is_lit(&self, [column, row]: [u32; 2]) -> bool {
        (column + row).is_multiple_of(2) && !self.is_label([column, row])
    }

    /// Whether a cell has a dot.
    pub fn has_dot(&self, [column, row]: [u32; 2]) -> bool {
        let [columns, rows] = self.whole_cells();
        column < columns
            && row < rows
            && !self.is_label([column, row])
            && dot(self.panel, [column, row])
    }

    /// Whether lines of cells meet in a corner there that can be read.
    pub fn has_corner(&self, [i, j]: [u32; 2]) -> bool {
        let fits = |at: u32, px: u32| at > 0 && at * self.cell_px + self.cell_px / 2 <= px;
        let [w, h] = self.pixels;
        let around = |by: [u32; 2]| self.is_label([i - by[0], j - by[1]]);
        fits(i, w) && fits(j, h) && ![[0, 0], [1, 0], [0, 1], [1, 1]].into_iter().any(around)
    }

    /// Every corner that can be read, row by row.
    pub fn corners(&self) -> impl Iterator<Item = [u32; 2]> + '_ {
        let [columns, rows] = self.cells();
        let all = (1..=rows).flat_map(move |j| (1..=columns).map(move |i| [i, j]));
        all.filter(|corner| self.has_corner(*corner))
    }

    /// Where a corner lies, in the panel's pixels from its lit top left corner.
    pub fn corner_px(&self, [i, j]: [u32; 2]) -> DVec2 {
        DVec2::new(f64::from(i), f64::from(j)) * f64::from(self.cell_px)
    }
}

/// Whether the field of a panel has a dot in a cell, however large it is.
pub(super) fn dot(panel: usize, [column, row]: [u32; 2]) -> bool {
    let number = (panel as u64) << 40 | u64::from(row) << 20 | u64::from(column);
    mixed(number) & 1 == 1
}

/// A number's bits, mixed: multiply and shift by turns, after G. Steele, D. Lea and
/// C. Flood, *Fast splittable pseudorandom number generators* (2014), from memory.
pub fn mixed(number: u64) -> u64 {
    let mut bits = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{demos, read};

    fn rig(name: &str) -> Rig {
        let demo = demos().iter().find(|demo| demo.name == name);
        let demo = demo.expect("built in");
        read(demo.text, demo.name, &[]).expect("a sound demo")
    }

    /// The generator's first output for the seed 0, from memory: 0xe220a8397b1dcdaf.
    #[test]
    fn bits_are_mixed_as_published() {
        assert_eq!(mixed(0), 0xe220_a839_7b1d_cdaf);
    }

    /// 23.8 inches of 1920 × 1080 px have a pitch of 0.2744 mm: 60 px are 16.5 mm.
    #[test]
    fn cells_measure_about_as_much_whatever_the_pixels() {
        let tram = rig("tram-cab");
        let field = Field::of(&tram, 0);
        assert_eq!((field.cell_px(), field.cells()), (60, [32, 18]));
        for demo in demos() {
            let rig = rig(demo.name);
            for (panel, shown) in rig.panels().iter().enumerate() {
                let mm = f64::from(Field::of(&rig, panel).cell_px()) * shown.pitch_mm()[0];
                assert!((13.4..19.6).contains(&mm), "{}: {mm}", shown.name);
            }
        }
    }

    /// About half of the cells have one, and fields of neighbours have little in common.
    #[test]
    fn dots_stand_at_random() {
        let tram = rig("tram-cab");
        let [one, other] = [0, 1].map(|panel| Field::of(&tram, panel));
        let cells = || (0..18).flat_map(|row| (0..32).map(move |column| [column, row]));
        let dots = cells().filter(|cell| one.has_dot(*cell)).count();
        let same = cells().filter(|cell| one.has_dot(*cell) == other.has_dot(*cell));
        let same = same.count();
        assert!((240..336).contains(&dots), "{dots}");
        assert!((240..336).contains(&same), "{same}");
    }

    #[test]
    fn corners_keep_clear_of_the_label_and_of_the_edges() {
        let field = Field::of(&rig("tram-cab"), 2);
        assert_eq!(field.label(), [13, 6]);
        assert!(!field.has_corner([0, 4]) && !field.has_corner([32, 4]));
        assert!(field.has_corner([31, 17]) && field.has_corner([12, 1]));
        assert!(!field.has_corner([13, 1]) && !field.has_corner([19, 1]));
        assert!(field.has_corner([20, 1]) && field.has_corner([13, 2]));
        // 31 × 17 lines meet, and the label hides 7.
        assert_eq!(field.corners().count(), 31 * 17 - 7);
        assert_eq!(field.corner_px([3, 2]), DVec2::new(180.0, 120.0));
    }
}
