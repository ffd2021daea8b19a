//! Which marks two patterns don't share.

use crate::pattern::Mark;
use crate::rig::PxRect;

/// What differs between two lists of marks.
pub(super) struct Changes<'a> {
    /// The marks that only the old list holds, or another place in it.
    pub gone: Vec<&'a Mark>,
    /// Of each mark in the new list, whether it is one that only this one holds, or
    /// another place in it.
    pub is_new: Vec<bool>,
    new: Vec<&'a Mark>,
}

impl<'a> Changes<'a> {
    /// What differs between two lists.
    pub(super) fn between(before: &'a [Mark], after: &'a [Mark]) -> Changes<'a> {
        let mut changes = Changes {
            gone: Vec::new(),
            is_new: Vec::with_capacity(after.len()),
            new: Vec::new(),
        };
        let (mut old, mut new) = (before, after);
        loop {
            match (old, new) {
                ([a, old_rest @ ..], [b, new_rest @ ..]) if a == b => {
                    changes.is_new.push(false);
                    (old, new) = (old_rest, new_rest);
                }
                ([], []) => return changes,
                _ => {
                    let [gone, come] = replaced(old, new);
                    changes.gone.extend(&old[..gone]);
                    changes.new.extend(&new[..come]);
                    changes.is_new.extend(std::iter::repeat_n(true, come));
                    (old, new) = (&old[gone..], &new[come..]);
                }
            }
        }
    }

    /// The part of the picture that holds all of them; `None` where there is none.
    pub(super) fn bounds(&self, whole: PxRect) -> Option<PxRect> {
        let marks = self.gone.iter().chain(&self.new);
        let bounds = marks.filter_map(|mark| mark.bounds());
        bounds.reduce(|a, b| a.union(b))?.intersection(whole)
    }
}
/// How many marks at the front of two lists give way to one another before the
/// lists agree again. Any answer is correct; a small one leaves more undisturbed.
fn replaced(old: &[Mark], new: &[Mark]) -> [usize; 2] {
    /// A comb's teeth come and go by the dozen.
    const LOOK_AHEAD: usize = 48;
    for k in 1..=LOOK_AHEAD {
        let agree = |i: usize, j: usize| match (old.get(i), new.get(j)) {
            (Some(a), Some(b)) => a == b,
            // The lists agree, too, where both end there.
            _ => i == old.len() && j == new.len(),
        };
        for [gone, come] in [[k, k], [k, 0], [0, k]] {
            if agree(gone, come) {
                return [gone, come];
            }
        }
    }
    [old.len().min(1), new.len().min(1)]
}
