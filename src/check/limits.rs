//! From where on something is a finding, and who says so.

/// Difference between a rate in the rig file and a reported one, in hertz,
/// that is no contradiction: people write 60 for 59.934 (VESA CVT, reduced
/// blanking), and Windows tells whole hertz, 59 for 59.934 (from memory).
pub(super) const NOMINAL_RATE_HZ: f64 = 1.0;

/// Ratio between the eye's distances to two panels, each to its nearest view.
/// An own choice: a tape and a chair are good for a few per cent.
pub(super) const PANEL_DISTANCE_RATIO: f64 = 1.15;

/// Ratio between the eye's distances to two views of one panel, which no
/// arrangement can make equal. An own choice.
pub(super) const VIEW_DISTANCE_RATIO: f64 = 1.3;

/// Most that a view may turn from the line of sight: NUREG-0700 rev. 3,
/// 11.3.1.2-2.
pub(super) const MAX_OBLIQUE_DEG: f64 = 45.0;

/// Comfortable viewing distances: 50 cm to 100 cm (OSHA, second-hand).
pub(super) const COMFORT_MM: [f64; 2] = [500.0, 1000.0];

/// Distances that no seat has in millimetres but many have in metres or feet, or
/// from 10 on in inches or centimetres. An own choice.
pub(super) const ANOTHER_UNITS_MM: std::ops::Range<f64> = 1.0..120.0;

/// Distances that a seat may have, when guessing at the unit meant. An own choice.
pub(super) const PLAUSIBLE_MM: std::ops::RangeInclusive<f64> = 250.0..=3100.0;

/// Relative difference between a pixel's width and height. An own choice: a
/// tape is good for 2 mm, and displays have square pixels.
pub(super) const PIXEL_SHAPE: f64 = 0.015;

/// Relative difference between the rig's size and a display's claim. An own
/// choice: claims are rounded to whole centimetres.
pub(super) const CLAIMED_SIZE: f64 = 0.05;

/// Columns by which hidden ones may miss the dark gap: the larger of this many
/// and [`HIDDEN_SHARE`] of them. An own choice.
pub(super) const HIDDEN_PX: f64 = 3.0;
/// Share of the hidden columns; see [`HIDDEN_PX`]. Along the cases of a fold of 45° it is
/// 8 % farther than straight across.
pub(super) const HIDDEN_SHARE: f64 = 0.08;

/// Longest side of a texture that every current GPU holds: 16384, the side
/// that Direct3D 11 and later require of hardware (from memory).
pub(super) const TEXTURE_SIDE_PX: u32 = 16_384;

/// Step in millimetres, across a seam, of a picture that knows nothing of the
/// panels' heights. An own choice.
pub(super) const LEVEL_MM: f64 = 10.0;

/// Diagonals of displays at a seat, in inches, when guessing at the unit meant,
/// and of those that have bezels. An own choice: portable ones to the largest
/// that stand on desks.
pub(super) const USUAL_DIAGONAL_IN: std::ops::RangeInclusive<f64> = 12.0..=60.0;

/// Finest and coarsest pixel of a display at a seat, in millimetres. An own
/// choice: 3840 columns on 13.3 inches have 0.077, 1920 on a wall of 3.8 m 2.0.
pub(super) const PITCH_MM: [f64; 2] = [0.06, 2.0];

/// Shorter side of a panel, in distances of the eye, that none has with a diagonal
/// of over 300 inches. An own choice: it reaches 45 degrees up and down.
pub(super) const VAST_HEIGHT: f64 = 2.0;

/// The same, that few have. An own choice: a display of 55 inches has it at
/// 600 mm, one of 27 inches seems to have it where 68.6 cm are read as inches.
pub(super) const LARGE_HEIGHT: f64 = 1.15;

/// Narrowest bezel beside the lit area, in millimetres, but for displays of
/// walls, which are larger than [`NARROW_DIAGONAL_IN`]. An own choice: cases sold
/// as having none still have several.
pub(super) const NARROW_BEZEL_MM: f64 = 1.0;
/// See [`NARROW_BEZEL_MM`]. An own choice.
pub(super) const NARROW_DIAGONAL_IN: f64 = 40.0;
/// Bezels that a display may have, when guessing at the unit meant. An own choice.
pub(super) const PLAUSIBLE_BEZEL_MM: std::ops::RangeInclusive<f64> = 2.0..=60.0;

/// Tightest curve: 800 mm is the tightest sold (from memory).
pub(super) const TIGHT_RADIUS_MM: f64 = 700.0;

/// Heights of a seated or standing person's eyes above the floor. An own choice.
pub(super) const ABOVE_FLOOR_MM: std::ops::RangeInclusive<f64> = 800.0..=2200.0;
/// How far down an eye may look on the facing view's middle before
/// [`ABOVE_FLOOR_MM`] counts. An own choice: desks are recommended to have 15 to
/// 20 degrees (from memory).
pub(super) const LOOKS_DOWN_DEG: f64 = 30.0;

/// Obliqueness from which on an unlikely turn of a panel's seam is at fault where
/// the likely one halves it. An own choice.
pub(super) const TURNED_AWAY_DEG: f64 = 30.0;

/// Most that eye level may be off the window's middle row, in degrees. An own choice: as
/// much as makes a fit bad.
pub(super) const WINDOW_EYE_LEVEL_DEG: f64 = 1.0;
