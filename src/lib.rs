//! Throughline's core: a rig file becomes a validated rig, the rig becomes
//! laid-out panels, those become strokes, and strokes become pixels.
//!
//! Nothing in this library opens a file or a window.

#![forbid(unsafe_code)]

pub mod check;
pub mod compare;
pub mod display;
pub mod fit;
pub mod frames;
pub mod geometry;
pub mod glass;
pub mod grey;
mod kept;
mod least_squares;
pub mod light;
pub mod marks;
pub mod matching;
pub mod nudging;
pub mod numbers;
mod parts;
pub mod pattern;
pub mod photo;
pub mod pictures;
pub mod place;
pub mod plan;
pub mod program;
pub mod raster;
pub mod readings;
pub mod refresh;
pub mod rig;
pub mod seat;
pub mod sheet;
pub mod solve;
pub mod staging;
pub mod starter;
pub mod strip_code;
pub mod template;
pub mod typeset;
