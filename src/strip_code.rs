//! The frame strip: a block of cells that says which frame a display shows, at which
//! seam, on which side, and how fast the clock beats.
//!
//! All lengths are in pitches, the distance from one cell's middle to the next. From
//! outside in, a strip has a lit border, a dark gap, and [`COLUMNS`] × [`ROWS`] cells
//! that are lit in their middle, so that blur hardly mixes neighbours. The cells of the
//! outer columns are marks: always lit or always dark, and not the same when the strip
//! is turned by half a turn or seen in a mirror. The others, in rows from the top, hold
//! the frame's Gray code (US patent 2632058; one cell changes a frame), a check cell
//! that is lit where an odd number of those is, a CRC of everything, the seam, the side
//! and the clock's rate.

/// Cells in a row.
pub const COLUMNS: usize = 14;
/// Rows of cells.
pub const ROWS: usize = 5;
/// Cells of a strip.
pub const CELLS: usize = COLUMNS * ROWS;
/// Thickness of the lit border.
pub const BORDER: f64 = 0.7;
/// Dark between the border and the outermost cells' areas.
pub const GAP: f64 = 0.6;
/// Dark on each side of a cell's lit middle.
pub const CELL_MARGIN: f64 = 0.1;
/// Dark that a strip needs around its border.
pub const QUIET: f64 = 1.0;
/// Width and height of a strip, its border included.
pub const SIZE: [f64; 2] = [
    COLUMNS as f64 + 2.0 * (BORDER + GAP),
    ROWS as f64 + 2.0 * (BORDER + GAP),
];

/// Bits of a frame's number.
pub const FRAME_BITS: u32 = 20;
const CRC_BITS: u32 = 16;
const SEAM_BITS: u32 = 6;
const RATE_BITS: u32 = 17;
/// Cells that depend on the frame: its Gray code, the check cell and the CRC, the
/// first of those that are no marks.
pub const CHANGING_CELLS: usize = (FRAME_BITS + 1 + CRC_BITS) as usize;

/// Marks by row: of the first column, and of the last, whose lowest cell is none.
const FIRST_COLUMN: [bool; ROWS] = [true, false, true, false, true];
const LAST_COLUMN: [bool; ROWS - 1] = [false, true, true, false];

/// Which side of a seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// On the left-hand panel.
    Left,
    /// On the right-hand panel.
    Right,
}

impl Side {
    /// Its name in words and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// What a strip says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StripCode {
    /// The seam's number from the left, from 1; its lowest 6 bits are shown.
    pub seam: u32,
    /// The strip's side of it.
    pub side: Side,
    /// The clock's rate in hundredths of a hertz; 0 where the strip can't say it.
    pub rate_chz: u32,
    /// The frame's number; its lowest 20 bits are shown.
    pub frame: u32,
}

/// A number's Gray code, in which one bit changes a step.
pub fn gray(number: u32) -> u32 {
    number ^ (number >> 1)
}

/// The number of a Gray code.
pub fn from_gray(mut gray: u32) -> u32 {
    for shift in [16, 8, 4, 2, 1] {
        gray ^= gray >> shift;
    }
    gray
}

/// A rate in hertz as strips say it, in hundredths; 0 where it is too high.
pub fn rate_chz(rate_hz: f64) -> u32 {
    let hundredths = (rate_hz * 100.0).round();
    if (1.0..f64::from(1 << RATE_BITS)).contains(&hundredths) {
        hundredths as u32
    } else {
        0
    }
}

/// Whether a cell is a mark, and then whether it is lit.
pub fn mark(cell: usize) -> Option<bool> {
    let (row, column) = (cell / COLUMNS, cell % COLUMNS);
    match column {
        0 => FIRST_COLUMN.get(row).copied(),
        _ if column == COLUMNS - 1 => LAST_COLUMN.get(row).copied(),
        _ => None,
    }
}

/// The cells that are no marks, in order.
pub fn data_cells() -> impl Iterator<Item = usize> {
    (0..CELLS).filter(|&cell| mark(cell).is_none())
}

/// Changes a second from which on a cell or a digit is counted as flashing too often:
/// three flashes, each a pair of changes (WCAG 2, 2.3.1).
const FLASHING_CHANGES: f64 = 6.0;

/// How many cells of a strip flash three times a second or more under a clock.
pub fn flashing_cells(rate_hz: f64) -> usize {
    let fast = (0..FRAME_BITS).filter(|bit| rate_hz / f64::from(2_u32 << bit) >= FLASHING_CHANGES);
    // The check cell and the CRC's change with every frame.
    fast.count() + 1 + CRC_BITS as usize
}

/// How many digits of the frame's number do.
pub fn flashing_digits(rate_hz: f64) -> usize {
    let powers = (0..7).map(|digit| 10_f64.powi(digit));
    powers
        .filter(|power| rate_hz / power >= FLASHING_CHANGES)
        .count()
        .max(1)
}

/// CRC-16 with the polynomial x¹⁶ + x¹² + x⁵ + 1, begun with all ones.
fn crc16(bits: impl Iterator<Item = bool>) -> u32 {
    bits.fold(0xffff, |crc, bit| {
        let high = (crc >> 15 & 1 == 1) != bit;
        let shifted = crc << 1 & 0xffff;
        if high { shifted ^ 0x1021 } else { shifted }
    })
}

/// A number's bits, the highest first.
fn bits(number: u32, count: u32) -> impl Iterator<Item = bool> {
    (0..count).rev().map(move |bit| number >> bit & 1 == 1)
}

fn number(bits: &[bool]) -> u32 {
    bits.iter().fold(0, |sum, &bit| sum << 1 | u32::from(bit))
}

impl StripCode {
    /// Which cells are lit.
    pub fn cells(self) -> [bool; CELLS] {
        let gray = gray(self.frame & ((1 << FRAME_BITS) - 1));
        let is_odd = gray.count_ones() % 2 == 1;
        let fixed = || {
            bits(self.seam, SEAM_BITS)
                .chain([self.side == Side::Right])
                .chain(bits(self.rate_chz, RATE_BITS))
        };
        let crc = crc16(bits(gray, FRAME_BITS).chain([is_odd]).chain(fixed()));
        let data = bits(gray, FRAME_BITS)
            .chain([is_odd])
            .chain(bits(crc, CRC_BITS))
            .chain(fixed());
        let mut cells = std::array::from_fn(|cell| mark(cell).unwrap_or(false));
        for (cell, lit) in data_cells().zip(data) {
            cells[cell] = lit;
        }
        cells
    }

    /// What lit cells say; `None` where marks, check cell or CRC don't agree.
    pub fn of_cells(cells: &[bool; CELLS]) -> Option<StripCode> {
        let data: Vec<bool> = data_cells().map(|cell| cells[cell]).collect();
        let (gray, rest) = data.split_at(FRAME_BITS as usize);
        let (seam, rest) = rest[1 + CRC_BITS as usize..].split_at(SEAM_BITS as usize);
        let code = StripCode {
            seam: number(seam),
            side: if rest[0] { Side::Right } else { Side::Left },
            rate_chz: number(&rest[1..]),
            frame: from_gray(number(gray)),
        };
        // Everything that a strip adds for safety is in the cells that it would have.
        (code.cells() == *cells && code.seam > 0).then_some(code)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(frame: u32) -> StripCode {
        StripCode {
            seam: 3,
            side: Side::Right,
            rate_chz: 5995,
            frame,
        }
    }

    #[test]
    fn one_gray_cell_changes_with_every_frame_and_the_check_cell_with_it() {
        let count = 1 << FRAME_BITS;
        let mut before = code(count - 1).cells();
        let data: Vec<usize> = data_cells().collect();
        for frame in 0..count {
            let after = code(frame).cells();
            let changed =
                |cells: &[usize]| cells.iter().filter(|&&c| before[c] != after[c]).count();
            assert_eq!(changed(&data[..20]), 1, "{frame}");
            assert_eq!(changed(&data[20..21]), 1, "{frame}");
            assert_eq!(changed(&data[CHANGING_CELLS..]), 0, "{frame}");
            assert_eq!(from_gray(gray(frame)), frame);
            before = after;
        }
    }

    /// Values of US patent 2632058's reflected code, as in its table for four places.
    #[test]
    fn gray_codes_are_those_of_the_patent() {
        let codes: Vec<u32> = (0..8).map(gray).collect();
        assert_eq!(
            codes,
            [0b000, 0b001, 0b011, 0b010, 0b110, 0b111, 0b101, 0b100]
        );
    }

    /// "123456789" has the CRC 0x29b1, the check value in common catalogues of CRCs.
    #[test]
    fn the_crc_is_the_common_one() {
        let text = b"123456789";
        assert_eq!(
            crc16(text.iter().flat_map(|&byte| bits(byte.into(), 8))),
            0x29b1
        );
    }

    #[test]
    fn any_code_is_read_back_and_up_to_three_wrong_cells_are_noticed() {
        assert_eq!(data_cells().count(), CHANGING_CELLS + 24);
        for frame in [0, 1, 77, 0x5_5555, 0xf_ffff] {
            for side in [Side::Left, Side::Right] {
                let code = StripCode {
                    side,
                    ..code(frame)
                };
                let cells = code.cells();
                assert_eq!(StripCode::of_cells(&cells), Some(code));
                for a in 0..CELLS {
                    for b in a..CELLS {
                        for c in b..CELLS {
                            let mut wrong = cells;
                            [a, b, c]
                                .into_iter()
                                .for_each(|cell| wrong[cell] = !cells[cell]);
                            let is_whole = wrong == cells;
                            assert_eq!(StripCode::of_cells(&wrong).is_some(), is_whole);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn turned_and_mirrored_marks_are_others() {
        let marks: Vec<Option<bool>> = (0..CELLS).map(mark).collect();
        let differ = |place: &dyn Fn(usize) -> usize| {
            (0..CELLS).any(|cell| match (marks[cell], marks[place(cell)]) {
                (Some(one), Some(other)) => one != other,
                _ => false,
            })
        };
        assert!(differ(&|cell| CELLS - 1 - cell));
        assert!(differ(&|cell| cell / COLUMNS * COLUMNS + COLUMNS
            - 1
            - cell % COLUMNS));
    }

    #[test]
    fn rates_are_told_to_a_hundredth_of_a_hertz() {
        assert_eq!(rate_chz(59.9506), 5995);
        assert_eq!(rate_chz(1e9), 0);
        assert_eq!(rate_chz(f64::NAN), 0);
        // 60 Hz: bits 0 to 2 change 30, 15 and 7.5 times a second.
        assert_eq!(flashing_cells(60.0), 3 + 1 + 16);
        assert_eq!(flashing_digits(60.0), 2);
    }
}
