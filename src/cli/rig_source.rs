//! Finds the rig that a command works on.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use throughline::rig::{self, Rig, demos};

use super::arguments::RigArguments;
use super::failure::Failure;

/// Reads the rig named on the command line, or the default demo, and says so.
pub fn load(arguments: &RigArguments) -> Result<Rig, Failure> {
    let default = &demos()[0];
    let name = arguments.rig.as_deref().unwrap_or_else(|| {
        eprintln!(
            "throughline: no rig named, so this is the built-in demo \"{}\": {}",
            default.name, default.about
        );
        default.name
    });
    load_named(name, &arguments.settings)
}

/// Reads a rig file, or the demo of that name, with settings.
pub fn load_named(name: &str, settings: &[(String, String)]) -> Result<Rig, Failure> {
    let text = match demos().iter().find(|demo| demo.name == name) {
        Some(demo) => demo.text.to_owned(),
        None => text_of(name)?,
    };
    rig::read(&text, name, settings).map_err(Failure::new)
}

fn text_of(name: &str) -> Result<String, Failure> {
    let path = Path::new(name);
    let file = File::open(path).map_err(|error| {
        if error.kind() == std::io::ErrorKind::NotFound {
            let known = demos()
                .iter()
                .map(|demo| demo.name)
                .collect::<Vec<_>>()
                .join(", ");
            Failure::new(format!(
                "there is no rig file {name} and no demo of that name; the demos are {known}"
            ))
        } else {
            Failure::file("read", path, &error)
        }
    })?;
    // One byte past the limit is enough to be refused for its length.
    let mut bytes = Vec::new();
    file.take(rig::MAX_TEXT_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| Failure::file("read", path, &error))?;
    String::from_utf8(bytes).map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = good.iter().filter(|&&byte| byte == b'\n').count() + 1;
        Failure::new(format!(
            "{name}:{line}: this is not UTF-8 text; save the rig file as UTF-8"
        ))
    })
}
