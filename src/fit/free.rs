//! Which of the flat views' numbers a fit may move.

use std::fmt;
use std::str::FromStr;

use crate::parts::Misread;

/// What a fit of the flat views may move; the rest keeps the rig's own value.
///
/// # Guarantees
///
/// At least one is free; distance, width and bezel are not all free together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Free {
    angle: bool,
    distance: bool,
    width: bool,
    bezel: bool,
}

impl Default for Free {
    /// The angle and the distance.
    fn default() -> Free {
        Free {
            angle: true,
            distance: true,
            width: false,
            bezel: false,
        }
    }
}

impl fmt::Display for Free {
    /// The names, separated by commas.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.names().join(","))
    }
}

/// Reads names separated by commas: `angle`, `distance`, `width`, `bezel`. Not distance,
/// width and bezel together.
impl FromStr for Free {
    type Err = Misread;

    fn from_str(list: &str) -> Result<Free, Misread> {
        let mut free = Free {
            angle: false,
            distance: false,
            width: false,
            bezel: false,
        };
        for name in list.split(',').map(str::trim) {
            let which = match name {
                "angle" => &mut free.angle,
                "distance" => &mut free.distance,
                "width" => &mut free.width,
                "bezel" => &mut free.bezel,
                _ => {
                    return Err(Misread::new(format!(
                        "a fit can't free \"{}\": name angle, distance, width or bezel, \
                         separated by commas",
                        name.escape_debug()
                    )));
                }
            };
            *which = true;
        }
        if free.distance && free.width && free.bezel {
            return Err(Misread::new(
                "a fit can't free distance, width and bezel together, since only their ratios \
                 would matter: hold one of them by leaving it out",
            ));
        }
        Ok(free)
    }
}

impl Free {
    /// The names of what is free: angle, distance, width, bezel, in this order.
    pub fn names(&self) -> Vec<&'static str> {
        let all = [
            (self.angle, "angle"),
            (self.distance, "distance"),
            (self.width, "width"),
            (self.bezel, "bezel"),
        ];
        let free = all.into_iter().filter(|(free, _)| *free);
        free.map(|(_, name)| name).collect()
    }

    /// Whether the angle may move.
    pub fn angle(&self) -> bool {
        self.angle
    }

    /// Whether the distance may move.
    pub fn distance(&self) -> bool {
        self.distance
    }

    /// Whether the width may move.
    pub fn width(&self) -> bool {
        self.width
    }

    /// Whether the bezel may move.
    pub fn bezel(&self) -> bool {
        self.bezel
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_back_in_one_order() {
        let free = "bezel, angle".parse::<Free>().unwrap();
        assert_eq!(free.names(), ["angle", "bezel"]);
        assert_eq!(Free::default(), "angle,distance".parse().unwrap());
    }

    #[test]
    fn what_only_ratios_would_tell_is_refused() {
        assert!("angle,distance,width,bezel".parse::<Free>().is_err());
        assert!("width,bezel,distance".parse::<Free>().is_err());
        assert!("angle,width,bezel".parse::<Free>().is_ok());
        assert!(
            "".parse::<Free>()
                .unwrap_err()
                .to_string()
                .contains("can't free \"\"")
        );
        assert!(
            "angle,turn"
                .parse::<Free>()
                .unwrap_err()
                .to_string()
                .contains("\"turn\"")
        );
    }
}
