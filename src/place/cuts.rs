//! Which windows have their cuts where they are wanted.

use super::rows::lefts;
use crate::rig::{Parts, Rig, Window};

/// A window's left edge and column width that suit the displays: every cut between two
/// panels' columns at their seam or in its hidden band, or anywhere.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cuts {
    /// How many columns.
    pub count: usize,
    /// Where the panels begin and end, told from the facing one's left edge.
    edges: Vec<[f64; 2]>,
    /// How many columns each panel carries, where cuts fall on the seams.
    columns: Option<Vec<u32>>,
    /// The window may reach beyond the desktop.
    hangs: bool,
    /// By how much a cut may miss its seam, in pixels, before it is put between two.
    slack_px: f64,
    /// Least and greatest width of a column.
    pub widths: [f64; 2],
}

/// Displays that don't quite carry whole columns are taken to, up to this many pixels.
const SLACK_PX: f64 = 0.5;
/// Share of an end column that may hang over the desktop's edge. An own choice.
const HANGING: f64 = 0.5;
/// Columns narrower than this share of the widest that is possible aren't looked at.
const NARROWEST: f64 = 0.3;

/// `x + share·column` is at least, or at most, that.
type Bound = (f64, f64);

impl Cuts {
    /// Cuts on seams, each panel carrying so many columns; `None` where no window has them.
    pub(crate) fn at_seams(parts: &Parts, columns: &[u32], hangs: bool) -> Option<Cuts> {
        Cuts {
            count: columns.iter().map(|&n| n as usize).sum(),
            edges: edges(parts),
            columns: Some(columns.to_vec()),
            hangs,
            slack_px: 0.0,
            widths: [0.0, 0.0],
        }
        .bounded()
    }

    /// Cuts anywhere.
    pub(crate) fn anywhere(parts: &Parts, count: usize, hangs: bool) -> Option<Cuts> {
        Cuts {
            count,
            edges: edges(parts),
            columns: None,
            hangs,
            slack_px: 0.0,
            widths: [0.0, 0.0],
        }
        .bounded()
    }

    /// Whether the cuts may be anywhere.
    pub(crate) fn are_anywhere(&self) -> bool {
        self.columns.is_none()
    }

    /// What `x` must be at least and at most.
    fn bounds(&self) -> [Vec<Bound>; 2] {
        let all = self.count as f64;
        let (first, last) = (self.edges[0], self.edges[self.edges.len() - 1]);
        let hanging = if self.hangs { HANGING } else { 0.0 };
        let mut least = vec![(first[0], hanging)];
        let mut most = vec![(last[1], all - hanging)];
        match &self.columns {
            Some(columns) => {
                let mut before = 0.0;
                for (pair, &carried) in self.edges.windows(2).zip(columns) {
                    before += f64::from(carried);
                    // Nothing is given away where columns are hidden.
                    let slack = if pair[1][0] > pair[0][1] {
                        0.0
                    } else {
                        self.slack_px
                    };
                    least.push((pair[0][1] - slack, before));
                    most.push((pair[1][0] + slack, before));
                }
            }
            None => {
                // Something of every panel.
                most.push((first[1] - 1.0, 0.0));
                least.push((last[0] + 1.0, all));
            }
        }
        [least, most]
    }

    /// With as much slack as it takes.
    fn bounded(self) -> Option<Cuts> {
        let slack = Cuts {
            slack_px: SLACK_PX,
            ..self.clone()
        };
        self.of_widths().or_else(|| slack.of_widths())
    }

    fn of_widths(mut self) -> Option<Cuts> {
        let [least, most] = self.bounds();
        let (mut narrow, mut wide) = (1.0_f64, f64::INFINITY);
        for &(a, i) in &least {
            for &(b, j) in &most {
                // a − i·c ≤ x ≤ b − j·c
                let (slope, room) = (j - i, b - a);
                if slope > 1e-9 {
                    wide = wide.min(room / slope);
                } else if slope < -1e-9 {
                    narrow = narrow.max(room / slope);
                } else if room < -1e-9 {
                    return None;
                }
            }
        }
        narrow = narrow.max(NARROWEST * wide);
        if !wide.is_finite() || narrow > wide + 1e-9 {
            return None;
        }
        self.widths = [narrow.min(wide), wide];
        Some(self)
    }

    /// Least and greatest left edge for a column width.
    pub(crate) fn lefts(&self, column: f64) -> [f64; 2] {
        let [least, most] = self.bounds();
        let at = |&(bound, share): &Bound| bound - share * column;
        let least = least.iter().map(at).fold(f64::NEG_INFINITY, f64::max);
        let most = most.iter().map(at).fold(f64::INFINITY, f64::min);
        if least <= most {
            [least, most]
        } else {
            [f64::midpoint(least, most); 2]
        }
    }

    /// Left edge and column width for two numbers from 0 to 1: narrow to wide, left to right.
    pub(crate) fn at(&self, [width, left]: [f64; 2]) -> [f64; 2] {
        let along = |[from, to]: [f64; 2], share: f64| from + (to - from) * share;
        let column = along(self.widths, width);
        [along(self.lefts(column), left), column]
    }

    /// Which of the two numbers make a difference.
    pub(crate) fn free(&self) -> [bool; 2] {
        let is_wide = |[from, to]: [f64; 2], least: f64| to - from > least;
        let middle = f64::midpoint(self.widths[0], self.widths[1]);
        let lefts = self.widths.into_iter().chain([middle]);
        let is_left_free = lefts
            .into_iter()
            .any(|c| is_wide(self.lefts(c), 1.5 * SLACK_PX));
        [
            is_wide(self.widths, 2.0 * SLACK_PX / self.count as f64 + 0.01),
            is_left_free,
        ]
    }

    /// The window's left edge and width in whole pixels that are nearest to a wish and keep
    /// every cut where it belongs, nearest first.
    pub(crate) fn whole(&self, x: f64, column: f64) -> Vec<[i32; 2]> {
        const AROUND: i32 = 4;
        let wanted = [x, column * self.count as f64];
        let [left, wide] = wanted.map(|side| side.round() as i32);
        let mut found: Vec<[i32; 2]> = (-AROUND..=AROUND)
            .flat_map(|dx| (-AROUND..=AROUND).map(move |dw| [left + dx, wide + dw]))
            .filter(|&window| self.suits(window))
            .collect();
        let off = |&[x, w]: &[i32; 2]| {
            let (dx, dw) = (f64::from(x) - wanted[0], f64::from(w) - wanted[1]);
            // Both ends count.
            dx.abs() + (dx + dw).abs()
        };
        found.sort_by(|a, b| off(a).total_cmp(&off(b)));
        found
    }

    fn suits(&self, [x, w]: [i32; 2]) -> bool {
        let (first, last) = (self.edges[0], self.edges[self.edges.len() - 1]);
        let [left, right] = [x, x + w].map(f64::from);
        if w < i32::try_from(self.count).unwrap_or(i32::MAX)
            || (!self.hangs && (left < first[0] || right > last[1]))
            || left >= first[1]
            || right <= last[0]
        {
            return false;
        }
        let Some(columns) = &self.columns else {
            return true;
        };
        let mut before = 0.0;
        self.edges.windows(2).zip(columns).all(|(pair, &carried)| {
            before += f64::from(carried);
            let cut = (left + f64::from(w) / self.count as f64 * before - 1e-6).ceil();
            (pair[0][1]..=pair[1][0]).contains(&cut)
        })
    }

    /// How many columns each panel carries of a window: every seam's cut is the nearest.
    pub(crate) fn carried(&self, [x, w]: [i32; 2]) -> Vec<u32> {
        carried(&self.edges, self.count, [x, w])
    }
}

/// How many columns of a window each panel carries, at least one, by the cut nearest to
/// each seam; as many in all as the window has where it has one for each.
fn carried(edges: &[[f64; 2]], count: usize, [x, w]: [i32; 2]) -> Vec<u32> {
    let column = f64::from(w) / count as f64;
    let mut from = 0;
    let mut carried = Vec::with_capacity(edges.len());
    for (panel, pair) in edges.windows(2).enumerate() {
        let seam = f64::midpoint(pair[0][1], pair[1][0]);
        let nearest = ((seam - f64::from(x)) / column).round().max(0.0) as usize;
        let still = edges.len() - 1 - panel;
        let to = nearest.min(count.saturating_sub(still)).max(from + 1);
        carried.push((to - from) as u32);
        from = to;
    }
    carried.push(count.saturating_sub(from).max(1) as u32);
    carried
}

/// Where the panels begin and end, told from the facing one's left edge.
fn edges(parts: &Parts) -> Vec<[f64; 2]> {
    let panels = parts.panels.iter();
    (lefts(parts).into_iter().zip(panels))
        .map(|(left, panel)| [left as f64, left as f64 + f64::from(panel.pixels[0])])
        .collect()
}

/// How many columns of its window each panel of a rig carries, where its displays lie.
pub(crate) fn carried_columns(rig: &Rig, window: &Window) -> Vec<u32> {
    let canvas = &rig.canvas().panels;
    let facing = f64::from(canvas[rig.seat().view.panel].x);
    let edges: Vec<[f64; 2]> = (canvas.iter())
        .map(|lit| [lit.x, lit.right()].map(|edge| f64::from(edge) - facing))
        .collect();
    let [x, _, w, _] = window.px;
    carried(&edges, window.count(), [x, w])
}
