//! The lines as a program with one camera a screen draws them, instead of the rig's own.

use super::{Console, Mode, Request};
use crate::fit::Program;
use crate::nudging::as_program::{AsProgram, NONE};

impl Console {
    /// The same with a program whose lines can be looked at.
    pub fn with_program(self, program: Option<AsProgram>) -> Console {
        Console { program, ..self }
    }

    /// The program whose lines are to be seen, where any is: what checks the glass, what
    /// is read and what moves are the rig's own.
    pub fn program(&self) -> Option<&Program> {
        self.as_program().map(|shown| &shown.program)
    }

    /// The same with its words.
    pub(in crate::nudging) fn as_program(&self) -> Option<&AsProgram> {
        let is_own = matches!(self.mode, Mode::Walk(_) | Mode::Moving(_));
        self.program.as_ref().filter(|shown| shown.is_on && !is_own)
    }

    /// Shows its lines, or the rig's own again.
    pub(super) fn change_program(&mut self) -> Option<Request> {
        match &mut self.program {
            Some(shown) => {
                shown.is_on = !shown.is_on;
                if !shown.is_on {
                    self.message = Some("the rig's own lines; P shows the program's".to_owned());
                }
                Some(Request::Ladders)
            }
            None => {
                self.message = Some(NONE.to_owned());
                Some(Request::Words)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::DrawnAs;
    use crate::nudging::keys::Key;
    use crate::nudging::main_box;
    use crate::nudging::nudge::Nudging;
    use crate::pattern::Layers;
    use crate::rig::{demos, read};

    fn console(px: &str, is_on: bool) -> Console {
        let settings = [("window.px", px), ("window.columns", "[1, 1, 1]")];
        let settings = settings.map(|(key, value)| (key.to_owned(), value.to_owned()));
        let rig = read(demos()[1].text, "tram-cab", &settings).expect("a sound demo");
        let program = DrawnAs::default().program(&rig);
        let nudging = Nudging::new(rig, Layers::ALL);
        Console::new(nudging, Vec::new()).with_program(Some(AsProgram { program, is_on }))
    }

    fn words(console: &Console) -> String {
        format!("{:?}", main_box(console, None, false, "", &[]))
    }

    #[test]
    fn p_shows_the_programs_lines_and_the_rigs_own_again() {
        let mut console = console("[-1920, 0, 5760, 643]", false);
        assert_eq!(console.program(), None);
        assert_eq!(console.press(Key::Char('p')), Some(Request::Ladders));
        assert!(matches!(console.program(), Some(Program::Window(..))));
        let said = words(&console);
        assert!(said.contains("window at -1920, 0, 5760 x 643 px"), "{said}");
        assert!(said.contains("Nudges don't move them"), "{said}");
        // Lines that are read are the rig's own, and no key of theirs is lost.
        assert_eq!(console.press(Key::Char('w')), Some(Request::Ladders));
        assert_eq!(console.program(), None);
        assert_eq!(console.press(Key::Char('p')), None);
        assert_eq!(console.press(Key::Escape), Some(Request::Ladders));
        assert!(console.program().is_some());
        assert_eq!(console.press(Key::Char('p')), Some(Request::Ladders));
        assert_eq!(console.program(), None);
        assert!(!words(&console).contains("5760"));
    }

    #[test]
    fn without_a_window_p_says_how_to_come_by_one() {
        let mut console = console("[-1920, 0, 5760, 643]", true).with_program(None);
        assert_eq!(console.press(Key::Char('p')), Some(Request::Words));
        let message = console.message().expect("it says something");
        assert!(message.contains("throughline place") && message.contains("--outline"));
    }

    /// A window that lies too far right shows the program's ahead too far left, and the
    /// picture is turned to the right for it.
    #[test]
    fn the_turn_is_told_to_its_side() {
        for (left, side) in [(-1820, "left"), (-2020, "right")] {
            let px = format!("[{left}, 0, 5760, 643]");
            let console = console(&px, true);
            let Some(Program::Window(window, model)) = console.program() else {
                panic!("it is shown");
            };
            // Where the program has its ahead, on the facing panel's glass.
            let rig = console.nudging.now();
            let surface = rig.layout().surfaces()[1];
            let ahead = f64::from(window.px[0]) + f64::from(window.px[2]) / 2.0;
            let seen = crate::geometry::azimuth(surface.point_px(ahead, 321.5));
            assert!(seen * model.turn_rad > 0.0, "{seen} {}", model.turn_rad);
            let to_the = if seen > 0.0 {
                "to the right"
            } else {
                "to the left"
            };
            let said = words(&console);
            assert!(said.contains(to_the), "{side} {said}");
        }
    }
}
