//! What the benches share: rigs of any size, and ratios of what was measured.

pub mod ratios;
pub mod rigs;
