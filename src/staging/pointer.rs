//! The mouse: where it points, what it drags, how far it scrolled.

use crate::nudging::Hover;

/// Rows that the mouse is dragged for one fine step.
const DRAG_ROWS: f64 = 8.0;
/// Rows that a touchpad scrolls for one fine step.
const SCROLL_ROWS: f64 = 20.0;

/// A place of the mouse's pointer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointerAt<W> {
    /// The window that it is told in; `None` for a place in the desktop.
    pub window: Option<W>,
    /// Column and row, in pixels.
    pub at_px: [f64; 2],
}

/// How far a wheel or a touchpad scrolled, up or away from the person.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scroll {
    /// Notches of a wheel: one is a fine step.
    Lines(f64),
    /// Rows of pixels.
    Rows(f64),
}

/// What is known of the mouse. `W` tells windows apart.
#[derive(Debug, Clone, Copy)]
pub struct Pointer<W> {
    place: Option<PointerAt<W>>,
    /// What it points at.
    pub hover: Option<Hover>,
    /// The row up to which the drag has been made steps of.
    dragged_to: Option<f64>,
    /// What was scrolled, in steps, and has not come to one yet.
    scrolled: f64,
}

/// A mouse that nothing was told of yet.
impl<W> Default for Pointer<W> {
    fn default() -> Pointer<W> {
        Pointer {
            place: None,
            hover: None,
            dragged_to: None,
            scrolled: 0.0,
        }
    }
}

impl<W: Copy + PartialEq> Pointer<W> {
    /// Takes the place that it is told to be at. Gives whether that is a
    /// movement: it is told anew when a window comes or gets the keyboard, and
    /// places in two windows can't be compared.
    pub fn told(&mut self, now: PointerAt<W>) -> bool {
        let before = self.place.replace(now);
        before.is_some_and(|before| before != now && before.window == now.window)
    }

    /// Begins a drag. Gives whether one began: not while the place is unknown.
    pub fn press(&mut self) -> bool {
        self.dragged_to = self.place.map(|place| place.at_px[1]);
        self.dragged_to.is_some()
    }

    /// Ends a drag. Gives whether there was one.
    pub fn release(&mut self) -> bool {
        self.dragged_to.take().is_some()
    }

    /// The whole fine steps, upwards, that the drag has come to since the last.
    pub fn drag_steps(&mut self) -> f64 {
        let Some((from, place)) = self.dragged_to.zip(self.place) else {
            return 0.0;
        };
        let steps = ((from - place.at_px[1]) / DRAG_ROWS).trunc();
        self.dragged_to = Some(from - steps * DRAG_ROWS);
        steps
    }

    /// The whole fine steps, upwards, that scrolling has come to since the last.
    pub fn scroll_steps(&mut self, by: Scroll) -> f64 {
        self.scrolled += match by {
            Scroll::Lines(lines) => lines,
            Scroll::Rows(rows) => rows / SCROLL_ROWS,
        };
        let steps = self.scrolled.trunc();
        self.scrolled -= steps;
        steps
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn desktop(x: f64, y: f64) -> PointerAt<u8> {
        PointerAt {
            window: None,
            at_px: [x, y],
        }
    }

    fn window(id: u8, x: f64, y: f64) -> PointerAt<u8> {
        PointerAt {
            window: Some(id),
            at_px: [x, y],
        }
    }

    #[test]
    fn only_another_place_is_a_movement() {
        let mut pointer = Pointer::default();
        assert!(!pointer.told(desktop(5.0, 5.0)), "the first report");
        assert!(!pointer.told(desktop(5.0, 5.0)), "a repeated one");
        assert!(pointer.told(desktop(5.0, 6.0)));
        assert!(!pointer.told(desktop(5.0, 6.0)));
    }

    #[test]
    fn places_in_two_windows_are_not_compared() {
        let mut pointer = Pointer::default();
        pointer.told(window(1, 5.0, 5.0));
        assert!(!pointer.told(window(2, 90.0, 5.0)));
        assert!(pointer.told(window(2, 91.0, 5.0)));
        assert!(!pointer.told(desktop(1000.0, 5.0)));
    }

    #[test]
    fn a_drag_of_eight_rows_is_a_step_and_the_rest_is_kept() {
        let mut pointer = Pointer::default();
        pointer.told(desktop(0.0, 100.0));
        assert!(pointer.press());
        let mut steps_at = |y| {
            pointer.told(desktop(0.0, y));
            pointer.drag_steps()
        };
        assert_eq!(steps_at(93.0), 0.0);
        assert_eq!(steps_at(92.0), 1.0, "upwards counts up");
        assert_eq!(steps_at(85.0), 0.0);
        assert_eq!(steps_at(67.0), 3.0);
        // From the row of the last step, and not from where it turned round.
        assert_eq!(steps_at(75.0), 0.0);
        assert_eq!(steps_at(76.0), -1.0);
    }

    #[test]
    fn there_is_no_drag_before_a_place_is_known_or_after_its_end() {
        let mut pointer = Pointer::default();
        assert!(!pointer.press());
        assert!(!pointer.release());
        pointer.told(desktop(0.0, 100.0));
        assert!(pointer.press());
        assert!(pointer.release());
        assert!(!pointer.release());
        pointer.told(desktop(0.0, 20.0));
        assert_eq!(pointer.drag_steps(), 0.0);
    }

    #[test]
    fn scrolling_comes_to_whole_steps_and_keeps_the_rest() {
        let mut pointer = Pointer::<u8>::default();
        assert_eq!(pointer.scroll_steps(Scroll::Lines(1.0)), 1.0);
        assert_eq!(pointer.scroll_steps(Scroll::Lines(-2.0)), -2.0);
        assert_eq!(pointer.scroll_steps(Scroll::Rows(15.0)), 0.0);
        assert_eq!(pointer.scroll_steps(Scroll::Rows(15.0)), 1.0);
        assert_eq!(pointer.scroll_steps(Scroll::Rows(10.0)), 1.0);
        assert_eq!(pointer.scroll_steps(Scroll::Rows(-19.0)), 0.0);
        assert_eq!(pointer.scroll_steps(Scroll::Rows(-1.0)), -1.0);
    }
}
