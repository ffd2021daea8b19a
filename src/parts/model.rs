//! The rig's parts, as plain data.

use super::unit::MM_PER_INCH;
use super::window::Window;

/// Everything a rig file says, unchecked: turn it into a
/// [`Rig`](crate::rig::Rig) to use it.
#[derive(Debug, Clone, PartialEq)]
pub struct Parts {
    /// What the owner calls the rig.
    pub name: String,
    /// Where the eye is.
    pub seat: Seat,
    /// From left to right.
    pub panels: Vec<Panel>,
    /// Seam `n` joins panel `n` and panel `n + 1`.
    pub seams: Vec<Seam>,
    /// Where the program draws that the rig is for; `None` is the whole canvas, cut
    /// into the views.
    pub window: Option<Window>,
}

/// One view of one panel: an equal share of its columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ViewId {
    /// Index into the panels, from 0 at the left.
    pub panel: usize,
    /// Index into that panel's views, from 0 at the left.
    pub view: u32,
}

/// Where the eye is, told from the view it faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// The view straight in front.
    pub view: ViewId,
    /// Eye to that view's middle, along the level line that meets it square in plan.
    pub distance_mm: f64,
    /// Eye above that view's middle.
    pub height_mm: f64,
    /// Eye to the right of that view's middle.
    pub offset_mm: f64,
}

/// How the lit area's size was given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// Diagonal in inches; pixels are square.
    DiagonalIn(f64),
    /// Width (along the surface) and height in millimetres.
    LitMm([f64; 2]),
}

/// Lit edge to case edge, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bezel {
    /// At the viewer's left.
    pub left: f64,
    /// At the viewer's right.
    pub right: f64,
    /// Above.
    pub top: f64,
    /// Below.
    pub bottom: f64,
}

/// One display surface on the desk.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Unique among the panels.
    pub name: String,
    /// Columns and rows.
    pub pixels: [u32; 2],
    /// Size of the lit area.
    pub size: Size,
    /// Radius of the concave surface; `None` for a flat one.
    pub curve_radius_mm: Option<f64>,
    /// Equal columns that a program draws as screens of their own.
    pub views: u32,
    /// Refresh rate, where known.
    pub refresh_hz: Option<f64>,
    /// The desktop's scale factor on this panel.
    pub scale: f64,
    /// Lit edge to case edge.
    pub bezel_mm: Bezel,
    /// Top-left corner in the virtual desktop: given for all panels or for none.
    pub desktop_px: Option<[i32; 2]>,
    /// Top leans away from the viewer: positive.
    pub tilt_deg: f64,
    /// Counter-clockwise as the viewer sees it: positive.
    pub roll_deg: f64,
}

impl Panel {
    /// A flat upright panel without bezels, of which nothing else is known.
    pub fn new(name: impl Into<String>, pixels: [u32; 2], size: Size) -> Panel {
        Panel {
            name: name.into(),
            pixels,
            size,
            curve_radius_mm: None,
            views: 1,
            refresh_hz: None,
            scale: 1.0,
            bezel_mm: Bezel::default(),
            desktop_px: None,
            tilt_deg: 0.0,
            roll_deg: 0.0,
        }
    }

    /// Lit width (along the surface) and height in millimetres.
    pub fn size_mm(&self) -> [f64; 2] {
        match self.size {
            Size::LitMm(size) => size,
            Size::DiagonalIn(diagonal) => {
                let [w, h] = self.pixels.map(f64::from);
                let mm_per_px = diagonal * MM_PER_INCH / w.hypot(h);
                [w * mm_per_px, h * mm_per_px]
            }
        }
    }

    /// Width and height of one pixel in millimetres.
    pub fn pitch_mm(&self) -> [f64; 2] {
        let [w, h] = self.size_mm();
        [w / f64::from(self.pixels[0]), h / f64::from(self.pixels[1])]
    }

    /// Turn of the surface's tangent from a view's middle to its edge, in
    /// radians: 0 for a flat panel.
    pub fn half_view_rad(&self) -> f64 {
        match self.curve_radius_mm {
            Some(radius) => self.size_mm()[0] / f64::from(self.views) / (2.0 * radius),
            None => 0.0,
        }
    }
}

/// How a seam's turn was given, in degrees; positive folds the right-hand panel in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Turn {
    /// Between the facings of the two adjoining views.
    AngleDeg(f64),
    /// Between the surfaces' tangents at the adjoining lit edges.
    FoldDeg(f64),
}

/// Where two neighbouring panels meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seam {
    /// The turn from the left panel to the right one.
    pub turn: Turn,
    /// Between the two cases; negative where one stands in front of the other.
    pub gap_mm: f64,
    /// The right-hand panel's edge nearer the viewer: positive.
    pub step_mm: f64,
    /// The right-hand panel's middle above the left-hand one's: positive.
    pub rise_mm: f64,
    /// Canvas columns that the display driver hides behind this seam.
    pub hidden_px: u32,
}

impl Seam {
    /// Cases that touch, level and without a step; nothing is hidden.
    pub fn new(turn: Turn) -> Seam {
        Seam {
            turn,
            gap_mm: 0.0,
            step_mm: 0.0,
            rise_mm: 0.0,
            hidden_px: 0,
        }
    }
}

impl Parts {
    /// Turn between the surfaces' tangents at the lit edges that adjoin seam
    /// `seam`, in radians; positive folds the right-hand panel in.
    ///
    /// # Panics
    ///
    /// Where there is no such seam or no panel on one of its sides.
    pub fn fold_rad(&self, seam: usize) -> f64 {
        match self.seams[seam].turn {
            Turn::FoldDeg(fold) => fold.to_radians(),
            Turn::AngleDeg(angle) => angle.to_radians() - self.bend_rad(seam),
        }
    }

    /// Turn between the facings of the two views that adjoin seam `seam`, in
    /// radians; positive folds the right-hand panel in.
    ///
    /// # Panics
    ///
    /// Where there is no such seam or no panel on one of its sides.
    pub fn angle_rad(&self, seam: usize) -> f64 {
        match self.seams[seam].turn {
            Turn::AngleDeg(angle) => angle.to_radians(),
            Turn::FoldDeg(fold) => fold.to_radians() + self.bend_rad(seam),
        }
    }

    /// What the curves of the two adjoining views add to the fold.
    fn bend_rad(&self, seam: usize) -> f64 {
        self.panels[seam].half_view_rad() + self.panels[seam + 1].half_view_rad()
    }
}
