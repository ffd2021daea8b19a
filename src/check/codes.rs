//! The stable names of the kinds of findings.

/// The codes, each listed once; a finding can have no other.
macro_rules! codes {
    ($($code:ident = $name:literal,)*) => {
        /// A kind of finding.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(super) enum Code {
            $($code,)*
        }

        impl Code {
            /// The name that [`Finding::code`](super::Finding::code) gives.
            pub(super) fn name(self) -> &'static str {
                match self {
                    $(Code::$code => $name,)*
                }
            }
        }

        /// The code of every finding that there can be.
        pub const CODES: &[&str] = &[$($name,)*];
    };
}

codes! {
    BezelInOtherUnit = "bezel-in-other-unit",
    CanvasTooLarge = "canvas-too-large",
    CurveTooTight = "curve-too-tight",
    DesktopGap = "desktop-gap",
    DesktopOrder = "desktop-order",
    DesktopOverlap = "desktop-overlap",
    DisplayExtra = "display-extra",
    DisplayHdr = "display-hdr",
    DisplayMissing = "display-missing",
    DisplayPosition = "display-position",
    DisplayResampled = "display-resampled",
    DisplaySize = "display-size",
    DistanceInInches = "distance-in-inches",
    EyeDistancesDiffer = "eye-distances-differ",
    HeightFromFloor = "height-from-floor",
    HiddenColumnsMismatch = "hidden-columns-mismatch",
    HiddenColumnsNotHidden = "hidden-columns-not-hidden",
    NoBezels = "no-bezels",
    PixelsNotSquare = "pixels-not-square",
    PrimaryNotFacing = "primary-not-facing",
    RefreshDiffers = "refresh-differs",
    RefreshNotAsFiled = "refresh-not-as-filed",
    ScaleDiffers = "scale-differs",
    ScaleNotAsFiled = "scale-not-as-filed",
    ScaleNotOne = "scale-not-one",
    SizeContradictsDisplay = "size-contradicts-display",
    SizeInOtherUnit = "size-in-other-unit",
    TurnInside = "turn-inside",
    TurnOutward = "turn-outward",
    VerticalMisfit = "vertical-misfit",
    ViewOblique = "view-oblique",
    ViewingDistance = "viewing-distance",
    WindowColumns = "window-columns",
    WindowEyeLevel = "window-eye-level",
}

impl Code {
    /// Those that follow from lengths and angles that people measure.
    pub(super) const MEASURED: [Code; 16] = [
        Code::BezelInOtherUnit,
        Code::CurveTooTight,
        Code::DistanceInInches,
        Code::EyeDistancesDiffer,
        Code::HeightFromFloor,
        Code::HiddenColumnsMismatch,
        Code::NoBezels,
        Code::PixelsNotSquare,
        Code::SizeContradictsDisplay,
        Code::SizeInOtherUnit,
        Code::TurnInside,
        Code::TurnOutward,
        Code::VerticalMisfit,
        Code::ViewOblique,
        Code::ViewingDistance,
        Code::WindowEyeLevel,
    ];
}
