//! What two rates do to each other.

/// Difference of refresh rates, in hertz, that is no more than rounding:
/// systems report them in whole millihertz.
pub const SAME_RATE_HZ: f64 = 0.002;

/// Slower than once a second, two displays slip; faster, they have rates of their own.
const SLIP_HZ: f64 = 1.0;

/// How two rates stand to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rhythm {
    /// They can't be told apart.
    Same,
    /// Each frame of the slower stands for this many, two or more, of the faster.
    Steady(f64),
    /// They slip past each other by one frame of the faster.
    Slips {
        /// Frames of the faster to one of the slower, nearly.
        times: f64,
        /// Seconds from one slip to the next.
        period_s: f64,
    },
    /// Frames of the faster have no counterpart.
    Apart {
        /// Seconds from one such frame to the next.
        period_s: f64,
    },
}

impl Rhythm {
    /// How two rates stand to each other that are each known to `doubt_hz`.
    pub fn between([one, other]: [f64; 2], doubt_hz: f64) -> Rhythm {
        let [slow, fast] = [one.min(other), one.max(other)];
        let times = (fast / slow).round();
        let slip = (fast - times * slow).abs();
        if slip <= times * doubt_hz {
            if times > 1.0 {
                Rhythm::Steady(times)
            } else {
                Rhythm::Same
            }
        } else if slip < SLIP_HZ {
            Rhythm::Slips {
                times,
                period_s: 1.0 / slip,
            }
        } else {
            Rhythm::Apart {
                period_s: 1.0 / (fast - slow),
            }
        }
    }

    /// Seconds from one frame without a counterpart to the next, where there are any.
    pub fn period_s(self) -> Option<f64> {
        match self {
            Rhythm::Same | Rhythm::Steady(_) => None,
            Rhythm::Slips { period_s, .. } | Rhythm::Apart { period_s } => Some(period_s),
        }
    }
}
