//! What the cells between a strip's corners say.

use crate::grey::Grey;
use crate::strip_code::{
    BORDER, CELLS, CHANGING_CELLS, COLUMNS, GAP, ROWS, SIZE, StripCode, data_cells, mark,
};

/// What was found where a strip may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Found {
    /// A code that agrees with itself.
    Code(StripCode),
    /// Cells that change with the frame are lit by halves, and no others are.
    Mixed,
    /// All cells are lit or dark, and make no code.
    Torn,
    /// Cells are neither lit nor dark.
    Unclear,
}

impl Found {
    /// The more is known, the higher.
    pub(super) fn rank(self) -> u8 {
        match self {
            Found::Code(_) => 3,
            Found::Mixed => 2,
            Found::Torn => 1,
            Found::Unclear => 0,
        }
    }
}

/// Between these shares of a lit cell's light a cell is neither lit nor dark.
const HALF: [f64; 2] = [0.3, 0.7];
/// How far a mark may be from what it is, as a share of a lit cell's light.
const MARK_OFF: f64 = 0.3;
/// Least light between a dark and a lit cell that can be told from noise.
const LEAST_CONTRAST: f64 = 0.01;
/// A border is nowhere darker than this share of its mean, and what is around it
/// nowhere brighter than that one.
const BORDER_LEAST: f64 = 0.5;
const DARK_MOST: f64 = 0.6;
/// Farthest from a cell's middle that it is looked at, in pitches, and at how many
/// places in a row.
const LOOK: f64 = 0.22;
const LOOKS: i32 = 2;

/// Looks a strip up between its corners; `None` where there is none.
pub(super) fn look_up(picture: &Grey, corners: &[[f64; 2]; 4]) -> Option<Found> {
    let plate = Plate {
        picture,
        homography: Homography::of(corners)?,
    };
    plate.is_bordered()?.then_some(())?;
    let mut lights = [0.0; CELLS];
    for (cell, light) in lights.iter_mut().enumerate() {
        *light = plate.cell(cell)?;
    }
    let shares = against_marks(&lights)?;
    let is_half = |cell: usize| (HALF[0]..=HALF[1]).contains(&shares[cell]);
    let cells = std::array::from_fn(|cell| mark(cell).unwrap_or(shares[cell] > 0.5));
    let halves =
        |cells: &mut dyn Iterator<Item = usize>| cells.filter(|&cell| is_half(cell)).count();
    let changing = halves(&mut data_cells().take(CHANGING_CELLS));
    let fixed = halves(&mut data_cells().skip(CHANGING_CELLS));
    Some(match (changing, fixed) {
        (0, 0) => StripCode::of_cells(&cells).map_or(Found::Torn, Found::Code),
        // From a frame to the next, a Gray cell and the check cell change at least.
        (2.., 0) => Found::Mixed,
        _ => Found::Unclear,
    })
}

/// Light of the cells as shares, 0 for dark and 1 for lit, by the marks on both sides
/// of them; `None` where the marks aren't those of a strip.
fn against_marks(lights: &[f64; CELLS]) -> Option<[f64; CELLS]> {
    let mean = |column: usize, is_lit: bool| {
        let marks = (0..ROWS).map(|row| row * COLUMNS + column);
        let marks = marks.filter(|&cell| mark(cell) == Some(is_lit));
        let (sum, count) = marks.fold((0.0, 0.0), |(sum, count), cell| {
            (sum + lights[cell], count + 1.0)
        });
        sum / count
    };
    let last = COLUMNS - 1;
    let [dark, lit] = [false, true].map(|is_lit| [mean(0, is_lit), mean(last, is_lit)]);
    let shares: [f64; CELLS] = std::array::from_fn(|cell| {
        let across = (cell % COLUMNS) as f64 / last as f64;
        let [dark, lit] = [dark, lit].map(|[from, to]| from + (to - from) * across);
        (lights[cell] - dark) / (lit - dark)
    });
    let is_seen = (0..2).all(|end| lit[end] - dark[end] > LEAST_CONTRAST);
    let agree = (0..CELLS).all(|cell| {
        mark(cell)
            .is_none_or(|is_lit| (shares[cell] - f64::from(u8::from(is_lit))).abs() < MARK_OFF)
    });
    (is_seen && agree).then_some(shares)
}

/// A strip in the picture.
struct Plate<'a> {
    picture: &'a Grey,
    homography: Homography,
}

impl Plate<'_> {
    /// Light at a place given in pitches from the border's corner; `None` outside the
    /// picture.
    fn light(&self, x: f64, y: f64) -> Option<f64> {
        let place = self.homography.at([x / SIZE[0], y / SIZE[1]]);
        self.picture.light(place)
    }

    /// Mean light in the middle of a cell.
    fn cell(&self, cell: usize) -> Option<f64> {
        let [x, y] = [cell % COLUMNS, cell / COLUMNS].map(|n| BORDER + GAP + 0.5 + n as f64);
        let mut sum = 0.0;
        for down in -LOOKS..=LOOKS {
            for across in -LOOKS..=LOOKS {
                let [dx, dy] = [across, down].map(|n| LOOK * f64::from(n) / f64::from(LOOKS));
                sum += self.light(x + dx, y + dy)?;
            }
        }
        Some(sum / f64::from((2 * LOOKS + 1).pow(2)))
    }

    /// Whether a lit border stands in the dark all the way round.
    fn is_bordered(&self) -> Option<bool> {
        let [width, height] = SIZE;
        // All the way round, so far inside the border's outer edge.
        let around = |inside: f64| -> Option<Vec<f64>> {
            let mut lights = Vec::new();
            for place in 0..=COLUMNS {
                let share = place as f64 / COLUMNS as f64;
                let x = inside + (width - 2.0 * inside) * share;
                lights.extend([self.light(x, inside)?, self.light(x, height - inside)?]);
            }
            for place in 1..ROWS {
                let share = place as f64 / ROWS as f64;
                let y = inside + (height - 2.0 * inside) * share;
                lights.extend([self.light(inside, y)?, self.light(width - inside, y)?]);
            }
            Some(lights)
        };
        let mean = |lights: &[f64]| lights.iter().sum::<f64>() / lights.len() as f64;
        let border = around(BORDER / 2.0)?;
        let bright = mean(&border);
        let dark = [around(-0.5)?, around(BORDER + GAP / 2.0)?];
        Some(
            border.iter().all(|&light| light > BORDER_LEAST * bright)
                && dark.iter().all(|lights| mean(lights) < DARK_MOST * bright),
        )
    }
}

/// From the unit square, (0, 0) up left, to a picture.
struct Homography {
    /// Rows of the matrix; its last element is 1.
    rows: [[f64; 3]; 3],
}

impl Homography {
    /// The one that takes the square's corners, from up left the way a clock goes, to
    /// these; `None` where they make no convex shape.
    ///
    /// The closed form of P. Heckbert, *Fundamentals of Texture Mapping and Image
    /// Warping* (1989), 2.2.3.
    fn of(corners: &[[f64; 2]; 4]) -> Option<Homography> {
        let [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = *corners;
        let is_convex = (0..4).all(|i| {
            let [a, b, c] = [0, 1, 2].map(|n| corners[(i + n) % 4]);
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) > 0.0
        });
        if !is_convex {
            return None;
        }
        let ([dx1, dx2, dx3], [dy1, dy2, dy3]) = (
            [x1 - x2, x3 - x2, x0 - x1 + x2 - x3],
            [y1 - y2, y3 - y2, y0 - y1 + y2 - y3],
        );
        let whole = dx1 * dy2 - dx2 * dy1;
        let g = (dx3 * dy2 - dx2 * dy3) / whole;
        let h = (dx1 * dy3 - dx3 * dy1) / whole;
        let rows = [
            [x1 - x0 + g * x1, x3 - x0 + h * x3, x0],
            [y1 - y0 + g * y1, y3 - y0 + h * y3, y0],
            [g, h, 1.0],
        ];
        let is_finite = rows.iter().flatten().all(|value| value.is_finite());
        is_finite.then_some(Homography { rows })
    }

    fn at(&self, [u, v]: [f64; 2]) -> [f64; 2] {
        let [x, y, w] = self.rows.map(|[a, b, c]| a * u + b * v + c);
        [x / w, y / w]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_homography_takes_corners_to_corners_and_keeps_lines() {
        let corners = [[10.0, 20.0], [190.0, 35.0], [160.0, 120.0], [25.0, 101.0]];
        let homography = Homography::of(&corners).expect("convex");
        for (place, corner) in [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
            .iter()
            .zip(corners)
        {
            let at = homography.at(*place);
            assert!((at[0] - corner[0]).abs() < 1e-9 && (at[1] - corner[1]).abs() < 1e-9);
        }
        // The diagonals meet where the square's do.
        let [x, y] = homography.at([0.5, 0.5]);
        for [a, c] in [[0, 2], [1, 3]] {
            let ([ax, ay], [cx, cy]) = (corners[a], corners[c]);
            assert!(((cx - ax) * (y - ay) - (cy - ay) * (x - ax)).abs() < 1e-9);
        }
        let crossed = [corners[0], corners[2], corners[1], corners[3]];
        assert!(Homography::of(&crossed).is_none());
    }
}
