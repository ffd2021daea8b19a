//! The commands: thin shells around the library that read and write files.

mod arguments;
mod capture;
mod compare;
mod compare_report;
mod drawn_as;
mod failure;
mod lines;
mod output;
mod png_file;
mod png_source;
mod rig_source;
mod screenshot;
mod seat;
mod seat_report;
mod sheet;
mod sheet_json;
mod view_note;

pub use arguments::{Arguments, Command};
pub use compare::compare;
pub use screenshot::screenshot;
pub use seat::seat;
pub use sheet::sheet;
