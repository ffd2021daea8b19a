//! How often displays are redrawn, from what was recorded of them.
//!
//! A rate is *set* where the system was told it, and *measured* where refreshes were
//! counted and their times prove themselves: the count advances, no two displays have
//! one count, the count isn't the clock's, and windows of time agree. Else there is a
//! [`Refusal`], which says why. Rates are in hertz, times in seconds of any clock.

mod estimate;
mod presents;
mod recording;
mod refusal;
mod report;
mod rhythm;
mod words;

pub use estimate::Estimate;
pub use presents::Presents;
pub use recording::{Clock, Recording, Tick, Ticks};
pub use refusal::Refusal;
pub use report::{Report, Row, Slip};
pub use rhythm::{Rhythm, SAME_RATE_HZ};
pub use words::{listing, short};
