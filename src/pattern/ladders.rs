//! Ladders at each seam, whose straight rung names the true value.
//!
//! Each rung's outer part, on the panel farther from the one straight ahead, is
//! drawn as if one value of the seam were a little different: the gap, the fold or
//! the rise. The inner part stays as the file has it. On a rig that is so, that rung
//! runs straight and no other does.
//!
//! A wrong gap shifts a rung at the seam, so the gap's rungs are short and steep; a
//! wrong rise shifts level lines, so the rise's rungs are short and level. A wrong
//! fold shifts nothing at the seam and ever more along the panel, so the fold's rungs
//! run over the whole outer panel, are read at its far end, and are lanes: planes
//! through the axis that runs straight ahead, which an eye at the wrong distance
//! leaves straight.

mod at_seam;
mod place;
mod room;
mod values;

pub use values::{Fineness, LadderKind};

use rayon::prelude::*;

use super::board::{Anchor, Board, Style};
use super::seam_side::SeamSide;
use super::{Layer, Line, palette};
use crate::geometry::{EyePlane, Surface};
use crate::rig::{Rig, SeamQuantity};
use crate::typeset::{Cut, Typesetter};
use place::Sides;
use room::Room;

/// Most rungs to either side of the rig's own value.
const SIDE: i32 = 4;

/// Which ladders are drawn, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Ladders {
    /// The seam whose ladders are drawn, or else every seam's.
    pub seam: Option<usize>,
    /// The one ladder of a seam that is drawn, or else all.
    pub kind: Option<LadderKind>,
    /// How far apart the values are that neighbouring rungs stand for.
    pub fineness: Fineness,
    /// The rung that lights up: its ladder, and its steps from the file's own.
    pub lit: Option<(LadderKind, i32)>,
}

/// A rung that is drawn: what it stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct RungValue {
    /// Steps from the file's own value.
    pub step: i32,
    /// The value, as the file would hold it.
    pub number: f64,
    /// What stands beside it.
    pub label: String,
}

/// A seam's ladder as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnLadder {
    /// Its rungs, from the top.
    pub rungs: Vec<RungValue>,
    /// Angle in radians, seen from the eye, over which its rungs run at most.
    pub span_rad: f64,
}

/// A seam's ladder as it is drawn where it is the only one.
pub fn drawn_ladder(rig: &Rig, seam: usize, kind: LadderKind, fineness: Fineness) -> DrawnLadder {
    let mut typesetter = Typesetter::new();
    let mut board = Board::new(rig, &mut typesetter);
    let choice = Ladders {
        seam: Some(seam),
        kind: Some(kind),
        fineness,
        lit: None,
    };
    let ladders = plan(&mut board, choice);
    let spans = ladders.iter().map(|ladder| ladder.span_rad(&board));
    DrawnLadder {
        span_rad: spans.fold(0.0, f64::max),
        rungs: (ladders.iter())
            .flat_map(|ladder| ladder.rungs.iter().rev())
            .map(|rung| RungValue {
                step: rung.step,
                number: rung.number,
                label: rung.label.clone(),
            })
            .collect(),
    }
}

/// A seam's ladder: its rungs from the lowest.
struct Ladder {
    seam: usize,
    kind: LadderKind,
    sides: Sides,
    rungs: Vec<Rung>,
    /// Rungs that found no room.
    left_out: usize,
    /// How far the rungs run from the seam, in columns of the inner and the outer panel.
    runs: [f64; 2],
}

/// A rung: where it stands, what it stands for, and how its outer part is drawn.
#[derive(Debug, Clone)]
struct Rung {
    step: i32,
    number: f64,
    label: String,
    plane: EyePlane,
    /// Where the outer panel would stand.
    outer: Surface,
}

impl Rung {
    /// Row on the outer panel at a column.
    fn row(&self, px: f64) -> Option<f64> {
        let row = self.outer.py_on(self.plane, px)?;
        (0.0..self.outer.pixels[1]).contains(&row).then_some(row)
    }

    fn is_own(&self) -> bool {
        self.step == 0
    }
}

/// Draws the ladders that are chosen.
pub(super) fn draw(board: &mut Board, choice: Ladders) {
    let ladders = plan(board, choice);
    for ladder in &ladders {
        for rung in own_last(&ladder.rungs) {
            ladder.strokes(board, rung, choice.lit == Some((ladder.kind, rung.step)));
        }
    }
    for ladder in &ladders {
        for rung in own_last(&ladder.rungs) {
            let [px, row] = ladder.label_at(board, rung);
            let style = ladder.style(rung.is_own());
            let plate = board.text(ladder.sides.outer.panel, &rung.words(), style, px, row);
            if rung.is_own() {
                board.frame(
                    ladder.sides.outer.panel,
                    plate,
                    palette::ladder(ladder.kind),
                );
            }
        }
    }
    for ladder in &ladders {
        ladder.title(board);
    }
}

/// The file's own rung last, so that nothing covers it.
fn own_last(rungs: &[Rung]) -> impl Iterator<Item = &Rung> {
    let others = rungs.iter().filter(|rung| !rung.is_own());
    others.chain(rungs.iter().filter(|rung| rung.is_own()))
}

/// The ladders that are chosen, with the rungs that there is room for. Seams nearer to
/// the panel straight ahead come first.
fn plan(board: &mut Board, choice: Ladders) -> Vec<Ladder> {
    let facing = board.rig.seat().view.panel;
    let outward = |seam: usize| {
        if seam >= facing {
            seam - facing
        } else {
            facing - 1 - seam
        }
    };
    let mut seams: Vec<usize> = (0..board.rig.seams().len())
        .filter(|seam| choice.seam.is_none_or(|chosen| chosen == *seam))
        .collect();
    seams.sort_by_key(|&seam| outward(seam));
    let looked_at: &Board = board;
    let planned: Vec<Vec<Ladder>> = seams
        .par_iter()
        .map(|&seam| {
            // Beside a neighbour's fold ladder the other half of the panel is free.
            let is_turned = choice.seam.is_none() && outward(seam) % 2 == 1;
            place::ladders(looked_at, seam, choice, is_turned)
        })
        .collect();
    let mut room = Room::default();
    let planned = planned.into_iter().flatten();
    planned.map(|ladder| room.take(board, ladder)).collect()
}

impl Ladder {
    /// The widest angle, seen from the eye, between the two ends of a rung.
    fn span_rad(&self, board: &Board) -> f64 {
        let surfaces = board.layout.surfaces();
        let [inner, outer] = self.sides.both().map(|side| &surfaces[side.panel]);
        let inner_px = self.sides.inner.px_off(inner, self.runs[0]);
        let outer_px = self.sides.outer.px_off(outer, self.runs[1]);
        let span = |rung: &Rung| {
            let from = inner.point_px(inner_px, inner.py_on(rung.plane, inner_px)?);
            let to = outer.point_px(outer_px, outer.py_on(rung.plane, outer_px)?);
            Some(from.angle_between(to))
        };
        self.rungs.iter().filter_map(span).fold(0.0, f64::max)
    }

    fn style(&self, is_own: bool) -> Style {
        Style {
            cut: if is_own { Cut::Bold } else { Cut::Regular },
            scale: 1.0,
            colour: palette::ladder(self.kind),
            // Outwards from a rung's end, or back from the far edge.
            anchor: if self.sides.outer_is_right() == (self.kind == LadderKind::Fold) {
                Anchor::Right
            } else {
                Anchor::Left
            },
        }
    }

    /// Column of the labels on the outer panel.
    fn label_px(&self, board: &Board) -> f64 {
        let surface = &board.layout.surfaces()[self.sides.outer.panel];
        let from_seam = match self.kind {
            LadderKind::Fold => place::fold_label_px(surface),
            _ => {
                let cap = board.cap_px(self.sides.outer.panel);
                (self.runs[1] + cap).max(room::edge_px(surface) + 1.5 * cap)
            }
        };
        self.sides.outer.px_off(surface, from_seam)
    }

    /// Where a rung's label stands: its column and row on the outer panel.
    fn label_at(&self, board: &Board, rung: &Rung) -> [f64; 2] {
        let px = self.label_px(board);
        [px, rung.row(px).unwrap_or(-1.0)]
    }

    /// Strokes a rung; the file's own is wider, and noted as a line that looks straight.
    fn strokes(&self, board: &mut Board, rung: &Rung, is_lit: bool) {
        let width_px = if rung.is_own() || is_lit { 4.0 } else { 2.0 };
        let colour = if is_lit {
            palette::LIT
        } else {
            palette::ladder(self.kind)
        };
        for side in SeamSide::both(self.seam) {
            let surface = &board.layout.surfaces()[side.panel];
            let [run, outer_run] = self.runs;
            let (drawn, run) = if side.panel == self.sides.outer.panel {
                (&rung.outer, outer_run)
            } else {
                (surface, run)
            };
            let [left, right] = side.columns_off(surface, 0.0, run);
            let part = [left, 0.0, right, surface.pixels[1]];
            board.stroke(side.panel, drawn, rung.plane, part, (colour, width_px));
        }
        if rung.is_own() {
            board.line(Line {
                name: format!("ladder-{}-{}", self.kind.name(), self.seam + 1),
                layer: Layer::Ladders,
                plane: rung.plane,
                width_px,
                colour,
            });
        }
    }

    /// Names the ladder beside its rungs, where there is room.
    fn title(&self, board: &mut Board) {
        let outer = self.sides.outer.panel;
        let clear = place::clear_px(board, outer);
        let px = self.label_px(board);
        let rows = self.rungs.iter().filter_map(|rung| rung.row(px));
        let (mut high, mut low) = (f64::INFINITY, f64::NEG_INFINITY);
        for row in rows {
            (high, low) = (high.min(row), low.max(row));
        }
        if high > low && high.is_infinite() {
            // Not one rung: said at the seam's own height.
            let middle = board.layout.surfaces()[outer].pixels[1] / 2.0;
            (high, low) = (middle + clear, middle - clear);
        }
        let style = self.style(true);
        let text = self.title_words(board.rig);
        for row in [high - clear, low + clear] {
            let plate = board.plate(outer, &text, style, px, row);
            if room::is_free(board, outer, plate) {
                board.text(outer, &text, style, px, row);
                return;
            }
        }
    }

    fn title_words(&self, rig: &Rig) -> String {
        let seam = &rig.seams()[self.seam];
        let quantity = match self.kind {
            LadderKind::Fold => SeamQuantity::turn_of(seam),
            LadderKind::Gap => SeamQuantity::Gap,
            LadderKind::Rise => SeamQuantity::Rise,
        };
        let mut text = format!("{} at seam {}", quantity.spec().name, self.seam + 1);
        match (self.rungs.len(), self.left_out) {
            (_, 0) => {}
            (0, _) => text += ": no room for its rungs",
            (_, 1) => text += ": no room for 1 more rung",
            (_, count) => text += &format!(": no room for {count} more rungs"),
        }
        text
    }
}

impl Rung {
    /// What stands beside it.
    fn words(&self) -> String {
        if self.is_own() {
            format!("{}  as set", self.label)
        } else {
            self.label.clone()
        }
    }
}
