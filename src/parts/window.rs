//! The window that a program with one camera a screen draws into.

/// A rectangle of the desktop, cut into equal columns of which each shows one camera.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Window {
    /// Left, top, width and height in desktop pixels, told from the facing panel's
    /// top-left corner; columns hidden behind seams count.
    pub px: [i32; 4],
    /// How many of its columns each panel carries, from left to right.
    pub columns: Vec<u32>,
    /// Which column is straight ahead, from 1 at the left. Left out, it is the middle
    /// one, or the cut in the middle where their number is even.
    pub ahead: Option<u32>,
}

/// Where a window's columns stand around straight ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ahead {
    /// The middle of this column, from 0 at the left.
    Column(usize),
    /// The cut between this column and the next.
    Cut(usize),
}

impl Ahead {
    /// The middle of `count` columns.
    pub fn middle_of(count: usize) -> Ahead {
        if count % 2 == 1 {
            Ahead::Column(count / 2)
        } else {
            Ahead::Cut((count / 2).saturating_sub(1))
        }
    }

    /// The column's number from 1; that of the middle cut lies halfway between two.
    pub fn number(self) -> f64 {
        match self {
            Ahead::Column(column) => column as f64 + 1.0,
            Ahead::Cut(left) => left as f64 + 1.5,
        }
    }
}

impl Window {
    /// Most columns.
    pub const MAX_COLUMNS: u32 = 64;
    /// Farthest that its corner, and most that its sides are, in pixels.
    pub const MAX_PX: i32 = 65_536;

    /// How many columns it is cut into.
    pub fn count(&self) -> usize {
        self.columns.iter().map(|&n| n as usize).sum()
    }

    /// Width of a column in pixels; not whole as a rule.
    pub fn column_px(&self) -> f64 {
        f64::from(self.px[2]) / self.count() as f64
    }

    /// What is straight ahead.
    pub fn ahead(&self) -> Ahead {
        match self.ahead {
            Some(number) => Ahead::Column((number as usize).saturating_sub(1)),
            None => Ahead::middle_of(self.count()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_ahead_is_the_middle_column_or_the_middle_cut() {
        let window = |columns: &[u32], ahead| Window {
            px: [0, 0, 3000, 1000],
            columns: columns.to_vec(),
            ahead,
        };
        assert_eq!(window(&[1, 3, 1], None).ahead(), Ahead::Column(2));
        assert_eq!(window(&[1, 1], None).ahead(), Ahead::Cut(0));
        assert_eq!(window(&[2, 4], None).ahead().number(), 3.5);
        assert_eq!(window(&[1, 1], Some(2)).ahead(), Ahead::Column(1));
        assert_eq!(window(&[1, 1], Some(2)).ahead().number(), 2.0);
    }
}
