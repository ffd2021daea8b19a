//! The commands: thin shells around the library that read and write files.

mod arguments;
mod check;
mod displays;
pub mod failure;
mod lines;
pub mod output;
pub mod png_file;
mod rig_source;
mod screenshot;
mod show;

pub use arguments::{Arguments, Command};
pub use check::check;
pub use displays::displays;
pub use screenshot::screenshot;
pub use show::show;
