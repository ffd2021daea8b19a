//! Throughline's core: a rig file becomes a validated rig, the rig becomes
//! laid-out panels, those become strokes, and strokes become pixels.
//!
//! Nothing in this library opens a file or a window.

pub mod check;
pub mod display;
pub mod geometry;
pub mod light;
pub mod pattern;
pub mod raster;
pub mod rig;
pub mod starter;
pub mod typeset;
