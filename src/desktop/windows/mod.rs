//! What Windows knows of its displays and the window library leaves out: exact rates,
//! claimed sizes and names, modes that the driver fits to a display.

#[cfg(windows)]
#[allow(
    unsafe_code,
    reason = "no crate asks Windows for exact refresh rates by safe calls"
)]
mod calls;
#[cfg(windows)]
mod registry;
mod reported;

/// What the system knows about its lit displays.
#[cfg(windows)]
pub(super) fn hints() -> Vec<super::hints::Hint> {
    let displays = calls::reported();
    let hints = displays.iter().map(|display| {
        let key = display.registry_key();
        let claims = key.and_then(|key| registry::claims(&key));
        display.hint(claims.as_deref())
    });
    hints.collect()
}
