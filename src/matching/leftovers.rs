//! Panels that are shown nowhere, and displays that show nothing: which of them
//! belong together.

use super::in_order::{Group, canvas_rect, in_order, span_rect};
use super::rect::DesktopRect;
use super::{Carrier, Fault, Matching};
use crate::display::Display;
use crate::rig::Rig;

/// What is left to be paired.
pub(super) struct Leftovers<'a> {
    rig: &'a Rig,
    displays: &'a [Display],
    /// The displays to choose from, from left to right.
    order: Vec<usize>,
    /// Where the panels belong on the desktop and the displays are, if places
    /// count.
    places: Option<(&'a [DesktopRect], &'a [DesktopRect])>,
}

impl<'a> Leftovers<'a> {
    /// Of the displays in `lit`, those count that show nothing.
    pub(super) fn new(
        rig: &'a Rig,
        displays: &'a [Display],
        lit: &[usize],
        places: Option<(&'a [DesktopRect], &'a [DesktopRect])>,
    ) -> Leftovers<'a> {
        let order = left_to_right(displays);
        Leftovers {
            rig,
            displays,
            order: order.into_iter().filter(|d| lit.contains(d)).collect(),
            places,
        }
    }

    fn has_same_name(&self, panel: usize, display: usize) -> bool {
        self.rig.panels()[panel].name == self.displays[display].name
    }

    fn has_same_size(&self, panel: usize, display: usize) -> bool {
        self.rig.panels()[panel].pixels == self.displays[display].size_px
    }

    /// Whether every panel can have a display of its size to itself.
    fn is_one_to_one(&self, panels: &[usize], free: &[usize]) -> bool {
        panels.iter().all(|&panel| {
            let pixels = self.rig.panels()[panel].pixels;
            let wanted = panels
                .iter()
                .filter(|&&p| self.rig.panels()[p].pixels == pixels);
            let found = free.iter().filter(|&&d| self.displays[d].size_px == pixels);
            wanted.count() <= found.count()
        })
    }
}

/// The displays from left to right, then from the top; those in one place by
/// their names, where "10" comes after "9".
pub(super) fn left_to_right(displays: &[Display]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..displays.len()).collect();
    order.sort_by_key(|&index| {
        let Display {
            name, position_px, ..
        } = &displays[index];
        let digits = name.trim_start_matches(|c: char| !c.is_ascii_digit());
        let number = digits.parse::<u64>().unwrap_or(u64::MAX);
        (*position_px, number, name)
    });
    order
}

/// Panels or displays that nothing was found for, each with its rank from the left.
type Ranked = Vec<(usize, usize)>;

/// What stays when some are taken out, ranked anew.
fn without(ranked: Ranked, some: &[usize]) -> Ranked {
    let stays = ranked.into_iter().map(|(_, index)| index);
    let stays = stays.filter(|index| !some.contains(index));
    stays.enumerate().collect()
}

impl Matching {
    /// Pairs what is left: by name and size; several to one, in order, unless each
    /// panel can have a display of its size; by size; by name; in any way. Each
    /// time, those that are nearest in their orders from the left go together, and
    /// none cross.
    pub(super) fn pair_leftovers(&mut self, left: Leftovers) {
        let unshown = (0..self.carriers.len()).filter(|&panel| self.carriers[panel].is_empty());
        let mut panels: Ranked = unshown.enumerate().collect();
        let free = left.order.iter().copied().filter(|&d| !self.is_carrier(d));
        let mut free: Ranked = free.enumerate().collect();

        let is_surely = |p, d| left.has_same_name(p, d) && left.has_same_size(p, d);
        self.pair(&left, &mut panels, &mut free, &is_surely);
        let of = |ranked: &Ranked| ranked.iter().map(|&(_, index)| index).collect::<Vec<_>>();
        if !left.is_one_to_one(&of(&panels), &of(&free)) {
            for group in in_order(left.rig, left.displays, &of(&panels), &of(&free)) {
                panels = without(panels, &group.panels);
                free = without(free, &group.displays);
                self.join(&left, &group);
            }
        }
        let rules: [&dyn Fn(usize, usize) -> bool; 3] = [
            &|p, d| left.has_same_size(p, d),
            &|p, d| left.has_same_name(p, d),
            &|_, _| true,
        ];
        for rule in rules {
            self.pair(&left, &mut panels, &mut free, rule);
        }
        let missing = panels.iter().map(|&(_, panel)| Fault::Missing { panel });
        self.faults.extend(missing);
        self.extra = free.into_iter().map(|(_, display)| display).collect();
    }

    /// Takes out of both lists the pairs that a rule allows.
    fn pair(
        &mut self,
        left: &Leftovers,
        panels: &mut Ranked,
        free: &mut Ranked,
        rule: &dyn Fn(usize, usize) -> bool,
    ) {
        for [panel, display] in pairs(left.rig, panels, free, rule) {
            if left.has_same_size(panel, display) {
                let group = Group {
                    panels: vec![panel],
                    displays: vec![display],
                };
                self.join(left, &group);
            } else {
                self.faults.push(Fault::Size { panel, display });
                self.carriers[panel].push(Carrier {
                    display,
                    corner_px: middle(left, panel, display),
                });
            }
        }
    }

    /// Lays panels over displays that are as large together, and notes where
    /// those displays stand elsewhere.
    fn join(&mut self, left: &Leftovers, group: &Group) {
        let whole = span_rect(left.rig, &group.panels);
        let first = group.panels.first().copied();
        let mut x = 0;
        for &display in &group.displays {
            for &panel in &group.panels {
                let [on_x, y] = canvas_rect(left.rig, panel).from(&whole);
                self.carriers[panel].push(Carrier {
                    display,
                    corner_px: [on_x - x, y],
                });
            }
            if let Some(((wanted, found), panel)) = left.places.zip(first) {
                let [on_x, y] = canvas_rect(left.rig, panel).from(&whole);
                let place = wanted[panel].moved([x - on_x, -y]);
                let by_px = found[display].from(&place);
                if by_px != [0, 0] {
                    self.faults.push(Fault::Place {
                        panel,
                        display,
                        by_px,
                    });
                }
            }
            x += i64::from(left.displays[display].size_px[0]);
        }
    }
}

/// The pairs that a rule allows, of a panel and a display, taken out of both lists.
fn pairs(
    rig: &Rig,
    panels: &mut Ranked,
    free: &mut Ranked,
    rule: &dyn Fn(usize, usize) -> bool,
) -> Vec<[usize; 2]> {
    let facing = rig.seat().view.panel;
    let mut pairs = Vec::new();
    loop {
        // Where not every panel gets a display, those around the facing one are
        // wanted most.
        let is_scarce = panels.len() > free.len();
        let all = (0..panels.len()).flat_map(|p| (0..free.len()).map(move |d| [p, d]));
        let nearest = all
            .filter(|&[p, d]| rule(panels[p].1, free[d].1))
            .min_by_key(|&[p, d]| {
                let from_facing = panels[p].1.abs_diff(facing);
                let ranks = panels[p].0.abs_diff(free[d].0);
                (if is_scarce { from_facing } else { 0 }, ranks)
            });
        let Some([p, d]) = nearest else {
            break;
        };
        pairs.push((panels.remove(p).1, free.remove(d)));
    }
    pairs.sort_unstable_by_key(|&(panel, _)| panel);
    // Panels from left to right get their displays from left to right.
    for one in 0..pairs.len() {
        for other in one + 1..pairs.len() {
            let ((left, (rank, display)), (right, (other_rank, other_display))) =
                (pairs[one], pairs[other]);
            let may_change = rule(left, other_display) && rule(right, display);
            if rank > other_rank && may_change {
                (pairs[one].1, pairs[other].1) = (pairs[other].1, pairs[one].1);
            }
        }
    }
    let pairs = pairs.into_iter();
    pairs
        .map(|(panel, (_, display))| [panel, display])
        .collect()
}

/// Where a panel's corner lies on a display of another size, middle on middle.
fn middle(left: &Leftovers, panel: usize, display: usize) -> [i64; 2] {
    let wanted = left.rig.panels()[panel].pixels.map(i64::from);
    let found = left.displays[display].size_px.map(i64::from);
    [0, 1].map(|axis| (found[axis] - wanted[axis]) / 2)
}
