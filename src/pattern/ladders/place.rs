//! Where a seam's ladders stand.

use super::values::{LEAST_STEP_MM, Otherwise, values};
use super::{Fineness, Ladder, LadderKind, Ladders, Rung, SIDE};
use crate::geometry::{EyePlane, Surface};
use crate::pattern::board::Board;
use crate::pattern::diagonals::Crossing;
use crate::pattern::rulers::{COMB_HEIGHTS, half_plate};
use crate::pattern::seam_side::SeamSide;
use crate::rig::Rig;
use glam::DVec3;

/// How far the fold's rungs run into the inner panel.
const FOLD_RUN_MM: f64 = 200.0;
/// How far from the outer panel's far edge the fold's labels end.
const FOLD_LABEL_MM: f64 = 70.0;
/// Where the nearest lane reaches the far edge, as a share of the way from eye level to
/// its end, and where the farthest one may, the best first.
const NEAREST_LANE: f64 = 0.42;
const FARTHEST_LANE: [f64; 4] = [0.95, 0.86, 0.77, 0.68];

/// A seam's two sides: towards the panel straight ahead, and away from it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sides {
    pub inner: SeamSide,
    pub outer: SeamSide,
}

impl Sides {
    fn of(rig: &Rig, seam: usize) -> Sides {
        let [left, right] = SeamSide::both(seam);
        if seam >= rig.seat().view.panel {
            Sides {
                inner: left,
                outer: right,
            }
        } else {
            Sides {
                inner: right,
                outer: left,
            }
        }
    }

    pub(super) fn both(self) -> [SeamSide; 2] {
        [self.inner, self.outer]
    }

    pub(super) fn outer_is_right(self) -> bool {
        !self.outer.is_right_edge()
    }
}

/// Rows from one label to the next.
pub(super) fn clear_px(board: &Board, panel: usize) -> f64 {
    2.2 * board.cap_px(panel)
}

/// How far from the seam the fold's labels end, in columns.
pub(super) fn fold_label_px(outer: &Surface) -> f64 {
    let width = outer.pixels[0];
    (width - FOLD_LABEL_MM / outer.pitch_mm()[0]).max(width / 2.0)
}

/// The ladders of a seam, with as many rungs as their labels leave room for. None where
/// the panels share no height.
pub(super) fn ladders(board: &Board, seam: usize, choice: Ladders, is_turned: bool) -> Vec<Ladder> {
    let crossing = Crossing::seam(board.layout, seam);
    if !crossing.is_shared() {
        return Vec::new();
    }
    let place = Place::new(board, seam, crossing, choice.fineness);
    match choice.kind {
        Some(kind) => {
            let values = place.values(kind);
            vec![match kind {
                LadderKind::Fold => place.fold(&values, is_turned),
                LadderKind::Gap | LadderKind::Rise => {
                    place.at_seam(kind, &values, place.free_of_combs)
                }
            }]
        }
        None => {
            let fold = place.fold(&place.values(LadderKind::Fold), is_turned);
            let kinds = [LadderKind::Gap, LadderKind::Rise];
            let rooms = kinds
                .into_iter()
                .zip(place.gap_and_rise(place.taken(&fold)));
            let others = rooms.map(|(kind, room)| place.at_seam(kind, &place.values(kind), room));
            [fold].into_iter().chain(others).collect()
        }
    }
}

pub(super) struct Place<'a> {
    pub board: &'a Board<'a>,
    pub seam: usize,
    pub sides: Sides,
    pub crossing: Crossing<'a>,
    fineness: Fineness,
    /// Rows of the outer panel's edge that the shared height takes.
    pub shared_px: f64,
    /// Height of a label and the room above it, as a share of the shared height.
    pub clear: f64,
    /// What of the shared height lies between the combs of both sides.
    pub free_of_combs: [f64; 2],
}

impl<'a> Place<'a> {
    fn new(
        board: &'a Board<'a>,
        seam: usize,
        crossing: Crossing<'a>,
        fineness: Fineness,
    ) -> Place<'a> {
        let sides = Sides::of(board.rig, seam);
        let shared_px = sides.both().map(|side| {
            let surface = &board.layout.surfaces()[side.panel];
            let height = |fraction: f64| {
                let elevation = crossing.elevation(fraction);
                surface.t_at_elevation(surface.edge_s_mm(side.edge), elevation)
            };
            match [height(0.0), height(1.0)] {
                [Some(low), Some(high)] => (high - low).abs() / surface.pitch_mm()[1],
                _ => surface.pixels[1],
            }
        });
        let taken = sides.both().into_iter().zip(shared_px);
        let taken = taken.map(|(side, shared_px)| half_plate(board, side.panel) / shared_px);
        let [comb, _] = COMB_HEIGHTS;
        let low = (comb + taken.fold(0.0, f64::max)).min(0.45);
        let [_, shared_px] = shared_px;
        Place {
            board,
            seam,
            sides,
            crossing,
            fineness,
            shared_px,
            clear: clear_px(board, sides.outer.panel) / shared_px,
            free_of_combs: [low, 1.0 - low],
        }
    }

    pub(super) fn surface(&self, panel: usize) -> &Surface {
        &self.board.layout.surfaces()[panel]
    }

    pub(super) fn outer(&self) -> &Surface {
        self.surface(self.sides.outer.panel)
    }

    /// The outer panel where a layout has it.
    fn outer_of(&self, other: &Otherwise) -> Surface {
        other.layout.surfaces()[self.sides.outer.panel]
    }

    fn values(&self, kind: LadderKind) -> Vec<Otherwise> {
        let pitch_mm = self.outer().pitch_mm()[0];
        values(self.board.rig, self.seam, kind, self.fineness, pitch_mm)
    }

    pub(super) fn run_px(&self, panel: usize, run_mm: f64, share: f64) -> f64 {
        let surface = self.surface(panel);
        (run_mm / surface.pitch_mm()[0]).min(surface.pixels[0] * share)
    }

    /// Whether a plane crosses both lit edges of the seam.
    pub(super) fn crosses(&self, plane: EyePlane) -> bool {
        self.crossing.fraction(plane).is_some()
    }

    pub(super) fn rung(&self, other: &Otherwise, plane: EyePlane) -> Rung {
        Rung {
            step: other.step,
            number: other.number,
            label: other.label.clone(),
            plane,
            outer: self.outer_of(other),
        }
    }

    /// The fold's ladder, above eye level or below it: where half a degree shows more,
    /// or, beside a neighbour's, in the other half if that shows it at all.
    fn fold(&self, values: &[Otherwise], is_turned: bool) -> Ladder {
        let mut halves = [true, false].map(|is_upper| self.lanes(values, is_upper));
        halves.sort_by(|a, b| b.1.total_cmp(&a.1));
        let [best, other] = halves;
        let least = LEAST_STEP_MM * self.fineness.fold_step_deg();
        let (rungs, _) = if is_turned && other.1 > least {
            other
        } else {
            best
        };
        Ladder {
            seam: self.seam,
            kind: LadderKind::Fold,
            sides: self.sides,
            left_out: values.len() - rungs.len(),
            rungs,
            runs: [
                self.run_px(self.sides.inner.panel, FOLD_RUN_MM, 0.4),
                self.outer().pixels[0],
            ],
        }
    }

    /// As many rungs as have room in a half, and how many millimetres across it the one
    /// that shows least is off for each step.
    fn lanes(&self, values: &[Otherwise], is_upper: bool) -> (Vec<Rung>, f64) {
        let whole = self.free_of_combs;
        let sides = (1..=SIDE).rev();
        for (side, farthest) in sides.flat_map(|side| FARTHEST_LANE.map(|lane| (side, lane))) {
            let mut rungs = self.lanes_of(values, is_upper, side, farthest);
            rungs.retain(|rung| {
                let fraction = self.crossing.fraction(rung.plane);
                fraction.is_some_and(|fraction| (whole[0]..=whole[1]).contains(&fraction))
            });
            if rungs.len() == 2 * side.unsigned_abs() as usize + 1 {
                let far = self
                    .sides
                    .outer
                    .px_off(self.outer(), self.outer().pixels[0]);
                let shown = |rung: &Rung| {
                    let row = rung.outer.py_on(rung.plane, far)?;
                    let off = rung.plane.distance_mm(self.outer().point_px(far, row));
                    Some(off.abs() / f64::from(rung.step.abs()))
                };
                let others = rungs.iter().filter(|rung| !rung.is_own());
                let least = others
                    .map(|rung| shown(rung).unwrap_or(0.0))
                    .fold(f64::INFINITY, f64::min);
                return (rungs, least);
            }
        }
        (Vec::new(), 0.0)
    }

    /// The lanes of so many steps to either side, those that can't be drawn left out.
    fn lanes_of(
        &self,
        values: &[Otherwise],
        is_upper: bool,
        side: i32,
        farthest: f64,
    ) -> Vec<Rung> {
        let outer = self.outer();
        let s = outer.edge_s_mm(self.sides.outer.edge.opposite());
        let Some(eye_level) = outer.t_on(EyePlane::HORIZON, s) else {
            return Vec::new();
        };
        let end = if is_upper { 0.5 } else { -0.5 } * outer.size_mm[1];
        let reach = end - eye_level;
        if (reach > 0.0) != is_upper {
            // Eye level is seen beyond this end.
            return Vec::new();
        }
        let most = outer.size_mm[1] * 0.48;
        let mut ends =
            [NEAREST_LANE, farthest].map(|share| (eye_level + share * reach).clamp(-most, most));
        ends.sort_by(f64::total_cmp);
        let label_px = self.sides.outer.px_off(outer, fold_label_px(outer));
        let clear = clear_px(self.board, self.sides.outer.panel);
        let mut rungs: Vec<Rung> = Vec::new();
        let mut below: Option<f64> = None;
        for other in values.iter().filter(|other| other.step.abs() <= side) {
            let share = f64::from(other.step + side) / f64::from(2 * side);
            let far = outer.point_mm(s, ends[0] + share * (ends[1] - ends[0]));
            let Some(plane) = EyePlane::through(DVec3::Z, far).filter(|plane| self.crosses(*plane))
            else {
                continue;
            };
            let rung = self.rung(other, plane);
            let Some(row) = rung.row(label_px) else {
                continue;
            };
            if below.is_none_or(|below| below - row >= clear) {
                below = Some(row);
                rungs.push(rung);
            }
        }
        rungs
    }

    /// What of the seam's height the fold's rungs take, as fractions from below.
    fn taken(&self, fold: &Ladder) -> [f64; 2] {
        let fractions = fold.rungs.iter();
        fractions
            .filter_map(|rung| self.crossing.fraction(rung.plane))
            .fold([1.0, 0.0], |[low, high], fraction| {
                [low.min(fraction), high.max(fraction)]
            })
    }
}
