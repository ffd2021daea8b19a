//! What is measured of a panel.

use super::spec::Spec;
use crate::parts::model::{Panel, Size};
use crate::parts::unit::Unit;

/// What is measured of a panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is named in its entry of the list")]
pub enum PanelQuantity {
    Columns,
    Rows,
    Diagonal,
    Width,
    Height,
    Radius,
    Views,
    Refresh,
    Scale,
    BezelLeft,
    BezelRight,
    BezelTop,
    BezelBottom,
    DesktopX,
    DesktopY,
    Tilt,
    Roll,
}

const fn pixels(name: &'static str, item: usize) -> Spec {
    let remedy = "give the panel's native columns and rows";
    Spec::new("pixels", name, Unit::Px, [1.0, 32_768.0], remedy)
        .item(item)
        .whole()
}

const fn size(name: &'static str, item: usize) -> Spec {
    let remedy =
        "measure the lit area's width and height, or read them from the panel's data sheet";
    Spec::new("size_mm", name, Unit::Mm, [1.0, 30_000.0], remedy)
        .item(item)
        .steps(0.1, 1.0)
}

const fn bezel(key: &'static str, name: &'static str) -> Spec {
    let remedy = "measure from the lit edge to the edge of the case";
    Spec::length(key, name, [0.0, 1000.0], remedy).or(0.0)
}

const fn desktop(name: &'static str, item: usize) -> Spec {
    let remedy = "give the panel's top-left corner in the virtual desktop";
    let range = [-262_144.0, 262_144.0];
    Spec::new("desktop_px", name, Unit::Px, range, remedy)
        .item(item)
        .whole()
}

impl PanelQuantity {
    /// All, in the order of the rig file.
    pub const ALL: [PanelQuantity; 17] = [
        PanelQuantity::Columns,
        PanelQuantity::Rows,
        PanelQuantity::Diagonal,
        PanelQuantity::Width,
        PanelQuantity::Height,
        PanelQuantity::Radius,
        PanelQuantity::Views,
        PanelQuantity::Refresh,
        PanelQuantity::Scale,
        PanelQuantity::BezelLeft,
        PanelQuantity::BezelRight,
        PanelQuantity::BezelTop,
        PanelQuantity::BezelBottom,
        PanelQuantity::DesktopX,
        PanelQuantity::DesktopY,
        PanelQuantity::Tilt,
        PanelQuantity::Roll,
    ];

    /// What is known of it.
    pub const fn spec(self) -> &'static Spec {
        match self {
            PanelQuantity::Columns => const { &pixels("columns", 0) },
            PanelQuantity::Rows => const { &pixels("rows", 1) },
            PanelQuantity::Diagonal => {
                const {
                    &Spec::new(
                        "diagonal_in",
                        "diagonal",
                        Unit::Inch,
                        [0.1, 1000.0],
                        "measure the lit area from corner to corner, 25.4 millimetres to the inch",
                    )
                    .steps(0.01, 0.1)
                }
            }
            PanelQuantity::Width => const { &size("lit width", 0) },
            PanelQuantity::Height => const { &size("lit height", 1) },
            PanelQuantity::Radius => {
                // The least is half the panel's width, which is checked with it.
                const {
                    &Spec::length(
                        "curve_radius_mm",
                        "curve radius",
                        [0.5, 1e6],
                        "leave the key out for a flat panel",
                    )
                    .steps(5.0, 50.0)
                }
            }
            PanelQuantity::Views => {
                const {
                    &Spec::new(
                        "views",
                        "views",
                        Unit::One,
                        [1.0, 64.0],
                        "give the number of equal columns that a program draws as screens of their own",
                    )
                    .or(1.0)
                    .whole()
                }
            }
            PanelQuantity::Refresh => {
                const {
                    &Spec::new(
                        "refresh_hz",
                        "refresh rate",
                        Unit::Hz,
                        [1.0, 1000.0],
                        "read it from the system's display settings, or leave the key out",
                    )
                }
            }
            PanelQuantity::Scale => {
                const {
                    &Spec::new(
                        "scale",
                        "scale",
                        Unit::One,
                        [0.25, 8.0],
                        "150 % in the system's display settings is 1.5",
                    )
                    .or(1.0)
                }
            }
            PanelQuantity::BezelLeft => const { &bezel("bezel_mm.left", "left bezel") },
            PanelQuantity::BezelRight => const { &bezel("bezel_mm.right", "right bezel") },
            PanelQuantity::BezelTop => const { &bezel("bezel_mm.top", "top bezel") },
            PanelQuantity::BezelBottom => const { &bezel("bezel_mm.bottom", "bottom bezel") },
            PanelQuantity::DesktopX => const { &desktop("desktop column", 0) },
            PanelQuantity::DesktopY => const { &desktop("desktop row", 1) },
            PanelQuantity::Tilt => {
                const {
                    &Spec::new(
                        "tilt_deg",
                        "tilt",
                        Unit::Deg,
                        [-89.0, 89.0],
                        "measure how far the panel's top leans away from you",
                    )
                    .or(0.0)
                    .steps(0.05, 0.5)
                }
            }
            PanelQuantity::Roll => {
                const {
                    &Spec::new(
                        "roll_deg",
                        "roll",
                        Unit::Deg,
                        [-180.0, 180.0],
                        "measure how far the panel is turned counter-clockwise as you see it",
                    )
                    .or(0.0)
                    .steps(0.05, 0.5)
                }
            }
        }
    }

    /// Its number of a panel; `None` where the panel has none such: of a diagonal
    /// and a size, the other one; the radius of a flat panel; what isn't known.
    pub fn get(self, panel: &Panel) -> Option<f64> {
        let size = |side: usize| match panel.size {
            Size::LitMm(size) => Some(size[side]),
            Size::DiagonalIn(_) => None,
        };
        let corner = |axis: usize| panel.desktop_px.map(|corner| f64::from(corner[axis]));
        match self {
            PanelQuantity::Columns => Some(panel.pixels[0].into()),
            PanelQuantity::Rows => Some(panel.pixels[1].into()),
            PanelQuantity::Diagonal => match panel.size {
                Size::DiagonalIn(diagonal) => Some(diagonal),
                Size::LitMm(_) => None,
            },
            PanelQuantity::Width => size(0),
            PanelQuantity::Height => size(1),
            PanelQuantity::Radius => panel.curve_radius_mm,
            PanelQuantity::Views => Some(panel.views.into()),
            PanelQuantity::Refresh => panel.refresh_hz,
            PanelQuantity::Scale => Some(panel.scale),
            PanelQuantity::BezelLeft => Some(panel.bezel_mm.left),
            PanelQuantity::BezelRight => Some(panel.bezel_mm.right),
            PanelQuantity::BezelTop => Some(panel.bezel_mm.top),
            PanelQuantity::BezelBottom => Some(panel.bezel_mm.bottom),
            PanelQuantity::DesktopX => corner(0),
            PanelQuantity::DesktopY => corner(1),
            PanelQuantity::Tilt => Some(panel.tilt_deg),
            PanelQuantity::Roll => Some(panel.roll_deg),
        }
    }

    /// Puts a number in its place, instead of what excludes it: a lit side takes
    /// the place of a diagonal, the other side staying as it was. Whole numbers end
    /// at their type's limits.
    pub fn put(self, panel: &mut Panel, number: f64) {
        let whole = number.round();
        match self {
            PanelQuantity::Columns => panel.pixels[0] = whole as u32,
            PanelQuantity::Rows => panel.pixels[1] = whole as u32,
            PanelQuantity::Diagonal => panel.size = Size::DiagonalIn(number),
            PanelQuantity::Width => panel.size = Size::LitMm([number, panel.size_mm()[1]]),
            PanelQuantity::Height => panel.size = Size::LitMm([panel.size_mm()[0], number]),
            PanelQuantity::Radius => panel.curve_radius_mm = Some(number),
            PanelQuantity::Views => panel.views = whole as u32,
            PanelQuantity::Refresh => panel.refresh_hz = Some(number),
            PanelQuantity::Scale => panel.scale = number,
            PanelQuantity::BezelLeft => panel.bezel_mm.left = number,
            PanelQuantity::BezelRight => panel.bezel_mm.right = number,
            PanelQuantity::BezelTop => panel.bezel_mm.top = number,
            PanelQuantity::BezelBottom => panel.bezel_mm.bottom = number,
            PanelQuantity::DesktopX => panel.desktop_px.get_or_insert_default()[0] = whole as i32,
            PanelQuantity::DesktopY => panel.desktop_px.get_or_insert_default()[1] = whole as i32,
            PanelQuantity::Tilt => panel.tilt_deg = number,
            PanelQuantity::Roll => panel.roll_deg = number,
        }
    }
}
