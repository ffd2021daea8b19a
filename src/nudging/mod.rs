//! Nudging a rig at the glass: keys become requests, requests change the rig,
//! with the way back, and words tell what was done. Nothing here knows a window
//! or a file.

mod as_program;
mod console;
mod guided;
mod journal;
mod keys;
mod meaning;
mod nudge;
mod pages;
mod photographs;
mod tells;
mod walk;
mod words;

pub use as_program::AsProgram;
pub use console::{Caution, Console, Mode, Moving, Request, RungChoice};
pub use guided::{Answer, Guided, Taken};
pub use journal::{Damaged, Found, Notes, digest};
pub use keys::{BINDINGS, Binding, Key, MOUSE, Wish, wish};
pub use meaning::{Meaning, advice, place_name};
pub use nudge::{Act, Effect, Nudging, values};
pub use tells::{FIRST, TELLS};
pub use walk::Step;
pub use words::{EDITED, Hover, MARKS_CAUTION, MOVING_CAUTION, complaint_box, idle_box, main_box};
