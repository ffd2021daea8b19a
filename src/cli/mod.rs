//! The commands: thin shells around the library that read and write files.

mod arguments;
mod capture;
mod check;
mod compare;
mod compare_report;
#[cfg(feature = "desktop")]
mod displays;
mod lines;
mod program;
mod rig_source;
mod screenshot;
mod seat;
mod seat_report;
mod sheet;
mod sheet_json;
#[cfg(feature = "desktop")]
mod show;
mod view_note;

pub use arguments::{Arguments, Command};
pub use check::check;
pub use compare::compare;
#[cfg(feature = "desktop")]
pub use displays::displays;
pub use screenshot::screenshot;
pub use seat::seat;
pub use sheet::sheet;
#[cfg(feature = "desktop")]
pub use show::show;
