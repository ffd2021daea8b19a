//! One window of the pattern: over all displays, or over one of them.

use std::sync::Arc;
use std::time::Instant;

use throughline::display::Display;
use throughline::glass::{Glass, Notice, Piece};
use throughline::matching::Placement;
use throughline::rig::PxRect;
use winit::window::Window;

use super::adapter::Adapters;
use super::presenter::{PresentError, Presenter};

/// A window, its surface and its picture.
pub(super) struct Pane {
    /// The window.
    pub window: Arc<Window>,
    /// Its surface.
    pub presenter: Presenter,
    /// Its picture.
    pub glass: Glass,
    /// The one screen that it covers, where it is meant for one.
    pub screen: Option<usize>,
    /// Whether a frame was shown.
    pub is_shown: bool,
    /// When it was opened.
    pub opened: Instant,
    at_px: Option<[i32; 2]>,
    screens: Vec<(usize, [i64; 2])>,
}

impl Pane {
    /// A pane with nothing on it yet.
    ///
    /// # Errors
    ///
    /// Where nothing can be drawn into the window.
    pub(super) fn new(
        window: Window,
        screen: Option<usize>,
        adapters: &mut Adapters,
    ) -> Result<Pane, PresentError> {
        let window = Arc::new(window);
        let presenter = Presenter::new(Arc::clone(&window), adapters)?;
        Ok(Pane {
            window,
            glass: Glass::new(presenter.size_px(), Vec::new(), Vec::new()),
            presenter,
            screen,
            is_shown: false,
            opened: Instant::now(),
            at_px: None,
            screens: Vec::new(),
        })
    }

    /// Where the window's picture begins in the virtual desktop, where the
    /// system tells it.
    pub(super) fn position(&self) -> Option<[i32; 2]> {
        self.window.inner_position().ok().map(|at| [at.x, at.y])
    }

    /// Where it began when its picture was laid out.
    pub(super) fn laid_out_at(&self) -> Option<[i32; 2]> {
        self.at_px
    }

    /// Whether the window has moved or grown since the picture was laid out.
    pub(super) fn has_moved(&self) -> bool {
        self.position() != self.at_px || self.presenter.window_size_px() != self.size_px()
    }

    /// Columns and rows of the picture.
    pub(super) fn size_px(&self) -> [u32; 2] {
        self.glass.size_px()
    }

    /// Lays the picture out for the window as it stands now. `idle` makes the
    /// words on a screen that no panel claims, for its area in the window.
    ///
    /// # Errors
    ///
    /// Where the window is larger than the adapter draws.
    pub(super) fn lay_out(
        &mut self,
        screens: &[Display],
        placement: &Placement,
        mut idle: impl FnMut(&str, PxRect) -> Option<Notice>,
    ) -> Result<(), PresentError> {
        let size = self.presenter.window_size_px();
        if size != self.presenter.size_px() {
            self.presenter.resize(size)?;
        }
        self.at_px = self.position();
        self.screens = self.screens_in_window(screens);
        let whole = PxRect {
            x: 0,
            y: 0,
            w: size[0],
            h: size[1],
        };
        let mut pieces = Vec::new();
        let mut notices = Vec::new();
        for &(index, offset) in &self.screens {
            for tile in placement.tiles.iter().filter(|tile| tile.display == index) {
                let at = [
                    offset[0] + i64::from(tile.at_px[0]),
                    offset[1] + i64::from(tile.at_px[1]),
                ];
                if let Some((cut, at_px)) = clipped(tile.source.w, tile.source.h, at, whole) {
                    let source = PxRect {
                        x: tile.source.x + cut.x,
                        y: tile.source.y + cut.y,
                        ..cut
                    };
                    pieces.push(Piece { source, at_px });
                }
            }
            if !placement.is_claimed(index) {
                let [w, h] = screens[index].size_px;
                let area = clipped(w, h, offset, whole).map(|(cut, [x, y])| PxRect { x, y, ..cut });
                notices.extend(area.and_then(|area| idle(&screens[index].name, area)));
            }
        }
        self.glass = Glass::new(size, pieces, notices);
        Ok(())
    }

    /// The part of the window on a screen; `None` where it shows none of it.
    pub(super) fn area_of(&self, screen: usize, screens: &[Display]) -> Option<PxRect> {
        let (_, offset) = self.screens.iter().find(|(index, _)| *index == screen)?;
        let [w, h] = self.size_px();
        let whole = PxRect { x: 0, y: 0, w, h };
        let [columns, rows] = screens.get(screen)?.size_px;
        clipped(columns, rows, *offset, whole).map(|(cut, [x, y])| PxRect { x, y, ..cut })
    }

    /// The screens that the window may reach, and where they begin in it.
    fn screens_in_window(&self, screens: &[Display]) -> Vec<(usize, [i64; 2])> {
        let by_place = |at: [i32; 2]| {
            let all = screens.iter().enumerate();
            all.map(|(index, screen)| {
                let [x, y] = screen.position_px.map(i64::from);
                (index, [x - i64::from(at[0]), y - i64::from(at[1])])
            })
            .collect::<Vec<_>>()
        };
        match (self.at_px.map(by_place), self.screen) {
            (Some(found), _) => found,
            (None, Some(screen)) => vec![(screen, [0, 0])],
            (None, None) => Vec::new(),
        }
    }
}

/// The part of a rectangle at `at` that lies inside `whole`: in the rectangle's
/// own pixels, and where it begins in the whole.
fn clipped(w: u32, h: u32, at: [i64; 2], whole: PxRect) -> Option<(PxRect, [u32; 2])> {
    let axis = |length: u32, at: i64, room: u32| {
        let from = (-at).max(0);
        let to = i64::from(length).min(i64::from(room) - at);
        // Both are within the rectangle's length.
        (to > from).then(|| (from as u32, (to - from) as u32, (at + from) as u32))
    };
    let (x, w, at_x) = axis(w, at[0], whole.w)?;
    let (y, h, at_y) = axis(h, at[1], whole.h)?;
    Some((PxRect { x, y, w, h }, [at_x, at_y]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_hangs_out_of_the_window_is_cut_off() {
        let whole = PxRect {
            x: 0,
            y: 0,
            w: 100,
            h: 50,
        };
        let rect = |x, y, w, h| PxRect { x, y, w, h };
        assert_eq!(
            clipped(40, 40, [-10, 20], whole),
            Some((rect(10, 0, 30, 30), [0, 20]))
        );
        assert_eq!(
            clipped(200, 10, [-50, 45], whole),
            Some((rect(50, 0, 100, 5), [0, 45]))
        );
        assert_eq!(clipped(40, 40, [100, 0], whole), None);
        assert_eq!(clipped(40, 40, [0, -40], whole), None);
    }
}
