//! Finds the rig that a command works on.

use std::path::{Path, PathBuf};

use clap::Args;
use throughline::rig::{self, Rig, demos};

use crate::files::{Failure, Files, Source, tell};

/// Which rig a command works on.
#[derive(Debug, Args)]
pub(crate) struct RigArguments {
    /// A rig file, or a built-in demo: rally-loft, tram-cab, ferry-bridge, night-train
    #[arg(value_name = "RIG")]
    pub rig: Option<PathBuf>,

    /// Override a value of the rig, such as seat.distance_mm=650,
    /// panel.door.tilt_deg=2 or seam.1.angle_deg=44; can be repeated
    #[arg(long = "set", value_name = "PATH=VALUE", value_parser = setting)]
    pub settings: Vec<(String, String)>,
}

/// A path and a value with an equals sign between.
pub(super) fn setting(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((path, value)) if !path.trim().is_empty() => {
            Ok((path.trim().to_owned(), value.trim().to_owned()))
        }
        _ => Err("expected PATH=VALUE, such as seat.distance_mm=650".to_owned()),
    }
}

/// Reads the rig named on the command line, or the default demo, and says so.
pub(super) fn load(arguments: &RigArguments, files: &mut Files) -> Result<Rig, Failure> {
    let source = source(arguments, files)?;
    rig::read(&source.text, &source.name, &arguments.settings).map_err(Failure::new)
}

/// Reads a rig file, or the demo of that name, with settings from an option.
pub(super) fn load_named(
    name: &Path,
    settings: &[(String, String)],
    option: &'static str,
    files: &mut Files,
) -> Result<Rig, Failure> {
    let source = Source::named(name, files)?;
    rig::read(&source.text, &source.name, settings)
        .map_err(|error| Failure::new(error.with_option(option)))
}

/// Reads the text of the rig named on the command line, or of the default demo,
/// and says so.
pub(super) fn source(arguments: &RigArguments, files: &mut Files) -> Result<Source, Failure> {
    let default = &demos()[0];
    let name = arguments.rig.as_deref().unwrap_or_else(|| {
        tell(format!(
            "no rig named, so this is the built-in demo \"{}\": {}",
            default.name, default.about
        ));
        Path::new(default.name)
    });
    Source::named(name, files)
}
