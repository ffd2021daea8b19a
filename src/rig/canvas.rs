//! The picture that a program draws over the whole span.

use super::flaw::{Flaw, Subject, Table};
use super::model::{Parts, Rig};
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
/// [`Rig::MAX_SIDE_PX`] and [`Rig::MAX_AREA_PX`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Canvas {
    /// Width and height in pixels.
    pub size_px: [u32; 2],
    /// Where each panel shows the canvas, in the panels' order.
    pub panels: Vec<PxRect>,
}

impl Canvas {
    /// Lays out the canvas of parts whose values and counts are checked.
    ///
    /// # Errors
    ///
    /// A [`Flaw`] where only some panels have a desktop position, where
    /// rectangles overlap, or where the canvas is too large.
    pub(super) fn new(parts: &Parts) -> Result<Self, Flaw> {
        let desktop = desktop_rects(parts)?;
        let left = desktop.iter().map(|r| r.x).min().unwrap_or(0);
        let top = desktop.iter().map(|r| r.y).min().unwrap_or(0);
        let mut hidden_before = 0;
        let mut rects = Vec::with_capacity(desktop.len());
        for (index, rect) in desktop.iter().enumerate() {
            rects.push(Rect {
                x: rect.x - left + hidden_before,
                y: rect.y - top,
                ..*rect
            });
            hidden_before += parts.seams.get(index).map_or(0, |s| i64::from(s.hidden_px));
        }
        let hidden = hidden_before;
        let farthest = |end: fn(&Rect) -> i64| (0..desktop.len()).max_by_key(|&i| end(&desktop[i]));
        let (Some(rightmost), Some(lowest)) = (farthest(Rect::right), farthest(Rect::bottom))
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
                .filter(|s| *s <= Rig::MAX_SIDE_PX)
        };
        let (Some(w), Some(h)) = (side(size[0]), side(size[1])) else {
            return Err(no_canvas(parts, culprit, size));
        };
        if u64::from(w) * u64::from(h) > Rig::MAX_AREA_PX {
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
struct Rect {
    x: i64,
    y: i64,
    w: i64,
    h: i64,
}

impl Rect {
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
fn desktop_rects(parts: &Parts) -> Result<Vec<Rect>, Flaw> {
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
        Rect { x, y, w, h }
    });
    Ok(rects.collect())
}

fn without_overlap(rects: &[Rect], parts: &Parts) -> Result<(), Flaw> {
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
    let placed = parts.panels.iter().any(|p| p.desktop_px.is_some());
    let (key, remedy) = if placed {
        (
            "desktop_px",
            "move the panels closer together in `desktop_px`",
        )
    } else {
        ("pixels", "give fewer `pixels`")
    };
    Flaw {
        subject: Subject::panel(culprit, key),
        text: format!(
            "the canvas would be {w} x {h} pixels, but at most {} a side and {} in all are possible: \
             {remedy}, or fewer `hidden_px`",
            Rig::MAX_SIDE_PX,
            Rig::MAX_AREA_PX,
        ),
    }
}
