//! The commands: thin shells around the library that read and write files.

mod arguments;
mod failure;
mod lines;
mod output;
mod png_file;
mod rig_source;
mod screenshot;
mod sheet;
mod sheet_json;

pub use arguments::{Arguments, Command};
pub use screenshot::screenshot;
pub use sheet::sheet;
