//! The displays as the desktop has them, and the panels laid over them.

use std::collections::BTreeSet;

use super::rect::{DesktopRect, are_apart};

/// The displays as rectangles, without those that mirror another.
pub(super) struct Desk<'a> {
    pub rects: &'a [DesktopRect],
    pub lit: &'a [usize],
    /// The panel and the display that are believed to belong together where
    /// displays could be shifted either way.
    pub facing: usize,
    pub primary: Option<usize>,
}

impl Desk<'_> {
    /// The panels under the shift that shows most of them; among such, that
    /// puts most of the facing one on the primary display; among such, that
    /// covers most of their area, and then most of the facing one's.
    pub(super) fn shifted(&self, panels: &[DesktopRect]) -> Vec<DesktopRect> {
        let mut shifts = BTreeSet::new();
        for panel in panels {
            for &display in self.lit {
                shifts.insert(self.rects[display].from(panel));
            }
        }
        let under = |shift: [i64; 2]| panels.iter().map(|p| p.moved(shift)).collect::<Vec<_>>();
        let best = shifts.into_iter().max_by_key(|&shift| {
            let panels = under(shift);
            let facing = panels[self.facing];
            let shown = self.shown(&panels).into_iter().filter(|&is| is).count();
            let on_primary = self
                .primary
                .map_or(0, |display| self.rects[display].shared_area(&facing));
            let covered: i128 = panels.iter().map(|panel| self.covered(panel)).sum();
            (shown, on_primary, covered, self.covered(&facing))
        });
        under(best.unwrap_or([0, 0]))
    }

    /// Which panels displays show exactly, or as a part of a span they fill.
    pub(super) fn shown(&self, panels: &[DesktopRect]) -> Vec<bool> {
        let filled = |display: usize| {
            let rect = self.rects[display];
            let inside = panels.iter().copied().filter(|panel| rect.holds(panel));
            inside.reduce(|sum, panel| sum.around(&panel)) == Some(rect)
        };
        let filled: Vec<bool> = (0..self.rects.len()).map(filled).collect();
        let is_shown = |panel: &DesktopRect| match self.carriers(panel)[..] {
            [] => false,
            [one] => self.rects[one] == *panel || filled[one],
            _ => true,
        };
        panels.iter().map(is_shown).collect()
    }

    fn covered(&self, panel: &DesktopRect) -> i128 {
        let parts = self.lit.iter().map(|&d| self.rects[d].shared_area(panel));
        parts.sum()
    }

    /// The display that a panel lies inside, or else the ones that tile it.
    pub(super) fn carriers(&self, panel: &DesktopRect) -> Vec<usize> {
        let whole = self.lit.iter().filter(|&&d| self.rects[d].holds(panel));
        if let Some(&smallest) = whole.min_by_key(|&&d| self.rects[d].area()) {
            return vec![smallest];
        }
        let tiles = self.lit.iter().copied();
        let tiles: Vec<usize> = tiles.filter(|&d| panel.holds(&self.rects[d])).collect();
        let rects: Vec<_> = tiles.iter().map(|&d| self.rects[d]).collect();
        let area: i128 = rects.iter().map(DesktopRect::area).sum();
        if are_apart(&rects) && area == panel.area() {
            tiles
        } else {
            Vec::new()
        }
    }
}
