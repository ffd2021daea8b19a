//! What a display says of itself, as Windows keeps it.

use winsafe::{HKEY, RegistryValue, co};

/// The block of data under a key of a display's device.
pub(super) fn claims(key: &str) -> Option<Vec<u8>> {
    let value = HKEY::LOCAL_MACHINE.RegGetValue(Some(key), Some("EDID"), co::RRF::RT_REG_BINARY);
    match value {
        Ok(RegistryValue::Binary(bytes)) => Some(bytes),
        _ => None,
    }
}
