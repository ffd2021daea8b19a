//! Files: reading them, writing them whole or not at all, and what is said at the
//! terminal. The only part of the program that touches a disk.

#[cfg(feature = "desktop")]
mod beside;
mod failure;
mod interrupts;
#[cfg(feature = "desktop")]
mod journal;
#[cfg(feature = "desktop")]
mod kept_readings;
#[cfg(all(test, unix, feature = "desktop"))]
mod killed;
#[cfg(feature = "desktop")]
mod manual;
mod needed;
mod output;
mod part;
pub(crate) mod pfm_file;
pub(crate) mod photo;
pub(crate) mod png_file;
pub(crate) mod png_source;
#[cfg(feature = "desktop")]
mod presented;
mod readings_file;
mod rig_file;
#[cfg(feature = "desktop")]
mod store;

pub(crate) use failure::{Failure, tell};
#[cfg(feature = "desktop")]
pub(crate) use kept_readings::KeptReadings;
#[cfg(feature = "desktop")]
pub(crate) use manual::manual;
pub(crate) use needed::{Files, Output};
pub(crate) use output::{Aside, print, print_words, to_stdout};
#[cfg(feature = "desktop")]
pub(crate) use presented::{write_numbered, write_presented};
pub(crate) use readings_file::{is_json, readings_text};
pub(crate) use rig_file::Source;
#[cfg(feature = "desktop")]
pub(crate) use store::{Look, Store};

/// Shared by tests that go by file locks, and held alone while one starts a process:
/// until that runs, it holds the locks of this one, too.
#[cfg(all(test, feature = "desktop"))]
static STARTING: std::sync::RwLock<()> = std::sync::RwLock::new(());

/// See [`STARTING`].
#[cfg(all(test, feature = "desktop"))]
fn locks_are_own() -> std::sync::RwLockReadGuard<'static, ()> {
    STARTING
        .read()
        .unwrap_or_else(std::sync::PoisonError::into_inner)
}
