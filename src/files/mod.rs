//! Files: reading them, writing them whole or not at all, and what is said at the
//! terminal. The only part of the program that touches a disk.

#[cfg(feature = "desktop")]
mod beside;
mod failure;
mod interrupts;
#[cfg(feature = "desktop")]
mod journal;
#[cfg(all(test, unix, feature = "desktop"))]
mod killed;
mod needed;
mod output;
mod part;
pub mod png_file;
pub mod png_source;
#[cfg(feature = "desktop")]
mod presented;
mod rig_file;
#[cfg(feature = "desktop")]
mod store;

pub use failure::{Failure, tell};
pub use needed::{Files, Output};
pub use output::{Aside, print, print_words, to_stdout};
#[cfg(feature = "desktop")]
pub use presented::{write_numbered, write_presented};
pub use rig_file::Source;
#[cfg(feature = "desktop")]
pub use store::Store;
