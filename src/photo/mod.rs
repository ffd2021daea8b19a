//! From photographs of marks to the rig as it stands.
//!
//! [`measure`] explains the marks that a few photographs show by bundle adjustment: the
//! rig's numbers, a little of what panels and glass really are, the phone's lens, and
//! where each photograph was taken from are sought together. It asks nothing of the
//! camera, and knows no file.
//!
//! What photographs can't tell is held as the file has it: gravity, which is the facing
//! panel's roll and tilt, and bezels, since only their sum with the gap is seen. Sizes
//! are told against each other; all of them too large by a share, the whole rig is, too.

mod advice;
mod bundle;
mod camera;
mod copies;
mod floors;
mod measure;
mod measurement;
mod model;
mod photograph;
mod places;
mod screen;
mod seen;
mod starts;
mod task;
mod written;

pub use advice::{moves, steps};
pub use camera::{Camera, Lens};
pub use measure::{NothingTold, measure};
pub use measurement::{Measurement, Taken};
pub use photograph::{Photograph, Reason};
pub use places::{HEED, PLACES_MM, from_above};
pub use seen::{SeamSeen, Wanted};
pub use written::written;
