//! Files: reading them, writing them whole or not at all, and what is said at the
//! terminal. The only part of the program that touches a disk.

mod failure;
#[cfg(feature = "desktop")]
mod journal;
mod output;
pub mod png_file;
pub mod png_source;
#[cfg(feature = "desktop")]
mod presented;
mod rig_file;
#[cfg(feature = "desktop")]
mod store;

pub use failure::{Failure, tell};
pub use output::{Aside, must_not_be_any_of, print, to_stdout};
#[cfg(feature = "desktop")]
pub use presented::{write_numbered, write_presented};
pub use rig_file::Source;
#[cfg(feature = "desktop")]
pub use store::Store;
