//! From readings at the seams to the rig as it stands.
//!
//! [`solve`] gives the likeliest rig with its covariance; what comes before is in
//! [`readings`](crate::readings), what it all means for a person in the rest.

mod estimate;
mod measured;
mod priors;
mod space;

pub use estimate::{Estimate, Fit, Value, solve};
pub use measured::Measured;
pub use priors::Priors;
