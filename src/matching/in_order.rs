//! Panels and displays read side by side from left to right, by their sizes
//! alone.

use super::rect::DesktopRect;
use crate::display::Display;
use crate::rig::Rig;

/// Panels and displays that belong together: one panel and the displays that
/// tile it in a row, or several panels and the one display that spans them.
pub(super) struct Group {
    pub panels: Vec<usize>,
    pub displays: Vec<usize>,
}

/// What comes next in a reading: so many of the next panels belong to so many of
/// the next displays. None of either are left out.
type Step = [usize; 2];

/// The groups of the reading that shows most panels. Panels that have a display to
/// themselves there, and what it leaves over, are left out: which of these go
/// together is not a matter of their order alone. Both lists are in their order
/// from the left.
pub(super) fn in_order(
    rig: &Rig,
    displays: &[Display],
    panels: &[usize],
    free: &[usize],
) -> Vec<Group> {
    // Cell [p][d] is about the panels from p on and the displays from d on.
    let end: (usize, Step) = (0, [1, 1]);
    let mut best = vec![vec![end; free.len() + 1]; panels.len() + 1];
    for p in (0..panels.len()).rev() {
        for d in (0..free.len()).rev() {
            let tiles = row(rig, displays, panels[p], &free[d..]).map(|count| [1, count]);
            let span = span(rig, displays[free[d]].size_px, &panels[p..]).map(|count| [count, 1]);
            let steps = [tiles, span, Some([0, 1]), Some([1, 0])];
            // Of equal ones the first.
            let steps = steps.into_iter().flatten().rev();
            let shown = |[of, on]: Step| {
                let (rest, _) = best[p + of][d + on];
                rest + if on > 0 { of } else { 0 }
            };
            let most = steps.map(|step| (shown(step), step));
            best[p][d] = most.max_by_key(|&(shown, _)| shown).unwrap_or(end);
        }
    }
    let mut groups = Vec::new();
    let (mut p, mut d) = (0, 0);
    while p < panels.len() && d < free.len() {
        let (_, [of, on]) = best[p][d];
        if of.min(on) > 0 && of.max(on) > 1 {
            groups.push(Group {
                panels: panels[p..p + of].to_vec(),
                displays: free[d..d + on].to_vec(),
            });
        }
        (p, d) = (p + of, d + on);
    }
    groups
}

/// How many of the first displays, side by side, are as large as a panel.
fn row(rig: &Rig, displays: &[Display], panel: usize, free: &[usize]) -> Option<usize> {
    let [width, height] = rig.panels()[panel].pixels.map(u64::from);
    let mut x = 0;
    for (index, &display) in free.iter().enumerate() {
        let [w, h] = displays[display].size_px.map(u64::from);
        x += w;
        if h != height || x > width {
            return None;
        }
        if x == width {
            return Some(index + 1);
        }
    }
    None
}

/// How many of the first panels, two or more, make up a span of that size with
/// the columns hidden between them.
fn span(rig: &Rig, size_px: [u32; 2], panels: &[usize]) -> Option<usize> {
    let first = *panels.first()?;
    let size = size_px.map(i64::from);
    let adjoining = panels.iter().enumerate();
    let adjoining = adjoining.take_while(|&(index, &panel)| panel == first + index);
    (2..=adjoining.count()).find(|&count| {
        let run = &panels[..count];
        let around = span_rect(rig, run);
        let is_alone =
            |panel: usize| run.contains(&panel) || !canvas_rect(rig, panel).overlaps(&around);
        [around.w, around.h] == size && (0..rig.panels().len()).all(is_alone)
    })
}

/// A panel's rectangle on the canvas.
pub(super) fn canvas_rect(rig: &Rig, panel: usize) -> DesktopRect {
    let rect = rig.canvas().panels[panel];
    DesktopRect {
        x: rect.x.into(),
        y: rect.y.into(),
        w: rect.w.into(),
        h: rect.h.into(),
    }
}

/// What panels cover of the canvas together, with what is between them.
pub(super) fn span_rect(rig: &Rig, panels: &[usize]) -> DesktopRect {
    let rects = panels.iter().map(|&panel| canvas_rect(rig, panel));
    let none = DesktopRect {
        x: 0,
        y: 0,
        w: 0,
        h: 0,
    };
    rects.reduce(|sum, rect| sum.around(&rect)).unwrap_or(none)
}
