//! The picture that a program draws over the whole span.

use super::flaw::{Flaw, Subject, Table};
use super::model::Parts;
use super::words::quoted;

/// A rectangle of whole pixels on the canvas: x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PxRect {
    /// Leftmost column.
    pub x: u32,
    /// Topmost row.
    pub y: u32,
    /// Columns.
    pub w: u32,
    /// Rows.
    pub h: u32,
}

impl PxRect {
    /// The first column to the right of it.
    pub fn right(&self) -> u32 {
        self.x + self.w
    }

    /// The first row below it.
    pub fn bottom(&self) -> u32 {
        self.y + self.h
    }

    /// What it shares with another rectangle; `None` where they share no pixel.
    pub fn intersection(&self, other: PxRect) -> Option<PxRect> {
        let (x, y) = (self.x.max(other.x), self.y.max(other.y));
        let right = self.right().min(other.right());
        let bottom = self.bottom().min(other.bottom());
        (right > x && bottom > y).then(|| PxRect {
            x,
            y,
            w: right - x,
            h: bottom - y,
        })
    }

    /// The smallest rectangle that holds both.
    pub fn union(&self, other: PxRect) -> PxRect {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        PxRect {
            x,
            y,
            w: self.right().max(other.right()) - x,
            h: self.bottom().max(other.bottom()) - y,
        }
    }

    /// Whether the whole of another rectangle lies inside it.
    pub fn holds(&self, other: PxRect) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && self.right() >= other.right()
            && self.bottom() >= other.bottom()
    }

    /// Whether that pixel belongs to it.
    pub fn contains(&self, x: u32, y: u32) -> bool {
        (self.x..self.right()).contains(&x) && (self.y..self.bottom()).contains(&y)
    }
}

/// The canvas: the bounding box of the panels' desktop rectangles, widened by
/// the columns hidden behind the seams.
///
/// # Guarantees
///
/// The rectangles lie on the canvas and do not overlap; the canvas is within
/// [`Canvas::MAX_SIDE_PX`] and [`Canvas::MAX_AREA_PX`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Canvas {
    /// Width and height in pixels.
    pub size_px: [u32; 2],
    /// Where each panel shows the canvas, in the panels' order.
    pub panels: Vec<PxRect>,
}

impl Canvas {
    /// Longest side.
    pub const MAX_SIDE_PX: u32 = 32_768;
    /// Largest area.
    pub const MAX_AREA_PX: u64 = 512_000_000;

    /// Lays out the canvas of parts whose values and counts are checked.
    ///
    /// # Errors
    ///
    /// A [`Flaw`] where only some panels have a desktop position, where
    /// rectangles overlap, or where the canvas is too large.
    pub(crate) fn new(parts: &Parts) -> Result<Self, Flaw> {
        let desktop = desktop_rects(parts)?;
        let left = desktop.iter().map(|r| r.x).min().unwrap_or(0);
        let top = desktop.iter().map(|r| r.y).min().unwrap_or(0);
        let mut hidden_before = 0;
        let mut rects = Vec::with_capacity(desktop.len());
        for (index, rect) in desktop.iter().enumerate() {
            rects.push(SpanRect {
                x: rect.x - left + hidden_before,
                y: rect.y - top,
                ..*rect
            });
            hidden_before += parts.seams.get(index).map_or(0, |s| i64::from(s.hidden_px));
        }
        let hidden = hidden_before;
        let farthest =
            |end: fn(&SpanRect) -> i64| (0..desktop.len()).max_by_key(|&i| end(&desktop[i]));
        let (Some(rightmost), Some(lowest)) =
            (farthest(SpanRect::right), farthest(SpanRect::bottom))
        else {
            return Err(no_canvas(parts, 0, [0, 0]));
        };
        let size = [
            desktop[rightmost].right() - left + hidden,
            desktop[lowest].bottom() - top,
        ];
        let culprit = if size[0] >= size[1] {
            rightmost
        } else {
            lowest
        };
        let side = |length: i64| {
            u32::try_from(length)
                .ok()
                .filter(|s| *s <= Canvas::MAX_SIDE_PX)
        };
        let (Some(w), Some(h)) = (side(size[0]), side(size[1])) else {
            return Err(no_canvas(parts, culprit, size));
        };
        if u64::from(w) * u64::from(h) > Canvas::MAX_AREA_PX {
            return Err(no_canvas(parts, culprit, size));
        }
        without_overlap(&rects, parts)?;
        let panels = rects.iter().zip(&parts.panels).map(|(rect, panel)| PxRect {
            // Nothing is lost: the rectangle lies within the canvas's sides.
            x: rect.x as u32,
            y: rect.y as u32,
            w: panel.pixels[0],
            h: panel.pixels[1],
        });
        Ok(Self {
            size_px: [w, h],
            panels: panels.collect(),
        })
    }
}

/// A rectangle on the desktop, where positions may be negative.
#[derive(Debug, Clone, Copy)]
struct SpanRect {
    x: i64,
    y: i64,
    w: i64,
    h: i64,
}

impl SpanRect {
    fn right(&self) -> i64 {
        self.x + self.w
    }

    fn bottom(&self) -> i64 {
        self.y + self.h
    }

    /// Width and height of what both cover.
    fn overlap(&self, other: &Self) -> Option<[i64; 2]> {
        let w = self.right().min(other.right()) - self.x.max(other.x);
        let h = self.bottom().min(other.bottom()) - self.y.max(other.y);
        (w > 0 && h > 0).then_some([w, h])
    }
}

/// The panels' places in the virtual desktop, or else in a row.
fn desktop_rects(parts: &Parts) -> Result<Vec<SpanRect>, Flaw> {
    let panels = &parts.panels;
    let placed = panels.iter().find(|p| p.desktop_px.is_some());
    let unplaced = panels.iter().position(|p| p.desktop_px.is_none());
    if let (Some(placed), Some(index)) = (placed, unplaced) {
        return Err(Flaw {
            subject: Subject::whole(Table::Panel(index)),
            text: format!(
                "panel {} has no `desktop_px`, but panel {} has one: give it for every panel or for none",
                quoted(&panels[index].name),
                quoted(&placed.name),
            ),
        });
    }
    let tallest = panels
        .iter()
        .map(|p| i64::from(p.pixels[1]))
        .max()
        .unwrap_or(0);
    let mut next_x = 0;
    let rects = panels.iter().map(|panel| {
        let [w, h] = panel.pixels.map(i64::from);
        let [x, y] = match panel.desktop_px {
            Some(corner) => corner.map(i64::from),
            None => [next_x, (tallest - h) / 2],
        };
        next_x += w;
        SpanRect { x, y, w, h }
    });
    Ok(rects.collect())
}

fn without_overlap(rects: &[SpanRect], parts: &Parts) -> Result<(), Flaw> {
    for (index, rect) in rects.iter().enumerate() {
        for (earlier, other) in rects[..index].iter().enumerate() {
            if let Some([w, h]) = rect.overlap(other) {
                return Err(Flaw {
                    subject: Subject::panel(index, "desktop_px"),
                    text: format!(
                        "panels {} and {} overlap by {w} x {h} pixels on the canvas: \
                         correct `desktop_px`, each panel's top-left corner in the virtual desktop",
                        quoted(&parts.panels[earlier].name),
                        quoted(&parts.panels[index].name),
                    ),
                });
            }
        }
    }
    Ok(())
}

fn no_canvas(parts: &Parts, culprit: usize, [w, h]: [i64; 2]) -> Flaw {
    let hidden = |index: &usize| parts.seams[*index].hidden_px;
    let most_hidden = (0..parts.seams.len()).max_by_key(hidden);
    let all_hidden: i64 = parts.seams.iter().map(|s| i64::from(s.hidden_px)).sum();
    let shown = w - all_hidden;
    let placed = parts.panels.iter().any(|p| p.desktop_px.is_some());
    let (subject, remedy) = match most_hidden {
        Some(seam) if all_hidden > shown => (
            Subject::seam(seam, "hidden_px"),
            "hide fewer columns in `hidden_px`",
        ),
        _ if placed => (
            Subject::panel(culprit, "desktop_px"),
            "move the panels closer together in `desktop_px`",
        ),
        _ => (
            Subject::panel(culprit, "pixels"),
            "leave out a panel, or correct `pixels`",
        ),
    };
    Flaw {
        subject,
        text: format!(
            "the canvas would be {w} x {h} pixels, but at most {} a side and {} in all are possible: {remedy}",
            Canvas::MAX_SIDE_PX,
            Canvas::MAX_AREA_PX,
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Panel, Seam, Seat, Size, Turn, ViewId};

    /// A rig of panels with these pixels and desktop positions, and with
    /// these columns hidden between them.
    fn parts(panels: &[([u32; 2], Option<[i32; 2]>)], hidden_px: &[u32]) -> Parts {
        let panel = |(index, (pixels, desktop_px)): (usize, &([u32; 2], Option<[i32; 2]>))| Panel {
            desktop_px: *desktop_px,
            ..Panel::new(format!("p{index}"), *pixels, Size::DiagonalIn(24.0))
        };
        let seam = |hidden_px: &u32| Seam {
            hidden_px: *hidden_px,
            ..Seam::new(Turn::AngleDeg(40.0))
        };
        Parts {
            window: None,
            name: "test".to_owned(),
            seat: Seat {
                view: ViewId { panel: 0, view: 0 },
                distance_mm: 700.0,
                height_mm: 0.0,
                offset_mm: 0.0,
            },
            panels: panels.iter().enumerate().map(panel).collect(),
            seams: hidden_px.iter().map(seam).collect(),
        }
    }

    fn rect(x: u32, y: u32, w: u32, h: u32) -> PxRect {
        PxRect { x, y, w, h }
    }

    #[test]
    fn negative_positions_move_to_the_canvas_corner() {
        let parts = parts(
            &[
                ([1920, 1200], Some([-1920, 120])),
                ([2560, 1440], Some([0, 0])),
                ([1280, 1024], Some([2560, -80])),
            ],
            &[0, 0],
        );
        let canvas = Canvas::new(&parts).unwrap();
        assert_eq!(canvas.size_px, [5760, 1520]);
        let expected = [
            rect(0, 200, 1920, 1200),
            rect(1920, 80, 2560, 1440),
            rect(4480, 0, 1280, 1024),
        ];
        assert_eq!(canvas.panels, expected);
    }

    #[test]
    fn hidden_columns_add_up_to_the_right() {
        let row = [
            ([1000, 500], Some([0, 0])),
            ([1000, 500], Some([1000, 0])),
            ([1000, 500], Some([2000, 0])),
        ];
        let canvas = Canvas::new(&parts(&row, &[70, 30])).unwrap();
        assert_eq!(canvas.size_px, [3100, 500]);
        let left_edges: Vec<_> = canvas.panels.iter().map(|r| r.x).collect();
        assert_eq!(left_edges, [0, 1070, 2100]);
    }

    #[test]
    fn stacked_panels_are_widened_all_the_same() {
        let stack = [([1000, 500], Some([0, 0])), ([1000, 500], Some([0, 500]))];
        let canvas = Canvas::new(&parts(&stack, &[40])).unwrap();
        assert_eq!(canvas.size_px, [1040, 1000]);
        assert_eq!(canvas.panels[1], rect(40, 500, 1000, 500));
    }

    #[test]
    fn hidden_columns_count_by_the_order_on_the_desk() {
        // The desktop has the right-hand panel at the left.
        let swapped = [([1000, 500], Some([1000, 0])), ([1000, 500], Some([0, 0]))];
        assert!(Canvas::new(&parts(&swapped, &[0])).is_ok());
        let flaw = Canvas::new(&parts(&swapped, &[5])).unwrap_err();
        assert_eq!(flaw.subject, Subject::panel(1, "desktop_px"));
        assert!(flaw.text.contains("overlap by 5 x 500"), "{flaw}");
    }

    #[test]
    fn without_positions_the_middle_rows_are_in_line() {
        let row = [
            ([1200, 1921], None),
            ([3440, 1440], None),
            ([1200, 1920], None),
        ];
        let canvas = Canvas::new(&parts(&row, &[0, 10])).unwrap();
        assert_eq!(canvas.size_px, [5850, 1921]);
        let expected = [
            rect(0, 0, 1200, 1921),
            // Half of 481 rows, rounded down.
            rect(1200, 240, 3440, 1440),
            rect(4650, 0, 1200, 1920),
        ];
        assert_eq!(canvas.panels, expected);
    }

    #[test]
    fn the_longest_side_and_the_largest_area_are_possible() {
        let widest = [([16_384, 100], None), ([16_383, 100], None)];
        assert_eq!(
            Canvas::new(&parts(&widest, &[1])).unwrap().size_px,
            [Canvas::MAX_SIDE_PX, 100]
        );
        let flaw = Canvas::new(&parts(&widest, &[2])).unwrap_err();
        assert_eq!(flaw.subject, Subject::panel(1, "pixels"));

        let largest = [([32_000, 16_000], None)];
        assert!(Canvas::new(&parts(&largest, &[])).is_ok());
        let larger = [([32_000, 16_001], None)];
        assert!(Canvas::new(&parts(&larger, &[])).is_err());
    }

    #[test]
    fn a_rectangle_contains_its_first_pixel_and_not_the_one_past_its_last() {
        let rect = rect(10, 20, 3, 4);
        assert!(rect.contains(10, 20) && rect.contains(12, 23));
        assert!(!rect.contains(13, 20) && !rect.contains(10, 24) && !rect.contains(9, 20));
        assert_eq!((rect.right(), rect.bottom()), (13, 24));
    }
}
