//! Runs of pixels along the rows.

/// Neighbouring pixels of one row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Column of the leftmost,
    pub x: u32,
    /// their row,
    pub y: u32,
    /// and how many they are, one at least.
    pub w: u32,
}

/// Runs that are no more pixels apart than this are one: to tell of another run takes
/// as much room as two pixels do.
const JOINED_PX: u32 = 2;

/// Pixels that are compared in one go.
const AT_ONCE: usize = 8;

/// Adds the runs of a row's pixels, from a column on, in which two states of them differ.
/// Both have as many. Runs with a few pixels between them that are the same are one, the
/// one that was added last included.
pub fn differing(runs: &mut Vec<Run>, [x, y]: [u32; 2], before: &[[u8; 4]], after: &[[u8; 4]]) {
    let mut add = |from: u32, w: u32| match runs.last_mut() {
        Some(last) if last.y == y && (last.x..=last.x + last.w + JOINED_PX).contains(&from) => {
            last.w = last.w.max(from + w - last.x);
        }
        _ => runs.push(Run { x: from, y, w }),
    };
    let mut note = |left: u32, mut differ: u64| {
        differ = joined(differ);
        let mut at = 0;
        while differ != 0 {
            let from = differ.trailing_zeros();
            let w = (differ >> from).trailing_ones();
            add(left + at + from, w);
            at += from + w;
            differ = differ.checked_shr(from + w).unwrap_or(0);
        }
    };
    let (before, last_before) = before.as_chunks::<AT_ONCE>();
    let (after, last_after) = after.as_chunks::<AT_ONCE>();
    // Eight times as many are noted in one go, a bit each.
    let words = before.chunks(AT_ONCE).zip(after.chunks(AT_ONCE));
    for (left, (before, after)) in (x..).step_by(AT_ONCE * AT_ONCE).zip(words) {
        let mut differ = 0;
        for (at, (before, after)) in (0..).step_by(AT_ONCE).zip(before.iter().zip(after)) {
            // Most are the same.
            if before != after {
                differ |= bits(before, after) << at;
            }
        }
        note(left, differ);
    }
    if last_before.is_empty() {
        return;
    }
    let mut rest = [[[0; 4]; AT_ONCE]; 2];
    rest[0][..last_before.len()].copy_from_slice(last_before);
    rest[1][..last_after.len()].copy_from_slice(last_after);
    let left = x + (before.len() * AT_ONCE) as u32;
    note(left, bits(&rest[0], &rest[1]));
}

/// Bits, with those set that stand between two of them that are no more than
/// [`JOINED_PX`] others apart.
#[inline]
fn joined(bits: u64) -> u64 {
    const { assert!(JOINED_PX == 2) };
    bits | bits << 1 & (bits >> 1 | bits >> 2) | bits << 2 & bits >> 1
}

/// A bit for each of a few pixels that differ, the first one lowest.
#[inline]
fn bits(before: &[[u8; 4]; AT_ONCE], after: &[[u8; 4]; AT_ONCE]) -> u64 {
    let mut differ = [0; AT_ONCE];
    for ((differ, before), after) in differ.iter_mut().zip(before).zip(after) {
        *differ = u8::from(u32::from_ne_bytes(*before) != u32::from_ne_bytes(*after));
    }
    // Each of eight bytes of 0 or 1 leaves its bit in the topmost one.
    u64::from_le_bytes(differ).wrapping_mul(0x0102_0408_1020_4080) >> 56
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_differ_are_in_a_run_and_no_run_begins_or_ends_with_others() {
        let before = [[1, 2, 3, 255]; 150];
        let mut most = 0;
        for seed in 0_u32..2000 {
            // From few that differ to many.
            let is_other = |at: u32| {
                let dice = (at ^ seed << 8).wrapping_mul(0x9e37_79b9) >> 20;
                dice % 16 < seed % 17
            };
            let mut after = before;
            for at in (0..150).filter(|&at| is_other(at)) {
                after[at as usize][2] = 4;
            }
            let mut runs = vec![Run { x: 60, y: 6, w: 9 }];
            differing(&mut runs, [70, 7], &before, &after);
            let found = &runs[1..];
            most = most.max(found.len());
            for pair in found.windows(2) {
                assert!(pair[0].x + pair[0].w + JOINED_PX < pair[1].x, "{found:?}");
            }
            for run in found {
                let ends = [run.x, run.x + run.w - 1];
                assert!(
                    run.y == 7 && ends.iter().all(|&x| is_other(x - 70)),
                    "{found:?}"
                );
            }
            let within = |x: u32| found.iter().any(|run| (run.x..run.x + run.w).contains(&x));
            assert!(
                (0..150).all(|at| !is_other(at) || within(at + 70)),
                "{found:?}"
            );
        }
        assert!(most > 20, "{most}");
    }

    #[test]
    fn a_run_goes_on_from_the_one_before_it() {
        let [one, other] = [[[0; 4]; 3], [[1; 4]; 3]];
        let mut runs = Vec::new();
        for x in [0, 5, 11] {
            differing(&mut runs, [x, 2], &one, &other);
        }
        let run = |x, w| Run { x, y: 2, w };
        assert_eq!(runs, [run(0, 8), run(11, 3)]);
        // Nor does it end sooner for what lies inside it.
        differing(&mut runs, [12, 2], &one[..1], &other[..1]);
        assert_eq!(runs, [run(0, 8), run(11, 3)]);
    }
}
