//! Where the program was built to know no displays.

use throughline::display::Display;

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
