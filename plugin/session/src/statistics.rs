//! Means, medians and percentiles.

/// The `percent`th percentile (0 to 100) of values in ascending order, between neighbours in proportion: the
/// definition that NumPy calls linear (Hyndman and Fan 1996, type 7). `None` of nothing.
pub fn percentile(ascending: &[f64], percent: f64) -> Option<f64> {
    let last = ascending.len().checked_sub(1)?;
    let place = last as f64 * (percent / 100.0).clamp(0.0, 1.0);
    let below = place.floor() as usize;
    let above = (below + 1).min(last);
    let share = place - below as f64;
    Some(ascending[below] + (ascending[above] - ascending[below]) * share)
}

/// The median of values in any order, of an even number the mean of the middle two. `None` of nothing. Sorts
/// the values.
pub fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    percentile(values, 50.0)
}

/// The mean of values. `None` of nothing.
pub(crate) fn mean(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    let values: Vec<f64> = values.into_iter().collect();
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The lowest, the median and the highest of values in any order. `None` of nothing. Sorts the values.
pub(crate) fn low_middle_high(values: &mut [f64]) -> Option<[f64; 3]> {
    let middle = median(values)?;
    Some([*values.first()?, middle, *values.last()?])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example: numpy.percentile([1, 2, 4, 8], [0, 10, 50, 90, 100]) by the definition above.
    #[test]
    fn percentiles_lie_between_neighbours_in_proportion() {
        let values = [1.0, 2.0, 4.0, 8.0];
        let expected = [(0.0, 1.0), (10.0, 1.3), (50.0, 3.0), (90.0, 6.8), (100.0, 8.0)];
        for (percent, value) in expected {
            let got = percentile(&values, percent).unwrap();
            assert!((got - value).abs() < 1e-12, "{percent} %: {got}");
        }
    }

    #[test]
    fn the_median_of_an_even_number_is_the_mean_of_the_middle_two() {
        assert_eq!(median(&mut [5.0, 1.0, 3.0, 2.0]), Some(2.5));
        assert_eq!(median(&mut [5.0, 1.0, 3.0]), Some(3.0));
        assert_eq!(median(&mut []), None);
    }
}
