//! The rig as other programs model it, and how well such a model can match it.

mod flat_views;

pub use flat_views::{FlatViews, Screen};
