//! The demo rigs that come with the program.

/// A rig file that is part of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Demo {
    /// How the command line calls it.
    pub name: &'static str,
    /// One line about it.
    pub about: &'static str,
    /// The rig file.
    pub text: &'static str,
}

/// The demo rigs, the default one first.
pub fn demos() -> &'static [Demo] {
    const DEMOS: [Demo; 4] = [
        Demo {
            name: "rally-loft",
            about: "a wide curved panel with two views and a flat one of another pitch on the left",
            text: include_str!("../../rigs/rally-loft.toml"),
        },
        Demo {
            name: "tram-cab",
            about: "three equal flat panels",
            text: include_str!("../../rigs/tram-cab.toml"),
        },
        Demo {
            name: "ferry-bridge",
            about: "a curved panel between two upright ones of another size",
            text: include_str!("../../rigs/ferry-bridge.toml"),
        },
        Demo {
            name: "night-train",
            about: "three flat panels with columns hidden behind the bezels",
            text: include_str!("../../rigs/night-train.toml"),
        },
    ];
    &DEMOS
}
