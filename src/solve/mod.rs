//! From readings at the seams to the rig as it stands.
//!
//! [`solve`] gives the likeliest rig with its covariance; what comes before is in
//! [`readings`](crate::readings), what it all means for a person in the rest.

mod choose;
mod course;
mod estimate;
mod further;
mod known;
mod measured;
mod moves;
mod near;
mod priors;
mod problem;
mod purpose;
mod space;
mod written;

pub use choose::{Choice, MOST_A_SEAM, next, next_of};
pub use course::Course;
pub use estimate::{Estimate, Fit, Value, solve};
pub use further::{Further, Tool, further};
pub use measured::Measured;
pub use moves::{Advice, CAUTION, Move};
pub(crate) use moves::{by_hand, explaining, in_order};
pub use near::SeamBreaks;
pub use priors::Priors;
pub use purpose::Purpose;
pub(crate) use space::Space;
pub use written::for_file;
