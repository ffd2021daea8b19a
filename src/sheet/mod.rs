//! The sheet: every number of a rig that its owner types into other programs,
//! as a page to read.

mod fits;
mod names;
mod page;
mod tables;
pub(crate) mod units;
mod verdict;
mod windowed;

pub use names::seam_name;
pub use units::Units;

use crate::fit::{FlatViewsFit, Free, Improvement, SingleViewFit, WindowFit};
use crate::numbers::{self, DesktopPlace, Fov, PixelRate, SeamNumbers, ViewFrustum, ViewNumbers};
use crate::parts::words::count;
use crate::rig::Rig;
use page::Page;

/// Every number of a rig.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// Left, top, width and height of the rig's window, or of one over the whole span.
    pub window_px: [i64; 4],
    /// Of every view, from left to right.
    pub views: Vec<ViewNumbers>,
    /// The off-axis camera of every view, from left to right.
    pub frusta: Vec<ViewFrustum>,
    /// Of every seam, from left to right.
    pub seams: Vec<SeamNumbers>,
    /// Fields of view as the eye has them.
    pub fov: Fov,
    /// How much there is to draw.
    pub rate: PixelRate,
    /// Where each panel belongs on the desktop.
    pub places: Vec<Option<DesktopPlace>>,
    /// The rig as equal flat screens.
    pub flat_views: FlatViewsFit,
    /// The columns of the rig's window as equal flat screens, where it has one.
    pub window: Option<WindowFit>,
    /// The rig as one picture.
    pub single_view: SingleViewFit,
}

impl Sheet<'_> {
    /// Computes a rig's numbers; `free` says what the flat views may move.
    pub fn of(rig: &Rig, free: Free) -> Sheet<'_> {
        let views = numbers::views(rig);
        Sheet {
            rig,
            window_px: match rig.window() {
                Some(window) => window.px.map(i64::from),
                None => numbers::window_px(rig),
            },
            seams: numbers::seams(rig),
            fov: numbers::fov(rig, &views),
            views,
            frusta: numbers::frusta(rig),
            rate: numbers::pixel_rate(rig),
            places: numbers::desktop_places(rig),
            flat_views: FlatViewsFit::of(rig, free),
            window: WindowFit::of(rig, free),
            single_view: SingleViewFit::of(rig),
        }
    }

    /// The page for people, in lines of at most 80 columns: what is copied most
    /// comes first. With `explain` each number's reason stands below it.
    pub fn page(&self, units: Units, explain: bool) -> String {
        let mut page = Page::new(explain);
        page.title(self.rig.name());
        page.sentence(&format!(
            "{}, {}; {} is straight in front. Lengths are in {}, angles in degrees.",
            count(self.rig.panels().len(), "panel"),
            count(self.views.len(), "view"),
            self.rig.view_name(self.rig.seat().view),
            units.in_words(),
        ));
        match &self.window {
            Some(fit) => {
                windowed::window(self, &mut page);
                windowed::flat_views(fit, units, &mut page);
            }
            None => {
                let change = Improvement::of(self.rig, &self.flat_views);
                fits::window(self, &mut page);
                fits::flat_views(self, change, units, &mut page);
            }
        }
        fits::single_view(self, &mut page);
        tables::fov(self, &mut page);
        tables::views(self, units, &mut page);
        tables::pixels(self, units, &mut page);
        tables::frusta(self, &mut page);
        tables::seams(self, units, &mut page);
        tables::tape(self, units, &mut page);
        tables::desktop(self, units, &mut page);
        tables::rate(self, &mut page);
        page.into_text()
    }
}
