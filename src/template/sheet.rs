//! What is the same on every sheet: the heading, and what checks the printer.

use glam::DVec2;

use crate::parts::words::CAUTION;
use crate::plan::{Drawing, HEADING_MM, Label, Leaf, PaperRect, Stroke};
use crate::rig::Rig;
use crate::typeset::Cut;

const MARGIN_MM: f64 = 10.0;
const HEAD_MM: f64 = 13.0;
/// ISO/IEC 7810 ID-1: width and height of a bank card.
const CARD_MM: [f64; 2] = [85.60, 53.98];
const BAR_MM: f64 = 100.0;
/// Height of a capital in what is read at arm's length.
const TEXT_MM: f64 = 2.0;
/// From one line of text to the next.
pub(super) const LINE_MM: f64 = 1.9 * TEXT_MM;

/// A4 with its long side upright or level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    Upright,
    Level,
}

/// A sheet being filled.
#[derive(Debug)]
pub(super) struct Sheet {
    pub title: String,
    pub drawing: Drawing,
    size_mm: [f64; 2],
    rig: String,
    /// Where the next line of the notes goes.
    notes_y: f64,
}

impl Sheet {
    pub(super) fn new(way: Way, rig: &Rig, title: String) -> Sheet {
        let size_mm = match way {
            Way::Upright => [210.0, 297.0],
            Way::Level => [297.0, 210.0],
        };
        let mut sheet = Sheet {
            title,
            drawing: Drawing::new(),
            size_mm,
            rig: rig.name().to_owned(),
            notes_y: 0.0,
        };
        sheet.notes_y = sheet.room().max.y + 2.0;
        sheet.printer_check();
        sheet
    }

    /// Where pieces go.
    pub(super) fn room(&self) -> PaperRect {
        let [width, height] = self.size_mm;
        PaperRect {
            min: DVec2::new(MARGIN_MM, MARGIN_MM + HEAD_MM),
            max: DVec2::new(width - MARGIN_MM, height - MARGIN_MM - CARD_MM[1] - 3.0),
        }
    }

    /// A bar of 100 mm at the left, the outline of a bank card at the right.
    fn printer_check(&mut self) {
        let [width, height] = self.size_mm;
        let corner = DVec2::new(width - MARGIN_MM, height - MARGIN_MM);
        let card = PaperRect {
            min: corner - DVec2::from(CARD_MM),
            max: corner,
        };
        self.drawing.path(Stroke::Measure, outline(card));
        for (line, text) in [
            "A bank card (85.60 x 53.98 mm)",
            "must just cover this outline,",
            "and the bar must be 100 mm long.",
            "If not, print again at 100 %",
            "(\"actual size\"), and cut nothing.",
        ]
        .iter()
        .enumerate()
        {
            let at = card.min + DVec2::new(CARD_MM[0] / 2.0, 18.0 + line as f64 * LINE_MM);
            self.centred(text, Cut::Regular, at);
        }
        let from = DVec2::new(MARGIN_MM, height - MARGIN_MM - 1.0);
        self.drawing.measure(from, from + DVec2::X * BAR_MM);
        self.text("100 mm", Cut::Regular, from - DVec2::Y * 4.6);
    }

    fn label(&mut self, text: &str, cut: Cut) -> Label {
        self.drawing.label(text, cut, TEXT_MM)
    }

    /// Width of a line of text with its box.
    pub(super) fn width_mm(&mut self, text: &str, cut: Cut) -> f64 {
        self.label(text, cut).rect.max.x
    }

    /// A line of text from the left, its box's corner there.
    pub(super) fn text(&mut self, text: &str, cut: Cut, corner: DVec2) {
        let label = self.label(text, cut);
        self.drawing.put(label, corner);
    }

    /// A line of text about a point.
    pub(super) fn centred(&mut self, text: &str, cut: Cut, about: DVec2) {
        let label = self.label(text, cut);
        let half = (label.rect.max - label.rect.min) / 2.0;
        self.drawing.put(label, about - half);
    }

    /// As much of a text as so much room holds.
    pub(super) fn fitted(&mut self, text: &str, cut: Cut, room_mm: f64) -> String {
        let mut fits = |text: &str| self.width_mm(text, cut) <= room_mm;
        if fits(text) {
            return text.to_owned();
        }
        let mut kept: Vec<char> = text.chars().collect();
        while kept.pop().is_some() {
            let shorter: String = kept.iter().chain(['…'].iter()).collect();
            if fits(&shorter) {
                return shorter;
            }
        }
        String::new()
    }

    /// A text in lines of so much room.
    pub(super) fn lines(&mut self, text: &str, room_mm: f64) -> Vec<String> {
        // A line is as wide as its words and spaces: letters don't move together.
        let edges = self.width_mm("", Cut::Regular);
        let space = self.width_mm(" ", Cut::Regular) - edges;
        let mut lines = vec![String::new()];
        let mut width = edges;
        for word in text.split_whitespace() {
            let line = lines.last_mut().expect("never empty");
            let wide = self.width_mm(word, Cut::Regular) - edges;
            if line.is_empty() {
                line.push_str(word);
                width += wide;
            } else if width + space + wide <= room_mm {
                line.push(' ');
                line.push_str(word);
                width += space + wide;
            } else {
                lines.push(word.to_owned());
                width = edges + wide;
            }
        }
        lines
            .iter()
            .map(|line| self.fitted(line, Cut::Regular, room_mm))
            .collect()
    }

    /// A paragraph beside the outline of the card.
    pub(super) fn note(&mut self, text: &str) {
        let room_mm = self.size_mm[0] - 2.0 * MARGIN_MM - CARD_MM[0] - 4.0;
        for line in self.lines(text, room_mm) {
            self.text(&line, Cut::Regular, DVec2::new(MARGIN_MM, self.notes_y));
            self.notes_y += LINE_MM;
        }
        self.notes_y += 0.5 * LINE_MM;
    }

    /// The sheet with its heading.
    pub(super) fn finished(mut self, page: usize, pages: usize) -> Leaf {
        let room_mm = self.size_mm[0] - 2.0 * MARGIN_MM;
        let mut title = self.title.clone();
        let heading = loop {
            let label = self.drawing.label(&title, Cut::Bold, HEADING_MM);
            if label.rect.max.x <= room_mm {
                break label;
            }
            title = title.trim_end_matches('…').to_owned();
            title.pop();
            title.push('…');
        };
        self.drawing.put(heading, DVec2::splat(MARGIN_MM));
        let about = format!("sheet {page} of {pages}, {}", self.rig);
        let about = self.fitted(&about, Cut::Regular, room_mm);
        self.text(&about, Cut::Regular, DVec2::new(MARGIN_MM, MARGIN_MM + 7.0));
        Leaf {
            size_mm: self.size_mm,
            drawing: self.drawing,
        }
    }
}

/// Before anybody touches a panel.
pub(super) fn caution() -> String {
    format!("Touch the glass lightly, with card only. {CAUTION}")
}

/// A rectangle's outline, closed.
pub(super) fn outline(rect: PaperRect) -> [DVec2; 5] {
    let PaperRect { min, max } = rect;
    [
        min,
        DVec2::new(max.x, min.y),
        max,
        DVec2::new(min.x, max.y),
        min,
    ]
}
