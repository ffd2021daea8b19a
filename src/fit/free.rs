//! Which of the flat views' numbers a fit may move.

use std::fmt;

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

impl Free {
    /// Reads names separated by commas: `angle`, `distance`, `width`, `bezel`.
    ///
    /// # Errors
    ///
    /// A sentence for people where a name is unknown, none is given, or
    /// distance, width and bezel are all named.
    pub fn parse(list: &str) -> Result<Free, String> {
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
                    return Err(format!(
                        "a fit can't free \"{}\": name angle, distance, width or bezel, \
                         separated by commas",
                        name.escape_debug()
                    ));
                }
            };
            *which = true;
        }
        if free.distance && free.width && free.bezel {
            return Err(
                "a fit can't free distance, width and bezel together, since only their ratios \
                 would matter: hold one of them by leaving it out"
                    .to_owned(),
            );
        }
        Ok(free)
    }

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
        let free = Free::parse("bezel, angle").unwrap();
        assert_eq!(free.names(), ["angle", "bezel"]);
        assert_eq!(Free::default(), Free::parse("angle,distance").unwrap());
    }

    #[test]
    fn what_only_ratios_would_tell_is_refused() {
        assert!(Free::parse("angle,distance,width,bezel").is_err());
        assert!(Free::parse("width,bezel,distance").is_err());
        assert!(Free::parse("angle,width,bezel").is_ok());
        assert!(Free::parse("").unwrap_err().contains("can't free \"\""));
        assert!(Free::parse("angle,turn").unwrap_err().contains("\"turn\""));
    }
}
