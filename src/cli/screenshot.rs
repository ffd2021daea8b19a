//! `screenshot`: the pattern as a picture, without a display.

use std::path::Path;
use std::process::ExitCode;

use throughline::pattern::{Guides, Pattern};
use throughline::rig::{self, PxRect, Rig};
use throughline::typeset::Typesetter;

use super::arguments::Screenshot;
use super::failure::Failure;
use super::output::Aside;
use super::{drawn_as, lines, output, png_file, rig_source};

/// Runs the command.
pub fn screenshot(arguments: &Screenshot) -> Result<ExitCode, Failure> {
    let rig_file = arguments.rig.rig.as_deref().map(Path::new);
    let lines_file = arguments.lines.as_deref();
    output::must_not_be_any_of(&arguments.out, rig_file.into_iter().chain(lines_file))?;
    if let Some(path) = lines_file {
        output::must_not_be_any_of(path, rig_file)?;
    }
    let rig = rig_source::load(&arguments.rig)?;
    let panel = match &arguments.panel {
        Some(name) => Some(panel_named(&rig, name)?),
        None => None,
    };
    let [w, h] = rig.canvas().size_px;
    let whole = PxRect { x: 0, y: 0, w, h };
    let part = panel.map_or(whole, |panel| rig.canvas().panels[panel]);

    let pattern = match &arguments.drawn_as {
        Some(program) => {
            let program = drawn_as::rig(&rig, &program.model(&rig))?;
            let guides = Guides::of(&rig);
            drawn_as::pattern(&program, &guides, arguments.layers, &mut Typesetter::new())
        }
        None => {
            let mut typesetter = Typesetter::new();
            Pattern::new(&rig, &Guides::of(&rig), arguments.layers, &mut typesetter)
        }
    };

    // Pixels of several sizes share one picture: the facing panel's are named.
    let sized = panel.unwrap_or(rig.seat().view.panel);
    let pitch_mm = rig.panels()[sized].pitch_mm();
    let rig_text = rig::write(&rig);
    let picture = Aside::write(&arguments.out, |out| {
        png_file::draw(pattern.marks(), part, &rig_text, pitch_mm, out)
    })?;
    let lines = match lines_file {
        Some(path) => Some(Aside::write(path, |out| lines::write(&rig, &pattern, out))?),
        None => None,
    };
    picture.put_in_place()?;
    if let Some(lines) = lines {
        lines.put_in_place()?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The panel with a name, or else with a number from the left.
fn panel_named(rig: &Rig, name: &str) -> Result<usize, Failure> {
    let panels = rig.panels();
    let by_number = || {
        let number = name.parse::<usize>().ok()?;
        (1..=panels.len()).contains(&number).then(|| number - 1)
    };
    panels
        .iter()
        .position(|panel| panel.name == name)
        .or_else(by_number)
        .ok_or_else(|| {
            let known: Vec<&str> = panels.iter().map(|panel| panel.name.as_str()).collect();
            Failure::new(format!(
                "this rig has no panel \"{name}\"; its panels are {}",
                known.join(", ")
            ))
        })
}
