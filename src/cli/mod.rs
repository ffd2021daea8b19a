//! The commands: thin shells around the library that read and write files.

mod answer;
mod arguments;
mod capture;
mod check;
mod compare;
mod compare_readings;
mod compare_report;
mod completions;
#[cfg(feature = "desktop")]
mod displays;
mod examples;
mod frames;
mod lines;
mod manual;
mod measure;
mod measure_report;
#[cfg(feature = "desktop")]
mod outline;
mod place;
mod place_json;
mod program;
mod refresh;
mod rig_source;
mod rungs;
mod screenshot;
mod seat;
mod seat_report;
mod sheet;
mod sheet_files;
mod sheet_json;
#[cfg(feature = "desktop")]
mod show;
mod solve;
mod solve_report;
mod view_note;

pub(crate) use arguments::{Arguments, Command};
pub(crate) use check::check;
pub(crate) use compare::compare;
pub(crate) use completions::completions;
#[cfg(feature = "desktop")]
pub(crate) use displays::displays;
pub(crate) use frames::frames;
pub(crate) use manual::manual;
pub(crate) use measure::measure;
pub(crate) use place::place;
pub(crate) use screenshot::screenshot;
pub(crate) use seat::seat;
pub(crate) use sheet::sheet;
#[cfg(feature = "desktop")]
pub(crate) use show::show;
pub(crate) use solve::solve;
