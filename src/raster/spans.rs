//! Some of the columns of a picture.

/// Columns that are told of together.
const COLUMNS: u32 = 8;

/// Spans that are no more columns apart than this are one: to go through memory in one
/// go takes less time than to begin anew.
const JOINED_PX: u32 = 32;

/// Columns that one word tells of.
const WORD: u32 = u64::BITS * COLUMNS;

/// A set of columns, eight at a time.
#[derive(Debug, Default)]
pub(super) struct Spans {
    /// The first column of all, and the first one past them.
    within: [u32; 2],
    /// A bit for every eight columns, counted from column 0.
    bits: Vec<u64>,
}

impl Spans {
    /// Forgets all, and has room for columns from one to, and without, another.
    pub(super) fn begin(&mut self, within: [u32; 2]) {
        self.within = within;
        self.bits.clear();
        self.bits.resize(within[1].div_ceil(WORD) as usize, 0);
    }

    /// Adds what there is room for of the columns from one to, and without, another.
    pub(super) fn add(&mut self, [from, to]: [u32; 2]) {
        let (from, to) = (from.max(self.within[0]), to.min(self.within[1]));
        if from >= to {
            return;
        }
        let last = to - 1;
        let words = (from / WORD) as usize..=(last / WORD) as usize;
        let head = u64::MAX << (from % WORD / COLUMNS);
        let tail = u64::MAX >> (u64::BITS - 1 - last % WORD / COLUMNS);
        if words.start() == words.end() {
            self.bits[*words.start()] |= head & tail;
            return;
        }
        self.bits[*words.start()] |= head;
        self.bits[words.start() + 1..*words.end()].fill(u64::MAX);
        self.bits[*words.end()] |= tail;
    }

    /// The columns, as spans from one to, and without, another, from the left. What has
    /// few others between is one span with these.
    pub(super) fn iter(&self) -> impl Iterator<Item = [u32; 2]> + '_ {
        let [first, end] = self.within;
        let mut from = next(&self.bits, 0, |word| word);
        std::iter::from_fn(move || {
            let start = from?;
            let past = self.bits.len() as u32 * u64::BITS;
            let mut to = start;
            loop {
                to = next(&self.bits, to, |word| !word).unwrap_or(past);
                from = next(&self.bits, to, |word| word);
                match from {
                    Some(next) if (next - to) * COLUMNS <= JOINED_PX => to = next,
                    _ => break,
                }
            }
            Some([(start * COLUMNS).max(first), (to * COLUMNS).min(end)])
        })
    }
}

/// The first bit, from one on, that is set in words as `turned` gives them.
fn next(words: &[u64], from: u32, turned: impl Fn(u64) -> u64) -> Option<u32> {
    let index = (from / u64::BITS) as usize;
    let first = turned(*words.get(index)?) & (u64::MAX << (from % u64::BITS));
    if first != 0 {
        return Some(index as u32 * u64::BITS + first.trailing_zeros());
    }
    let rest = (index + 1..).zip(&words[index + 1..]);
    let mut rest = rest.map(|(index, word)| (index, turned(*word)));
    let (index, word) = rest.find(|(_, word)| *word != 0)?;
    Some(index as u32 * u64::BITS + word.trailing_zeros())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_that_is_added_is_in_one_span_and_spans_lie_apart() {
        let within = [70, 3000];
        let mut spans = Spans::default();
        let mut most = 0;
        for seed in 0..2000_u32 {
            let dice = |at: u32, sides: u32| (at ^ seed << 8).wrapping_mul(0x9e37_79b9) / 7 % sides;
            // Some of them reach out of the room, and some are empty.
            let added = (0..seed % 23).map(|n| [dice(2 * n, 3200), dice(2 * n + 1, 90)]);
            let added: Vec<[u32; 2]> = added.map(|[from, w]| [from, from + w]).collect();
            spans.begin(within);
            added.iter().for_each(|columns| spans.add(*columns));
            let found: Vec<[u32; 2]> = spans.iter().collect();
            most = most.max(found.len());
            for pair in found.windows(2) {
                assert!(pair[0][1] + JOINED_PX < pair[1][0], "{added:?}: {found:?}");
            }
            let holds = |spans: &[[u32; 2]], at: u32| {
                spans.iter().any(|[from, to]| (*from..*to).contains(&at))
            };
            for at in 0..3300 {
                let is_within = (within[0]..within[1]).contains(&at);
                let is_found = holds(&found, at);
                assert!(is_within || !is_found, "{at}: {found:?}");
                assert!(
                    is_found || !is_within || !holds(&added, at),
                    "{at}: {added:?}: {found:?}"
                );
            }
            // What begins a span and what ends it has one that was added among its eight.
            for [from, to] in found {
                let ends = [
                    from / 8 * 8..from / 8 * 8 + 8,
                    (to - 1) / 8 * 8..(to - 1) / 8 * 8 + 8,
                ];
                assert!(
                    ends.into_iter()
                        .all(|mut eight| eight.any(|at| holds(&added, at)))
                );
            }
        }
        assert!(most > 10, "{most}");
    }
}
