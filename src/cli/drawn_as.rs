//! Patterns drawn as another program would draw them.

use throughline::fit::{FlatViews, FlatViewsFit, Free, program_rig};
use throughline::pattern::{Guides, Layer, Layers, Pattern};
use throughline::rig::Rig;
use throughline::typeset::Typesetter;

use super::failure::Failure;

/// A program with one camera a screen, and the numbers typed into it; those
/// left out are the best fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnAs {
    angle_deg: Option<f64>,
    distance_mm: Option<f64>,
    width_mm: Option<f64>,
    bezel_mm: Option<f64>,
}

impl DrawnAs {
    /// Reads `flat-views` or `flat-views:angle=47.3,distance=620`.
    pub fn parse(text: &str) -> Result<DrawnAs, String> {
        let (kind, numbers) = text.split_once(':').unwrap_or((text, ""));
        if kind != "flat-views" {
            return Err(format!(
                "nothing is drawn as \"{kind}\"; use flat-views, or flat-views:angle=47.3,distance=620"
            ));
        }
        let mut drawn_as = DrawnAs {
            angle_deg: None,
            distance_mm: None,
            width_mm: None,
            bezel_mm: None,
        };
        for number in numbers.split(',').map(str::trim).filter(|n| !n.is_empty()) {
            let (key, value) = number.split_once('=').unwrap_or((number, ""));
            let place = match key.trim() {
                "angle" => &mut drawn_as.angle_deg,
                "distance" => &mut drawn_as.distance_mm,
                "width" => &mut drawn_as.width_mm,
                "bezel" => &mut drawn_as.bezel_mm,
                other => {
                    return Err(format!(
                        "flat views have no number \"{other}\"; give angle in degrees, distance, width or bezel in mm"
                    ));
                }
            };
            let value = value.trim().parse().ok().filter(|v: &f64| v.is_finite());
            *place = Some(value.ok_or_else(|| {
                format!("expected a number for {key}, such as flat-views:angle=47.3,distance=620")
            })?);
        }
        Ok(drawn_as)
    }

    /// The screens that the program draws for.
    pub fn model(&self, rig: &Rig) -> FlatViews {
        let fit = FlatViewsFit::of(rig, Free::default()).model;
        let fit = self.width_mm.map_or(fit, |width| fit.with_width_mm(width));
        FlatViews {
            angle_rad: self.angle_deg.map_or(fit.angle_rad, f64::to_radians),
            distance_mm: self.distance_mm.unwrap_or(fit.distance_mm),
            bezel_mm: self.bezel_mm.unwrap_or(fit.bezel_mm),
            ..fit
        }
    }
}

/// The rig that the program draws for.
pub fn rig(rig: &Rig, model: &FlatViews) -> Result<Rig, Failure> {
    program_rig(rig, model)
        .map_err(|flaw| Failure::new(format!("no program can draw these flat views: {flaw}")))
}

/// Guides as the program draws them. Ladders, rulers and labels are no part of
/// what another program draws.
pub fn pattern(
    program: &Rig,
    guides: &Guides,
    layers: Layers,
    typesetter: &mut Typesetter,
) -> Pattern {
    let layers = [Layer::Ladders, Layer::Rulers, Layer::Labels]
        .into_iter()
        .fold(layers, Layers::without);
    Pattern::new(program, guides, layers, typesetter)
}
