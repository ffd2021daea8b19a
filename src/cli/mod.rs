//! The commands: thin shells around the library that read and write files.

mod arguments;
mod capture;
mod check;
mod compare;
mod compare_report;
mod displays;
pub mod drawn_as;
pub mod failure;
mod lines;
pub mod output;
pub mod png_file;
mod png_source;
mod rig_source;
mod screenshot;
mod seat;
mod seat_report;
mod sheet;
mod sheet_json;
mod show;
mod view_note;

pub use arguments::{Arguments, Command};
pub use check::check;
pub use compare::compare;
pub use displays::displays;
pub use screenshot::screenshot;
pub use seat::seat;
pub use sheet::sheet;
pub use show::show;
