//! One picture of before, after and their difference, with labels.

use super::scaled::{difference, scaled};
use crate::light::Colour;
use crate::pattern::{Mark, TextLine};
use crate::raster::{Picture, draw};
use crate::rig::PxRect;
use crate::typeset::{Cut, TypeSize, Typesetter};

/// Widest that a sheet is, so that people can share it.
const MAX_WIDTH_PX: u32 = 2000;
/// From this width per height on, the three pictures stand one below the other.
const STACK_FROM: f64 = 2.2;
const MARGIN: u32 = 16;
/// Narrowest that a picture is shown, for its title to fit.
const MIN_PANE_PX: u32 = 300;
/// How much more an inset enlarges than the whole picture does.
const INSET_ZOOM: f64 = 4.0;
const INSET_ASPECT: f64 = 2.0;
/// Seams beyond these get no inset.
const MAX_INSETS: usize = 8;
const CAP_PX: f32 = 13.0;
/// Height of a line of text with its surroundings.
const LINE_PX: u32 = 30;
const TEXT: Colour = Colour([235, 235, 235]);

/// One of the two pictures.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// Its pixels.
    pub picture: &'a Picture,
    /// What it is.
    pub title: &'a str,
}

/// A place to enlarge.
#[derive(Debug, Clone, PartialEq)]
pub struct Inset {
    /// What it shows.
    pub title: String,
    /// Its middle, in the pictures' pixels.
    pub middle_px: [f64; 2],
}

/// Lays out two pictures of one size, their difference, enlarged insets, and
/// lines of notes.
pub fn sheet(
    sides: [Side; 2],
    insets: &[Inset],
    notes: &[String],
    typesetter: &mut Typesetter,
) -> Picture {
    let [before, after] = sides;
    let size = before.picture.size_px();
    let [w, h] = size.map(f64::from);
    let is_stacked = w / h >= STACK_FROM;
    let across = if is_stacked { 1 } else { 3 };
    let most = (MAX_WIDTH_PX - MARGIN * (across + 1)) / across;
    let pane_w = size[0].clamp(MIN_PANE_PX, most);
    let scale = f64::from(pane_w) / w;
    let pane_h = ((h * scale).round() as u32).clamp(1, MAX_WIDTH_PX);

    let mut desk = Desk::new(typesetter);
    let mut top = MARGIN;
    let titles = [
        before.title,
        after.title,
        "difference: orange only before, blue only after",
    ];
    let whole = [0.0, 0.0, w, h];
    let (mut x, mut bottom) = (MARGIN, top);
    let panes = triple(sides, whole, [pane_w, pane_h]);
    for (title, pane) in titles.iter().zip(panes) {
        desk.text(title, x, top, pane_w);
        desk.place(pane, x, top + LINE_PX);
        bottom = top + LINE_PX + pane_h + MARGIN;
        if is_stacked {
            top = bottom;
        } else {
            x += pane_w + MARGIN;
        }
    }
    top = bottom;

    let sheet_w = across * pane_w + (across + 1) * MARGIN;
    let inset_w = ((sheet_w - 4 * MARGIN) / 3).max(1);
    let inset_h = (f64::from(inset_w) / INSET_ASPECT).round().max(1.0) as u32;
    let zoom = (scale * INSET_ZOOM).clamp(1.0, 4.0);
    let part = [f64::from(inset_w) / zoom, f64::from(inset_h) / zoom];
    for inset in insets.iter().take(MAX_INSETS) {
        let from = |i: usize, whole: f64| {
            let start = inset.middle_px[i] - part[i] / 2.0;
            start.min(whole - part[i]).max(0.0)
        };
        let part = [from(0, w), from(1, h), part[0].min(w), part[1].min(h)];
        desk.text(&inset.title, MARGIN, top, sheet_w - 2 * MARGIN);
        let crops = triple(sides, part, [inset_w, inset_h]);
        for (column, crop) in (0_u32..).zip(crops) {
            desk.place(crop, MARGIN + column * (inset_w + MARGIN), top + LINE_PX);
        }
        top += LINE_PX + inset_h + MARGIN;
    }
    for note in notes {
        desk.text(note, MARGIN, top, sheet_w - 2 * MARGIN);
        top += LINE_PX;
    }
    desk.finish([sheet_w, top])
}

/// Both pictures, each below its title, for showing in turn.
pub fn flip(sides: [Side; 2], typesetter: &mut Typesetter) -> [Picture; 2] {
    let [w, h] = sides[0].picture.size_px();
    let width = w.clamp(MIN_PANE_PX, MAX_WIDTH_PX);
    let scale = f64::from(width) / f64::from(w);
    let height = ((f64::from(h) * scale).round() as u32).clamp(1, MAX_WIDTH_PX);
    sides.map(|side| {
        let mut desk = Desk::new(typesetter);
        desk.text(side.title, MARGIN, 0, width - MARGIN);
        let whole = [0.0, 0.0, f64::from(w), f64::from(h)];
        desk.place(scaled(side.picture, whole, [width, height]), 0, LINE_PX);
        desk.finish([width, height + LINE_PX])
    })
}

/// The same part of both pictures, and their difference.
fn triple(sides: [Side; 2], part: [f64; 4], size_px: [u32; 2]) -> [Picture; 3] {
    let [before, after] = sides.map(|side| scaled(side.picture, part, size_px));
    let between = difference(&before, &after);
    [before, after, between]
}

/// A black sheet while things are put on it.
struct Desk<'a> {
    typesetter: &'a mut Typesetter,
    marks: Vec<Mark>,
    placed: Vec<(Picture, [u32; 2])>,
}

impl Desk<'_> {
    fn new(typesetter: &mut Typesetter) -> Desk<'_> {
        Desk {
            typesetter,
            marks: Vec::new(),
            placed: Vec::new(),
        }
    }

    /// A line of text below `top`, cut off at its width.
    fn text(&mut self, text: &str, x: u32, top: u32, width: u32) {
        let size = TypeSize {
            cap_px: CAP_PX,
            widening: 1.0,
        };
        let clip = PxRect {
            x,
            y: top,
            w: width,
            h: LINE_PX,
        };
        let base = top + LINE_PX - 9;
        let placed = self.typesetter.set(
            text,
            Cut::Regular,
            size,
            x.cast_signed(),
            base.cast_signed(),
        );
        self.marks.push(Mark::Text(TextLine {
            placed,
            clip,
            colour: TEXT,
        }));
    }

    fn place(&mut self, picture: Picture, x: u32, y: u32) {
        self.placed.push((picture, [x, y]));
    }

    fn finish(self, [w, h]: [u32; 2]) -> Picture {
        let mut sheet = Picture::new([w, h]);
        draw(&self.marks, &mut sheet, PxRect { x: 0, y: 0, w, h });
        let stride = sheet.stride();
        for (picture, [x, y]) in &self.placed {
            let rows = picture.bytes().chunks_exact(picture.stride());
            for (row, bytes) in rows.enumerate() {
                let start = (*y as usize + row) * stride + *x as usize * 4;
                sheet.bytes_mut()[start..start + bytes.len()].copy_from_slice(bytes);
            }
        }
        sheet
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sized(size: [u32; 2]) -> Picture {
        let mut picture = Picture::new(size);
        picture.bytes_mut().fill(255);
        picture
    }

    #[test]
    fn sheets_are_no_wider_than_people_share() {
        let mut typesetter = Typesetter::new();
        let inset = Inset {
            title: "seam 1".to_owned(),
            middle_px: [3.0, 900.0],
        };
        for size in [[6000, 900], [1920, 1080], [40, 2000], [1, 1], [3000, 2]] {
            let picture = sized(size);
            let side = Side {
                picture: &picture,
                title: "before",
            };
            let sheet = sheet(
                [side, side],
                std::slice::from_ref(&inset),
                &["a note".to_owned()],
                &mut typesetter,
            );
            assert!(sheet.size_px()[0] <= MAX_WIDTH_PX, "{size:?}");
            let [one, other] = flip([side, side], &mut typesetter);
            assert_eq!(one.size_px(), other.size_px());
            assert!(one.size_px()[0] <= MAX_WIDTH_PX);
        }
    }
}
