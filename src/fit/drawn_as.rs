//! The program that lines are to be drawn as, as a person names it.

use std::str::FromStr;

use super::flat_views::FlatViews;
use super::flat_views_fit::FlatViewsFit;
use super::free::Free;
use crate::parts::Misread;
use crate::rig::Rig;

/// A program with one camera a screen, and the numbers typed into it; those
/// left out are the best fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnAs {
    angle_deg: Option<f64>,
    distance_mm: Option<f64>,
    width_mm: Option<f64>,
    bezel_mm: Option<f64>,
}

/// Reads `flat-views` or `flat-views:angle=47.3,distance=620`.
impl FromStr for DrawnAs {
    type Err = Misread;

    fn from_str(text: &str) -> Result<DrawnAs, Misread> {
        let (kind, numbers) = text.split_once(':').unwrap_or((text, ""));
        if kind != "flat-views" {
            return Err(Misread::new(format!(
                "nothing is drawn as \"{kind}\"; use flat-views, or flat-views:angle=47.3,distance=620"
            )));
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
                    return Err(Misread::new(format!(
                        "flat views have no number \"{other}\"; give angle in degrees, distance, width or bezel in mm"
                    )));
                }
            };
            let value = value.trim().parse().ok().filter(|v: &f64| v.is_finite());
            *place = Some(value.ok_or_else(|| {
                Misread::new(format!(
                    "expected a number for {key}, such as flat-views:angle=47.3,distance=620"
                ))
            })?);
        }
        Ok(drawn_as)
    }
}

impl DrawnAs {
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
