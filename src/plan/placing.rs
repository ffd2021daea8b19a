//! Finds room for labels: never on another label, on few strokes, near what
//! they are about.

use std::f64::consts::TAU;

use glam::DVec2;

use super::drawing::{Drawing, Label, PaperRect, Stroke};

/// What a label is about and where it would like to stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wish {
    /// What it is about: where its leader ends.
    pub about: DVec2,
    /// Where its box's middle would best be.
    pub at: DVec2,
    /// Farthest that its middle may be from there.
    pub reach_mm: f64,
    /// The part of the paper in which it must stay.
    pub area: PaperRect,
    /// Whether a leader shows what it is about where it had to go far.
    pub leads: bool,
}

/// Places a label where its box overlaps no other, or leaves it out.
pub(super) fn place(drawing: &mut Drawing, label: Label, wish: Wish) {
    let size = label.rect.max - label.rect.min;
    let mut best: Option<(PaperRect, f64)> = None;
    for middle in spots(wish.at, wish.reach_mm) {
        let rect = PaperRect::about(middle, size);
        let most = best.map_or(f64::INFINITY, |(_, cost)| cost);
        if !wish.area.holds(&rect) || away(&rect, &wish) >= most {
            continue;
        }
        let roomy = rect.grown(0.25);
        if drawing
            .labels
            .iter()
            .any(|label| label.rect.overlaps(&roomy))
        {
            continue;
        }
        let cost = away(&rect, &wish) + hidden(drawing, &rect, most);
        if cost < most {
            best = Some((rect, cost));
        }
    }
    let Some((rect, _)) = best else {
        drawing.left_out += 1;
        return;
    };
    let end = rect.nearest(wish.about);
    if wish.leads && end.distance(wish.about) > 2.2 {
        let towards = (wish.about - end).normalize_or(DVec2::X);
        drawing.line(Stroke::Leader, end + towards * 0.2, wish.about);
    }
    drawing.put(label, rect.min);
}

/// Middles to try, the wished one first.
fn spots(at: DVec2, reach_mm: f64) -> impl Iterator<Item = DVec2> {
    const RING_MM: f64 = 1.1;
    let rings = (reach_mm / RING_MM).max(0.0) as u32;
    (0..=rings).flat_map(move |ring| {
        let radius = f64::from(ring) * RING_MM;
        let around = (TAU * radius / 1.6).ceil().clamp(1.0, 48.0) as u32;
        (0..around).map(move |step| {
            at + DVec2::from_angle(TAU * f64::from(step) / f64::from(around)) * radius
        })
    })
}

/// How bad it is that a place is away from where it should be.
fn away(rect: &PaperRect, wish: &Wish) -> f64 {
    let aside = 0.35 * ((rect.min + rect.max) / 2.0).distance(wish.at);
    if wish.leads {
        aside + 0.5 * rect.nearest(wish.about).distance(wish.about)
    } else {
        aside
    }
}

/// How bad it is what a place hides; no need to tell more than `most`.
fn hidden(drawing: &Drawing, rect: &PaperRect, most: f64) -> f64 {
    let roomy = rect.grown(0.3);
    let mut cost = 0.0;
    for path in &drawing.paths {
        let weight = match path.stroke {
            Stroke::Lit | Stroke::Eye => 8.0,
            Stroke::Case => 5.0,
            Stroke::Measure | Stroke::Leader | Stroke::Cut => 3.0,
            Stroke::Faint => 1.0,
            Stroke::Sight | Stroke::Axis => 0.7,
            Stroke::Blank => continue,
        };
        for pair in path.points.windows(2) {
            let inside = roomy.length_inside(pair[0], pair[1]);
            if inside > 0.0 {
                cost += weight * (1.0 + inside);
            }
        }
        if cost >= most {
            break;
        }
    }
    cost
}
