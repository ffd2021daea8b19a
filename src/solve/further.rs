//! Which one further measurement, with other tools, would help most.

use super::choose::Stakes;
use super::estimate::Estimate;
use crate::geometry::{Layout, LitEdge};
use crate::least_squares::slopes;
use crate::parts::words::quoted;
use crate::parts::{Measure, PanelQuantity, Parts, SeamQuantity, SeatQuantity};

/// What a person can measure besides. What each is uncertain by is common practice
/// with the tool that it names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tool {
    /// A tape between the rig's outer lit edges.
    OuterEdges,
    /// A tape from the eye to the facing view's middle.
    Distance,
    /// A tape for how far the eye is beside the facing view's middle.
    Offset,
    /// A protractor at the seam with this index.
    Protractor(usize),
    /// A string across the curve of the panel with this index.
    String(usize),
    /// A ruler along the lit width of the panel with this index.
    Ruler(usize),
}

/// A measurement, and what it is expected to bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Further {
    /// What to measure, with what.
    pub tool: Tool,
    /// The share by which the root mean square of the expected breaks falls, 0 to 1.
    pub gain: f64,
}

/// Of a tape between edges that are far apart, in millimetres, 1σ.
const LONG_TAPE_MM: f64 = 3.0;
/// Of a tape from an eye, in millimetres, 1σ.
const TAPE_MM: f64 = 5.0;
/// Of a protractor held at two edges, in degrees, 1σ.
const PROTRACTOR_DEG: f64 = 0.5;
/// Of the depth between a string and a curve's middle, and of a ruler on glass, in
/// millimetres, 1σ.
const RULER_MM: f64 = 0.5;
/// Smaller gains are not worth a walk for the tool.
const WORTH_IT: f64 = 0.05;

/// The measurement that lowers what near lines are expected to break by most; `None`
/// where none lowers it by a twentieth.
pub fn further(estimate: &Estimate) -> Option<Further> {
    let parts = estimate.rig().parts();
    let stakes = Stakes::new(estimate);
    let tools = Tool::all(parts).into_iter().filter_map(|tool| {
        let share = stakes.gain(estimate, &tool.row(estimate)?);
        let gain = 1.0 - (1.0 - share).max(0.0).sqrt();
        (gain >= WORTH_IT).then_some(Further { tool, gain })
    });
    tools.max_by(|one, other| one.gain.total_cmp(&other.gain))
}

impl Tool {
    fn all(parts: &Parts) -> Vec<Tool> {
        let seams = (0..parts.seams.len()).map(Tool::Protractor);
        let panels = 0..parts.panels.len();
        let curves = panels.clone().map(Tool::String);
        [Tool::OuterEdges, Tool::Distance, Tool::Offset]
            .into_iter()
            .chain(seams)
            .chain(curves)
            .chain(panels.map(Tool::Ruler))
            .collect()
    }

    /// How what it measures changes with the steps around the estimate, in its own 1σ;
    /// `None` where it measures a number that is held.
    fn row(self, estimate: &Estimate) -> Option<Vec<f64>> {
        let parts = estimate.rig().parts();
        let (measure, sigma) = match self {
            Tool::OuterEdges => return outer_edges_row(estimate),
            Tool::Distance => (Measure::Seat(SeatQuantity::Distance), TAPE_MM),
            Tool::Offset => (Measure::Seat(SeatQuantity::Offset), TAPE_MM),
            Tool::Protractor(seam) => (Measure::Seam(seam, SeamQuantity::Fold), PROTRACTOR_DEG),
            Tool::Ruler(panel) => (Measure::Panel(panel, PanelQuantity::Width), RULER_MM),
            Tool::String(panel) => {
                // The depth is width² / (8 radius), so it tells the radius by:
                let width = parts.panels[panel].size_mm()[0];
                let radius = parts.panels[panel].curve_radius_mm?;
                let depth = width * width / (8.0 * radius);
                let measure = Measure::Panel(panel, PanelQuantity::Radius);
                (measure, RULER_MM * radius / depth)
            }
        };
        let values = estimate.values();
        let place = values.iter().position(|value| value.measure == measure)?;
        let mut row = vec![0.0; values.len()];
        row[place] = estimate.space.scale[place] / sigma;
        Some(row)
    }

    /// What to measure, with what, and how well, as words that follow "measure".
    pub fn words(self, parts: &Parts) -> String {
        let panel = |index: usize| quoted(&parts.panels[index].name);
        match self {
            Tool::OuterEdges => {
                let last = parts.panels.len().saturating_sub(1);
                format!(
                    "by tape from the lit left edge of {} to the lit right edge of {}, at half \
                     their height, to {LONG_TAPE_MM} mm",
                    panel(0),
                    panel(last)
                )
            }
            Tool::Distance => format!(
                "by tape how far the eye is from the middle of the view straight ahead, to \
                 {TAPE_MM} mm"
            ),
            Tool::Offset => format!(
                "by tape how far the eye is to the right or left of the middle of the view \
                 straight ahead, to {TAPE_MM} mm"
            ),
            Tool::Protractor(seam) => format!(
                "with a protractor the fold at seam {}, to {PROTRACTOR_DEG}°",
                seam + 1
            ),
            Tool::String(index) => format!(
                "with a string from lit edge to lit edge how deep the curve of {} is, to \
                 {RULER_MM} mm: its radius is the width squared over eight times that",
                panel(index)
            ),
            Tool::Ruler(index) => format!(
                "with a ruler on the glass the lit width of {}, to {RULER_MM} mm",
                panel(index)
            ),
        }
    }
}

/// How the distance between the outer lit edges changes, in 1σ of a long tape.
fn outer_edges_row(estimate: &Estimate) -> Option<Vec<f64>> {
    let distance = |layout: &Layout| {
        let surfaces = layout.surfaces();
        let (left, right) = (surfaces.first()?, surfaces.last()?);
        let from = left.point_mm(left.edge_s_mm(LitEdge::Left), 0.0);
        let to = right.point_mm(right.edge_s_mm(LitEdge::Right), 0.0);
        Some((to - from).length() / LONG_TAPE_MM)
    };
    let evaluate = |steps: &[f64], into: &mut Vec<f64>| {
        let layout = estimate.space.layout(steps);
        into.push(layout.as_ref().and_then(distance).unwrap_or(f64::NAN));
    };
    let columns = slopes(evaluate, &estimate.steps);
    Some(columns.into_iter().map(|column| column[0]).collect())
}
