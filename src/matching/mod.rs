//! Which displays show which panels: the one answer that every check and every
//! window goes by.
//!
//! Displays are what the system reports, panels what stands on the desk. A panel
//! is shown where displays tile its rectangle, or where it lies inside one.
//! Rectangles are compared up to a common shift, the one under which most panels
//! are shown. What is shown nowhere then goes together by names, sizes and order,
//! and is a fault. Where the system tells no places that can be trusted, that is
//! all there is to go by, and places are no fault.
//!
//! A display that its panels fill is theirs. One that they leave a part of unused
//! has another size than the rig says, unless it is that of a panel shown nowhere,
//! or the panel has another of its own size: then they only seem to be on it.

mod desk;
mod in_order;
mod leftovers;
mod rect;
mod tiles;
mod words;

use std::borrow::Borrow;

pub use rect::DesktopRect;
pub use tiles::{Placement, Tile};

use crate::display::{Display, SAME_SCALE};
use crate::rig::Rig;
use desk::Desk;
use in_order::canvas_rect;
use leftovers::Leftovers;
use rect::are_apart;

/// Why something isn't as the rig says. Panels and displays are indices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// No display is left for it.
    Missing {
        /// The panel.
        panel: usize,
    },
    /// The display that is left for a panel has another size.
    Size {
        /// The panel.
        panel: usize,
        /// The display.
        display: usize,
    },
    /// The panels on a display leave a part of it unused.
    Unfilled {
        /// The display.
        display: usize,
        /// How many panels are on it.
        panels: usize,
        /// The first of them.
        first: usize,
        /// Columns and rows that they take up, with what is between them.
        filled_px: [i64; 2],
    },
    /// A display of the right size stands elsewhere.
    Place {
        /// The panel that it shows, or the first one.
        panel: usize,
        /// The display.
        display: usize,
        /// How far it stands right of and below its place.
        by_px: [i64; 2],
    },
    /// A display that shows another panel bears a panel's name.
    Name {
        /// The panel whose name it bears, shown by another display.
        panel: usize,
        /// The display.
        display: usize,
        /// How far it stands right of and below that panel's place.
        by_px: [i64; 2],
    },
    /// The system fits the area of the desktop that a display shows into a mode of
    /// another size.
    Resampled {
        /// The panel that it shows, or the first one.
        panel: usize,
        /// The display.
        display: usize,
    },
    /// The displays hide none of the columns that the rig says are hidden.
    NothingHidden {
        /// The first seam with hidden columns where displays adjoin.
        seam: usize,
    },
}

impl Fault {
    /// The display that it is about, if it is about one.
    fn display(&self) -> Option<usize> {
        match *self {
            Fault::Size { display, .. }
            | Fault::Unfilled { display, .. }
            | Fault::Place { display, .. }
            | Fault::Name { display, .. }
            | Fault::Resampled { display, .. } => Some(display),
            Fault::Missing { .. } | Fault::NothingHidden { .. } => None,
        }
    }
}

/// A display that shows a panel or a part of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Carrier {
    display: usize,
    /// The panel's top-left corner in the display's pixels; it may lie outside.
    corner_px: [i64; 2],
}

/// Panels and the displays that show them.
///
/// # Guarantees
///
/// A display carries panels that lie apart on it, or a part of one panel, or one
/// panel that isn't as the rig says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matching {
    carriers: Vec<Vec<Carrier>>,
    faults: Vec<Fault>,
    extra: Vec<usize>,
}

/// Whether the displays' positions mean anything. Where the system has no
/// primary display, it places displays in units that scale factors distort.
pub fn has_places(displays: &[impl Borrow<Display>]) -> bool {
    let mut displays = displays.iter().map(Borrow::borrow);
    displays.clone().any(|display| display.is_primary)
        || displays.all(|display| (display.scale - 1.0).abs() <= SAME_SCALE)
}

/// The panels' rectangles on the canvas.
fn canvas_rects(rig: &Rig) -> Vec<DesktopRect> {
    let panels = 0..rig.panels().len();
    panels.map(|panel| canvas_rect(rig, panel)).collect()
}

/// The same without the hidden columns.
pub(crate) fn desktop_rects(rig: &Rig) -> Vec<DesktopRect> {
    let mut hidden = 0;
    let mut rects = canvas_rects(rig);
    for (index, rect) in rects.iter_mut().enumerate() {
        rect.x -= hidden;
        hidden += rig.seams().get(index).map_or(0, |s| i64::from(s.hidden_px));
    }
    rects
}

impl Matching {
    /// Finds the displays of every panel.
    pub fn new(rig: &Rig, displays: &[Display]) -> Matching {
        let mut matching = Matching {
            carriers: vec![Vec::new(); rig.panels().len()],
            faults: Vec::new(),
            extra: Vec::new(),
        };
        let rects: Vec<_> = displays.iter().map(DesktopRect::of).collect();
        let (lit, dark): (Vec<usize>, _) =
            (0..displays.len()).partition(|&display| rects[display].area() > 0);
        if has_places(displays) {
            matching.by_place(rig, displays, &rects, &lit);
        } else {
            matching.pair_leftovers(Leftovers::new(rig, displays, &lit, None));
        }
        // What shows nothing at all carries no panel either.
        matching.extra.extend(dark);
        matching.resampled(displays);
        matching
    }

    /// The displays that show a panel, or that stand for it with a fault.
    pub fn carriers(&self, panel: usize) -> Vec<usize> {
        let carriers = self.carriers[panel].iter();
        carriers.map(|carrier| carrier.display).collect()
    }

    /// Everything that isn't as the rig says.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// One line for each display: what the system reports of it, the size of the
    /// window's surface on it where that is known, and whether it is as the rig says.
    /// `displays` are those of the matching.
    pub fn reports(&self, displays: &[Display], surfaces_px: &[Option<[u32; 2]>]) -> Vec<String> {
        words::reports(self, displays, surfaces_px)
    }

    /// The displays that show no panel, without those that mirror another.
    pub fn extra(&self) -> &[usize] {
        &self.extra
    }

    fn is_carrier(&self, display: usize) -> bool {
        let mut carriers = self.carriers.iter().flatten();
        carriers.any(|carrier| carrier.display == display)
    }

    fn by_place(&mut self, rig: &Rig, displays: &[Display], rects: &[DesktopRect], lit: &[usize]) {
        let mut apart: Vec<usize> = Vec::new();
        for &display in lit {
            let mirrors = |&earlier: &usize| rects[earlier] == rects[display];
            if !apart.iter().any(mirrors) {
                apart.push(display);
            }
        }
        let desk = Desk {
            rects,
            lit: &apart,
            facing: rig.seat().view.panel,
            primary: displays.iter().position(|display| display.is_primary),
        };
        let panels = self.laid_over(rig, &desk);
        for (panel, rect) in panels.iter().enumerate() {
            let carriers = desk.carriers(rect).into_iter();
            let carriers = carriers.map(|display| Carrier {
                display,
                corner_px: rect.from(&rects[display]),
            });
            self.carriers[panel] = carriers.collect();
        }
        self.drop_strays(rig, displays, &panels, &desk);
        self.unfilled(&panels, &desk);
        self.names(rig, displays, &panels, rects);
        self.pair_leftovers(Leftovers::new(
            rig,
            displays,
            &apart,
            Some((&panels, rects)),
        ));
        let misshapen = |fault: &Fault| {
            matches!(
                fault,
                Fault::Missing { .. } | Fault::Size { .. } | Fault::Unfilled { .. }
            )
        };
        if self.faults.iter().any(misshapen) {
            // A display of another size, or none, moves its neighbours.
            self.faults
                .retain(|fault| !matches!(fault, Fault::Place { .. } | Fault::Name { .. }));
        }
    }

    /// The panels' places on the desktop: as in a span, with the hidden columns,
    /// unless more of them are shown without.
    fn laid_over(&mut self, rig: &Rig, desk: &Desk) -> Vec<DesktopRect> {
        let spanned = desk.shifted(&canvas_rects(rig));
        let hides = |&seam: &usize| rig.seams()[seam].hidden_px > 0;
        let mut hidden = (0..rig.seams().len()).filter(hides).peekable();
        let bare = desktop_rects(rig);
        // Without the hidden columns, panels that stand otherwise than in a row
        // can cover each other.
        if hidden.peek().is_none() || !are_apart(&bare) {
            return spanned;
        }
        let bare = desk.shifted(&bare);
        let shown = desk.shown(&bare);
        let count = |shown: &[bool]| shown.iter().filter(|&&is| is).count();
        if count(&desk.shown(&spanned)) >= count(&shown) {
            return spanned;
        }
        // More can be shown only if a seam with hidden columns lies between.
        let adjoins = |&seam: &usize| {
            let (left, right) = shown.split_at(seam + 1);
            left.contains(&true) && right.contains(&true)
        };
        let seam = hidden.find(adjoins);
        self.faults
            .extend(seam.map(|seam| Fault::NothingHidden { seam }));
        bare
    }

    /// The panels on a display that they leave a part of unused; none on others.
    fn loosely_on(&self, panels: &[DesktopRect], desk: &Desk, display: usize) -> Vec<usize> {
        let rect = desk.rects[display];
        let is_inside = |&p: &usize| self.carriers(p) == [display] && rect.holds(&panels[p]);
        let inside: Vec<usize> = (0..panels.len()).filter(is_inside).collect();
        if around(&inside, panels) == Some(rect) {
            Vec::new()
        } else {
            inside
        }
    }

    /// Takes panels off a display that they only seem to be on.
    fn drop_strays(
        &mut self,
        rig: &Rig,
        displays: &[Display],
        panels: &[DesktopRect],
        desk: &Desk,
    ) {
        let wanted = |panel: usize| rig.panels()[panel].pixels;
        let mut promised = Vec::new();
        for &display in desk.lit {
            let inside = self.loosely_on(panels, desk, display);
            let is_anothers = |panel: usize| {
                self.carriers[panel].is_empty() && wanted(panel) == displays[display].size_px
            };
            let is_wanted = (0..panels.len()).any(is_anothers);
            for panel in inside {
                let own = desk.lit.iter().copied().find(|&own| {
                    displays[own].size_px == wanted(panel)
                        && !self.is_carrier(own)
                        && !promised.contains(&own)
                });
                if own.is_some() || is_wanted {
                    self.carriers[panel].clear();
                    promised.extend(own);
                }
            }
        }
    }

    /// A display whose panels don't fill it has another size than the rig says.
    fn unfilled(&mut self, panels: &[DesktopRect], desk: &Desk) {
        for &display in desk.lit {
            let inside = self.loosely_on(panels, desk, display);
            let Some((&first, filled)) = inside.first().zip(around(&inside, panels)) else {
                continue;
            };
            self.faults.push(Fault::Unfilled {
                display,
                panels: inside.len(),
                first,
                filled_px: [filled.w, filled.h],
            });
        }
    }

    /// Displays that show no pixel as it is.
    fn resampled(&mut self, displays: &[Display]) {
        for (display, known) in displays.iter().enumerate() {
            let shown = (0..self.carriers.len()).find(|&p| self.carriers(p).contains(&display));
            if let Some(panel) = shown.filter(|_| known.resampled_to_px().is_some()) {
                self.faults.push(Fault::Resampled { panel, display });
            }
        }
    }

    /// Whether everything is where the rig says, however it is shown there.
    pub(crate) fn is_in_place(&self) -> bool {
        let mut faults = self.faults.iter();
        faults.all(|fault| matches!(fault, Fault::Resampled { .. }))
    }

    /// Panels whose name a display bears that shows another.
    fn names(
        &mut self,
        rig: &Rig,
        displays: &[Display],
        panels: &[DesktopRect],
        rects: &[DesktopRect],
    ) {
        for (panel, rect) in panels.iter().enumerate() {
            let name = &rig.panels()[panel].name;
            let Some(display) = displays.iter().position(|d| d.name == *name) else {
                continue;
            };
            let own = self.carriers(panel);
            if own.is_empty() || own.contains(&display) || !self.is_carrier(display) {
                continue;
            }
            self.faults.push(Fault::Name {
                panel,
                display,
                by_px: rects[display].from(rect),
            });
        }
    }
}

/// What some of the panels cover together, with what is between them.
fn around(some: &[usize], panels: &[DesktopRect]) -> Option<DesktopRect> {
    let rects = some.iter().map(|&panel| panels[panel]);
    rects.reduce(|sum, rect| sum.around(&rect))
}

#[cfg(test)]
mod tests;
