//! Some of the pixels of a few rows.

use crate::rig::PxRect;

/// Pixels that one word tells of.
const WORD: u32 = u64::BITS;

/// A set of a rectangle's pixels, a bit each.
#[derive(Debug, Default)]
pub(super) struct Mask {
    /// Column of the first bit of every row, a multiple of [`WORD`],
    first: u32,
    /// and the topmost row.
    top: u32,
    words_a_row: usize,
    bits: Vec<u64>,
    /// Columns of which some row holds a pixel.
    columns: Vec<u64>,
}

impl Mask {
    /// Forgets all, and has room for a rectangle's pixels.
    pub(super) fn begin(&mut self, part: PxRect) {
        self.first = part.x / WORD * WORD;
        self.top = part.y;
        self.words_a_row = (part.right() - self.first).div_ceil(WORD) as usize;
        self.bits.clear();
        self.bits.resize(self.words_a_row * part.h as usize, 0);
        self.columns.clear();
        self.columns.resize(self.words_a_row, 0);
    }

    /// Adds the pixels from a left column and a top row to, and without, a right
    /// column and a bottom row, all of them inside the rectangle.
    pub(super) fn add(&mut self, [left, top, right, bottom]: [u32; 4]) {
        if left >= right {
            return;
        }
        let (from, last) = (left - self.first, right - 1 - self.first);
        let words = (from / WORD) as usize..=(last / WORD) as usize;
        let head = u64::MAX << (from % WORD);
        let tail = u64::MAX >> (WORD - 1 - last % WORD);
        let add = |row: &mut [u64]| {
            if words.start() == words.end() {
                row[*words.start()] |= head & tail;
                return;
            }
            row[*words.start()] |= head;
            row[words.start() + 1..*words.end()].fill(u64::MAX);
            row[*words.end()] |= tail;
        };
        let rows = (top - self.top) as usize..(bottom - self.top) as usize;
        self.bits[rows.start * self.words_a_row..rows.end * self.words_a_row]
            .chunks_exact_mut(self.words_a_row)
            .for_each(add);
        add(&mut self.columns);
    }

    /// Whether some row holds a pixel of the columns from one to, and without, another.
    pub(super) fn meets(&self, [from, to]: [u32; 2]) -> bool {
        next(&self.columns, from - self.first, |word| word)
            .is_some_and(|column| self.first + column < to)
    }

    /// The runs of a row's pixels, from the left: the first column of each, and the
    /// first one past it.
    pub(super) fn runs(&self, row: u32) -> impl Iterator<Item = [u32; 2]> + '_ {
        let start = (row - self.top) as usize * self.words_a_row;
        let words = &self.bits[start..start + self.words_a_row];
        let mut at = 0;
        std::iter::from_fn(move || {
            let from = next(words, at, |word| word)?;
            let end = words.len() as u32 * WORD;
            let to = next(words, from, |word| !word).unwrap_or(end);
            at = to;
            Some([self.first + from, self.first + to])
        })
    }
}

/// The first bit, from one on, that is set in words as `turned` gives them.
#[inline]
fn next(words: &[u64], from: u32, turned: impl Fn(u64) -> u64) -> Option<u32> {
    let index = (from / WORD) as usize;
    let first = turned(*words.get(index)?) & (u64::MAX << (from % WORD));
    if first != 0 {
        return Some(index as u32 * WORD + first.trailing_zeros());
    }
    let rest = (index + 1..).zip(&words[index + 1..]);
    let mut rest = rest.map(|(index, word)| (index, turned(*word)));
    let (index, word) = rest.find(|(_, word)| *word != 0)?;
    Some(index as u32 * WORD + word.trailing_zeros())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PART: PxRect = PxRect {
        x: 70,
        y: 5,
        w: 200,
        h: 4,
    };

    fn all(mask: &Mask) -> Vec<Vec<[u32; 2]>> {
        let rows = PART.y..PART.bottom();
        rows.map(|row| mask.runs(row).collect()).collect()
    }

    #[test]
    fn rectangles_that_touch_are_one_run_in_each_row() {
        let mut mask = Mask::default();
        mask.begin(PART);
        assert_eq!(all(&mask), [[[0; 2]; 0]; 4]);
        mask.add([70, 5, 72, 7]);
        mask.add([72, 6, 128, 7]);
        mask.add([127, 6, 129, 8]);
        mask.add([190, 8, 270, 9]);
        mask.add([192, 5, 192, 9]);
        assert!(mask.meets([100, 101]) && mask.meets([129, 191]) && !mask.meets([129, 190]));
        let expected = [
            vec![[70, 72]],
            vec![[70, 129]],
            vec![[127, 129]],
            vec![[190, 270]],
        ];
        assert_eq!(all(&mask), expected);
        mask.add([70, 5, 270, 9]);
        assert_eq!(all(&mask), [[[70, 270]]; 4]);
        mask.begin(PART);
        assert_eq!(all(&mask), [[[0; 2]; 0]; 4]);
    }
}
