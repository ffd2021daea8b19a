//! Which program's lines `show` can draw, and where its window is.

use std::str::FromStr;

use throughline::fit::DrawnAs;
use throughline::nudging::AsProgram;
use throughline::rig::{Rig, Window};

use super::program;
use crate::files::Failure;

/// Another program's window: left, top, width and height in desktop pixels, told from
/// the facing panel's top left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Outline([i32; 4]);

impl FromStr for Outline {
    type Err = String;

    fn from_str(text: &str) -> Result<Outline, String> {
        let numbers: Option<Vec<i32>> = (text.split(','))
            .map(|number| number.trim().parse().ok())
            .collect();
        numbers
            .and_then(|numbers| numbers.try_into().ok())
            .map(Outline)
            .ok_or_else(|| {
                "expected the window's left, top, width and height in whole pixels, such as \
                 -1920,0,5760,1080"
                    .to_owned()
            })
    }
}

impl Outline {
    /// The window, with the columns that the rig's own has, or else one for each view.
    fn window(self, rig: &Rig) -> Window {
        let own = rig.window().cloned();
        let own = own.unwrap_or_else(|| Window {
            px: self.0,
            columns: rig.panels().iter().map(|panel| panel.views).collect(),
            ahead: None,
        });
        Window { px: self.0, ..own }
    }
}

/// What the command line says of the program.
#[derive(Debug, Clone, Copy)]
pub(super) struct TypedProgram {
    /// Its numbers.
    pub drawn_as: Option<DrawnAs>,
    /// Its window.
    pub outline: Option<Outline>,
}

impl TypedProgram {
    /// The program whose lines can be shown, known to be able to draw them; they are
    /// shown from the start where the command line asks for it.
    pub(super) fn program(self, rig: &Rig) -> Result<Option<AsProgram>, Failure> {
        let is_on = self.drawn_as.is_some() || self.outline.is_some();
        if !is_on && rig.window().is_none() {
            return Ok(None);
        }
        let drawn_as = self.drawn_as.unwrap_or_default();
        let program = match self.outline {
            Some(outline) => drawn_as.program(&windowed(rig, outline)?),
            None => drawn_as.program(rig),
        };
        match program::drawing(rig, &program) {
            Ok(_) => Ok(Some(AsProgram { program, is_on })),
            // Nobody has asked for it yet.
            Err(_) if !is_on => Ok(None),
            Err(failure) => Err(failure),
        }
    }
}

/// The rig with the outlined window as its program's.
fn windowed(rig: &Rig, outline: Outline) -> Result<Rig, Failure> {
    let mut parts = rig.parts().clone();
    parts.window = Some(outline.window(rig));
    Rig::new(parts).map_err(|flaw| Failure::new(format!("--outline: {}", flaw.text)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use throughline::fit::Program;
    use throughline::rig::{demos, read};

    #[test]
    fn four_whole_numbers_are_an_outline() {
        assert_eq!(
            "-1920, 0,5760,1080".parse(),
            Ok(Outline([-1920, 0, 5760, 1080]))
        );
        for wrong in [
            "",
            "1,2,3",
            "1,2,3,4,5",
            "0,0,1e3,5",
            "0;0;5;5",
            "0,0,99999999999,5",
        ] {
            let error = wrong.parse::<Outline>().expect_err(wrong);
            assert!(error.contains("left, top, width and height"), "{error}");
        }
    }

    #[test]
    fn an_outline_has_a_column_for_each_view_or_the_windows_own() {
        let typed = |outline: &str| TypedProgram {
            drawn_as: None,
            outline: Some(outline.parse().expect("four numbers")),
        };
        let own = [
            ("window.px", "[-1920, 0, 5760, 643]"),
            ("window.columns", "[1, 2, 1]"),
        ];
        let own = own.map(|(key, value)| (key.to_owned(), value.to_owned()));
        for (settings, columns) in [(&[][..], [1, 1, 1]), (&own[..], [1, 2, 1])] {
            let rig = read(demos()[1].text, "tram-cab", settings).expect("a sound demo");
            let shown = typed("-1900,0,5700,600")
                .program(&rig)
                .expect("it can be drawn");
            let Some(AsProgram {
                program: Program::Window(window, _),
                is_on: true,
            }) = shown
            else {
                panic!("a window is shown");
            };
            assert_eq!(window.px, [-1900, 0, 5700, 600]);
            assert_eq!(window.columns, columns);
            let beside = typed("9000,0,500,500")
                .program(&rig)
                .expect_err("it lies beside");
            assert!(
                beside.to_string().contains("shows nothing on panel"),
                "{beside}"
            );
            let unasked = TypedProgram {
                drawn_as: None,
                outline: None,
            };
            let available = unasked.program(&rig).expect("nothing is asked for");
            assert_eq!(
                available.map(|shown| shown.is_on),
                rig.window().map(|_| false)
            );
        }
    }
}
