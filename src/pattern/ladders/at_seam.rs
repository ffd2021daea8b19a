//! The gap's and the rise's ladders, whose rungs stand one above the other at the seam.

use super::place::{Place, clear_px};
use super::values::{GAP_SLOPE_DEG, Otherwise};
use super::{Ladder, LadderKind, Rung, SIDE};
use crate::geometry::EyePlane;

/// How far the gap's rungs run into the inner and the outer panel.
const GAP_RUNS_MM: [f64; 2] = [28.0, 20.0];
/// The same, at most, as a fraction of the lower panel's height.
const GAP_RUN: f64 = 0.1;
/// How far the rise's rungs run to either side of the seam.
const RISE_RUN_MM: f64 = 60.0;

impl Place<'_> {
    /// Where the gap's and the rise's ladders stand beside what the fold's has taken.
    pub(super) fn gap_and_rise(&self, [low, high]: [f64; 2]) -> [[f64; 2]; 2] {
        let clear = self.clear;
        let whole = self.free_of_combs;
        let free = if low > high {
            vec![whole]
        } else {
            vec![
                [whole[0], low - 0.7 * clear],
                [high + 0.7 * clear, whole[1]],
            ]
        };
        // One each, or one parted between the two.
        let mut ways: Vec<[[f64; 2]; 2]> = Vec::new();
        if let [one, other] = free[..] {
            ways.extend([[one, other], [other, one]]);
        }
        for &[low, high] in &free {
            for share in [0.5, 0.6, 0.7] {
                let cut = low + (high - low) * share;
                let apart = 0.5 * clear;
                ways.push([[low, cut - apart], [cut + apart, high]]);
                let cut = high - (high - low) * share;
                ways.push([[cut + apart, high], [low, cut - apart]]);
            }
        }
        let worth = |[gap, rise]: &[[f64; 2]; 2]| {
            let gap = self.side(LadderKind::Gap, *gap);
            let rise = self.side(LadderKind::Rise, *rise);
            (gap.min(rise), gap.min(2), gap + rise)
        };
        let ways = ways.into_iter().rev();
        ways.max_by_key(worth).unwrap_or([whole; 2])
    }

    /// How far rungs fall inwards and rise outwards from where they cross the seam, as
    /// shares of its height.
    fn reach(&self, kind: LadderKind) -> [f64; 2] {
        if kind == LadderKind::Gap {
            let pitch_mm = self.outer().pitch_mm()[1];
            self.runs_mm(kind).map(|mm| mm / pitch_mm / self.shared_px)
        } else {
            [0.0; 2]
        }
    }

    /// How many rungs there is room for to either side of the file's own, from one
    /// height of the seam to another, below their ladder's name.
    fn side(&self, kind: LadderKind, [low, high]: [f64; 2]) -> i32 {
        let clear = self.clear;
        let [inwards, outwards] = self.reach(kind);
        let rungs = ((high - low - inwards - outwards - clear) / clear).floor() as i32 + 1;
        ((rungs - 1) / 2).clamp(0, SIDE)
    }

    /// The gap's or the rise's ladder from one height of the seam to another.
    pub(super) fn at_seam(
        &self,
        kind: LadderKind,
        values: &[Otherwise],
        [low, high]: [f64; 2],
    ) -> Ladder {
        let mut top = high - self.clear;
        let mut ladder = self.stacked(kind, values, [low, top]);
        // Rungs rise more on a panel that is seen aslant.
        for _ in 0..4 {
            let over = self.over(&ladder);
            if over <= 0.0 {
                break;
            }
            top -= over;
            ladder = self.stacked(kind, values, [low, top]);
        }
        ladder
    }

    /// How far the ladder's name would stand in the upper comb, as a share of the seam's
    /// height.
    fn over(&self, ladder: &Ladder) -> f64 {
        let outer = self.outer();
        let elevation = self.crossing.elevation(self.free_of_combs[1]);
        let near = outer.edge_s_mm(self.sides.outer.edge);
        let Some(limit) = outer.t_at_elevation(near, elevation) else {
            return 0.0;
        };
        let px = ladder.label_px(self.board);
        let rows = ladder.rungs.iter().filter_map(|rung| rung.row(px));
        let highest = rows.fold(f64::INFINITY, f64::min);
        let name = highest - 1.5 * clear_px(self.board, self.sides.outer.panel);
        let over_px = outer.py_at_t(limit) - name;
        if over_px.is_finite() {
            over_px / self.shared_px
        } else {
            0.0
        }
    }

    /// The ladder with rungs from one height to another, one above the other.
    fn stacked(&self, kind: LadderKind, values: &[Otherwise], [low, high]: [f64; 2]) -> Ladder {
        let clear = self.clear;
        let side = self.side(kind, [low, high + clear]);
        // No farther apart than they need, so that they are taken for one ladder.
        let most = f64::from(2 * side) * 1.6 * clear;
        let [inwards, outwards] = self.reach(kind);
        let [low, high] = [low + inwards, high - outwards];
        let span = (high - low).min(most);
        let from = f64::midpoint(low, high) - span / 2.0;
        let slope_deg: f64 = match kind {
            // Outwards the rungs rise, so that their labels stand above them.
            LadderKind::Gap if self.sides.outer_is_right() => GAP_SLOPE_DEG,
            LadderKind::Gap => -GAP_SLOPE_DEG,
            LadderKind::Rise | LadderKind::Fold => 0.0,
        };
        let wanted = values
            .iter()
            .filter(|other| side > 0 && other.step.abs() <= side);
        let rungs: Vec<Rung> = wanted
            .filter_map(|other| {
                let fraction = from + f64::from(other.step + side) / f64::from(2 * side) * span;
                let plane = EyePlane::at_slope(
                    self.crossing.azimuth,
                    self.crossing.elevation(fraction),
                    slope_deg.to_radians(),
                );
                self.crosses(plane).then(|| self.rung(other, plane))
            })
            .collect();
        let [inner_mm, outer_mm] = self.runs_mm(kind);
        Ladder {
            seam: self.seam,
            kind,
            sides: self.sides,
            left_out: values.len() - rungs.len(),
            rungs,
            runs: [
                self.run_px(self.sides.inner.panel, inner_mm, 0.25),
                self.run_px(self.sides.outer.panel, outer_mm, 0.25),
            ],
        }
    }

    /// How far rungs run into the inner and the outer panel.
    fn runs_mm(&self, kind: LadderKind) -> [f64; 2] {
        if kind != LadderKind::Gap {
            return [RISE_RUN_MM; 2];
        }
        let sides = self.sides.both();
        let heights = sides.map(|side| self.surface(side.panel).size_mm[1]);
        let most = GAP_RUN * heights[0].min(heights[1]);
        GAP_RUNS_MM.map(|mm| mm.min(most))
    }
}
