//! Which of the flat views' numbers a fit may move.

use std::fmt;
use std::str::FromStr;

use super::typed::Typed;
use crate::parts::Misread;

/// What a fit of the flat views may move; the rest keeps the rig's own value.
///
/// # Guarantees
///
/// At least one is free; distance, width and bezel are not all free together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Free([bool; Typed::ALL.len()]);

impl Default for Free {
    /// The angle and the distance.
    fn default() -> Free {
        Free(Typed::ALL.map(|typed| matches!(typed, Typed::Angle | Typed::Distance)))
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
        let mut free = Free([false; Typed::ALL.len()]);
        for name in list.split(',').map(str::trim) {
            let Some(typed) = Typed::named(name) else {
                return Err(Misread::new(format!(
                    "a fit can't free \"{}\": name angle, distance, width or bezel, \
                     separated by commas",
                    name.escape_debug()
                )));
            };
            free.0[typed as usize] = true;
        }
        if [Typed::Distance, Typed::Width, Typed::Bezel].map(|typed| free.has(typed)) == [true; 3] {
            return Err(Misread::new(
                "a fit can't free distance, width and bezel together, since only their ratios \
                 would matter: hold one of them by leaving it out",
            ));
        }
        Ok(free)
    }
}

impl Free {
    /// The names of what is free, in the order of [`Typed::ALL`].
    pub fn names(&self) -> Vec<&'static str> {
        let free = Typed::ALL.into_iter().filter(|typed| self.has(*typed));
        free.map(Typed::name).collect()
    }

    /// Whether a number may move.
    pub fn has(&self, typed: Typed) -> bool {
        self.0[typed as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(list: &str) -> String {
        list.parse::<Free>().expect_err("refused").to_string()
    }

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
        assert!(refusal("").contains("can't free \"\""));
        assert!(refusal("angle,turn").contains("\"turn\""));
    }
}
