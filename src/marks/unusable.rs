//! Why a photograph can't serve, as far as it tells itself.

use std::fmt;

/// Why a photograph can't serve, seen from it alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unusable {
    /// No field of marks is seen, or too little of one.
    NoMarks,
    /// Checks are seen, too blurred to be told.
    Blurred,
    /// Too much of it is white.
    Overexposed,
    /// It was taken from the system, not by a camera.
    Screenshot,
    /// The field is not this rig's.
    OtherRig,
    /// It is a mirror image.
    Mirrored,
}

impl fmt::Display for Unusable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Unusable::NoMarks => {
                "shows no marks that can be told: show the layer marks on all panels, words off, \
                 and photograph as much of them as fits, from at most 1.5 m away"
            }
            Unusable::Blurred => {
                "is blurred: hold the phone still or lean it on something, tap a screen to focus, \
                 and take it again"
            }
            Unusable::Overexposed => {
                "is overexposed: tap the brightest screen and turn the exposure down until its light \
                 checks are grey, then take it again"
            }
            Unusable::Screenshot => {
                "is a screen picture, not a photograph: take it with a camera, from where the eye is"
            }
            Unusable::OtherRig => {
                "shows marks that are not this rig's: show the marks of the same rig file, and take \
                 it again"
            }
            Unusable::Mirrored => {
                "is a mirror image: take it with the main camera, not the one beside the screen, and \
                 not in a mirror"
            }
        })
    }
}

impl std::error::Error for Unusable {}
