//! The commands: thin shells around the library that read and write files.

mod arguments;
mod displays;
mod failure;
mod lines;
mod output;
mod png_file;
mod rig_source;
mod screenshot;

pub use arguments::{Arguments, Command};
pub use displays::displays;
pub use screenshot::screenshot;
