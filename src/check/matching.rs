//! Which displays show which panels.
//!
//! A panel is shown where displays tile its rectangle, or where it lies inside
//! one. Rectangles are compared up to a common shift, the one under which most
//! panels are shown.

use std::collections::BTreeSet;

use super::limits::SAME_SCALE;
use crate::display::Display;
use crate::rig::Rig;

/// A rectangle of whole pixels on the desktop, where positions may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Rect {
    pub x: i64,
    pub y: i64,
    pub w: i64,
    pub h: i64,
}

impl Rect {
    pub fn of(display: &Display) -> Rect {
        let [x, y] = display.position_px.map(i64::from);
        let [w, h] = display.size_px.map(i64::from);
        Rect { x, y, w, h }
    }

    pub fn right(&self) -> i64 {
        self.x + self.w
    }

    pub fn bottom(&self) -> i64 {
        self.y + self.h
    }

    fn moved(&self, [dx, dy]: [i64; 2]) -> Rect {
        Rect {
            x: self.x + dx,
            y: self.y + dy,
            ..*self
        }
    }

    fn holds(&self, other: &Rect) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && self.right() >= other.right()
            && self.bottom() >= other.bottom()
    }

    /// Columns and rows that both cover; none where either is not positive.
    pub fn shared(&self, other: &Rect) -> [i64; 2] {
        [
            self.right().min(other.right()) - self.x.max(other.x),
            self.bottom().min(other.bottom()) - self.y.max(other.y),
        ]
    }

    fn shared_area(&self, other: &Rect) -> i128 {
        let [w, h] = self.shared(other).map(i128::from);
        w.max(0) * h.max(0)
    }

    fn area(&self) -> i128 {
        i128::from(self.w) * i128::from(self.h)
    }

    pub fn overlaps(&self, other: &Rect) -> bool {
        self.shared(other).iter().all(|&side| side > 0)
    }

    fn around(&self, other: &Rect) -> Rect {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        Rect {
            x,
            y,
            w: self.right().max(other.right()) - x,
            h: self.bottom().max(other.bottom()) - y,
        }
    }
}

/// Why a panel isn't shown as the rig says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    /// No display is left for it.
    Missing { panel: usize },
    /// A display has another size than its panel.
    Size { panel: usize, display: usize },
    /// A display has another size than its panels together.
    Span {
        display: usize,
        panels: usize,
        first: usize,
        filled_px: [i64; 2],
    },
    /// Its display stands elsewhere: by so much to the right and down.
    Place {
        panel: usize,
        display: usize,
        by_px: [i64; 2],
    },
    /// The displays hide none of the columns that the rig says are hidden.
    NothingHidden,
}

/// Panels and the displays that show them.
pub(super) struct Matching {
    carriers: Vec<Vec<usize>>,
    pub faults: Vec<Fault>,
    /// Displays that show no panel.
    pub extra: Vec<usize>,
    /// Pairs of displays that show the same part of the desktop.
    pub mirrors: Vec<[usize; 2]>,
}

/// Whether the displays' positions mean anything. Where the system has no
/// primary display, it places displays in units that scale factors distort.
pub(super) fn has_places(displays: &[Display]) -> bool {
    displays.iter().any(|display| display.is_primary)
        || displays
            .iter()
            .all(|display| (display.scale - 1.0).abs() <= SAME_SCALE)
}

/// The panels' rectangles on the canvas.
fn canvas_rects(rig: &Rig) -> Vec<Rect> {
    let panels = rig.canvas().panels.iter();
    panels
        .map(|panel| Rect {
            x: i64::from(panel.x),
            y: i64::from(panel.y),
            w: i64::from(panel.w),
            h: i64::from(panel.h),
        })
        .collect()
}

/// The same without the hidden columns.
pub(super) fn desktop_rects(rig: &Rig) -> Vec<Rect> {
    let mut hidden = 0;
    let mut rects = canvas_rects(rig);
    for (index, rect) in rects.iter_mut().enumerate() {
        rect.x -= hidden;
        hidden += rig.seams().get(index).map_or(0, |s| i64::from(s.hidden_px));
    }
    rects
}

impl Matching {
    pub fn new(rig: &Rig, displays: &[Display]) -> Matching {
        let mut matching = Matching {
            carriers: vec![Vec::new(); rig.panels().len()],
            faults: Vec::new(),
            extra: Vec::new(),
            mirrors: Vec::new(),
        };
        if has_places(displays) {
            matching.by_place(rig, displays);
        } else {
            matching.by_size(rig, displays);
        }
        matching
    }

    /// The displays that show a panel, or that stand for it with a fault.
    pub fn carriers(&self, panel: usize) -> &[usize] {
        &self.carriers[panel]
    }

    fn by_place(&mut self, rig: &Rig, displays: &[Display]) {
        let rects: Vec<_> = displays.iter().map(Rect::of).collect();
        let mut lit: Vec<usize> = Vec::new();
        for (index, rect) in rects.iter().enumerate() {
            match lit.iter().find(|&&earlier| rects[earlier] == *rect) {
                Some(&earlier) => self.mirrors.push([earlier, index]),
                None => lit.push(index),
            }
        }
        let desk = Desk {
            rects: &rects,
            lit: &lit,
            facing: rig.seat().view.panel,
            primary: displays.iter().position(|display| display.is_primary),
        };
        let mut panels = desk.shifted(&canvas_rects(rig));
        if rig.seams().iter().any(|seam| seam.hidden_px > 0) {
            let bare = desk.shifted(&desktop_rects(rig));
            if desk.shown(&panels) < panels.len() && desk.shown(&bare) == bare.len() {
                self.faults.push(Fault::NothingHidden);
                panels = bare;
            }
        }
        for (index, panel) in panels.iter().enumerate() {
            self.carriers[index] = desk.carriers(panel);
        }
        self.exchanged(rig, displays, &panels, &rects);
        self.partly_used(&panels, &desk);
        self.pair_leftovers(rig, displays, &lit, Some((&panels, &rects)));
        let misshapen =
            |fault: &Fault| !matches!(fault, Fault::Place { .. } | Fault::NothingHidden);
        if self.faults.iter().any(misshapen) {
            // A display of another size, or none, moves its neighbours.
            self.faults
                .retain(|fault| !matches!(fault, Fault::Place { .. }));
        }
    }

    /// Panels that bear a display's name, but are shown by another.
    fn exchanged(&mut self, rig: &Rig, displays: &[Display], panels: &[Rect], rects: &[Rect]) {
        for (panel, rect) in panels.iter().enumerate() {
            let name = &rig.panels()[panel].name;
            let Some(display) = displays.iter().position(|d| d.name == *name) else {
                continue;
            };
            let shows = |carriers: &Vec<usize>| carriers.contains(&display);
            let elsewhere = self.carriers.iter().position(shows);
            if self.carriers[panel].is_empty() || elsewhere.is_none_or(|other| other == panel) {
                continue;
            }
            self.faults.push(Fault::Place {
                panel,
                display,
                by_px: [rects[display].x - rect.x, rects[display].y - rect.y],
            });
        }
    }

    /// A display whose panels don't fill it has another size than the rig says.
    fn partly_used(&mut self, panels: &[Rect], desk: &Desk) {
        for &display in desk.lit {
            let rect = desk.rects[display];
            let is_inside = |&p: &usize| self.carriers[p] == [display] && rect.holds(&panels[p]);
            let inside: Vec<usize> = (0..panels.len()).filter(is_inside).collect();
            let Some(&panel) = inside.first() else {
                continue;
            };
            let filled = inside
                .iter()
                .fold(panels[panel], |sum, &p| sum.around(&panels[p]));
            if filled == rect {
                continue;
            }
            self.faults.push(match inside.len() {
                1 => Fault::Size { panel, display },
                panels => Fault::Span {
                    display,
                    panels,
                    first: panel,
                    filled_px: [filled.w, filled.h],
                },
            });
        }
    }

    /// Pairs what is left: by name and size, by size, by name, in any way. Each
    /// time, those go together that are nearest in their orders from the left.
    fn pair_leftovers(
        &mut self,
        rig: &Rig,
        displays: &[Display],
        lit: &[usize],
        placed: Option<(&[Rect], &[Rect])>,
    ) {
        let shows_none = |display: &usize| self.carriers.iter().all(|c| !c.contains(display));
        let mut free: Vec<usize> = lit.iter().copied().filter(shows_none).collect();
        free.sort_by_key(|&display| displays[display].position_px);
        let mut free: Vec<_> = free.into_iter().enumerate().collect();
        let unshown = (0..self.carriers.len()).filter(|&panel| self.carriers[panel].is_empty());
        let mut unshown: Vec<_> = unshown.enumerate().collect();

        let panels = rig.panels();
        let same_name = |p: usize, d: usize| panels[p].name == displays[d].name;
        let same_size = |p: usize, d: usize| panels[p].pixels == displays[d].size_px;
        let rules: [&dyn Fn(usize, usize) -> bool; 4] = [
            &|p, d| same_name(p, d) && same_size(p, d),
            &|p, d| same_size(p, d),
            &|p, d| same_name(p, d),
            &|_, _| true,
        ];
        for rule in rules {
            while let Some([p, d]) = nearest_pair(&unshown, &free, rule) {
                let ((_, panel), (_, display)) = (unshown.remove(p), free.remove(d));
                self.carriers[panel].push(display);
                if !same_size(panel, display) {
                    self.faults.push(Fault::Size { panel, display });
                } else if let Some((wanted, found)) = placed {
                    let (wanted, found) = (wanted[panel], found[display]);
                    self.faults.push(Fault::Place {
                        panel,
                        display,
                        by_px: [found.x - wanted.x, found.y - wanted.y],
                    });
                }
            }
        }
        let missing = unshown.iter().map(|&(_, panel)| Fault::Missing { panel });
        self.faults.extend(missing);
        self.extra = free.into_iter().map(|(_, display)| display).collect();
    }

    /// Without positions: a span is as large as the canvas, and tiles stand
    /// side by side in the system's order.
    fn by_size(&mut self, rig: &Rig, displays: &[Display]) {
        let canvas_px = rig.canvas().size_px;
        if let Some(span) = displays.iter().position(|d| d.size_px == canvas_px) {
            self.carriers.fill(vec![span]);
            self.extra = (0..displays.len()).filter(|&d| d != span).collect();
            return;
        }
        let mut order: Vec<usize> = (0..displays.len()).collect();
        order.sort_by_key(|&display| displays[display].position_px);
        for (panel, carriers) in rig.panels().iter().zip(&mut self.carriers) {
            if displays.iter().any(|d| d.size_px == panel.pixels) {
                continue;
            }
            let tiles = |count: usize| {
                let runs = order.windows(count);
                runs.enumerate().find(|(_, run)| {
                    let sizes = run.iter().map(|&d| displays[d].size_px);
                    sizes.clone().all(|[_, h]| h == panel.pixels[1])
                        && sizes.map(|[w, _]| u64::from(w)).sum::<u64>()
                            == u64::from(panel.pixels[0])
                })
            };
            if let Some((start, run)) = (2..=order.len()).find_map(tiles) {
                *carriers = run.to_vec();
                order.drain(start..start + carriers.len());
            }
        }
        let all: Vec<usize> = (0..displays.len()).collect();
        self.pair_leftovers(rig, displays, &all, None);
    }
}

/// Positions, in two lists of ranks and indices, of the pair that a rule allows
/// and whose ranks differ least.
fn nearest_pair(
    panels: &[(usize, usize)],
    displays: &[(usize, usize)],
    rule: &dyn Fn(usize, usize) -> bool,
) -> Option<[usize; 2]> {
    let pairs = (0..panels.len()).flat_map(|p| (0..displays.len()).map(move |d| [p, d]));
    pairs
        .filter(|&[p, d]| rule(panels[p].1, displays[d].1))
        .min_by_key(|&[p, d]| panels[p].0.abs_diff(displays[d].0))
}

/// The displays as rectangles, without those that mirror another.
struct Desk<'a> {
    rects: &'a [Rect],
    lit: &'a [usize],
    /// The panel and the display that are believed to belong together where
    /// displays could be shifted either way.
    facing: usize,
    primary: Option<usize>,
}

impl Desk<'_> {
    /// The panels under the shift that shows most of them; among such, that
    /// puts most of the facing one on the primary display; among such, that
    /// covers most of their area.
    fn shifted(&self, panels: &[Rect]) -> Vec<Rect> {
        let mut shifts = BTreeSet::new();
        for panel in panels {
            for &display in self.lit {
                let rect = self.rects[display];
                shifts.insert([rect.x - panel.x, rect.y - panel.y]);
            }
        }
        let under = |shift: [i64; 2]| panels.iter().map(|p| p.moved(shift)).collect::<Vec<_>>();
        let best = shifts.into_iter().max_by_key(|&shift| {
            let panels = under(shift);
            let facing = panels[self.facing];
            let on_primary = self
                .primary
                .map_or(0, |display| self.rects[display].shared_area(&facing));
            (self.shown(&panels), on_primary, self.covered(&panels))
        });
        under(best.unwrap_or([0, 0]))
    }

    /// How many panels displays show exactly, or as a part of a span they fill.
    fn shown(&self, panels: &[Rect]) -> usize {
        let filled = |display: usize| {
            let rect = self.rects[display];
            let inside = panels.iter().copied().filter(|panel| rect.holds(panel));
            inside.reduce(|sum, panel| sum.around(&panel)) == Some(rect)
        };
        let filled: Vec<bool> = (0..self.rects.len()).map(filled).collect();
        let is_shown = |panel: &&Rect| {
            let carriers = self.carriers(panel);
            match carriers[..] {
                [] => false,
                [one] => self.rects[one] == **panel || filled[one],
                _ => true,
            }
        };
        panels.iter().filter(is_shown).count()
    }

    fn covered(&self, panels: &[Rect]) -> i128 {
        let area = |panel: &Rect| {
            let parts = self.lit.iter().map(|&d| self.rects[d].shared_area(panel));
            parts.sum::<i128>()
        };
        panels.iter().map(area).sum()
    }

    /// The display that a panel lies inside, or else the ones that tile it.
    fn carriers(&self, panel: &Rect) -> Vec<usize> {
        let whole = self.lit.iter().filter(|&&d| self.rects[d].holds(panel));
        if let Some(&smallest) = whole.min_by_key(|&&d| self.rects[d].area()) {
            return vec![smallest];
        }
        let tiles: Vec<usize> = self
            .lit
            .iter()
            .copied()
            .filter(|&d| panel.holds(&self.rects[d]))
            .collect();
        let apart = tiles.iter().enumerate().all(|(index, &tile)| {
            let earlier = &tiles[..index];
            !earlier
                .iter()
                .any(|&e| self.rects[e].overlaps(&self.rects[tile]))
        });
        let area: i128 = tiles.iter().map(|&d| self.rects[d].area()).sum();
        if apart && area == panel.area() {
            tiles
        } else {
            Vec::new()
        }
    }
}
