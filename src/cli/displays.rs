//! `displays`: what is connected.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use serde::Serialize;
use throughline::display::Display;
use throughline::rig;
use throughline::starter;

use crate::desktop;
use crate::files::{Aside, Failure, Files, print, print_words, tell};

/// The arguments of `displays`.
#[derive(Debug, Args)]
pub(crate) struct Displays {
    /// Also write a first rig file for them, whose comments tell what to measure
    #[arg(long, value_name = "RIG")]
    pub out: Option<PathBuf>,

    /// Write the list as JSON
    #[arg(long)]
    pub json: bool,

    /// Overwrite the rig file if there is one
    #[arg(long, requires = "out")]
    pub force: bool,
}

#[derive(Serialize)]
struct Entry<'a> {
    name: &'a str,
    position_px: [i32; 2],
    size_px: [u32; 2],
    mode_px: Option<[u32; 2]>,
    scale: f64,
    refresh_hz: Option<f64>,
    size_mm: Option<[f64; 2]>,
    primary: bool,
    model: Option<&'a str>,
    hdr: Option<bool>,
    variable_hz: Option<[f64; 2]>,
}

/// Runs the command.
pub(crate) fn displays(arguments: &Displays) -> Result<ExitCode, Failure> {
    let mut displays = desktop::connected().map_err(Failure::new)?;
    displays.sort_by_key(|display| display.position_px);
    let starter = match &arguments.out {
        Some(path) => Some((path, write_starter(&displays, path, arguments.force)?)),
        None => None,
    };
    if arguments.json {
        print(&json(&displays))?;
    } else {
        print_words(&table(&displays))?;
    }
    displays.iter().filter_map(resampled).for_each(tell);
    if let Some((path, starter)) = starter {
        starter.put_in_place()?;
        tell(format!(
            "wrote {}; its comments tell what to measure",
            path.display()
        ));
    }
    Ok(ExitCode::SUCCESS)
}

/// What is said of a display that shows no pixel as it is.
fn resampled(display: &Display) -> Option<String> {
    let [w, h] = display.resampled_to_px()?;
    Some(format!(
        "display \"{}\" is driven with {w} x {h} px, so its picture is not pixel for pixel; set \
         that display's own resolution, and a scale of 100 %",
        display.name
    ))
}

/// Writes a first rig file aside.
fn write_starter(displays: &[Display], path: &Path, force: bool) -> Result<Aside, Failure> {
    // A broken link counts as well: something stands there by that name.
    if !force && path.symlink_metadata().is_ok() {
        return Err(Failure::new(format!(
            "{} exists already: choose another name, or say --force to overwrite it",
            path.display()
        )));
    }
    let starter = starter::starter_rig(displays).map_err(Failure::new)?;
    let text = starter::text(&starter);
    rig::read(&text, "the starter rig", &[]).map_err(Failure::new)?;
    Aside::write(&Files::new().output(path)?, |out| {
        out.write_all(text.as_bytes())
    })
}

fn json(displays: &[Display]) -> String {
    let entries: Vec<_> = displays
        .iter()
        .map(|display| Entry {
            name: &display.name,
            position_px: display.position_px,
            size_px: display.size_px,
            mode_px: display.mode_px,
            scale: display.scale,
            refresh_hz: display.refresh_hz,
            size_mm: display.size_mm,
            primary: display.is_primary,
            model: display.features.model.as_deref(),
            hdr: display.features.is_hdr,
            variable_hz: display.features.variable_hz,
        })
        .collect();
    // Plain data of this kind always has a JSON form.
    serde_json::to_string_pretty(&entries).unwrap_or_default() + "\n"
}

fn table(displays: &[Display]) -> String {
    let header = [
        "name",
        "position px",
        "size px",
        "scale",
        "refresh Hz",
        "claimed mm",
        "model",
        "",
    ];
    let mut rows = vec![header.map(str::to_owned)];
    for display in displays {
        let [x, y] = display.position_px;
        let [w, h] = display.size_px;
        rows.push([
            display.name.clone(),
            format!("{x}, {y}"),
            format!("{w} x {h}"),
            format!("{}", display.scale),
            display
                .refresh_hz
                .map_or("unknown".to_owned(), |hz| format!("{hz:.3}")),
            display
                .size_mm
                .map_or("unknown".to_owned(), |[w, h]| format!("{w} x {h}")),
            display
                .features
                .model
                .clone()
                .unwrap_or("unknown".to_owned()),
            remarks(display),
        ]);
    }
    aligned(&rows)
}

/// What is worth a word of a display beside its numbers.
fn remarks(display: &Display) -> String {
    let variable = display.features.variable_hz;
    let remarks = [
        display.is_primary.then(|| "primary".to_owned()),
        (display.features.is_hdr == Some(true)).then(|| "HDR on".to_owned()),
        variable.map(|[from, to]| format!("variable from {from} to {to} Hz")),
    ];
    remarks.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// Columns as wide as their widest cell, two spaces between them.
fn aligned<const N: usize>(rows: &[[String; N]]) -> String {
    let widths: [usize; N] = std::array::from_fn(|column| {
        let cells = rows.iter().map(|row| row[column].chars().count());
        cells.max().unwrap_or(0)
    });
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for (cell, &width) in row.iter().zip(&widths) {
            line.push_str(&format!("{cell:<width$}  "));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_known_of_few_displays_is_said_of_them() {
        let mut display = Display {
            name: "DISPLAY1".to_owned(),
            position_px: [0, 0],
            size_px: [2560, 1440],
            mode_px: None,
            scale: 1.0,
            refresh_hz: Some(143.973),
            size_mm: Some([597.0, 336.0]),
            is_primary: false,
            features: Default::default(),
        };
        let last = |display: &Display| {
            let table = table(std::slice::from_ref(display));
            table.lines().last().map(str::to_owned)
        };
        let plain = "DISPLAY1  0, 0         2560 x 1440  1      143.973     597 x 336   unknown";
        assert_eq!(last(&display).as_deref(), Some(plain));
        display.is_primary = true;
        display.features = throughline::display::Features {
            model: Some("Loft 27".to_owned()),
            is_hdr: Some(true),
            variable_hz: Some([48.0, 144.0]),
        };
        let known = plain.replace(
            "unknown",
            "Loft 27  primary, HDR on, variable from 48 to 144 Hz",
        );
        assert_eq!(last(&display).as_deref(), Some(known.as_str()));
        let json = json(&[display]);
        let list: serde_json::Value = serde_json::from_str(&json).expect("JSON");
        assert_eq!(list[0]["model"], "Loft 27");
        assert_eq!(list[0]["hdr"], true);
        assert_eq!(list[0]["variable_hz"], serde_json::json!([48.0, 144.0]));
    }

    #[test]
    fn a_display_driven_with_another_size_is_told_of() {
        let mut display = Display {
            name: "A".to_owned(),
            position_px: [0, 0],
            size_px: [1600, 900],
            mode_px: None,
            scale: 1.0,
            refresh_hz: None,
            size_mm: None,
            is_primary: true,
            features: Default::default(),
        };
        assert_eq!(resampled(&display), None);
        display.mode_px = Some([1600, 900]);
        assert_eq!(resampled(&display), None);
        display.mode_px = Some([1280, 720]);
        let told = resampled(&display).expect("told");
        assert!(told.starts_with("display \"A\" is driven with 1280 x 720 px"));
    }
}
