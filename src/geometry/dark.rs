//! What a ruler or a tape held level across a seam reads.

use glam::DVec3;

use super::layout::Layout;
use super::surface::{LitEdge, Surface};

/// Least height that a lit edge gains along its length for it to have heights to
/// speak of: one that leans more than 73° from upright gains less.
const LEAST_UPRIGHT: f64 = 0.3;

impl Layout {
    /// What a ruler held level across a seam reads between the two lit edges, in
    /// millimetres: their distance in plan, at the middle of the heights that both
    /// reach. A rise, or unlike heights, doesn't lengthen it.
    pub fn dark_mm(&self, seam: usize) -> f64 {
        let [left, right] = self.ruler_mm(seam);
        (right - left).with_y(0.0).length()
    }

    /// The points of a seam's two lit edges between which that ruler is held. Edges
    /// that share no height are extended to the middle of what parts them; one that
    /// is hardly upright gives its own middle.
    pub fn ruler_mm(&self, seam: usize) -> [DVec3; 2] {
        self.level_mm(seam, [LitEdge::Right, LitEdge::Left])
    }

    /// What a tape held level reads over a seam from the left panel's left lit edge
    /// straight to the right panel's right one, in millimetres: in plan, at the middle
    /// of the heights that both reach, as the ruler is held. It tells a fold without a
    /// protractor.
    pub fn outer_mm(&self, seam: usize) -> f64 {
        let [left, right] = self.level_mm(seam, [LitEdge::Left, LitEdge::Right]);
        (right - left).with_y(0.0).length()
    }

    fn level_mm(&self, seam: usize, [of_left, of_right]: [LitEdge; 2]) -> [DVec3; 2] {
        let [left, right] = self.seam(seam);
        let edges = [(left, of_left), (right, of_right)];
        let shared = edges.map(|(surface, edge)| edge_heights_mm(surface, edge));
        let height_mm = match shared {
            [Some(left), Some(right)] => {
                let [low, high] = shared_heights_mm(left, right);
                Some(f64::midpoint(low, high))
            }
            _ => None,
        };
        edges.map(|(surface, edge)| {
            let s = surface.edge_s_mm(edge);
            let middle = surface.point_mm(s, 0.0);
            height_mm.map_or(middle, |height| {
                surface.point_mm(s, (height - middle.y) / surface.y.y)
            })
        })
    }
}

/// Lowest and highest point of a lit edge in the seat frame; `None` where it is
/// hardly upright.
pub(crate) fn edge_heights_mm(surface: &Surface, edge: LitEdge) -> Option<[f64; 2]> {
    let rise = surface.y.y;
    let middle = surface.point_mm(surface.edge_s_mm(edge), 0.0).y;
    let half = (rise * surface.size_mm[1] / 2.0).abs();
    (rise.abs() > LEAST_UPRIGHT).then_some([middle - half, middle + half])
}

/// Lowest and highest of what two edges have in common, or the middle of what
/// parts them, twice.
pub(crate) fn shared_heights_mm(one: [f64; 2], other: [f64; 2]) -> [f64; 2] {
    let (low, high) = (one[0].max(other[0]), one[1].min(other[1]));
    if low <= high {
        [low, high]
    } else {
        [f64::midpoint(low, high); 2]
    }
}

#[cfg(test)]
mod tests {
    use crate::rig::{Rig, demos, read};

    /// Two flat panels and half the dark each, folded: the law of cosines.
    #[test]
    fn outer_edges_keep_to_the_law_of_cosines() {
        let rig = read(demos()[1].text, demos()[1].name, &[]).expect("a sound demo");
        for fold_deg in [-20.0_f64, 0.0, 35.0, 80.0] {
            let mut parts = rig.parts().with_folds();
            parts.seams[1].turn = crate::rig::Turn::FoldDeg(fold_deg);
            let seam = &parts.seams[1];
            assert_eq!(seam.step_mm, 0.0, "the law knows none");
            let [a, b] = [
                parts.panels[1].size_mm()[0] + parts.panels[1].bezel_mm.right + seam.gap_mm / 2.0,
                parts.panels[2].size_mm()[0] + parts.panels[2].bezel_mm.left + seam.gap_mm / 2.0,
            ];
            let fold = fold_deg.to_radians();
            let tape = (a * a + b * b + 2.0 * a * b * fold.cos()).sqrt();
            let Ok(folded) = Rig::new(parts) else {
                continue;
            };
            let off = folded.layout().outer_mm(1) - tape;
            assert!(off.abs() < 1e-9, "{fold_deg}: {off}");
        }
    }

    /// Two bezels, half a gap each, folded: the law of cosines, whatever the rise.
    #[test]
    fn a_rise_does_not_lengthen_the_dark() {
        let mut checked = 0;
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            let is_upright = |parts: &crate::rig::Parts| {
                let mut panels = parts.panels.iter();
                panels.all(|panel| panel.tilt_deg == 0.0 && panel.roll_deg == 0.0)
            };
            for (index, seam) in rig.seams().iter().enumerate() {
                if !is_upright(rig.parts()) || seam.step_mm != 0.0 {
                    continue;
                }
                let [a, b] = [
                    rig.panels()[index].bezel_mm.right + seam.gap_mm / 2.0,
                    rig.panels()[index + 1].bezel_mm.left + seam.gap_mm / 2.0,
                ];
                let fold = rig.parts().fold_rad(index);
                let ruler = (a * a + b * b + 2.0 * a * b * fold.cos()).sqrt();
                for rise in [0.0, 30.0, -400.0] {
                    let mut parts = rig.parts().clone();
                    parts.seams[index].rise_mm = rise;
                    let raised = Rig::new(parts).expect("still faces the eye");
                    let off = raised.layout().dark_mm(index) - ruler;
                    assert!(off.abs() < 1e-9, "{}, seam {index}: {off}", demo.name);
                    checked += 1;
                }
            }
        }
        assert!(checked >= 6, "{checked}");
    }
}
