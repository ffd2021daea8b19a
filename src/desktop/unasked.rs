//! Where the program was built to know no displays.

use std::time::Duration;

use throughline::display::Display;
use throughline::refresh::Recording;

use super::NoDesktop;

/// Lists no display.
///
/// # Errors
///
/// Always: [`NoDesktop`] says that this build asks for none.
pub(crate) fn connected() -> Result<Vec<Display>, NoDesktop> {
    Err(NoDesktop(
        "this build of the program asks for no displays: build it with its default features to \
         have the connected ones compared"
            .to_owned(),
    ))
}

/// Records nothing.
///
/// # Errors
///
/// Always, as [`connected`] does.
pub(crate) fn recorded(_: Duration) -> Result<Vec<Recording>, NoDesktop> {
    Err(NoDesktop(
        "this build of the program asks for no displays".to_owned(),
    ))
}
