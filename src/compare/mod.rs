//! Two pictures of one size side by side, and what changed between them.

mod changes;
mod figures;
mod scaled;
mod sheet;

pub use changes::{Change, Value, changes};
pub use figures::Figures;
pub use scaled::{difference, scaled};
pub use sheet::{Inset, Side, flip, sheet};
