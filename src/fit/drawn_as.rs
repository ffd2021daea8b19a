//! The program that lines are to be drawn as, as a person names it.

use std::str::FromStr;

use super::flat_views::FlatViews;
use super::flat_views_fit::FlatViewsFit;
use super::free::Free;
use super::typed::Typed;
use super::window_fit::WindowFit;
use super::window_model::WindowModel;
use crate::parts::Misread;
use crate::parts::words::quoted;
use crate::rig::{Rig, Window};

/// A program with one camera a screen, and the numbers typed into it; those
/// left out are the best fit.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct DrawnAs {
    /// In degrees or millimetres, in the order of [`Typed::ALL`].
    typed: [Option<f64>; Typed::ALL.len()],
}

/// Reads `flat-views` or `flat-views:angle=47.3,distance=620`.
impl FromStr for DrawnAs {
    type Err = Misread;

    fn from_str(text: &str) -> Result<DrawnAs, Misread> {
        let (kind, numbers) = text.split_once(':').unwrap_or((text, ""));
        if kind != "flat-views" {
            return Err(Misread::new(format!(
                "nothing is drawn as {}; use flat-views, or flat-views:angle=47.3,distance=620",
                quoted(kind)
            )));
        }
        let mut drawn_as = DrawnAs {
            typed: [None; Typed::ALL.len()],
        };
        for number in numbers.split(',').map(str::trim).filter(|n| !n.is_empty()) {
            let (key, value) = number.split_once('=').unwrap_or((number, ""));
            let Some(typed) = Typed::named(key.trim()) else {
                return Err(Misread::new(format!(
                    "flat views have no number {}; give angle in degrees, distance, width or \
                     bezel in mm",
                    quoted(key.trim())
                )));
            };
            let value = value.trim().parse().ok().filter(|v: &f64| v.is_finite());
            drawn_as.typed[typed as usize] = Some(value.ok_or_else(|| {
                Misread::new(format!(
                    "expected a number for {key}, such as flat-views:angle=47.3,distance=620"
                ))
            })?);
        }
        Ok(drawn_as)
    }
}

/// A program with one camera a screen.
#[derive(Debug, Clone, PartialEq)]
pub enum Program {
    /// One screen a view of the rig, over the whole canvas.
    Views(FlatViews),
    /// One screen a column of this window.
    Window(Window, WindowModel),
}

impl DrawnAs {
    /// The program with its numbers, in the rig's window where it has one.
    pub fn program(&self, rig: &Rig) -> Program {
        let window = rig.window().cloned();
        match window.zip(WindowFit::of(rig, Free::default())) {
            Some((window, fit)) => {
                let model = WindowModel {
                    flat: self.typed(fit.model.flat),
                    ..fit.model
                };
                Program::Window(window, model)
            }
            None => Program::Views(self.typed(FlatViewsFit::of(rig, Free::default()).model)),
        }
    }

    /// Screens with what was typed.
    fn typed(&self, fit: FlatViews) -> FlatViews {
        let typed = Typed::ALL.into_iter().zip(self.typed);
        typed.fold(fit, |model, (typed, number)| match number {
            Some(degrees) if typed == Typed::Angle => typed.put(model, degrees.to_radians()),
            Some(number) => typed.put(model, number),
            None => model,
        })
    }
}
