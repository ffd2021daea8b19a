//! Numbers in sentences about limits.

/// A number with at least so many decimals, and with more where rounding would
/// put it on the limit or beyond it.
pub(crate) fn on_its_side(value: f64, limit: f64, decimals: usize) -> String {
    const MOST: usize = 6;
    let side = |value: f64| value.partial_cmp(&limit);
    (decimals..=MOST)
        .map(|decimals| format!("{value:.decimals$}"))
        .find(|text| text.parse().ok().and_then(side) == side(value))
        .unwrap_or_else(|| format!("{value}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn decimals_are_added_where_the_side_needs_them() {
        assert_eq!(on_its_side(499.9, 500.0, 0), "499.9");
        assert_eq!(on_its_side(499.3, 500.0, 0), "499");
        assert_eq!(on_its_side(1000.04, 1000.0, 0), "1000.04");
        assert_eq!(on_its_side(45.01, 45.0, 1), "45.01");
        assert_eq!(on_its_side(500.0, 500.0, 0), "500");
        assert_eq!(on_its_side(500.0 - 1e-9, 500.0, 0), "499.999999999");
    }

    proptest! {
        #[test]
        fn what_is_printed_is_on_its_side(
            limit in prop_oneof![Just(45.0), Just(500.0), Just(1000.0), -200.0..200.0f64],
            power in -12.0..3.0f64,
            is_below in any::<bool>(),
            decimals in 0usize..3,
        ) {
            let by = 10f64.powf(power);
            let value = if is_below { limit - by } else { limit + by };
            let printed: f64 = on_its_side(value, limit, decimals).parse().unwrap();
            prop_assert_eq!(printed < limit, value < limit);
            prop_assert_eq!(printed > limit, value > limit);
        }
    }
}
