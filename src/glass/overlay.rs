//! Boxes of words over the pattern.

use crate::light::Colour;
use crate::pattern::{Bar, Mark, TextLine};
use crate::rig::PxRect;
use crate::typeset::{Cut, TypeSize, Typesetter};

use super::pieces::Notice;
use super::sketch::Sketch;

/// Words to read.
pub const PLAIN: Colour = Colour([235, 235, 235]);
/// Words that explain.
pub const DIM: Colour = Colour([170, 170, 170]);
/// Words that must not be missed.
pub const LOUD: Colour = Colour([240, 228, 66]);
const BORDER: Colour = Colour([110, 110, 110]);

/// Height of a capital, to be read from half a metre to a metre away.
const CAP_MM: f64 = 3.4;
/// Smallest capital whose shape the face still holds.
const LEAST_CAP_PX: f64 = 9.0;

/// Some words on one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// The text.
    pub text: String,
    /// Its colour.
    pub colour: Colour,
    /// Whether it is set in the bold cut.
    pub bold: bool,
}

impl Words {
    /// Words in a colour.
    pub fn new(text: impl Into<String>, colour: Colour) -> Words {
        Words {
            text: text.into(),
            colour,
            bold: false,
        }
    }

    /// The same in bold.
    pub fn bold(self) -> Words {
        Words { bold: true, ..self }
    }

    fn cut(&self) -> Cut {
        if self.bold { Cut::Bold } else { Cut::Regular }
    }
}

/// A line: words that run on, or a column of labels with what they mean.
#[derive(Debug, Clone, PartialEq)]
pub enum BoxLine {
    /// Runs on into further lines where it is too long.
    Text(Words),
    /// A larger line.
    Title(Words),
    /// A label and, in a column of its own, its meaning.
    Pair(Words, Words),
    /// A small drawing.
    Sketch(Sketch),
}

/// Where in its area a box stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stand {
    /// In the middle, at the top.
    Top,
    /// In the middle.
    Middle,
    /// In the middle, at the bottom.
    Bottom,
}

/// Height of a capital in rows, for a panel with this pixel pitch that is this
/// many rows high.
pub fn cap_px(pitch_mm: f64, rows: u32) -> f64 {
    let most = (f64::from(rows) / 24.0).max(LEAST_CAP_PX);
    (CAP_MM / pitch_mm).clamp(LEAST_CAP_PX, most)
}

/// Sets lines in a box inside `area`, clear of its left and right ends, where
/// the seams are, and of what is `taken` by other texts: of the places that hide
/// none of them the one nearest to `stand`, else the one that hides least. `None`
/// where there is nothing to say or no room at all.
pub fn notice(
    lines: &[BoxLine],
    area: PxRect,
    cap: f64,
    stand: Stand,
    taken: &[PxRect],
    typesetter: &mut Typesetter,
) -> Option<Notice> {
    if lines.is_empty() || area.w < 40 || area.h < 40 {
        return None;
    }
    let taken: Vec<PxRect> = taken
        .iter()
        .filter_map(|taken| taken.intersection(area))
        .collect();
    let mut best: Option<(u64, Setting, PxRect)> = None;
    for share in WIDTHS {
        let set = fitting(lines, area, cap, share, typesetter);
        let (hidden, place) = set.freest(area, stand, &taken);
        if best.as_ref().is_none_or(|(least, ..)| hidden < *least) {
            best = Some((hidden, set, place));
        }
        if hidden == 0 {
            break;
        }
    }
    best.map(|(_, set, place)| set.put(place, typesetter))
}

/// Shares of the area's width that words may take: those of a narrower and higher
/// box where the wider hides something.
const WIDTHS: [f64; 3] = [0.72, 0.52, 0.36];

/// The lines in type that fits the area: smaller before words that are cut off.
fn fitting(
    lines: &[BoxLine],
    area: PxRect,
    cap: f64,
    share: f64,
    typesetter: &mut Typesetter,
) -> Setting {
    let mut cap = cap;
    loop {
        let set = Setting::new(lines, area, cap, share, typesetter);
        let fits = set.width <= f64::from(area.w) && set.height <= f64::from(area.h) * 0.94;
        if fits || cap <= 5.0 {
            return set;
        }
        cap *= 0.92;
    }
}

/// Lines broken to a width, and the size of their box.
struct Setting {
    cap: f64,
    rows: Vec<Row>,
    column: f64,
    width: f64,
    height: f64,
}

enum Row {
    Words {
        label: Option<Words>,
        words: Words,
        scale: f64,
    },
    /// A drawing in a room of this many pixels.
    Sketch(Sketch, f64),
}

impl Row {
    fn height_px(&self, cap: f64) -> f64 {
        match self {
            Row::Words { scale, .. } => scale * cap * LEADING,
            Row::Sketch(sketch, room) => sketch.size_px(cap, *room)[1],
        }
    }
}

impl Setting {
    fn new(
        lines: &[BoxLine],
        area: PxRect,
        cap: f64,
        share: f64,
        typesetter: &mut Typesetter,
    ) -> Setting {
        let mut width_of = |words: &Words, scale: f64| {
            let size = size(cap * scale);
            f64::from(typesetter.width_px(&words.text, words.cut(), size))
        };
        let labels = lines.iter().filter_map(|line| match line {
            BoxLine::Pair(label, _) => Some(width_of(label, 1.0)),
            _ => None,
        });
        let widest = labels.fold(0.0, f64::max);
        let column = if widest > 0.0 {
            widest + 1.6 * cap
        } else {
            0.0
        };
        let room = (f64::from(area.w) * share - 3.0 * cap).max(8.0 * cap);

        let mut rows = Vec::new();
        for line in lines {
            let (label, words, scale, room) = match line {
                BoxLine::Text(words) => (None, words, 1.0, room),
                BoxLine::Title(words) => (None, words, 1.5, room),
                BoxLine::Pair(label, words) => (
                    Some(label.clone()),
                    words,
                    1.0,
                    (room - column).max(8.0 * cap),
                ),
                BoxLine::Sketch(sketch) => {
                    rows.push(Row::Sketch(sketch.clone(), room));
                    continue;
                }
            };
            let broken = broken(words, room, |words| width_of(words, scale));
            for (index, words) in broken.into_iter().enumerate() {
                let label = match (&label, index) {
                    (Some(label), 0) => Some(label.clone()),
                    (Some(label), _) => Some(Words::new("", label.colour)),
                    (None, _) => None,
                };
                rows.push(Row::Words {
                    label,
                    words,
                    scale,
                });
            }
        }
        let wide = rows.iter().map(|row| match row {
            Row::Words {
                label,
                words,
                scale,
            } => {
                let indent = if label.is_some() { column } else { 0.0 };
                indent + width_of(words, *scale)
            }
            Row::Sketch(sketch, room) => sketch.size_px(cap, *room)[0],
        });
        let width = wide.fold(0.0, f64::max) + 3.0 * cap;
        let height = rows.iter().map(|row| row.height_px(cap)).sum::<f64>() + 2.0 * cap;
        Setting {
            cap,
            rows,
            column,
            width,
            height,
        }
    }

    /// The place that hides least of what is taken, in pixels, and nearest to where
    /// the box is to stand.
    fn freest(&self, area: PxRect, stand: Stand, taken: &[PxRect]) -> (u64, PxRect) {
        let w = (self.width.ceil() as u32).min(area.w);
        let h = (self.height.ceil() as u32).min(area.h);
        let spare = area.h - h;
        let margin = (self.cap * 2.0) as u32;
        let (top, bottom) = (margin.min(spare), spare.saturating_sub(margin));
        let wanted = match stand {
            Stand::Top => top,
            Stand::Middle => spare / 2,
            Stand::Bottom => bottom,
        };
        let row = (self.cap.ceil() as usize).max(1);
        let mut downs: Vec<u32> = (top..=bottom).step_by(row).chain([wanted]).collect();
        downs.sort_by_key(|down| down.abs_diff(wanted));
        let (side, middle) = (area.w / 10, (area.w - w) / 2);
        let mut rights = vec![middle];
        if middle > side {
            let step = (middle - side).div_ceil(3);
            rights.extend((1..=3).flat_map(|count| {
                let by = (step * count).min(middle - side);
                [middle - by, middle + by]
            }));
        }
        let places = downs.iter().flat_map(|&down| {
            rights.iter().map(move |&right| PxRect {
                x: area.x + right,
                y: area.y + down,
                w,
                h,
            })
        });
        let mut least = (u64::MAX, area);
        for place in places {
            let hidden = hidden_px(place, taken);
            if hidden < least.0 {
                least = (hidden, place);
            }
            if hidden == 0 {
                break;
            }
        }
        least
    }

    fn put(&self, boxed: PxRect, typesetter: &mut Typesetter) -> Notice {
        let mut marks = frame(boxed);
        let left = f64::from(boxed.x) + 1.5 * self.cap;
        let mut top = f64::from(boxed.y) + self.cap;
        for row in &self.rows {
            let leading = row.height_px(self.cap);
            let (label, words, scale) = match row {
                Row::Words {
                    label,
                    words,
                    scale,
                } => (label, words, scale),
                Row::Sketch(sketch, room) => {
                    let corner = [left, top];
                    marks.extend(sketch.marks(corner, self.cap, *room, boxed, typesetter));
                    top += leading;
                    continue;
                }
            };
            let base = (top + leading / 2.0 + scale * self.cap / 2.0).round() as i32;
            let mut set = |words: &Words, x: f64| {
                let size = size(self.cap * scale);
                let placed = typesetter.set(&words.text, words.cut(), size, x.round() as i32, base);
                marks.push(Mark::Text(TextLine {
                    placed,
                    clip: boxed,
                    colour: words.colour,
                }));
            };
            let indent = match label {
                Some(label) => {
                    set(label, left);
                    self.column
                }
                None => 0.0,
            };
            set(words, left + indent);
            top += leading;
        }
        Notice { area: boxed, marks }
    }
}

/// Pixels of what is taken under a box.
fn hidden_px(boxed: PxRect, taken: &[PxRect]) -> u64 {
    let under = taken.iter().filter_map(|taken| taken.intersection(boxed));
    under
        .map(|under| u64::from(under.w) * u64::from(under.h))
        .sum()
}

/// Distance of two lines, in capitals.
const LEADING: f64 = 1.9;

fn size(cap: f64) -> TypeSize {
    TypeSize {
        cap_px: cap as f32,
        widening: 1.0,
    }
}

fn frame(area: PxRect) -> Vec<Mark> {
    let [left, top] = [area.x, area.y].map(f64::from);
    let [right, bottom] = [area.right(), area.bottom()].map(f64::from);
    let sides = [
        [left, top, right, top + 1.0],
        [left, bottom - 1.0, right, bottom],
        [left, top, left + 1.0, bottom],
        [right - 1.0, top, right, bottom],
    ];
    sides
        .map(|edges| {
            Mark::Bar(Bar {
                edges,
                clip: area,
                colour: BORDER,
            })
        })
        .to_vec()
}

/// Breaks words between blanks so that each line is as wide as the room at most.
fn broken(words: &Words, room: f64, mut width_of: impl FnMut(&Words) -> f64) -> Vec<Words> {
    let mut lines: Vec<Words> = Vec::new();
    for word in words.text.split(' ') {
        if let Some(last) = lines.last_mut() {
            let longer = Words {
                text: format!("{} {word}", last.text),
                ..last.clone()
            };
            if width_of(&longer) <= room {
                *last = longer;
                continue;
            }
        }
        lines.push(Words {
            text: word.to_owned(),
            ..words.clone()
        });
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: PxRect = PxRect {
        x: 100,
        y: 50,
        w: 1920,
        h: 1080,
    };

    #[test]
    fn a_box_stays_clear_of_the_ends_of_its_area() {
        let mut typesetter = Typesetter::new();
        let long = "turn the panel in ".repeat(40);
        let lines = [
            BoxLine::Title(Words::new("title", PLAIN)),
            BoxLine::Text(Words::new(long, PLAIN)),
            BoxLine::Pair(
                Words::new("Key", LOUD),
                Words::new("meaning ".repeat(30), DIM),
            ),
        ];
        for stand in [Stand::Top, Stand::Middle, Stand::Bottom] {
            let notice = notice(&lines, AREA, 14.0, stand, &[], &mut typesetter).expect("has room");
            assert!(AREA.holds(notice.area));
            let tenth = AREA.w / 10;
            assert!(notice.area.x >= AREA.x + tenth, "{:?}", notice.area);
            assert!(notice.area.right() <= AREA.right() - tenth);
            for mark in &notice.marks {
                let Some(bounds) = mark.bounds() else {
                    continue;
                };
                assert!(notice.area.holds(bounds));
            }
        }
    }

    #[test]
    fn a_small_display_gets_small_type() {
        let mut typesetter = Typesetter::new();
        let area = PxRect {
            x: 0,
            y: 0,
            w: 320,
            h: 200,
        };
        let lines = vec![BoxLine::Text(Words::new("some words to be read", PLAIN)); 12];
        let notice =
            notice(&lines, area, 14.0, Stand::Middle, &[], &mut typesetter).expect("has room");
        assert!(area.holds(notice.area));
    }

    #[test]
    fn a_box_goes_where_it_hides_nothing() {
        let mut typesetter = Typesetter::new();
        let lines = [BoxLine::Text(Words::new("some words to be read", PLAIN))];
        let stripe = |y, h| PxRect { y, h, ..AREA };
        for (stand, free) in [
            (Stand::Bottom, stripe(AREA.y + 300, 200)),
            (Stand::Top, stripe(AREA.y + 800, 100)),
        ] {
            let taken = [
                stripe(AREA.y, free.y - AREA.y),
                stripe(free.bottom(), AREA.bottom() - free.bottom()),
            ];
            let notice = notice(&lines, AREA, 14.0, stand, &taken, &mut typesetter);
            let found = notice.expect("has room").area;
            assert!(free.holds(found), "{found:?}");
        }
        // A column is left, too narrow for the box in the middle and as wide.
        let long = [BoxLine::Text(Words::new(
            "some words to be read ".repeat(12),
            PLAIN,
        ))];
        let column = PxRect {
            x: AREA.x + 1000,
            w: 920,
            ..AREA
        };
        let taken = [PxRect { w: 1000, ..AREA }];
        let notice = notice(&long, AREA, 14.0, Stand::Bottom, &taken, &mut typesetter);
        assert!(column.holds(notice.expect("has room").area));
    }

    #[test]
    fn nothing_to_say_makes_no_box() {
        let mut typesetter = Typesetter::new();
        assert_eq!(
            notice(&[], AREA, 14.0, Stand::Top, &[], &mut typesetter),
            None
        );
    }
}
