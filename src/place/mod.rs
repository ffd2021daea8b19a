//! Where things should stand, so that one camera a screen comes true: which window the
//! program draws into, where the displays lie on the desktop, which numbers are typed,
//! and where panels and seat stand.
//!
//! - Displays adjoin in x and have any top; those that share hidden columns keep their
//!   places among themselves. A panel's row is where eye level crosses it, averaged over
//!   its edges at seams. The tops put all rows on the window's middle row.
//! - A window inside is as high as twice the way from that row to the nearest edge of any
//!   panel; one that hangs over, to the farthest.
//! - A pixel belongs to the column that its left edge lies in. What lies outside the
//!   window is black.
//! - The program has equal flat screens, one a column, with square pixels of the facing
//!   panel's width, and eye level in their middles. Straight ahead is the middle column,
//!   or the middle cut. The picture as a whole may be turned about the vertical.
//! - The error is the angle between where the eye sees a lit pixel inside the window and
//!   where the program has it. A jump is how much that changes across a seam at eye level.
//! - Sought are the least rms² + (weight · jump)², while the span that is seen stays. A
//!   whole canvas without a window is judged as the sheet judges it, shifted level with the
//!   program's eye, where it was asked for or where furniture is moved without a window.

mod cases;
mod cuts;
mod fewest;
mod lever;
mod plan;
mod plans;
mod rows;
mod search;
mod task;
mod wishes;
mod words;
mod written;

pub use lever::{Lever, Moves};
pub use plan::{Move, Plan, Tolerance};
pub use plans::{Plans, Stage, plans};
pub use wishes::{Impossible, WindowKind, Wishes};
pub use words::words;
pub use written::written;

pub(crate) use cuts::carried_columns;
pub(crate) use rows::eye_level_rows;
