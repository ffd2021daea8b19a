//! Reads frame strips from a photograph or picture: which frame the two displays of a
//! seam showed, and how far they were apart.
//!
//! A strip's lit border is found as a bright patch with four corners, its edges are
//! fitted between pixels, and its cells are looked up through the homography of its
//! corners, in linear light, against its own marks. What is read must agree with marks,
//! check cell and CRC, so that a wrong number is next to impossible; a strip whose cells
//! are lit by halves held more than one frame, and is said to.

mod cells;
mod corners;
mod patches;

use crate::grey::Grey;
use crate::strip_code::{FRAME_BITS, Side, StripCode};
use cells::{Found, look_up};

/// A strip that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// The seam's number from the left, from 1.
    pub seam: u32,
    /// The strip's side of the seam.
    pub side: Side,
    /// The number of the frame that it shows.
    pub frame: u32,
    /// The clock's rate; `None` where the strip doesn't say it.
    pub rate_hz: Option<f64>,
}

/// How far apart the two displays of a seam are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// The seam's number from the left, from 1.
    pub seam: u32,
    /// The right-hand display's frame less the left-hand one's: negative where the
    /// right-hand one is behind.
    pub frames: i32,
    /// The same in milliseconds; `None` where the strips don't say one rate.
    pub ms: Option<f64>,
}

/// What a picture's strips say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Frames {
    /// The strips that were read, by seam and side.
    pub strips: Vec<Strip>,
    /// How many strips held more than one frame.
    pub mixed: usize,
    /// How many strips have clear cells that make no code: their display was redrawn
    /// between one cell and another, or something covers them.
    pub torn: usize,
    /// How many strips can't be told cell by cell.
    pub unclear: usize,
    /// How many strips are said to be the same and show other frames.
    pub doubtful: usize,
}

/// Levels at which patches are looked for, as shares of the picture's brightest code.
const LEVELS: [f64; 7] = [0.7, 0.55, 0.42, 0.32, 0.24, 0.85, 0.17];
/// Pixels in which patches are looked for: a larger picture is reduced first.
const SEARCH_PX: u64 = 6_000_000;

/// Reads all strips of a picture.
pub fn read(picture: &Grey) -> Frames {
    let [w, h] = picture.size_px().map(u64::from);
    let factor = (1..).find(|factor: &u32| w * h / u64::from(*factor).pow(2) <= SEARCH_PX);
    let factor = factor.unwrap_or(1);
    let reduced = picture.reduced(factor);
    let brightest = f64::from(reduced.brightest());
    let mut places: Vec<Place> = Vec::new();
    for level in LEVELS {
        let code = (brightest * level).ceil().clamp(1.0, 255.0) as u8;
        for patch in patches::bordered(&reduced, code) {
            let rough = patch.map(|corner| corner.map(|px| px * f64::from(factor)));
            let Some(corners) = corners::refined(picture, rough) else {
                continue;
            };
            if let Some(found) = look_up(picture, &corners) {
                Place { corners, found }.put(&mut places);
            }
        }
    }
    sorted_out(&places)
}

/// A strip and where it is.
struct Place {
    corners: [[f64; 2]; 4],
    found: Found,
}

impl Place {
    fn middle(&self) -> [f64; 2] {
        [0, 1].map(|i| self.corners.iter().map(|corner| corner[i]).sum::<f64>() / 4.0)
    }

    fn width(&self) -> f64 {
        let [a, b, ..] = self.corners;
        (b[0] - a[0]).hypot(b[1] - a[1])
    }

    /// Adds it to the places; of two findings at one place the better one stays.
    fn put(self, places: &mut Vec<Place>) {
        let [x, y] = self.middle();
        let same = places.iter_mut().find(|other| {
            let [other_x, other_y] = other.middle();
            (x - other_x).hypot(y - other_y) < other.width() / 4.0
        });
        match same {
            Some(other) if other.found.rank() < self.found.rank() => *other = self,
            Some(_) => {}
            None => places.push(self),
        }
    }
}

fn sorted_out(places: &[Place]) -> Frames {
    let mut frames = Frames::default();
    let mut codes: Vec<StripCode> = Vec::new();
    for place in places {
        match place.found {
            Found::Code(code) => codes.push(code),
            Found::Mixed => frames.mixed += 1,
            Found::Torn => frames.torn += 1,
            Found::Unclear => frames.unclear += 1,
        }
    }
    codes.sort_by_key(|code| (code.seam, code.side));
    for same in codes.chunk_by(|a, b| (a.seam, a.side) == (b.seam, b.side)) {
        if same.iter().all(|code| *code == same[0]) {
            let code = same[0];
            frames.strips.push(Strip {
                seam: code.seam,
                side: code.side,
                frame: code.frame,
                rate_hz: (code.rate_chz > 0).then(|| f64::from(code.rate_chz) / 100.0),
            });
        } else {
            frames.doubtful += same.len();
        }
    }
    frames
}

impl Frames {
    /// The difference at each seam both strips of which were read.
    pub fn differences(&self) -> Vec<Difference> {
        let pairs = self.strips.windows(2);
        let pairs = pairs.filter(|pair| pair[0].seam == pair[1].seam);
        pairs
            .map(|pair| {
                let frames = apart(pair[0].frame, pair[1].frame);
                let rate = pair[0]
                    .rate_hz
                    .filter(|_| pair[0].rate_hz == pair[1].rate_hz);
                Difference {
                    seam: pair[0].seam,
                    frames,
                    ms: rate.map(|rate_hz| f64::from(frames) / rate_hz * 1000.0),
                }
            })
            .collect()
    }

    /// What can't be told and why, each as a sentence without its full stop.
    pub fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        let mut add = |count: usize, is: &str, are: &str, text: &str| {
            if count > 0 {
                let who = if count == 1 {
                    is.to_owned()
                } else {
                    format!("{count} {are}")
                };
                faults.push(format!("{who} {text}"));
            }
        };
        add(
            self.mixed,
            "a strip's cells are",
            "strips' cells are",
            "lit by halves, so the exposure held more than one frame: expose for a quarter of \
             a frame or less",
        );
        add(
            self.torn,
            "a strip's cells are",
            "strips' cells are",
            "of two frames, or hidden in part: the display was being redrawn, so take another \
             picture",
        );
        add(
            self.unclear,
            "a strip's cells",
            "strips' cells",
            "can't be told apart: take a sharper or larger picture of it",
        );
        add(
            self.doubtful,
            "a strip says",
            "strips say",
            "the same of themselves and show other frames: keep reflections out of the picture",
        );
        if faults.is_empty() && self.strips.is_empty() {
            faults.push(
                "there is no frame strip in the picture: show the layer motion, and take the \
                 picture upright, with all of both strips at a seam in it"
                    .to_owned(),
            );
        }
        faults
    }
}

/// Frames from one number to another, the shorter way round the counter.
fn apart(from: u32, to: u32) -> i32 {
    let unused = 32 - FRAME_BITS;
    (to.wrapping_sub(from) << unused).cast_signed() >> unused
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_go_the_shorter_way_round_the_counter() {
        assert_eq!(apart(7, 9), 2);
        assert_eq!(apart(9, 7), -2);
        assert_eq!(apart((1 << 20) - 1, 2), 3);
        assert_eq!(apart(2, (1 << 20) - 1), -3);
    }

    #[test]
    fn strips_of_one_seam_are_paired_and_milliseconds_need_one_rate() {
        let strip = |seam, side, frame, rate_hz| Strip {
            seam,
            side,
            frame,
            rate_hz,
        };
        let frames = Frames {
            strips: vec![
                strip(1, Side::Right, 5, Some(50.0)),
                strip(2, Side::Left, 5, Some(50.0)),
                strip(2, Side::Right, 2, Some(50.0)),
                strip(3, Side::Left, 5, Some(50.0)),
                strip(3, Side::Right, 6, None),
            ],
            ..Frames::default()
        };
        let difference = |seam, frames, ms| Difference { seam, frames, ms };
        let expected = [difference(2, -3, Some(-60.0)), difference(3, 1, None)];
        assert_eq!(frames.differences(), expected);
    }
}
