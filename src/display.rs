//! What a system reports about one connected display.

/// Difference of scale factors that is no more than rounding.
pub const SAME_SCALE: f64 = 1e-3;

/// A connected display, as plain data.
///
/// Displays are what the system reports, panels what stands on the desk: two
/// displays can tile one panel, and one display can carry several panels.
#[derive(Debug, Clone, PartialEq)]
pub struct Display {
    /// What the system calls it, such as the connector's name.
    pub name: String,
    /// Its top-left corner in the virtual desktop: x to the right, y down.
    pub position_px: [i32; 2],
    /// Columns and rows of the desktop that it shows.
    pub size_px: [u32; 2],
    /// Columns and rows that it is driven with, as it is turned, where the system
    /// tells them apart from [`size_px`](Display::size_px): a server can fit an area
    /// of the desktop into a mode of another size.
    pub mode_px: Option<[u32; 2]>,
    /// The desktop's scale factor on it.
    pub scale: f64,
    /// Refresh rate of its current mode, where the system tells it.
    pub refresh_hz: Option<f64>,
    /// Width and height as the display itself claims, where the system passes
    /// that on. A hint, never a measurement: such claims are often rounded to
    /// whole centimetres, or those of another model.
    pub size_mm: Option<[f64; 2]>,
    /// Whether the system calls it the primary one. No display is, where the
    /// system knows no such thing.
    pub is_primary: bool,
    /// What else is known of it.
    pub features: Features,
}

/// What some systems tell of a display beside what every one does.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Features {
    /// What the display calls itself.
    pub model: Option<String>,
    /// Whether it is driven with high dynamic range.
    pub is_hdr: Option<bool>,
    /// Lowest and highest refresh rate between which, by its own claim, it takes any.
    pub variable_hz: Option<[f64; 2]>,
}

impl Display {
    /// The mode that it is driven with, where that is of another size than the area
    /// that it shows: then no pixel of a picture is a pixel of the display.
    pub fn resampled_to_px(&self) -> Option<[u32; 2]> {
        self.mode_px.filter(|mode| *mode != self.size_px)
    }

    /// The first column to the right of it.
    pub fn right_px(&self) -> i64 {
        i64::from(self.position_px[0]) + i64::from(self.size_px[0])
    }

    /// The first row below it.
    pub fn bottom_px(&self) -> i64 {
        i64::from(self.position_px[1]) + i64::from(self.size_px[1])
    }
}
